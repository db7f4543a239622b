"""Ends of travel: damper open, full bump, coil bind, bump stop touched, spring held."""

import numpy as np
import pytest
from coupled_axle import LAWS, with_coupled_rear

import second_road
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.window import window
from workshop import at_settings, car_with, example_car, random_car


def lengths_at(variant, lift):
    kin = variant.inputs.kinematics(lift)
    return kin.damper.value - variant.inputs.body_offset, kin.spring.value - variant.inputs.seat_offset


@pytest.mark.parametrize("seed", range(3))
def test_at_each_end_the_length_is_exactly_there(seed):
    rig = Rig(random_car(seed))
    variant = rig.vary(unknowns=rig.unknowns.draw(5, seed))
    ends = window(variant)
    damper, spring = lengths_at(variant, ends.droop.lift)
    np.testing.assert_allclose(damper, np.broadcast_to(rig.open, (5, 4)), atol=1e-8)
    np.testing.assert_allclose(ends.held, rig.free_length - spring, atol=1e-8)
    np.testing.assert_allclose(lengths_at(variant, ends.bump.lift)[0], rig.bump_length + np.zeros((5, 1)), atol=1e-8)
    np.testing.assert_allclose(lengths_at(variant, ends.touch.lift)[0], rig.stop_touch + np.zeros((5, 1)), atol=1e-8)
    np.testing.assert_allclose(lengths_at(variant, ends.bind.lift)[1], rig.bind_length + np.zeros((5, 1)), atol=1e-8)
    assert (ends.droop.lift < ends.touch.lift).all()
    assert (ends.touch.lift < ends.bump.lift).all()


def test_full_bump_is_the_stop_squeezed_as_far_as_its_curve_goes_or_metal():
    rig = Rig(example_car())
    np.testing.assert_allclose(rig.bump_length, [0.286, 0.286, 0.292, 0.292])  # 278 + 38 - 30, 284 + 42 - 34
    np.testing.assert_allclose(rig.stop_touch, [0.316, 0.316, 0.326, 0.326])
    bare = Rig(car_with({"front.*.damper.bump_stop": None}))
    np.testing.assert_allclose(bare.bump_length[:2], 0.278)
    np.testing.assert_allclose(bare.stop_touch[:2], 0.278)


def test_wheels_held_down_by_their_dampers_stand_at_the_droop_lifts():
    car = example_car()
    at_rest = second_road.of_document(car).readings()["damper_length"]
    shorter = {"front": 1e3 * at_rest[:2].min() - 8, "rear": 1e3 * at_rest[2:].min() - 8}
    held = car_with({f"{end}.*.damper.open": length for end, length in shorter.items()})
    body = [corner.adjuster_of("body") for corner in car.corners.values()]
    assert all(one.setting == one.measured_at for one in body)
    variant = Rig(held).vary()
    stance = variant.stand()
    assert (stance.damper_force < 0).all()  # pulled
    np.testing.assert_allclose(stance.q[:, 3:], window(variant).droop.lift, atol=1e-3)


def test_what_binds_first_ends_the_bump():
    late, early = example_car(), car_with({"rear.*.spring.stack.0.block_length": 140})
    for car, binds in ((late, False), (early, True)):
        variant = Rig(car).vary()
        stance = variant.stand()
        at = outputs(variant, stance)
        ends = at.window
        first = ends.bind.lift if binds else ends.bump.lift
        np.testing.assert_allclose(at.corner["bump_left"][0, 2:], (first - stance.q[:, 3:])[0, 2:], atol=1e-12)
        assert (at.corner["bind_margin"][0, 2:] < 0).all() == binds
        np.testing.assert_allclose(at.corner["bind_margin"], ends.bind.lift - ends.bump.lift, atol=1e-12)


def test_no_end_is_given_where_the_length_does_not_move():
    rows = [{"lift": x, "damper": 350, "camber": 0, "toe": 0, "spring": 150} for x in (-20, 0, 20)]
    variant = Rig(car_with({"front.left.linkage.rows": rows})).vary()
    ends = window(variant)
    assert np.isnan(ends.droop.lift[0, 0])
    assert np.isnan(ends.held[0, 0])
    assert np.isnan(ends.droop.gradient[0, 0]).all()
    assert np.isfinite(ends.droop.lift[0, 1:]).all()


