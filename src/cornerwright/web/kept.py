"""The last answer to each question, kept as long as what it followed from is the same."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, TypeVar

T = TypeVar("T")


class Kept:
    """One answer a question. Use it from any thread.

    what: the question. key: all that its answer follows from, told before the work begins: what is changed while it
    goes on makes the answer an old one.
    """

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._last: dict[str, tuple[str, Any]] = {}

    def once(self, what: str, key: str, work: Callable[[], T]) -> T:
        """The answer that is there, or that of the work; who asks meanwhile waits for it."""
        with self._lock:
            found = self._last.get(what)
            if found is None or found[0] != key:
                return self.anew(what, key, work)
            known: T = found[1]
            return known

    def anew(self, what: str, key: str, work: Callable[[], T]) -> T:
        """The answer of the work, kept. Nobody waits for it: what raises leaves the last answer as it was."""
        found = work()
        self._last[what] = key, found
        return found

    def last(self, what: str, key: str) -> Any:
        """The answer that is there; None: none, or of another key."""
        found = self._last.get(what)
        return None if found is None or found[0] != key else found[1]

    def forget(self) -> None:
        """Let all answers go."""
        with self._lock:
            self._last.clear()
