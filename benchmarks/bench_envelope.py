"""What an envelope costs: 41 x 21 poses against 200 obstacles, within 300 ms; and the same by brute force.

Run with `pytest benchmarks/bench_envelope.py`, or by itself to print the ratio to a dense mesh in the same run. The
brute force turns the outline into rings of 360 places and asks a tree of them for the nearest at every pose: it knows
neither edges nor inside, and still takes longer. Wheel and obstacles are invented.
"""

import time
from itertools import pairwise

import numpy as np
import pytest
from scipy.spatial import cKDTree

from cornerwright.mechanics.envelope import Element, Poses, clearances
from cornerwright.mechanics.tyre_profile import tyre_profile

GOAL = 0.3
"""[s]"""


def wheel():
    return tyre_profile(0.214, 0.17, 0.316, 0.2028, 0.0173, 0.187)


def poses():
    """A steered wheel from full droop to full bump, lock to lock."""
    lift, steer = (one.ravel() for one in np.meshgrid(np.linspace(-0.07, 0.06, 41), np.linspace(-0.6, 0.6, 21)))
    camber = np.radians(-1.0) - 0.5 * lift
    axis = np.stack([-np.sin(steer) * np.cos(camber), np.cos(steer) * np.cos(camber), -np.sin(camber)], axis=1)
    centre = np.stack([-0.02 * np.sin(steer), 0.7 + 0.05 * lift - 0.03 * (1 - np.cos(steer)), 0.3 + lift], axis=1)
    return Poses(centre, axis)


def obstacles(closer=0.0, count=200):
    """Points, edges and patches around the arch and inboard of the wheel."""
    rng = np.random.default_rng(1)
    found = []
    for k in range(count):
        angle, reach, across = rng.uniform(-0.3, np.pi + 0.3), rng.uniform(0.47, 0.55), rng.uniform(0.62, 0.82)
        if k % 3 == 0:
            reach, across = rng.uniform(0.1, 0.35), rng.uniform(0.36, 0.42)
        reach -= closer
        middle = np.array([reach * np.cos(angle), across, 0.3 + reach * np.sin(angle)])
        first, second = rng.normal(0, 0.04, (2, 3))
        corners = (
            [middle],
            [middle, middle + first],
            [middle, middle + first, middle + first + second, middle + second],
        )
        found.append(Element(np.array(corners[k % 3])))
    return found


@pytest.mark.parametrize("closer", [0.0, 0.1], ids=["clear", "rubbing"])
def test_envelope(benchmark, closer):
    told = benchmark(clearances, wheel(), poses(), obstacles(closer))
    assert np.isfinite(told.least).all()
    assert (told.least.min() < 0) == (closer > 0)


def brute(profile, stands, elements):
    """Least distance at every pose between the tyre's rings and places 5 mm apart on the obstacles."""
    half = profile.outline.corners
    steps = [np.linspace(a, b, 1 + int(np.ceil(np.hypot(*(b - a)) / 0.005))) for a, b in pairwise(half)]
    chain = np.concatenate([*steps, np.concatenate(steps) * [-1.0, 1.0]])
    turn = np.arange(360) * np.pi / 180
    u, v = (grid.reshape(-1, 1) for grid in np.meshgrid(*[np.linspace(0, 1, 9)] * 2))
    spots = []
    for one in elements:
        first = one.corners[1] - one.corners[0] if len(one.corners) > 1 else np.zeros(3)
        second = one.corners[-1] - one.corners[0] if len(one.corners) > 2 else np.zeros(3)
        spots.append(one.corners[0] + u * first + v * second)
    tree = cKDTree(np.concatenate(spots))
    least = np.empty(len(stands.centre))
    for k, (centre, axis) in enumerate(zip(stands.centre, stands.axis, strict=True)):
        ahead = np.cross(axis, [0.0, 0.0, 1.0])
        ahead /= np.linalg.norm(ahead)
        up = np.cross(ahead, axis)
        ring = np.cos(turn)[:, None] * ahead + np.sin(turn)[:, None] * up
        rings = centre + chain[:, :1, None] * axis + chain[:, 1:, None] * ring
        least[k] = tree.query(rings.reshape(-1, 3))[0].min()
    return least


def main():
    profile, stands, elements = wheel(), poses(), obstacles()
    clearances(profile, stands, elements)
    start = time.perf_counter()
    for _ in range(5):
        told = clearances(profile, stands, elements)
    ours = (time.perf_counter() - start) / 5
    some = stands.take(np.arange(20, 861, 210))
    start = time.perf_counter()
    mesh = brute(profile, some, elements)
    theirs = (time.perf_counter() - start) * 861 / len(mesh)
    print(f"envelope, 41 x 21 poses against 200 obstacles: {1e3 * ours:.0f} ms (goal {1e3 * GOAL:.0f} ms)")
    print(f"dense mesh, from {len(mesh)} of the poses: {theirs:.1f} s; ratio {theirs / ours:.0f}")
    print(f"worst difference there: {1e3 * np.abs(mesh - told.least[20::210]).max():.1f} mm (the mesh is the coarser)")


if __name__ == "__main__":
    main()
