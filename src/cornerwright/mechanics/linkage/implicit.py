"""Derivatives of a closed pose: the implicit function theorem, to second order.

The equations F(q, p) = 0 hold for every value of the parameters p (lifts, adjusters, rack), so

    F_q q_i  = -F_i
    F_q q_ij = -(F_qq q_i q_j + F_qi q_j + F_qj q_i + F_ij)

with one factored Jacobian. The coordinates q are the place, a rotation vector from the solved pose,
and the twist; the right sides come from the equations evaluated as series (see `series`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import Closure, Frame, Posture, twisted
from cornerwright.mechanics.linkage.rotation import cross, skew
from cornerwright.mechanics.linkage.series import Series, constant, derivative, dot
from cornerwright.mechanics.linkage.series import cross as wrench_moment


Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True)
class Motion:
    """A pose of the carrier with its derivatives, for k parameters of which d are lifts.

    place (3, n) [m] from the reference's origin; turning (3, n) rotation vector from this pose
    [rad] (value zero); twist (n,) [rad]; parameters (k, n|1); used: which rows of the reference's
    parameters the k are.
    """

    frame: Frame
    posture: Posture
    parameters: Array  # (K, n|1) all of them
    used: Index  # (k,)
    lifts: int
    place: Series
    turning: Series
    twist: Series
    inverse: Array | None = None  # (C, C, n) of the Jacobian

    @property
    def n(self) -> int:
        """Number of poses."""
        return self.posture.place.shape[-1]

    def body_points(self, rows: Index) -> Series:
        """Body points (3, P, n|1) [m] from the origin; their second derivatives are zero."""
        reference = self.frame.reference
        shift = reference.shift[:, :, rows]
        value = reference.points[:, rows] + np.einsum("kxp,kn->xpn", shift, self.parameters)
        first = shift[self.used][..., None]
        return Series(value, first, np.zeros((self.lifts, self.used.size, 1, 1, 1)))

    def carrier_points(self, rows: Index) -> Series:
        """Carrier points (3, P, n) [m] from the origin."""
        arm = self.carrier_arms(rows)
        place = self.place
        return Series(
            arm.value + place.value[:, None],
            arm.first + place.first[:, :, None],
            None if arm.second is None or place.second is None else arm.second + place.second[:, :, :, None],
        )

    def carrier_arms(self, rows: Index) -> Series:
        """Carrier points (3, P, n) [m] from the carrier's own place, in body axes."""
        reference = self.frame.reference
        shift = reference.shift[:, :, rows]
        own = reference.points[:, rows]
        moves = shift.any()
        if moves:
            own = own + np.einsum("kxp,kn->xpn", shift, self.parameters)
        first = shift[self.used][..., None] if moves else None
        share = self.frame.structure.share[rows] if self.frame.share is not None else None
        return self.carried(own, first, share)

    def carried(self, own: Array, first: Array | None, share: Array | None, *, free: bool = False) -> Series:
        """Vectors (3, P, n|1) fixed in the carrier, in body axes.

        first (k, 3, P, n|1): their change with the parameters, linear. share (P,): of the twist;
        free vectors are turned by it without regard to where its axis lies.
        """
        turn, order = self.posture.turn, self.turning.second is not None
        bend = None
        if share is not None and share.any():
            own, first, bend = self._bent(own, first, share, free)
        value = np.einsum("xyn,ypn->xpn", turn, np.broadcast_to(own, (*own.shape[:2], self.n)))
        W = skew(self.turning.first.transpose(1, 0, 2)).transpose(2, 0, 1, 3)  # (k, 3, 3, n)
        rate = np.einsum("kxyn,ypn->kxpn", W, value)
        grown = None
        if first is not None:
            grown = np.einsum("xyn,kypn->kxpn", turn, np.broadcast_to(first, rate.shape))
        if not order or self.turning.second is None:
            return Series(value, rate if grown is None else rate + grown, None)
        d = self.lifts
        product = np.einsum("ixyn,kyzn->ikxzn", W[:d], W)
        S = 0.5 * (product + np.einsum("kxyn,iyzn->ikxzn", W, W[:d]))
        S += skew(self.turning.second.transpose(2, 0, 1, 3)).transpose(2, 3, 0, 1, 4)
        second = np.einsum("ikxyn,ypn->ikxpn", S, value)
        if grown is not None:
            second += np.einsum("ixyn,kypn->ikxpn", W[:d], grown)
            second += np.einsum("kxyn,iypn->ikxpn", W, grown[:d])
            rate = rate + grown
        if bend is not None:
            second += np.einsum("xyn,ikypn->ikxpn", turn, bend)
        return Series(value, rate, second)

    def _bent(
        self, own: Array, first: Array | None, share: Array, free: bool
    ) -> tuple[Array, Array, Array | None]:
        """Vectors of the halves of a twist beam, with their first and second derivatives."""
        reference, twist, d = self.frame.reference, self.twist, self.lifts
        point = np.zeros((3, 1)) if free else reference.twist_point
        free_of_point = replace(reference, twist_point=np.zeros((3, 1)))
        at = replace(reference, twist_point=point)
        bent = twisted(at, own, share, twist.value)
        axis = reference.twist_axis[:, None]
        over = cross(axis, bent - point[:, None])
        part = share[:, None]
        change = twist.first[:, None, None] * (part * over)
        moved = None
        if first is not None:
            moved = np.stack([twisted(free_of_point, own_first, share, twist.value) for own_first in first])
            total = change + moved
        else:
            total = change
        if twist.second is None:
            return bent, total, None
        pull = part**2 * cross(axis, over)
        second = twist.second[:, :, None, None] * (part * over)
        second = second + twist.first[:d, None, None, None] * twist.first[:, None, None] * pull
        if moved is not None:
            turned = part * cross(axis[:, None], moved.transpose(1, 0, 2, 3)).transpose(1, 0, 2, 3)
            second = second + twist.first[:d, None, None, None] * turned
            second = second + twist.first[None, :, None, None] * turned[:d, None]
        return bent, total, second


