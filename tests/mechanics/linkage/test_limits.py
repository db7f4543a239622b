"""Where the travel ends, and by which member."""

import numpy as np
import pytest
from random_linkages import random_linkages
from test_closure import four_bar

from cornerwright.mechanics.linkage import (
    BODY,
    CARRIER,
    KINDS,
    Link,
    Rocker,
    WheelAt,
    build,
    limits,
    solve,
)

HUNDREDTH_MM = 1e-5


@pytest.mark.parametrize("kind", KINDS)
def test_limit_is_where_solving_stops(kind):
    for mechanism in random_linkages(kind, 4):
        found = limits(mechanism)
        d = mechanism.wheels
        assert found.lowest[0] < -0.08
        assert found.highest[0] > 0.08
        held = {one.name for one in mechanism.layout.constraints} | set(mechanism.layout.rods)
        for end, name, outward in (
            (found.lowest[0], found.ends_below[0], -1),
            (found.highest[0], found.ends_above[0], 1),
        ):
            if name == "":
                assert abs(end) == pytest.approx(0.5)
                continue
            assert name in held
            inside = solve(mechanism, np.full((1, d), end - outward * HUNDREDTH_MM))
            beyond = solve(mechanism, np.full((1, d), end + outward * HUNDREDTH_MM))
            assert inside.closed.all()
            assert not beyond.closed.any()
            assert beyond.furthest[0, 0] == pytest.approx(end, abs=HUNDREDTH_MM)


def test_parallel_arms_end_upright():
    """Arms of 350 mm stand straight up at 350 mm."""
    found = limits(four_bar())
    assert found.lowest[0] == pytest.approx(-0.35, abs=HUNDREDTH_MM)
    assert found.highest[0] == pytest.approx(0.35, abs=HUNDREDTH_MM)


def test_short_arm_is_the_one_that_ends_travel():
    """A level arm much shorter than the other stands upright first: derived here, arm's length."""
    points = {
        "upper_front": (0.2, 0.35, 0.45),
        "upper_rear": (-0.2, 0.35, 0.45),
        "upper_ball": (0.0, 0.70, 0.45),
        "lower_front": (0.2, 0.60, 0.20),
        "lower_rear": (-0.2, 0.60, 0.20),
        "lower_ball": (0.0, 0.70, 0.20),
        "tie_inner": (-0.13, 0.35, 0.45),
        "tie_outer": (-0.13, 0.70, 0.45),
    }
    found = limits(build("double_wishbone", points, WheelAt((0.0, 0.75, 0.3))))
    assert found.ends_above[0].startswith("lower")
    assert found.ends_below[0].startswith("lower")


def test_a_semi_trailing_arm_ends_at_the_top_of_its_circle():
    """Derived here: about an axle parallel to y, 400 mm behind and 50 mm below the pivot."""
    points = {"pivot_inner": (0.4, 0.3, 0.35), "pivot_outer": (0.4, 0.6, 0.35)}
    found = limits(build("semi_trailing_arm", points, WheelAt((0.0, 0.7, 0.30))))
    radius = np.hypot(0.4, 0.05)
    assert found.highest[0] == pytest.approx(radius + 0.05, abs=HUNDREDTH_MM)
    assert found.lowest[0] == pytest.approx(-radius + 0.05, abs=HUNDREDTH_MM)
    assert found.ends_above == ("pivots",)


def test_pulling_rod_that_runs_out_is_named():
    """A rod to a small rocker: travel ends where the rod and the rocker's lever come into line."""
    points = {
        "pivot_inner": (0.4, 0.3, 0.35),
        "pivot_outer": (0.4, 0.6, 0.35),
        "rocker_pivot": (0.0, 0.5, 0.60),
        "rocker_axis": (0.0, 0.6, 0.60),
        "eye": (0.05, 0.5, 0.60),
        "drive": (0.05, 0.5, 0.32),
        "damper_end": (0.0, 0.5, 0.68),
        "damper_body": (0.3, 0.5, 0.68),
    }
    mechanism = build(
        "semi_trailing_arm",
        points,
        WheelAt((0.0, 0.7, 0.30)),
        members={"eye": "rocker", "damper_end": "rocker", "drive": CARRIER, "damper_body": BODY},
        rockers=[Rocker("rocker", ("rocker_pivot", "rocker_axis"), "push_rod", "drive", "eye")],
        links=[Link("damper", "damper_body", "damper_end")],
    )
    found = limits(mechanism)
    assert found.ends_above == ("push_rod",)
    assert found.ends_below == ("push_rod",)
    # Derived here: the drive's distance from the rocker's pivot is then rod plus or minus lever.
    rod, lever = 0.28, 0.05
    pivot, axle = np.array([0.0, 0.60]), np.array([0.4, 0.35])
    arm, wheel = np.array([0.05, 0.32]) - axle, np.array([0.0, 0.30]) - axle
    for end, reach in ((found.highest[0], rod - lever), (found.lowest[0], rod + lever)):
        turn = np.arcsin((wheel[1] + end) / np.hypot(*wheel))
        start = np.arcsin(wheel[1] / np.hypot(*wheel))
        angle = turn - start  # in side view, wheel behind the axle: up is clockwise
        c, s = np.cos(angle), np.sin(angle)
        drive = axle + np.array([c * arm[0] + s * arm[1], -s * arm[0] + c * arm[1]])
        assert np.hypot(*(drive - pivot)) == pytest.approx(reach, abs=2e-5)


def test_variants_and_directions_of_an_axle():
    mechanism = random_linkages("live_axle_panhard", 1)[0]
    rng = np.random.default_rng(5)
    points = mechanism.points + rng.uniform(-0.003, 0.003, (5, *mechanism.points.shape[1:]))
    many = limits(mechanism.vary(points=points), direction=(1.0, -1.0))
    assert many.lowest.shape == many.highest.shape == (5,)
    for i in range(5):
        one = limits(mechanism.vary(points=points[i : i + 1]), direction=(1.0, -1.0))
        assert one.highest[0] == pytest.approx(many.highest[i], abs=HUNDREDTH_MM)
        assert one.ends_above[0] == many.ends_above[i]


def test_steer_narrows_the_travel():
    mechanism = random_linkages("double_wishbone", 1)[0]
    straight, turned = limits(mechanism), limits(mechanism, steer=0.02)
    assert turned.highest[0] != pytest.approx(straight.highest[0], abs=1e-4)


def test_singular_reference_has_no_limits():
    points = {}
    for i in range(5):
        points[f"r{i}_inner"] = (0.1 * i, 0.3, 0.3)
        points[f"r{i}_outer"] = (0.1 * i, 0.7, 0.3)
    names = tuple(f"r{i}" for i in range(5))
    found = limits(build("five_link", points, WheelAt((0.0, 0.75, 0.3)), rods=names))
    assert np.isnan(found.lowest).all()
    assert np.isnan(found.highest).all()
    assert found.ends_above == ("",)
