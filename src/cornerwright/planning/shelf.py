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
from cornerwright.model.parts import CORNERS, Bar, Coil, Damper
from cornerwright.model.results_plan import PartChange
from cornerwright.model.shelf import Shelf, ShelfBar, ShelfDamper, ShelfSpring
from cornerwright.model.units import LENGTH, RATE, from_document
from cornerwright.planning.choose import WORK
from cornerwright.planning.search import search
from cornerwright.planning.seek import SEED, Chosen, Sought, seek, task_of

BEST = 3
"""Combinations that are planned in whole steps."""

ENDS = ("front", "rear")
SIDES = ("left", "right")


@dataclass(frozen=True)
class PartSet:
    """What is changed at one axle: springs (one for each place in the stack), bar, dampers."""

    springs: tuple[ShelfSpring, ...] = ()
    bar: ShelfBar | None = None
    dampers: ShelfDamper | None = None

    @property
    def parts(self) -> tuple[ShelfSpring | ShelfBar | ShelfDamper, ...]:
        """All of them."""
        return (*self.springs, *(one for one in (self.bar, self.dampers) if one is not None))

    @property
    def price(self) -> float:
        """Of those whose price is known, in the shelf's currency."""
        return sum(one.price or 0.0 for one in self.parts)

    @property
    def minutes(self) -> float:
        """Work on both sides."""
        return sum(2.0 * one.minutes for one in self.parts)


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
    # A spring that has to be wound first is not on the shelf yet.
    shelf = [spring for spring in sought.car.shelf.springs if spring.rate_up_to is None]
    if not shelf or (chosen is not None and not chosen.short and not chosen.broken):
        return None
    tell(0.6, "trying the springs on the shelf")
    options = [[None, *(one for one in shelf if one.fits == end)] for end in ENDS]
    rough = []
    held = np.zeros(len(sought.rig.slots), dtype=bool)
    for pair in product(*options):
        if not any(pair):
            continue
        sets = tuple(PartSet(springs=() if spring is None else (spring,)) for spring in pair)
        tried, parts = fitted_with(sought, sets)
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


def fitted_with(sought: Sought, sets: tuple[PartSet, ...]) -> tuple[Sought, tuple[PartChange, ...]]:
    """The believed car with these parts in, front and rear: what was learned of the old ones is forgotten."""
    car, parts, gone = sought.car, [], set()
    for end, one in zip(ENDS, sets, strict=True):
        if not one.parts:
            continue
        parts += changes(car, end, one)
        car = with_set(car, end, one)
        if one.springs:
            gone |= {f"{c} spring {what}" for c in CORNERS if c.startswith(end) for what in ("rate", "free length")}
        if one.bar is not None:
            gone.add(f"{end} bar rate")
    forgotten = [block.where.start for block in sought.rig.unknowns.blocks if block.label in gone]
    belief = sought.belief.without(forgotten)
    cars = sought.cars.copy()
    cars[:, forgotten] = np.random.default_rng(SEED).standard_normal((len(cars), len(forgotten)))
    return replace(sought, rig=Rig(car), belief=belief, cars=cars), tuple(parts)


def changes(car: Car, end: str, one: PartSet) -> list[PartChange]:
    """What these parts take the place of on this car."""
    found = []
    axle = getattr(car, end)
    for part in one.parts:
        if isinstance(part, ShelfSpring):
            what, old, new = "springs", _coil_words(_coil(axle.left, part)), _coil_words(part)
        elif isinstance(part, ShelfBar):
            what, old, new = "bar", _bar_words(axle.bar), _bar_words(part)
        else:
            what, old, new = "dampers", _damper_words(axle.left.damper), _damper_words(part.damper)
        rate = shown(part.rate, RATE) if isinstance(part, ShelfSpring | ShelfBar) else None
        found.append(
            PartChange(
                place=end,
                part=what,
                takes_out=old,
                puts_in=f"{part.name} ({new})",
                name=part.name,
                minutes=2 * part.minutes,
                price=part.price,
                rate_n_per_mm=rate,
            )
        )
    return found


def _coil_words(spring: Coil | ShelfSpring) -> str:
    words = f"{shown(spring.rate, RATE):.4g} N/mm, {shown(spring.free_length, LENGTH):.4g} mm free"
    return f"{spring.name} ({words})" if isinstance(spring, Coil) else words


def _bar_words(bar: Bar | ShelfBar | None) -> str:
    return "no bar" if bar is None else f"{shown(bar.rate, RATE):.4g} N/mm of lift difference"


def _damper_words(damper: Damper) -> str:
    return f"{shown(damper.closed, LENGTH):.4g} to {shown(damper.open, LENGTH):.4g} mm"


def place_in_stack(corner: Corner, spring: ShelfSpring) -> int:
    """Which spring of the stack this one takes the place of."""
    stack = corner.spring.stack
    named = [k for k, coil in enumerate(stack) if coil.name == spring.replaces]
    return named[0] if named else int(np.argmax([coil.free_length for coil in stack]))


def _coil(corner: Corner, spring: ShelfSpring) -> Coil:
    return corner.spring.stack[place_in_stack(corner, spring)]


def with_set(car: Car, end: str, one: PartSet) -> Car:
    """The car with these parts on both sides of an axle."""
    axle = getattr(car, end)
    sides = {}
    for side in SIDES:
        corner: Corner = getattr(axle, side)
        stack = list(corner.spring.stack)
        for spring in one.springs:
            new = {name: getattr(spring, name) for name in ("name", "rate", "free_length", "block_length")}
            # The place is that in the stack as it was: what goes in may be the longer one.
            stack[place_in_stack(corner, spring)] = _coil(corner, spring).model_copy(update=new)
        damper = corner.damper
        if one.dampers is not None:
            damper = one.dampers.damper.model_copy(update={"between": damper.between})
        spring_there = corner.spring.model_copy(update={"stack": tuple(stack)})
        sides[side] = corner.model_copy(update={"spring": spring_there, "damper": damper})
    bar = axle.bar
    if one.bar is not None:
        new_bar = {"rate": one.bar.rate, "connected": True}
        bar = Bar(rate=shown(one.bar.rate, RATE)) if bar is None else bar.model_copy(update=new_bar)
    return car.model_copy(update={end: axle.model_copy(update={**sides, "bar": bar})})


def car_with_parts(car: Car, parts: tuple[PartChange, ...]) -> Car:
    """The car with the shelf's parts fitted that a plan or a choice names."""
    for end in ENDS:
        own = [part for part in parts if part.place == end]
        found = [_on_shelf(car.shelf, part) for part in own]
        car = with_set(
            car,
            end,
            PartSet(
                springs=tuple(one for one in found if isinstance(one, ShelfSpring)),
                bar=next((one for one in found if isinstance(one, ShelfBar)), None),
                dampers=next((one for one in found if isinstance(one, ShelfDamper)), None),
            ),
        )
    return car


def _on_shelf(shelf: Shelf, part: PartChange) -> ShelfSpring | ShelfBar | ShelfDamper:
    kinds: dict[str, tuple[ShelfSpring | ShelfBar | ShelfDamper, ...]] = {
        "springs": shelf.springs,
        "bar": shelf.bars,
        "dampers": shelf.dampers,
    }
    one = next(one for one in kinds[part.part] if (one.fits, one.name) == (part.place, part.name))
    if isinstance(one, ShelfSpring | ShelfBar) and one.rate_up_to is not None and part.rate_n_per_mm is not None:
        return one.model_copy(update={"rate": from_document(part.rate_n_per_mm, RATE), "rate_up_to": None})
    return one
