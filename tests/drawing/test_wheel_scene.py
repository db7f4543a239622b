"""The corner as solid parts."""

from __future__ import annotations

import math

import pytest

import cornerwright as cw
from cornerwright.assembly.posing import Poser
from cornerwright.assembly.rig import Rig
from cornerwright.drawing.wheel_scene import reach, said, wheel_axis, wheel_scene
from shared import PROJECT


def poser_of(name, which):
    variant = Rig(cw.load_car(PROJECT / "examples" / name / "car.yaml")).vary()
    return Poser(variant, variant.stand(), which)


@pytest.mark.parametrize("which", range(4))
@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_parts_stay_the_same_while_the_wheel_moves(name, which):
    poser = poser_of(name, which)
    rest = poser.at(poser.sweep.rest_mm)
    parts = wheel_scene(rest)
    steady = [(one.kind, one.name) for one in parts]
    for lift in (-30, 25):
        moved = wheel_scene(poser.at(rest.lift_mm + lift, 10.0, 10.0))
        assert [(one.kind, one.name) for one in moved] == steady
        assert moved[0].places[2] - parts[0].places[2] == pytest.approx(lift, abs=1.5)
    for one in parts:
        assert all(math.isfinite(part) for part in one.places)
        count = {"tyre": 6, "hub": 6, "tube": 6, "coil": 6, "ball": 3}.get(one.kind)
        assert count is None or len(one.places) == count
    middle, far = reach(rest)
    assert math.dist(middle, (rest.wheel_x_mm, rest.wheel_y_mm, rest.wheel_z_mm)) < far


def test_every_member_of_a_linkage_is_there():
    pose = (poser := poser_of("skerry_nine", 0)).at(poser.sweep.rest_mm)
    names = {one.name for one in wheel_scene(pose)}
    assert {
        "arm",
        "rod",
        "carrier",
        "spring around the damper",
        "damper, its body",
        "joint",
        "caliper",
        "least clearance",
    } <= names
    ends = {one.places for one in wheel_scene(pose) if one.kind == "ball" and one.name == "joint"}
    assert pose.points["upper_ball"] in ends
    assert "arm" in said(pose)


@pytest.mark.parametrize("which", [0, 2])
def test_a_coil_is_as_long_as_the_spring(which):
    poser = poser_of("skerry_nine", which)
    for lift in (-20, 0, 30):
        pose = poser.at(poser.sweep.rest_mm + lift)
        (coil,) = [one for one in wheel_scene(pose) if one.kind == "coil"]
        # The perch shifts its seat along the spring by the setting, which moves no point.
        assert math.dist(coil.places[:3], coil.places[3:]) == pytest.approx(pose.spring_mm, abs=25)


def test_a_jack_table_shows_what_is_known_and_says_what_is_guessed():
    pose = (poser := poser_of("tarn_fell", 2)).at(poser.sweep.rest_mm)
    names = {one.name for one in wheel_scene(pose)}
    assert "spring, its place a guess" in names
    assert "arch lip" in names
    assert "joint" not in names
    coil = next(one for one in wheel_scene(pose) if one.kind == "coil")
    assert math.dist(coil.places[:3], coil.places[3:]) == pytest.approx(pose.spring_mm)


def test_the_axis_leans_with_the_wheel():
    pose = (poser := poser_of("skerry_nine", 0)).at(poser.sweep.rest_mm, -30.0)
    x, y, z = wheel_axis(pose)
    assert math.hypot(x, y, z) == pytest.approx(1)
    # Negative camber: the axis rises outboard, for the top of the wheel leans in. Steered in: it points forward.
    assert (z > 0) == (pose.camber_deg < 0)
    assert x > 0
    assert pose.toe_deg > 5
