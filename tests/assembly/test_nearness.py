"""How near a wheel is at one place of its travel: the envelope of the whole travel has the same numbers there."""

from __future__ import annotations

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.nearness import Surroundings
from cornerwright.assembly.posing import Poser
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.wheel_fit import WheelFit, profile_of
from cornerwright.model.parts import CORNERS
from cornerwright.planning.fitment import fit
from shared import PROJECT


def car_of(name):
    return cw.load_car(PROJECT / "examples" / name / "car.yaml")


@pytest.mark.parametrize("which", range(4))
@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_at_each_place_the_least_is_that_of_the_envelope(name, which):
    variant = Rig(car_of(name)).vary()
    part = variant.rig.car.corners[CORNERS[which]]
    whole = WheelFit(variant, which, profile_of(part), (5, 3))
    told, pieces = whole.clear(whole.grid)
    around = Surroundings(variant, which)
    for pose, (least, nearest) in enumerate(zip(told.least, told.nearest, strict=True)):
        lift, across = whole.grid.at(pose)
        steer = {"rack": {"rack": across}, "turn": {"turn": across}}.get(whole.grid.what, {})
        stood = around.at(lift, **steer)
        if np.isnan(least):
            assert stood is None
            continue
        assert stood.beside[0].clearance == pytest.approx(least, abs=1e-9)
        assert stood.beside[0].name == pieces[nearest].name
        assert {one.name for one in stood.beside} == set(part.room.obstacles)


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_where_fit_finds_the_nearest_place_the_wheel_has_it_too(name):
    car = car_of(name)
    told = fit(car, "front_left", size=(9, 5)).corners["front_left"]
    variant = Rig(car).vary()
    poser = Poser(variant, variant.stand(), 0)
    for row in told.clearances:
        across = {"rack": "rack_mm", "turn": "turn_deg"}[told.across_what]
        pose = poser.at(row.lift_mm, **{across: row.across})
        if abs(pose.lift_mm - row.lift_mm) > 1e-6:
            continue  # fit looks as far as the linkage was measured, the hand is stopped before
        near = {one.obstacle: one for one in pose.near}[row.obstacle]
        assert near.clearance_mm == pytest.approx(row.clearance_mm, abs=1e-6)
        # From one surface to the other it is as far as is told.
        assert np.linalg.norm(np.subtract(near.at_mm, near.wheel_mm)) == pytest.approx(near.clearance_mm, abs=0.5)


def test_what_is_fixed_to_the_upright_goes_with_it():
    variant = Rig(car_of("tarn_fell")).vary()
    poser = Poser(variant, variant.stand(), 0)
    poses = [poser.at(poser.sweep.rest_mm + lift, 0.0, turn) for lift, turn in ((0, 0), (40, 0), (0, 25), (-30, -30))]
    tubes = [{one.obstacle: one for one in pose.near}["strut_tube"] for pose in poses]
    assert len({round(one.clearance_mm, 6) for one in tubes}) == 1
    # The distance from the wheel's middle to each place of it stays.
    for k in range(2):
        far = [
            np.linalg.norm(np.subtract(tube.points_mm[k], (pose.wheel_x_mm, pose.wheel_y_mm, pose.wheel_z_mm)))
            for tube, pose in zip(tubes, poses, strict=True)
        ]
        assert far == pytest.approx([far[0]] * 4, abs=0.5)
    assert tubes[1].points_mm[0][2] - tubes[0].points_mm[0][2] == pytest.approx(
        40, abs=2
    )  # its camber changes by the way


def test_turning_a_top_mount_leaves_strut_and_wheel_as_they_are():
    car = car_of("tarn_fell")
    rig = Rig(car)
    at = rig.settings.copy()
    at[[slot.name for slot in rig.slots].index("front_left.camber_plate")] -= 0.010
    before, after = (Surroundings(rig.vary(one), 0).at(0.0) for one in (rig.settings, at))
    found = [{one.name: one.clearance for one in stood.beside} for stood in (before, after)]
    assert found[1]["strut_tube"] == pytest.approx(found[0]["strut_tube"], abs=1e-9)
    assert found[1]["arch_lip"] > found[0]["arch_lip"] + 1e-3
    assert abs(found[1]["inner_wing"] - found[0]["inner_wing"]) > 1e-3


def test_what_is_missing_is_named():
    car = car_of("skerry_nine")
    corner = car.corners["front_left"]
    bare = corner.model_copy(update={"room": None})
    axle = car.axles[0].model_copy(update={"left": bare})
    assert car.axles[0].left == corner
    other = car.model_copy(update={"front": axle})
    variant = Rig(other).vary()
    poser = Poser(variant, variant.stand(), 0)
    pose = poser.at(poser.sweep.rest_mm)
    assert pose.not_measured == "room"
    assert pose.near == ()
    assert pose.gap_mm is None


def test_a_wheel_of_a_jack_table_turns_about_its_steering_axis():
    variant = Rig(car_of("tarn_fell")).vary()
    for which, out in ((0, 1.0), (1, -1.0)):
        poser = Poser(variant, variant.stand(), which)
        low, high = poser.sweep.turn_deg
        rest = poser.at(poser.sweep.rest_mm)
        left = poser.at(poser.sweep.rest_mm, 0.0, 20.0)
        # Steered to the left the left wheel toes out and the right one in.
        assert left.toe_deg - rest.toe_deg == pytest.approx(-20 * out, abs=1.0)
        assert poser.at(poser.sweep.rest_mm, 0.0, 99.0).turn_deg == pytest.approx(high)
        assert poser.at(poser.sweep.rest_mm, 0.0, -99.0).turn_deg == pytest.approx(low)
