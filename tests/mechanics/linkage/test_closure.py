"""The closed pose keeps every constraint, checked on the points themselves, and its own branch."""

import numpy as np
import pytest
from random_linkages import describe, random_linkage, random_linkages, random_poses

from cornerwright.mechanics.linkage import (
    CLOSED,
    KINDS,
    OUT_OF_REACH,
    WheelAt,
    answer,
    build,
    places,
    solve,
)
from cornerwright.mechanics.linkage.layout import Guide, Hinge, Line, Pin, Rod, Slider

MICRON = 1e-6


def off_line(point, a, b):
    along = (b - a) / np.linalg.norm(b - a, axis=-1, keepdims=True)
    return np.linalg.norm(np.cross(point - a, along), axis=-1)


def errors(mechanism, pose):
    """Worst error (n,) [m] of every constraint, from the points' places alone."""
    names = mechanism.structure.names
    at = dict(zip(names, places(mechanism, pose).transpose(1, 0, 2), strict=True))
    before = dict(zip(names, mechanism.points[:, mechanism.structure.source].transpose(1, 0, 2), strict=True))
    m = mechanism.adjuster_count
    d = mechanism.wheels
    turned = pose.parameters[:, d : d + m]
    found = []
    for one in mechanism.layout.constraints:
        match one:
            case Rod():
                row = mechanism.layout.rods.index(one.name)
                length = np.linalg.norm(before[one.carrier] - before[one.body], axis=-1)
                length = length + turned @ mechanism.adjusters.length_change[row]
                found.append(np.linalg.norm(at[one.carrier] - at[one.body], axis=-1) - length)
            case Line():
                found.append(off_line(at[one.body], at[one.along[0]], at[one.along[1]]))
            case Slider():
                found.append(off_line(at[one.carrier], at[one.along[0]], at[one.along[1]]))
            case Pin():
                found.append(np.linalg.norm(at[one.carrier] - at[one.body], axis=-1))
            case Hinge():
                found.append(np.linalg.norm(at[one.carrier[0]] - at[one.body[0]], axis=-1))
                axis = before[one.carrier[1]] - before[one.carrier[0]]
                off = at[one.carrier[1]] - at[one.body[1]]
                axis = axis / np.linalg.norm(axis)
                found.append(np.linalg.norm(off - axis * np.sum(off * axis, -1, keepdims=True), axis=-1))
            case Guide():
                gaps = sum(at[c] - at[b] for c, b in zip(one.carrier, one.body, strict=True))
                found.append(gaps @ np.array(one.direction))
    for i, wheel in enumerate(mechanism.layout.wheels):
        found.append(at[wheel.centre][:, 2] - before[wheel.centre][:, 2] - pose.parameters[:, i])
    return np.abs(np.array(found)).max(axis=0)


@pytest.mark.parametrize("kind", KINDS)
def test_every_constraint_is_kept(kind):
    rng = np.random.default_rng(1)
    for mechanism in random_linkages(kind, 10):
        pose = solve(mechanism, *random_poses(mechanism, rng, 40))
        assert (pose.verdict == CLOSED).all()
        assert errors(mechanism, pose).max() < 1e-9 * 1e-3  # 1e-6 mm asked for; this is 1e-9 mm


@pytest.mark.parametrize("kind", KINDS)
def test_carrier_stays_rigid(kind):
    mechanism = random_linkages(kind, 1)[0]
    pose = solve(mechanism, *random_poses(mechanism, np.random.default_rng(2), 40))
    product = pose.turn @ pose.turn.transpose(0, 2, 1)
    np.testing.assert_allclose(product, np.broadcast_to(np.eye(3), product.shape), atol=1e-14)
    assert np.linalg.det(pose.turn) == pytest.approx(np.ones(40))


@pytest.mark.parametrize("kind", KINDS)
def test_reference_pose_is_the_given_one(kind):
    mechanism = random_linkages(kind, 1)[0]
    pose = solve(mechanism, np.zeros((1, mechanism.wheels)))
    given = mechanism.points[:, mechanism.structure.source]
    np.testing.assert_allclose(places(mechanism, pose), given, atol=1e-14)
    told = answer(mechanism, np.zeros((1, mechanism.wheels)), columns=("camber", "toe", "x", "y"))
    np.testing.assert_allclose(told["camber"].value, mechanism.camber, atol=1e-14)
    np.testing.assert_allclose(told["toe"].value, mechanism.toe, atol=1e-14)
    centres = mechanism.points[:, mechanism.structure.source[mechanism.structure.centres]]
    np.testing.assert_allclose(told["x"].value, centres[..., 0], atol=1e-14)
    np.testing.assert_allclose(told["y"].value, centres[..., 1], atol=1e-14)


@pytest.mark.parametrize("kind", KINDS)
def test_neighbour_start_gives_the_same_pose(kind):
    rng = np.random.default_rng(3)
    mechanism = random_linkages(kind, 1)[0]
    lifts, rack, travel = random_poses(mechanism, rng, 20)
    direct = solve(mechanism, lifts, rack, travel)
    near = solve(mechanism, lifts + rng.uniform(-0.01, 0.01, lifts.shape), rack, travel)
    again = solve(mechanism, lifts, rack, travel, start=near)
    np.testing.assert_allclose(again.place, direct.place, atol=1e-13)
    np.testing.assert_allclose(again.turn, direct.turn, atol=1e-13)
    one = solve(mechanism, lifts, rack, travel, start=near.take(slice(0, 1)))
    np.testing.assert_allclose(one.place, direct.place, atol=1e-13)


