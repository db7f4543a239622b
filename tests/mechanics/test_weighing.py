"""Heights, loads and the centre of gravity: bodies and cars built exactly, weighed and measured, found again."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from cornerwright.mechanics.weighing import (
    attitude,
    ballast_by_levers,
    cg_height,
    floor_under,
    height_elsewhere,
    lifted_angle,
    mean_of_scale,
)

BASE, TRACKS = 2.5, (1.5, 1.46)
WHEELS = np.array([[0, 0.75], [0, -0.75], [-BASE, 0.73], [-BASE, -0.73]])
POINTS = np.array([[0.1, 0.8, 0.62], [0.1, -0.8, 0.62], [-2.4, 0.78, 0.64], [-2.6, -0.78, 0.2]])
small = st.floats(-0.05, 0.05)


def rotated(pose, points):
    heave, pitch, roll = pose
    about_y = [[math.cos(pitch), 0, math.sin(pitch)], [0, 1, 0], [-math.sin(pitch), 0, math.cos(pitch)]]
    about_x = [[1, 0, 0], [0, math.cos(roll), -math.sin(roll)], [0, math.sin(roll), math.cos(roll)]]
    return (points @ (np.array(about_y) @ about_x).T)[:, 2] + heave


# ------------------------------------------------------------------ floor and heights


def test_the_floor_at_each_wheel_is_its_pad():
    np.testing.assert_allclose(floor_under(WHEELS, BASE, TRACKS), np.eye(4), atol=1e-15)


@given(small, small, small, st.floats(-4, 1), st.floats(-1, 1))
def test_a_flat_floor_is_found_everywhere(level, along, across, x, y):
    pads = level + along * WHEELS[:, 0] + across * WHEELS[:, 1]
    found = floor_under((x, y, 0.3), BASE, TRACKS) @ pads
    assert found == pytest.approx(level + along * x + across * y, abs=1e-12)


@given(small, small, small)
def test_a_bodys_stance_is_found_from_four_heights(heave, pitch, roll):
    read = rotated((heave, pitch, roll), POINTS)
    found = attitude(POINTS, read)
    np.testing.assert_allclose(found.pose, (heave, pitch, roll), atol=1e-10)
    np.testing.assert_allclose(found.residual, 0, atol=1e-12)
    place = np.array([-2.4, -0.8, 0.64])
    height, _ = height_elsewhere(found, POINTS, read, 3, place)
    assert height == pytest.approx(rotated((heave, pitch, roll), place[None])[0], abs=1e-12)


def test_scatter_of_a_height_elsewhere_by_simulation():
    rng, spread = np.random.default_rng(5), np.array([1e-3, 2e-3, 1e-3, 3e-3])
    read, place = rotated((0.01, 0.01, -0.008), POINTS), np.array([-2.4, -0.8, 0.64])
    _, slope = height_elsewhere(attitude(POINTS, read), POINTS, read, 3, place)
    drawn = read + spread * rng.standard_normal((4000, 4))
    seen = [height_elsewhere(attitude(POINTS, row), POINTS, row, 3, place)[0] for row in drawn]
    assert math.sqrt(slope**2 @ spread**2) == pytest.approx(np.std(seen), rel=0.05)


def test_heights_of_one_side_do_not_say_how_a_body_stands():
    line = np.array([[0, 0.8, 0.6], [-1.2, 0.8, 0.6], [-2.4, 0.8, 0.6]])
    with pytest.raises(ValueError, match="one line"):
        attitude(line, np.array([0.6, 0.6, 0.6]))
    with pytest.raises(ValueError, match="three places"):
        attitude(line[:2], np.array([0.6, 0.6]))


# ------------------------------------------------------------------ scales and ballast


def test_a_scale_read_again_scatters_less_unless_it_shows_otherwise():
    assert mean_of_scale([2000.0], 0.0, 10.0) == (2000.0, 10.0)
    assert mean_of_scale([2000.0, 2004.0, 1996.0, 2000.0], 5.0, 10.0) == (1995.0, 5.0)
    load, sigma = mean_of_scale([1960.0, 2040.0], 0.0, 10.0)
    assert load == 2000.0
    assert sigma == pytest.approx(math.sqrt(2 * 40**2) / math.sqrt(2))


def test_the_scatter_of_a_mean_by_simulation():
    shown = 2000 + 10 * np.random.default_rng(2).standard_normal((5000, 4))
    means = [mean_of_scale(row, 0.0, 10.0)[0] for row in shown]
    assert mean_of_scale([2000.0] * 4, 0.0, 10.0)[1] == pytest.approx(np.std(means), rel=0.05)


@given(st.floats(100, 2000), st.floats(-3, 0.5), st.floats(-0.7, 0.7), st.floats(0.2, 0.8))
def test_ballast_balances_forces_and_moments(weight, x, y, share):
    found = ballast_by_levers(weight, x, y, wheelbase=BASE, tracks=TRACKS, roll_share=share)
    load = np.array([one.value for one in found])
    assert load.sum() == pytest.approx(weight)
    np.testing.assert_allclose(load @ WHEELS, (weight * x, weight * y), atol=1e-9 * weight)


def test_scatter_of_ballast_by_simulation():
    spread = {"weight": 5.0, "x": 0.03, "y": 0.02, "roll_share": 0.1}
    values = {"weight": 780.0, "x": -1.2, "y": 0.35, "roll_share": 0.55}
    arms = {"wheelbase": BASE, "tracks": TRACKS}
    found = ballast_by_levers(**values, **arms, scatter=spread)
    rng = np.random.default_rng(4)
    seen = [
        [
            one.value
            for one in ballast_by_levers(
                **{k: v + spread[k] * rng.standard_normal() for k, v in values.items()}, **arms
            )
        ]
        for _ in range(4000)
    ]
    np.testing.assert_allclose([one.sigma for one in found], np.std(seen, axis=0), rtol=0.05)


# ------------------------------------------------------------------ centre of gravity


def weighed_with_rear_raised(height, back, lift, grounded, lifted, total=1250.0):
    """Load on the front axle, by turning the car's points until the rear wheels stand `lift` higher."""

    def turned(angle):
        turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
        return [turn @ one for one in ([0.0, grounded], [-BASE, lifted], [-back, height])]

    def gap(angle):
        front, rear, _ = turned(angle)
        return (rear[1] - front[1]) - (lift + lifted - grounded)

    angle = optimize.brentq(gap, 0.0, 0.7, xtol=1e-15)
    front, rear, cg = turned(angle)
    return angle, total * (cg[0] - rear[0]) / (front[0] - rear[0])


