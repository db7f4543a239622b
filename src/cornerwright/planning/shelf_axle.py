"""Every set of parts that the shelf allows at one axle, weighed where the car is wanted to stand."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.bench import axle_bench, axle_parts
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.turn_inputs import TurnInputs
from cornerwright.mechanics.axle_parts import LENGTHS, AxleBench, AxleFigures, weigh
from cornerwright.mechanics.cornering import axle_roll_stiffness
from cornerwright.mechanics.stance import Stance
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.shelf import ShelfBar, ShelfSpring
from cornerwright.model.target import Targets
from cornerwright.planning.shelf import ENDS, PartSet, place_in_stack, with_set

Array = NDArray[np.float64]
Part = TypeVar("Part", ShelfSpring, ShelfBar)

RATES = 7
"""Rates that are tried of a part made to order, its ends included, before the best are found more closely."""
MOST_SETS = 6000
"""Sets of parts of one axle that are weighed at most."""
ROUND = 100.0
"""[N/m]; rates are ordered in steps of this."""
NEAR_HEIGHT = 0.002
"""[m]; how near a height must come where the targets give no tolerance."""
FREE_HEIGHT = 0.025
"""[m]; the same where no height is wanted."""

REASONS = {
    "droop_left": "no stroke left in droop",
    "bump_left": "no travel left in bump",
    "held": "the spring comes loose at full droop",
    "bind": "the spring is coil-bound before full bump",
    "perch": "the perch does not reach the height",
    "carry": "the spring cannot carry the car",
}


@dataclass(frozen=True)
class RollBase:
    """What turns an axle's wheel rate into roll stiffness."""

    track: float
    """[m]"""
    spring_share: float
    """Roll stiffness of the springs over that of the same wheel rates in bump [1]."""


@dataclass(frozen=True, eq=False)
class AxleSets:
    """n sets of parts of one axle with their quick figures."""

    end: str
    car: Car
    bench: AxleBench
    sets: tuple[PartSet, ...]
    figures: AxleFigures
    roll: Array
    """(n,) roll stiffness of body against wheels [N m/rad]"""
    price: Array
    minutes: Array
    base: RollBase
    near: float
    """How far [m] the perch may be out of its range: the height's tolerance."""

    def take(self, rows: NDArray[np.intp]) -> AxleSets:
        """Only these sets."""
        figures = self.figures
        part = AxleFigures(
            room={name: values[rows] for name, values in figures.room.items()},
            **{
                name: getattr(figures, name)[rows] for name in ("rate", "frequency", "damping", "reach", "seat", "body")
            },
        )
        sets = tuple(self.sets[k] for k in rows)
        arrays = self.roll[rows], self.price[rows], self.minutes[rows]
        return AxleSets(self.end, self.car, self.bench, sets, part, *arrays, self.base, self.near)

    def broken(self) -> NDArray[np.str_]:
        """Which hard limit (n,) each set breaks worst, by its name in REASONS; "" where it keeps all."""
        rooms = np.stack([self.figures.room[name] for name in LENGTHS])
        rooms[LENGTHS.index("perch")] += self.near
        blank = np.isnan(rooms).any(axis=0) | np.isnan(self.figures.rate)
        worst = np.where(blank, 0.0, np.nan_to_num(rooms).min(axis=0))
        names = np.array(LENGTHS)[np.nan_to_num(rooms).argmin(axis=0)]
        return np.asarray(np.where(blank, "carry", np.where(worst < 0.0, names, "")))


def axle_sets(car: Car, rig: Rig, stance: Stance, targets: Targets, turned: TurnInputs) -> tuple[AxleSets, AxleSets]:
    """Front and rear. stance: the believed car at rest as it is. Raises Refusal where the shelf is too large."""
    lifts, near = wanted_lifts(rig, stance, targets)
    found = []
    for axle, end in enumerate(ENDS):
        bench = axle_bench(rig, stance, axle, lifts[axle])
        ratio = abs(float(np.interp(lifts[axle], bench.lift, np.gradient(bench.spring, bench.lift))))
        roll = RollBase(float(turned.car.track[axle]), float(turned.spring_share[axle]))
        found.append(weighed(car, end, bench, options(car, end), roll, near[axle] * ratio))
    return found[0], found[1]


