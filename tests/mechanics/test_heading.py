"""Camber, toe and caster to level ground: signs, exactness, slopes and the way back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.mechanics.heading import (
    CAMBER,
    CASTER,
    PITCH,
    ROLL,
    TOE,
    of_stance,
    to_body,
    to_ground,
)
from cornerwright.mechanics.jets import Kinematics, diagonal_jet

DEG = np.pi / 180
SIDE = (1.0, -1.0, 1.0, -1.0)


def four(*values):
    return np.array([values if len(values) == 4 else values * 4], dtype=float)


def body(pitch, roll):
    about_y = np.array([[np.cos(pitch), 0, np.sin(pitch)], [0, 1, 0], [-np.sin(pitch), 0, np.cos(pitch)]])
    about_x = np.array([[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]])
    return about_y @ about_x


def by_wheel_plane(camber, toe, side, pitch, roll):
    """Second road: turn the wheel disc's own plane, then read it with a level and a string.

    The disc is spun out of a wheel pointing straight ahead: leaned about x, then steered about z.
    """
    lean, steer = -side * camber, -side * toe
    about_x = np.array([[1, 0, 0], [0, np.cos(lean), -np.sin(lean)], [0, np.sin(lean), np.cos(lean)]])
    about_z = np.array([[np.cos(steer), -np.sin(steer), 0], [np.sin(steer), np.cos(steer), 0], [0, 0, 1]])
    wheel = body(pitch, roll) @ about_z @ about_x
    normal = wheel[:, 1]
    trace = np.cross(normal, [0.0, 0.0, 1.0])  # where the disc meets the level, pointing ahead
    trace /= np.linalg.norm(trace)
    top = np.cross(trace, normal)  # steepest line in the disc
    outward = side * np.cross([0.0, 0.0, 1.0], trace)
    ground_camber = np.arctan2(top @ outward, top[2])
    return ground_camber, -side * np.arctan2(trace[1], trace[0])


def test_level_body_changes_nothing():
    heading = to_ground(
        four(-0.02, -0.03, -0.01, 0.0),
        four(0.002, -0.001, 0.003, 0.0),
        four(0.1),
        *np.zeros((2, 1)),
    )
    np.testing.assert_allclose(heading.camber, four(-0.02, -0.03, -0.01, 0.0))
    np.testing.assert_allclose(heading.toe, four(0.002, -0.001, 0.003, 0.0), atol=1e-15)
    np.testing.assert_allclose(heading.caster, four(0.1))


def test_roll_leans_the_wheels_with_the_body():
    """Left side up by 2 deg: left wheels lean their tops inboard, right wheels outboard."""
    heading = to_ground(four(0.0), four(0.0), four(0.1), np.zeros(1), np.array([2 * DEG]))
    np.testing.assert_allclose(heading.camber, 2 * DEG * four(-1, 1, -1, 1))
    np.testing.assert_allclose(heading.toe, 0.0, atol=1e-15)


def test_nose_down_takes_caster_away_degree_for_degree():
    heading = to_ground(four(0.0), four(0.0), four(6 * DEG), np.array([1.5 * DEG]), np.zeros(1))
    np.testing.assert_allclose(heading.caster, 4.5 * DEG)
    np.testing.assert_allclose(heading.camber, 0.0, atol=1e-15)
    np.testing.assert_allclose(heading.toe, 0.0, atol=1e-15)


def test_pitch_turns_camber_into_toe():
    """First order: toe gains pitch times camber, here 0.05 x -0.04 rad; alike left and right."""
    heading = to_ground(four(-0.04), four(0.0), four(0.0), np.array([0.05]), np.zeros(1))
    np.testing.assert_allclose(heading.toe, heading.toe[0, 0], rtol=1e-12)
    assert abs(heading.toe[0, 0]) == pytest.approx(0.002, rel=1e-2)
    # Nose down on a top-inboard wheel: the axis, whose outer end points up, is tipped forward.
    assert heading.toe[0, 0] > 0.0


angles = st.floats(-0.12, 0.12)
tilts = st.floats(-0.3, 0.3)


@given(camber=angles, toe=angles, pitch=tilts, roll=tilts)
def test_agrees_with_the_wheel_plane(camber, toe, pitch, roll):
    heading = to_ground(four(camber), four(toe), four(0.0), np.array([pitch]), np.array([roll]))
    for i, side in enumerate(SIDE):
        expected = by_wheel_plane(camber, toe, side, pitch, roll)
        assert heading.camber[0, i] == pytest.approx(expected[0], abs=1e-12)
        assert heading.toe[0, i] == pytest.approx(expected[1], abs=1e-12)


@given(caster=st.floats(-0.1, 0.3), kingpin=st.floats(-0.1, 0.3), pitch=tilts, roll=tilts)
def test_caster_is_the_turned_axis_in_side_view(caster, kingpin, pitch, roll):
    heading = to_ground(four(0.0), four(0.0), four(caster), np.array([pitch]), np.array([roll]), kingpin=kingpin)
    for i, side in enumerate(SIDE):
        axis = body(pitch, roll) @ [-np.tan(caster), -side * np.tan(kingpin), 1.0]
        assert heading.caster[0, i] == pytest.approx(np.arctan2(-axis[0], axis[2]), abs=1e-12)


@given(st.tuples(*[angles] * 12), tilts, tilts, st.floats(0.0, 0.25))
def test_there_and_back(values, pitch, roll, kingpin):
    camber, toe, caster = np.array(values).reshape(3, 1, 4)
    tilt = np.array([pitch]), np.array([roll])
    heading = to_ground(camber, toe, caster, *tilt, kingpin=kingpin)
    back = to_body(heading.camber, heading.toe, heading.caster, *tilt, kingpin=kingpin)
    for found, given_value in zip(back, (camber, toe, caster), strict=True):
        np.testing.assert_allclose(found, given_value, atol=1e-12)


@given(st.tuples(*[angles] * 12), tilts, tilts, st.floats(0.0, 0.25))
def test_slopes_by_differences(values, pitch, roll, kingpin):
    place = [*np.array(values).reshape(3, 1, 4), np.array([pitch]), np.array([roll])]
    heading = to_ground(*place, kingpin=kingpin)
    h = 1e-6
    for column in (CAMBER, TOE, CASTER, PITCH, ROLL):
        up, down = list(place), list(place)
        up[column], down[column] = place[column] + h, place[column] - h
        high, low = to_ground(*up, kingpin=kingpin), to_ground(*down, kingpin=kingpin)
        for row, name in ((CAMBER, "camber"), (TOE, "toe"), (CASTER, "caster")):
            measured = (getattr(high, name) - getattr(low, name)) / (2 * h)
            np.testing.assert_allclose(heading.slope[:, :, row, column], measured, rtol=1e-6, atol=1e-8)


def test_unknown_caster_stays_unknown_and_spoils_nothing_else():
    caster = four(np.nan, np.nan, 0.05, 0.05)
    heading = to_ground(four(-0.02), four(0.001), caster, np.array([0.01]), np.array([0.02]))
    np.testing.assert_array_equal(np.isnan(heading.caster), [[True, True, False, False]])
    assert np.isfinite(heading.camber).all()
    assert np.isfinite(heading.slope[:, :, :CASTER]).all()
    assert np.isnan(heading.slope[:, :2, CASTER]).all()
    assert np.isfinite(heading.slope[:, 2:, CASTER]).all()
    back = to_body(heading.camber, heading.toe, heading.caster, np.array([0.01]), np.array([0.02]))
    np.testing.assert_allclose(back[0], -0.02)
    assert np.isnan(back[2][0, :2]).all()


def angles_of(lifts, caster=0.08):
    one = np.ones_like(lifts)
    zero = diagonal_jet(*[0 * one] * 3)

    def jet(start, slope, bend):
        return diagonal_jet(start + slope * lifts + bend * lifts**2 / 2, slope + bend * lifts, bend * one)

    return Kinematics(
        spring=zero,
        damper=zero,
        x=zero,
        y=zero,
        camber=jet(-0.02, -0.3, 1.0),
        toe=jet(0.001, 0.05, -0.4),
        caster=jet(caster, 0.1, 0.2),
    )


def test_slope_with_the_stance():
    q = np.array([[0.01, 0.03, -0.04, 0.02, -0.01, 0.03, -0.02], [0, 0.01, 0.02, 0, 0.01, 0, 0]])
    heading, slope = of_stance(angles_of(q[:, 3:]), q)
    assert slope.shape == (2, 4, 3, 7)
    for k in range(7):
        nudge = 1e-6 * np.eye(7)[k]
        high = of_stance(angles_of((q + nudge)[:, 3:]), q + nudge)[0]
        low = of_stance(angles_of((q - nudge)[:, 3:]), q - nudge)[0]
        for row, name in ((CAMBER, "camber"), (TOE, "toe"), (CASTER, "caster")):
            measured = (getattr(high, name) - getattr(low, name)) / 2e-6
            np.testing.assert_allclose(slope[:, :, row, k], measured, rtol=1e-6, atol=1e-8)
    unknown, slope = of_stance(angles_of(q[:, 3:], np.nan), q)
    np.testing.assert_allclose(unknown.camber, heading.camber)
    assert np.isfinite(slope[:, :, :CASTER]).all()
    assert np.isnan(slope[:, :, CASTER, 1:3]).all()
