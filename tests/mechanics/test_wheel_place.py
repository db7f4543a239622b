"""Where a wheel lies, and what moving it out does, against the geometry and the energy themselves."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.mechanics import wheel_place as place


def test_faces_and_inset():
    assert place.effective_inset(0.035, 0.010) == pytest.approx(0.025)
    assert place.faces(0.035, 0.010, 0.187) == pytest.approx((-0.1185, 0.0685))
    assert place.outward(0.035, 0.010, 0.038, 0.0) == pytest.approx(0.013)
    assert place.stud_length(0.010, 0.011, 0.014) == pytest.approx(0.035)


lengths = st.floats(-0.03, 0.03)


@given(lengths, lengths, lengths, lengths)
def test_moving_there_and_back_is_nothing(inset, spacer, old, old_spacer):
    there = place.outward(inset, abs(spacer), old, abs(old_spacer))
    back = place.outward(old, abs(old_spacer), inset, abs(spacer))
    assert there == pytest.approx(-back)


@given(st.floats(-0.03, 0.03), st.floats(-0.02, 0.02), st.floats(-0.06, 0.06), st.floats(0, 0.25))
def test_scrub_by_laying_out_the_contact_and_the_axis(out, taller, camber, kingpin):
    def scrub(shift, radius):
        spin, down = np.array([math.cos(camber), -math.sin(camber)]), np.array([-math.sin(camber), -math.cos(camber)])
        contact = np.array([0.7, 0.3]) + shift * spin + radius * down
        ball = np.array([0.66, 0.2])
        axis = ball[0] + (ball[1] - contact[1]) * math.tan(kingpin)
        return contact[0] - axis

    change = scrub(out, 0.29 + taller) - scrub(0.0, 0.29)
    assert place.scrub_change(out, taller, camber, kingpin) == pytest.approx(change, abs=1e-12)


def test_bearing_moment():
    assert place.bearing_moment(2500.0, 0.044, 0.035, 0.010) == pytest.approx(2500 * 0.019)


@given(st.floats(-0.03, 0.03), st.floats(-0.05, 0.02), st.floats(-1.0, 1.0), st.floats(-8.0, 8.0))
def test_moved_rate_by_differences_of_the_same_energy(out, camber, gain, bend):
    rate, force = 30e3, 2400.0

    def moved_lift(lift):
        lean = camber + gain * lift + bend * lift**2 / 2
        return lift - out * (math.sin(lean) - math.sin(camber))

    def energy(lift):
        return force * lift + rate * lift**2 / 2

    h = 1e-4
    s = [moved_lift(one) for one in (-h, 0.0, h)]
    u = [energy(one) for one in (-h, 0.0, h)]
    first = (u[2] - u[1]) / (s[2] - s[1]), (u[1] - u[0]) / (s[1] - s[0])
    second = (first[0] - first[1]) / ((s[2] - s[0]) / 2)
    assert place.moved_rate(rate, force, out, camber, gain, bend) == pytest.approx(second, rel=2e-4)


@pytest.mark.parametrize(
    ("bore", "height", "seat", "by"),
    [
        (0.0621, 0.009, "cone", "spigot"),
        (0.0631, 0.009, "cone", "seats"),
        (0.0631, 0.009, "flat", "nothing"),
        (0.0615, 0.009, "cone", "blocked"),
        (0.0621, 0.002, "ball", "seats"),
        (0.0615, -0.001, "ball", "seats"),
    ],
)
def test_what_centres_a_wheel(bore, height, seat, by):
    assert place.centring(bore, 0.062, height, seat).by == by
