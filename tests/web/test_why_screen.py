"""Any number of a screen can be asked why."""

from __future__ import annotations

import asyncio

import pytest
from nicegui.testing.user_simulation import user_simulation
from seeing import seen

from cars_in_hand import car_folder
from cornerwright.model.parts import CORNERS
from cornerwright.planning.why.registry import TABLES, find
from cornerwright.web.desk import Desk
from cornerwright.web.screens import why as screen
from cornerwright.web.screens.why import ASKED, why_path
from cornerwright.web.serving import pages


@pytest.fixture
def desk(tmp_path):
    made = Desk(car_folder(tmp_path))
    yield made
    made.close()


def explained(desk, path: str, *words: str) -> None:
    async def whole() -> None:
        async with user_simulation() as user:
            pages(desk)
            await user.open(path)
            for one in words:
                await seen(user, one)

    asyncio.run(whole())


def test_a_number_is_explained_with_its_doubt(desk):
    explained(
        desk, why_path("camber_deg", "front_left"), "camber_deg, front left", "Equation", "Source:", "How sure",
        "One standard deviation", "A gauge that reads it scatters",
    )  # fmt: skip


def test_cars_are_drawn_for_a_number_without_a_doubt_of_its_own(desk, monkeypatch):
    """Asked again it is there at once, without drawing them anew."""
    monkeypatch.setattr(screen, "USUAL_CARS", 8)

    async def whole() -> None:
        async with user_simulation() as user:
            pages(desk)
            path = why_path("travel.rows.damper_ratio", "front_left")
            await user.open(path)
            await seen(user, "not computed")
            user.find("Draw 8 cars that the file could mean").click()
            await seen(user, "scatter of 8 of 8 cars that the file could mean")
            await user.open(path)
            await seen(user, "scatter of 8 of 8 cars that the file could mean")
            await user.open(why_path("camber_deg", "front_left"))
            await seen(user, "One standard deviation")
            await user.should_not_see("that the file could mean")

    asyncio.run(whole())


def test_a_joint_is_asked_by_its_name(desk):
    joint = "front_left.lower_arm_bush"
    names = list(desk.state.car.corners["front_left"].joints)
    assert names
    explained(desk, why_path("joint.torque_nm", joint=f"front_left.{names[0]}"), "torque_nm", "Equation")
    assert why_path("joint.torque_nm", "car", joint) == f"/why?key=joint.torque_nm&joint={joint}"


def test_what_cannot_be_asked_is_refused_in_words(desk):
    explained(desk, "/why?key=nonsense", "a key of a number in an answer", "All that can be asked")
    explained(desk, "/why?key=camber_deg&corner=middle", "a corner")


def test_all_that_can_be_asked_is_there(desk):
    explained(desk, "/why?of=brakes&corner=rear_left", *ASKED.values())
    assert set(ASKED) <= set(TABLES)


def test_every_reading_that_a_corner_answers_with_can_be_asked(desk):
    told = desk.known().trial.of({}).readings
    assert {one.corner for one in told} == {*CORNERS, "car"}
    for one in told:
        assert find(f"stand.{one.reading}").answer == "stand", one.reading
