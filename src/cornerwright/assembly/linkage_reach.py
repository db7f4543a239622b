"""How far the linkage of a file goes, and its poses there: found once for all cars that have it in common.

A car at other settings, with other springs or other weights has the same linkage: what takes longest about a rig is
then known already.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.chebyshev import Grid
from cornerwright.mechanics.linkage import Limits, Mechanism, Pose, answer, limits, solve

Array = NDArray[np.float64]

Packed = tuple[tuple[int, ...], bytes]
"""An array to be looked up by: its shape and its bytes."""

KNOWN = 64
"""Linkages that are kept in mind, those asked for last: a car has four at the most."""

FARTHEST = 0.15
"""Lift beyond which no stance is looked for [m]."""
LEAST = 1e-3
"""Less travel than this [m] is none."""

KEEP_INSIDE = 0.9
"""Share of the reach that is used: at its very end a linkage is singular."""

ROOM = 0.02
"""Lift beyond the damper's ends that a stance may pass through [m]."""


@dataclass(frozen=True)
class GridPoses:
    """A grid of lifts, and the linkage of the file solved there."""

    grid: Grid
    lifts: Array
    """(g^d, d) [m]: every combination of the grid's lifts"""
    poses: Pose
    """Adjusters where the linkage was measured: to start variants from."""


class Fixed:
    """A mechanism to be looked up by: equal to another one where all its numbers are the same."""

    def __init__(self, mechanism: Mechanism) -> None:
        self.mechanism = mechanism
        own = mechanism.adjusters
        arrays = [mechanism.points, mechanism.camber, mechanism.toe, mechanism.radius, mechanism.steer_axis]
        if own is not None:
            arrays += [own.point_shift, own.length_change, own.camber_change, own.toe_change]
        numbers = tuple(None if one is None else _packed(one) for one in arrays)
        self._all = mechanism.layout, None if own is None else own.names, numbers

    @cached_property
    def _hash(self) -> int:
        return hash(self._all)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Fixed) and self._all == other._all


def limits_of(
    mechanism: Fixed | Mechanism,
    steer: Array | None = None,
    travel: Array | None = None,
    direction: Array | None = None,
) -> Limits:
    """How far it goes, as `mechanics.linkage.limits` says it of the usual span.

    steer (s,) [m] of the rack, none when left out; travel (n|1, K) [m] of the adjusters; direction (d,) how the
    wheels of an axle go together.
    """
    fixed = mechanism if isinstance(mechanism, Fixed) else Fixed(mechanism)
    return _limits_of(fixed, *(None if one is None else _packed(one) for one in (steer, travel, direction)))


@lru_cache(KNOWN)
def _limits_of(fixed: Fixed, steer: Packed | None, travel: Packed | None, direction: Packed | None) -> Limits:
    rack = 0.0 if steer is None else _unpacked(steer)
    settings = None if travel is None else _unpacked(travel)
    return limits(fixed.mechanism, rack, settings, None if direction is None else _unpacked(direction))


def _packed(one: Array) -> Packed:
    return one.shape, np.ascontiguousarray(one, dtype=float).tobytes()


def _unpacked(packed: Packed) -> Array:
    shape, content = packed
    return np.frombuffer(content).reshape(shape)


@lru_cache(KNOWN)
def span_of(fixed: Fixed, shortest: float, longest: float) -> tuple[float, float] | None:
    """Lifts [m] over which stances are looked for, as far as damper and linkage let the wheel go; None: it cannot move.

    shortest, longest: of the damper with its body anywhere [m].
    """
    reach = limits_of(fixed)
    low, high = float(reach.lowest[0]), float(reach.highest[0])
    low, high = max(KEEP_INSIDE * low, -FARTHEST), min(KEEP_INSIDE * high, FARTHEST)
    if not high - low > LEAST:
        return None
    lifts = np.linspace(low, high, 61)
    both = np.repeat(lifts[:, None], fixed.mechanism.wheels, axis=1)
    length = answer(fixed.mechanism, both, columns=["damper"], sensitivities=False)["damper"].value
    inside = np.flatnonzero(((length > shortest) & (length < longest)).any(axis=1))
    if inside.size:
        low = max(low, float(lifts[inside[0]]) - ROOM)
        high = min(high, float(lifts[inside[-1]]) + ROOM)
    return low, high


@lru_cache(KNOWN)
def poses_over(fixed: Fixed, span: tuple[float, float], count: int) -> GridPoses:
    """Solved at so many Chebyshev points of each wheel's lift over this span [m]."""
    wheels = fixed.mechanism.wheels
    grid = Grid(*span, count)
    axes = np.meshgrid(*[grid.lifts] * wheels, indexing="ij")
    lifts = np.stack([axis.ravel() for axis in axes], axis=1)
    return GridPoses(grid, lifts, solve(fixed.mechanism, lifts))
