"""Where a wheel stands over lift and lock, from whatever is known of its linkage, as the envelope needs it.

Centre and axis of a wheel come from the linkage's own columns (x, y, camber, toe), so every kind gives them. Lift
runs along one side of the grid; along the other the rack, or, where a jack table knows no rack, the wheel's own turn
about a stated axis, or, where one axle holds both wheels, the other wheel's lift.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.point_travel import Side, side_of
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.window import window
from cornerwright.mechanics.envelope import Poses
from cornerwright.mechanics.linkage import Pose, answer_at, places, solve
from cornerwright.mechanics.linkage.rotation import turning
from cornerwright.model.corner import Corner
from cornerwright.model.parts import CORNERS

Array = NDArray[np.float64]
Across = Literal["rack", "turn", "other wheel", "straight ahead"]

FARTHEST = 0.15
"""Lift [m] that is looked at where no end of travel is known."""


@dataclass(frozen=True)
class Turned:
    """How a member that turns about an axis of the body stands at n poses: turn (n, 3, 3) about `base` (3,) [m]."""

    turn: Array
    base: Array

    def moved(self, points: Array) -> Array:
        """Points (k, 3) [m] of the reference pose, (n, k, 3)."""
        return np.asarray(self.base + np.einsum("nxy,ky->nkx", self.turn, points - self.base))


@dataclass(frozen=True)
class PoseGrid:
    """One wheel at every lift (l,) [m] and place across (s,) [m or rad]; poses l * s, across running fastest."""

    lifts: Array
    across: Array
    what: Across
    poses: Poses
    reference: Poses
    """The wheel at no lift, straight ahead: (1, 3)."""
    arms: Mapping[str, Turned] = field(default_factory=dict)

    def at(self, pose: int) -> tuple[float, float]:
        """Lift [m] and place across of a pose."""
        row, column = divmod(pose, self.across.size)
        return float(self.lifts[row]), float(self.across[column])

    @property
    def straight(self) -> int:
        """Number of the place across that is nearest to the middle."""
        return int(np.argmin(np.abs(self.across)))


def travel_of(variant: Variant, which: int) -> tuple[float, float]:
    """Full droop and full bump [m] of a wheel; where an end is not known, how far its linkage was measured."""
    ends = window(variant, gradients=False)
    low, high = (float(part[which % 2]) for part in variant.motions[which // 2].reach())
    droop, bump = float(ends.droop.lift[0, which]), float(ends.bump.lift[0, which])
    low = max(low, -FARTHEST) if np.isnan(droop) else droop
    high = min(high, FARTHEST) if np.isnan(bump) else bump
    return (low, high) if low < high else (min(low, -1e-3), max(high, 1e-3))


def across_of(variant: Variant, which: int, count: int) -> tuple[Across, Array]:
    """What runs across the grid of this wheel, and so many places of it from end to end."""
    car = variant.rig.car
    side, rack = side_of(variant, which), car.axles[which // 2].rack
    if side is not None and side.tied:
        return "other wheel", np.linspace(*travel_of(variant, which ^ 1), count)
    if side is not None and side.mechanism.steers and rack is not None:
        return "rack", np.linspace(-rack.travel, rack.travel, count)
    room = car.corners[CORNERS[which]].room
    if room is not None and room.lock is not None:
        left = which % 2 == 0
        # Positive to the left: a left wheel's front then goes outward.
        right_end, left_end = (room.lock.inward, room.lock.outward) if left else (room.lock.outward, room.lock.inward)
        return "turn", np.linspace(-right_end, left_end, count)
    return "straight ahead", np.zeros(1)


def pose_grid(variant: Variant, which: int, lifts: Array, what: Across, across: Array) -> PoseGrid:
    """The wheel of corner 0 to 3 (of the first variant) at every lift [m] and place across [m or rad]."""
    lift, place = (part.ravel() for part in np.meshgrid(lifts, across, indexing="ij"))
    side = side_of(variant, which)
    both = np.append(lift, 0.0), np.append(place, 0.0)
    arms: dict[str, Turned] = {}
    if side is None:
        every = _of_table(variant, which, *both)
    else:
        every, arms = _of_points(side, *both, what)
    last = np.arange(lift.size, lift.size + 1)
    first = np.arange(lift.size)
    arms = {name: Turned(one.turn[first], one.base) for name, one in arms.items()}
    return PoseGrid(lifts, across, what, every.take(first), every.take(last), arms)


def axis_of(camber: Array, toe: Array, side: float) -> Array:
    """Unit axis (n, 3) of wheels, outboard; camber, toe (n,) [rad], side +1 left, -1 right."""
    flat = np.cos(camber)
    return np.stack([np.sin(toe) * flat, side * np.cos(toe) * flat, -np.sin(camber)], axis=1)


def _of_points(side: Side, lift: Array, place: Array, what: Across) -> tuple[Poses, dict[str, Turned]]:
    one = np.zeros(1, dtype=np.intp)
    mechanism = side.mechanism.take(one) if side.mechanism.variants > 1 else side.mechanism
    lifts = lift[:, None]
    if side.tied:
        other = place if what == "other wheel" else lift
        lifts = np.stack((lift, other) if side.wheel == 0 else (other, lift), axis=1)
    rack = place if what == "rack" else 0.0
    pose = solve(mechanism, lifts, rack, side.motion.travel[:1])
    found = answer_at(mechanism, pose, columns=("x", "y", "camber", "toe"), sensitivities=False)
    x, y, camber, toe = (found[name].value[:, side.wheel] for name in ("x", "y", "camber", "toe"))
    rest = mechanism.points[0, mechanism.structure.index(mechanism.layout.wheels[side.wheel].centre), 2]
    poses = Poses(np.stack([x, y, rest + lift], axis=1), axis_of(camber, toe, side.sign))
    return poses, _arms(side, pose)


def _arms(side: Side, pose: Pose) -> dict[str, Turned]:
    mechanism = side.mechanism
    found = {}
    for arm in mechanism.layout.arms:
        at = places(mechanism, pose, (*arm.axis, arm.ball))
        # The last pose is the reference.
        base, along = at[-1, 0], at[-1, 1] - at[-1, 0]
        along = along / np.linalg.norm(along)
        before, now = at[-1, 2] - base, at[:, 2] - base
        first = before - (before @ along) * along
        then = now - (now @ along)[:, None] * along
        angle = np.arctan2(np.cross(first, then) @ along, then @ first)
        found[f"{arm.name.removesuffix('_arm')}_arm"] = Turned(_rotations(along, angle), base)
    return found


def _rotations(along: Array, angle: Array) -> Array:
    """Matrices (n, 3, 3) of turns by these angles (n,) [rad] about a direction (3,)."""
    return np.moveaxis(turning(along[:, None] * angle), -1, 0)


def _of_table(variant: Variant, which: int, lift: Array, turn: Array) -> Poses:
    """A wheel known by its jack table, then turned about its steering axis, which goes with the upright."""
    corner: Corner = variant.rig.car.corners[CORNERS[which]]
    wheel, sign = which % 2, 1.0 if which % 2 == 0 else -1.0
    n = lift.size
    motion = variant.motions[which // 2]
    if variant.count > 1:
        motion = motion.take(np.zeros(n, dtype=np.intp))
    jets = motion.at(np.repeat(lift[:, None], 2, axis=1))
    x, y, camber, toe = (jets[name].value[:, wheel] for name in ("x", "y", "camber", "toe"))
    centre = np.stack([x, y, corner.wheel.height + lift], axis=1)
    axis = axis_of(camber, toe, sign)
    lock = None if corner.room is None else corner.room.lock
    if lock is None or not turn.any():
        return Poses(centre, axis)
    lower, upper = (np.array(point) for point in lock.steering_axis)
    own = leading(axis[-1], axis)  # the last pose is the reference
    pillar = np.einsum("nxy,y->nx", own, upper - lower)
    pillar /= np.linalg.norm(pillar, axis=1)[:, None]
    foot = centre + np.einsum("nxy,y->nx", own, lower - centre[-1])
    swung = np.moveaxis(turning((pillar * turn[:, None]).T), -1, 0)
    return Poses(
        foot + np.einsum("nxy,ny->nx", swung, centre - foot),
        np.einsum("nxy,ny->nx", swung, axis),
    )


def leading(start: Array, ends: Array) -> Array:
    """The least turns (n, 3, 3) that lead one unit direction (3,) into others (n, 3), not opposite to it."""
    over = np.cross(start, ends)
    sine = np.linalg.norm(over, axis=1)
    angle = np.arctan2(sine, ends @ start)
    safe = np.where(sine > 1e-15, sine, 1.0)
    return np.moveaxis(turning((over * (angle / safe)[:, None]).T), -1, 0)
