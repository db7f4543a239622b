"""An app that nobody looks at ends; one that somebody looks at does not."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import subprocess
import sys
from contextlib import suppress
from urllib.request import urlopen

import pytest

from cars_in_hand import car_folder
from cornerwright.web.idle import Watched, end_when_quiet


class Clock:
    def __init__(self) -> None:
        self.at = 100.0

    def __call__(self) -> float:
        return self.at


def test_quiet_begins_when_the_last_page_is_closed():
    clock = Clock()
    seen = []

    async def app(scope, receive, send):
        clock.at += 50.0
        seen.append(watched.quiet())

    watched = Watched(app, clock)
    clock.at += 7.0
    assert watched.quiet() == 7.0
    asyncio.run(watched({"type": "websocket"}, None, None))
    assert seen == [0.0]
    assert watched.quiet() == 0.0
    clock.at += 3.0
    assert watched.quiet() == 3.0


def test_starting_and_ending_of_the_server_is_no_page():
    clock = Clock()

    async def app(scope, receive, send):
        clock.at += 5.0

    watched = Watched(app, clock)
    asyncio.run(watched({"type": "lifespan"}, None, None))
    assert watched.quiet() == 5.0


def test_the_server_is_asked_to_end_only_when_it_is_quiet():
    class Server:
        should_exit = False

    async def both() -> None:
        open_for_good = asyncio.Event()

        async def app(scope, receive, send):
            await open_for_good.wait()

        watched, server = Watched(app), Server()
        page = asyncio.create_task(watched({"type": "http"}, None, None))
        waiting = asyncio.create_task(end_when_quiet(server, watched, 0.05))
        await asyncio.sleep(0.3)
        assert not server.should_exit
        open_for_good.set()
        await asyncio.wait_for(waiting, 10.0)
        assert server.should_exit
        await page

    asyncio.run(both())


def test_the_command_ends_by_itself(tmp_path):
    command = [sys.executable, "-m", "cornerwright", "app", str(car_folder(tmp_path)), "--port", "0",
               "--end-after", "0.02"]  # fmt: skip
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    assert "The car is open" in done.stdout


@pytest.fixture
def ended():
    """Numbers of processes that a test has left open."""
    numbers: list[int] = []
    yield numbers
    for number in numbers:
        with suppress(ProcessLookupError):
            os.kill(number, signal.SIGTERM)


@pytest.mark.skipif(sys.platform == "win32", reason="processes are ended otherwise there")
def test_the_demo_leaves_the_examples_book_open_and_does_not_open_it_twice(cornerwright, tmp_path, ended):
    first = cornerwright("demo", "--out", tmp_path / "demo", "--app", "--json").answer
    ended.append(first["app"]["process"])
    with urlopen(first["app"]["address"]) as page:
        assert b"The floor" in page.read()
    again = cornerwright("demo", "--out", tmp_path / "demo", "--app", "--json").answer
    assert again["app"] == first["app"]
    assert json.loads((tmp_path / "demo" / "app.json").read_text()) == first["app"]
    told = cornerwright("demo", "--out", tmp_path / "demo", "--app").out
    assert first["app"]["address"] in "".join(told.splitlines()[-4:])
