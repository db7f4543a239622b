"""How the carrier turns: its angular velocity, and the axis it turns about when the rack moves."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.motion import Motion
from cornerwright.mechanics.linkage.rotation import cross
from cornerwright.mechanics.linkage.series import Series, constant, derivative, dot
from cornerwright.mechanics.linkage.series import cross as product
from cornerwright.mechanics.linkage.structure import total

Array = NDArray[np.float64]


def turning_rate(motion: Motion, along: Array) -> Series:
    """Angular velocity (3, n) [rad/m] of the carrier along a direction of the lifts (d,).

    Its change with parameter j has, beside the second derivative of the rotation vector, half the
    vector product of the two turnings: rotations do not add.
    """
    turning = motion.turning
    rate = derivative(turning, along)
    twirl = cross(turning.first.transpose(1, 0, 2), rate.value[:, None]).transpose(1, 0, 2)
    return Series(rate.value, rate.first + 0.5 * twirl, None)


def turning_under(motion: Motion, parameter: int) -> tuple[Series, Series]:
    """Velocity of the carrier's place [m/m] and turning [rad/m] (3, n) under one parameter.

    It solves J u = -dF/dp with J and dF/dp as series, so it comes with all derivatives a pose has.
    The parameter may move body points and nothing else. ValueError without derivatives.
    """
    structure, inverse = motion.frame.structure, motion.inverse
    if inverse is None:
        raise ValueError("the motion has no derivatives")
    k, d = motion.used.size, motion.lifts
    lever, force = _wrenches(motion)
    moment = product(lever, force)
    push = motion.frame.reference.shift[parameter][:, structure.anchor][..., None]
    drive = dot(force, constant(push, k, d))  # minus dF/dp
    columns = [force[i] for i in range(3)] + [moment[i] for i in range(3)]
    if drive.second is None:
        raise ValueError("the motion has no second derivatives")

    def matrix(pick: str) -> Array:
        lead = {"value": 0, "first": 1, "second": 2}[pick]
        stacked = np.stack([getattr(one, pick) for one in columns], axis=lead + 1)
        return total(structure, stacked, lead)

    J1, J2 = matrix("first"), matrix("second")
    u = np.einsum("cen,en->cn", inverse, total(structure, drive.value, 0))
    right = total(structure, drive.first, 1) - np.einsum("kecn,cn->ken", J1, u)
    du = np.einsum("cen,ken->kcn", inverse, right)
    right = total(structure, drive.second, 2) - np.einsum("ikecn,cn->iken", J2, u)
    right = right - np.einsum("iecn,kcn->iken", J1[:d], du)
    right -= np.einsum("kecn,icn->iken", J1, du[:d])
    ddu = np.einsum("cen,iken->ikcn", inverse, right)
    return (
        Series(u[:3], du[:, :3], ddu[:, :, :3]),
        Series(u[3:6], du[:, 3:6], ddu[:, :, 3:6]),
    )


def _wrenches(motion: Motion) -> tuple[Series, Series]:
    """Levers and forces (3, E, n) of the simple equations, as series."""
    frame, structure = motion.frame, motion.frame.structure
    reference = frame.reference
    rods, across = structure.rods, structure.across
    n, k, d = motion.n, motion.used.size, motion.lifts
    arm = motion.carrier_arms(structure.held)
    anchor = motion.body_points(structure.anchor)
    place = motion.place
    gap_second = None if arm.second is None or place.second is None else arm.second + place.second[:, :, :, None]
    gap = Series(
        arm.value + place.value[:, None] - anchor.value,
        arm.first + place.first[:, :, None] - anchor.first,
        gap_second,
    )
    length = reference.lengths[:rods] + reference.lengthen[:, :rods].T @ motion.parameters
    growth = reference.lengthen[motion.used, :rods][..., None]
    along = gap.at(slice(0, rods))
    held = Series(length, growth, np.zeros((d, k, 1, 1)))
    force = [along * held.reciprocal().along()]

    direction, redirect = reference.directions, None
    if reference.redirect.any():
        direction = direction + np.einsum("kxdn,kn->xdn", reference.redirect, motion.parameters)
        redirect = reference.redirect[motion.used]
    fixed = constant(direction[:, :across], k, d)
    if redirect is not None:
        fixed = Series(fixed.value, redirect[:, :, :across], fixed.second)
    force.append(fixed)
    lever = arm
    if rods + across < structure.held.size:
        own = slice(rods + across, None)
        own_first = None if redirect is None else redirect[:, :, across:]
        turned = -motion.carried(direction[:, across:], own_first, None)
        force.append(turned)
        lever = _joined([arm.at(slice(0, rods + across)), arm.at(own) - gap.at(own)], n, 1)
    return lever, _joined(force, n, 1)


def _joined(parts: list[Series], n: int, axis: int) -> Series:
    """Series side by side along an axis of their values, all spread to n poses."""
    head = parts[0]
    k = max(part.first.shape[0] for part in parts)

    def spread(a: Array, lead: int, like: tuple[int, ...]) -> Array:
        return np.broadcast_to(a, (*a.shape[:lead], *like[:-1], n))

    shapes = [part.value.shape for part in parts]
    value = np.concatenate([spread(p.value, 0, s) for p, s in zip(parts, shapes, strict=True)], axis=axis)
    first = np.concatenate(
        [spread(np.broadcast_to(p.first, (k, *p.first.shape[1:])), 1, s) for p, s in zip(parts, shapes, strict=True)],
        axis=axis + 1,
    )
    if any(part.second is None for part in parts) or head.second is None:
        return Series(value, first, None)
    second = np.concatenate(
        [spread(part.second, 2, s) for part, s in zip(parts, shapes, strict=True) if part.second is not None],
        axis=axis + 2,
    )
    return Series(value, first, second)
