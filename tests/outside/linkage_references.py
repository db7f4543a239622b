"""How far the project's linkages lie from two other roads, SciPy and MuJoCo.

`python tests/outside/linkage_references.py` prints the table. Lengths: wheel centre and all links;
angles: camber, toe, caster, kingpin inclination; rates: how wheel centre, camber, toe and links go
with each lift and with the rack.
"""

from dataclasses import dataclass, field

import linkage_cases
import numpy as np

from cornerwright.mechanics.linkage import KINDS

AGREED = 1e-6
"""Agreement asked for, in [mm] and in [deg]."""

AGREED_RATE = 1e-9
"""Agreement asked for of the rates, in [m/m] and [rad/m]."""

ENOUGH = 200
"""Linkages of each kind that both must bring to all their poses."""

ANGLES = frozenset({"camber", "toe", "caster", "kingpin"})

SCALE = {"mm": 1e3, "deg": 180.0 / np.pi, "rate": 1.0}

HEADING = (
    f"{'kind':24} {'cases':>5} {'poses':>5} {'beyond':>6} {'numbers':>7} {'worst mm':>9} {'worst deg':>9} {'rate':>9}"
)


@dataclass
class Compared:
    """One kind against one road.

    linkages: brought to all their poses by both; poses: reached by both; beyond: reached by
    neither; numbers: how many were compared; worst: unit -> (difference, of what); odd: where only
    one of the two reaches the pose.
    """

    kind: str
    linkages: int = 0
    poses: int = 0
    beyond: int = 0
    numbers: int = 0
    worst: dict = field(default_factory=lambda: dict.fromkeys(SCALE, (0.0, "")))
    odd: list = field(default_factory=list)

    def __str__(self):
        counts = f"{self.kind:24} {self.linkages:5} {self.poses:5} {self.beyond:6} {self.numbers:7}"
        worst = " ".join(f"{most:9.1e}" if where else f"{'-':>9}" for most, where in self.worst.values())
        where = ", ".join(where for _, where in self.worst.values() if where)
        return "\n    ".join([f"{counts} {worst}  ({where})", *self.odd])

    @property
    def agrees(self):
        """The same poses reached, the same numbers there."""
        return not self.odd and all(
            most <= (AGREED_RATE if unit == "rate" else AGREED) for unit, (most, _) in self.worst.items()
        )


def compare(kind, answers, *, adjusters=False, reach=1.0, count=linkage_cases.COUNT):
    """Hold the project's numbers against another road's `answers(case, lifts, rack, travel)`."""
    done = Compared(kind)
    for trial in linkage_cases.trials(kind, count, adjusters=adjusters, reach=reach):
        for i, case in enumerate(trial.cases):
            others = answers(case, trial.lifts[i], trial.rack[i], trial.travel[i])
            for p, other in enumerate(others):
                if isinstance(other, str) and not trial.closed[i, p]:
                    done.beyond += 1
                elif isinstance(other, str):
                    done.odd.append(f"linkage {i}, pose {p}: the other road stops, {other}")
                elif not trial.closed[i, p]:
                    done.odd.append(f"linkage {i}, pose {p}: only the other road reaches it")
                else:
                    done.poses += 1
                    _note(done, other, {name: said[i, p] for name, said in trial.said.items()}, (i, p))
            done.linkages += all(isinstance(other, dict) for other in others) and trial.closed[i].all()
    return done


def _note(done, others, ours, where):
    """Add one pose. Values that neither has are skipped; that only one has, are infinitely apart."""
    wanted = {name for name in ours if not name.endswith("'")}
    if not wanted <= set(others) <= set(ours):
        raise AssertionError(f"{done.kind}: {sorted(others)} held against {sorted(ours)}")
    for name, theirs in others.items():
        other, own = np.array(theirs, dtype=float), ours[name]
        if other.shape != own.shape:
            raise AssertionError(f"{done.kind}: {name} of shape {other.shape} against {own.shape}")
        known = ~(np.isnan(other) & np.isnan(own))
        if not known.any():
            continue
        unit = "rate" if name.endswith("'") else "deg" if name in ANGLES else "mm"
        apart = np.abs(other - own)[known] * SCALE[unit]
        most = float(np.where(np.isnan(apart), np.inf, apart).max())
        done.numbers += int(known.sum())
        done.worst[unit] = max(done.worst[unit], (most, f"{name} {where[0]}.{where[1]}"))


def main():
    import linkage_mujoco
    import linkage_scipy
    import mujoco
    import scipy

    roads = (
        (f"SciPy {scipy.__version__}, adjusters too", linkage_scipy, True),
        (f"MuJoCo {mujoco.__version__}", linkage_mujoco, False),
    )
    for title, road, adjusters in roads:
        print(title)
        print(HEADING)
        for kind in KINDS:
            print(compare(kind, road.answers, adjusters=adjusters))


if __name__ == "__main__":
    main()
