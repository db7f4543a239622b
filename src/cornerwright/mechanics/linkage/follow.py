"""Following a linkage from a known pose to the wanted one, without changing to another branch.

The loop may close in several ways (assembly modes). The one meant is connected with the reference
pose, so lifts, rack and adjusters are led from there to the wanted values along a straight line. A
step is taken when Newton's method converges from the last pose with a contraction that shows the
last pose to be inside the basin of the new one, and the Jacobian's determinant keeps its sign;
otherwise it is halved. What cannot be stepped over ends the way: there the linkage locks.
Source: Allgower and Georg, Numerical Continuation Methods, ch. 2 and 6; Deuflhard (see `closure`);
both from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import (
    Closure,
    Equations,
    Frame,
    Newton,
    Posture,
    close,
    newton,
)

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CONTRACTION = 0.25
"""Largest contraction, at any step of Newton's method, where a way is gone on: a Kantorovich number
of a half. A first step that contracts well may still lead across a fold; the next then does not."""

SLACKENING = 0.4
"""Least share of the determinant that one step may leave: a fold is neared step by step."""

NEAREST = 2e-6
"""Shortest step along the way, as a share of the linkage's size: about a micrometre on a car.

Near a limit a step is refused that is longer than a part of what is left, so a limit is found
within a few of these."""

Allowed = Callable[[Posture, slice | NDArray[np.intp], Array], Flags]
"""Whether the rockers can follow at these postures of these rows, this share (n,) of the way on."""


@dataclass(frozen=True)
class Track:
    """How far the way was followed: share (n,) of it, 1 where it was reached."""

    posture: Posture
    share: Array
    residual: Array
    singular: Flags
    steps: int

    def replaced(self, rows: NDArray[np.intp], other: Track) -> Track:
        """With these rows taken from another track."""

        def put(a: Array, b: Array) -> Array:
            whole = a.copy()
            whole[..., rows] = b
            return whole

        singular = self.singular.copy()
        singular[rows] = other.singular
        posture = Posture(
            put(self.posture.turn, other.posture.turn),
            put(self.posture.place, other.posture.place),
            put(self.posture.twist, other.posture.twist),
        )
        return Track(
            posture,
            put(self.share, other.share),
            put(self.residual, other.residual),
            singular,
            self.steps + other.steps,
        )


def follow(
    frame: Frame,
    start: Equations,
    goal: Equations,
    posture: Posture,
    span: Array,
    allowed: Allowed | None = None,
) -> Track:
    """Follow the linkage from start to goal.

    posture (n or 1) closes the start's equations; span (n,) [m] is the greatest change of a parameter
    on the way, which sets how finely a limit is looked for.
    """
    n = span.size
    sign = np.broadcast_to(frame.sign, (n,))
    singular = np.broadcast_to(frame.singular, (n,))
    at_start = _determinant(close(frame, start, posture))
    direct = newton(frame, goal, posture)
    taken, determinant = _acceptable(direct, sign, at_start)
    taken &= ~singular
    if allowed is not None and taken.any():
        taken &= allowed(direct.posture, slice(None), np.ones(n))
    share = np.where(taken, 1.0, 0.0)
    if taken.all():
        return Track(direct.posture, share, direct.residual, singular, direct.steps)

    held = Posture(
        np.where(taken, direct.posture.turn, posture.turn),
        np.where(taken, direct.posture.place, posture.place),
        np.where(taken, direct.posture.twist, posture.twist),
    )
    residual = np.where(taken, direct.residual, np.nan)
    steps = direct.steps
    stride = np.full(n, 0.5)
    determinant = np.where(taken, determinant, at_start)
    nearest = NEAREST * frame.reference.size
    shortest = nearest / np.maximum(span, nearest)
    active = np.flatnonzero(~taken & ~singular)
    while active.size:
        tried = np.minimum(share[active] + stride[active], 1.0)
        some = frame.take(active)
        wanted = start.take(active).between(goal.take(active), tried)
        reached = newton(some, wanted, held.take(active))
        steps += reached.steps
        good, found = _acceptable(reached, sign[active], determinant[active])
        if allowed is not None and good.any():
            good &= allowed(reached.posture, active, tried)
        rows = active[good]
        held.turn[..., rows] = reached.posture.turn[..., good]
        held.place[..., rows] = reached.posture.place[..., good]
        held.twist[rows] = reached.posture.twist[good]
        share[rows] = tried[good]
        residual[rows] = reached.residual[good]
        determinant[rows] = found[good]
        stride[active] *= np.where(good, 1.7, 0.5)
        going = (share[active] < 1.0) & (stride[active] >= shortest[active])
        active = active[going]
    return Track(held, share, residual, singular, steps)


def _determinant(closure: Closure) -> Array:
    with np.errstate(all="ignore"):
        return np.asarray(np.linalg.det(closure.jacobian.transpose(2, 0, 1)))


def _acceptable(reached: Newton, sign: Array, before: Array) -> tuple[Flags, Array]:
    """Whether a step may be taken (n,), and the determinant where it ends."""
    after = _determinant(reached.closure)
    good = reached.closed & (reached.contraction <= CONTRACTION)
    with np.errstate(all="ignore"):
        return good & (after * sign > SLACKENING * np.abs(before)), after
