"""Torque, clamp and what is left of it: round trips, monotony, limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.mechanics import bolting
from cornerwright.mechanics.threads import core_diameter, pitch_diameter, stress_area, stress_diameter

THREADS = st.sampled_from(
    [(6, 1.0), (8, 1.25), (8, 1.0), (10, 1.5), (10, 1.25), (12, 1.75), (12, 1.5), (14, 1.5), (16, 2.0)]
)
FRICTION = st.floats(0.04, 0.4)
FORMS = st.sampled_from(["M", "UN"])


def metres(thread):
    return thread[0] * 1e-3, thread[1] * 1e-3


@given(THREADS, FRICTION, FRICTION, st.floats(5.0, 300.0), st.floats(1.0, 4.0))
def test_torque_to_clamp_and_back(thread, in_thread, at_head, torque, alpha):
    places = metres(thread)
    arm = bolting.flat_seat(*bolting.usual_head(places[0])).arm
    band = bolting.clamp_from_torque(torque, *places, (in_thread,) * 2, (at_head,) * 2, arm, alpha)
    back = band.middle * float(bolting.torque_per_clamp(*places, in_thread, at_head, arm))
    assert back == pytest.approx(torque, rel=1e-12)
    assert band.low <= band.middle <= band.high
    assert band.high / band.low == pytest.approx(alpha, rel=1e-9)


@given(THREADS, FRICTION, st.floats(200e6, 1200e6), FORMS)
def test_clamp_and_share_of_yield_are_inverse(thread, friction, yields, form):
    places = metres(thread)
    for use in (0.2, 0.9, 1.3):
        clamp = bolting.permitted_clamp(*places, yields, friction, form, use)
        assert float(bolting.yield_share(clamp, *places, yields, friction, form)) == pytest.approx(use)


@given(THREADS, FRICTION, FRICTION, st.floats(1e-3, 0.2))
def test_more_friction_takes_more_torque_and_leaves_less_clamp_to_the_bolt(thread, in_thread, at_head, more):
    places = metres(thread)
    arm = 0.007
    least = float(bolting.torque_per_clamp(*places, in_thread, at_head, arm))
    assert float(bolting.torque_per_clamp(*places, in_thread + more, at_head, arm)) > least
    assert float(bolting.torque_per_clamp(*places, in_thread, at_head + more, arm)) > least
    slippery = float(bolting.permitted_clamp(*places, 640e6, in_thread))
    assert float(bolting.permitted_clamp(*places, 640e6, in_thread + more)) < slippery


@given(
    THREADS, st.tuples(FRICTION, FRICTION).map(sorted), st.floats(5.0, 300.0), st.floats(1.0, 4.0), st.floats(1.0, 1.5)
)
def test_a_wider_range_of_friction_or_a_worse_method_never_narrows_the_clamp(thread, friction, torque, alpha, worse):
    places = metres(thread)
    low, high = friction
    middle = (low + high) / 2
    tight = bolting.clamp_from_torque(torque, *places, (middle, middle), (middle, middle), 0.007, alpha)
    wide = bolting.clamp_from_torque(torque, *places, (low, high), (low, high), 0.007, alpha)
    coarse = bolting.clamp_from_torque(torque, *places, (low, high), (low, high), 0.007, alpha * worse)
    for inner, outer in ((tight, wide), (wide, coarse)):
        assert outer.low <= inner.low * (1 + 1e-12)
        assert outer.high >= inner.high * (1 - 1e-12)


def test_with_no_friction_all_torque_lifts():
    """A screw without friction: torque times a turn is clamp times the pitch."""
    per_clamp = float(bolting.torque_per_clamp(0.012, 0.0015, 0.0, 0.0, 0.008))
    assert per_clamp * 2 * math.pi == pytest.approx(0.0015)


def test_arrays_are_taken_as_they_come():
    diameters, pitches = np.array([0.006, 0.012]), np.array([0.001, 0.0015])
    for one in (pitch_diameter, core_diameter, stress_diameter, stress_area):
        assert one(diameters, pitches).shape == (2,)
        assert one(diameters, pitches)[1] == pytest.approx(float(one(0.012, 0.0015)))
    assert bolting.permitted_clamp(diameters, pitches, 640e6, 0.12).shape == (2,)


def test_a_cone_of_60_degrees_doubles_the_friction_of_a_flat_seat():
    flat = bolting.Seat(0.017)
    assert bolting.cone_seat(0.017, math.radians(60)).arm == pytest.approx(2 * flat.arm)
    assert bolting.cone_seat(0.017, math.radians(180)).arm == pytest.approx(flat.arm)


def test_a_ball_is_a_cone_where_it_touches():
    """A ball of 14 mm at a radius of 10 mm slopes like the tangent cone there: half-angle acos(10/14)."""
    cone = bolting.cone_seat(0.020, 2 * math.acos(10 / 14))
    assert bolting.ball_seat(0.020, 0.014).arm == pytest.approx(cone.arm)


@given(st.floats(0.008, 0.120), st.booleans())
def test_a_longer_joint_loses_less_by_settling(grip, tapped):
    def loss(length):
        of_bolt = bolting.bolt_resilience(0.012, 0.0015, length, 0.0, tapped=tapped)
        of_parts = bolting.part_resilience(0.01663, 0.0135, length, 205e9, tapped=tapped)
        return bolting.embedding_loss(bolting.embedding(1), of_bolt, of_parts)

    assert loss(grip * 1.2) < loss(grip)
    assert loss(grip) > 0


@pytest.mark.parametrize(("roughness", "settles"), [("fine", 13e-6), ("medium", 17e-6), ("rough", 23e-6)])
def test_settling_by_hand(roughness, settles):
    """VDI 2230 table 5, the rows of shear: thread 3 um, two heads 3, 4.5 or 6.5 um, two faces 2, 2.5 or 3.5 um."""
    assert bolting.embedding(2, roughness) == pytest.approx(settles)
    less = {"fine": 3e-6, "medium": 4.5e-6, "rough": 6.5e-6}[roughness]
    assert bolting.embedding(2, roughness, nut=False) == pytest.approx(settles - less)


def test_the_bolt_carries_the_less_the_stiffer_the_parts():
    assert bolting.load_factor(4e-9, 1e-9, 1.0) == pytest.approx(0.2)
    assert bolting.load_factor(4e-9, 0.5e-9) < bolting.load_factor(4e-9, 1e-9)


def test_slip_by_hand():
    # 30 kN x 0.12 x 2 faces = 7.2 kN against 6 kN.
    assert bolting.slip_safety(30e3, 0.12, 2, 6e3) == pytest.approx(1.2)
    assert bolting.slip_safety(30e3, 0.12, 2, 0.0) == math.inf
    # Four bolts on a ring of 50 mm: 4 x 30 kN x 0.1 = 12 kN, 600 N m.
    assert bolting.ring_moment(30e3, 4, 0.1, 0.05) == pytest.approx(600.0)


def test_a_bolt_taken_to_yield_clamps_by_its_own_strength():
    band = bolting.clamp_at_yield(0.012, 0.0015, 940e6, (0.08, 0.16), 1.4)
    assert band.low == pytest.approx(float(bolting.permitted_clamp(0.012, 0.0015, 940e6, 0.16, use=1.0)))
    assert band.low <= band.middle <= band.high
