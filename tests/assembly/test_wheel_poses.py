"""Wheel poses for the envelope: where `travel` has the wheel, steered and tied; arms that keep their lengths."""

from __future__ import annotations

import numpy as np
import pytest

from cars import car_of_kind
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.travel import travel
from cornerwright.assembly.wheel_fit import WheelFit, profile_of
from cornerwright.assembly.wheel_poses import across_of, pose_grid, travel_of
from cornerwright.model.carfile import load_car
from shared import PROJECT
from workshop import car_with

SKERRY = load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml")


def grid_of(car, which, lifts, what="straight ahead", across=(0.0,)):
    return pose_grid(Rig(car).vary(), which, np.array(lifts), what, np.array(across))


@pytest.mark.parametrize("which", [0, 1, 2, 3])
def test_steered_and_lifted_the_wheel_is_where_travel_has_it(which):
    lifts, racks = [-0.05, 0.0, 0.06], [-0.04, 0.0, 0.05] if which < 2 else [0.0]
    names = ("front_left", "front_right", "rear_left", "rear_right")
    grid = grid_of(SKERRY, which, lifts, "rack" if which < 2 else "straight ahead", racks)
    told = travel(SKERRY, names[which], lifts, racks if which < 2 else None)
    by_pose = {(row.lift_mm, row.steer_mm or 0.0): row for row in told.rows}
    side = 1.0 if which % 2 == 0 else -1.0
    for k in range(grid.poses.centre.shape[0]):
        lift, rack = grid.at(k)
        row = by_pose[round(lift * 1e3, 6), round(rack * 1e3, 6)]
        centre, axis = grid.poses.centre[k] * 1e3, grid.poses.axis[k]
        assert centre[:2] == pytest.approx([row.wheel_x_mm, row.wheel_y_mm], abs=1e-5)
        assert centre[2] == pytest.approx(grid.reference.centre[0, 2] * 1e3 + row.lift_mm)
        assert np.degrees(-np.arcsin(axis[2])) == pytest.approx(row.camber_deg, abs=1e-6)
        assert np.degrees(np.arctan2(axis[0], side * axis[1])) == pytest.approx(row.toe_deg, abs=1e-6)
        assert np.linalg.norm(axis) == pytest.approx(1.0)


def test_positive_across_steers_to_the_left_on_every_kind():
    for car in (SKERRY, car_with({})):
        for which in (0, 1):
            what, across = across_of(Rig(car).vary(), which, 5)
            assert what in ("rack", "turn")
            axis = grid_of(car, which, [0.0], what, across).poses.axis
            ahead = np.sign(axis[:, 1])[:, None] * np.stack([axis[:, 1], -axis[:, 0]], axis=1)
            heading = np.arctan2(ahead[:, 1], ahead[:, 0])
            assert np.all(np.diff(heading) > 0)
            assert across[0] < 0 < across[-1]


def test_turned_about_a_stated_axis_the_wheel_keeps_its_distance_from_it():
    car = car_with({})
    lower, upper = (np.array(one) for one in car.front.left.room.lock.steering_axis)
    grid = grid_of(car, 0, [0.0], "turn", np.radians([-30, -10, 0, 20]))
    along = (upper - lower) / np.linalg.norm(upper - lower)
    off = grid.poses.centre - lower
    over = off - (off @ along)[:, None] * along
    assert np.linalg.norm(over, axis=1) == pytest.approx(np.full(4, np.linalg.norm(over[2])), abs=1e-12)
    assert grid.poses.axis @ along == pytest.approx(np.full(4, grid.poses.axis[2] @ along), abs=1e-12)
    turned = np.arccos(np.clip(grid.poses.axis @ grid.poses.axis[2], -1, 1))
    assert np.all(turned[[0, 1, 3]] <= np.radians([30, 10, 20]) + 1e-9)


def test_with_one_axle_for_both_wheels_the_other_wheel_counts():
    car = car_of_kind("live_axle_four_link")
    variant = Rig(car).vary()
    what, across = across_of(variant, 2, 3)
    assert what == "other wheel"
    assert (across[0], across[-1]) == pytest.approx(travel_of(variant, 3))
    axis = pose_grid(variant, 2, np.array([0.0]), what, across).poses.axis
    # The other wheel down: the axle leans, this wheel's top goes outboard... and back with the other wheel up.
    assert axis[0, 2] * axis[-1, 2] < 0


@pytest.mark.parametrize("arm", ["upper_arm", "lower_arm"])
def test_what_sits_on_an_arm_keeps_its_distance_from_bushes_and_ball(arm):
    points = SKERRY.front.left.linkage.points
    name = arm.split("_")[0]
    held = [np.array(getattr(points, f"{name}_{end}")) for end in ("front", "rear")]
    ball = np.array(getattr(points, f"{name}_ball"))
    spot = (held[0] + ball) / 2 + [0.0, 0.0, 0.05]
    grid = grid_of(SKERRY, 0, [-0.06, 0.0, 0.07], "rack", [-0.05, 0.0, 0.05])
    moved = grid.arms[arm].moved(np.stack([*held, ball, spot]))
    for k in range(9):
        assert moved[k, :2] == pytest.approx(np.stack(held), abs=1e-9)
        for one in (*held, ball):
            there = moved[k, 2] if one is ball else one
            assert np.linalg.norm(moved[k, 3] - there) == pytest.approx(np.linalg.norm(spot - one), abs=1e-9)
    at_rest = moved[4]
    assert at_rest[3] == pytest.approx(spot, abs=1e-9)


def test_a_lip_distance_grows_by_what_the_wheel_moves_in():
    car = car_with({})
    fit = WheelFit(Rig(car).vary(), 0, profile_of(car.front.left), (5, 5))
    now = fit.lip_distance()
    fit.out = -0.010
    assert fit.lip_distance() - now == pytest.approx(0.010, abs=5e-5)
