"""How soon the app follows fingers: many screens move a wheel at once, over real sockets, on one served car.

    python3 benchmarks/bench_app.py --sessions 20 --seconds 6

The server runs in a process of its own, as `cornerwright app` starts it, on the loopback. Each screen here opens the
corner's page, speaks the page's own socket messages and asks as its script does: one question out at a time, none
sooner than 30 ms after the last, each for where the finger is by then. The finger sweeps the travel, then the lock,
at 60 places a second. Told are the time from a question to its answer, and how long after the finger was at a place
the screen shows it there or further. A single screen is measured first, in the same run. The car is invented.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import math
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import aiohttp

from cornerwright.model.parts import CORNERS

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
GAP = 0.030
"""Least time between two questions of a screen [s], as in corner.js."""
RATE = 60.0
"""Places of a finger in a second."""
GOAL = 0.200
"""Answers within this [s] count as following."""
TURN_EVERY = 2.0
"""A finger goes from travel to lock and back so often [s]."""
PATIENCE = 5.0
OPENING = 60.0
"""How long a corner may take to be laid out [s]."""
POSE = re.compile(r'"(\d+)":\{"tag":"div","class":\["pose"\].*?"listener_id":"([^"]+)","type":"ask"')
HANDLES = re.compile(r'"min":"([-\d.]+)","max":"([-\d.]+)".*?"data-handle":"(\w+)"')


@dataclass
class Screen:
    """One browser's page of a corner."""

    number: int
    url: str
    solid: bool
    answers: list[float] = field(default_factory=list)
    follows: list[float] = field(default_factory=list)
    received: int = 0
    lost: int = 0

    async def run(self, web: aiohttp.ClientSession, begin: asyncio.Event, ready: asyncio.Event, seconds: float) -> None:
        """Open the page, wait until all have, then move."""
        corner = CORNERS[self.number % 4]
        async with web.get(f"{self.url}/corner/{corner}") as page:
            text = await page.text()
        client = re.search(r"'client_id': '([^']+)'", text)[1]
        query = {"client_id": client, "next_message_id": 0, "implicit_handshake": "true", "tab_id": f"t{self.number}",
                 "document_id": f"d{self.number}", "EIO": 4, "transport": "websocket"}  # fmt: skip
        address = f"{self.url.replace('http', 'ws')}/_nicegui_ws/socket.io/?{urlencode(query)}"
        async with web.ws_connect(address, compress=15, max_msg_size=0) as socket:
            await socket.receive()
            await socket.send_str("40")
            # The page is there at once, the wheel as soon as it is worked out.
            element = None
            while element is None:
                message = await asyncio.wait_for(socket.receive(), OPENING)
                if message.data == "2":
                    await socket.send_str("3")
                element = POSE.search(message.data)
            ends = {name: (float(low), float(high)) for low, high, name in HANDLES.findall(message.data)}
            head = {"id": int(element[1]), "client_id": client, "listener_id": element[2]}
            if self.solid:
                await self._ask(socket, head, {"solid": True, "n": 0})
                await asyncio.wait_for(self._answered(socket, 0), PATIENCE)
            ready.set()
            await begin.wait()
            await self._move(socket, head, ends, seconds)

    async def _move(self, socket, head, ends, seconds: float) -> None:
        start = time.perf_counter()
        number, shown = 0, start
        while (asked := time.perf_counter()) - start < seconds:
            number += 1
            place = self._finger(asked - start, ends)
            await self._ask(socket, head, place | {"n": number})
            try:
                await asyncio.wait_for(self._answered(socket, number), PATIENCE)
            except TimeoutError:
                self.lost += 1
                self.answers.append(PATIENCE)
                continue
            now = time.perf_counter()
            self.answers.append(now - asked)
            # Every place of the finger since the last question is on the screen only now.
            count = max(1, round((asked - shown) * RATE))
            self.follows += [now - (asked - k / RATE) for k in range(count)]
            shown = asked
            await asyncio.sleep(max(0.0, asked + GAP - now))

    def _finger(self, at: float, ends) -> dict[str, float]:
        across = next((name for name in ends if name != "lift"), None)
        turn = int(at / TURN_EVERY)
        name = across if across is not None and turn % 2 == 1 else "lift"
        low, high = ends[name]
        phase = 2 * math.pi * (0.35 * at + 0.618 * self.number)
        return {name: round((low + high) / 2 + (high - low) / 2 * math.sin(phase), 1)}

    @staticmethod
    async def _ask(socket, head, what) -> None:
        await socket.send_str("42" + json.dumps(["event", head | {"args": [json.dumps(what)]}]))

    async def _answered(self, socket, number: int) -> None:
        sign = f'\\"n\\":{number}}})'
        while True:
            message = await socket.receive()
            if message.type is not aiohttp.WSMsgType.TEXT:
                raise RuntimeError(f"the server closed the socket: {message}")
            if message.data == "2":
                await socket.send_str("3")
                continue
            self.received += len(message.data)
            if sign in message.data:
                return


