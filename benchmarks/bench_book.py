"""What a long book costs: the car as it is and the open jobs at 100,000 entries, the log at 1,000,000.

The whole of each command but the start of the interpreter: the book opened, read, the answer built. The books are
made once a run, in a temporary folder (about a minute, 1.5 GB).
"""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from cornerwright.book.book import Book
from cornerwright.book.history import head, keep_snapshots
from cornerwright.book.making import make_book
from cornerwright.book.tables import chained, entry
from cornerwright.cli import book_telling
from cornerwright.model.carfile import load_car, load_targets
from cornerwright.model.entry import CarDescribed, Entry, TargetsSet, canonical

EXAMPLE = Path(__file__).parents[1] / "examples" / "tarn_fell"
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
BEGAN = datetime(2020, 1, 1, tzinfo=UTC)
GOAL = 0.2
"""Seconds."""


def bodies(draw: random.Random) -> Iterator[dict[str, Any]]:
    """What a busy shop writes: moves, readings, joints, parts, findings, jobs, notes; for ever."""
    while True:
        corner = draw.choice(CORNERS)
        yield from (
            {"kind": "move", "adjuster": f"{corner}.perch", "setting_from": 20.0,
             "setting_to": float(draw.randrange(8, 30))},
            {"kind": "reading", "reading": {corner: {"height": 610.0 + draw.randrange(9), "toe": 0.1}}},
            {"kind": "joint", "joint": f"{corner} bolt {draw.randrange(40)}", "place": corner, "state": "tight",
             "torque": 80.0, "clamp_at": "any", "new_bolt_each_time": False},
            {"kind": "fitted", "part": f"part {draw.randrange(200)}", "place": corner, "price": 10.0, "used": False,
             "sets": {}},
            {"kind": "done", "job": "work", "place": corner, "hours": 1.0},
            {"kind": "finding", "what": "rust", "place": corner, "says": "a spot", "stops_driving": False},
            {"kind": "note", "says": "nothing in particular " * 4},
        )  # fmt: skip


def long_book(where: Path, count: int) -> Path:
    """A book of so many entries, written in bulk as `append` would have written them one by one."""
    described = CarDescribed(kind="car", car=load_car(EXAMPLE / "car.yaml"))
    wanted = TargetsSet(kind="targets", targets=load_targets(EXAMPLE / "targets.yaml"))
    make_book(where, [Entry(when=BEGAN, body=described), Entry(when=BEGAN, body=wanted)]).close()
    draw, kinds = random.Random(20), bodies(random.Random(21))
    found = ""
    with Book.open(where) as book:
        with book.store.writing() as connection:
            number, digest = head(connection)
            while number < count:
                rows = []
                for _ in range(min(5000, count - number)):
                    number += 1
                    body = next(kinds)
                    when = (BEGAN + timedelta(minutes=number)).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
                    settles = [found] if body["kind"] == "done" and found else []
                    if body["kind"] == "finding":
                        found = f"finding_{number}@{body['place']}"
                    name = f"{draw.getrandbits(128):032x}"
                    plain = {"id": name, "when": when, "who": "R.", "photos": [], "settles": settles, "body": body}
                    line = canonical(plain)
                    digest = chained(digest, number, line)
                    row = {"number": number, "id": name, "moment": when, "kind": body["kind"], "corrects": None}
                    rows.append({**row, "place": body.get("place"), "digest": digest, "line": line})
                connection.execute(sa.insert(entry), rows)
        with book.store.writing() as connection:
            keep_snapshots(connection)
    return where


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    made = Path(tempfile.mkdtemp(prefix="cornerwright-bench-"))
    yield made
    shutil.rmtree(made)


@pytest.fixture(scope="module")
def long(folder: Path) -> str:
    return str(long_book(folder / "long.book", 100_000))


@pytest.fixture(scope="module")
def longest(folder: Path) -> str:
    return str(long_book(folder / "longest.book", 1_000_000))


def within_goal(benchmark: Any) -> None:
    assert benchmark.stats.stats.median < GOAL


def test_now_at_100_000_entries(benchmark, long):
    """Goal: within 200 ms."""
    told = benchmark.pedantic(book_telling.now, (long, None), rounds=9, warmup_rounds=1)
    assert told.entries == 100_000
    within_goal(benchmark)


def test_jobs_at_100_000_entries(benchmark, long):
    """Goal: within 200 ms; the first time after a change the model is asked, that is the warm-up here."""
    told = benchmark.pedantic(book_telling.jobs, (long, (), None, None, None), rounds=9, warmup_rounds=1)
    assert told.jobs
    within_goal(benchmark)


def test_log_at_1_000_000_entries(benchmark, longest):
    """Goal: within 200 ms."""
    told = benchmark.pedantic(book_telling.log, (longest, 40, None, None, None), rounds=9, warmup_rounds=1)
    assert (told.entries, len(told.lines)) == (1_000_000, 40)
    within_goal(benchmark)


def test_log_of_one_kind_at_1_000_000_entries(benchmark, longest):
    told = benchmark.pedantic(book_telling.log, (longest, 40, 500_000, "joint", None), rounds=9, warmup_rounds=1)
    assert len(told.lines) == 40
    within_goal(benchmark)


def test_an_entry_more_at_100_000(benchmark, long):
    """One entry, on the disk with a full sync."""
    with Book.open(long) as book:
        benchmark.pedantic(
            lambda: book.append(Entry.model_validate({"body": {"kind": "note", "says": "x"}})),
            rounds=50,
            warmup_rounds=1,
        )
