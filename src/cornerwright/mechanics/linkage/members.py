"""Where the points of body, carrier, arms and rockers stand, with derivatives.

An arm turns about its own axis and looks at its ball; a rocker turns about its axis until its rod,
coming from the carrier or an arm, has its length. Both are known in closed form once the carrier
is, so their points are series like any other.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import Frame, Posture
from cornerwright.mechanics.linkage.layout import BODY, Arm, Rocker
from cornerwright.mechanics.linkage.motion import Motion
from cornerwright.mechanics.linkage.series import Series, cross, dot, unit
from cornerwright.mechanics.linkage.structure import HALVES

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Index = NDArray[np.intp]


@dataclass(frozen=True)
class Seat:
    """The axes of an arm or a rocker now and at the reference.

    origin (3, n) [m]; basis: axis, outward, third, each (3, n); origin_before (3, g) [m];
    basis_before (3 axes, 3, g).
    """

    origin: Series
    basis: tuple[Series, Series, Series]
    origin_before: Array
    basis_before: Array


@dataclass(frozen=True)
class _Triangle:
    """A rocker and its rod: start is the drive from the origin, c and s2 fix the rocker's angle.

    With P the product of the eye's and the drive's distances from the axis, squared (`spread`), c is
    sqrt(P) times the cosine of the angle between them, and s2 is P times its sine squared: no
    longer positive where the rod does not reach.
    """

    origin: Series
    along: Series
    start: Series
    before: Array
    basis: Array
    eye_before: Array
    reach: Series
    side: Series
    spread: Series
    c: Series
    s2: Series


def still(frame: Frame, posture: Posture, parameters: Array) -> Motion:
    """A motion without derivatives."""
    n = posture.twist.size

    def none(value: Array) -> Series:
        return Series(value, np.zeros((0, *value.shape)), None)

    return Motion(
        frame,
        posture,
        parameters,
        np.zeros(0, dtype=np.intp),
        0,
        none(posture.place),
        none(np.zeros((3, n))),
        none(posture.twist),
    )


class Members:
    """All members of a linkage at one motion; arms and rockers are worked out when first wanted."""

    def __init__(self, motion: Motion) -> None:
        self.motion = motion
        structure = motion.frame.structure
        self._movers: dict[str, Arm | Rocker] = {arm.name: arm for arm in structure.layout.arms}
        self._movers |= {rocker.name: rocker for rocker in structure.layout.rockers}
        self._seats: dict[str, Seat] = {}
        self._known: dict[int, Series] = {}

    def gather(self, rows: Iterable[int]) -> None:
        """Work out points by their rows in the structure, as many together as can be."""
        motion, known = self.motion, self._known
        members = motion.frame.structure.members
        wanted = {row for row in rows if row not in known}
        on_movers = {row for row in wanted if members[row] in self._movers}
        wanted |= self._needed({members[row] for row in on_movers})
        body = [row for row in wanted if members[row] == BODY and row not in known]
        carrier = [row for row in wanted if members[row] in HALVES and row not in known]
        if body:
            known |= _apart(body, motion.body_points(np.array(body, dtype=np.intp)))
        if carrier:
            known |= _apart(carrier, motion.carrier_points(np.array(carrier, dtype=np.intp)))
        for member in {members[row] for row in on_movers}:
            some = [row for row in on_movers if members[row] == member and row not in known]
            if some:
                known |= _apart(some, self._on(self.seat(member), np.array(some, dtype=np.intp)))

    def _needed(self, movers: set[str]) -> set[int]:
        """Points on the body and the carrier that place these arms and rockers."""
        index = self.motion.frame.structure.index
        found: set[int] = set()
        for name in movers:
            mover = self._movers[name]
            found |= {index(point) for point in mover.axis}
            tip = index(mover.ball if isinstance(mover, Arm) else mover.drive)
            member = self.motion.frame.structure.members[tip]
            found |= self._needed({member}) if member in self._movers else {tip}
        return found

    def points(self, rows: Index) -> Series:
        """Points (3, Q, n) [m] from the reference's origin, by their rows in the structure."""
        motion = self.motion
        self.gather(rows.tolist())
        n, k, d = motion.n, motion.used.size, motion.lifts
        value = np.empty((3, rows.size, n))
        first = np.empty((k, 3, rows.size, n))
        bent = motion.turning.second is not None
        second = np.empty((d, k, 3, rows.size, n)) if bent else None
        for i, row in enumerate(rows.tolist()):
            one = self._known[row]
            value[:, i], first[:, :, i] = one.value, one.first
            if second is not None:
                second[:, :, :, i] = 0.0 if one.second is None else one.second
        return Series(value, first, second)

    def point(self, name: str) -> Series:
        """One point (3, n|1) [m]."""
        return self.several(name)[0]

    def several(self, *names: str) -> list[Series]:
        """Some points (3, n|1) [m], gathered together."""
        index = self.motion.frame.structure.index
        rows = [index(name) for name in names]
        self.gather(rows)
        return [self._known[row] for row in rows]

    def vector(self, member: str, direction: Array) -> Series:
        """A direction (3, 1|g), given at the reference, fixed in a member: (3, n) now."""
        motion = self.motion
        k, d = motion.used.size, motion.lifts
        if member == BODY:
            return Series(direction, np.zeros((k, 1, 1)), np.zeros((d, k, 1, 1)))
        if member in HALVES:
            share = None
            if motion.frame.share is not None:
                share = np.array([HALVES[member]])
            turned = motion.carried(direction[:, None], None, share, free=True)
            second = None if turned.second is None else turned.second[:, :, :, 0]
            return Series(turned.value[:, 0], turned.first[:, :, 0], second)
        seat = self.seat(member)
        part = np.einsum("cxg,xg->cg", seat.basis_before, direction)
        total = seat.basis[0].times(part[0])
        return total + seat.basis[1].times(part[1]) + seat.basis[2].times(part[2])

    def seat(self, name: str) -> Seat:
        """Axes of an arm or a rocker."""
        if name not in self._seats:
            if name not in self._movers:
                raise ValueError(f"no arm or rocker {name!r}; there are {', '.join(self._movers)}")
            mover = self._movers[name]
            self._seats[name] = self._arm(mover) if isinstance(mover, Arm) else self._rocker(mover)
        return self._seats[name]

    def _before(self, name: str) -> Array:
        frame = self.motion.frame
        return frame.reference.points[:, frame.structure.index(name)]

    def _axis(self, axis: tuple[str, str], tip: str) -> tuple[Series, Series, Series, Array, Array]:
        """Origin and direction of an axis in the body, and a point from the origin; then before."""
        origin, far, end = self.several(*axis, tip)
        before = self._before(axis[0])
        along = self._before(axis[1]) - before
        return origin, unit(far - origin), end - origin, before, along / _length(along)

    def _arm(self, arm: Arm) -> Seat:
        origin, along, ball, before, along_before = self._axis(arm.axis, arm.ball)
        outward = _across(ball, along)
        outward_before = _across_before(self._before(arm.ball) - before, along_before)
        return Seat(
            origin,
            (along, outward, cross(along, outward)),
            before,
            _basis(along_before, outward_before),
        )

    def _triangle(self, rocker: Rocker) -> _Triangle:
        """Pivot, eye and drive of a rocker, seen along its axis."""
        motion = self.motion
        reference, structure = motion.frame.reference, motion.frame.structure
        origin, along, start, before, along_before = self._axis(rocker.axis, rocker.drive)
        eye_before = self._before(rocker.eye) - before
        basis = _basis(along_before, _across_before(eye_before, along_before))
        # The eye in the rocker's axes, moved by adjusters like any of its points.
        where = np.array([structure.index(rocker.eye)], dtype=np.intp)
        eye = self._coordinates(basis, before, where)
        height, reach, side = (eye[axis][0] for axis in range(3))
        k, d = motion.used.size, motion.lifts
        row = len(reference.lengths) - len(structure.layout.rockers)
        row += structure.layout.rockers.index(rocker)
        length = Series(
            reference.lengths[row] + reference.lengthen[:, row] @ motion.parameters,
            reference.lengthen[motion.used, row][:, None],
            np.zeros((d, k, 1)),
        )
        # |drive - eye| = length, with the eye turned by an angle: one point of two circles.
        up = dot(start, along)
        gap = up - height
        radius2 = reach * reach + side * side
        far2 = dot(start, start) - up * up
        c = (gap * gap + far2 + radius2 - length * length).times(0.5)
        spread = far2 * radius2
        return _Triangle(origin, along, start, before, basis, eye_before, reach, side, spread, c, spread - c * c)

    def _rocker(self, rocker: Rocker) -> Seat:
        one = self._triangle(rocker)
        k, d = self.motion.used.size, self.motion.lifts
        fixed = Series(one.eye_before, np.zeros((k, 1, 1)), np.zeros((d, k, 1, 1)))
        outward = _across(fixed, one.along)
        third = cross(one.along, outward)
        x, y, c, s = dot(one.start, outward), dot(one.start, third), one.c, one.s2.sqrt()
        drive = self._before(rocker.drive) - one.before
        flip = -np.sign(np.einsum("xg,xg->g", drive, one.basis[2]))
        # Angle from the eye's own direction to the drive's, then back by the triangle's angle.
        along_x, along_y = one.reach * x + one.side * y, one.reach * y - one.side * x
        inverse = one.spread.reciprocal()
        cosine = (c * along_x - (s * along_y).times(flip)) * inverse
        sine = (c * along_y + (s * along_x).times(flip)) * inverse
        out = outward * cosine.along() + third * sine.along()
        return Seat(one.origin, (one.along, out, cross(one.along, out)), one.before, one.basis)

    def _coordinates(self, basis: Array, before: Array, rows: Index) -> Series:
        """Coordinates (3, Q, n|1) of points in their member's axes, with the adjusters."""
        motion = self.motion
        reference = motion.frame.reference
        shift = reference.shift[:, :, rows]
        place = reference.points[:, rows] - before[:, None]
        if shift.any():
            place = place + np.einsum("kxq,kn->xqn", shift, motion.parameters)
        value = np.einsum("cxg,xqg->cqg", basis, place)
        first = np.einsum("cxg,kxq->kcqg", basis, shift[motion.used])
        return Series(value, first, np.zeros((motion.lifts, motion.used.size, 1, 1, 1)))

    def _on(self, seat: Seat, rows: Index) -> Series:
        """Points (3, Q, n) of an arm or a rocker."""
        own = self._coordinates(seat.basis_before, seat.origin_before, rows)
        moved = own.first.any()
        total = _each(seat.origin)
        for axis in range(3):
            along = _each(seat.basis[axis])
            # What no adjuster moves has constant coordinates, and most points are such.
            total = total + (along * own[axis].along() if moved else along.times(own.value[axis]))
        return total

    def rockers_follow(self) -> tuple[Flags, dict[str, Flags]]:
        """Whether every rocker's rod reaches (n,), and each by the name of its rod."""
        n = self.motion.n
        each: dict[str, Flags] = {}
        with np.errstate(all="ignore"):
            for one in self.motion.frame.structure.layout.rockers:
                each[one.rod] = np.broadcast_to(self._triangle(one).s2.value > 0.0, (n,))
        good = np.ones(n, dtype=bool)
        for flags in each.values():
            good &= flags
        return good, each


def _apart(rows: list[int], points: Series) -> dict[int, Series]:
    """Points (3, Q, n) one by one."""
    wide = points.second is not None and points.second.shape[3] > 1
    found = {}
    for i, row in enumerate(rows):
        second = None
        if points.second is not None:
            second = points.second[:, :, :, i if wide else 0]
        found[row] = Series(points.value[:, i], points.first[:, :, i], second)
    return found


def _each(a: Series) -> Series:
    """A vector (3, n) beside points: (3, 1, n)."""
    second = None if a.second is None else a.second[:, :, :, None]
    return Series(a.value[:, None], a.first[:, :, None], second)


def _length(a: Array) -> Array:
    return np.asarray(np.sqrt(np.sum(a**2, axis=0)))


def _across(a: Series, along: Series) -> Series:
    """Unit vector of the part of a that is square to a unit vector."""
    return unit(a - along * dot(a, along).along())


def _across_before(a: Array, along: Array) -> Array:
    square = a - along * np.sum(a * along, axis=0)
    return np.asarray(square / _length(square))


def _basis(along: Array, outward: Array) -> Array:
    return np.stack([along, outward, np.cross(along, outward, axis=0)])
