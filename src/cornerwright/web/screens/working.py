"""Long work on a screen: begun by a tap, told while it goes on, stopped by another tap."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import partial
from typing import Generic, TypeVar

from nicegui import run, ui

from cornerwright.model.errors import Refusal
from cornerwright.web.desk import Stopped, Tell
from cornerwright.web.screens.frame import Tap, Words, box

T = TypeVar("T")

LOOK = 0.2
"""How often the screen asks how far it is [s]."""


class Working(Generic[T]):
    """The taps that begin, the one that stops, and how far it is; one work at a time.

    then: gets what came out. offers: words on a tap, and the work it begins, which gets what it tells its progress to;
    that raises Stopped when the hand has stopped it. What the work refuses is said below the taps.
    """

    def __init__(self, then: Callable[[T], None], *offers: tuple[str, Callable[[Tell], T]]) -> None:
        self._then = then
        self._stop = threading.Event()
        self._share, self._what = 0.0, ""
        with box("row"):
            self._taps = [Tap(words, partial(self.begin, work), first=k == 0) for k, (words, work) in enumerate(offers)]
            self._halt = Tap("stop", self._stop.set)
            self._halt.set_visibility(False)
        self._told = Words("p", "", "soft").props('role="status"')

    async def begin(self, work: Callable[[Tell], T]) -> None:
        """Do it, unless something is being done."""
        if self._halt.visible:
            return
        self._stop.clear()
        self._share, self._what = 0.0, "beginning"
        self._busy(True)
        watch = ui.timer(LOOK, lambda: self._told.set_text(f"{self._share:.0%} {self._what}"))
        try:
            found = await run.io_bound(work, self._tell)
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
            self._busy(False)

    def _busy(self, busy: bool) -> None:
        for tap in self._taps:
            tap.able(not busy)
        self._halt.set_visibility(busy)

    def _tell(self, share: float, what: str) -> None:
        if self._stop.is_set():
            raise Stopped
        self._share, self._what = share, what


def answered(show: Callable[[T], None], last: T | None, *offers: tuple[str, Callable[[Tell], T]]) -> None:
    """The taps of a long work, and below them what it answers, laid out by `show`; last: what it answered before."""

    def put(found: T) -> None:
        held.clear()
        with held:
            show(found)

    Working(put, *offers)
    held = box().props('aria-live="polite"')
    if last is not None:
        put(last)
