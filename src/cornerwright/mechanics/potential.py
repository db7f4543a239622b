"""Potential energy of a car standing on level ground, with its exact first and second derivatives.

Seven coordinates q = heave [m], pitch [rad], roll [rad] and the four lifts [m]. Height of a body
point p above the ground, the body turned by roll about +x, then pitch about +y (axes and signs of
ISO 8855; pitch positive = nose down, roll positive = left side up):

    z = heave + (-sin(pitch), cos(pitch) sin(roll), cos(pitch) cos(roll)) . p

The energy is the sum over body and wheels of weight times height, over springs and dampers of what
their force laws store, K/2 (lift_left - lift_right - offset)^2 of the anti-roll bars,
k/2 (lift - clamped lift)^2 of the rubber bushes and k/2 max(0, radius - height)^2 of the tyres,
which push but never pull (elementary statics: a force is minus the slope of the energy). The
ground is frictionless: the car has been rolled, or stands on slip plates.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Array, Kinematics, Linkages
from cornerwright.mechanics.springs import STANDARD_GRAVITY

Rows = NDArray[np.bool_]

GRAVITY = STANDARD_GRAVITY

_SAME = np.eye(4)
_SQUARE = np.array([[0, 1], [1, 2]])  # where pitch-pitch, pitch-roll and roll-roll go
_ARRAYS = (
    "seat_offset",
    "body_offset",
    "lift_rate",
    "lift_force",
    "weight",
    "body_cg",
    "centre_height",
    "tyre_radius",
    "tyre_rate",
    "per_length",
)


@dataclass(frozen=True)
class StanceInputs:
    """All that decides the stance of n cars; a leading 1 stands for "the same in every car"."""

    kinematics: Linkages  # lifts (n, 4) -> Kinematics
    spring_law: ForceLaw  # (n|1, 4, K)
    damper_law: ForceLaw  # (n|1, 4, K)
    seat_offset: Array  # (n|1, 4) [m] spring length = kinematics.spring - seat_offset
    body_offset: Array  # (n|1, 4) [m] damper law's argument = kinematics.damper - body_offset
    bar_rate: Array  # (n|1, 2) front, rear [N/m of lift difference], 0 = loose
    bar_offset: Array  # (n|1, 2) [m] lift left - right at which the bar has no preload
    bush_rate: Array  # (n|1, 4) [N/m of lift]
    bush_lift: Array  # (n|1, 4) [m] lift at which the bushes were clamped
    body_mass: Array  # (n|1,) [kg] sprung
    body_cg: Array  # (n|1, 3) [m] body axes
    unsprung_mass: Array  # (n|1, 4) [kg] at the wheel centres
    centre_height: Array  # (n|1, 4) [m] wheel centre above ground at the reference pose
    tyre_radius: Array  # (n|1, 4) [m] free radius
    tyre_rate: Array  # (n|1, 4) [N/m], force = rate * max(0, radius - height of wheel centre)


def turns(angles: Array, per_length: Array | float = 1.0) -> Array:
    """Third row of the rotation matrix and its derivatives, (n, 6, 3), for angles (n, 2) [rad].

    Rows: the row itself; d/dpitch; d/droll; d2/dpitch2; d2/dpitch droll; d2/droll2. With per_length
    (n|1,) [1/m] the derivatives are per metre of angle / per_length.
    """
    sine, cosine = np.sin(angles), np.cos(angles)
    sp, sr, cp, cr = sine[:, 0], sine[:, 1], cosine[:, 0], cosine[:, 1]
    k = per_length
    y, z = cp * sr, cp * cr
    turn = np.zeros((angles.shape[0], 6, 3))
    turn[:, 0, 0] = -sp
    turn[:, 0, 1] = y
    turn[:, 0, 2] = z
    turn[:, 1, 0] = -cp * k
    turn[:, 1, 1] = -sp * sr * k
    turn[:, 1, 2] = -sp * cr * k
    turn[:, 2, 1] = z * k
    turn[:, 2, 2] = -y * k
    k2 = k * k
    turn[:, 3, 0] = sp * k2
    turn[:, 3, 1] = turn[:, 5, 1] = -y * k2
    turn[:, 3, 2] = turn[:, 5, 2] = -z * k2
    turn[:, 4, 1] = -sp * cr * k2
    turn[:, 4, 2] = sp * sr * k2
    return turn


@dataclass(frozen=True)
class Batch:
    """The inputs made ready: constants folded, angles to be measured in metres."""

    linkages: Linkages
    spring_law: ForceLaw
    damper_law: ForceLaw
    seat_offset: Array
    body_offset: Array
    lift_rate: Array  # (n|1, 4, 4) bars and bushes
    lift_force: Array  # (n|1, 4) bars and bushes at zero lift
    weight: Array  # (n|1, 5) wheels, body [N]
    body_cg: Array
    centre_height: Array
    tyre_radius: Array
    tyre_rate: Array
    per_length: Array  # (n|1,) [1/m], 1 / half the wheelbase
    whole: Array | None = None  # (N, 4) lifts of the whole batch, if the linkages want them all
    rows: NDArray[np.intp] | None = None  # which of the whole batch these are

    def kinematics(self, lifts: Array) -> Kinematics:
        """Lengths and wheel centres of these cars at lifts (n, 4) [m]."""
        if self.whole is None or self.rows is None:
            return self.linkages(lifts)
        self.whole[self.rows] = lifts
        kin, rows = self.linkages(self.whole), self.rows
        spring, damper, x, y = (j.rows(rows) for j in (kin.spring, kin.damper, kin.x, kin.y))
        return replace(kin, spring=spring, damper=damper, x=x, y=y)

    def slope_along(self, lengths: Array, change: Array, parts: Array) -> Array:
        """Slope of the energy in springs, dampers and tyres on the way, (m, n) [J].

        The lengths (n, 12) change by parts (m, n) of the change (n, 12) [m].
        """
        here = lengths + parts[:, :, None] * change
        _, spring, _ = self.spring_law.at(here[:, :, :4])
        _, damper, _ = self.damper_law.at(here[:, :, 4:8])
        tyre = self.tyre_rate * np.maximum(self.tyre_radius - here[:, :, 8:], 0.0)
        slope: Array = -(np.concatenate([spring, damper, tyre], axis=2) * change).sum(axis=2)
        return slope

    def only(self, keep: Rows, lifts: Array) -> Batch:
        """The marked cars; lifts (n, 4) of all are kept for linkages that answer for all."""
        arrays: dict[str, Any] = {name: _only(getattr(self, name), keep) for name in _ARRAYS}
        laws = _law_of(self.spring_law, keep), _law_of(self.damper_law, keep)
        part = replace(self, spring_law=laws[0], damper_law=laws[1], **arrays)
        take = getattr(self.linkages, "take", None)
        if take is not None:
            return replace(part, linkages=take(np.flatnonzero(keep)))
        whole = lifts.copy() if self.whole is None else self.whole
        rows = np.arange(lifts.shape[0]) if self.rows is None else self.rows
        return replace(part, whole=whole, rows=rows[keep])


def _only(value: Array, keep: Rows) -> Array:
    return value if value.shape[0] == 1 else value[keep]


def _law_of(law: ForceLaw, keep: Rows) -> ForceLaw:
    if law.knots.ndim < 3 or law.knots.shape[0] == 1:
        return law
    return ForceLaw(law.knots[keep], law.force[keep], law.slope_below[keep], law.slope_above[keep])


@dataclass(frozen=True)
class Point:
    """Energy and what belongs to it at one place; angles in metres."""

    kinematics: Kinematics
    energy: Array
    gradient: Array
    hessian: Array
    unrest: Array
    load: Array
    contact_rate: Array
    jacobian: Array  # (n, 12, 7) springs, dampers, wheel centre heights
    lengths: Array  # (n, 12) springs, dampers, wheel centre heights [m]
    spring: tuple[Array, Array]  # force, rate
    damper: tuple[Array, Array]


def prepare(inputs: StanceInputs, kin: Kinematics) -> Batch:
    """Fold the constants; kin gives the wheelbase, at any lifts."""
    bar, bush = inputs.bar_rate, inputs.bush_rate
    n = np.broadcast_shapes(bar.shape[:1], bush.shape[:1])[0]
    rate = np.zeros((n, 4, 4))
    corner = np.arange(4)
    rate[:, corner, corner] = bush + np.repeat(bar, 2, axis=1)
    rate[:, [0, 1, 2, 3], [1, 0, 3, 2]] = -np.repeat(bar, 2, axis=1)
    preload = bar * inputs.bar_offset
    force = -bush * inputs.bush_lift - np.stack([preload[:, 0], -preload[:, 0], preload[:, 1], -preload[:, 1]], axis=1)
    mass = (inputs.unsprung_mass, inputs.body_mass[:, None])
    n = np.broadcast_shapes(*(m.shape[:1] for m in mass))[0]
    weight = GRAVITY * np.concatenate([np.broadcast_to(m, (n, m.shape[1])) for m in mass], axis=1)
    x = kin.x.value
    wheelbase = np.abs(x[:, 0] + x[:, 1] - x[:, 2] - x[:, 3]) / 2
    return Batch(
        inputs.kinematics,
        inputs.spring_law,
        inputs.damper_law,
        inputs.seat_offset,
        inputs.body_offset,
        rate,
        force,
        weight,
        inputs.body_cg,
        inputs.centre_height,
        inputs.tyre_radius,
        inputs.tyre_rate,
        2.0 / np.where(wheelbase > 0.1, wheelbase, 2.0),
    )


def evaluate(batch: Batch, q: Array) -> Point:
    """Energy, gradient and Hessian at q (n, 7), its angles in metres."""
    n, lifts = q.shape[0], q[:, 3:]
    kin = batch.kinematics(lifts)
    spring = kin.spring.value - batch.seat_offset
    damper = kin.damper.value - batch.body_offset
    spring_energy, spring_force, spring_rate = batch.spring_law.at(spring)
    damper_energy, damper_force, damper_rate = batch.damper_law.at(damper)

    turn = turns(q[:, 1:3] * batch.per_length[:, None], batch.per_length)
    points = np.empty((n, 3, 5))  # four wheel centres and the body's centre of gravity
    points[:, 0, :4] = kin.x.value
    points[:, 1, :4] = kin.y.value
    points[:, 2, :4] = batch.centre_height + lifts
    points[:, :, 4] = batch.body_cg
    turned = turn @ points
    z = turned[:, 0] + q[:, :1]
    squeeze = batch.tyre_radius - z[:, :4]
    contact = np.where(squeeze > 0.0, batch.tyre_rate, 0.0)
    load = batch.tyre_rate * np.maximum(squeeze, 0.0)
    lift_force = (batch.lift_rate @ lifts[:, :, None])[:, :, 0]
    energy = (batch.weight * z).sum(axis=1) + (
        spring_energy + damper_energy + 0.5 * load * squeeze + lifts * (0.5 * lift_force + batch.lift_force)
    ).sum(axis=1)

    push = np.empty((n, 5))  # dE / d height of each point
    push[:] = batch.weight
    push[:, :4] -= load
    slopes = np.empty((n, 3, 4, 4))
    slopes[:, 0] = kin.x.first
    slopes[:, 1] = kin.y.first
    slopes[:, 2] = _SAME
    turned_slopes = (turn[:, :3] @ slopes.reshape(n, 3, 16)).reshape(n, 3, 4, 4)
    jacobian = np.zeros((n, 12, 7))
    jacobian[:, :4, 3:] = kin.spring.first
    jacobian[:, 4:8, 3:] = kin.damper.first
    jacobian[:, 8:, 0] = 1.0
    jacobian[:, 8:, 1:3] = turned[:, 1:3, :4].transpose(0, 2, 1)
    jacobian[:, 8:, 3:] = turned_slopes[:, 0]

    wheel_push = push[:, :4]
    forces = np.concatenate([-spring_force, -damper_force, wheel_push], axis=1)
    gradient = (forces[:, None, :] @ jacobian)[:, 0]
    gradient[:, 0] += push[:, 4]
    gradient[:, 1:3] += push[:, 4:] * turned[:, 1:3, 4]
    gradient[:, 3:] += lift_force + batch.lift_force

    rates = np.concatenate([spring_rate, damper_rate, contact], axis=1)
    hessian = jacobian.transpose(0, 2, 1) @ (rates[:, :, None] * jacobian)
    angular = (turned[:, 3:] @ push[:, :, None])[:, :, 0]
    hessian[:, 1:3, 1:3] += angular[:, _SQUARE]
    mixed = (wheel_push[:, None, None, :] @ turned_slopes[:, 1:])[:, :, 0]
    hessian[:, 1:3, 3:] += mixed
    hessian[:, 3:, 1:3] += mixed.transpose(0, 2, 1)
    bending = np.concatenate([forces[:, :8], wheel_push * turn[:, 0, :1], wheel_push * turn[:, 0, 1:2]], axis=1)
    second = np.concatenate([kin.spring.second, kin.damper.second, kin.x.second, kin.y.second], axis=1)
    hessian[:, 3:, 3:] += batch.lift_rate + (bending[:, None] @ second.reshape(n, 16, 16)).reshape(n, 4, 4)

    return Point(
        kin,
        energy,
        gradient,
        hessian,
        np.abs(gradient).max(axis=1),
        load,
        contact,
        jacobian,
        np.concatenate([spring, damper, z[:, :4]], axis=1),
        (spring_force, spring_rate),
        (damper_force, damper_rate),
    )


def first_guess(batch: Batch, n: int) -> Array:
    """All lifts zero, body level, the tyres carrying the whole weight."""
    q = np.zeros((n, 7))
    sunk = batch.weight.sum(axis=1) / batch.tyre_rate.sum(axis=1)
    q[:, 0] = (batch.tyre_radius - batch.centre_height).mean(axis=1) - sunk
    return q
