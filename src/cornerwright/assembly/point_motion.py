"""What a linkage of points says to a stance: solved at Chebyshev points, read between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.chebyshev import Basis, tail, to_coefficients
from cornerwright.assembly.motion import (
    COLUMNS,
    AxleJet,
    AxlePartials,
    CornerJet,
    CornerPartials,
    Rows,
)
from cornerwright.mechanics.linkage import Column, Mechanism, Pose, answer

if TYPE_CHECKING:
    from cornerwright.assembly.point_linkage import PointLinkage

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Variants:
    """The linkages of n variants of a car, those that are alike held once."""

    mechanism: Mechanism
    travel: Array
    """(u|1, K) of the acting adjusters [m]"""
    which: NDArray[np.intp] | None
    """(n,) the linkage of each variant; None: each has its own"""

    @property
    def count(self) -> int:
        """Linkages that differ, u."""
        return int(max(self.mechanism.variants, self.travel.shape[0]))

    @property
    def numbers(self) -> NDArray[np.intp]:
        """(n,) the linkage of each variant."""
        return np.arange(self.count) if self.which is None else self.which

    def take(self, rows: Rows) -> Variants:
        """Only these variants."""
        if self.which is None:
            return self
        return Variants(self.mechanism, self.travel, self.which[rows])

    def each(self, which: NDArray[np.intp]) -> Variants:
        """These linkages (by number) one by one."""
        mechanism = self.mechanism.take(which) if self.mechanism.variants > 1 else self.mechanism
        travel = self.travel if self.travel.shape[0] == 1 else self.travel[which]
        return Variants(mechanism, travel, None)


class PointMotion:
    """A mechanism of d wheels for n variants, with its columns tabled over the lifts."""

    def __init__(self, linkage: PointLinkage, variants: Variants) -> None:
        self.linkage = linkage
        self.variants = variants
        self.over = linkage.grid(1 if variants.which is None else variants.which.size)
        self._whole: PointMotion | None = None
        """The motion that these variants were taken from: it tables for them too."""

    @property
    def mechanism(self) -> Mechanism:
        """The mechanisms that differ."""
        return self.variants.mechanism

    @property
    def travel(self) -> Array:
        """Travels (u|1, K) of the acting adjusters [m]."""
        return self.variants.travel

    def columns(self, lifts: Array, *, sensitivities: bool, start: Pose | None = None) -> Mapping[str, Column]:
        """The columns of `Kinematics` solved at these lifts (n, d); nan where they cannot be reached."""
        gaps = self.linkage.gaps
        names = [name for name in COLUMNS if name != "spring" or None in gaps]
        found = answer(
            self.mechanism,
            lifts,
            travel=self.travel,
            columns=names,
            sensitivities=sensitivities,
            start=start,
        )
        columns = dict(found.columns)
        columns["spring"] = _spring(columns, gaps)
        return columns

    def _solved(self, *, sensitivities: bool) -> Mapping[str, Column]:
        """The columns at every combination of the grid's lifts, linkage by linkage."""
        lifts, u = self.over.lifts, self.variants.count
        count = lifts.shape[0]
        each = PointMotion(self.linkage, self.variants.each(np.repeat(np.arange(u), count)))
        start = self.over.poses.take(np.tile(np.arange(count), u))
        return each.columns(np.tile(lifts, (u, 1)), sensitivities=sensitivities, start=start)

    @cached_property
    def _own_table(self) -> Array:
        """Coefficients (u, g[, g], d, 7) of the columns."""
        if self._whole is not None:
            return self._whole._own_table
        columns = self._solved(sensitivities=False)
        return self._to_table(np.stack([columns[name].value for name in COLUMNS], axis=-1))

    @cached_property
    def _own_partial_table(self) -> Array:
        """Coefficients (u, g[, g], d, 7, K) of the columns' derivatives by the acting adjusters."""
        if self._whole is not None:
            return self._whole._own_partial_table
        columns = self._solved(sensitivities=True)
        partials = []
        for name in COLUMNS:
            partial = columns[name].partial
            assert partial is not None  # sensitivities were asked for
            partials.append(partial)
        return self._to_table(np.stack(partials, axis=2))

    def _of_each(self, table: Array) -> Array:
        """A table of the linkages that differ as one of all variants."""
        which = self.variants.which
        return table if which is None or table.shape[0] == 1 else table[which]

    @cached_property
    def _table(self) -> Array:
        return self._of_each(self._own_table)

    @cached_property
    def _partial_table(self) -> Array:
        return self._of_each(self._own_partial_table)

    def _to_table(self, values: Array) -> Array:
        count, wheels = self.over.grid.count, self.mechanism.wheels
        table = values.reshape(self.variants.count, *[count] * wheels, *values.shape[1:])
        change = to_coefficients(count)
        for axis in range(1, wheels + 1):
            table = np.moveaxis(np.tensordot(table, change, (axis, 1)), -1, axis)
        return table

    @property
    def error(self) -> float:
        """How far the tabled columns may be off [m or rad], by their last coefficients."""
        return max(tail(self._own_table, axis) for axis in range(1, self.mechanism.wheels + 1))

    def _taken(self, other: PointMotion) -> None:
        """Table for the motion of some of the variants too."""
        other.over, other._whole = self.over, self


