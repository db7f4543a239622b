"""Stance: rest, verdicts and one-sided contacts, on invented cars."""

from dataclasses import replace

import numpy as np
import pytest

from cornerwright.mechanics.jets import Jet
from cornerwright.mechanics.potential import evaluate, prepare
from cornerwright.mechanics.stance import (
    GRAVITY,
    Partials,
    sensitivity,
    stand,
)
from stancecars import SIDE, Linkages, car, dampers, springs, turned, unbalanced, uneven, weight

# The energy itself.


def test_gradient_and_hessian_are_those_of_the_energy():
    inputs = uneven(kinematics=Linkages(np.array([[0.01]])))
    batch = prepare(inputs, inputs.kinematics(np.zeros((1, 4))))
    rng = np.random.default_rng(3)
    compared = 0
    for _ in range(20):
        q = np.append([-0.02], rng.uniform(-0.04, 0.04, 6))
        here = evaluate(batch, q[None])
        h = 1e-5
        around = evaluate(batch, q + h * np.concatenate([np.eye(7), -np.eye(7)]))
        steps = (around.energy[:7] - around.energy[7:]) / (2 * h)
        np.testing.assert_allclose(steps, here.gradient[0], rtol=1e-5, atol=2e-2)
        bends = (around.gradient[:7] - around.gradient[7:]) / (2 * h)
        if np.ptp(around.hessian, axis=0).max() < 2e3:  # no kink between
            np.testing.assert_allclose(bends, here.hessian[0], rtol=1e-4, atol=2.0)
            compared += 1
    assert compared >= 15


# Rest.


def test_symmetric_car_stands_level_across():
    stance = stand(car())
    assert stance.verdict.tolist() == ["stands"]
    assert stance.residual[0] < 1e-6
    assert stance.q[0, 2] == pytest.approx(0.0, abs=1e-12)
    assert stance.load[0, 0] == pytest.approx(stance.load[0, 1], abs=1e-6)
    assert stance.load[0, 2] == pytest.approx(stance.load[0, 3], abs=1e-6)
    assert stance.q[0, 3] == pytest.approx(stance.q[0, 4], abs=1e-12)


def test_mirrored_car_stands_mirrored():
    inputs = uneven()
    swap = [1, 0, 3, 2]
    mirrored = replace(
        inputs,
        seat_offset=inputs.seat_offset[:, swap],
        bush_lift=inputs.bush_lift[:, swap],
        bar_offset=-inputs.bar_offset,
        body_cg=inputs.body_cg * [1, -1, 1],
    )
    one, other = stand(inputs), stand(mirrored)
    np.testing.assert_allclose(other.load[0], one.load[0][swap], atol=1e-6)
    assert other.q[0, 2] == pytest.approx(-one.q[0, 2], abs=1e-12)
    assert other.q[0, :2] == pytest.approx(one.q[0, :2], abs=1e-12)


def test_loads_carry_the_weight_and_balance():
    for inputs in (car(), uneven()):
        stance = stand(inputs)
        assert stance.load.sum() == pytest.approx(weight(inputs)[0], abs=1e-6)
        np.testing.assert_allclose(unbalanced(inputs, stance), 0.0, atol=1e-5)


def test_centre_height_and_lengths_are_those_reported():
    inputs = uneven(body_offset=np.array([[0.002, 0.0, -0.003, 0.001]]))
    stance = stand(inputs)
    kin = inputs.kinematics(stance.q[:, 3:])
    up = inputs.centre_height + stance.q[:, 3:]
    wheels = turned(stance.q, np.stack([kin.x.value, kin.y.value, up], axis=-1))
    np.testing.assert_allclose(stance.centre_z, wheels[..., 2], atol=1e-12)
    squeeze = inputs.tyre_radius - stance.centre_z
    np.testing.assert_allclose(stance.load, inputs.tyre_rate * squeeze, atol=1e-6)
    np.testing.assert_allclose(stance.spring_length, kin.spring.value - inputs.seat_offset)
    np.testing.assert_allclose(stance.damper_length, kin.damper.value - inputs.body_offset)
    np.testing.assert_allclose(stance.spring_force, inputs.spring_law.at(stance.spring_length)[1], atol=1e-6)


def test_raising_a_perch_raises_its_corner():
    inputs = car()
    before = stand(inputs)
    after = stand(replace(inputs, seat_offset=np.array([[0.01, 0.0, 0.0, 0.0]])))
    gain = after.load[0] - before.load[0]
    assert gain[0] > 0
    assert gain[3] > 0
    assert gain[1] < 0
    assert gain[2] < 0
    moved = after.q[0] - before.q[0]
    assert moved[2] > 0  # left side up
    assert moved[1] < 0  # nose up


# One-sided contacts.


