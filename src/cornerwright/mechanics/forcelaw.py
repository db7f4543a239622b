"""Force along a length, piecewise linear, in batches.

A spring pack, a bump stop and a damper's ends are all of this kind: their stored energy is
piecewise quadratic and therefore known exactly, which the stance (a minimum of energy) relies on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Knots nearer than this are one knot: the gap is rounding, and a slope across it would be noise.
SAME_KNOT = 1e-13  # [m]
# A larger force difference across one knot [N] is a step, which has no rate.
STEP = 1e-6


@dataclass(frozen=True, eq=False)
class ForceLaw:
    """Force [N] along a length [m], piecewise linear, in batches.

    knots (..., K) [m]: ascending along the last axis; a knot may be repeated (with its force) to
    pad. force (..., K) [N]: at the knots, positive = pushing apart. slope_below, slope_above (...)
    [N/m]: dF/dx below the first and above the last knot.

    Raises ValueError where the shapes do not match, a number is not finite, the knots descend, or
    the force steps at a repeated knot.
    """

    knots: Array
    force: Array
    slope_below: Array
    slope_above: Array
    # One row a segment: where it starts [m], energy [J], force [N], slope [N/m] there.
    _rows: Array = field(init=False, repr=False)
    _first_row: NDArray[np.intp] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        knots, force = np.broadcast_arrays(np.asarray(self.knots, dtype=float), np.asarray(self.force, dtype=float))
        if knots.ndim == 0 or knots.shape[-1] == 0:
            raise ValueError("a force law needs at least one knot")
        shape = knots.shape[:-1]
        below = np.broadcast_to(np.asarray(self.slope_below, dtype=float), shape)
        above = np.broadcast_to(np.asarray(self.slope_above, dtype=float), shape)
        if not all(np.isfinite(part).all() for part in (knots, force, below, above)):
            raise ValueError("a force law's knots, forces and slopes must be finite")
        gap, rise = np.diff(knots), np.diff(force)
        if (gap < 0.0).any():
            raise ValueError("the knots of a force law must ascend")
        same = gap <= SAME_KNOT
        if (np.abs(rise[same]) > STEP + 1e-9 * np.abs(force).max()).any():
            raise ValueError("the force of a force law must not step at a repeated knot")
        for name, part in zip(
            ("knots", "force", "slope_below", "slope_above"),
            (knots, force, below, above),
            strict=True,
        ):
            object.__setattr__(self, name, part)
        self._tabulate(same)

    def _tabulate(self, same: NDArray[np.bool_]) -> None:
        """Lay out the K + 1 segments of every law as rows; segment 0 lies below the first knot."""
        knots, force = self.knots.copy(), self.force
        for k in range(knots.shape[-1] - 2, -1, -1):
            knots[..., k] = np.where(same[..., k], knots[..., k + 1], knots[..., k])
        gap = np.diff(knots)
        between = np.divide(np.diff(force), gap, out=np.zeros_like(gap), where=gap > 0.0)
        # Energy is counted from the last knot: a loose spring stores none.
        store = (force[..., 1:] + force[..., :-1]) / 2.0 * gap
        energy = np.zeros_like(knots)
        energy[..., :-1] = np.cumsum(store[..., ::-1], axis=-1)[..., ::-1]

        segments = knots.shape[-1] + 1
        rows = np.empty((*knots.shape[:-1], segments, 4))
        for column, part in enumerate((knots, energy, force)):
            rows[..., 0, column] = part[..., 0]
            rows[..., 1:, column] = part
        rows[..., 0, 3] = self.slope_below
        rows[..., 1:-1, 3] = between
        rows[..., -1, 3] = self.slope_above
        count = int(np.prod(knots.shape[:-1], dtype=int))
        object.__setattr__(self, "_rows", rows.reshape(-1, 4))
        object.__setattr__(self, "_first_row", np.arange(count).reshape(knots.shape[:-1]) * segments)
        # The merged knots decide the segment, so that no length falls into a gap of rounding.
        object.__setattr__(self, "knots", knots)

    def at(self, x: Array) -> tuple[Array, Array, Array]:
        """Energy [J] (zero at the last knot), force [N] and rate -dF/dx [N/m] at x [m].

        x broadcasts with the knots' leading shape, and so have the results. A rate at a knot is
        the one above it. A length that is nan gives nan energy and force.
        """
        x = np.asarray(x, dtype=float)
        segment = (x[..., None] >= self.knots).sum(axis=-1)
        row = self._rows.take(segment + self._first_row, axis=0)
        start, energy, force, slope = row[..., 0], row[..., 1], row[..., 2], row[..., 3]
        run = x - start
        rise = slope * run
        return energy - run * (force + 0.5 * rise), force + rise, 0.0 - slope

    def length_at(self, force: Array) -> Array:
        """Shortest length [m] at which the law gives this force [N]; nan where it never does.

        force broadcasts with the knots' leading shape. Raises ValueError if the law's force rises
        anywhere with the length, because the answer would then not be one length.
        """
        if (self._rows[:, 3] > 0.0).any():
            raise ValueError("only a law whose force never rises with the length can be inverted")
        force = np.asarray(force, dtype=float)
        above = (self.force > force[..., None]).sum(axis=-1)
        row = self._rows.take(above + self._first_row, axis=0)
        start, rise, slope = row[..., 0], force - row[..., 2], row[..., 3]
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            run = np.where(rise == 0.0, 0.0, rise / slope)
        return np.where(np.isfinite(run), start + run, np.nan)

    def __add__(self, other: ForceLaw) -> ForceLaw:
        """Both laws along the same length: forces, energies and rates add."""
        shape = np.broadcast_shapes(self.knots.shape[:-1], other.knots.shape[:-1])
        knots = np.sort(
            np.concatenate(
                [np.broadcast_to(k, (*shape, k.shape[-1])) for k in (self.knots, other.knots)],
                axis=-1,
            )
        )
        force = sum(_along(law, knots) for law in (self, other))
        return ForceLaw(
            knots,
            np.asarray(force),
            np.broadcast_to(self.slope_below + other.slope_below, shape),
            np.broadcast_to(self.slope_above + other.slope_above, shape),
        )

    @classmethod
    def nothing(cls, shape: tuple[int, ...] = ()) -> ForceLaw:
        """No force at any length: a place where no spring or damper is fitted."""
        none = np.zeros(shape)
        return cls(np.zeros((*shape, 1)), np.zeros((*shape, 1)), none, none)

    @classmethod
    def stack(cls, laws: Sequence[ForceLaw]) -> ForceLaw:
        """Laws of one leading shape (...) as one of shape (..., len(laws)), padded to one length.

        Four corners, each a law of shape (n,), become the (n, 4) the stance takes.
        """
        size = max(law.knots.shape[-1] for law in laws)
        shape = np.broadcast_shapes(*(law.knots.shape[:-1] for law in laws))

        def padded(part: Array) -> Array:
            pad = np.repeat(part[..., -1:], size - part.shape[-1], axis=-1)
            return np.broadcast_to(np.concatenate([part, pad], axis=-1), (*shape, size))

        return cls(
            np.stack([padded(law.knots) for law in laws], axis=-2),
            np.stack([padded(law.force) for law in laws], axis=-2),
            np.stack([np.broadcast_to(law.slope_below, shape) for law in laws], axis=-1),
            np.stack([np.broadcast_to(law.slope_above, shape) for law in laws], axis=-1),
        )


def _along(law: ForceLaw, x: Array) -> Array:
    """Force [N] of the law at several lengths x (..., m) [m] each."""
    one_each = ForceLaw(
        law.knots[..., None, :],
        law.force[..., None, :],
        law.slope_below[..., None],
        law.slope_above[..., None],
    )
    return one_each.at(x)[1]