def _residual(motion: Motion) -> tuple[Series, Series, Series, Series]:
    """The simple equations as series (E, n); also gap, lever and force (3, E, n)."""
    frame, structure = motion.frame, motion.frame.structure
    reference = frame.reference
    rods, across = structure.rods, structure.across
    n, k, d = motion.n, motion.used.size, motion.lifts
    arm = motion.carrier_arms(structure.held)
    anchor = motion.body_points(structure.anchor)
    place = motion.place
    gap_second = (
        None if arm.second is None or place.second is None else arm.second + place.second[:, :, :, None]
    )
    gap = Series(
        arm.value + place.value[:, None] - anchor.value,
        arm.first + place.first[:, :, None] - anchor.first,
        gap_second,
    )
    length = reference.lengths[:rods] + reference.lengthen[:, :rods].T @ motion.parameters
    growth = reference.lengthen[motion.used, :rods][..., None]
    along = gap.at(slice(0, rods))
    square = dot(along, along)
    held = Series(length, growth, np.zeros((d, k, 1, 1)))
    parts = [(square - held * held).times(0.5 / length)]
    force = [along * held.reciprocal().along()]

    direction, redirect = reference.directions, None
    if reference.redirect.any():
        direction = direction + np.einsum("kxdn,kn->xdn", reference.redirect, motion.parameters)
        redirect = reference.redirect[motion.used]
    body = slice(rods, rods + across)
    fixed = constant(direction[:, :across], k, d)
    if redirect is not None:
        fixed = Series(fixed.value, redirect[:, :, :across], fixed.second)
    parts.append(dot(fixed, gap.at(body)))
    force.append(fixed)
    lever = arm
    if rods + across < structure.held.size:
        own = slice(rods + across, None)
        own_first = None if redirect is None else redirect[:, :, across:]
        turned = -motion.carried(direction[:, across:], own_first, None)
        parts.append(dot(turned, gap.at(own)))
        force.append(turned)
        lever = _joined([arm.at(slice(0, rods + across)), arm.at(own) - gap.at(own)], n, 1)
    return _joined(parts, n, 0), gap, lever, _joined(force, n, 1)


def _joined(parts: list[Series], n: int, axis: int) -> Series:
    """Series side by side along an axis of their values, all spread to n poses."""
    head = parts[0]
    k = max(part.first.shape[0] for part in parts)

    def spread(a: Array, lead: int, like: tuple[int, ...]) -> Array:
        return np.broadcast_to(a, (*a.shape[:lead], *like[:-1], n))

    shapes = [part.value.shape for part in parts]
    value = np.concatenate([spread(p.value, 0, s) for p, s in zip(parts, shapes, strict=True)], axis=axis)
    first = np.concatenate(
        [
            spread(np.broadcast_to(p.first, (k, *p.first.shape[1:])), 1, s)
            for p, s in zip(parts, shapes, strict=True)
        ],
        axis=axis + 1,
    )
    if any(part.second is None for part in parts) or head.second is None:
        return Series(value, first, None)
    second = np.concatenate(
        [spread(part.second, 2, s) for part, s in zip(parts, shapes, strict=True) if part.second is not None],
        axis=axis + 2,
    )
    return Series(value, first, second)


