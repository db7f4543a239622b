"""Laps and measured roads: what no table is, is refused at its line and never waited for."""

from __future__ import annotations

import os

import pytest

from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.lap import load_lap
from cornerwright.model.profile import load_profile

LOADERS = {"time_s,speed_km_per_h": load_lap, "distance_m,left_mm,right_mm": load_profile}


@pytest.mark.parametrize("head", LOADERS)
def test_a_pipe_without_a_writer_is_refused_and_not_waited_for(tmp_path, head):
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(Refusal, match="not a regular file"):
        LOADERS[head](tmp_path / "pipe.csv")


@pytest.mark.parametrize("head", LOADERS)
def test_a_file_that_is_not_there_is_refused_by_name(tmp_path, head):
    with pytest.raises(Refusal, match=r"none.csv: found no such file"):
        LOADERS[head](tmp_path / "none.csv")


@pytest.mark.parametrize("head", LOADERS)
def test_a_cell_longer_than_any_table_holds_is_refused_at_its_line(tmp_path, head):
    file = tmp_path / "long.csv"
    file.write_text(f"{head}\n0,1,1\n{'9' * 140_000},1,1\n")
    with pytest.raises(Refusal) as caught:
        LOADERS[head](file)
    assert caught.value.problems[0].line == 3


@pytest.mark.parametrize("head", LOADERS)
def test_a_sign_that_a_terminal_would_obey_is_shown_as_a_question_mark(tmp_path, head):
    file = tmp_path / "bell.csv"
    file.write_text(f"{head}\n0,\x1b[2J,1\n")
    with pytest.raises(Refusal) as caught:
        LOADERS[head](file)
    assert str(caught.value.problems[0]).isprintable()
    file.write_text("\x1b[2J\n")
    with pytest.raises(Refusal) as caught:
        LOADERS[head](file)
    assert str(caught.value.problems[0]).isprintable()


def test_a_problem_is_one_line_whatever_was_found():
    said = str(Problem("a\nb.yaml", 3, "front", "'\x1b[31m\u2028x'", "a length"))
    assert said == "a?b.yaml:3: front: found '?[31m?x', expected a length"
