"""The page of evidence has the rows of the tests there are; a test in `tests/outside` without a row fails."""

from __future__ import annotations

import importlib
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from evidence import MARKS, RECORD, Outside, page_rows, told_rows
from shared import PROJECT

FOLDER = PROJECT / "tests" / "outside"
PAGE = PROJECT / "docs" / "evidence.md"


def test_the_page_has_the_rows_of_the_tests_and_no_other(monkeypatch):
    """Told without a run: what a row is called is written out in the tests. `make evidence` renews the page."""
    monkeypatch.syspath_prepend(str(FOLDER))
    told = set()
    for module in sorted(FOLDER.glob("test_*.py")):
        rows = set(told_rows(module, vars(importlib.import_module(module.stem))))
        assert rows, f"{module.name} compares nothing"
        told |= rows
    shown = page_rows(PAGE.read_text(encoding="utf-8"))
    assert sorted(told - shown) == [], "in the tests, not on the page: run `make evidence`"
    assert sorted(shown - told) == [], "on the page, not in the tests: run `make evidence`"


def test_every_row_of_the_page_names_a_test_that_is_there():
    text = PAGE.read_text(encoding="utf-8")
    named = set(re.findall(r"`(test_\w+)::(test_\w+)`", text))
    assert len(named) > 150
    for module, test in named:
        assert f"def {test}(" in (FOLDER / f"{module}.py").read_text(encoding="utf-8"), (module, test)


def test_the_head_counts_the_lines():
    text = PAGE.read_text(encoding="utf-8")
    counted = {mark: int(lines) for mark, lines in re.findall(r"^\| ([a-z ]+) \| (\d+) \|", text, re.MULTILINE)}
    assert list(counted) == list(MARKS)
    assert sum(counted.values()) == len(page_rows(text))


ONE = Outside("nothing", "invented", "second road")


@pytest.mark.parametrize(
    ("theirs", "ours", "tolerance"),
    [
        (1.0, 1.1, {"abs": 0.09}),
        (1.0, 1.1, {"rel": 0.09}),
        (0.0, 1e-9, {"rel": 1.0}),
        (1.0, 1.0 + 2e-6, {}),
        (1.0, np.nan, {"abs": 1.0}),
        (np.nan, np.nan, {"abs": 1.0}),
        ([1.0, 2.0], [1.0, 2.2], {"abs": 0.1}),
        ([1.0, 2.0], [1.0], {"abs": 9.0}),
        ([1.0], 1.0, {"abs": 9.0}),
        (1.0, [], {"abs": 9.0}),
    ],
)
def test_what_does_not_agree_fails(theirs, ours, tolerance):
    with pytest.raises(AssertionError):
        ONE.agrees("a number", theirs, ours, **tolerance)


def test_a_row_shows_the_case_that_used_most():
    RECORD.begin("test", "")
    ONE.agrees("a length", [1.0, 2.0, 3.0], [1.001, 2.004, 3.0], "mm", abs=0.01)
    ONE.agrees("a length", 5.0, 5.001, "mm", abs=0.01)
    (row,) = RECORD.rows.values()
    assert (row.cases, row.theirs, row.ours, row.unit) == (4, "2", "2.004", "mm")
    assert row.share == pytest.approx(0.4)
    ONE.holds("a share", [0.2, 0.9], at_least=0.0, at_most=1.0)
    assert RECORD.rows["nothing", "a share", "invented"].ours == "0.9"
    for bad in ({"at_least": 0.3}, {"at_most": 0.8}):
        with pytest.raises(AssertionError):
            ONE.holds("a share", [0.2, 0.9], **bad)
    with pytest.raises(AssertionError):
        ONE.holds("a share", np.nan, at_most=1.0)
    with pytest.raises(AssertionError):
        ONE.same("a word", "yes", "no")
    with pytest.raises(AssertionError):
        ONE.apart("many", 2e-6, "mm", 1e-6, 50)


TRIED = """
import pytest
from evidence import Outside
SOURCE = Outside("threads", "a source", "standard", memory=True)

@pytest.mark.parametrize("one", [1, 2])
def test_that_compares(one):
    SOURCE.agrees("a number", one, one + 0.001 * one, "mm", abs=0.01)
"""
SILENT = "\n\ndef test_that_compares_nothing():\n    assert True\n"


def tried(folder: Path, text: str, *options: str) -> subprocess.CompletedProcess[str]:
    """A run of pytest on a folder with this one test file and our conftest."""
    (folder / "conftest.py").write_bytes((FOLDER / "conftest.py").read_bytes())
    (folder / "test_tried.py").write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:benchmark", *options]
    command += ["--evidence", str(folder / "page.md"), "--rootdir", str(folder), str(folder)]
    paths = os.pathsep.join([str(FOLDER.parent), *filter(None, [os.environ.get("PYTHONPATH")])])
    environment = {**os.environ, "PYTHONPATH": paths}
    return subprocess.run(
        command, capture_output=True, text=True, cwd=folder, timeout=300, check=False, env=environment
    )


@pytest.mark.parametrize("workers", ["0", "2"])
def test_a_run_writes_the_page_from_all_workers(tmp_path, workers):
    done = tried(tmp_path, TRIED, "-n", workers)
    assert done.returncode == 0, done.stdout
    shown = (tmp_path / "page.md").read_text(encoding="utf-8")
    assert page_rows(shown) == {("threads", "a number", "a source")}
    assert "| mm | 2 | 2.002 | 0.002 | 0.01 | 20 % | 2 (2) |" in shown
    assert "standard, from memory" in shown


def test_a_test_that_compares_nothing_fails_and_there_is_no_page(tmp_path):
    done = tried(tmp_path, TRIED + SILENT, "-n", "0")
    assert done.returncode == 1
    assert "compares nothing with anything outside" in done.stdout
    assert not (tmp_path / "page.md").exists()
