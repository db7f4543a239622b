"""Solving a linkage for many poses, and what it says at each.

`solve` closes it, `answer` closes it and gives columns with their derivatives. Nothing is given for
a pose that does not close: its numbers are nan and its verdict says why.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.linkage.closure import Frame, Posture, close, equations_at
from cornerwright.mechanics.linkage.follow import Track
from cornerwright.mechanics.linkage.implicit import motion_of
from cornerwright.mechanics.linkage.layout import Layout
from cornerwright.mechanics.linkage.mechanism import Mechanism
from cornerwright.mechanics.linkage.members import Members, still
from cornerwright.mechanics.linkage.outputs import FIRST, Outputs, columns_of
from cornerwright.mechanics.linkage.reference import Rows
from cornerwright.mechanics.linkage.ways import begin_rows, chunks, parameters_of, track_to

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CLOSED, OUT_OF_REACH, SINGULAR = "closed", "out_of_reach", "singular"


@dataclass(frozen=True)
class Pose:
    """Where the carrier of each of n poses stands, body axes; nan where it does not close.

    turn (n, 3, 3) from the reference pose; place (n, 3) [m] of the first wheel's reference centre;
    twist (n,) [rad]; parameters (n, K) [m]: lifts, travels of the adjusters, rack. residual (n,)
    [m] of the worst equation; verdict (n,) of str: "closed", "out_of_reach" or "singular" (the
    pose it starts from cannot be led on); furthest (n, d) [m]: the lifts to which it could be led.
    """

    turn: Array
    place: Array
    twist: Array
    parameters: Array
    residual: Array
    verdict: NDArray[np.str_]
    furthest: Array
    steps: int

    @property
    def closed(self) -> Flags:
        """(n,) True where there are numbers."""
        return np.asarray(self.verdict == CLOSED)

    def take(self, rows: Rows) -> Pose:
        """Only these poses."""
        return Pose(
            self.turn[rows],
            self.place[rows],
            self.twist[rows],
            self.parameters[rows],
            self.residual[rows],
            self.verdict[rows],
            self.furthest[rows],
            self.steps,
        )


@dataclass(frozen=True)
class Column:
    """One quantity at the w wheels of n poses, with derivatives by d lifts and m adjusters.

    value (n, w) [unit]; first (n, w, d) [unit/m]; second (n, w, d, d) [unit/m2] or None when the
    quantity comes to first order only; partial (n, w, m) at fixed lifts; mixed (n, w, d, m) or
    None; steer (n, w) and steer_mixed (n, w, d) by rack travel, None without a rack. All
    sensitivities are None when they were not asked for. nan where a pose does not close and where
    the wheel has no such quantity.
    """

    value: Array
    first: Array
    second: Array | None
    partial: Array | None
    mixed: Array | None
    steer: Array | None
    steer_mixed: Array | None


@dataclass(frozen=True)
class Answer:
    """Poses and the columns asked for, by name."""

    pose: Pose
    columns: Mapping[str, Column]

    def __getitem__(self, name: str) -> Column:
        return self.columns[name]


def solve(
    mechanism: Mechanism,
    lifts: ArrayLike,
    steer: ArrayLike = 0.0,
    travel: ArrayLike | None = None,
    start: Pose | None = None,
) -> Pose:
    """Close a linkage at these lifts.

    lifts (n|1, d) [m] of its d wheels (one number or (n,) will do for one wheel); steer (n|1,) [m]
    rack travel; travel (n|1, m) [m] of its adjusters, zero when left out. start: poses (n|1) of the
    same linkage to begin from, where they are closed; otherwise the reference pose.
    """
    parameters = parameters_of(mechanism, lifts, steer, travel)
    n = parameters.shape[1]
    frame = mechanism.frame
    tracks = []
    for rows in chunks(n):
        wanted = parameters[:, rows]
        begin = None if start is None else begin_rows(start, rows, n)
        tracks.append(track_to(frame.take(rows), wanted, begin, mechanism))
    return _pose(mechanism, parameters, tracks)


def answer(
    mechanism: Mechanism,
    lifts: ArrayLike,
    steer: ArrayLike = 0.0,
    travel: ArrayLike | None = None,
    *,
    columns: Iterable[str] | None = None,
    sensitivities: bool = True,
    start: Pose | None = None,
) -> Answer:
    """Close a linkage at these lifts and say what it does there.

    Arguments as for `solve`. columns: names as in `columns_of`, all when left out; sensitivities:
    whether by adjusters and rack too, or by lifts only.
    """
    pose = solve(mechanism, lifts, steer, travel, start)
    return answer_at(mechanism, pose, columns=columns, sensitivities=sensitivities)


def answer_at(
    mechanism: Mechanism,
    pose: Pose,
    *,
    columns: Iterable[str] | None = None,
    sensitivities: bool = True,
) -> Answer:
    """What a linkage says at poses already solved for; arguments as for `answer`."""
    layout = mechanism.layout
    names = columns_of(layout) if columns is None else tuple(columns)
    d, m = mechanism.wheels, mechanism.adjuster_count
    total = d + m + mechanism.steers
    used = np.arange(total if sensitivities else d, dtype=np.intp)
    n, k = pose.twist.size, used.size
    first_only = first_order(layout)
    value = {name: np.full((n, d), np.nan) for name in names}
    slope = {name: np.full((n, d, k), np.nan) for name in names}
    bend = {name: np.full((n, d, d, k), np.nan) for name in names if name not in first_only}
    closed = np.flatnonzero(pose.closed)
    frame = mechanism.frame
    for part in chunks(closed.size):
        rows = closed[part]
        some = frame.take(rows)
        posture = _posture(some, pose, rows)
        parameters = np.ascontiguousarray(pose.parameters[rows].T)
        closure = close(some, equations_at(some, parameters), posture)
        motion = motion_of(some, posture, closure, parameters, used, d)
        for name, series in Outputs(motion).columns(names).items():
            for i, one in enumerate(series):
                if one is None:
                    continue
                value[name][rows, i] = one.value
                slope[name][rows, i] = one.first.T
                if name in bend and one.second is not None:
                    bend[name][rows, i] = one.second.transpose(2, 0, 1)
    found = {name: _column(value[name], slope[name], bend.get(name), d, m, mechanism, sensitivities) for name in names}
    return Answer(pose, found)


def places(mechanism: Mechanism, pose: Pose, names: Iterable[str] | None = None) -> Array:
    """Where points stand (n, Q, 3) [m], body axes; nan where a pose does not close.

    names: of given points and their twins, all of `mechanism.structure.names` when left out.
    """
    structure = mechanism.structure
    wanted = structure.names if names is None else tuple(names)
    index = np.array([structure.index(name) for name in wanted], dtype=np.intp)
    found = np.full((pose.twist.size, index.size, 3), np.nan)
    closed = np.flatnonzero(pose.closed)
    frame = mechanism.frame
    for part in chunks(closed.size):
        rows = closed[part]
        some = frame.take(rows)
        motion = still(some, _posture(some, pose, rows), np.ascontiguousarray(pose.parameters[rows].T))
        points = Members(motion).points(index).value + some.reference.origin[:, None]
        found[rows] = points.transpose(2, 1, 0)
    return found


def _posture(frame: Frame, pose: Pose, rows: NDArray[np.intp]) -> Posture:
    """Poses with the batch last, from the linkage's own origin."""
    return Posture(
        np.ascontiguousarray(pose.turn[rows].transpose(1, 2, 0)),
        np.ascontiguousarray(pose.place[rows].T) - frame.reference.origin,
        pose.twist[rows],
    )


