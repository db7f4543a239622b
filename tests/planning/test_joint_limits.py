"""Joints and drive shafts over the whole travel: a limit that is passed is told with where it is passed."""

from __future__ import annotations

import numpy as np
import pytest

from cornerwright import load_car
from cornerwright.assembly.travel import travel
from cornerwright.planning.check import check
from shared import PROJECT


@pytest.fixture(scope="module")
def car():
    return load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml")


def changed(car, side, **update):
    axle = car.rear if side.startswith("rear") else car.front
    end, which = side.split("_")
    corner = getattr(axle, which).model_copy(update=update)
    return car.model_copy(update={end: axle.model_copy(update={which: corner})})


def told(car, about):
    return [one for one in check(car).findings if one.about == about]


def test_the_example_stays_inside_its_joints(car):
    assert not told(car, "joints")
    assert not told(car, "drive shaft")


def test_a_joint_that_turns_too_far_is_a_broken_limit(car):
    tight = changed(car, "front_left", joint_limits={"lower_ball": np.radians(8.0), "upper_ball": np.radians(60.0)})
    found = told(tight, "joints")
    assert [(one.level, one.place) for one in found] == [("limit", "front_left")]
    assert "lower ball" in found[0].says
    assert "8.0 deg" in found[0].says


def test_a_joint_that_is_not_there_is_asked_about(car):
    found = told(changed(car, "rear_left", joint_limits={"kingpin": 0.3}), "joints")
    assert [one.level for one in found] == ["warning"]
    assert "toe_inner" in found[0].do


def test_a_shaft_without_room_is_a_broken_limit(car):
    shaft = car.rear.left.drive_shaft
    found = told(changed(car, "rear_left", drive_shaft=shaft.model_copy(update={"plunge": 0.002})), "drive shaft")
    assert [(one.level, one.place) for one in found] == [("limit", "rear_left")]


def test_plunge_and_angles_are_those_of_the_points(car):
    """At the reference pose: the angle between the shaft and straight outboard, and no plunge."""
    shaft = car.rear.left.drive_shaft
    row = travel(car, "rear_left", [0.0, 0.03]).rows
    way = np.subtract(shaft.outer, shaft.inner)
    angle = np.degrees(np.arccos(way[1] / np.linalg.norm(way)))
    assert row[0].joints_deg["drive_shaft_inner"] == pytest.approx(angle, abs=1e-6)
    assert row[0].shaft_plunge_mm == pytest.approx(0.0, abs=1e-9)
    assert row[1].shaft_plunge_mm != 0.0
    right = travel(car, "rear_right", [0.03]).rows[0]
    assert right.shaft_plunge_mm == pytest.approx(row[1].shaft_plunge_mm, abs=1e-7)
    assert right.joints_deg["drive_shaft_outer"] == pytest.approx(row[1].joints_deg["drive_shaft_outer"], abs=1e-7)
