"""Wheel angles from gauges: wheels built by rotation matrices, read with strings and plumb lines, found again."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.mechanics.carried import Carried, carry, combine
from cornerwright.mechanics.gauges import (
    camber_from_gaps,
    camber_of_offset,
    camber_on_floor,
    caster_exact,
    caster_linear,
    caster_sine,
    length_of_toe,
    length_of_total_toe,
    set_back,
    set_back_angle,
    steered_camber,
    steering_axis,
    string_angle,
    string_angle_at_hubs,
    thrust_angle,
    toe_from_string,
    toe_of_length,
    total_toe,
    total_toe_of_length,
)
from cornerwright.mechanics.heading import to_ground

DEG = math.pi / 180


def degrees(least, most):
    return st.floats(least, most).map(lambda one: one * DEG)


toes, cambers = degrees(-3, 3), degrees(-6, 4)
sides = st.sampled_from([1.0, -1.0])


def about(axis, angle):
    """Rotation matrix about an axis of any length. Source: Rodrigues' formula."""
    n = np.asarray(axis, dtype=float) / np.linalg.norm(axis)
    cross = np.array([[0, -n[2], n[1]], [n[2], 0, -n[0]], [-n[1], n[0], 0]])
    return np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross


def wheel(side, camber, toe):
    """Rotation of a wheel out of one that stands upright and points ahead: leaned, then pointed in."""
    return about([0, 0, 1], -side * toe) @ about([1, 0, 0], -side * camber)


def rim_point(rotation, centre, radius, height, ahead):
    """Point of the rim at this height over the hub, in front of it or behind: found along the circle."""
    low, high = (-math.pi / 2, math.pi / 2) if ahead > 0 else (math.pi / 2, 3 * math.pi / 2)

    def at(angle):
        return centre + radius * rotation @ [math.cos(angle), 0.0, math.sin(angle)]

    rising = at(high)[2] > at(low)[2]
    for _ in range(100):
        middle = (low + high) / 2
        if (at(middle)[2] - centre[2] < height) == rising:
            low = middle
        else:
            high = middle
    return at((low + high) / 2)


# ------------------------------------------------------------------ toe


@given(sides, cambers, toes, degrees(-1, 1), st.floats(-0.06, 0.06), st.floats(-0.06, 0.06))
def test_toe_is_found_again_from_gaps_to_a_string(side, camber, toe, slant, front_height, rear_height):
    diameter, centre = 0.416, np.array([0.2, side * 0.72, 0.3])
    rotation = wheel(side, camber, toe)
    # The string passes outside the wheel; `slant` leads it away from the car in front.
    along = np.array([math.cos(slant), side * math.sin(slant), 0.0])
    out = np.array([-side * along[1], side * along[0], 0.0]) * side
    out = out if out[1] * side > 0 else -out
    start = np.array([0.0, side * 0.95, 0.3])
    gaps = [
        (start - rim_point(rotation, centre, diameter / 2, height, ahead)) @ out
        for height, ahead in ((front_height, 1), (rear_height, -1))
    ]
    found = toe_from_string(
        *gaps, diameter, string=slant, camber=camber, front_height=front_height, rear_height=rear_height
    )
    assert found.value == pytest.approx(toe, abs=1e-9)


def test_at_the_hubs_height_camber_has_no_part():
    level, leaned = (toe_from_string(0.063, 0.062, 0.416, camber=camber) for camber in (0.0, -4 * DEG))
    assert leaned.value == level.value
    assert leaned.slope["camber"] == pytest.approx(0, abs=1e-15)


def test_unlike_heights_with_camber_look_like_toe():
    plain = toe_from_string(0.063, 0.062, 0.416).value
    off = toe_from_string(0.063, 0.062, 0.416, camber=-2 * DEG, front_height=0.02).value
    assert off - plain == pytest.approx(-0.02 * math.tan(2 * DEG) / 0.416, rel=0.05)


@given(st.floats(0.8, 1.1), st.floats(0.8, 1.1))
def test_both_ways_to_tell_where_a_string_lies_agree(front, rear):
    hubs = (1.49, 1.46)
    plain = string_angle(front, rear, 2.5).value
    by_hubs = string_angle_at_hubs(front - hubs[0] / 2, rear - hubs[1] / 2, *hubs, 2.5).value
    assert by_hubs == pytest.approx(plain, abs=1e-14)
    assert (plain > 0) == (front > rear) or front == rear


def test_strings_askew_to_the_car_and_each_other_give_the_same_wheels():
    """Both rear wheels with 0.1 degrees of toe-in; left string drawn 4 mm out in front, right one 3 mm in."""
    diameter, base, toe = 0.416, 2.5, 0.1 * DEG
    found = []
    for out in (0.004, -0.003):
        angle = string_angle(0.95 + out, 0.95, base)
        shown = diameter * math.sin(toe + angle.value)
        found.append(toe_from_string(0.06 + shown, 0.06, diameter, string=angle.value))
    assert total_toe(*found).value == pytest.approx(0.2 * DEG, abs=1e-12)
    assert thrust_angle(*found).value == pytest.approx(0, abs=1e-12)


