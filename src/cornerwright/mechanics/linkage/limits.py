"""How far a linkage can go, and what stops it.

A linkage locks where its Jacobian becomes singular: some combination of its constraints then pulls
against itself. The weights of that combination are the left null vector of the Jacobian; the
constraint with the greatest share is the member that ends the travel (in a wishbone, say, the arm
that has come into line with its carrier).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.linkage.closure import (
    Frame,
    Posture,
    close,
    equations_at,
    newton,
)
from cornerwright.mechanics.linkage.follow import Track
from cornerwright.mechanics.linkage.mechanism import Mechanism
from cornerwright.mechanics.linkage.members import Members, still
from cornerwright.mechanics.linkage.ways import parameters_of, track_to, way

Array = NDArray[np.float64]

SPAN = 0.5
"""How far the travel is looked for [m]; beyond it no car's wheel goes."""

STEP_OUT = 1e-4
"""Distance past the limit [m] at which the rockers are asked which of them gives way."""


@dataclass(frozen=True)
class Limits:
    """Lowest and highest lift (n,) [m] that closes, and the member that ends the travel.

    An end that lies beyond the span looked at is given as the span, with no member ("").
    nan and "" where the reference pose itself does not stand ("singular").
    """

    lowest: Array
    highest: Array
    ends_below: tuple[str, ...]
    ends_above: tuple[str, ...]


def limits(
    mechanism: Mechanism,
    steer: ArrayLike = 0.0,
    travel: ArrayLike | None = None,
    direction: ArrayLike | None = None,
    span: float = SPAN,
) -> Limits:
    """Travel limits of a linkage, within 0.01 mm.

    steer, travel: as for `solve`, led to from the reference before the wheel is lifted. direction
    (d,): how the wheels of an axle go together, both alike when left out; (1, -1) is roll, (1, 0)
    the left wheel alone. span [m]: how far to look. Raises ValueError for a direction of another shape.
    """
    d = mechanism.wheels
    along = np.ones(d) if direction is None else np.asarray(direction, dtype=float)
    if along.shape != (d,):
        raise ValueError(f"direction: found shape {along.shape}, expected ({d},)")
    rest = _at_rest(mechanism, steer, travel)
    down, up = -span * along[:, None], span * along[:, None]
    if rest[0].shape[1] == 1:
        # One linkage: both ends are looked for in the same steps.
        share, names = _end(mechanism, rest, np.hstack([down, up]))
        return Limits(-span * share[:1], span * share[1:], names[:1], names[1:])
    below, above = _end(mechanism, rest, down), _end(mechanism, rest, up)
    return Limits(-span * below[0], span * above[0], below[1], above[1])


def _at_rest(mechanism: Mechanism, steer: ArrayLike, travel: ArrayLike | None) -> tuple[Array, Track]:
    """Parameters (K, n) with no lift, and the way to them from the reference."""
    parameters = parameters_of(mechanism, np.zeros((1, mechanism.wheels)), steer, travel)
    frame = mechanism.frame
    return parameters, track_to(frame, parameters, None, mechanism)


def _end(mechanism: Mechanism, rest: tuple[Array, Track], lifts: Array) -> tuple[Array, tuple[str, ...]]:
    """Share (c,) of these lifts (d, c or 1) that can be reached, and what ends it."""
    d, columns = lifts.shape[0], max(lifts.shape[1], rest[0].shape[1])
    before, at_rest = np.broadcast_to(rest[0], (rest[0].shape[0], columns)), rest[1]
    wanted = before.copy()
    wanted[:d] = lifts
    frame = mechanism.frame
    track = way(frame, before, wanted, at_rest.posture, mechanism)
    share = np.where(at_rest.share >= 1.0, track.share, np.nan)
    names = [""] * share.size
    stopped = np.flatnonzero(share < 1.0)
    if stopped.size:
        some, posture = frame.take(stopped), track.posture.take(stopped)
        change = wanted[:, stopped] - before[:, stopped]
        reached = before[:, stopped] + share[stopped] * change
        beyond = reached + change * (STEP_OUT / np.abs(lifts).max())
        ending = _rods_ending(some, posture, beyond)
        pulling = _pulling(some, posture, reached)
        for i, row in enumerate(stopped):
            names[row] = ending[i] or pulling[i]
    return share, tuple(names)


def _rods_ending(frame: Frame, posture: Posture, beyond: Array) -> list[str]:
    """Rod of the rocker that cannot follow a little further on, where the carrier still can."""
    names = [""] * beyond.shape[1]
    if not frame.structure.layout.rockers:
        return names
    further = newton(frame, equations_at(frame, beyond), posture)
    _, each = Members(still(frame, further.posture, beyond)).rockers_follow()
    for rod, follows in each.items():
        for i in np.flatnonzero(further.closed & ~follows):
            names[i] = rod
    return names


def _pulling(frame: Frame, posture: Posture, parameters: Array) -> list[str]:
    """The constraint with the greatest share in the combination that locks, at each pose."""
    matrix = np.moveaxis(close(frame, equations_at(frame, parameters), posture).jacobian, -1, 0).copy()
    matrix[:, :, 3:] /= frame.reference.size
    weights = np.linalg.svd(matrix)[0][:, :, -1]  # left vector of the least singular value
    owners = np.array(frame.structure.owners)
    held = [name for name in dict.fromkeys(frame.structure.owners) if name]
    shares = np.stack([np.sum(weights[:, owners == name] ** 2, axis=1) for name in held])
    return [held[i] for i in np.argmax(shares, axis=0)]
