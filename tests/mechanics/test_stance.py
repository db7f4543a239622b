"""Stance: rest, verdicts, one-sided contacts and exact derivatives, on invented cars."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Jet, Kinematics, diagonal_jet
from cornerwright.mechanics.potential import evaluate, prepare
from cornerwright.mechanics.stance import (
    GRAVITY,
    Partials,
    StanceInputs,
    sensitivity,
    stand,
)

SIDE = np.array([1.0, -1.0, 1.0, -1.0])
WHEELBASE, TRACK = 2.5, 1.5
SEATS, EYES = 0.25, 0.40


class Linkages:
    """Each length a + b lift + c lift2 / 2, with a synthetic adjuster; the rear ties its sides."""

    ratio, spring_bend, damper_bend, tie = -0.7, 0.4, -0.3, 0.1

    def __init__(self, adjusted=None, tie=None):
        self.adjusted = np.zeros((1, 1)) if adjusted is None else np.asarray(adjusted, dtype=float)
        self.tie = self.tie if tie is None else tie

    def take(self, rows):
        return Linkages(self.adjusted if len(self.adjusted) == 1 else self.adjusted[rows], self.tie)

    def jet(self, start, slope, bend, lifts, act=0.0, act_lift=0.0, side=1.0):
        """The adjuster adds a (act + act_lift lift) to every corner."""
        a, n = self.adjusted, lifts.shape[0]
        slope = slope + act_lift * a + np.zeros((n, 4))
        value = start + act * a + slope * lifts + bend * lifts**2 / 2
        jet = diagonal_jet(value, slope + bend * lifts, bend + np.zeros((n, 4)))
        tie = self.tie * np.broadcast_to(side, 4)
        jet.value[:, 2:] += tie[2:] * lifts[:, [3, 2]] * lifts[:, 2:]
        jet.first[:, [2, 2, 3, 3], [2, 3, 3, 2]] += tie[[2, 2, 3, 3]] * lifts[:, [3, 2, 2, 3]]
        jet.second[:, [2, 2, 3, 3], [2, 3, 2, 3], [3, 2, 3, 2]] += tie[[2, 2, 3, 3]]
        return jet

    def __call__(self, lifts):
        x = -WHEELBASE * np.array([0.0, 0.0, 1.0, 1.0])
        zero = diagonal_jet(*[np.zeros_like(lifts)] * 3)
        return Kinematics(
            spring=self.jet(SEATS, self.ratio, self.spring_bend, lifts, 0.3, 0.5),
            damper=self.jet(EYES, self.ratio, self.damper_bend, lifts, 0.2, -0.4),
            x=self.jet(x, 0.04, 0.2, lifts, 0.6, 0.8),
            y=self.jet(SIDE * TRACK / 2, 0.05 * SIDE, -1.0 * SIDE, lifts, 0.5, -0.7, SIDE),
            camber=zero,
            toe=zero,
            caster=zero,
        )


def springs(rate=60e3, free=0.30, bind=0.14):
    """Coil springs that push only, coil bound `bind` below their free length."""
    knots = np.array([free - bind, free])
    force = np.array([rate * bind, 0.0])
    return ForceLaw(
        np.tile(knots, (1, 4, 1)),
        np.tile(force, (1, 4, 1)),
        np.full((1, 4), -5e6),
        np.zeros((1, 4)),
    )


def dampers(opened=0.47, closed=0.33, stop=0.02, gas=150.0, open_at=None):
    """Gas force, a bump stop of 100 N/mm, and metal ends; open_at (4,) sets the corners apart."""
    opened = np.full(4, opened) if open_at is None else np.asarray(open_at)
    knots = np.stack([np.full(4, closed), np.full(4, closed + stop), opened], axis=-1)
    force = np.tile([gas + 100e3 * stop, gas, gas], (4, 1))
    ends = np.full((1, 4), -5e6)
    return ForceLaw(knots[None], force[None], ends, ends)


def car(**changes):
    """A symmetric car of 1150 kg; any input may be changed."""
    inputs = {
        "kinematics": Linkages(),
        "spring_law": springs(),
        "damper_law": dampers(),
        "seat_offset": np.zeros((1, 4)),
        "body_offset": np.zeros((1, 4)),
        "bar_rate": np.array([[12e3, 6e3]]),
        "bar_offset": np.zeros((1, 2)),
        "bush_rate": np.full((1, 4), 2e3),
        "bush_lift": np.zeros((1, 4)),
        "body_mass": np.array([1000.0]),
        "body_cg": np.array([[-1.2, 0.0, 0.5]]),
        "unsprung_mass": np.array([[35.0, 35.0, 40.0, 40.0]]),
        "centre_height": np.full((1, 4), 0.30),
        "tyre_radius": np.full((1, 4), 0.315),
        "tyre_rate": np.full((1, 4), 200e3),
    }
    return StanceInputs(**(inputs | changes))


def uneven(**changes):
    """A car with nothing symmetric about it."""
    mixed = {
        "seat_offset": np.array([[0.006, -0.008, 0.012, 0.001]]),
        "bar_offset": np.array([[0.004, -0.003]]),
        "bush_lift": np.array([[0.01, 0.0, -0.02, 0.005]]),
        "body_cg": np.array([[-1.1, 0.07, 0.55]]),
    }
    return car(**(mixed | changes))


def weight(inputs):
    return GRAVITY * (inputs.body_mass + inputs.unsprung_mass.sum(axis=1))


def turned(q, p):
    """World place of body points p (n, k, 3), yaw and shift left out."""
    pitch, roll = q[:, 1, None], q[:, 2, None]
    y = np.cos(roll) * p[..., 1] - np.sin(roll) * p[..., 2]
    z = np.sin(roll) * p[..., 1] + np.cos(roll) * p[..., 2]
    x = np.cos(pitch) * p[..., 0] + np.sin(pitch) * z
    return np.stack([x, y, np.cos(pitch) * z - np.sin(pitch) * p[..., 0] + q[:, :1]], axis=-1)


def unbalanced(inputs, stance):
    """Force [N] and the two moments about the ground's axes [N.m] of weights and tyre loads."""
    n = stance.q.shape[0]
    kin = stance.kinematics
    up = inputs.centre_height + stance.q[:, 3:]
    wheels = turned(stance.q, np.stack([kin.x.value, kin.y.value, up], axis=-1))
    body = turned(stance.q, np.broadcast_to(inputs.body_cg[:, None], (n, 1, 3)))
    force = stance.load - GRAVITY * inputs.unsprung_mass
    places = np.concatenate([wheels, body], axis=1)
    body_weight = np.broadcast_to(-GRAVITY * inputs.body_mass[:, None], (n, 1))
    forces = np.concatenate([np.broadcast_to(force, (n, 4)), body_weight], axis=1)
    moments = (forces[..., None] * places[..., :2]).sum(axis=1)
    return np.column_stack([forces.sum(axis=1), moments])


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


