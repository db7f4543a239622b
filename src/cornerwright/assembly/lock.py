"""How far the front wheels steer, and from which lock a tyre touches, at given lifts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Variant
from cornerwright.assembly.wheel_fit import WheelFit, profile_of
from cornerwright.assembly.wheel_poses import across_of, pose_grid
from cornerwright.model.parts import CORNERS

Array = NDArray[np.float64]

COUNT = 41
"""Places from lock to lock that are looked at."""
SIZE = (3, COUNT)


@dataclass(frozen=True)
class SteeringLock:
    """Lock of the front wheels, the mean of both [rad]; each end positive.

    left, right: full lock; rubs_left, rubs_right: from where a tyre touches something, None: nowhere, or not known;
    known: whether there is room to hold the tyres against; by: what ends the lock.
    """

    left: float
    right: float
    rubs_left: float | None
    rubs_right: float | None
    known: bool
    by: Literal["rack", "turn"]

    @property
    def free(self) -> tuple[float, float]:
        """How far [rad] the wheels steer to the left and to the right with nothing touched."""
        return _before(self.left, self.rubs_left), _before(self.right, self.rubs_right)


def _before(lock: float, rubs: float | None) -> float:
    # A tyre that touches straight ahead rubs from 0.0 on, and leaves no free lock.
    return lock if rubs is None else min(lock, rubs)


def steering_lock(variant: Variant, lifts: Array) -> SteeringLock | None:
    """Of the first variant with its front wheels at lifts (2,) [m], left and right; None where no lock is given."""
    steer, least = np.zeros((2, COUNT)), np.full((2, COUNT), np.inf)
    known, by = True, None
    for which in (0, 1):
        what, across = across_of(variant, which, COUNT)
        if what not in ("rack", "turn") or across.size < COUNT:
            return None
        by = what
        grid = pose_grid(variant, which, lifts[which : which + 1], what, across)
        side = 1.0 if which == 0 else -1.0
        # To the left the front of the wheel goes left: a left wheel toes out, a right one in.
        toe = np.arctan2(grid.poses.axis[:, 0], side * grid.poses.axis[:, 1])
        middle = float(np.interp(0.0, across, toe))
        steer[which] = -side * (toe - middle)
        corner = variant.rig.car.corners[CORNERS[which]]
        profile = profile_of(corner)
        if profile is None or corner.room is None:
            known = False
        else:
            told, _ = WheelFit(variant, which, profile, SIZE).clear(grid)
            least[which] = np.where(np.isnan(told.least), np.inf, told.least)
    mean = steer.mean(axis=0)
    touches = np.asarray((least < 0.0).any(axis=0))
    reached = np.asarray(np.isfinite(mean))
    left = _outward(mean, touches, reached)
    right = _outward(-mean[::-1], touches[::-1], reached[::-1])
    return SteeringLock(left[0], right[0], left[1], right[1], known, "rack" if by == "rack" else "turn")


def _outward(steer: Array, touches: NDArray[np.bool_], reached: NDArray[np.bool_]) -> tuple[float, float | None]:
    """Full lock of the upper half of the places, and the first place of it where something touches [rad]."""
    middle = steer.size // 2
    end, rubs = 0.0, None
    for k in range(middle, steer.size):
        if not reached[k]:
            break
        end = float(steer[k])
        if rubs is None and touches[k]:
            rubs = max(end, 0.0)
    return end, rubs
