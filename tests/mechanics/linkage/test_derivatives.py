"""Every derivative of every column against central differences of sixth order."""

import numpy as np
import pytest
from random_linkages import random_linkages, random_poses

from cornerwright.mechanics.linkage import KINDS, WheelAt, answer, build, first_order

STEP = 2e-4  # [m]
WEIGHTS = ((1, 45 / 60), (2, -9 / 60), (3, 1 / 60))
KINK = 0.06  # [rad] an angle of two lines has a kink at zero, where differences say nothing


def by_differences(f):
    """Rate of a dictionary of arrays with one parameter."""
    ends = [(weight, f(step * STEP), f(-step * STEP)) for step, weight in WEIGHTS]
    return {name: sum(weight * (up[name] - down[name]) for weight, up, down in ends) / STEP for name in ends[0][1]}


def flat(told):
    """Values and first derivatives of all columns."""
    found = {name: column.value for name, column in told.columns.items()}
    return found | {(name, "first"): column.first for name, column in told.columns.items()}


def compare(found, wanted, rate_name, scale=1.0):
    assert (np.isnan(found) == np.isnan(wanted)).all(), rate_name
    error = np.abs(found - wanted) / (scale + np.abs(wanted))
    assert np.nanmax(error, initial=0.0) < 2e-8, rate_name


@pytest.mark.parametrize("kind", KINDS)
def test_all_derivatives(kind):
    rng = np.random.default_rng(11)
    for mechanism in random_linkages(kind, 3):
        lifts, rack, travel = random_poses(mechanism, rng, 4)
        told = answer(mechanism, lifts, rack, travel)
        kinked = first_order(mechanism.layout) - {"roll_centre", "brake_path", "drive_path"}

        def check(rate, pick_first, pick_second, told=told, kinked=kinked):
            for name, column in told.columns.items():
                value, slope, second = column.value, pick_first(column), pick_second(column)
                usable = np.where(np.abs(value) > KINK, 1.0, np.nan) if name in kinked else 1.0
                compare(slope * usable, rate[name] * usable, (kind, name))
                if second is not None:
                    compare(second, rate[name, "first"], (kind, name, "second"))

        def at(lift=0.0, turn=0.0, steer=0.0, given=(mechanism, lifts, rack, travel)):
            one, lifts, rack, travel = given
            return flat(answer(one, lifts + lift, rack + steer, travel + turn, sensitivities=False))

        for j in range(mechanism.wheels):
            along = np.eye(mechanism.wheels)[j]
            rate = by_differences(lambda e, along=along, at=at: at(lift=e * along))
            check(
                rate,
                lambda c, j=j: c.first[..., j],
                lambda c, j=j: None if c.second is None else c.second[..., j],
            )
        for j in range(mechanism.adjuster_count):
            along = np.eye(mechanism.adjuster_count)[j]
            rate = by_differences(lambda e, along=along, at=at: at(turn=e * along))
            check(
                rate,
                lambda c, j=j: c.partial[..., j],
                lambda c, j=j: None if c.mixed is None else c.mixed[..., j],
            )
        if mechanism.steers:
            rate = by_differences(lambda e, at=at: at(steer=e))
            check(rate, lambda c: c.steer, lambda c: c.steer_mixed)


def test_cheap_columns_are_the_same_numbers():
    for kind in KINDS:
        mechanism = random_linkages(kind, 1)[0]
        poses = random_poses(mechanism, np.random.default_rng(12), 5)
        whole = answer(mechanism, *poses)
        cheap = answer(mechanism, *poses, columns=("spring", "x", "y"), sensitivities=False)
        assert set(cheap.columns) == {"spring", "x", "y"}
        for name, column in cheap.columns.items():
            np.testing.assert_allclose(column.value, whole[name].value, rtol=1e-13)
            np.testing.assert_allclose(column.first, whole[name].first, rtol=1e-10, atol=1e-12)
            np.testing.assert_allclose(column.second, whole[name].second, rtol=1e-9, atol=1e-10)
            assert column.partial is None
            assert column.mixed is None
            assert column.steer is None


def test_second_derivatives_are_symmetric():
    for kind in ("live_axle_panhard", "twist_beam"):
        mechanism = random_linkages(kind, 1)[0]
        told = answer(mechanism, *random_poses(mechanism, np.random.default_rng(13), 5))
        for column in told.columns.values():
            if column.second is not None:
                swapped = column.second.transpose(0, 1, 3, 2)
                np.testing.assert_allclose(column.second, swapped, atol=1e-9, rtol=1e-9)


def test_unknown_column_is_named():
    mechanism = random_linkages("strut", 1)[0]
    with pytest.raises(ValueError, match="no column 'cambre'"):
        answer(mechanism, [0.0], columns=("cambre",))


def test_ball_axis_is_what_the_carrier_turns_about():
    """Second road: with a tie rod, the axis of turning under steer passes through both balls."""
    points = {
        "upper_front": (0.1, 0.42, 0.49),
        "upper_rear": (-0.14, 0.43, 0.47),
        "upper_ball": (-0.03, 0.66, 0.50),
        "lower_front": (0.15, 0.34, 0.20),
        "lower_rear": (-0.19, 0.35, 0.19),
        "lower_ball": (0.01, 0.71, 0.17),
        "tie_inner": (-0.13, 0.36, 0.26),
        "tie_outer": (-0.13, 0.69, 0.25),
    }
    wheel = WheelAt((0.0, 0.75, 0.31), -0.02, 0.003, 0.31)
    rack = (0.0, 1.0, 0.0)
    by_balls = build("double_wishbone", points, wheel, rack=rack)
    links = {"tie_inner": points["tie_inner"], "tie_outer": points["tie_outer"]}
    for rod, ball in (("uf", "upper"), ("ur", "upper"), ("lf", "lower"), ("lr", "lower")):
        links[f"{rod}_inner"] = points[f"{ball}_{'front' if rod[1] == 'f' else 'rear'}"]
        links[f"{rod}_outer"] = points[f"{ball}_ball"]
    by_turning = build("five_link", links, wheel, rods=("uf", "ur", "lf", "lr", "tie"), rack=rack)
    # At fixed lift the carrier also rolls a little about the wheel's own height, so the two agree
    # where the wheel's centre does not rise with steer: an upright axis through it.
    upright = dict(points, upper_ball=(0.0, 0.70, 0.50), lower_ball=(0.0, 0.70, 0.17))
    for rod, ball in (("uf", "upper"), ("ur", "upper"), ("lf", "lower"), ("lr", "lower")):
        links[f"{rod}_outer"] = upright[f"{ball}_ball"]
    by_balls = build("double_wishbone", upright, wheel, rack=rack)
    by_turning = build("five_link", links, wheel, rods=("uf", "ur", "lf", "lr", "tie"), rack=rack)
    columns = ("caster", "kingpin", "scrub", "trail")
    for name in columns:
        one = answer(by_balls, [0.0], columns=columns)[name].value
        other = answer(by_turning, [0.0], columns=columns)[name].value
        np.testing.assert_allclose(one, other, atol=1e-12)
