"""Where every named point of a linkage stands at poses already solved for."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.answer import Pose
from cornerwright.mechanics.linkage.closure import Posture, frame_of
from cornerwright.mechanics.linkage.mechanism import Mechanism
from cornerwright.mechanics.linkage.members import Members, still
from cornerwright.mechanics.linkage.ways import chunks

Array = NDArray[np.float64]


def places(mechanism: Mechanism, pose: Pose, names: Iterable[str] | None = None) -> Array:
    """Where points stand (n, Q, 3) [m], body axes; nan where a pose does not close.

    names: of given points and their twins, all of `mechanism.structure.names` when left out. Each
    goes with its member: body, carrier, arm, rocker or half of a beam.
    """
    structure = mechanism.structure
    wanted = structure.names if names is None else tuple(names)
    index = np.array([structure.index(name) for name in wanted], dtype=np.intp)
    found = np.full((pose.twist.size, index.size, 3), np.nan)
    closed = np.flatnonzero(pose.closed)
    frame = frame_of(structure, mechanism.reference)
    for part in chunks(closed.size):
        rows = closed[part]
        some = frame.take(rows)
        origin = some.reference.origin
        posture = Posture(
            np.ascontiguousarray(np.moveaxis(pose.turn[rows], 0, -1)),
            np.ascontiguousarray(pose.place[rows].T) - origin,
            pose.twist[rows],
        )
        motion = still(some, posture, np.ascontiguousarray(pose.parameters[rows].T))
        points = Members(motion).points(index).value + origin[:, None]
        found[rows] = np.moveaxis(points, -1, 0).transpose(0, 2, 1)
    return found