def _sum(structure_sum: Array | None, a: Array, axis: int) -> Array:
    """Add the simple equations that make one."""
    if structure_sum is None:
        return a
    return np.moveaxis(np.tensordot(structure_sum, a, axes=(1, axis)), 0, axis)


def turning_rate(motion: Motion, along: Array) -> Series:
    """Angular velocity (3, n) [rad/m] of the carrier along a direction of the lifts (d,).

    Its change with parameter j has, beside the second derivative of the rotation vector, half the
    vector product of the two turnings: rotations do not add.
    """
    turning = motion.turning
    rate = derivative(turning, along)
    twirl = cross(turning.first.transpose(1, 0, 2), rate.value[:, None]).transpose(1, 0, 2)
    return Series(rate.value, rate.first + 0.5 * twirl, None)


def motion_of(
    frame: Frame,
    posture: Posture,
    closure: Closure,
    parameters: Array,
    used: Index,
    lifts: int,
) -> Motion:
    """Derivatives of closed poses.

    closure: at these postures. parameters (K, n|1): all of the reference's; used (k,): those to
    differentiate by, the lifts first.
    """
    n, k, d = posture.twist.size, used.size, lifts
    count = frame.structure.coordinates
    summed = frame.structure.summed
    inverse = np.linalg.inv(np.moveaxis(closure.jacobian, -1, 0))
    inverse = np.ascontiguousarray(np.moveaxis(inverse, 0, -1))

    def motion(q: Array, bend: Array | None) -> Motion:
        def part(rows: slice | int, value: Array) -> Series:
            second = None if bend is None else bend[:, :, rows]
            return Series(value, q[:, rows], second)

        zero = np.zeros(n)
        no_twist = Series(posture.twist, np.zeros((k, 1)), None if bend is None else np.zeros((d, k, 1)))
        return Motion(
            frame,
            posture,
            parameters,
            used,
            d,
            part(slice(0, 3), posture.place),
            part(slice(3, 6), np.zeros((3, n))),
            part(6, posture.twist + zero) if count > 6 else no_twist,
            inverse,
        )

    at_rest = _residual(motion(np.zeros((k, count, n)), None))[0]
    q = -np.einsum("cen,ken->kcn", inverse, _sum(summed, at_rest.first, 1))
    straight = _residual(motion(q, np.zeros((d, k, count, n))))[0]
    if straight.second is None:
        raise ValueError("second derivatives were lost on the way")
    bend = -np.einsum("cen,iken->ikcn", inverse, _sum(summed, straight.second, 2))
    return motion(q, bend)


def turning_under(motion: Motion, parameter: int) -> tuple[Series, Series]:
    """Velocity of the carrier's place [m/m] and turning [rad/m] (3, n) under one parameter.

    It solves J u = -dF/dp with J and dF/dp as series, so it comes with all derivatives a pose has.
    The parameter may move body points and nothing else. ValueError without derivatives.
    """
    structure, inverse = motion.frame.structure, motion.inverse
    if inverse is None:
        raise ValueError("the motion has no derivatives")
    k, d = motion.used.size, motion.lifts
    _, _, lever, force = _residual(motion)
    moment = wrench_moment(lever, force)
    push = motion.frame.reference.shift[parameter][:, structure.anchor][..., None]
    drive = dot(force, constant(push, k, d))  # minus dF/dp
    columns = [force[i] for i in range(3)] + [moment[i] for i in range(3)]
    if drive.second is None:
        raise ValueError("the motion has no second derivatives")

    def matrix(pick: str) -> Array:
        lead = {"value": 0, "first": 1, "second": 2}[pick]
        stacked = np.stack([getattr(one, pick) for one in columns], axis=lead + 1)
        return _sum(structure.summed, stacked, lead)

    J1, J2 = matrix("first"), matrix("second")
    u = np.einsum("cen,en->cn", inverse, _sum(structure.summed, drive.value, 0))
    right = _sum(structure.summed, drive.first, 1) - np.einsum("kecn,cn->ken", J1, u)
    du = np.einsum("cen,ken->kcn", inverse, right)
    right = _sum(structure.summed, drive.second, 2) - np.einsum("ikecn,cn->iken", J2, u)
    right = right - np.einsum("iecn,kcn->iken", J1[:d], du)
    right -= np.einsum("kecn,icn->iken", J1, du[:d])
    ddu = np.einsum("cen,iken->ikcn", inverse, right)
    return (
        Series(u[:3], du[:, :3], ddu[:, :, :3]),
        Series(u[3:6], du[:, 3:6], ddu[:, :, 3:6]),
    )