def test_the_perch_moves_the_held_length_and_not_the_droop():
    car = example_car()
    moved = at_settings(car, {"rear_left.perch": car.rear.left.adjusters["perch"].setting + 0.004})
    a, b = (window(Rig(one).vary()) for one in (car, moved))
    assert b.held[0, 2] - a.held[0, 2] == pytest.approx(0.004, abs=1e-9)
    np.testing.assert_allclose(a.droop.lift, b.droop.lift, atol=1e-9)
    assert b.bind.lift[0, 2] < a.bind.lift[0, 2] - 0.004


# An axle whose wheels move each other.


def coupled_acts(rig, rng):
    m = len(rig.slots)
    return {
        column: (rng.uniform(-0.5, 0.5, (2, m)), rng.uniform(-1, 1, (2, 2, m)))
        for column in ("spring", "damper", "camber", "toe", "x", "y")
    }


def test_both_wheels_of_a_coupled_axle_are_at_the_end_together():
    rig = Rig(example_car())
    settings = rig.settings.copy()
    k = [slot.name for slot in rig.slots].index("rear_left.body")
    settings[k] += 0.006
    variant = with_coupled_rear(rig, settings)
    ends = window(variant)
    damper, _ = lengths_at(variant, ends.droop.lift)
    np.testing.assert_allclose(damper[0], rig.open, atol=1e-8)
    damper, _ = lengths_at(variant, ends.bump.lift)
    np.testing.assert_allclose(damper[0], rig.bump_length, atol=1e-8)
    assert ends.droop.lift[0, 2] < ends.droop.lift[0, 3] - 0.004  # the longer damper lets its own wheel lower


def test_a_coupled_axle_stands_as_on_the_second_road():
    car = example_car()
    rig = Rig(car)
    variant = with_coupled_rear(rig)
    stance = variant.stand()
    assert stance.stands.all()
    document = second_road.document_linkage(car)

    def linkage(lifts):
        found = document(lifts)
        for column in ("spring", "damper", "camber", "toe", "caster"):
            value, own, other, bend, shared = LAWS[column]
            for i, j in ((2, 3), (3, 2)):
                a, b = lifts[i], lifts[j]
                found[column][i] = value + own * a + other * b + bend * a * a / 2 + shared * a * b
        value, own, other, bend, shared = LAWS["y"]
        for i, j in ((2, 3), (3, 2)):
            a, b = lifts[i], lifts[j]
            half_track = value + own * a + other * b + bend * a * a / 2 + shared * a * b
            found["half_track"][i] = half_track - car.rear.track / 2
        return found

    road = second_road.SecondRoad(car, linkage)
    wanted = road.readings()
    at = outputs(variant, stance)
    for name in ("height", "load", "camber", "toe", "damper_length", "spring_length"):
        # The stub's x moves with lift, which the second road leaves out: hence not to the last digit.
        np.testing.assert_allclose(at.corner[name][0], wanted[name], rtol=2e-4, atol=2e-5, err_msg=name)


def test_slopes_through_a_coupled_axle_are_those_of_the_full_model():
    rig = Rig(example_car())
    acts = coupled_acts(rig, np.random.default_rng(8))
    variant = with_coupled_rear(rig, per_travel=acts)
    at = outputs(variant, variant.stand())
    m, h = len(rig.slots), 2e-6
    around = with_coupled_rear(rig, rig.settings + h * np.concatenate([np.eye(m), -np.eye(m)]), acts)
    stance = around.stand()
    assert stance.stands.all()
    near = outputs(around, stance, gradients=False)
    for name, value in near.corner.items():
        measured = (value[:m] - value[m:]).T / (2 * h)
        known = np.isfinite(measured)
        exact = at.corner_gradient[name][0]
        size = np.abs(measured[known]).max()
        np.testing.assert_allclose(exact[known], measured[known], rtol=1e-5, atol=1e-5 * size, err_msg=name)
    for name, value in near.car.items():
        measured = (value[:m] - value[m:]) / (2 * h)
        np.testing.assert_allclose(at.car_gradient[name][0], measured, rtol=1e-5, atol=1e-5 * np.abs(measured).max())
