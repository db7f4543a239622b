"""What the tests share: the example's files, and the program run in this process."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import hypothesis
import pytest

from cornerwright.cli import run
from shared import PROJECT

# Machines under load are slow now and then; that is not what these tests are about.
hypothesis.settings.register_profile("cornerwright", deadline=None)
hypothesis.settings.load_profile("cornerwright")


@dataclass(frozen=True)
class Outcome:
    """How a command ended."""

    status: int
    out: str
    err: str

    @property
    def answer(self) -> Any:
        """What it printed, read as JSON."""
        return json.loads(self.out)


Cornerwright = Callable[..., Outcome]


@pytest.fixture
def cornerwright(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Cornerwright:
    """Run one command line; arguments are made texts."""
    monkeypatch.setenv("COLUMNS", "80")

    def command(*arguments: object) -> Outcome:
        status = run([str(one) for one in arguments])
        told = capsys.readouterr()
        return Outcome(status, told.out, told.err)

    return command


@dataclass(frozen=True)
class Job:
    """The three files of a job, in a folder of the test's own."""

    car: Path
    readings: Path
    targets: Path

    @property
    def plan(self) -> tuple[object, ...]:
        """Arguments of a plan from these files."""
        return ("plan", self.car, "--readings", self.readings, "--targets", self.targets)

    @staticmethod
    def edit(file: Path, old: str, new: str) -> None:
        """Replace a text that must be there."""
        text = file.read_text(encoding="utf-8")
        assert old in text
        file.write_text(text.replace(old, new), encoding="utf-8")


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """The example's files, copied so that a test may change them."""
    for name in ("car", "readings", "targets"):
        source = PROJECT / "examples" / "tarn_fell" / f"{name}.yaml"
        (tmp_path / source.name).write_bytes(source.read_bytes())
    return Job(*(tmp_path / f"{name}.yaml" for name in ("car", "readings", "targets")))


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Say plainly when a half of the tests did not run, and how many damaged files there were."""
    damaged = sys.modules.get("bounds")
    if damaged is not None and damaged.TOTAL:
        for file, count in sorted(damaged.ran.items()):
            terminalreporter.write_line(f"{count:>8} {file}")
        terminalreporter.write_line(f"{sum(damaged.ran.values()):>8} damaged files in all")
    if not os.environ.get("CORNERWRIGHT_TEST_POSTGRESQL"):
        terminalreporter.write_line(
            "PostgreSQL not tested: no server's URL in CORNERWRIGHT_TEST_POSTGRESQL (.ci/run starts one)."
        )
    if any("no Chromium" in str(one.longrepr) for one in terminalreporter.stats.get("skipped", [])):
        terminalreporter.write_line(
            "The app not tested in a browser: no Chromium; `apt-get install chromium` puts it there."
        )
