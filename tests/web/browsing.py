"""The app in a process of its own and a browser that opens it. Left out where there is no Chromium."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from seeing import PATIENCE

sync_api = pytest.importorskip("playwright.sync_api")

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
SIZES = {"phone": (390, 844), "desktop": (1280, 800)}
PHRASE = "four corners as one"
sync_api.expect.set_options(timeout=1000 * PATIENCE)


SMALL = """() => [...document.querySelectorAll('button,a,.field,input[type=range]')]
  .filter(e => e.className !== 'skip').map(e => [e.innerText, e.getBoundingClientRect()])
  .filter(([, box]) => box.height > 0 && (box.height < 47.5 || box.width < 47.5)).map(([words]) => words)"""
"""Words on whatever is tapped and is not large enough."""


class Serving:
    """The app on one car, that can be killed and started again at the same port."""

    def __init__(self, where: Path, *more: str) -> None:
        self.where, self.more, self.port = where, more, "0"
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-m", "cornerwright", "app", str(self.where), "--port", self.port, *self.more]
        environment = {**os.environ, "CORNERWRIGHT_PHRASE": PHRASE, "PYTHONUNBUFFERED": "1"}
        environment.pop("PYTEST_CURRENT_TEST", None)
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
        assert self.process.stdout is not None
        told = self.process.stdout.readline()
        found = re.search(r"http://127\.0\.0\.1:(\d+)/", told)
        assert found, told
        self.port, self.url = found[1], found[0].rstrip("/")

    def kill(self) -> None:
        """No word of farewell."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


def opened(browser, url: str, size: str = "phone", **more):
    """A page of this size, and what went wrong in it or was asked of another machine."""
    width, height = SIZES[size]
    page = browser.new_context(viewport={"width": width, "height": height}, **more).new_page()
    page.set_default_timeout(1000 * PATIENCE)
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("request", lambda one: None if "//127.0.0.1:" in one.url or one.url.startswith("data:")
            else troubles.append(one.url))  # fmt: skip
    page.goto(url)
    return page, troubles


def whole(page, url: str | None = None) -> None:
    """Open it, unless it is open, and wait until all of it is worked out."""
    if url is not None:
        page.goto(url)
    page.get_by_role("heading", level=1).wait_for()
    page.wait_for_function("() => !document.querySelector('[aria-busy=true]')")
