"""The screens as a user finds them, without a browser."""

from __future__ import annotations

import asyncio
import json
import re
import threading
import time
from collections.abc import Awaitable, Callable

import pytest
from nicegui import ui
from nicegui.testing import User
from nicegui.testing.user_simulation import user_simulation
from seeing import comes_meanwhile, seen

from cars_in_hand import car_book, car_folder
from cornerwright.assembly.at_hand import most_steps
from cornerwright.book.book import Book
from cornerwright.drawing.lettering import counted
from cornerwright.model.parts import CORNERS
from cornerwright.web.desk import Desk
from cornerwright.web.rounds import the_round
from cornerwright.web.serving import pages
from diary import say

WAYS = (
    "/joints", "/joint?name=front_left.fastening", "/parts", "/part/rear_left.spring.0", "/parts/other", "/brakes",
    "/history", "/history/write", "/history/compare", "/learned",
)  # fmt: skip
"""Screens behind More."""

Steps = Callable[[User], Awaitable[None]]


@pytest.fixture(params=["files", "book"])
def desk(request, tmp_path):
    made = Desk(car_folder(tmp_path) if request.param == "files" else car_book(tmp_path))
    yield made
    made.close()


def walk(desk: Desk, steps: Steps) -> None:
    """Take these steps in the app."""

    async def whole() -> None:
        async with user_simulation() as user:
            pages(desk)
            await steps(user)

    asyncio.run(whole())


def busy(user: User) -> bool:
    """Whether something on the screen is still being worked out."""
    return any(one.props.get("aria-busy") == "true" for one in user.find(kind=ui.element).elements)


def test_the_floor_shows_each_corner_and_the_job(desk):
    async def steps(user):
        await user.open("/")
        await seen(user, "Work out what to turn")
        for corner in CORNERS:
            await seen(user, corner.replace("_", " "))
        await seen(user, "compressed spring can kill")

    walk(desk, steps)


def test_a_corner_is_there(desk):
    async def steps(user):
        await user.open("/corner/rear_left")
        await seen(user, "Move the wheel")
        await seen(user, "bump stop")
        await seen(user, "to arm" if desk.papers.book is None else "to bump stop bracket")
        await seen(user, "every clearance here, 5 mm wanted")
        await user.open("/corner/boot")
        await seen(user, "a corner: front_left")

    walk(desk, steps)


def test_what_a_browser_asks_of_a_corner_is_answered(desk, monkeypatch):
    """Its own script asks; here the same questions, and others that no browser would ask, are put to the page."""

    async def steps(user):
        await user.open("/corner/rear_left")
        await seen(user, "Nothing is written down")
        told = []
        answer = re.compile(r"cwCorner\.answer\((.*)\)", re.S)

        def run(code):
            found = answer.fullmatch(code)
            if found:
                told.append(json.loads(found[1]))

        monkeypatch.setattr(ui, "run_javascript", run)
        pose = next(iter(user.find(marker="pose").elements))
        ask = next(one for one in pose._event_listeners.values() if one.type == "ask")

        async def asked(what):
            pose._handle_event({"listener_id": ask.id, "args": what})
            assert await comes_meanwhile(lambda: bool(told)), "no answer"
            return told.pop()

        up = await asked({"lift": 1e4, "n": 7})
        assert up["n"] == 7
        assert {name: text for name, text, _ in up["t"]}["stop"] == "touched"
        assert up["d"]
        assert "b" not in up
        same = await asked({"lift": 1e4, "n": 8})
        assert "d" not in same
        solid = await asked({"solid": True})
        assert len(solid["b"]) == len(solid["f"])
        for nonsense in ({"lift": "up"}, {"lift": None, "n": "x"}, [], {"lift": 1e300, "turn": {}}):
            assert (await asked(nonsense))["v"] == solid["v"]

    walk(desk, steps)


def test_an_adjuster_is_tried_on_paper(desk):
    async def steps(user):
        await user.open("/corner/front_left")
        await seen(user, "Nothing is written down")
        await user.should_not_see("height +")
        version = desk.ledger.version
        user.find(marker="on-front_left.perch").click()
        await seen(user, "height +")
        user.find(marker="far-front_left.perch").click()
        await seen(user, "+1 1/4 turns")
        assert desk.ledger.version == version
        user.find("all back").click()
        assert await comes_meanwhile(
            lambda: not any("height +" in getattr(one, "text", "") for one in user.find(kind=ui.element).elements)
        )

    walk(desk, steps)


