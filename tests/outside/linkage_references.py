"""How far the project's linkages lie from two other roads: SciPy and MuJoCo.

`python linkage_references.py` prints the table. Lengths: wheel centre and all links; angles:
camber, toe, caster and kingpin inclination.
"""

import math
from dataclasses import dataclass

import numpy as np

from cornerwright.mechanics.linkage import KINDS
from outside import linkage_cases

ANGLES = frozenset({"camber", "toe", "caster", "kingpin"})

MILLIMETRE = 1e-6
"""Agreement asked for [mm]; and in degrees the same number."""


@dataclass
class Compared:
    """linkages, poses: how many reached by both; mm, deg: greatest differences; odd: disagreements
    about whether a pose can be reached; worst: which number lies farthest.
    """

    kind: str
    linkages: int = 0
    poses: int = 0
    beyond: int = 0
    mm: float = 0.0
    deg: float = 0.0
    numbers: int = 0
    odd: tuple = ()
    worst: str = ""

    def __str__(self):
        text = f"{self.kind:24} {self.linkages:5d} {self.poses:6d} {self.beyond:6d} {self.numbers:8d}"
        return f"{text} {self.mm:10.1e} {self.deg:10.1e}  {self.worst}"


HEADING = f"{'kind':24} {'cases':>5} {'poses':>6} {'beyond':>6} {'numbers':>8} {'worst mm':>10} {'worst deg':>10}"


def compare(kind, columns_at, unreachable, *, adjusters, count=None):
    """Hold the project's answers against another road's `columns_at(case, lifts, rack, travel)`."""
    done = Compared(kind)
    for trial in linkage_cases.trials(kind, count or linkage_cases.COUNT, adjusters=adjusters):
        for i, case in enumerate(trial.cases):
            reached = 0
            for p in range(linkage_cases.POSES):
                try:
                    other = columns_at(case, trial.lifts[i, p], trial.rack[i, p], trial.travel[i, p])
                except unreachable as why:
                    if trial.closed[i, p]:
                        done.odd += (f"{kind} {i} pose {p}: only the other road stops, {why}",)
                    else:
                        done.beyond += 1
                    continue
                if not trial.closed[i, p]:
                    done.odd += (f"{kind} {i} pose {p}: only the other road reaches it",)
                    continue
                reached += 1
                done.poses += 1
                _note(done, other, {name: values[i, p] for name, values in trial.said.items()}, f"{i}.{p}")
            done.linkages += reached == linkage_cases.POSES
    return done


def _note(done, other, ours, where):
    if set(other) != set(ours):
        raise AssertionError(f"{done.kind}: columns {sorted(other)} against {sorted(ours)}")
    for name, values in ours.items():
        for theirs, own in zip(other[name], values, strict=True):
            if math.isnan(theirs) and math.isnan(own):
                continue
            apart = abs(theirs - own)
            apart = math.inf if math.isnan(apart) else apart
            done.numbers += 1
            scaled = math.degrees(apart) if name in ANGLES else apart * 1e3
            before = done.deg if name in ANGLES else done.mm
            if scaled > max(done.mm, done.deg):
                done.worst = f"{name} of {where}"
            if scaled > before:
                setattr(done, "deg" if name in ANGLES else "mm", scaled)


def main():
    from outside import linkage_mujoco, linkage_scipy

    for title, road, adjusters in (
        ("SciPy", linkage_scipy, True),
        ("MuJoCo", linkage_mujoco, False),
    ):
        print(title)
        print(HEADING)
        for kind in KINDS:
            done = compare(kind, road.columns_at, road.Unreachable, adjusters=adjusters)
            print(done)
            for odd in done.odd:
                print("   ", odd)


if __name__ == "__main__":
    main()
