"""Every test here leaves a row for the page of evidence, or fails."""

from __future__ import annotations

from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest

from evidence import RECORD, Row, packed, page, unpacked

PROPERTY = "evidence"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let a run of this folder write the page."""
    parser.addoption("--evidence", metavar="FILE", help="write the page of evidence; for whole runs")


def pytest_configure(config: pytest.Config) -> None:
    """Join the rows where the reports come together, not in the workers."""
    if config.getoption("--evidence", None) and not hasattr(config, "workerinput"):
        config.pluginmanager.register(Joiner(Path(config.getoption("--evidence"))))


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, None, None]:
    """Carry the test's rows in its report; a test that passes without any fails."""
    case = item.callspec.id if isinstance(item, pytest.Function) and hasattr(item, "callspec") else ""
    RECORD.begin(f"{item.path.stem}::{getattr(item, 'originalname', item.name)}", case)
    yield
    assert RECORD.rows, "this test compares nothing with anything outside: no row for the page of evidence"
    item.user_properties.append((PROPERTY, packed(RECORD.rows.values())))


class Joiner:
    """Gathers the rows of all reports and writes the page when everything has passed."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.rows: list[Row] = []
        self.missed: list[str] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Take what a test has noted."""
        if report.when == "call" and report.passed:
            for name, text in report.user_properties:
                if name == PROPERTY:
                    self.rows += unpacked(str(text))
        elif not report.passed:
            self.missed.append(report.nodeid)

    def pytest_terminal_summary(self, terminalreporter: Any) -> None:
        """Write the page, or say why not."""
        if self.missed or not self.rows:
            terminalreporter.write_line(f"no page of evidence written: {', '.join(self.missed) or 'nothing ran'}")
            return
        self.file.write_text(page(self.rows), encoding="utf-8")
        terminalreporter.write_line(f"{self.file}: {len(self.rows)} rows joined")