# Batches and starts.


class Whole:
    """The same linkages, but answering for the whole batch only."""

    def __init__(self, linkages):
        self.linkages = linkages

    def __call__(self, lifts):
        return self.linkages(lifts)


def test_batch_with_and_without_take():
    rng = np.random.default_rng(17)
    n = 40
    seats = rng.uniform(-0.05, 0.03, (n, 4))
    inputs = uneven(seat_offset=seats, kinematics=Linkages(rng.uniform(-0.01, 0.01, (n, 1))))
    with_take = stand(inputs)
    without = stand(replace(inputs, kinematics=Whole(inputs.kinematics)))
    assert with_take.stands.all()
    np.testing.assert_allclose(without.q, with_take.q, atol=1e-10)
    for i in (0, 7, 39):
        alone = stand(
            replace(
                inputs,
                seat_offset=seats[i : i + 1],
                kinematics=inputs.kinematics.take(np.array([i])),
            )
        )
        np.testing.assert_allclose(alone.q[0], with_take.q[i], atol=1e-10)
        np.testing.assert_allclose(alone.load[0], with_take.load[i], atol=1e-6)


def test_batch_known_only_to_the_linkages():
    stance = stand(uneven(kinematics=Linkages(np.linspace(-0.01, 0.01, 5)[:, None])))
    assert stance.q.shape == (5, 7)
    assert stance.stands.all()


def test_warm_start():
    inputs = uneven()
    cold = stand(inputs)
    again = stand(inputs, start=cold.q)
    assert again.steps == 1
    np.testing.assert_allclose(again.q, cold.q, rtol=0, atol=1e-15)
    nudged = replace(inputs, seat_offset=inputs.seat_offset + 0.001)
    warm, fresh = stand(nudged, start=cold.q), stand(nudged)
    assert warm.steps <= fresh.steps
    np.testing.assert_allclose(warm.q, fresh.q, atol=1e-10)
    np.testing.assert_allclose(stand(inputs, start=np.full((1, 7), np.nan)).q, cold.q, atol=1e-12)