@pytest.mark.parametrize("hung", range(4))
def test_three_wheels(hung):
    """One damper too short to let its wheel down: the wheel hangs on its end stop."""
    open_at = np.full(4, 0.47)
    open_at[hung] = 0.27
    law = dampers(closed=0.2, stop=0.01, open_at=open_at)
    # The load lies towards the opposite wheel.
    cg = np.array([[-1.25 + (0.45 if hung >= 2 else -0.45), -0.25 * SIDE[hung], 0.5]])
    inputs = car(damper_law=law, body_cg=cg, bar_rate=np.zeros((1, 2)))
    stance = stand(inputs)
    assert stance.verdict.tolist() == ["stands"]
    assert stance.load[0, hung] == 0.0
    assert (np.delete(stance.load[0], hung) > 100.0).all()
    assert stance.damper_force[0, hung] < 0.0
    np.testing.assert_allclose(unbalanced(inputs, stance), 0.0, atol=1e-5)


def test_wheel_hangs_on_its_stop_by_its_own_weight():
    """The stop carries wheel and spring push: F_damper ratio + F_spring ratio = weight."""
    law = dampers(closed=0.2, stop=0.01, open_at=[0.27, 0.47, 0.47, 0.47])
    inputs = car(
        kinematics=Linkages(tie=0.0),
        damper_law=law,
        body_cg=np.array([[-1.7, -0.25, 0.5]]),
        bar_rate=np.zeros((1, 2)),
        bush_rate=np.zeros((1, 4)),
    )
    stance = stand(inputs)
    assert stance.load[0, 0] == 0.0
    kin = stance.kinematics
    held = stance.spring_force[0, 0] * kin.spring.first[0, 0, 0]
    held += stance.damper_force[0, 0] * kin.damper.first[0, 0, 0]
    tilt = stance.centre_z_slope[0, 0, 3]
    assert held == pytest.approx(35.0 * GRAVITY * tilt, abs=1e-6)


def test_loose_spring_leaves_its_damper_to_carry():
    inputs = car(seat_offset=np.array([[-0.16, 0.0, 0.0, 0.0]]))
    stance = stand(inputs)
    assert stance.stands.all()
    assert stance.spring_rate[0, 0] == 0.0
    assert stance.spring_force[0, 0] == 0.0
    assert stance.damper_rate[0, 0] > 0.0
    np.testing.assert_allclose(unbalanced(inputs, stance), 0.0, atol=1e-5)


def test_a_car_on_all_its_bump_stops():
    inputs = car(spring_law=springs(rate=15e3))
    stance = stand(inputs)
    assert stance.stands.all()
    assert (stance.damper_rate > 90e3).all()
    assert (stance.q[0, 3:] > 0.05).all()
    np.testing.assert_allclose(unbalanced(inputs, stance), 0.0, atol=1e-5)


def test_coil_bound_springs_carry():
    inputs = car(spring_law=springs(rate=50e3, bind=0.05))
    stance = stand(inputs)
    assert stance.stands.all()
    assert (stance.spring_rate > 1e6).any()
    np.testing.assert_allclose(unbalanced(inputs, stance), 0.0, atol=1e-5)


# Cars that will not stand.


@pytest.mark.parametrize(
    "cg",
    [
        (0.2, 0.0, 0.5),  # ahead of the front axle
        (-2.8, 0.0, 0.5),
        (-1.2, 0.9, 0.5),  # outside the left wheels
        (-1.2, -0.9, 0.5),
        (0.3, 0.0, 0.1),  # would hang from the front wheels
        (-1.2, 0.0, 12.0),  # straight above, but too high for the springs
    ],
)
def test_falling_car_has_a_verdict_and_no_numbers(cg):
    stance = stand(car(body_cg=np.array([cg])))
    assert stance.verdict.tolist() == ["falls"]
    for numbers in (
        stance.q,
        stance.load,
        stance.spring_length,
        stance.damper_force,
        stance.hessian,
        stance.kinematics.x.value,
        stance.kinematics.spring.second,
    ):
        assert np.isnan(numbers).all()
    assert np.isnan(sensitivity(car(), stance, Partials())).all()


def test_too_few_steps_is_stalled():
    stance = stand(uneven(), max_steps=2)
    assert stance.verdict.tolist() == ["stalled"]
    assert np.isnan(stance.q).all()
    assert stance.residual[0] > 1e-6


def test_linkage_without_an_answer_is_stalled():
    def lost(lifts):
        kin = Linkages()(lifts)
        return replace(
            kin,
            spring=Jet(*(p * np.nan for p in (kin.spring.value, kin.spring.first, kin.spring.second))),
        )

    stance = stand(car(kinematics=lost))
    assert stance.verdict.tolist() == ["stalled"]
    assert np.isnan(stance.load).all()


def test_linkage_out_of_reach_on_the_way_is_survived():
    """A first step beyond the reach of the arms is shortened, not believed."""
    inputs = car(spring_law=springs(rate=30e3))
    rest = stand(inputs)
    reach = np.abs(rest.q[0, 3:]).max() + 0.002

    def limited(lifts):
        kin = Linkages()(lifts)
        return kin.blanked((np.abs(lifts) > reach).any(axis=1))

    far = rest.q.copy()
    far[0, 3:] = -reach + 1e-4
    stance = stand(replace(inputs, kinematics=limited), start=far)
    assert stance.stands.all()
    np.testing.assert_allclose(stance.q, rest.q, atol=1e-9)
