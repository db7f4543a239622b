"""Roll centre against constructions done by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cornerwright.mechanics.roll_centre import Contact, roll_centre


def swinging(y: float, z: float, centre_y: float, centre_z: float) -> Contact:
    """A contact that turns about an instant centre: its path is square to the line between them."""
    dz = 1.0
    dy = -(centre_z - z) / (centre_y - y)
    return Contact(np.array([y]), np.array([z]), np.array([dy]), np.array([dz]))


def test_equal_swing_arms_meet_on_the_centre_plane():
    """Arms 1.4 m long at centres 0.1 m up, wheels at 0.7 m: half way along, half as high."""
    left, right = swinging(0.7, 0.0, -0.7, 0.1), swinging(-0.7, 0.0, 0.7, 0.1)
    y, height = roll_centre(left, right)
    assert y[0] == pytest.approx(0.0, abs=1e-12)
    assert height[0] == pytest.approx(0.05)
    np.testing.assert_allclose(roll_centre(left, left.mirrored()), (y, height))


def test_the_roll_centre_lies_on_both_lines():
    rng = np.random.default_rng(3)
    for _ in range(50):
        a = (0.7, rng.uniform(-0.05, 0.05), rng.uniform(-2, 0.3), rng.uniform(-0.3, 0.5))
        b = (-0.7, rng.uniform(-0.05, 0.05), rng.uniform(-0.3, 2), rng.uniform(-0.3, 0.5))
        y, height = roll_centre(swinging(*a), swinging(*b))
        slope = (b[1] - a[1]) / (b[0] - a[0])
        # Back from the height over the inclined ground line to body axes.
        z = height[0] * math.hypot(1.0, slope) + a[1] + slope * (y[0] - a[0])
        for wheel_y, wheel_z, centre_y, centre_z in (a, b):
            line = (centre_z - wheel_z) / (centre_y - wheel_y)
            assert z == pytest.approx(wheel_z + line * (y[0] - wheel_y), abs=1e-9)


def test_wheels_that_rise_straight_up_have_it_on_the_ground():
    straight = Contact(np.array([0.7]), np.array([0.02]), np.array([0.0]), np.array([1.0]))
    y, height = roll_centre(straight, straight.mirrored())
    assert (y[0], height[0]) == (0.0, 0.0)


def test_lines_that_never_meet_give_no_number():
    one = Contact(np.array([0.7]), np.array([0.0]), np.array([0.1]), np.array([1.0]))
    other = Contact(np.array([-0.7]), np.array([0.0]), np.array([0.1]), np.array([1.0]))
    assert np.isnan(roll_centre(one, other)).all()