def test_thrust_is_positive_to_the_left():
    """Left wheel straight, right wheel toed in: both together point left of the centre line."""
    left, right = toe_of_length(0.0, 0.4), toe_of_length(0.002, 0.4)
    assert thrust_angle(left, right).value == pytest.approx(math.asin(0.005) / 2)
    assert total_toe(left, right).value == pytest.approx(math.asin(0.005))


def test_set_back_is_positive_where_the_right_wheel_stands_back():
    found = set_back(2.512, 2.5, scatter={"wheelbase_left": 1e-3, "wheelbase_right": 1e-3})
    assert found.value == pytest.approx(0.012)
    assert found.sigma == pytest.approx(math.sqrt(2) * 1e-3)
    assert set_back_angle(found.value, 1.5).value == pytest.approx(math.atan(0.008))


@given(toes, toes, st.floats(0.3, 0.8))
def test_toe_in_mm_and_back(left, right, diameter):
    assert toe_of_length(length_of_toe(left, diameter).value, diameter).value == pytest.approx(left, abs=1e-14)
    both = length_of_total_toe(left, right, diameter).value
    assert total_toe_of_length(both, diameter).value == pytest.approx(left + right, abs=2e-4)
    alike = length_of_total_toe(left, left, diameter).value
    assert total_toe_of_length(alike, diameter).value == pytest.approx(2 * left, abs=1e-14)


@pytest.mark.parametrize("gaps", [(0.5, 0.0), (0.0, 0.5), (math.nan, 0.0)])
def test_gaps_that_no_rim_shows_are_refused(gaps):
    with pytest.raises(ValueError, match=r"fit together|finite"):
        toe_from_string(*gaps, 0.416)


# ------------------------------------------------------------------ camber


@given(sides, cambers, toes, degrees(-2, 2))
def test_camber_is_found_again_from_gaps_to_an_edge(side, camber, toe, lean):
    """The edge stands outside the wheel, in the upright plane across its heading, its top `lean` outboard."""
    rotation, radius = wheel(side, camber, toe), 0.2
    top, bottom = rotation @ [0, 0, radius], rotation @ [0, 0, -radius]
    outward = side * rotation[:, 1]
    outward = np.array([*outward[:2], 0.0]) / np.linalg.norm(outward[:2])
    square = math.cos(lean) * outward - math.sin(lean) * np.array([0.0, 0.0, 1.0])
    found = camber_from_gaps(-square @ top, -square @ bottom, 2 * radius, lean=lean)
    assert found.value == pytest.approx(camber, abs=1e-9)
    plumb = outward @ top - outward @ bottom
    assert camber_of_offset(plumb, 2 * radius).value == pytest.approx(camber, abs=1e-9)


@pytest.mark.parametrize("wheel_index", [0, 1])
def test_a_floor_that_tilts_leans_the_whole_car(wheel_index):
    own, other, track, camber = 0.004, -0.003, 1.5, -1.5 * DEG
    side = (1.0, -1.0)[wheel_index]
    roll = side * math.atan((own - other) / track)
    four = np.full((1, 4), camber)
    shown = to_ground(four, 0 * four, 0 * four, np.zeros(1), np.array([roll])).camber[0, wheel_index]
    assert shown < camber
    assert camber_on_floor(float(shown), own, other, track).value == pytest.approx(camber, abs=1e-12)


# ------------------------------------------------------------------ caster


def steered(side, caster, kingpin, camber, toe, out):
    """Camber after turning the wheel about its steering axis until it heads `out` further outward: by bisection."""
    axis = np.array([-math.tan(caster), -side * math.tan(kingpin), 1.0])
    spin = wheel(side, camber, toe)[:, 1] * side

    def toe_of(vector):
        return math.atan2(vector[0], side * vector[1])

    low, high = -1.0, 1.0
    for _ in range(200):
        middle = (low + high) / 2
        turned = about(axis, side * middle) @ spin
        low, high = (middle, high) if toe - toe_of(turned) < out else (low, middle)
    return -math.asin((about(axis, side * (low + high) / 2) @ spin)[2])


@given(sides, degrees(-2, 10), degrees(0, 16), degrees(-4, 2), degrees(-1, 1), degrees(8, 25), degrees(8, 25))
def test_the_steering_axis_is_found_again(side, caster, kingpin, camber, toe, out, back):
    camber_out = steered(side, caster, kingpin, camber, toe, out)
    camber_in = steered(side, caster, kingpin, camber, toe, -back)
    angles = (camber_out, camber_in)
    known = caster_exact(*angles, out, back, kingpin=kingpin, toe=toe)
    assert known.value == pytest.approx(caster, abs=1e-9)
    found, lean = steering_axis(*angles, camber, out, back, toe=toe)
    assert found.value == pytest.approx(caster, abs=1e-8)
    assert lean.value == pytest.approx(kingpin, abs=1e-7)
    axis = {"caster": caster, "kingpin": kingpin, "camber": camber, "toe": toe}
    assert steered_camber(out, **axis).value == pytest.approx(camber_out, abs=1e-9)
    assert steered_camber(-back, **axis).value == pytest.approx(camber_in, abs=1e-9)


