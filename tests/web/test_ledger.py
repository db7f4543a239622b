"""What is entered is on the disk before it counts, and comes back whole."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest

from cornerwright.model.errors import Refusal
from cornerwright.web.ledger import LONGEST_TEXT, Ledger


@pytest.fixture
def path(tmp_path):
    return tmp_path / "car.entered.jsonl"


def test_fields_come_back_as_they_were_typed(path):
    ledger = Ledger(path)
    ledger.put("read.front_left.height", "24 1/8 in", "R.")
    ledger.put("read.rear_left.camber", "−1,5")
    ledger.put("read.rear_left.camber", None)
    ledger.close()
    again = Ledger(path)
    assert again.get("read.front_left.height") == "24 1/8 in"
    assert again.line("read.front_left.height").who == "R."
    assert again.get("read.rear_left.camber") is None
    assert again.version == 3
    assert [name for name, _ in again.under("read.")] == ["front_left.height"]
    again.close()


def test_each_field_is_settled_before_it_is_told(path, monkeypatch):
    settled = []
    monkeypatch.setattr(os, "fsync", lambda number: settled.append(path.read_bytes().count(b"\n")))
    ledger = Ledger(path)
    for k in range(3):
        ledger.put(f"field.{k}", "1")
    assert settled == [1, 2, 3]
    ledger.close()


@pytest.mark.parametrize("torn", [b'{"number": 3, "at"', b'{"number": 3', b"\xff\xfe"])
def test_a_line_cut_short_is_dropped_and_no_other(path, torn):
    ledger = Ledger(path)
    ledger.put("a", "1")
    ledger.put("b", "2")
    ledger.close()
    with open(path, "ab") as stream:
        stream.write(torn)
    again = Ledger(path)
    assert (again.get("a"), again.get("b"), again.version) == ("1", "2", 2)
    again.put("c", "3")
    again.close()
    third = Ledger(path)
    assert [third.get(name) for name in "abc"] == ["1", "2", "3"]
    third.close()


def test_a_file_of_something_else_is_refused_and_kept(path):
    path.write_text("shopping list\n")
    with pytest.raises(Refusal, match="did not write"):
        Ledger(path)
    assert path.read_text() == "shopping list\n"


def test_a_second_app_is_kept_away(path):
    ledger = Ledger(path)
    with pytest.raises(Refusal, match="open in another app"):
        Ledger(path)
    ledger.close()
    Ledger(path).close()


def test_a_full_disk_keeps_nothing_of_the_field(path, monkeypatch):
    ledger = Ledger(path)
    ledger.put("a", "1")
    whole = path.read_bytes()

    def full(number):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refusal, match="nothing was kept"):
        ledger.put("a", "2")
    monkeypatch.undo()
    assert ledger.get("a") == "1"
    assert path.read_bytes() == whole
    ledger.close()


def test_what_is_too_long_is_refused(path):
    ledger = Ledger(path)
    with pytest.raises(Refusal):
        ledger.put("a", "x" * (LONGEST_TEXT + 1))
    assert ledger.version == 0
    ledger.close()


WRITER = """
import sys
from pathlib import Path
from cornerwright.web.ledger import Ledger
ledger = Ledger(Path(sys.argv[1]))
k = 0
while True:
    k += 1
    ledger.put("field", str(k))
    print(k, flush=True)
"""


def test_killed_at_any_moment_it_holds_what_it_had_confirmed(path):
    for _ in range(3):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True)
        for _ in range(20):
            writer.stdout.readline()
        writer.send_signal(signal.SIGKILL)
        confirmed = [int(line) for line in writer.stdout.read().split()]
        writer.wait()
        ledger = Ledger(path)
        assert int(ledger.get("field")) >= max(confirmed, default=20)
        ledger.close()


GOOD_LINE = '{"number": 1, "at": "2026-04-11", "who": "R.", "field": "a", "text": "1"}\n'


@pytest.mark.parametrize(
    "slip",
    [
        GOOD_LINE.replace("1,", '"1",', 1),
        GOOD_LINE.replace("1,", "true,", 1),
        GOOD_LINE.replace("1,", "0,", 1),
        GOOD_LINE + GOOD_LINE,
        GOOD_LINE.replace('"a"', '["a"]'),
        GOOD_LINE.replace('"1"', "1"),
        GOOD_LINE.replace('"R."', "null"),
        GOOD_LINE.replace('"1"', '"\\ud800"'),
        "[" * 100_000 + "\n",
    ],
    ids=["number as text", "true as number", "no number", "a number twice", "list", "number", "nobody", "half", "deep"],
)
def test_a_line_of_another_make_is_refused_and_kept(path, slip):
    path.write_text(slip)
    with pytest.raises(Refusal, match="did not write"):
        Ledger(path)
    assert path.read_text() == slip