def test_an_adjuster_ends_where_its_range_does_and_a_limit_is_named(desk):
    async def steps(user):
        await user.open("/corner/rear_left")
        await seen(user, "Nothing is written down")
        for _ in range(20):
            user.find(marker="far-back-rear_left.perch").click()
            await asyncio.sleep(0)
        await seen(user, "this breaks a hard limit: " if desk.papers.book is None else "as it stands now too")
        await seen(user, "the spring must not come loose at full droop")
        count = desk.adjusters("rear_left")["rear_left.perch"]
        least = most_steps(count)[0]
        await seen(user, counted(least * count.step, "turn"))

    walk(desk, steps)


def test_measure_asks_in_the_order_of_the_walk(desk):
    async def steps(user):
        await user.open("/measure")
        await seen(user, "height, mm")
        await seen(user, "each is stored as you type")
        labels = [one.props["aria-label"] for one in user.find(kind=ui.element).elements if one.props.get("inputmode")]
        assert len(labels) >= 12
        assert all("in " in label for label in labels)

    walk(desk, steps)


def test_a_quick_hand_leaves_no_looks_behind(desk, monkeypatch):
    """However many fields change while one look is at work: one more sees them all, and nobody waits for the rest."""
    at_work, most, looks = 0, 0, 0

    def slow(asked):
        nonlocal at_work, most, looks
        at_work, looks = at_work + 1, looks + 1
        most = max(most, at_work)
        time.sleep(0.3)
        try:
            return the_round(asked)
        finally:
            at_work -= 1

    async def steps(user):
        await user.open("/measure")
        await seen(user, "each is stored as you type")
        monkeypatch.setattr("cornerwright.web.screens.measure.the_round", slow)
        for corner in CORNERS:
            user.find(marker=f"read.{corner}.toe").trigger("input", "0.1")
            await asyncio.sleep(0.25)
        await seen(user, "4 of ")
        await asyncio.sleep(0.5)

    walk(desk, steps)
    assert (most, desk.ledger.get("read.rear_right.toe")) == (1, "0.1")
    assert 1 <= looks <= 3


def test_the_plan_is_made_and_ticked(desk):
    async def steps(user):
        await user.open("/plan")
        await seen(user, "No plan yet")
        user.find("Work out what to turn").click()
        await seen(user, "What the gauges will show")
        user.find(marker="move-0").click()
        assert await comes_meanwhile(lambda: desk.ticked() == {0})
        await seen(user, f"1 of {len(desk.plan().moves)} moves made")

    walk(desk, steps)


def test_jobs_and_the_rest_are_there(desk):
    async def steps(user):
        await user.open("/jobs")
        await seen(user, "bushes" if desk.papers.book is None else "Because:")
        await user.open("/more")
        await seen(user, "Joints")
        await seen(user, "What was learned")
        await user.open("/history")
        await seen(user, "Begin a book" if desk.papers.book is None else "targets set: hillclimb, dry")

    walk(desk, steps)


def test_a_form_opened_while_the_list_is_worked_out_stays(tmp_path, monkeypatch):
    """A list that comes late is offered; it does not take the form from under the finger."""
    desk = Desk(car_book(tmp_path))

    async def steps(user):
        await user.open("/jobs")
        await seen(user, "Because:")
        jobs, asked = desk.jobs, threading.Event()

        def slow():
            asked.set()
            time.sleep(1.0)
            return jobs()

        monkeypatch.setattr(desk, "jobs", slow)
        with Book.open(desk.papers.book.where) as book:
            book.append(say("finding", what="leak", place="front_left", says="hose weeps"))
        assert await comes_meanwhile(asked.is_set)
        user.find("done").click()
        await seen(user, "It is done: write it down")
        await seen(user, "The list has changed: show it")
        await seen(user, "It is done: write it down")
        await user.should_not_see("hose weeps")
        user.find("The list has changed: show it").click()
        await seen(user, "hose weeps")

    walk(desk, steps)
    desk.close()


def test_everything_tapped_has_a_name(desk):
    async def steps(user):
        for path in ("/", "/corner/front_right", "/measure", "/plan", "/more", "/jobs", *WAYS):
            await user.open(path)
            assert await comes_meanwhile(lambda: not busy(user)), path
            for one in user.find(kind=ui.element).elements:
                if one.tag in ("button", "a", "input"):
                    named = one.props.get("aria-label") or getattr(one, "text", "")
                    assert named, f"{path}: {one.tag} without a name"

    walk(desk, steps)