def test_inputs_and_start_are_left_alone():
    inputs, start = uneven(), np.zeros((1, 7))
    start[0, 0] = 0.01
    before = start.copy(), inputs.seat_offset.copy()
    stand(inputs, start=start)
    np.testing.assert_array_equal(start, before[0])
    np.testing.assert_array_equal(inputs.seat_offset, before[1])


# Derivatives.


def moved_by(change, h=2e-5):
    """Central difference of q over full stances; change(a) gives the inputs at setting a."""
    return (stand(change(h)).q - stand(change(-h)).q)[0] / (2 * h)


def close(exact, measured):
    scale = np.abs(measured).max()
    np.testing.assert_allclose(exact, measured, rtol=1e-5, atol=1e-5 * scale)


LAW = {
    "road": {},
    "bump stops": {"spring_law": springs(rate=15e3)},
    "three wheels": {
        "damper_law": dampers(closed=0.2, stop=0.01, open_at=[0.27, 0.47, 0.47, 0.47]),
        "body_cg": np.array([[-1.7, -0.25, 0.5]]),
    },
}


@pytest.mark.parametrize("state", LAW)
@pytest.mark.parametrize(("name", "count"), [("seat_offset", 4), ("body_offset", 4), ("bar_offset", 2)])
def test_sensitivity_to_adjusters(state, name, count):
    inputs = uneven(**LAW[state])
    stance = stand(inputs)
    assert stance.stands.all()
    exact = sensitivity(inputs, stance, Partials(**{name: np.eye(count)[None]}))
    assert exact.shape == (1, 7, count)
    for k in range(count):
        nudge = np.eye(count)[k : k + 1]
        measured = moved_by(lambda a, nudge=nudge: replace(inputs, **{name: getattr(inputs, name) + a * nudge}))
        if np.abs(measured).max() < 1e-9:  # a damper body with no more than gas force moves nothing
            assert np.abs(exact[0, :, k]).max() < 1e-9
        else:
            close(exact[0, :, k], measured)


@pytest.mark.parametrize("state", LAW)
def test_sensitivity_to_a_linkage(state):
    """The synthetic adjuster moves every length and wheel centre, and their slopes with lift."""
    inputs = uneven(kinematics=Linkages(np.array([[0.004]])), **LAW[state])
    stance = stand(inputs)
    lifts = stance.q[:, 3:]

    def part(act, act_lift):
        value = (act + act_lift * lifts)[..., None]
        return value, (act_lift * np.eye(4))[None, :, :, None]

    given = {}
    for name, act, act_lift in (
        ("spring", 0.3, 0.5),
        ("damper", 0.2, -0.4),
        ("x", 0.6, 0.8),
        ("y", 0.5, -0.7),
    ):
        given[name], given[name + "_lift"] = part(act, act_lift)
    exact = sensitivity(inputs, stance, Partials(**given))
    measured = moved_by(lambda a: replace(inputs, kinematics=Linkages(np.array([[0.004 + a]]))))
    close(exact[0, :, 0], measured)


@given(
    mass=st.floats(600.0, 1600.0),
    along=st.floats(-1.6, -0.9),
    across=st.floats(-0.15, 0.15),
    up=st.floats(0.3, 0.8),
    rate=st.floats(30e3, 120e3),
    bars=st.tuples(st.floats(0.0, 40e3), st.floats(0.0, 40e3)),
    seats=st.tuples(*[st.floats(-0.06, 0.04)] * 4),
    tyre=st.floats(120e3, 350e3),
    opened=st.floats(0.41, 0.48),
)
@settings(max_examples=150, deadline=None)
def test_any_sensible_car_stands_in_balance(mass, along, across, up, rate, bars, seats, tyre, opened):
    inputs = car(
        body_mass=np.array([mass]),
        body_cg=np.array([[along, across, up]]),
        spring_law=springs(rate=rate),
        damper_law=dampers(opened=opened),
        bar_rate=np.array([bars]),
        seat_offset=np.array([seats]),
        tyre_rate=np.full((1, 4), tyre),
    )
    stance = stand(inputs)
    assert stance.verdict.tolist() == ["stands"]
    assert stance.residual[0] < 1e-6
    assert (stance.load >= 0.0).all()
    assert np.linalg.eigvalsh(stance.hessian[0])[0] > 0.0
    np.testing.assert_allclose(unbalanced(inputs, stance), 0.0, atol=1e-4)