def weighed(car: Car, end: str, bench: AxleBench, sets: list[PartSet], base: RollBase, near: float) -> AxleSets:
    """These sets of parts weighed on the bench."""
    fitted = [with_set(car, end, one) for one in sets]
    parts = axle_parts([getattr(one, end).left for one in fitted])
    figures = weigh(bench, parts)
    bars = [getattr(one, end).bar for one in fitted]
    bar = np.array([0.0 if one is None or not one.connected else one.rate for one in bars])
    return AxleSets(
        end=end,
        car=car,
        bench=bench,
        sets=tuple(sets),
        figures=figures,
        roll=axle_roll_stiffness(figures.rate * base.spring_share, bar, base.track),
        price=np.array([one.price for one in sets]),
        minutes=np.array([one.minutes for one in sets]),
        base=base,
        near=near,
    )


def wanted_lifts(rig: Rig, stance: Stance, targets: Targets) -> tuple[tuple[float, float], tuple[float, float]]:
    """Mean lift [m] of each axle's wheels at the heights wanted, and how near [m] the heights must come."""
    bands = targets.bands()
    height = np.array([point[2] for point in rig.height_points])
    q = stance.q[0]
    now = height + q[0] - q[1] * rig.height_points[:, 0] + q[2] * rig.height_points[:, 1]
    rise, places, near = [], [], []
    for axle in (0, 1):
        own = slice(2 * axle, 2 * axle + 2)
        aims = [bands.get((corner, "height")) for corner in CORNERS[own]]
        known = [one for one in aims if one is not None and np.isfinite(one.aim)]
        # The heights of the two sides are met by turning; what counts here is their mean.
        wanted = float(np.mean([one.aim for one in known])) if known else float(now[own].mean())
        rise.append(wanted - float(now[own].mean()))
        places.append(float(rig.height_points[own, 0].mean()))
        within = [one.within for one in known if np.isfinite(one.within)]
        near.append(min(within) if within else NEAR_HEIGHT if known else FREE_HEIGHT)
    slope = (rise[0] - rise[1]) / (places[0] - places[1])
    lifts = []
    for axle in (0, 1):
        own = slice(2 * axle, 2 * axle + 2)
        x = float(stance.kinematics.x.value[0, own].mean())
        body = rise[0] + slope * (x - places[0])
        lifts.append(float(q[3:][own].mean()) - body)
    return (lifts[0], lifts[1]), (near[0], near[1])


def options(car: Car, end: str) -> list[PartSet]:
    """Every set of parts the shelf allows at this end, the parts that are there first."""
    corner = getattr(car, end).left
    shelf = car.shelf
    places: dict[int, list[ShelfSpring]] = {}
    for spring in shelf.springs:
        if spring.fits == end:
            places.setdefault(place_in_stack(corner, spring), []).extend(_rates(spring))
    bars = [one for bar in shelf.bars if bar.fits == end for one in _rates(bar)]
    dampers = [one for one in shelf.dampers if one.fits == end]
    count = (1 + len(bars)) * (1 + len(dampers)) * int(np.prod([1 + len(own) for own in places.values()]))
    if count > MOST_SETS:
        raise Refusal.of(
            f"a shelf with {count} sets of parts for the {end}", f"{MOST_SETS} sets at most: fewer parts to choose from"
        )
    return [
        PartSet(tuple(one for one in springs if one is not None), bar, damper)
        for springs, bar, damper in product(
            product(*([None, *own] for own in places.values())), [None, *bars], [None, *dampers]
        )
    ]


def _rates(part: Part) -> list[Part]:
    """The part itself, or what may be ordered of it."""
    if part.rate_up_to is None:
        return [part]
    return [at_rate(part, rate) for rate in np.linspace(part.rate, part.rate_up_to, RATES)]


def at_rate(part: Part, rate: float) -> Part:
    """The part made to this rate [N/m], rounded as one orders it; its range is kept, to be changed again."""
    return part.model_copy(update={"rate": round(rate / ROUND) * ROUND})