cars = st.tuples(st.floats(0.35, 0.8), st.floats(0.8, 1.7), st.floats(0.25, 0.36), st.floats(0.25, 0.36))


@given(cars, st.lists(st.floats(0.2, 0.8), min_size=1, max_size=4, unique_by=lambda one: round(one, 2)))
def test_the_height_is_found_again_with_unlike_radii(car, lifts):
    height, back, grounded, lifted = car
    level = 1250.0 * (BASE - back) / BASE
    weighed = [weighed_with_rear_raised(height, back, lift, grounded, lifted) for lift in lifts]
    found = cg_height(
        1250.0,
        level,
        lifts,
        [load for _, load in weighed],
        wheelbase=BASE,
        grounded_radius=grounded,
        lifted_radius=lifted,
    )
    assert found.value == pytest.approx(height, abs=1e-9)
    assert lifted_angle(lifts[0], BASE, grounded, lifted) == pytest.approx(weighed[0][0], abs=1e-12)


def test_scatter_of_the_height_by_simulation_and_more_steps_are_surer():
    rng = np.random.default_rng(11)
    lifts = [0.3, 0.45, 0.6]
    loads = [weighed_with_rear_raised(0.53, 1.15, lift, 0.29, 0.31)[1] for lift in lifts]
    values = {"total": 1250.0, "level": 1250.0 * 1.35 / BASE, "grounded_radius": 0.29, "lifted_radius": 0.31}
    spread = {"total": 2.0, "level": 1.4, "grounded_radius": 0.002, "lifted_radius": 0.002}
    spread |= {f"load_{k}": 1.4 for k in range(3)} | {f"lift_{k}": 0.002 for k in range(3)}
    found = cg_height(lifts=lifts, loads=loads, wheelbase=BASE, **values, scatter=spread)
    seen = []
    for _ in range(4000):
        near = {name: value + spread[name] * rng.standard_normal() for name, value in values.items()}
        near_lifts = [one + 0.002 * rng.standard_normal() for one in lifts]
        near_loads = [one + 1.4 * rng.standard_normal() for one in loads]
        seen.append(cg_height(lifts=near_lifts, loads=near_loads, wheelbase=BASE, **near).value)
    assert found.sigma == pytest.approx(np.std(seen), rel=0.05)
    few = {name: value for name, value in spread.items() if not name.endswith(("_1", "_2"))}
    once = cg_height(lifts=lifts[:1], loads=loads[:1], wheelbase=BASE, **values, scatter=few)
    assert found.sigma < once.sigma


@pytest.mark.parametrize(
    ("lifts", "loads", "words"),
    [([], [], "one or more"), ([0.3], [1, 2], "one or more"), ([2.6], [700], "too much"), ([-0.2], [700], "above")],
)
def test_lifts_that_say_nothing_are_refused(lifts, loads, words):
    with pytest.raises(ValueError, match=words):
        cg_height(1250, 675, lifts, loads, wheelbase=BASE, grounded_radius=0.3, lifted_radius=0.3)
