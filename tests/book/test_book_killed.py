"""Killed at any moment, a book holds every entry it had confirmed."""

from __future__ import annotations

import os
from uuid import uuid4

import pytest
from killing import kill_often

from servers import SERVER, drop

RUNS = int(os.environ.get("CORNERWRIGHT_KILLS", "6"))
"""Runs of three writers each; 200 of them take about two minutes."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="writers are forked")
def test_killed_writers_lose_nothing_that_was_confirmed():
    assert kill_often("folder", RUNS, seed=20) > RUNS


@pytest.mark.skipif(not SERVER, reason="no CORNERWRIGHT_TEST_POSTGRESQL: PostgreSQL not tested")
def test_killed_writers_lose_nothing_on_a_server():
    runs = max(2, RUNS // 2)
    where = f"{SERVER}#t_{uuid4().hex[:20]}_"
    try:
        assert kill_often(where, runs, seed=21, each=runs) > 0
    finally:
        drop(f"{where}0")
