"""The adjusters of a car in one fixed order, each with the place where it acts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.adjuster import Adjuster
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Slot:
    """One adjuster of the car and its place in every settings vector."""

    name: str
    """`front_left.perch` or `front.bar_link`."""
    adjuster: Adjuster
    corner: int | None
    """0 to 3 in the order of CORNERS; None for what both sides share."""
    axle: int
    """0 front, 1 rear."""

    @property
    def side(self) -> int | None:
        """0 left, 1 right; None for what both sides share."""
        return None if self.corner is None else self.corner % 2

    @property
    def place(self) -> str:
        """`front_left`, or `front` for what both sides share."""
        return self.name.split(".")[0]

    @property
    def short(self) -> str:
        """The adjuster's own name at its place."""
        return self.name.split(".")[1]


def slots_of(car: Car) -> tuple[Slot, ...]:
    """Every adjuster of the car, corners first, then what both sides share, such as a bar's link."""
    found: list[Slot] = []
    for name, adjuster in car.adjusters().items():
        place = name.split(".")[0]
        if place in CORNERS:
            corner = CORNERS.index(place)
            found.append(Slot(name, adjuster, corner, corner // 2))
        else:
            found.append(Slot(name, adjuster, None, ("front", "rear").index(place)))
    return tuple(found)


def settings_of(slots: tuple[Slot, ...]) -> Array:
    """Present settings (m,) [m] in the order of the slots."""
    return np.array([slot.adjuster.setting for slot in slots], dtype=float)
