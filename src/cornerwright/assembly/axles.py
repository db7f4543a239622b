"""Which motion an axle has, by what its document says of the linkage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.jack_corner import JackCorner
from cornerwright.assembly.motion import AxleMotion, CornerMotion, TwoCorners
from cornerwright.assembly.point_linkage import PointAxle, PointCorner
from cornerwright.assembly.slots import Slot
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.model.car import Car

Array = NDArray[np.float64]


class CornerBuilder(Protocol):
    """A corner ready to be varied."""

    def vary(self, settings: Array, unknowns: Array) -> CornerMotion:
        """The corner for settings (n|1, m) [m] and unknowns (n|1, p)."""


class AxleBuilder(Protocol):
    """An axle ready to be varied."""

    def vary(self, settings: Array, unknowns: Array) -> AxleMotion:
        """The axle for settings (n|1, m) [m] and unknowns (n|1, p)."""


@dataclass(frozen=True)
class TwoBuilders:
    """An axle whose wheels move each by itself."""

    left: CornerBuilder
    right: CornerBuilder

    def vary(self, settings: Array, unknowns: Array) -> TwoCorners:
        """The axle for settings (n|1, m) [m] and unknowns (n|1, p)."""
        return TwoCorners(self.left.vary(settings, unknowns), self.right.vary(settings, unknowns))


def axle_builder(car: Car, axle: int, slots: tuple[Slot, ...], unknowns: UnknownList) -> AxleBuilder:
    """Axle 0 (front) or 1 (rear) of the car; its unknowns are added to the list."""
    if car.axles[axle].linkage is not None:
        return PointAxle(car, (2 * axle, 2 * axle + 1), slots, unknowns)
    left, right = (corner_builder(car, 2 * axle + side, slots, unknowns) for side in (0, 1))
    return TwoBuilders(left, right)


def corner_builder(car: Car, corner: int, slots: tuple[Slot, ...], unknowns: UnknownList) -> CornerBuilder:
    """One corner that moves by itself."""
    part = list(car.corners.values())[corner]
    if part.table is not None:
        return JackCorner(car, corner, part.table, slots, unknowns)
    return PointCorner(car, (corner,), slots, unknowns)