async def fingers(url: str, sessions: int, seconds: float, solid: int, pid: int = 0) -> tuple[list[Screen], float]:
    """So many screens at once, the first `solid` in three dimensions; and the server's processor time for it [s]."""
    screens = [Screen(k, url, k < solid) for k in range(sessions)]
    begin = asyncio.Event()
    readies = [asyncio.Event() for _ in screens]
    connector = aiohttp.TCPConnector(limit=0)
    async with aiohttp.ClientSession(connector=connector) as web:
        tasks = [
            asyncio.create_task(one.run(web, begin, ready, seconds))
            for one, ready in zip(screens, readies, strict=True)
        ]
        waiting = asyncio.gather(*(one.wait() for one in readies))
        await asyncio.wait([waiting, *tasks], return_when=asyncio.FIRST_COMPLETED)
        spent = cpu_of(pid) if pid else 0.0
        begin.set()
        await asyncio.gather(*tasks)
        spent = cpu_of(pid) - spent if pid else 0.0
    return screens, spent


def told(name: str, screens: list[Screen], seconds: float, spent: float) -> dict[str, object]:
    """Figures of one phase."""
    answers = sorted(time for one in screens for time in one.answers)
    follows = sorted(time for one in screens for time in one.follows)

    def at(values: list[float], share: float) -> float:
        return round(1e3 * values[min(len(values) - 1, int(share * len(values)))], 1)

    return {
        "phase": name,
        "sessions": len(screens),
        "answers": len(answers),
        "answers_per_second": round(len(answers) / seconds, 1),
        "within_200_ms_percent": round(100 * sum(time <= GOAL for time in answers) / len(answers), 2),
        "answer_median_ms": round(1e3 * statistics.median(answers), 1),
        "answer_95_ms": at(answers, 0.95),
        "answer_worst_ms": round(1e3 * answers[-1], 1),
        "follow_95_ms": at(follows, 0.95),
        "follow_within_200_ms_percent": round(100 * sum(time <= GOAL for time in follows) / len(follows), 2),
        "lost": sum(one.lost for one in screens),
        "bytes_per_answer": round(sum(one.received for one in screens) / len(answers)),
        "server_cpu_ms_per_answer": round(1e3 * spent / len(answers), 2),
    }


def cpu_of(process: int) -> float:
    """Processor time [s] that a process has used; 0 where the system does not tell."""
    try:
        parts = Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return 0.0
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def measure(car: str, sessions: int, seconds: float, solid: int) -> list[dict[str, object]]:
    """One screen; many, while places are new; many again, when most places are known."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("car", "readings", "targets"):
            source = EXAMPLES / car / f"{name}.yaml"
            (Path(folder) / f"{name}.yaml").write_bytes(source.read_bytes())
        command = [sys.executable, "-m", "cornerwright", "app", folder, "--port", "0"]
        served = subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"}
        )
        try:
            url = re.search(r"http://127\.0\.0\.1:\d+", served.stdout.readline())[0]
            asyncio.run(fingers(url, 4, 0.5, 0))  # each corner opened once, as the first screens do
            found = []
            for name, count in (("one screen", 1), ("many, places new", sessions), ("many again", sessions)):
                screens, spent = asyncio.run(fingers(url, count, seconds, min(solid, count - 1), served.pid))
                found.append(told(name, screens, seconds, spent))
            for one in found:
                one["answer_95_ratio_to_one_screen"] = round(one["answer_95_ms"] / found[0]["answer_95_ms"], 1)
            return found
        finally:
            served.terminate()
            served.wait(20)


def test_fingers_follow(benchmark):
    """Under pytest: one round, the figures beside it."""
    found = benchmark.pedantic(measure, args=("skerry_nine", 20, 4.0, 5), rounds=1)
    benchmark.extra_info.update({one["phase"]: one for one in found})
    assert all(one["lost"] == 0 for one in found)


def main() -> None:
    """The figures as JSON."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--car", default="skerry_nine", choices=("skerry_nine", "tarn_fell"))
    parser.add_argument("--sessions", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=6.0)
    parser.add_argument("--solid", type=int, default=5, help="how many of them look at the solid view")
    asked = parser.parse_args()
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    found = measure(asked.car, min(asked.sessions, 100), min(asked.seconds, 60.0), asked.solid)
    print(
        json.dumps(
            {"cores": os.cpu_count(), "load_before": round(load, 2), "car": asked.car, "phases": found}, indent=1
        )
    )


if __name__ == "__main__":
    main()
