"""Poses from the table are the poses worked out by themselves."""

from __future__ import annotations

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.posing import Poser
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.envelope import Element, Poses, clearances, every_pair
from cornerwright.mechanics.tyre_profile import tyre_profile
from shared import PROJECT

ANGLES = ("camber_deg", "toe_deg", "caster_deg")
LENGTHS = ("damper_mm", "spring_mm", "wheel_x_mm", "wheel_y_mm", "wheel_z_mm", "droop_left_mm", "bump_left_mm")


@pytest.mark.parametrize("which", [0, 1, 2])
@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_the_table_is_the_corner(name, which):
    variant = Rig(cw.load_car(PROJECT / "examples" / name / "car.yaml")).vary()
    poser = Poser(variant, variant.stand(), which)
    assert poser.table is not None
    rng = np.random.default_rng(20 + which)
    places = [(1e4, 1e4, 1e4), (-1e4, -1e4, -1e4), (poser.sweep.rest_mm, 0.0, 0.0)]
    places += [tuple(rng.uniform(-1, 1, 3) * (90, 60, 30)) for _ in range(12)]
    for place in places:
        soon, exact = poser.soon(*place), poser.at(*place)
        assert soon.inside
        for key in ANGLES:
            assert getattr(soon, key) == pytest.approx(getattr(exact, key), abs=3e-4), key
        for key in LENGTHS:
            assert getattr(soon, key) == pytest.approx(getattr(exact, key), abs=5e-3), key
        assert soon.spring_load_n == pytest.approx(exact.spring_load_n, abs=0.5)
        assert soon.lines == exact.lines
        assert soon.points.keys() == exact.points.keys()
        for point, at in exact.points.items():
            assert soon.points[point] == pytest.approx(at, abs=5e-3)
        known = {one.obstacle: one for one in exact.near}
        assert {one.obstacle for one in soon.near} == set(known)
        assert soon.near[0].exact
        assert soon.near[0].clearance_mm == pytest.approx(exact.near[0].clearance_mm, abs=2e-3)
        for one in soon.near:
            # Where it is told that it is only near, it is: and never is it nearer than wanted.
            assert one.clearance_mm == pytest.approx(known[one.obstacle].clearance_mm, abs=2e-3 if one.exact else 2.0)
            assert one.exact or known[one.obstacle].clearance_mm > soon.gap_mm


def test_every_pair_is_what_the_envelope_finds():
    profile = tyre_profile(0.185, 0.152, 0.29, 0.18, 0.0175, 0.16)
    rng = np.random.default_rng(5)
    axis = np.array([[0.02, 0.99, 0.1], [0.3, 0.95, 0.0], [np.nan, np.nan, np.nan]])
    axis /= np.linalg.norm(axis, axis=1)[:, None]
    poses = Poses(rng.uniform(-0.02, 0.02, (3, 3)) + np.array([0.0, 0.7, 0.3]), axis)
    elements = [
        Element(np.array([[0.1, 0.55, 0.5]]), 0.01),
        Element(np.array([[-0.3, 0.82, 0.4], [0.3, 0.83, 0.55]])),
        Element(np.array([[-0.2, 0.5, 0.2], [0.2, 0.5, 0.2], [0.2, 0.5, 0.6], [-0.2, 0.5, 0.6]])),
    ]
    every, place = every_pair(profile, poses, elements)
    assert np.isnan(every[2]).all()
    assert np.isnan(place[2]).all()
    for k in range(2):
        for m, one in enumerate(elements):
            told = clearances(profile, poses.take(np.array([k])), [one])
            assert every[k, m] == pytest.approx(told.least[0], abs=1e-12)
            assert place[k, m] == pytest.approx(told.each[0].place, abs=1e-9)
    assert every_pair(profile, poses, [])[0].shape == (3, 0)
