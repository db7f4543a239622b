"""Mirror, size and place of a linkage change nothing but what they should."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_linkages import random_linkage, random_linkages, random_poses

from cornerwright.mechanics.linkage import KINDS, answer, limits

SIDEWAYS = ("y", "contact_y")
LENGTHS = ("x", "y", "scrub", "trail", "contact_x", "contact_y", "roll_centre")

seeds = st.integers(min_value=0, max_value=2**31)


def fields(column):
    names = ("value", "first", "second", "partial", "mixed", "steer", "steer_mixed")
    return {name: getattr(column, name) for name in names if getattr(column, name) is not None}


def same(a, b, label):
    np.testing.assert_allclose(a, b, rtol=1e-8, atol=1e-8, err_msg=str(label))


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=10, deadline=None)
@given(seed=seeds)
def test_mirror(kind, seed):
    rng = np.random.default_rng(seed)
    mechanism = random_linkage(kind, rng)
    poses = random_poses(mechanism, rng, 4)
    one, other = answer(mechanism, *poses), answer(mechanism.mirrored(), *poses)
    assert (one.pose.verdict == other.pose.verdict).all()
    for name, column in one.columns.items():
        sign = -1.0 if name in SIDEWAYS else 1.0
        for field, numbers in fields(column).items():
            same(getattr(other[name], field), sign * numbers, (name, field))


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=10, deadline=None)
@given(seed=seeds, factor=st.sampled_from((1e3, 39.37007874015748, 0.1)))
def test_units_of_length_do_not_matter(kind, seed, factor):
    """The same linkage in other units of length: angles alike, lengths by the factor."""
    rng = np.random.default_rng(seed)
    mechanism = random_linkage(kind, rng, adjusters=False)
    lifts, rack, _ = random_poses(mechanism, rng, 4)
    scaled = mechanism.vary(points=mechanism.points * factor, radius=mechanism.radius * factor)
    one, other = answer(mechanism, lifts, rack), answer(scaled, lifts * factor, rack * factor)
    assert (one.pose.verdict == other.pose.verdict).all()
    links = {link.name for link in mechanism.layout.links}
    for name, column in one.columns.items():
        unit = factor if name in LENGTHS or name in links else 1.0
        same(other[name].value / unit, column.value, name)
        same(other[name].first * factor / unit, column.first, name)
        if column.second is not None:
            same(other[name].second * factor**2 / unit, column.second, name)


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=10, deadline=None)
@given(seed=seeds)
def test_place_along_the_car_does_not_matter(kind, seed):
    rng = np.random.default_rng(seed)
    mechanism = random_linkage(kind, rng)
    moved = mechanism.vary(points=mechanism.points - (2.6, 0.0, 0.0))
    poses = random_poses(mechanism, rng, 4)
    one, other = answer(mechanism, *poses), answer(moved, *poses)
    for name, column in one.columns.items():
        for field, numbers in fields(column).items():
            shift = -2.6 if name in {"x", "contact_x"} and field == "value" else 0.0
            same(getattr(other[name], field), numbers + shift, (name, field))


@pytest.mark.parametrize("kind", ["live_axle_four_link", "twist_beam"])
def test_symmetric_axle_in_heave_and_in_roll(kind):
    """Equal lifts move both wheels alike; opposite lifts mirror one another."""
    mechanism = random_linkages(kind, 1)[0]
    names = mechanism.structure.names[: len(mechanism.layout.points)]
    points = mechanism.points.copy()
    for i, name in enumerate(names):
        if name.startswith("left_"):
            points[:, names.index(f"right_{name[5:]}")] = points[:, i] * (1.0, -1.0, 1.0)
        elif not name.startswith("right_"):
            points[:, i, 1] = 0.0
    even = mechanism.vary(points, mechanism.camber[:, [0, 0]], mechanism.toe[:, [0, 0]], mechanism.radius[:, [0, 0]])
    told = answer(even, [[0.05, 0.05], [0.04, -0.03], [-0.03, 0.04]], sensitivities=False)
    for name in ("camber", "toe", "x", "spring", "damper", "roll_centre"):
        column = told[name].value
        same(column[0, 0], column[0, 1], name)
        same(column[1], column[2, ::-1], name)
    same(told["y"].value[1], -told["y"].value[2, ::-1], "y")


@pytest.mark.parametrize("kind", KINDS)
def test_limits_mirror(kind):
    mechanism = random_linkages(kind, 1)[0]
    one, other = limits(mechanism), limits(mechanism.mirrored())
    np.testing.assert_allclose(one.lowest, other.lowest, atol=1e-5)
    np.testing.assert_allclose(one.highest, other.highest, atol=1e-5)
    assert (one.ends_below, one.ends_above) == (other.ends_below, other.ends_above)


def test_both_sides_are_solved_at_once():
    """The right corner as the mirror image of a left one, stacked with the left."""
    left = random_linkages("double_wishbone", 1)[0]
    rng = np.random.default_rng(9)
    points = left.points + rng.uniform(-0.003, 0.003, left.points.shape)
    right = left.vary(points=points).mirrored()
    lifts, _, travel = random_poses(left, rng, 2)
    both = answer(left.stacked(left.vary(points=points)), lifts, 0.0, travel)
    alone = answer(right, lifts[1:], 0.0, travel[1:])
    for name, column in alone.columns.items():
        sign = -1.0 if name in SIDEWAYS else 1.0
        same(both[name].value[1:], sign * column.value, name)
        same(both[name].partial[1:], sign * column.partial, name)
    with pytest.raises(ValueError, match="layout"):
        left.stacked(right)
    with pytest.raises(ValueError, match="adjusters"):
        left.stacked(left.with_adjusters(()))
