"""The numbers of a linkage at its reference pose, laid out for the mechanics."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Rows = NDArray[np.bool_] | NDArray[np.intp] | slice


@dataclass(frozen=True)
class Reference:
    """The numbers of a mechanism with the batch last, lengths from the first wheel's centre.

    The k parameters are the d lifts [m], the m adjusters' travels [m], and the rack's [m] if any.
    """

    origin: Array  # (3, g) [m] body axes
    points: Array  # (3, P, g) [m] from the origin
    shift: Array  # (k, 3, P) [m/m]
    lengths: Array  # (R, g) [m]
    lengthen: Array  # (k, R) [m/m]
    directions: Array  # (3, D, g) [1]
    redirect: Array  # (k, 3, D, g) [1/m]
    camber: Array  # (w, g) [rad]
    toe: Array  # (w, g) [rad]
    tilt: Array  # (2, k, w) [rad/m] of camber, toe
    radius: Array  # (w, g) [m]
    twist_axis: Array  # (3, g) [1]; zero without a twist
    twist_point: Array  # (3, g) [m] from the origin
    size: float  # [m] typical distance of the joints from the wheel's centre

    def take(self, rows: Rows) -> Reference:
        """Only these variants; a single variant stays as it is."""
        batched = {name: getattr(self, name) for name in _BATCHED}
        several = {name: a[..., rows] for name, a in batched.items() if a.shape[-1] > 1}
        return replace(self, **several) if several else self


_BATCHED = (
    "origin",
    "points",
    "lengths",
    "directions",
    "redirect",
    "camber",
    "toe",
    "radius",
    "twist_axis",
    "twist_point",
)
