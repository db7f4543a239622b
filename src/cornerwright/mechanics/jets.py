"""What the linkages say at given lifts: values with first and second derivatives.

The four corners stand in the order front left, front right, rear left, rear right. A linkage that
ties left to right (live axle, twist beam) makes a quantity at one corner depend on two lifts, so
the derivatives are kept in full; independent corners fill the diagonal only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_CORNER = np.arange(4)


@dataclass(frozen=True)
class Jet:
    """A quantity at the four corners and how it goes with the four lifts, for n cars.

    value (n, 4) [unit]; first (n, 4, 4) d value_i / d lift_j [unit/m];
    second (n, 4, 4, 4) d2 value_i / d lift_j d lift_k [unit/m2].
    """

    value: Array
    first: Array
    second: Array

    def rows(self, rows: NDArray[np.intp] | NDArray[np.bool_]) -> Jet:
        """Only these cars of the batch."""
        return Jet(self.value[rows], self.first[rows], self.second[rows])

    def blanked(self, rows: NDArray[np.bool_]) -> Jet:
        """Return a copy with the marked cars (n,) set to nan."""
        if not rows.any():
            return self
        return Jet(
            np.where(rows[:, None], np.nan, self.value),
            np.where(rows[:, None, None], np.nan, self.first),
            np.where(rows[:, None, None, None], np.nan, self.second),
        )


def diagonal_jet(value: Array, first: Array, second: Array) -> Jet:
    """Jet of four independent corners, each following its own lift; all three (n, 4)."""
    n = value.shape[0]
    full_first = np.zeros((n, 4, 4))
    full_first[:, _CORNER, _CORNER] = first
    full_second = np.zeros((n, 4, 4, 4))
    full_second[:, _CORNER, _CORNER, _CORNER] = second
    return Jet(value, full_first, full_second)


@dataclass(frozen=True)
class Kinematics:
    """What the linkages say at given lifts, body axes of ISO 8855.

    The wheel centre's height in body axes is its reference height plus the lift, by definition.
    """

    spring: Jet  # distance between the spring seats at perch datum [m]
    damper: Jet  # distance between the damper eyes [m]
    x: Jet  # wheel centre [m]
    y: Jet  # wheel centre [m]
    camber: Jet  # [rad], negative = top inboard
    toe: Jet  # [rad], positive = toe-in
    caster: Jet  # [rad], positive = axis leans back at the top; nan where unknown

    def blanked(self, rows: NDArray[np.bool_]) -> Kinematics:
        """Return a copy with the marked cars (n,) set to nan."""
        if not rows.any():
            return self
        return Kinematics(
            self.spring.blanked(rows),
            self.damper.blanked(rows),
            self.x.blanked(rows),
            self.y.blanked(rows),
            self.camber.blanked(rows),
            self.toe.blanked(rows),
            self.caster.blanked(rows),
        )


class Linkages(Protocol):
    """Anything that answers lifts (n, 4) [m] with the kinematics of n cars.

    Lifts that a linkage cannot reach are answered with nan. It may also have a method
    `take(rows) -> Linkages` giving the linkages of some cars of the batch; without it, every call
    is made for the whole batch.
    """

    def __call__(self, lifts: Array, /) -> Kinematics:
        """Kinematics at these lifts (n, 4) [m]."""
        ...
