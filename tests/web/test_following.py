"""What a screen that follows a corner is told."""

from __future__ import annotations

import json

import pytest

from cars_in_hand import car_folder
from cornerwright.web.desk import Desk
from cornerwright.web.following import Follower, facts


@pytest.fixture
def desk(tmp_path):
    made = Desk(car_folder(tmp_path))
    yield made
    made.close()


def test_a_place_is_worked_out_once_for_all_screens(desk):
    places = desk.places("front_left")
    assert places.at(10.1, 3.1) is places.at(9.9, 2.9)
    assert places.at(10.0, 3.0) is not places.at(10.5, 3.0)
    assert places.at(1e9, 1e9) is places.at(1e6, 1e6)


def test_ends_and_rest_are_met_exactly(desk):
    places = desk.places("rear_left")
    sweep = places.rest.sweep
    assert places.at(1e5).pose.lift_mm == pytest.approx(sweep.highest_mm)
    assert places.at(-1e5).pose.lift_mm == pytest.approx(sweep.lowest_mm)
    assert places.at(0.0).pose.lift_mm == pytest.approx(sweep.rest_mm)


def test_only_what_changes_is_told(desk):
    places = desk.places("front_left")
    screen = Follower(places, places.at(0.0))
    first = screen.move(0.0, 0.0)
    assert set(first) == {"v", "l"}
    moved = screen.move(20.0, 0.0)
    assert moved["v"] == {"lift": 20.0, "turn": 0.0}
    assert {name for name, _, _ in moved["t"]} >= {"bump", "droop", "damper", "spring"}
    assert len(json.dumps(moved)) < len(places.at(20.0).picture)
    assert "b" not in moved
    screen.turn_about(True)
    whole = screen.move(20.0, 0.0)
    assert len(whole["b"]) == len(whole["f"])
    again = screen.move(21.0, 0.0)
    assert "f" not in again
    assert len(again["b"]) == len(whole["b"])


def test_facts_are_judged(desk):
    places = desk.places("front_left")
    rest = places.at(0.0).texts
    assert rest["near"][1] == "right"
    assert rest["near_to"][0].startswith("to ")
    assert rest["stop"] == ("clear", "")
    bump = places.at(1e4).texts
    assert bump["stop"] == ("touched", "warning")
    pose = places.at(0.0).pose
    near = pose.near[0]
    for clearance, level, words in ((-2.0, "limit", "touches by 2.0 mm"), (3.0, "warning", "3.0 mm")):
        closer = pose.model_copy(update={"near": (near.model_copy(update={"clearance_mm": clearance}), *pose.near[1:])})
        assert facts(closer)["near"] == (words, level)
    unknown = facts(pose.model_copy(update={"near": (), "not_measured": "room"}))
    assert unknown["near"][0] == "not known"


def test_the_desk_knows_another_car_when_it_is_turned(desk):
    before = desk.known()
    assert desk.known() is before
    assert desk.places("front_left") is desk.places("front_left")