def test_the_trades_rules_are_near_the_exact_one():
    read = (1.7972 * DEG, -2.3166 * DEG, 20 * DEG, 20 * DEG)
    exact = caster_exact(*read, kingpin=12 * DEG).value
    assert caster_linear(*read).value == pytest.approx(exact, rel=0.03)
    assert caster_sine(*read).value == pytest.approx(exact, rel=0.005)


def test_with_equal_steer_the_kingpin_hardly_matters():
    found = caster_exact(1.8 * DEG, -2.3 * DEG, 20 * DEG, 20 * DEG, kingpin=12 * DEG)
    assert abs(found.slope["kingpin"]) < 0.001


@pytest.mark.parametrize("steer", [(0.0, 0.3), (0.3, -0.1)])
def test_a_sweep_to_one_side_only_is_refused(steer):
    with pytest.raises(ValueError, match="steered both"):
        caster_exact(0.03, -0.03, *steer, kingpin=0.2)


# ------------------------------------------------------------------ slopes and scatter

FORMULAS = {
    "toe_from_string": (
        toe_from_string,
        (0.0645, 0.062, 0.416),
        {"string": 0.002, "camber": -0.03, "front_height": 0.03, "rear_height": -0.02},
        (2e-4, 2e-4, 1e-3, 3e-4, 1e-3, 2e-3, 2e-3),
    ),
    "string_angle_at_hubs": (string_angle_at_hubs, (0.2, 0.21, 1.49, 1.46, 2.5), {}, (5e-4,) * 5),
    "toe_of_length": (toe_of_length, (0.004, 0.416), {}, (3e-4, 1e-3)),
    "total_toe_of_length": (total_toe_of_length, (0.004, 0.416), {}, (3e-4, 1e-3)),
    "camber_from_gaps": (camber_from_gaps, (0.03, 0.02, 0.416), {"lean": 0.002}, (2e-4, 2e-4, 1e-3, 1e-3)),
    "camber_on_floor": (camber_on_floor, (-0.02, 0.004, 0.001, 1.5), {}, (9e-4, 5e-4, 5e-4, 1e-3)),
    "caster_linear": (caster_linear, (0.031, -0.04, 0.35, 0.34), {}, (9e-4, 9e-4, 4e-3, 4e-3)),
    "caster_exact": (
        caster_exact,
        (0.031, -0.04, 0.35, 0.34),
        {"kingpin": 0.2, "toe": 0.002},
        (9e-4, 9e-4, 4e-3, 4e-3, 0.03, 5e-4),
    ),
}


@pytest.mark.parametrize("name", list(FORMULAS))
def test_sigma_is_what_a_simulation_finds(name):
    formula, plain, named, spread = FORMULAS[name]
    names = list(formula.__code__.co_varnames[: len(plain)]) + list(named)
    centre = np.array([*plain, *named.values()])
    found = formula(*plain, **named, scatter=dict(zip(names, spread, strict=True)))
    drawn = centre + np.array(spread) * np.random.default_rng(7).standard_normal((4000, centre.size))
    seen = [
        formula(*row[: len(plain)], **dict(zip(named, map(float, row[len(plain) :]), strict=True))).value
        for row in drawn
    ]
    assert found.sigma == pytest.approx(np.std(seen), rel=0.05)


@pytest.mark.parametrize("name", list(FORMULAS))
def test_slopes_are_those_of_central_differences(name):
    formula, plain, named, _ = FORMULAS[name]
    names = list(formula.__code__.co_varnames[: len(plain)]) + list(named)
    given_values = dict(zip(names, [*plain, *named.values()], strict=True))
    found = formula(**given_values)
    for one in names:
        near = [formula(**{**given_values, one: given_values[one] + step}).value for step in (-1e-6, 1e-6)]
        assert found.slope[one] == pytest.approx((near[1] - near[0]) / 2e-6, rel=1e-6, abs=1e-8)


def test_steering_axis_scatter_by_simulation():
    read = np.array([1.7972, -2.3166, -1.0, 20, 20]) * DEG
    spread = np.array([0.05, 0.05, 0.05, 0.25, 0.25]) * DEG
    names = ("camber_out", "camber_in", "camber", "steer_out", "steer_in")
    found = steering_axis(*read, scatter=dict(zip(names, spread, strict=True)))
    drawn = read + spread * np.random.default_rng(3).standard_normal((4000, 5))
    seen = np.array([[one.value for one in steering_axis(*row)] for row in drawn])
    np.testing.assert_allclose([one.sigma for one in found], seen.std(axis=0), rtol=0.05)
    assert found[1].sigma > 2 * found[0].sigma


def test_combining_keeps_the_parts_apart():
    one = Carried(1.0, {"a": 2.0}, {"a": 0.3})
    both = combine({"left": (0.5, one), "right": (-1.0, one)})
    assert both.value == -0.5
    assert both.sigma == pytest.approx(math.hypot(0.3, 0.6))


def test_scatter_of_what_is_not_read_is_refused():
    with pytest.raises(ValueError, match="not read: b"):
        carry(lambda a: a, {"b": 1.0}, a=1.0)
