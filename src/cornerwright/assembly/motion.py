"""How the two wheels of an axle move: one interface for every kind of linkage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.jets import Jet, Kinematics

Array = NDArray[np.float64]
Rows = NDArray[np.bool_] | NDArray[np.intp]

COLUMNS = ("spring", "damper", "x", "y", "camber", "toe", "caster")
"""What every linkage says of a corner, in the order of `Kinematics`."""


@dataclass(frozen=True)
class AxleJet:
    """One quantity at the two wheels of an axle and how it goes with the two lifts."""

    value: Array  # (n, 2)
    first: Array  # (n, 2, 2)
    second: Array  # (n, 2, 2, 2)


@dataclass(frozen=True)
class AxlePartials:
    """How one quantity depends on the car's m adjusters at fixed lifts."""

    value: Array  # (n, 2, m)  d value_i / d a
    lift: Array  # (n, 2, 2, m)  d2 value_i / d lift_j d a


class AxleMotion(Protocol):
    """The two wheels of an axle, for n variants of the car."""

    def at(self, lifts: Array) -> Mapping[str, AxleJet]:
        """Every column at these lifts (n, 2) [m]; nan where they cannot be reached."""

    def partials(self, lifts: Array) -> Mapping[str, AxlePartials]:
        """Dependence of the columns on the adjusters; columns that depend on none may be left out."""

    def take(self, rows: Rows) -> AxleMotion:
        """Only these variants."""

    def inside(self, lifts: Array) -> NDArray[np.bool_]:
        """(n, 2): True where the lift lies in what the linkage can reach and was measured over."""

    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m] of the two wheels that was measured or can be reached."""

    def stops(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m] at which the linkage itself stops the wheel; infinite if not known."""

    def ends(self, side: int) -> tuple[str, str]:
        """What ends the reach of the wheel on side 0 or 1, down and up, in words."""

    def doubtful(self, side: int) -> tuple[str, ...]:
        """What in the linkage's own readings looks like a slip, in words, for side 0 or 1."""

    def spread(self, lifts: Array) -> Mapping[str, Array]:
        """Standard deviation (n, 2) of each column that comes from measuring the linkage itself."""


@dataclass(frozen=True)
class CornerJet:
    """One quantity at one wheel that moves by itself, and how it goes with its lift."""

    value: Array  # (n,)
    first: Array  # (n,)
    second: Array  # (n,)


@dataclass(frozen=True)
class CornerPartials:
    """How one quantity depends on the car's m adjusters at fixed lift."""

    value: Array  # (n, m)
    lift: Array  # (n, m)


class CornerMotion(Protocol):
    """One wheel that moves by itself, for n variants of the car. As `AxleMotion`, for lifts (n,)."""

    def at(self, lift: Array) -> Mapping[str, CornerJet]:
        """Every column at this lift (n,) [m]."""

    def partials(self, lift: Array) -> Mapping[str, CornerPartials]:
        """Dependence of the columns on the adjusters."""

    def take(self, rows: Rows) -> CornerMotion:
        """Only these variants."""

    def inside(self, lift: Array) -> NDArray[np.bool_]:
        """(n,): True where the lift can be reached and was measured over."""

    def reach(self) -> tuple[float, float]:
        """Lowest and highest lift [m]."""

    def stops(self) -> tuple[float, float]:
        """Lowest and highest lift [m] at which the linkage itself stops the wheel; infinite if not known."""

    def ends(self) -> tuple[str, str]:
        """What ends the reach, down and up, in words."""

    def doubtful(self) -> tuple[str, ...]:
        """What looks like a slip, in words."""

    def spread(self, lift: Array) -> Mapping[str, Array]:
        """Standard deviation (n,) of each column from measuring the linkage itself."""


