"""Corners as drawings: real members between real points, at rest and through the travel."""

from __future__ import annotations

import math

import numpy as np
import pytest

import cornerwright as cw
from cars import KINDS, car_of_kind, corner_of_kind
from cornerwright.model.errors import Refusal
from cornerwright.model.results import CornerScene, TravelScene
from workshop import example_car

MEMBERS = {"arm", "rod", "strut", "guide", "rocker", "carrier", "axle", "damper", "spring", "shaft"}
RIGID = ("arm", "rod", "carrier", "axle", "rocker")


def at_rest(kind: str, side: str = "left") -> CornerScene:
    return cw.corner_scene(car_of_kind(kind), corner_of_kind(kind, side))


def through_travel(kind: str, side: str = "left") -> TravelScene:
    return cw.travel_scene(car_of_kind(kind), corner_of_kind(kind, side))


@pytest.mark.parametrize("kind", KINDS)
def test_members_are_drawn_between_points_that_are_there(kind):
    scene = at_rest(kind)
    assert {what for what, _, _ in scene.lines} <= MEMBERS
    for _, start, end in scene.lines:
        assert start in scene.points
        assert end in scene.points
        assert start != end
    assert len(set(scene.lines)) == len(scene.lines)
    used = {name for _, *ends in scene.lines for name in ends}
    assert used == set(scene.points)
    assert sum(what == "damper" for what, _, _ in scene.lines) == 1
    assert sum(what == "spring" for what, _, _ in scene.lines) == (0 if scene.around_damper else 1)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_wheel_stands_where_the_stance_has_it(kind, side):
    scene = at_rest(kind, side)
    assert scene.points["wheel"][1] == pytest.approx(scene.wheel_y_mm, abs=1e-6)
    assert scene.points["wheel"][2] == pytest.approx(scene.wheel_z_mm, abs=1e-6)
    assert scene.points["wheel"][1] > 0
    assert scene.kind == kind.removesuffix("_push_rod")


@pytest.mark.parametrize("kind", KINDS)
def test_lengths_of_damper_and_spring_are_those_that_are_told(kind):
    """Over the ground the points are those of the body turned by its pitch and roll: under a degree."""
    scene = at_rest(kind)
    for what, told in (("damper", scene.damper_mm), ("spring", scene.spring_mm)):
        for line, start, end in scene.lines:
            if line == what:
                drawn = math.dist(scene.points[start], scene.points[end])
                assert drawn == pytest.approx(told, rel=2e-2)


@pytest.mark.parametrize("kind", KINDS)
def test_three_poses_from_droop_to_bump(kind):
    scene = through_travel(kind)
    result = cw.travel(car_of_kind(kind), corner_of_kind(kind), [pose.lift_mm / 1e3 for pose in scene.poses])
    assert [pose.name for pose in scene.poses] == ["droop", "ride", "bump"]
    assert scene.poses[0].lift_mm == pytest.approx(result.damper_out_mm)
    assert scene.poses[2].lift_mm == pytest.approx(result.full_bump_mm)
    for pose, row in zip(scene.poses, result.rows, strict=True):
        assert pose.camber_deg == pytest.approx(row.camber_deg, abs=1e-6)
        assert pose.damper_mm == pytest.approx(row.damper_mm, abs=1e-6)
        assert pose.points["wheel"][0] == pytest.approx(row.wheel_x_mm, abs=1e-6)
        line = next(one for one in scene.lines if one[0] == "damper")
        assert math.dist(pose.points[line[1]], pose.points[line[2]]) == pytest.approx(row.damper_mm, abs=1e-5)


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_rigid_keeps_its_length(kind):
    scene = through_travel(kind)
    if kind == "twist_beam":
        return  # its halves turn against each other, and where the beam meets the arm moves a little
    for what, start, end in scene.lines:
        if what in RIGID:
            lengths = [math.dist(pose.points[start], pose.points[end]) for pose in scene.poses]
            assert lengths == pytest.approx([lengths[0]] * 3, abs=1e-5), (what, start, end)


@pytest.mark.parametrize("kind", KINDS)
def test_points_of_the_body_stay(kind):
    scene = through_travel(kind)
    still = [name for name in scene.poses[0].points if name.endswith(("_inner", "_front", "_rear", ".held"))]
    still = [name for name in still if not name.startswith(("push_rod", "pivot"))]
    if kind == "semi_trailing_arm":
        still = ["pivot_inner", "pivot_outer"]
    elif kind == "twist_beam":
        still = ["pivot"]
    assert still
    for name in still:
        for pose in scene.poses[1:]:
            np.testing.assert_allclose(pose.points[name], scene.poses[0].points[name], atol=1e-6, err_msg=name)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "live_axle_panhard"])
def test_right_is_the_mirror_of_left(kind):
    left, right = through_travel(kind), through_travel(kind, "right")
    assert set(left.lines) == set(right.lines)
    for name, place in left.poses[2].points.items():
        np.testing.assert_allclose(place, right.poses[2].points[name], atol=1e-5, err_msg=name)


def test_a_panhard_rod_is_drawn_on_both_corners():
    for side in ("left", "right"):
        assert ("rod", "panhard_inner", "panhard_outer") in at_rest("live_axle_panhard", side).lines
        assert not any(name.startswith("right_") for name in at_rest("live_axle_panhard", side).points)


def test_a_jack_table_shows_the_wheel_alone():
    scene = cw.travel_scene(example_car(), "rear_right")
    assert scene.lines == ()
    assert all(set(pose.points) == {"wheel"} for pose in scene.poses)
    heights = [pose.points["wheel"][2] - pose.lift_mm for pose in scene.poses]
    assert heights == pytest.approx([heights[0]] * 3)
    assert cw.corner_scene(example_car(), "rear_right").points == {}


def test_an_unknown_corner_is_refused():
    with pytest.raises(Refusal, match="a corner: front_left"):
        cw.travel_scene(example_car(), "rear_middle")