class PointCornerMotion(PointMotion):
    """One wheel known by its points, as a `CornerMotion`."""

    def at(self, lift: Array) -> Mapping[str, CornerJet]:
        """Every column at this lift (n,) [m]."""
        basis, table = self.over.grid.basis(lift), self._table[:, :, 0]
        value, first, second = (_read(part, table) for part in (basis.value, basis.first, basis.second))
        return {name: CornerJet(value[:, c], first[:, c], second[:, c]) for c, name in enumerate(COLUMNS)}

    def partials(self, lift: Array) -> Mapping[str, CornerPartials]:
        """Dependence of the columns on the adjusters."""
        basis, table = self.over.grid.basis(lift), self._partial_table[:, :, 0]
        value, mixed = _read(basis.value, table), _read(basis.first, table)
        wide = _widened(self.linkage, (value, mixed))
        return {name: CornerPartials(wide[0][:, c], wide[1][:, c]) for c, name in enumerate(COLUMNS)}

    def take(self, rows: Rows) -> PointCornerMotion:
        """Only these variants."""
        taken = PointCornerMotion(self.linkage, self.variants.take(rows))
        self._taken(taken)
        return taken

    def inside(self, lift: Array) -> NDArray[np.bool_]:
        """True where the linkage of the file reaches."""
        low, high = self.reach()
        return (lift >= low) & (lift <= high)

    def reach(self) -> tuple[float, float]:
        """Lowest and highest lift [m] that the linkage of the file reaches."""
        found = self.linkage.limits
        return float(found.lowest[0]), float(found.highest[0])

    def stops(self) -> tuple[float, float]:
        """The reach: further the members do not let the wheel go."""
        return self.reach()

    def ends(self) -> tuple[str, str]:
        """The members that end the reach."""
        found = self.linkage.limits
        return found.ends_below[0], found.ends_above[0]

    def doubtful(self) -> tuple[str, ...]:
        """Points have no rows that could hold a slip."""
        return ()

    def spread(self, lift: Array) -> Mapping[str, Array]:
        """What point errors do is said by drawing cars, not here."""
        return {}


