"""Axles rolled on their real springs: packs that bind or come loose, bump stops, droop ends, tyres; as curves.

Positive roll takes the left side of the body up, as a left turn does: the right wheels go into bump. Wheels in the
order front left, front right, rear left, rear right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SIDE = np.array([1.0, -1.0, 1.0, -1.0])
SINKS = 0.06
"""How far [m] an axle may rise or sink under the body while it rolls."""
HOLDS = 1.0
"""[N], how near the wheels of an axle must come to the load they hold."""


@dataclass(frozen=True, eq=False)
class RollCurve:
    """Roll of one axle: rows (m,), roll and moment rising; straight between them and beyond.

    roll [rad] of the body over the ground, tyres included; moment [N m] of springs, stops and bar; lift (m, 2) [m] of
    the left and the right wheel; camber, toe (m, 2) [rad] of the wheels to the body.
    """

    roll: Array
    moment: Array
    lift: Array
    camber: Array
    toe: Array

    def holds(self, roll: ArrayLike) -> Array:
        """Moment [N m] at a roll [rad]."""
        return straight(roll, self.roll, self.moment)

    def rolls(self, moment: ArrayLike) -> Array:
        """Roll [rad] under a moment [N m]."""
        return straight(moment, self.moment, self.roll)

    def wheels(self, roll: float) -> tuple[Array, Array, Array]:
        """Lift [m], camber and toe [rad] (2,) of both wheels at a roll [rad]."""
        lift, camber, toe = (
            np.array([float(straight(roll, self.roll, side)) for side in rows.T])
            for rows in (self.lift, self.camber, self.toe)
        )
        return lift, camber, toe


def straight(x: ArrayLike, xs: Array, ys: Array) -> Array:
    """Interpolated between rows; beyond the ends along the last piece."""
    at = np.asarray(x, dtype=float)
    k = np.clip(np.searchsorted(xs, at) - 1, 0, xs.size - 2)
    return np.asarray(ys[k] + (ys[k + 1] - ys[k]) * (at - xs[k]) / (xs[k + 1] - xs[k]))


@dataclass(frozen=True, eq=False)
class Rolled:
    """Both axles at rolls of the body against the wheels (m,) [rad]: lifts (m, 4) [m], moments (m, 2) [N m].

    reached (m, 2): whether linkage and springs could be followed; where not, the numbers are nan.
    """

    lift: Array
    moment: Array
    reached: NDArray[np.bool_]


def rolled(forces: Callable[[Array], Array], rest: Array, track: Array, suspension: Array) -> Rolled:
    """Roll the body (m,) [rad] against the wheels; each axle rises or sinks until it holds what it held at rest.

    forces(lifts (n, 4)) [m] -> (n, 4) [N]: what pushes each wheel down as lifts have it, the whole linkage's, nan
    out of reach; rest (4,) [m]: lifts at rest; track (2,) [m]. The moment is that of the pushes at the wheels, less
    that at rest. No jacking by side forces.
    Source: virtual work of the axle's two lifts. Proof: tests/mechanics/test_rolling.py, by the standing car.
    """
    half = -SIDE * np.repeat(track, 2) / 2.0 * suspension[:, None]
    still = forces(rest[None])[0]
    load = still.reshape(2, 2).sum(axis=1)
    low = np.full((suspension.size, 2), -SINKS)
    high = -low
    for _ in range(26):
        middle = (low + high) / 2.0
        push = forces(rest + half + np.repeat(middle, 2, axis=1)).reshape(-1, 2, 2).sum(axis=2)
        # Out of reach: towards rest again.
        short = np.where(np.isnan(push), middle < 0.0, push < load)
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    lift = rest + half + np.repeat((low + high) / 2.0, 2, axis=1)
    push = forces(lift)
    reached = np.abs(push.reshape(-1, 2, 2).sum(axis=2) - load) < HOLDS
    moment = ((push - still) * -SIDE).reshape(-1, 2, 2).sum(axis=2) * track / 2.0
    return Rolled(
        lift=np.where(np.repeat(reached, 2, axis=1), lift, np.nan),
        moment=np.where(reached, moment, np.nan),
        reached=reached,
    )
