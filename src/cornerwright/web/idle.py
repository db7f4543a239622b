"""When nobody looks any more: an app that was opened to be tried ends by itself."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

import uvicorn

from cornerwright.web.guard import App, Receive, Scope, Send

OFTEN = 10.0
"""Least of looks in the time that is waited."""


class Watched:
    """The app behind it, with what is open and since when nothing is."""

    def __init__(self, app: App, now: Callable[[], float] = time.monotonic) -> None:
        self._app, self._now = app, now
        self._open = 0
        self._since = now()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request or a socket on, counted while it lasts."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        self._open += 1
        try:
            await self._app(scope, receive, send)
        finally:
            self._open -= 1
            self._since = self._now()

    def quiet(self) -> float:
        """For how long no page has been open [s]."""
        return 0.0 if self._open else self._now() - self._since


async def end_when_quiet(server: uvicorn.Server, watched: Watched, limit: float) -> None:
    """Ask the server to end once no page has been open for so long [s]."""
    while watched.quiet() < limit:
        await asyncio.sleep(min(limit / OFTEN, OFTEN))
    server.should_exit = True
