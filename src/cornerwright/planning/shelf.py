"""Parts from the shelf where turning alone cannot do it: which pair of springs to fit.

Every combination of pairs, one or none for each axle, is tried with parts of steps, which is quick; the few that
come out cheapest are planned in whole steps on the full model. A change of springs is never small, so nothing of it
is linearised.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from cornerwright.assembly.report import shown
from cornerwright.assembly.rig import Rig
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.parts import CORNERS, Coil
from cornerwright.model.results_plan import PartChange
from cornerwright.model.shelf import ShelfSpring
from cornerwright.model.units import LENGTH, RATE
from cornerwright.planning.choose import WORK
from cornerwright.planning.search import search
from cornerwright.planning.seek import SEED, Chosen, Sought, seek, task_of

BEST = 3
"""Combinations that are planned in whole steps."""

ENDS = ("front", "rear")
SIDES = ("left", "right")


@dataclass(frozen=True)
class Fitted:
    """A plan with parts from the shelf, and what they are."""

    chosen: Chosen
    parts: tuple[PartChange, ...]

    @property
    def rank(self) -> tuple[int, int, float]:
        """Less is better: limits broken, targets missed, cost with the work of fitting."""
        broken, short, cost = self.chosen.rank
        return broken, short, cost + WORK * sum(part.minutes for part in self.parts)


def with_parts(sought: Sought, chosen: Chosen | None, tell: Callable[[float, str], None]) -> Fitted | None:
    """A better plan with springs from the shelf; None where there is none, or moves alone are enough."""
    shelf = sought.car.shelf.springs
    if not shelf or (chosen is not None and not chosen.short and not chosen.broken):
        return None
    tell(0.6, "trying the springs on the shelf")
    options = [[None, *(one for one in shelf if one.fits == end)] for end in ENDS]
    rough = []
    held = np.zeros(len(sought.rig.slots), dtype=bool)
    for pair in product(*options):
        if not any(pair):
            continue
        tried, parts = _fitted(sought, pair)
        found = search(task_of(tried, None, held), whole=False, rounds=2)
        if found.solved:
            rough.append((found.cost + WORK * sum(one.minutes for one in parts), tried, parts))
    plans = []
    for _, tried, parts in sorted(rough, key=lambda one: one[0])[:BEST]:
        again = seek(tried)
        if again is not None:
            plans.append(Fitted(again, parts))
    best = min(plans, key=lambda one: one.rank, default=None)
    if best is None or (chosen is not None and best.rank[:2] >= chosen.rank[:2]):
        return None
    return best


def _fitted(sought: Sought, pair: tuple[ShelfSpring | None, ...]) -> tuple[Sought, tuple[PartChange, ...]]:
    """The believed car with these springs in: what was learned of the old ones is forgotten."""
    car, parts, gone = sought.car, [], set()
    for end, spring in zip(ENDS, pair, strict=True):
        if spring is None:
            continue
        old = _coil(getattr(car, end).left, spring)
        car = _with_springs(car, end, spring)
        parts.append(
            PartChange(
                place=end,
                part="springs",
                takes_out=f"{old.name} ({_words(old)})",
                puts_in=f"{spring.name} ({_words(spring)})",
                name=spring.name,
                minutes=2 * spring.minutes,
            )
        )
        gone |= {f"{c} spring {what}" for c in CORNERS if c.startswith(end) for what in ("rate", "free length")}
    forgotten = [block.where.start for block in sought.rig.unknowns.blocks if block.label in gone]
    belief = sought.belief.without(forgotten)
    cars = sought.cars.copy()
    cars[:, forgotten] = np.random.default_rng(SEED).standard_normal((len(cars), len(forgotten)))
    return replace(sought, rig=Rig(car), belief=belief, cars=cars), tuple(parts)


def _words(spring: Coil | ShelfSpring) -> str:
    return f"{shown(spring.rate, RATE):.4g} N/mm, {shown(spring.free_length, LENGTH):.4g} mm free"


def _place(corner: Corner, spring: ShelfSpring) -> int:
    stack = corner.spring.stack
    named = [k for k, coil in enumerate(stack) if coil.name == spring.replaces]
    return named[0] if named else int(np.argmax([coil.free_length for coil in stack]))


def _coil(corner: Corner, spring: ShelfSpring) -> Coil:
    return corner.spring.stack[_place(corner, spring)]


def _with_springs(car: Car, end: str, spring: ShelfSpring) -> Car:
    axle = getattr(car, end)
    new = {name: getattr(spring, name) for name in ("name", "rate", "free_length", "block_length")}
    sides = {}
    for side in SIDES:
        corner: Corner = getattr(axle, side)
        stack = list(corner.spring.stack)
        stack[_place(corner, spring)] = _coil(corner, spring).model_copy(update=new)
        sides[side] = corner.model_copy(update={"spring": corner.spring.model_copy(update={"stack": tuple(stack)})})
    return car.model_copy(update={end: axle.model_copy(update=sides)})


def car_with_parts(car: Car, parts: tuple[PartChange, ...]) -> Car:
    """The car with the shelf's springs fitted that a plan names."""
    for part in parts:
        spring = next(one for one in car.shelf.springs if (one.fits, one.name) == (part.place, part.name))
        car = _with_springs(car, part.place, spring)
    return car
