"""How far a corner's linkage goes, and which member ends it, for each way the other wheel may go."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.linkage_reach import limits_of
from cornerwright.assembly.point_travel import Side
from cornerwright.mechanics.linkage import limits, solve
from cornerwright.mechanics.linkage.limits import SPAN

Array = NDArray[np.float64]

STRIDES = 101
REFINED = 2
"""The span is divided so often into so many strides: an end is found within 0.05 mm."""


@dataclass(frozen=True)
class Reach:
    """Lowest and highest lift (s,) [m] at places of the rack, and the members that end the travel."""

    lowest: Array
    highest: Array
    below: tuple[str, ...]
    above: tuple[str, ...]


def reach_of(side: Side, steers: Array, along: tuple[float, float], held: float) -> Reach:
    """Travel limits at these places (s,) [m] of the rack.

    along: how the own and the other wheel go; held [m]: lift of the other wheel where it stays.
    """
    mechanism, travel = side.mechanism, side.motion.travel
    racks = steers if mechanism.steers else np.zeros(1)
    if side.tied and along[1] == 0.0 and held != 0.0:
        found = _held(side, held)
    else:
        direction = np.ones(1)
        if side.tied:
            direction = np.array([along[1], along[1]])
            direction[side.wheel] = along[0]
        ends = limits_of(mechanism, racks, travel, direction)
        found = Reach(ends.lowest, ends.highest, ends.ends_below, ends.ends_above)
    if found.lowest.size == steers.size:
        return found
    n = steers.size
    return Reach(np.repeat(found.lowest, n), np.repeat(found.highest, n), found.below * n, found.above * n)


def _held(side: Side, held: float) -> Reach:
    """Limits of a wheel whose other wheel stays off its reference lift."""
    mechanism, travel = side.mechanism, side.motion.travel

    def pair(own: Array) -> Array:
        lifts = np.full((own.size, 2), held)
        lifts[:, side.wheel] = own
        return lifts

    def reached(own: Array) -> NDArray[np.bool_]:
        return solve(mechanism, pair(own), travel=travel).closed

    if not reached(np.zeros(1))[0]:
        return Reach(np.full(1, np.nan), np.full(1, np.nan), ("",), ("",))
    lifts: list[float] = []
    names: list[str] = []
    for sign in (-1.0, 1.0):
        edge = _edge(reached, sign * SPAN)
        if edge is None:
            lifts.append(sign * SPAN)
            names.append("")
            continue
        # Straight from the reference to just past the end: the same member ends that way.
        past = pair(np.array([edge + sign * 1e-3]))[0]
        far = float(np.abs(past).max())
        lifts.append(edge)
        names.append(limits(mechanism, 0.0, travel, past / far, far).ends_above[0])
    return Reach(np.array(lifts[:1]), np.array(lifts[1:]), (names[0],), (names[1],))


def _edge(reached: Callable[[Array], NDArray[np.bool_]], end: float) -> float | None:
    """The last lift [m] on the way from none to this end that is reached; None if all are."""
    if reached(np.array([end]))[0]:
        return None
    good, bad = 0.0, end
    for _ in range(REFINED):
        strides = np.linspace(good, bad, STRIDES)
        lost = int(np.argmin(reached(strides)))
        good, bad = float(strides[lost - 1]), float(strides[lost])
    return good
