"""The app started as a process of its own, that goes on when the command that started it has ended."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from pathlib import Path
from urllib.request import urlopen

from cornerwright.model.errors import Refusal
from cornerwright.model.results import Result

PORT = 8480
PATIENCE = 60.0
"""How long the app may take to answer [s]."""
ADDRESS = re.compile(r"http://127\.0\.0\.1:\d+/")


class Opened(Result):
    """The app as it was left open."""

    address: str
    process: int
    """Its number: end it by this."""
    ends_after_minutes: float


def open_apart(book: Path, log: Path, minutes: float) -> Opened:
    """Open a book in the app at the usual port, or a free one; it ends when no page was open for so many minutes.

    One that was opened so before and still answers is left as it is. Raises Refusal where it does not come up.
    """
    kept = log.with_suffix(".json")
    before = _still_open(kept)
    if before is not None:
        return before
    for port in (PORT, 0):
        process = _start(book, port, log, minutes)
        address = _address(process, log)
        if address is not None:
            opened = Opened(address=address, process=process.pid, ends_after_minutes=minutes)
            kept.write_text(opened.model_dump_json(), encoding="utf-8")
            return opened
        process.wait(timeout=10.0)
    said = log.read_text(encoding="utf-8").strip() or "nothing"
    raise Refusal.of(f"an app that did not start: {said}", "one that answers", file=str(log))


def _still_open(kept: Path) -> Opened | None:
    try:
        before = Opened.model_validate_json(kept.read_text(encoding="utf-8"))
        os.kill(before.process, 0)
        with urlopen(before.address, timeout=5.0) as page:
            return before if b"The floor" in page.read() else None
    except (OSError, ValueError):
        return None


def _start(book: Path, port: int, log: Path, minutes: float) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "cornerwright", "app", str(book), "--port", str(port), "--end-after", str(minutes)]
    with log.open("wb") as told:
        # A session of its own: closing the terminal does not end it.
        return subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=told, stderr=told, cwd=os.getcwd(),
                                start_new_session=True)  # fmt: skip


def _address(process: subprocess.Popen[bytes], log: Path) -> str | None:
    """What it says it answers at; None: it has ended. A process that says nothing is ended."""
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        found = ADDRESS.search(log.read_text(encoding="utf-8", errors="replace"))
        if found is not None:
            return found[0]
        if process.poll() is not None:
            return None
        time.sleep(0.05)
    process.kill()
    return None