class PointAxleMotion(PointMotion):
    """Two wheels tied together, known by the axle's points, as an `AxleMotion`."""

    def _bases(self, lifts: Array) -> tuple[Basis, Basis]:
        grid = self.over.grid
        return grid.basis(lifts[:, 0]), grid.basis(lifts[:, 1])

    def at(self, lifts: Array) -> Mapping[str, AxleJet]:
        """Every column at these lifts (n, 2) [m]."""
        left, right = self._bases(lifts)
        table = self._table

        def read(a: Array, b: Array) -> Array:
            return _read(b, _read(a, table))

        value = read(left.value, right.value)
        first = np.stack([read(left.first, right.value), read(left.value, right.first)], axis=-1)
        cross = read(left.first, right.first)
        second = np.stack(
            [
                np.stack([read(left.second, right.value), cross], axis=-1),
                np.stack([cross, read(left.value, right.second)], axis=-1),
            ],
            axis=-1,
        )
        return {name: AxleJet(value[:, :, c], first[:, :, c], second[:, :, c]) for c, name in enumerate(COLUMNS)}

    def partials(self, lifts: Array) -> Mapping[str, AxlePartials]:
        """Dependence of the columns on the adjusters."""
        left, right = self._bases(lifts)
        table = self._partial_table

        def read(a: Array, b: Array) -> Array:
            return _read(b, _read(a, table))

        parts = (
            read(left.value, right.value),
            read(left.first, right.value),
            read(left.value, right.first),
        )
        value, by_left, by_right = _widened(self.linkage, parts)
        return {
            name: AxlePartials(value[:, :, c], np.stack([by_left[:, :, c], by_right[:, :, c]], axis=2))
            for c, name in enumerate(COLUMNS)
        }

    def take(self, rows: Rows) -> PointAxleMotion:
        """Only these variants."""
        taken = PointAxleMotion(self.linkage, self.variants.take(rows))
        self._taken(taken)
        return taken

    def inside(self, lifts: Array) -> NDArray[np.bool_]:
        """(n, 2): True where both wheels together reach."""
        low, high = self.reach()
        return (lifts >= low) & (lifts <= high)

    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m], both wheels together."""
        found = self.linkage.limits
        return np.repeat(found.lowest[:1], 2), np.repeat(found.highest[:1], 2)

    def stops(self) -> tuple[Array, Array]:
        """The reach: further the members do not let the wheels go."""
        return self.reach()

    def ends(self, side: int) -> tuple[str, str]:
        """The members that end the reach."""
        found = self.linkage.limits
        return found.ends_below[0], found.ends_above[0]

    def doubtful(self, side: int) -> tuple[str, ...]:
        """Points have no rows that could hold a slip."""
        return ()

    def spread(self, lifts: Array) -> Mapping[str, Array]:
        """What point errors do is said by drawing cars, not here."""
        return {}


def _read(basis: Array, table: Array) -> Array:
    """Sum over the first of the table's axes after the batch: (n, g) with (n|1, g, ...) -> (n, ...)."""
    shape = table.shape
    flat = table.reshape(shape[0], shape[1], -1)
    summed: Array = np.matmul(basis[:, None, :], flat)[:, 0]
    return summed.reshape(basis.shape[0], *shape[2:])


def _widened(linkage: PointLinkage, parts: tuple[Array, ...]) -> tuple[Array, ...]:
    """From the acting adjusters (..., K) to all of the car's (..., m)."""
    found = []
    for part in parts:
        wide = np.zeros((*part.shape[:-1], linkage.slot_count))
        wide[..., linkage.acting] = part
        found.append(wide)
    return tuple(found)


def _spring(columns: Mapping[str, Column], gaps: list[float | None]) -> Column:
    """Spring lengths: of their own where apart from the damper, else the damper's less its gap."""
    damper, own = columns["damper"], columns.get("spring")
    around = np.array([gap is not None for gap in gaps])
    less = np.array([gap or 0.0 for gap in gaps])

    def of(part: str) -> Array | None:
        along: Array | None = getattr(damper, part)
        if own is None or along is None:
            return along
        return np.where(around.reshape((1, -1) + (1,) * (along.ndim - 2)), along, getattr(own, part))

    value, first = of("value"), of("first")
    assert value is not None  # lengths always come with both
    assert first is not None
    return Column(value - less, first, of("second"), of("partial"), of("mixed"), None, None)
