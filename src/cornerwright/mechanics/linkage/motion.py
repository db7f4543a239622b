"""A pose with its derivatives: where everything fixed in the carrier stands, and how that changes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import Frame, Posture, twisted
from cornerwright.mechanics.linkage.rotation import cross, skew
from cornerwright.mechanics.linkage.series import Series

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
        return int(self.posture.place.shape[-1])

    @cached_property
    def spins(self) -> Array:
        """Matrices (k, 3, 3, n) of the turning by each parameter."""
        return skew(self.turning.first.transpose(1, 0, 2)).transpose(2, 0, 1, 3)

    @cached_property
    def bends(self) -> Array:
        """Second derivatives (d, k, 3, 3, n) of the rotation, from this pose."""
        W, d = self.spins, self.lifts
        product = np.einsum("ixyn,kyzn->ikxzn", W[:d], W)
        bends = 0.5 * (product + np.einsum("kxyn,iyzn->ikxzn", W, W[:d]))
        if self.turning.second is not None and self.turning.second.any():
            bends += skew(self.turning.second.transpose(2, 0, 1, 3)).transpose(2, 3, 0, 1, 4)
        return np.asarray(bends)

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
        first = None
        if shift.any():
            own = own + np.einsum("kxp,kn->xpn", shift, self.parameters)
            if shift[self.used].any():
                first = shift[self.used][..., None]
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
        value = np.einsum("xyn,ypn->xpn", turn, own)
        W = self.spins
        rate = np.einsum("kxyn,ypn->kxpn", W, value)
        grown = None
        if first is not None:
            grown = np.einsum("xyn,kypn->kxpn", turn, first)
        if not order or self.turning.second is None:
            return Series(value, rate if grown is None else rate + grown, None)
        d = self.lifts
        second = np.einsum("ikxyn,ypn->ikxpn", self.bends, value)
        if grown is not None:
            second += np.einsum("ixyn,kypn->ikxpn", W[:d], grown)
            second += np.einsum("kxyn,iypn->ikxpn", W, grown[:d])
            rate = rate + grown
        if bend is not None:
            second += np.einsum("xyn,ikypn->ikxpn", turn, bend)
        return Series(value, rate, second)

    def _bent(self, own: Array, first: Array | None, share: Array, free: bool) -> tuple[Array, Array, Array | None]:
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
