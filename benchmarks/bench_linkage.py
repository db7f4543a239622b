"""What a pose of a linkage costs: in batches, alone, with everything, and beside SciPy's root finder.

Run with `pytest benchmarks/bench_linkage.py -s`, on one core (`OPENBLAS_NUM_THREADS=1`). The
linkages are random and invented; SciPy solves the same mechanism from its own equations.
"""

import sys
import time
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import root
from scipy.spatial.transform import Rotation

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "mechanics" / "linkage"))
from random_linkages import random_linkages, random_poses

from cornerwright.mechanics.linkage import KINDS, answer, answer_at, places, solve

BATCH = 10_000
STANCE = ("spring", "damper", "x", "y")


def made(kind, n):
    mechanism = random_linkages(kind, 1)[0]
    return mechanism, random_poses(mechanism, np.random.default_rng(1), n)


def per_pose(benchmark, n):
    benchmark.extra_info["us_per_pose"] = benchmark.stats["min"] / n * 1e6


@pytest.mark.parametrize("kind", KINDS)
def test_positions_in_batch(benchmark, kind):
    mechanism, poses = made(kind, BATCH)
    pose = benchmark(solve, mechanism, *poses)
    per_pose(benchmark, BATCH)
    assert pose.closed.mean() > 0.99


@pytest.mark.parametrize("kind", KINDS)
def test_everything_in_batch(benchmark, kind):
    """All columns with all derivatives by lift, adjuster and rack, positions included."""
    mechanism, poses = made(kind, BATCH)
    benchmark.pedantic(answer, (mechanism, *poses), rounds=3, warmup_rounds=1)
    per_pose(benchmark, BATCH)


def test_variants_in_batch(benchmark):
    """Ten thousand different geometries, one pose each."""
    mechanism, poses = made("five_link", BATCH)
    rng = np.random.default_rng(2)
    points = mechanism.points + rng.normal(0.0, 0.001, (BATCH, *mechanism.points.shape[1:]))
    benchmark(lambda: solve(mechanism.vary(points=points), *poses))
    per_pose(benchmark, BATCH)


@pytest.mark.parametrize("kind", KINDS)
def test_one_pose(benchmark, kind):
    mechanism, poses = made(kind, 1)
    benchmark(solve, mechanism, *poses)


@pytest.mark.parametrize("kind", KINDS)
def test_one_pose_with_stance_columns(benchmark, kind):
    """What a stance asks for: a few columns with second derivatives by lift, from a near pose."""
    mechanism, (lifts, rack, travel) = made(kind, 1)
    near = solve(mechanism, lifts + 0.002, rack, travel)
    columns = [name for name in STANCE if kind != "rods" or name != "damper"]
    benchmark(answer, mechanism, lifts, rack, travel, columns=columns, sensitivities=False, start=near)


def by_scipy(mechanism, lifts, rack):
    """A five_link's wheel centres by SciPy, pose after pose from the reference."""
    at = dict(zip(mechanism.structure.names, mechanism.points[0][mechanism.structure.source], strict=True))
    rods = mechanism.layout.rods
    inner = np.array([at[f"{rod}_inner"] for rod in rods])
    outer = np.array([at[f"{rod}_outer"] for rod in rods])
    centre = at["wheel"]
    length2 = np.sum((outer - inner) ** 2, axis=1)
    slide = np.array([mechanism.steer_axis[mechanism.structure.index(f"{rod}_inner")] for rod in rods])

    def residual(q, lift, moved):
        gap = centre + q[:3] + (outer - centre) @ Rotation.from_rotvec(q[3:]).as_matrix().T - moved
        return np.append(np.sum(gap**2, axis=1) - length2, q[2] - lift)

    found = []
    for lift, travel in zip(lifts[:, 0], rack, strict=True):
        answered = root(residual, np.zeros(6), args=(lift, inner + slide * travel), tol=1e-13)
        found.append(centre + answered.x[:3])
    return np.array(found)


def test_ratio_to_scipy(capsys):
    """Prints the ratio; the poses must agree, so both did the same work."""
    mechanism, (lifts, rack, _) = made("five_link", BATCH)
    few = 200
    begun = time.perf_counter()
    theirs = by_scipy(mechanism, lifts[:few], rack[:few])
    slow = (time.perf_counter() - begun) / few
    begun = time.perf_counter()
    pose = solve(mechanism, lifts, rack)
    fast = (time.perf_counter() - begun) / BATCH
    begun = time.perf_counter()
    answer_at(mechanism, pose)
    whole = fast + (time.perf_counter() - begun) / BATCH
    ours = places(mechanism, pose.take(slice(0, few)), ("wheel",))[:, 0]
    error = np.abs(ours - theirs).max()
    with capsys.disabled():
        print(
            f"\nfive_link, a pose: SciPy {slow * 1e6:.0f} us, batch {fast * 1e6:.1f} us "
            f"({slow / fast:.0f} times faster), with everything {whole * 1e6:.1f} us "
            f"({slow / whole:.0f} times faster); greatest difference {error * 1e3:.1e} mm"
        )
    assert error < 1e-9
