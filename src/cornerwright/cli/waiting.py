"""Saying that work goes on: only on a terminal, only when it takes long enough to wonder."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

PATIENCE = 0.4
"""Seconds of work before anything is shown."""


class Waiting:
    """A progress line on stderr that appears late and leaves nothing behind."""

    def __init__(self, shown: bool) -> None:
        self._shown = shown
        self._began = time.monotonic()
        self._progress: Progress | None = None
        self._task: TaskID | None = None

    def __call__(self, share: float, words: str) -> None:
        """Say how much is done [0..1] and what is being done now."""
        if not self._shown or time.monotonic() - self._began < PATIENCE:
            return
        if self._progress is None:
            self._begin()
        if self._progress is not None and self._task is not None:
            self._progress.update(self._task, completed=share, description=words)

    def _begin(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

        self._progress = Progress(
            TextColumn("{task.description}", markup=False),
            BarColumn(bar_width=24),
            TimeElapsedColumn(),
            console=Console(stderr=True),
            transient=True,
        )
        self._progress.start()
        self._task = self._progress.add_task("", total=1.0)

    def end(self) -> None:
        """Take the line away."""
        if self._progress is not None:
            self._progress.stop()
            self._progress = None


@contextmanager
def waiting(as_json: bool) -> Iterator[Waiting]:
    """Progress for the length of a with block."""
    line = Waiting(shown=not as_json and sys.stderr.isatty())
    try:
        yield line
    finally:
        line.end()
