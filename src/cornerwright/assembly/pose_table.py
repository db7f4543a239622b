"""A corner's poses read from a table, for fingers: what a linkage says is smooth in lift and lock.

Quantities, points, the wheel and the arms that carry obstacles are worked out at Chebyshev points of lift and lock and
read between them; where their last coefficients say that this is not close enough, there is no table and each pose is
worked out by itself. Clearances bend where another place of an obstacle becomes the nearest, so they are only judged by
the table: every obstacle that may be the nearest, or nearer than wanted, is worked out exactly where it then stands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.chebyshev import Grid, tail, to_coefficients
from cornerwright.assembly.nearness import Stood, Surroundings
from cornerwright.assembly.wheel_poses import Turned
from cornerwright.mechanics.envelope import Poses

Array = NDArray[np.float64]

LIFTS, ACROSS = 21, 13
"""Chebyshev points."""

ROUGH_LIFTS, ROUGH_ACROSS = 33, 25
"""Even steps at which clearances are worked out."""

CLOSE = 5e-6
"""What the last coefficients may be [m or rad]: a two-hundredth of a mm, three ten-thousandths of a degree."""

MAY_BE = 3e-3
"""A clearance that lies so far [m] above the least one by the table may still be the least."""


@dataclass(frozen=True)
class Read:
    """A corner at one place: quantities [SI], points (3,) [m] of its picture, body axes, the wheel among obstacles."""

    values: dict[str, float]
    points: dict[str, Array]
    stood: Stood


class PoseTable:
    """One corner's poses over lift [m] and across [m of rack or rad of turn]."""

    def __init__(self, around: Surroundings, lifts: tuple[float, float], across: tuple[float, float]) -> None:
        """across: both ends the same where nothing steers."""
        self._around = around
        self._lifts = Grid(*lifts, LIFTS)
        self._across = Grid(*across, ACROSS) if across[1] > across[0] else None
        self._ends = lifts, across
        self._coefficients: Array | None = None
        self._rough: Array | None = None

    @property
    def nodes(self) -> list[tuple[float, float]]:
        """Every place (lift, across) that `fill` needs, across running fastest."""
        across = [self._ends[1][0]] if self._across is None else list(self._across.lifts)
        return [(float(lift), float(place)) for lift in self._lifts.lifts for place in across]

    def fill(self, rows: Sequence[Read], arms: Mapping[str, Turned]) -> bool:
        """Take what was worked out at the nodes; returns whether the table is close enough to be read."""
        first = rows[0]
        if any(row.points.keys() != first.points.keys() for row in rows):
            return False
        flat = np.array([self._flat(row) for row in rows])
        turns = [one.turn.reshape(len(rows), 9) for one in arms.values()]
        self._bases = {name: one.base for name, one in arms.items()}
        table = np.concatenate([flat, *turns], axis=1)
        known = np.isfinite(table).all(axis=0)
        if not known[: flat.shape[1]][self._needed(first)].all():
            return False
        grid = table.reshape(LIFTS, -1, table.shape[1])
        coefficients = np.einsum("kl,lac->kac", to_coefficients(LIFTS), grid)
        if self._across is not None:
            coefficients = np.einsum("ka,lac->lkc", to_coefficients(ACROSS), coefficients)
        close = np.delete(coefficients, np.flatnonzero(~known), axis=2)
        if tail(close, 0) > CLOSE or (self._across is not None and tail(close, 1) > CLOSE):
            return False
        self._coefficients = coefficients
        self._values, self._points = tuple(first.values), tuple(first.points)
        self._rough = self._around.rough(*self._even())
        return True

    @staticmethod
    def _flat(row: Read) -> Array:
        parts = [np.array(list(row.values.values())), row.stood.centre, row.stood.axis, *row.points.values()]
        return np.concatenate(parts)

    @staticmethod
    def _needed(row: Read) -> slice:
        """All but what may be unknown: caster of a jack table."""
        return slice(len(row.values), None)

    def _even(self) -> tuple[Array, Array]:
        low, high = self._ends[1]
        across = np.linspace(low, high, ROUGH_ACROSS) if self._across is not None else np.array([low])
        return np.linspace(*self._ends[0], ROUGH_LIFTS), across

    def at(self, lift: float, across: float, gap: float) -> Read:
        """The corner there; gap [m]: least clearance wanted."""
        assert self._coefficients is not None  # it is filled
        read = self._lifts.basis(np.array([lift])).value[0] @ self._coefficients.reshape(LIFTS, -1)
        read = read.reshape(self._coefficients.shape[1:])
        read = read[0] if self._across is None else self._across.basis(np.array([across])).value[0] @ read
        count = len(self._values)
        values = {name: float(one) for name, one in zip(self._values, read[:count], strict=True)}
        centre, axis = read[count : count + 3], read[count + 3 : count + 6]
        axis = axis / np.linalg.norm(axis)
        rest = read[count + 6 :]
        points = {name: rest[3 * k : 3 * k + 3] for k, name in enumerate(self._points)}
        turns = rest[3 * len(self._points) :].reshape(-1, 1, 3, 3)
        arms = {name: Turned(turn, base) for (name, base), turn in zip(self._bases.items(), turns, strict=True)}
        poses = Poses(centre[None], axis[None])
        return Read(values, points, self._around.read(poses, arms, self._roughly(lift, across), gap, MAY_BE))

    def _roughly(self, lift: float, across: float) -> Array:
        """Clearances [m] of the obstacles that do not go with the wheel, between the even steps."""
        assert self._rough is not None
        lifts, places = self._even()
        row, share = _between(lifts, lift)
        rows = (1 - share) * self._rough[row] + share * self._rough[min(row + 1, lifts.size - 1)]
        column, share = _between(places, across)
        return np.asarray((1 - share) * rows[column] + share * rows[min(column + 1, places.size - 1)])


def _between(values: Array, at: float) -> tuple[int, float]:
    """Number of the step below, and the share of the way to the next."""
    if values.size == 1:
        return 0, 0.0
    place = (at - values[0]) / (values[1] - values[0])
    row = int(np.clip(np.floor(place), 0, values.size - 2))
    return row, float(np.clip(place - row, 0.0, 1.0))