@pytest.mark.parametrize("kind", KINDS)
def test_variants_are_solved_as_if_alone(kind):
    """A batch of variants of the geometry gives what each gives by itself."""
    rng = np.random.default_rng(4)
    mechanism = random_linkage(kind, rng)
    points = mechanism.points + rng.uniform(-0.003, 0.003, (7, *mechanism.points.shape[1:]))
    camber = mechanism.camber + rng.uniform(-0.01, 0.01, (7, mechanism.wheels))
    many = mechanism.vary(points=points, camber=camber)
    lifts, rack, travel = random_poses(mechanism, rng, 7)
    together = answer(many, lifts, rack, travel)
    for i in range(7):
        alone = mechanism.vary(points=points[i : i + 1], camber=camber[i : i + 1])
        single = answer(alone, lifts[i : i + 1], rack[i : i + 1], travel[i : i + 1])
        for name, column in single.columns.items():
            other = together[name]
            for field in ("value", "first", "second", "partial", "mixed"):
                mine = getattr(column, field)
                if mine is not None:
                    theirs = getattr(other, field)[i : i + 1]
                    np.testing.assert_allclose(theirs, mine, rtol=1e-9, atol=1e-9, err_msg=f"{name} {field}")
    np.testing.assert_array_equal(many.take(np.array([2, 5])).points, points[[2, 5]])


def four_bar():
    """Equal parallel arms in one plane, with ties to hold the carrier: it can fold over."""
    return build(
        "double_wishbone",
        {
            "upper_front": (0.2, 0.35, 0.45),
            "upper_rear": (-0.2, 0.35, 0.45),
            "upper_ball": (0.0, 0.70, 0.45),
            "lower_front": (0.2, 0.35, 0.20),
            "lower_rear": (-0.2, 0.35, 0.20),
            "lower_ball": (0.0, 0.70, 0.20),
            "tie_inner": (-0.13, 0.35, 0.25),
            "tie_outer": (-0.13, 0.70, 0.25),
        },
        WheelAt((0.0, 0.75, 0.3)),
    )


def test_never_jumps_to_the_other_branch():
    """Arms of 350 mm: at every lift that closes, the arms stay on the outboard side."""
    mechanism = four_bar()
    lifts = np.linspace(-0.6, 0.6, 241)
    pose = solve(mechanism, lifts)
    inside = np.abs(lifts) < 0.35
    assert (pose.verdict[inside] == CLOSED).all()
    assert (pose.verdict[~inside] == OUT_OF_REACH).all()
    ball = places(mechanism, pose, ("upper_ball",))[inside, 0]
    np.testing.assert_allclose(ball[:, 1], 0.35 + np.sqrt(0.35**2 - lifts[inside] ** 2), atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_large_travel_is_connected_with_the_reference(kind):
    """One leap to far lifts ends where two hundred small steps end."""
    mechanism = random_linkages(kind, 1)[0]
    d = mechanism.wheels
    for end in (-0.2, 0.2):
        leap = solve(mechanism, np.full((1, d), end))
        walk = None
        for lift in np.linspace(0.0, end, 201)[1:]:
            walk = solve(mechanism, np.full((1, d), lift), start=walk)
        assert (leap.verdict == walk.verdict).all()
        np.testing.assert_allclose(leap.place, walk.place, atol=1e-12)


def test_what_does_not_close_has_no_numbers():
    told = answer(four_bar(), [0.0, 0.5], steer=0.0)
    assert list(told.pose.verdict) == ["closed", "out_of_reach"]
    assert told.pose.furthest[1, 0] == pytest.approx(0.35, abs=10 * MICRON)
    for column in told.columns.values():
        for field in (column.value, column.first, column.second, column.partial, column.mixed):
            if field is not None:
                assert np.isnan(field[1]).all()
    assert np.isnan(told.pose.residual[1])
    assert np.isnan(places(four_bar(), told.pose)[1]).all()


def test_singular_reference_is_said_so():
    """Five parallel rods in one plane cannot hold a carrier."""
    points = {}
    for i in range(5):
        points[f"r{i}_inner"] = (0.1 * i, 0.3, 0.3)
        points[f"r{i}_outer"] = (0.1 * i, 0.7, 0.3)
    names = tuple(f"r{i}" for i in range(5))
    pose = solve(build("five_link", points, WheelAt((0.0, 0.75, 0.3)), rods=names), [0.0, 0.01])
    assert list(pose.verdict) == ["singular", "singular"]
    assert np.isnan(pose.place).all()
    told = answer(build("five_link", points, WheelAt((0.0, 0.75, 0.3)), rods=names), [0.0])
    assert all(np.isnan(column.value).all() for column in told.columns.values())


@pytest.mark.parametrize(
    ("lifts", "steer", "travel", "words"),
    [
        (np.zeros((3, 2)), 0.0, None, "lifts"),
        (np.zeros(3), np.zeros(2), None, "batch"),
        (np.zeros(3), 0.0, np.zeros((3, 1)), "travel"),
        (np.array([np.nan]), 0.0, None, "finite"),
        (np.zeros(1), 0.01, None, "rack"),
    ],
)
def test_wrong_shapes_are_refused(lifts, steer, travel, words):
    with pytest.raises(ValueError, match=words):
        solve(four_bar(), lifts, steer, travel)


def test_plain_description_is_complete():
    """What other solvers are given holds as many equations as the carrier has coordinates."""
    count = {"rod": 1, "line": 2, "slider": 2, "pin": 3, "hinge": 5, "guide": 1, "drive": 1}
    for kind in KINDS:
        mechanism = random_linkages(kind, 1)[0]
        total = sum(count[sort] for sort, _, _ in describe(mechanism))
        assert total == mechanism.structure.coordinates
