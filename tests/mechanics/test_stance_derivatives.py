"""Stance: batches, starts and exact derivatives, on invented cars."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cornerwright.mechanics.stance import (
    Partials,
    sensitivity,
    stand,
)
from stancecars import Linkages, car, dampers, springs, unbalanced, uneven

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
