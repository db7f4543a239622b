"""Answers that are kept: told as long as nothing they follow from has changed, and not worked out twice."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest

from cornerwright.web.kept import Kept


def test_an_answer_is_told_for_its_own_key_only():
    kept = Kept()
    assert kept.last("plan", "one") is None
    assert kept.anew("plan", "one", lambda: "turn it") == "turn it"
    assert kept.last("plan", "one") == "turn it"
    assert kept.last("plan", "two") is None
    assert kept.last("road", "one") is None
    kept.forget()
    assert kept.last("plan", "one") is None


def test_work_that_fails_leaves_the_last_answer():
    kept = Kept()
    kept.anew("plan", "one", lambda: "turn it")
    with pytest.raises(ZeroDivisionError):
        kept.anew("plan", "one", lambda: 1 // 0)
    assert kept.last("plan", "one") == "turn it"


def test_many_who_ask_at_once_have_it_worked_out_once():
    kept, begin, worked = Kept(), Barrier(8), []

    def work() -> object:
        worked.append(None)
        return object()

    def ask(_: int) -> object:
        begin.wait()
        return kept.once("car", "as it is", work)

    with ThreadPoolExecutor(8) as several:
        found = set(several.map(ask, range(8)))
    assert len(found) == len(worked) == 1
    assert kept.once("car", "as it is now", work) not in found
