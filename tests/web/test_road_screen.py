"""The road in the app: what is asked of the layers below, and the screen."""

from __future__ import annotations

import asyncio

import pytest
from nicegui.testing.user_simulation import user_simulation
from seeing import seen

from cars_in_hand import car_folder
from cornerwright.model.errors import Refusal
from cornerwright.web.desk import Desk, Stopped
from cornerwright.web.road_work import AXLE, CLASS, OF, RADIUS, SPEED_WISH, RoadWork
from cornerwright.web.serving import pages


@pytest.fixture
def desk(tmp_path):
    made = Desk(car_folder(tmp_path))
    yield made
    made.close()


def quiet(share: float, what: str) -> None:
    """Nobody looks."""


def test_a_wish_is_kept_as_it_is_typed(desk, tmp_path):
    work = RoadWork(desk)
    assert work.wished(SPEED_WISH) == "60"
    assert work.enter(SPEED_WISH, "80") is None
    assert RoadWork(desk).wished(SPEED_WISH) == "80"
    assert "from 5 to 200" in (work.enter(SPEED_WISH, "4000") or "")
    assert work.enter(SPEED_WISH, "") is None
    assert work.wished(SPEED_WISH) == "60"
    assert "one of" in (work.enter(CLASS, "Z") or "")
    for text in ("nan", "1e9", "-30", "30;", "inf"):
        assert work.enter(RADIUS, text), text
    assert work.enter(RADIUS, "25,5") is None


def test_a_wrong_wish_is_refused_by_name(desk):
    work = RoadWork(desk)
    work.enter(RADIUS, "2")
    with pytest.raises(Refusal, match="radius"):
        work.circle(quiet)
    assert work.last_circle() is None


def test_the_circle_is_that_of_the_car_as_it_is_turned(desk):
    work = RoadWork(desk)
    work.enter(AXLE, "rear")
    found = work.circle(quiet)
    assert work.last_circle() is found
    assert found.radius_m == 30.0
    work.enter(RADIUS, "60")
    assert work.last_circle() is None, "another circle was asked for since"
    work.enter(RADIUS, "30")
    desk.make_plan(quiet)
    bar = next(k for k, move in enumerate(desk.plan().moves) if move.kind == "perch")
    desk.tick(bar, True)
    assert work.last_circle() is None, "the car was turned since"
    assert desk.papers.state().car.name == found.car


def test_a_wish_that_is_changed_meanwhile_makes_the_answer_an_old_one(desk):
    work = RoadWork(desk)

    def meanwhile(share: float, what: str) -> None:
        if share > 0.0:
            work.enter(RADIUS, "60")

    assert work.circle(meanwhile).radius_m == 30.0
    assert work.last_circle() is None, "a circle of 30 m is not told for the 60 m that stand on the screen"


def test_driving_can_be_stopped(desk):
    work = RoadWork(desk)

    def stop(share: float, what: str) -> None:
        if share > 0.0 or what == "driving the road":
            raise Stopped

    with pytest.raises(Stopped):
        work.road(stop)
    assert work.last_road() is None


def test_the_answer_comes_first_on_the_screen(desk):
    async def whole() -> None:
        async with user_simulation() as user:
            pages(desk)
            await user.open("/road")
            await seen(user, "Will it bottom?")
            user.find("Turn faster and faster").click()
            await seen(user, "roll")
            await seen(user, "closed ground only")

    asyncio.run(whole())


def test_doubt_is_told_and_can_be_stopped(desk):
    work = RoadWork(desk)
    told = []

    def stop(share: float, what: str) -> None:
        told.append(share)
        if share > 0.0:
            raise Stopped

    with pytest.raises(Stopped):
        work.doubt(stop)
    assert work.last_doubt() is None
    found = work.doubt(quiet)
    assert work.last_doubt() is found
    assert found.measure
    work.enter(OF, "brakes")
    assert work.last_doubt() is None
