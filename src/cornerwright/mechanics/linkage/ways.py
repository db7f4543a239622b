"""From what a caller asks for to ways that can be followed, in pieces that fit a core's cache."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.linkage.closure import Frame, Posture, at_reference, equations_at
from cornerwright.mechanics.linkage.follow import Allowed, Track, follow
from cornerwright.mechanics.linkage.mechanism import Mechanism
from cornerwright.mechanics.linkage.members import Members, still

if TYPE_CHECKING:
    from cornerwright.mechanics.linkage.answer import Pose

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Index = NDArray[np.intp]

CHUNK = 1024
"""Poses worked on at a time, so that their arrays stay in a core's own cache."""


def chunks(n: int) -> list[slice]:
    """Rows of a batch, piece by piece."""
    return [slice(i, min(i + CHUNK, n)) for i in range(0, n, CHUNK)]


def parameters_of(mechanism: Mechanism, lifts: ArrayLike, steer: ArrayLike, travel: ArrayLike | None) -> Array:
    """All parameters (K, n), checked."""
    d, m = mechanism.wheels, mechanism.adjuster_count
    lifted = np.asarray(lifts, dtype=float)
    if lifted.ndim < 2:
        lifted = lifted.reshape(-1, 1) if d == 1 else lifted.reshape(1, -1)
    if lifted.ndim != 2 or lifted.shape[1] != d:
        raise ValueError(f"lifts: found shape {lifted.shape}, expected (n, {d})")
    rack = np.atleast_1d(np.asarray(steer, dtype=float))
    if not mechanism.steers and np.any(rack != 0.0):
        raise ValueError("steer: this linkage has no rack")
    turned = np.zeros((1, m)) if travel is None else np.atleast_2d(np.asarray(travel, dtype=float))
    if turned.ndim != 2 or turned.shape[1] != m:
        raise ValueError(f"travel: found shape {turned.shape}, expected (n, {m})")
    sizes = {lifted.shape[0], rack.size, turned.shape[0], mechanism.variants} - {1}
    if len(sizes) > 1:
        raise ValueError(f"the batch is of {sorted(sizes)} poses at once; expected one number")
    n = sizes.pop() if sizes else 1
    parts = [np.broadcast_to(lifted.T, (d, n)), np.broadcast_to(turned.T, (m, n))]
    if mechanism.steers:
        parts.append(np.broadcast_to(rack, (1, n)))
    parameters = np.concatenate(parts)
    if not np.isfinite(parameters).all():
        raise ValueError("lifts, steer and travel must be finite numbers")
    return parameters


def begin_rows(start: Pose, rows: slice, n: int) -> Pose:
    """Starting poses of some rows; one pose may serve all."""
    if start.twist.size == 1 and n > 1:
        return start.take(np.zeros(rows.stop - rows.start, dtype=np.intp))
    return start.take(rows)


def track_to(frame: Frame, wanted: Array, begin: Pose | None, mechanism: Mechanism) -> Track:
    """Follow one chunk from the reference or the given poses."""
    if begin is None or not begin.closed.any():
        return way(frame, np.zeros((wanted.shape[0], 1)), wanted, at_reference(1), mechanism)
    known = begin.closed
    origin = frame.reference.origin
    unturned = at_reference(known.size)
    posture = Posture(
        np.where(known, begin.turn.transpose(1, 2, 0), unturned.turn),
        np.where(known, begin.place.T - origin, 0.0),
        np.where(known, begin.twist, 0.0),
    )
    before = np.where(known, begin.parameters.T, 0.0)
    track = way(frame, before, wanted, posture, mechanism)
    lost = np.flatnonzero(track.share < 1.0)
    if lost.size:
        # What the neighbour does not lead to may still be reached from the reference.
        again = track_to(frame.take(lost), wanted[:, lost], None, mechanism)
        track = track.replaced(lost, again)
    return track


def way(frame: Frame, before: Array, wanted: Array, posture: Posture, mechanism: Mechanism) -> Track:
    """Follow from parameters (K, n|1), closed by the posture, to others (K, n)."""
    span = np.abs(wanted - before).max(axis=0)
    allowed = _rockers(frame, before, wanted) if mechanism.layout.rockers else None
    start, goal = equations_at(frame, before), equations_at(frame, wanted)
    return follow(frame, start, goal, posture, span, allowed)


def _rockers(frame: Frame, before: Array, wanted: Array) -> Allowed:
    """Whether the rockers can follow, on the way from some parameters to others."""
    start = np.broadcast_to(before, wanted.shape)

    def allowed(posture: Posture, rows: slice | Index, share: Array) -> Flags:
        parameters = start[:, rows] + share * (wanted[:, rows] - start[:, rows])
        good, _ = Members(still(frame.take(rows), posture, parameters)).rockers_follow()
        return good

    return allowed
