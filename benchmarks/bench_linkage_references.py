"""What a pose of a five-link suspension costs: this project, SciPy's root finder, MuJoCo.

Run with `python benchmarks/bench_linkage_references.py`. Times are of the processor, all its cores
together. All three start from the reference pose and go to the same random lifts and rack travels,
and are held against each other there. SciPy's hybrid Powell method solves the same five rods for a
place and a rotation vector, with its own difference quotients; MuJoCo's constraints are closed by
Newton's method on its Jacobian (see `tests/outside/linkage_mujoco.py`). The linkage is invented.
"""

import sys
import time
from pathlib import Path

import mujoco
import numpy as np
import scipy
from scipy import optimize

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "outside"))
from linkage_cases import case_of
from linkage_mujoco import Engine
from random_linkages import random_linkages, random_poses

from cornerwright.mechanics.linkage import answer, solve

POSES = 10_000
OTHERS = 1_000
"""Poses given to the slower two; they are the first of the others."""


class FiveRods:
    """Five rods and a height, as anyone would write them for a root finder."""

    def __init__(self, case):
        self.inner = np.array([case.points[inner] for _, inner, _ in case.rods])
        outer = np.array([case.points[outer] for _, _, outer in case.rods])
        self.centre = np.array(case.points["wheel"])
        self.arm = outer - self.centre
        self.square = np.sum((outer - self.inner) ** 2, axis=1)
        self.shift = np.array([case.steered.get(inner, (0.0, 0.0, 0.0)) for _, inner, _ in case.rods])

    def turned(self, w):
        """Arms turned by a rotation vector (Rodrigues' formula)."""
        angle = np.sqrt(w @ w)
        across = np.cross(w, self.arm)
        return (
            self.arm + np.sinc(angle / np.pi) * across + 0.5 * np.sinc(angle / (2 * np.pi)) ** 2 * np.cross(w, across)
        )

    def residuals(self, x, lift, rack):
        """Six of them, of a place and a rotation vector."""
        gap = self.turned(x[3:]) + x[:3] - self.inner - rack * self.shift
        return np.append(np.sum(gap * gap, axis=1) - self.square, x[2] - self.centre[2] - lift)

    def solve(self, lift, rack):
        """From the reference pose."""
        start = np.concatenate([self.centre, np.zeros(3)])
        return optimize.root(self.residuals, start, (lift, rack), method="hybr", tol=1e-12)


def best(task, times):
    """Least processor time [s] of a few runs, and what the last gave."""
    spent, result = [], None
    for _ in range(times):
        begin = time.process_time()
        result = task()
        spent.append(time.process_time() - begin)
    return min(spent), result


def main():
    rng = np.random.default_rng(11)
    mechanism = random_linkages("five_link", 1)[0]
    lifts, rack, _ = random_poses(mechanism, rng, POSES, lift=0.06, steer=0.02)
    case = case_of("five_link", mechanism)
    solve(mechanism, lifts[:300], rack[:300])

    alone, pose = best(lambda: solve(mechanism, lifts, rack), 5)
    if not pose.closed.all():
        raise SystemExit("not every pose was reached")
    full, _ = best(lambda: answer(mechanism, lifts, rack), 2)
    single, _ = best(lambda: solve(mechanism, lifts[:1], rack[:1]), 50)

    rods = FiveRods(case)

    def by_scipy():
        return np.array([rods.solve(lifts[i, 0], rack[i]).x[:3] for i in range(OTHERS)])

    engine = Engine(case)

    def by_mujoco():
        found = np.empty((OTHERS, 3))
        hub = engine.data.site("hub0").xpos
        for i in range(OTHERS):
            engine.data.qpos[:] = engine.model.qpos0
            engine.drive(lifts[i], rack[i])
            engine.close()
            found[i] = hub
        return found

    scipy_time, scipy_place = best(by_scipy, 2)
    mujoco_time, mujoco_place = best(by_mujoco, 2)
    apart = [1e3 * np.abs(one - pose.place[:OTHERS]).max() for one in (scipy_place, mujoco_place)]
    per = {
        "this project, batch of 10,000": alone / POSES,
        "  with all outputs and sensitivities": full / POSES,
        "this project, one pose alone": single,
        f"SciPy {scipy.__version__} root": scipy_time / OTHERS,
        f"MuJoCo {mujoco.__version__} with Newton": mujoco_time / OTHERS,
    }
    print(f"five_link, {len(mechanism.adjusters.names)} adjusters")
    for name, spent in per.items():
        print(f"{name:40} {spent * 1e6:9.1f} us a pose  {spent * POSES / alone:7.1f} x the batch")
    print(f"wheel centres apart at most: SciPy {apart[0]:.1e} mm, MuJoCo {apart[1]:.1e} mm")


if __name__ == "__main__":
    main()
