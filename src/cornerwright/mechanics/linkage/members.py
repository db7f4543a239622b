"""Where the points of body, carrier, arms and rockers stand, with derivatives.

An arm turns about its own axis and looks at its ball; a rocker turns about its axis until its rod,
coming from the carrier or an arm, has its length. Both are known in closed form once the carrier
is, so their points are series like any other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import Frame, Posture
from cornerwright.mechanics.linkage.implicit import Motion
from cornerwright.mechanics.linkage.layout import BODY, Arm, Rocker
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


def still(frame: Frame, posture: Posture, parameters: Array) -> Motion:
    """A motion without derivatives."""
    n = posture.twist.size

    def none(value: Array) -> Series:
        return Series(value, np.zeros((0, *value.shape)), np.zeros((0, 0, *value.shape)))

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
        self._movers: dict[str, Arm | Rocker] = {
            one.name: one for one in (*structure.layout.arms, *structure.layout.rockers)
        }
        self._seats: dict[str, Seat] = {}

    def points(self, rows: Index) -> Series:
        """Points (3, Q, n) [m] from the reference's origin, by their rows in the structure."""
        motion = self.motion
        members = [motion.frame.structure.members[row] for row in rows]
        n, k, d = motion.n, motion.used.size, motion.lifts
        value = np.empty((3, rows.size, n))
        first = np.empty((k, 3, rows.size, n))
        second = np.empty((d, k, 3, rows.size, n))
        groups: dict[str, list[int]] = {}
        for i, member in enumerate(members):
            groups.setdefault("carrier" if member in HALVES else member, []).append(i)
        for member, where in groups.items():
            some = rows[where]
            if member == BODY:
                part = motion.body_points(some)
            elif member == "carrier":
                part = motion.carrier_points(some)
            else:
                part = self._on(self.seat(member), some)
            value[:, where] = part.value
            first[:, :, where] = part.first
            second[:, :, :, where] = 0.0 if part.second is None else part.second
        return Series(value, first, second)

    def point(self, name: str) -> Series:
        """One point (3, n) [m]."""
        row = self.motion.frame.structure.index(name)
        many = self.points(np.array([row], dtype=np.intp))
        second = None if many.second is None else many.second[:, :, :, 0]
        return Series(many.value[:, 0], many.first[:, :, 0], second)

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

    def _axis(self, axis: tuple[str, str]) -> tuple[Series, Series, Array, Array]:
        """Origin and direction of an axis in the body, now and at the reference."""
        origin = self.point(axis[0])
        before = self._before(axis[0])
        along = self._before(axis[1]) - before
        return origin, unit(self.point(axis[1]) - origin), before, along / _length(along)

    def _arm(self, arm: Arm) -> Seat:
        origin, along, before, along_before = self._axis(arm.axis)
        outward = _across(self.point(arm.ball) - origin, along)
        outward_before = _across_before(self._before(arm.ball) - before, along_before)
        return Seat(
            origin,
            (along, outward, cross(along, outward)),
            before,
            _basis(along_before, outward_before),
        )

    def _rocker(self, rocker: Rocker) -> Seat:
        motion = self.motion
        reference, structure = motion.frame.reference, motion.frame.structure
        origin, along, before, along_before = self._axis(rocker.axis)
        eye_before = self._before(rocker.eye) - before
        basis = _basis(along_before, _across_before(eye_before, along_before))
        # The eye in the rocker's axes, moved by adjusters like any of its points.
        eye = self._coordinates(basis, before, structure.index(rocker.eye))
        height, reach, side = eye[0], eye[1], eye[2]
        k, d = motion.used.size, motion.lifts
        ones = Series(eye_before, np.zeros((k, 1, 1)), np.zeros((d, k, 1, 1)))
        outward = _across(ones, along)
        third = cross(along, outward)
        start = self.point(rocker.drive) - origin
        up, x, y = dot(start, along), dot(start, outward), dot(start, third)
        row = len(reference.lengths) - len(structure.layout.rockers)
        row += structure.layout.rockers.index(rocker)
        length = Series(
            reference.lengths[row] + reference.lengthen[:, row] @ motion.parameters,
            reference.lengthen[motion.used, row][:, None],
            np.zeros((d, k, 1)),
        )
        # |drive - eye| = length, with the eye turned by an angle: one point of two circles.
        gap = up - height
        radius2 = reach * reach + side * side
        far2 = x * x + y * y
        c = (gap * gap + far2 + radius2 - length * length).times(0.5)
        s2 = far2 * radius2 - c * c
        s = s2.sqrt()
        drive = self._before(rocker.drive) - before
        flip = -np.sign(np.einsum("xg,xg->g", drive, basis[2]))
        # Angle from the eye's own direction to the drive's, then back by the triangle's angle.
        along_x, along_y = reach * x + side * y, reach * y - side * x
        inverse = (far2 * radius2).reciprocal()
        cosine = (c * along_x - (s * along_y).times(flip)) * inverse
        sine = (c * along_y + (s * along_x).times(flip)) * inverse
        out = outward * cosine.along() + third * sine.along()
        return Seat(origin, (along, out, cross(along, out)), before, basis)

    def _coordinates(self, basis: Array, before: Array, row: int) -> Series:
        """Coordinates (3, n|1) of a point in its member's axes, with the adjusters."""
        motion = self.motion
        reference = motion.frame.reference
        shift = reference.shift[:, :, row]
        place = reference.points[:, row] - before + shift.T @ motion.parameters
        value = np.einsum("cxg,xg->cg", basis, np.broadcast_to(place, _wide(basis, place)))
        first = np.einsum("cxg,kx->kcg", basis, shift[motion.used])
        return Series(value, first, np.zeros((motion.lifts, motion.used.size, 1, 1)))

    def _on(self, seat: Seat, rows: Index) -> Series:
        """Points (3, Q, n) of an arm or a rocker."""
        motion = self.motion
        parts = [self._coordinates(seat.basis_before, seat.origin_before, row) for row in rows]
        total = []
        for own in parts:
            place = seat.origin
            for axis in range(3):
                place = place + seat.basis[axis] * own[axis].along()
            total.append(place)
        n = motion.n
        k, d = motion.used.size, motion.lifts
        return Series(
            np.stack([np.broadcast_to(p.value, (3, n)) for p in total], axis=1),
            np.stack([np.broadcast_to(p.first, (k, 3, n)) for p in total], axis=2),
            np.stack(
                [np.broadcast_to(0.0 if p.second is None else p.second, (d, k, 3, n)) for p in total],
                axis=3,
            ),
        )

    def rockers_follow(self) -> tuple[Flags, dict[str, Flags]]:
        """Whether every rocker's rod reaches (n,), and each by the name of its rod."""
        n = self.motion.n
        each: dict[str, Flags] = {}
        with np.errstate(all="ignore"):
            for one in self.motion.frame.structure.layout.rockers:
                out = self.seat(one.name).basis[1].value
                each[one.rod] = np.broadcast_to(np.isfinite(out).all(axis=0), (n,))
        good = np.ones(n, dtype=bool)
        for flags in each.values():
            good &= flags
        return good, each


def _wide(basis: Array, place: Array) -> tuple[int, int]:
    return (3, max(basis.shape[-1], place.shape[-1]))


def _length(a: Array) -> Array:
    return np.asarray(np.sqrt(np.sum(a**2, axis=0)))


def _across(a: Series, along: Series) -> Series:
    """Unit vector of the part of a that is square to a unit vector."""
    return unit(a - along * dot(a, along).along())


def _across_before(a: Array, along: Array) -> Array:
    square = a - along * np.sum(a * along, axis=0)
    return square / _length(square)


def _basis(along: Array, outward: Array) -> Array:
    return np.stack([along, outward, np.cross(along, outward, axis=0)])
