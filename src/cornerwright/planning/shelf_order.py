"""Rates of parts made to order: found more closely, once rough ones have shown which sets of parts are worth it."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.shelf import Shelf, ShelfBar, ShelfSpring
from cornerwright.planning.shelf import PartSet
from cornerwright.planning.shelf_axle import AxleSets, Part, at_rate, weighed
from cornerwright.planning.shelf_pairs import Pairing, misses

Array = NDArray[np.float64]

ZOOMS = 5
"""Times that the rates are gone through on a finer grid."""
STEPS = 9
"""Rates that are tried of one part each time; the first time over all that may be ordered."""
FINER = 4.0
SAFELY = 0.1
"""How far inside its range, in tolerances, a figure is wanted: quick figures and full ones differ a little."""
NEAR_AIM = 1e-3
"""How much the middle of a wanted range counts beside being outside of it."""


def to_order(one: PartSet) -> bool:
    """Whether a part of this set is made to order."""
    return any(isinstance(part, ShelfSpring | ShelfBar) and part.rate_up_to is not None for part in one.parts)


def ordered(pairing: Pairing, front: PartSet, rear: PartSet) -> tuple[PartSet, PartSet]:
    """The same parts with the rates that come nearest to the wishes: all on a grid, and again closer around the best.

    Bounded by what may be ordered. Sets that break a hard limit of the car are not taken.
    """
    best = front, rear
    for zoom in range(ZOOMS):
        share = FINER**-zoom
        sides = [
            _weighed(axle, _around(axle.car.shelf, one, share)) for axle, one in zip(_axles(pairing), best, strict=True)
        ]
        sides = [axle.take(np.flatnonzero(axle.broken() == "")) for axle in sides]
        if not all(axle.sets for axle in sides):
            return best
        near = replace(pairing, front=sides[0], rear=sides[1])
        pairs = np.stack(np.meshgrid(*(np.arange(len(a.sets)) for a in sides), indexing="ij"), axis=-1).reshape(-1, 2)
        costs = misses(near.figures(pairs), near.bands, SAFELY)
        which = pairs[int(np.argmin((costs**2).sum(axis=1) + NEAR_AIM * near.off_aim(pairs)))]
        best = sides[0].sets[which[0]], sides[1].sets[which[1]]
    return best


def _axles(pairing: Pairing) -> tuple[AxleSets, AxleSets]:
    return pairing.front, pairing.rear


def _weighed(axle: AxleSets, sets: list[PartSet]) -> AxleSets:
    return weighed(axle.car, axle.end, axle.bench, sets, axle.base, axle.near)


def _around(shelf: Shelf, one: PartSet, share: float) -> list[PartSet]:
    """Sets with the rates made to order a share of their range higher and lower."""
    springs = [_rates(spring, shelf.springs, share) for spring in one.springs]
    bars: list[ShelfBar] | list[None] = [None] if one.bar is None else _rates(one.bar, shelf.bars, share)
    return [PartSet(own, bar, one.dampers) for own, bar in product(product(*springs), bars)]


def _rates(part: Part, shelf: tuple[Part, ...], share: float) -> list[Part]:
    if part.rate_up_to is None:
        return [part]
    low = next(one.rate for one in shelf if (one.fits, one.name) == (part.fits, part.name))
    span = share * (part.rate_up_to - low)
    tried = np.clip(part.rate + span * np.linspace(-1.0, 1.0, STEPS), low, part.rate_up_to)
    return [at_rate(part, float(rate)) for rate in np.unique(np.append(tried, part.rate))]