def first_order(layout: Layout) -> frozenset[str]:
    """Columns that come without second derivatives."""
    return frozenset((*FIRST, *(joint.name for joint in layout.joints)))


def _column(
    value: Array,
    slope: Array,
    bend: Array | None,
    d: int,
    m: int,
    mechanism: Mechanism,
    sensitivities: bool,
) -> Column:
    rack = sensitivities and mechanism.steers
    own = slice(d, d + m)
    return Column(
        value=value,
        first=slope[..., :d],
        second=None if bend is None else bend[..., :d],
        partial=slope[..., own] if sensitivities else None,
        mixed=bend[..., own] if sensitivities and bend is not None else None,
        steer=slope[..., -1] if rack else None,
        steer_mixed=bend[..., -1] if rack and bend is not None else None,
    )


def _pose(mechanism: Mechanism, parameters: Array, tracks: list[Track]) -> Pose:
    share = np.concatenate([track.share for track in tracks])
    closed = share >= 1.0
    singular = np.concatenate([track.singular for track in tracks])
    turn = np.concatenate([track.posture.turn.transpose(2, 0, 1) for track in tracks])
    place = np.concatenate([track.posture.place.T for track in tracks])
    twist = np.concatenate([track.posture.twist for track in tracks])
    residual = np.concatenate([track.residual for track in tracks])
    verdict = np.where(closed, CLOSED, np.where(singular, SINGULAR, OUT_OF_REACH))
    blank = ~closed
    if blank.any():
        turn[blank], place[blank], twist[blank] = np.nan, np.nan, np.nan
    d = mechanism.wheels
    return Pose(
        turn=turn,
        place=place + mechanism.reference.origin.T,
        twist=twist,
        parameters=np.ascontiguousarray(parameters.T),
        residual=np.where(closed, residual, np.nan),
        verdict=verdict,
        furthest=(parameters[:d] * share).T,
        steps=max(track.steps for track in tracks),
    )
