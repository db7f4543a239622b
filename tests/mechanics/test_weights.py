"""Shares of weight, heights and load slopes: against full stances moved a little."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Kinematics, diagonal_jet
from cornerwright.mechanics.stance import Partials, StanceInputs, sensitivity, stand
from cornerwright.mechanics.weights import (
    cross_weight,
    front_share,
    heights,
    left_share,
    length_sensitivity,
    load_sensitivity,
    load_slope,
)

SIDE = np.array([1.0, -1.0, 1.0, -1.0])
LOADS = st.tuples(*[st.floats(500.0, 6000.0)] * 4)


@pytest.mark.parametrize("share", [cross_weight, front_share, left_share])
@given(load=LOADS)
def test_slope_of_a_share(share, load):
    load = np.array(load)
    _, slope = share(load)
    h = 1e-2
    for i in range(4):
        nudge = h * np.eye(4)[i]
        measured = (share(load + nudge)[0] - share(load - nudge)[0]) / (2 * h)
        assert slope[i] == pytest.approx(measured, rel=1e-6, abs=1e-12)
    # A share does not change when all loads grow alike.
    assert slope @ load == pytest.approx(0.0, abs=1e-12)


def test_shares_by_hand():
    load = np.array([[4000.0, 3000.0, 2000.0, 1000.0]])
    assert cross_weight(load)[0][0] == pytest.approx(0.5)
    assert front_share(load)[0][0] == pytest.approx(0.7)
    assert left_share(load)[0][0] == pytest.approx(0.6)


def linkages(adjusted=0.0):
    def at(lifts):
        one = np.ones_like(lifts)

        def jet(start, slope, bend, act):
            return diagonal_jet(
                start + slope * lifts + bend * lifts**2 / 2 + act * adjusted,
                slope + bend * lifts,
                bend * one,
            )

        x = np.array([0.0, 0.0, -2.5, -2.5])
        zero = diagonal_jet(*[0 * one] * 3)
        return Kinematics(
            spring=jet(0.25, -0.7, 0.4, 0.3),
            damper=jet(0.40, -0.7, 0.3, 0.2),
            x=jet(x, 0.04, 0.3, 0.6),
            y=jet(0.75 * SIDE, 0.05 * SIDE, -SIDE, 0.5),
            camber=zero,
            toe=zero,
            caster=zero,
        )

    return at


def tilted(**changes):
    """An invented car that stands far from level."""
    spring = ForceLaw(np.full((1, 4, 1), 0.30), np.zeros((1, 4, 1)), np.full((1, 4), -60e3), np.zeros((1, 4)))
    damper = ForceLaw(
        np.full((1, 4, 1), 0.34),
        np.full((1, 4, 1), 150.0),
        np.full((1, 4), -100e3),
        np.zeros((1, 4)),
    )
    inputs = {
        "kinematics": linkages(),
        "spring_law": spring,
        "damper_law": damper,
        "seat_offset": np.array([[0.03, -0.01, 0.0, -0.03]]),
        "body_offset": np.array([[0.0, 0.05, 0.0, 0.0]]),
        "bar_rate": np.array([[8e3, 4e3]]),
        "bar_offset": np.array([[0.003, 0.0]]),
        "bush_rate": np.zeros((1, 4)),
        "bush_lift": np.zeros((1, 4)),
        "body_mass": np.array([1000.0]),
        "body_cg": np.array([[-1.1, 0.05, 0.5]]),
        "unsprung_mass": np.full((1, 4), 40.0),
        "centre_height": np.full((1, 4), 0.30),
        "tyre_radius": np.full((1, 4), 0.315),
        "tyre_rate": np.full((1, 4), 200e3),
    }
    return StanceInputs(**(inputs | changes))


def test_heights_of_body_points():
    """A point on the heave axis reads the heave; slopes agree with differences."""
    points = np.array([[0.0, 0.0, 0.0], [0.1, 0.7, 0.3], [-2.6, -0.7, 0.4], [-1.0, 0.0, 1.2]])
    q = np.array([[0.02, 0.11, -0.07, 0, 0, 0, 0], [-0.03, -0.05, 0.2, 0.1, 0, 0, 0]])
    value, slope = heights(q, points)
    assert value.shape == (2, 4)
    assert slope.shape == (2, 4, 7)
    np.testing.assert_allclose(value[:, 0], q[:, 0])
    for n in range(2):
        cp, sp, cr, sr = np.cos(q[n, 1]), np.sin(q[n, 1]), np.cos(q[n, 2]), np.sin(q[n, 2])
        about_y = np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]])
        about_x = np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])
        np.testing.assert_allclose(value[n], q[n, 0] + (points @ (about_y @ about_x).T)[:, 2])
    for k in range(7):
        nudge = 1e-6 * np.eye(7)[k]
        measured = (heights(q + nudge, points)[0] - heights(q - nudge, points)[0]) / 2e-6
        np.testing.assert_allclose(slope[..., k], measured, rtol=1e-7, atol=1e-9)
    each = heights(q, np.stack([points, 2 * points]))[0]
    np.testing.assert_allclose(each[1], heights(q[1:], 2 * points)[0][0])


def test_left_side_up_is_positive_roll_and_nose_down_positive_pitch():
    corners = np.array([[0.0, 0.7, 0.0], [0.0, -0.7, 0.0], [-2.5, 0.7, 0.0], [-2.5, -0.7, 0.0]])
    value, _ = heights(np.array([[0, 0.01, 0.02, 0, 0, 0, 0]], dtype=float), corners)
    assert value[0, 0] > value[0, 1]
    assert value[0, 2] > value[0, 0]


def test_loads_and_lengths_follow_the_adjusters():
    """Exact slopes against central differences of full stances, on a tilted car."""
    inputs = tilted()
    stance = stand(inputs)
    assert stance.stands.all()
    assert np.abs(stance.q[0, 1:3]).min() > 0.005
    assert (stance.damper_rate > 0).any()
    column = np.zeros((1, 4, 3))
    seat, body = column.copy(), column.copy()
    seat[0, 2, 0], body[0, 1, 1] = 1.0, 1.0
    act = {}
    for name, size in (("spring", 0.3), ("damper", 0.2), ("x", 0.6), ("y", 0.5)):
        act[name] = column.copy()
        act[name][..., 2] = size
    partials = Partials(seat_offset=seat, body_offset=body, **act)
    moved = sensitivity(inputs, stance, partials)
    load = load_sensitivity(stance, partials, moved)
    spring, damper = length_sensitivity(stance, partials, moved)

    h = 1e-5
    changes = (
        lambda a: replace(inputs, seat_offset=inputs.seat_offset + a * np.eye(4)[2]),
        lambda a: replace(inputs, body_offset=inputs.body_offset + a * np.eye(4)[1]),
        lambda a: replace(inputs, kinematics=linkages(a)),
    )
    for k, change in enumerate(changes):
        high, low = stand(change(h)), stand(change(-h))
        for exact, name in ((load, "load"), (spring, "spring_length"), (damper, "damper_length")):
            measured = ((getattr(high, name) - getattr(low, name)) / (2 * h))[0]
            scale = np.abs(measured).max()
            np.testing.assert_allclose(exact[0, :, k], measured, rtol=1e-5, atol=1e-5 * scale)
    # The scales lose nothing: what one wheel gains the others lose.
    np.testing.assert_allclose(load.sum(axis=1), 0.0, atol=1e-4)


def test_load_slope_is_the_tyres():
    stance = stand(tilted())
    slope = load_slope(stance)
    np.testing.assert_allclose(slope[0, :, 0], -200e3)


def test_a_perch_turned_moves_the_cross_weight():
    inputs = tilted()
    stance = stand(inputs)
    seat = np.zeros((1, 4, 1))
    seat[0, 1, 0] = 1.0  # right front spring tightened
    partials = Partials(seat_offset=seat)
    load = load_sensitivity(stance, partials, sensitivity(inputs, stance, partials))
    _, slope = cross_weight(stance.load)
    assert (slope[:, None] @ load)[0, 0, 0] > 0.0
