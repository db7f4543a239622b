"""Roll centre of an axle from the paths of its two contacts.

Source: the instant centre construction, Milliken, Race Car Vehicle Dynamics, ch. 17, from memory: the
line from a contact to its wheel's instant centre is square to the contact's path, and the roll centre
is where the two lines meet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PARALLEL = 1e-9
"""Lines whose slopes differ by no more than this do not meet."""

SAME = 1e-6
"""Parallel lines no further apart than this [m] are one line."""


@dataclass(frozen=True)
class Contact:
    """A contact seen from behind, in body axes: where it is and the way it goes as its wheel rises.

    y to the left, z up (n,) [m]; dy, dz (n,) per metre of lift.
    """

    y: Array
    z: Array
    dy: Array
    dz: Array

    def mirrored(self) -> Contact:
        """The other side of a car that is the same on both sides."""
        return Contact(-self.y, self.z, -self.dy, self.dz)


def roll_centre(one: Contact, other: Contact) -> tuple[Array, Array]:
    """Place to the left (n,) and height (n,) [m] of the roll centre, the height over the ground line.

    The ground line runs through both contacts. nan where the two lines do not meet; where they are
    one line, as with arms that let the wheels rise straight up, the point between the contacts.
    """
    cross = one.dy * other.dz - one.dz * other.dy
    first = one.dy * one.y + one.dz * one.z
    second = other.dy * other.y + other.dz * other.z
    parallel = np.abs(cross) <= PARALLEL
    over = 1.0 / np.where(parallel, np.nan, cross)
    y = (first * other.dz - second * one.dz) * over
    z = (one.dy * second - other.dy * first) * over
    middle = (one.y + other.y) / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        here = (first - one.dy * middle) / one.dz
        there = (second - other.dy * middle) / other.dz
    one_line = parallel & (np.abs(here - there) <= SAME)
    y = np.where(one_line, middle, y)
    z = np.where(one_line, (here + there) / 2, z)
    slope = (other.z - one.z) / (other.y - one.y)
    ground = one.z + slope * (y - one.y)
    return y, (z - ground) / np.sqrt(1.0 + slope**2)
