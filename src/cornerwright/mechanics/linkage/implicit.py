"""Derivatives of a closed pose: the implicit function theorem, to second order.

The equations F(q, p) = 0 hold for every value of the parameters p (lifts, adjusters, rack), so

    F_q q_i  = -F_i
    F_q q_ij = -(F_qq q_i q_j + F_qi q_j + F_qj q_i + F_ij)

with one factored Jacobian. The coordinates q are the place, a rotation vector from the solved pose,
and the twist; the right sides come from the equations evaluated as series (see `series`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import Closure, Frame, Posture
from cornerwright.mechanics.linkage.motion import Motion
from cornerwright.mechanics.linkage.series import Series
from cornerwright.mechanics.linkage.structure import total

Array = NDArray[np.float64]
Index = NDArray[np.intp]


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
    structure = frame.structure
    n, k, d = closure.residual.shape[1], used.size, lifts
    each = np.linalg.inv(closure.jacobian.transpose(2, 0, 1))
    inverse: Array = np.ascontiguousarray(each.transpose(1, 2, 0), dtype=np.float64)

    def motion(q: Array, bend: Array) -> Motion:
        return Motion(
            frame,
            posture,
            parameters,
            used,
            d,
            Series(posture.place, q[:, :3], bend[:, :, :3]),
            Series(np.zeros((3, n)), q[:, 3:6], bend[:, :, 3:6]),
            Series(posture.twist, q[:, 6], bend[:, :, 6])
            if q.shape[1] > 6
            else Series(posture.twist, np.zeros((k, 1)), np.zeros((d, k, 1))),
            inverse,
        )

    count = structure.coordinates
    straight = np.zeros((d, k, count, 1))
    partial = total(structure, _partial(frame, posture, closure, parameters, used), 1)
    q = -np.einsum("cen,ken->kcn", inverse, partial)
    bowed = total(structure, _second(motion(q, straight), closure), 2)
    return motion(q, -np.einsum("cen,iken->ikcn", inverse, bowed))


def _partial(frame: Frame, posture: Posture, closure: Closure, parameters: Array, used: Index) -> Array:
    """Change (k, E, n) of the simple equations with the parameters, the carrier held still."""
    structure, reference = frame.structure, frame.reference
    rods = structure.rods
    gap = -reference.shift[used][:, :, structure.anchor][..., None]
    moves = reference.shift[used][:, :, structure.held]
    if moves.any():
        own = moves[..., None]
        if frame.share is not None:
            still = Series(posture.twist, np.zeros((used.size, 1)), None)
            none = Series(np.zeros((3, 1)), np.zeros((used.size, 3, 1)), None)
            at_rest = Motion(frame, posture, parameters, used, 0, none, none, still)
            gap = gap + at_rest.carrier_arms(structure.held).first
        else:
            gap = gap + np.einsum("xyn,kyen->kxen", posture.turn, own)
    change = np.einsum("xen,kxen->ken", closure.force, gap)
    change[:, :rods] -= reference.lengthen[used, :rods][..., None]
    if reference.redirect[used].any():
        along = reference.redirect[used]
        body = slice(rods, rods + structure.across)
        carrier = slice(rods + structure.across, None)
        change[:, body] += np.einsum("kxen,xen->ken", along[:, :, : structure.across], closure.gap[:, body])
        turned = np.einsum("xyn,kyen->kxen", posture.turn, along[:, :, structure.across :])
        change[:, carrier] -= np.einsum("kxen,xen->ken", turned, closure.gap[:, carrier])
    return np.asarray(change)


def _second(motion: Motion, closure: Closure) -> Array:
    """Second change (d, k, E, n) of the simple equations along the first derivatives of the pose."""
    structure, reference = motion.frame.structure, motion.frame.reference
    rods, across, d, used = structure.rods, structure.across, motion.lifts, motion.used
    arm = motion.carrier_arms(structure.held)
    if arm.second is None:
        raise ValueError("the motion has no second derivatives")
    anchor = reference.shift[used][:, :, structure.anchor][..., None]
    rate = arm.first + motion.place.first[:, :, None] - anchor
    change = np.einsum("xen,ikxen->iken", closure.force, arm.second)

    length = reference.lengths[:rods] + reference.lengthen[:, :rods].T @ motion.parameters
    along = rate[:, :, :rods]
    square = np.einsum("ixen,kxen->iken", along[:d], along)
    growth = reference.lengthen[used, :rods]
    if growth.any():
        square = square - (growth[:d, None] * growth)[..., None]
    change[:, :, :rods] += square / length

    redirect = reference.redirect[used] if reference.redirect[used].any() else None
    if redirect is not None:
        body = slice(rods, rods + across)
        turn = redirect[:, :, :across]
        change[:, :, body] += np.einsum("ixen,kxen->iken", turn[:d], rate[:, :, body])
        change[:, :, body] += np.einsum("kxen,ixen->iken", turn, rate[:d, :, body])
    if rods + across < structure.held.size:
        own = slice(rods + across, None)
        direction = reference.directions[:, across:]
        if reference.redirect.any():
            direction = direction + np.einsum("kxen,kn->xen", reference.redirect[:, :, across:], motion.parameters)
        turned = motion.carried(direction, None if redirect is None else redirect[:, :, across:], None)
        change[:, :, own] -= np.einsum("ixen,kxen->iken", turned.first[:d], rate[:, :, own])
        change[:, :, own] -= np.einsum("kxen,ixen->iken", turned.first, rate[:d, :, own])
        if turned.second is not None:
            change[:, :, own] -= np.einsum("ikxen,xen->iken", turned.second, closure.gap[:, own])
    return np.asarray(change)
