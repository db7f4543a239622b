"""The screens as a user finds them, without a browser."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import pytest
from nicegui import ui
from nicegui.testing import User
from nicegui.testing.user_simulation import user_simulation

from cars_in_hand import car_book, car_folder
from cornerwright.model.parts import CORNERS
from cornerwright.web.desk import Desk
from cornerwright.web.serving import pages

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


async def seen(user: User, words: str) -> None:
    await user.should_see(words, retries=100)


def test_the_floor_shows_each_corner_and_the_job(desk):
    async def steps(user):
        await user.open("/")
        await seen(user, "Work out what to turn")
        for corner in CORNERS:
            await seen(user, corner.replace("_", " "))
        await seen(user, "compressed spring can kill")

    walk(desk, steps)


def test_a_corner_answers(desk):
    async def steps(user):
        await user.open("/corner/rear_left")
        await seen(user, "Move the wheel")
        await seen(user, "stop clear")
        user.find("full bump").click()
        await seen(user, "on the bump stop")
        user.find("full droop").click()
        await seen(user, "stop clear")
        await user.open("/corner/boot")
        await seen(user, "a corner: front_left")

    walk(desk, steps)


def test_an_adjuster_is_tried_on_paper(desk):
    async def steps(user):
        await user.open("/corner/front_left")
        await seen(user, "Nothing is written down")
        await user.should_not_see("collar towards the spring")
        version = desk.ledger.version
        user.find(marker="on-front_left.perch").click()
        await seen(user, "collar towards the spring (car up)")
        assert desk.ledger.version == version
        user.find("all back").click()
        await user.should_not_see("collar towards the spring")

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


def test_the_plan_is_made_and_ticked(desk):
    async def steps(user):
        await user.open("/plan")
        await seen(user, "No plan yet")
        user.find("Work out what to turn").click()
        await seen(user, "What the gauges will show")
        user.find(marker="move-0").click()
        for _ in range(50):
            await asyncio.sleep(0.05)
            if desk.ticked():
                break
        assert desk.ticked() == {0}
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


def test_everything_tapped_has_a_name(desk):
    async def steps(user):
        for path in ("/", "/corner/front_right", "/measure", "/plan", "/more", "/jobs", *WAYS):
            await user.open(path)
            await asyncio.sleep(1.5)
            for one in user.find(kind=ui.element).elements:
                if one.tag in ("button", "a", "input"):
                    named = one.props.get("aria-label") or getattr(one, "text", "")
                    assert named, f"{path}: {one.tag} without a name"

    walk(desk, steps)
