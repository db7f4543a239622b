"""The envelope: nothing left out by its bounds, the same from every side, and the chance of rubbing."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr
from scipy.stats import multivariate_normal

from cornerwright.mechanics import envelope
from cornerwright.mechanics.envelope import Element, Poses, clearances
from cornerwright.mechanics.rubbing import chance_of_rubbing, sensitivity
from cornerwright.mechanics.tyre_profile import tyre_profile

OVER = np.array([1.0, -1.0, 1.0])
SEAT = 0.19


def tyre(section=0.2, radius=0.3, rim=0.17):
    return tyre_profile(section, 0.8 * section, radius, SEAT, 0.0173, rim)


def poses_of(rng, n):
    lean, turn = rng.uniform(-0.08, 0.08, n), rng.uniform(-0.5, 0.5, n)
    axis = np.stack([np.sin(turn) * np.cos(lean), np.cos(turn) * np.cos(lean), -np.sin(lean)], axis=1)
    return Poses(rng.uniform(-0.05, 0.05, (n, 3)), axis)


def elements_of(rng, n, nearest=0.36):
    found = []
    for k in range(n):
        angle, reach = rng.uniform(0, 2 * np.pi), rng.uniform(nearest, 0.46)
        middle = np.array([reach * np.cos(angle), rng.uniform(-0.2, 0.2), reach * np.sin(angle)])
        first, second = rng.normal(0, 0.03, (2, 3))
        corners = [
            middle[None],
            np.stack([middle - first, middle + first]),
            middle + np.array([-first - second, first - second, first + second, second - first]),
        ][k % 3]
        found.append(Element(corners, float(rng.uniform(0, 0.01))))
    return found


seeds = st.integers(0, 10_000)


@given(seeds)
@settings(max_examples=25)
def test_bounds_leave_out_nothing_that_counts(seed):
    rng = np.random.default_rng(seed)
    profile, poses, elements = tyre(), poses_of(rng, 6), elements_of(rng, 9, 0.3)
    told = clearances(profile, poses, elements)
    alone = np.array([clearances(profile, poses, [one]).least for one in elements])
    assert told.least == pytest.approx(alone.min(axis=0), abs=2e-5)
    assert [one.clearance for one in told.each] == pytest.approx(alone.min(axis=1), abs=2e-5)
    assert [alone[k, i] for i, k in enumerate(told.nearest)] == pytest.approx(alone.min(axis=0), abs=2e-5)


@given(seeds)
@settings(max_examples=20)
def test_the_other_side_of_the_car_is_the_mirror(seed):
    rng = np.random.default_rng(seed)
    profile, poses, elements = tyre(), poses_of(rng, 5), elements_of(rng, 6)
    here = clearances(profile, poses, elements)
    there = clearances(
        profile,
        Poses(poses.centre * OVER, poses.axis * OVER),
        [Element(one.corners * OVER, one.radius) for one in elements],
    )
    assert there.least == pytest.approx(here.least, abs=1e-9)
    for mine, theirs in zip(here.each, there.each, strict=True):
        assert theirs.clearance == pytest.approx(mine.clearance, abs=1e-9)


@given(seeds)
@settings(max_examples=20)
def test_a_larger_tyre_or_thicker_obstacle_is_never_clearer(seed):
    rng = np.random.default_rng(seed)
    poses, elements = poses_of(rng, 5), elements_of(rng, 6)
    small = clearances(tyre(), poses, elements).least
    # With a dent below the widest place a taller tyre has that place, and the dent, higher up.
    plain = clearances(tyre(rim=0.26), poses, elements).least
    assert np.all(clearances(tyre(radius=0.305, rim=0.26), poses, elements).least <= plain + 1e-6)
    assert np.all(clearances(tyre(section=0.21), poses, elements).least <= small + 1e-6)
    thicker = [Element(one.corners, one.radius + 0.003) for one in elements]
    assert clearances(tyre(), poses, thicker).least == pytest.approx(small - 0.003, abs=1e-6)
    assert np.all(clearances(tyre(), poses, elements[:3]).least >= small - 1e-6)


@given(seeds)
@settings(max_examples=20)
def test_an_edge_comes_nearer_than_its_ends_and_a_patch_than_its_edges(seed):
    rng = np.random.default_rng(seed)
    profile, poses = tyre(), poses_of(rng, 3)
    (patch,) = [one.corners for one in elements_of(rng, 3)[2:3]]
    whole = clearances(profile, poses, [Element(patch)]).least
    edges = [Element(np.stack(pair)) for pair in itertools.pairwise([*patch, patch[0]])]
    along = clearances(profile, poses, edges).least
    corners = clearances(profile, poses, [Element(one[None]) for one in patch]).least
    assert np.all(whole <= along + 1e-7)
    assert np.all(along <= corners + 1e-7)


def test_what_moves_is_where_it_is_at_each_pose():
    rng = np.random.default_rng(3)
    profile, poses = tyre(), poses_of(rng, 4)
    (one,) = elements_of(rng, 2)[1:]
    moved = one.corners + rng.normal(0, 0.02, (4, 1, 3))
    told = clearances(profile, poses, [Element(moved, one.radius)]).least
    for k in range(4):
        own = clearances(profile, poses.take(np.array([k])), [Element(moved[k], one.radius)])
        assert told[k] == pytest.approx(own.least[0], abs=1e-9)


def test_poses_that_cannot_be_reached_have_no_clearance():
    rng = np.random.default_rng(4)
    poses = poses_of(rng, 3)
    poses.centre[1] = np.nan
    told = clearances(tyre(), poses, elements_of(rng, 3))
    assert list(np.isnan(told.least)) == [False, True, False]
    assert told.nearest[1] == -1
    none = Poses(np.full((2, 3), np.nan), np.full((2, 3), np.nan))
    assert clearances(tyre(), none, elements_of(rng, 2)).each == (None, None)
    with pytest.raises(ValueError, match="nothing"):
        clearances(tyre(), poses, [])


def test_known_distances():
    """A wheel upright at the origin: over its tread, beside its wall, in the corner, and pierced."""
    profile = tyre()
    still = Poses(np.zeros((1, 3)), np.array([[0.0, 1.0, 0.0]]))
    above, beside = np.array([0.0, 0.0, 0.35]), np.array([0.0, 0.14, profile.widest])
    assert clearances(profile, still, [Element(above[None])]).least[0] == pytest.approx(0.05)
    assert clearances(profile, still, [Element(beside[None])]).least[0] == pytest.approx(0.04)
    plate = np.array([[-1, -1, 0.32], [1, -1, 0.32], [1, 1, 0.32], [-1, 1, 0.32]])
    assert clearances(profile, still, [Element(plate)]).least[0] == pytest.approx(0.02)
    assert clearances(profile, still, [Element(plate - [0, 0, 0.03])]).least[0] == pytest.approx(-0.01, abs=2e-5)
    wall = np.array([[-1, 0.13, -1], [1, 0.13, -1], [1, 0.13, 1], [-1, 0.13, 1]])
    assert clearances(profile, still, [Element(wall)]).least[0] == pytest.approx(0.03)


@pytest.mark.parametrize("change", ["section", "radius", "x", "y", "z", "camber", "toe"])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_sensitivities_are_what_small_changes_do(change, side):
    rng = np.random.default_rng(11)
    number = ("section", "radius", "x", "y", "z", "camber", "toe").index(change)

    def told(step):
        sizes = {"section": 0.2, "radius": 0.3}
        if change in sizes:
            sizes[change] += step
        profile = tyre_profile(sizes["section"], 0.16, sizes["radius"], SEAT, 0.0173, 0.17)
        camber, toe = 0.03 + step * (change == "camber"), 0.1 + step * (change == "toe")
        axis = np.array([np.sin(toe) * np.cos(camber), side * np.cos(toe) * np.cos(camber), -np.sin(camber)])
        centre = np.zeros(3)
        if change in "xyz":
            centre["xyz".index(change)] += step
        poses = Poses(centre[None], axis[None])
        return profile, poses, clearances(profile, poses, points)

    points = [Element(one.corners[:1]) for one in elements_of(rng, 12, 0.38)]
    step = 1e-5
    profile, poses, now = told(0.0)
    after, before = told(step)[2].each, told(-step)[2].each
    for one, up, down in zip(now.each, after, before, strict=True):
        slope = sensitivity(profile, SEAT, one, poses.centre[0], poses.axis[0])[number]
        found = (up.clearance - down.clearance) / (2 * step)
        # The outline's own shape goes with its size: how, the sensitivity only says roughly, on the safe side or near.
        slack = 0.25 if change in ("section", "radius") else 2e-3
        assert slope == pytest.approx(found, abs=slack)


def test_chance_of_one_is_the_normal_law_of_two_the_joint_law():
    shared, own = np.array([[0.003, 0.0], [0.002, 0.001]]), np.array([0.002, 0.003])
    sd = np.sqrt((shared**2).sum(axis=1) + own**2)
    one = chance_of_rubbing(np.array([0.004]), shared[:1], own[:1])
    assert one == pytest.approx(ndtr(-0.004 / sd[0]))
    clear = np.array([0.004, 0.003])
    both = multivariate_normal(clear, shared @ shared.T + np.diag(own**2)).cdf
    # None below zero: by inclusion and exclusion of the two.
    below = ndtr(-clear / sd)
    joint = float(both(np.zeros(2)))
    assert chance_of_rubbing(clear, shared, own) == pytest.approx(below.sum() - joint, abs=3e-3)
    assert chance_of_rubbing(np.array([]), np.zeros((0, 2)), np.array([])) == 0.0
    assert chance_of_rubbing(np.array([-0.001]), np.zeros((1, 2)), np.zeros(1)) == 1.0


def test_tyres_that_cannot_be_are_refused():
    for sizes in (
        (0.2, 0.16, 0.2, 0.19, 0.0173, 0.17),
        (0.2, 0.16, 0.3, 0.0, 0.01, 0.17),
        (0.0, 0.1, 0.3, 0.19, 0.01, 0.1),
    ):
        with pytest.raises(ValueError, match="tyre"):
            tyre_profile(*sizes)


@pytest.mark.parametrize("rim", [0.15, 0.19, 0.22, 0.26])
def test_the_outline_holds_the_sizes_it_was_made_from(rim):
    profile = tyre_profile(0.2, 0.16, 0.3, SEAT, 0.0173, rim)
    corners = profile.outline.corners
    assert tuple(corners[0]) == pytest.approx((0.0, 0.3))
    assert corners[-1][1] == 0.0
    assert np.all(np.diff(corners[:, 1]) <= 1e-12)
    assert corners[:, 0].max() == pytest.approx(max(0.1, rim / 2))
    assert np.all(profile.hull.width_at(corners[1:, 1] - 1e-9) >= corners[1:, 0] - 1e-6)
    assert profile.outline.width_at(np.array([0.31]))[0] < 0
    assert envelope.HALVINGS >= 16
