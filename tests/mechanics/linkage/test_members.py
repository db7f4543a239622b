"""Arms, rockers, links and joints against their own geometry."""

import numpy as np
import pytest
from random_linkages import random_linkages, random_poses

from cornerwright.mechanics.linkage import (
    BODY,
    CARRIER,
    Joint,
    WheelAt,
    answer,
    build,
    places,
    solve,
)


def at(mechanism, pose):
    return dict(zip(mechanism.structure.names, places(mechanism, pose).transpose(1, 0, 2), strict=True))


def distance(points, a, b):
    return np.linalg.norm(points[a] - points[b], axis=-1)


@pytest.fixture(scope="module")
def wishbone():
    mechanism = random_linkages("double_wishbone", 1)[0]
    lifts, rack, _ = random_poses(mechanism, np.random.default_rng(7), 30)
    pose = solve(mechanism, lifts, rack)
    return mechanism, pose, at(mechanism, pose), at(mechanism, solve(mechanism, [0.0]))


def test_arm_is_rigid(wishbone):
    _, _, now, before = wishbone
    for point in ("push_lower", "spring_seat") if "spring_seat" in now else ("push_lower",):
        for other in ("lower_front", "lower_rear", "lower_ball"):
            assert distance(now, point, other) == pytest.approx(
                np.full(30, distance(before, point, other)[0]), abs=1e-13
            )


def test_rocker_is_rigid_and_its_rod_keeps_its_length(wishbone):
    _, _, now, before = wishbone
    for point, other in (
        ("push_lower", "push_upper"),
        ("push_upper", "rocker_pivot"),
        ("push_upper", "rocker_axis"),
        ("rocker_damper", "rocker_pivot"),
        ("rocker_damper", "push_upper"),
    ):
        wanted = distance(before, point, other)[0]
        assert distance(now, point, other) == pytest.approx(np.full(30, wanted), abs=1e-13)


def test_rod_adjuster_changes_the_push_rods_length(wishbone):
    mechanism = wishbone[0]
    k = mechanism.adjusters.names.index("push_rod length")
    travel = np.zeros((1, mechanism.adjuster_count))
    travel[0, k] = 0.003
    longer = at(mechanism, solve(mechanism, [0.02], travel=travel))
    before = at(mechanism, solve(mechanism, [0.0]))
    change = distance(longer, "push_lower", "push_upper") - distance(before, "push_lower", "push_upper")
    assert change == pytest.approx(0.003, abs=1e-13)


def test_links_are_distances_between_their_ends(wishbone):
    mechanism, pose, now, _ = wishbone
    told = answer(mechanism, pose.parameters[:, :1], pose.parameters[:, -1])
    for link in mechanism.layout.links:
        np.testing.assert_allclose(told[link.name].value[:, 0], distance(now, link.start, link.end), atol=1e-14)


def test_joint_angles_are_zero_at_the_reference_and_right_elsewhere(wishbone):
    mechanism, pose, now, before = wishbone
    rest = answer(mechanism, [0.0])
    for name in ("tie_inner.angle", "tie_outer.angle", "upper_ball.angle", "lower_ball.angle"):
        assert rest[name].value[0, 0] == pytest.approx(0.0, abs=1e-12)
        assert np.isfinite(rest[name].first).all()
    told = answer(mechanism, pose.parameters[:, :1], pose.parameters[:, -1])
    rod, rod_before = (p["tie_outer"] - p["tie_inner"] for p in (now, before))
    length = np.linalg.norm(rod_before[0]) ** 2

    def angle(a, b):
        return np.arccos(np.sum(a * b, axis=-1) / length)

    np.testing.assert_allclose(told["tie_inner.angle"].value[:, 0], angle(rod, rod_before), atol=1e-8)
    housing = np.einsum("nxy,y->nx", pose.turn, rod_before[0])
    np.testing.assert_allclose(told["tie_outer.angle"].value[:, 0], angle(rod, housing), atol=1e-8)


def test_housing_may_lie_apart_from_the_rod():
    """A joint mounted ten degrees off its rod starts at ten degrees."""
    off = np.deg2rad(10.0)
    mechanism = build(
        "semi_trailing_arm",
        {"pivot_inner": (0.4, 0.3, 0.3), "pivot_outer": (0.4, 0.6, 0.3)},
        WheelAt((0.0, 0.74, 0.3)),
        joints=[
            Joint(
                "boot",
                (CARRIER, BODY),
                direction=(0.0, 1.0, 0.0),
                housing=(np.sin(off), np.cos(off), 0.0),
            )
        ],
    )
    told = answer(mechanism, [-0.05, 0.0, 0.05])["boot"]
    np.testing.assert_allclose(told.value[:, 0], off, atol=1e-12)  # the arm turns about y itself


def test_shaft_plunge_and_angles(wishbone):
    mechanism, pose, now, before = wishbone
    told = answer(mechanism, pose.parameters[:, :1], pose.parameters[:, -1])
    plunge = told["shaft"].value[:, 0] - distance(before, "shaft_inner", "shaft_outer")
    assert np.abs(plunge).max() > 1e-4
    along = now["shaft_outer"] - now["shaft_inner"]
    along = along / np.linalg.norm(along, axis=-1, keepdims=True)
    np.testing.assert_allclose(told["shaft_inner.angle"].value[:, 0], np.arccos(along[:, 1]), atol=1e-8)
    outer = pose.turn[:, :, 1]
    np.testing.assert_allclose(
        told["shaft_outer.angle"].value[:, 0], np.arccos(np.sum(along * outer, axis=-1)), atol=1e-8
    )
