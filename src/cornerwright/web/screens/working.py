"""Long work on a screen: begun by a tap, told while it goes on, stopped by another tap."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from nicegui import run, ui

from cornerwright.model.errors import Refusal
from cornerwright.web.desk import Stopped
from cornerwright.web.screens.frame import Tap, Words, box

T = TypeVar("T")
Tell = Callable[[float, str], None]

LOOK = 0.2
"""How often the screen asks how far it is [s]."""


class Working(Generic[T]):
    """The tap that begins, the one that stops, and how far it is.

    work: gets what it tells its progress to, which raises Stopped when the hand has stopped it; then: gets what came
    out. What the work refuses is said beside the tap.
    """

    def __init__(self, words: str, work: Callable[[Tell], T], then: Callable[[T], None], *, first: bool = True) -> None:
        self._work, self._then = work, then
        self._stop = threading.Event()
        self._share, self._what = 0.0, ""
        with box("row"):
            self._begin = Tap(words, self.begin, first=first)
            self._halt = Tap("stop", self._stop.set)
            self._halt.set_visibility(False)
        self._told = Words("p", "", "soft").props('role="status"')

    async def begin(self) -> None:
        """Do it, unless it is being done."""
        if self._halt.visible:
            return
        self._stop.clear()
        self._share, self._what = 0.0, "beginning"
        self._begin.able(False)
        self._halt.set_visibility(True)
        watch = ui.timer(LOOK, lambda: self._told.set_text(f"{self._share:.0%} {self._what}"))
        try:
            found = await run.io_bound(self._work, self._tell)
        except Stopped:
            self._told.set_text("Stopped: nothing was changed.")
        except Refusal as refusal:
            self._told.set_text("; ".join(str(one) for one in refusal.problems))
        else:
            self._told.set_text("")
            if found is not None:  # the server is ending
                self._then(found)
        finally:
            watch.cancel()
            self._begin.able(True)
            self._halt.set_visibility(False)

    def _tell(self, share: float, what: str) -> None:
        if self._stop.is_set():
            raise Stopped
        self._share, self._what = share, what