class TwoCorners:
    """An axle whose wheels move each by itself."""

    def __init__(self, left: CornerMotion, right: CornerMotion) -> None:
        self.both: tuple[CornerMotion, CornerMotion] = (left, right)

    def at(self, lifts: Array) -> Mapping[str, AxleJet]:
        """Every column at these lifts (n, 2) [m]."""
        left, right = (one.at(lifts[:, side]) for side, one in enumerate(self.both))
        return {
            column: AxleJet(
                _columns(left[column].value, right[column].value),
                _diagonal(left[column].first, right[column].first),
                _diagonal_twice(left[column].second, right[column].second),
            )
            for column in COLUMNS
        }

    def partials(self, lifts: Array) -> Mapping[str, AxlePartials]:
        """Dependence of the columns on the adjusters."""
        both = [one.partials(lifts[:, side]) for side, one in enumerate(self.both)]
        found: dict[str, AxlePartials] = {}
        for column in sorted(set(both[0]) | set(both[1])):
            shape = next(part[column].value.shape for part in both if column in part)
            value = np.zeros((shape[0], 2, shape[1]))
            lift = np.zeros((shape[0], 2, 2, shape[1]))
            for side, part in enumerate(both):
                if column in part:
                    value[:, side], lift[:, side, side] = part[column].value, part[column].lift
            found[column] = AxlePartials(value, lift)
        return found

    def take(self, rows: Rows) -> TwoCorners:
        """Only these variants."""
        left, right = self.both
        return TwoCorners(left.take(rows), right.take(rows))

    def inside(self, lifts: Array) -> NDArray[np.bool_]:
        """(n, 2): True where the lift can be reached and was measured over."""
        return np.stack([one.inside(lifts[:, side]) for side, one in enumerate(self.both)], axis=1)

    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m]."""
        low, high = zip(*(one.reach() for one in self.both), strict=True)
        return np.array(low), np.array(high)

    def stops(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m] at which the linkages themselves stop the wheels."""
        low, high = zip(*(one.stops() for one in self.both), strict=True)
        return np.array(low), np.array(high)

    def ends(self, side: int) -> tuple[str, str]:
        """What ends the reach of this side."""
        return self.both[side].ends()

    def doubtful(self, side: int) -> tuple[str, ...]:
        """What looks like a slip on this side."""
        return self.both[side].doubtful()

    def spread(self, lifts: Array) -> Mapping[str, Array]:
        """Standard deviation (n, 2) of each column from measuring the linkages."""
        left, right = (one.spread(lifts[:, side]) for side, one in enumerate(self.both))
        none = np.zeros(lifts.shape[0])
        names = sorted(set(left) | set(right))
        return {name: _columns(left.get(name, none), right.get(name, none)) for name in names}


def joined(axles: Sequence[Mapping[str, AxleJet]]) -> Kinematics:
    """The two axles as one set of four corners."""

    def jet(column: str) -> Jet:
        a, b = axles[0][column], axles[1][column]
        n = a.value.shape[0]
        value = np.empty((n, 4))
        first = np.zeros((n, 4, 4))
        second = np.zeros((n, 4, 4, 4))
        value[:, :2], value[:, 2:] = a.value, b.value
        first[:, :2, :2], first[:, 2:, 2:] = a.first, b.first
        second[:, :2, :2, :2], second[:, 2:, 2:, 2:] = a.second, b.second
        return Jet(value, first, second)

    return Kinematics(**{column: jet(column) for column in COLUMNS})


def _columns(left: Array, right: Array) -> Array:
    return np.stack(np.broadcast_arrays(left, right), axis=1)


def _diagonal(left: Array, right: Array) -> Array:
    full = np.zeros((left.shape[0], 2, 2))
    full[:, 0, 0], full[:, 1, 1] = left, right
    return full


def _diagonal_twice(left: Array, right: Array) -> Array:
    full = np.zeros((left.shape[0], 2, 2, 2))
    full[:, 0, 0, 0], full[:, 1, 1, 1] = left, right
    return full
