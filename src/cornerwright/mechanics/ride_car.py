"""The car that is driven over a road, as numbers: masses, tyres, forces along the lift, dampers."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.springs import STANDARD_GRAVITY

Array = NDArray[np.float64]

CREEP = 0.005
"""Damper speed [m/s] at which friction has come to 76 % of itself (our own choice: it turns within a few mm/s)."""
FALL = 2000.0
"""[N/m]; by so much the force of a loose corner may fall as the wheel rises, where gas pushes on a changing lever."""
_FIRST = np.arange(4)


@dataclass(frozen=True, eq=False)
class RideCar:
    """A car for the road. Places (4,) are front left, front right, rear left, rear right.

    body_mass [kg]; pitch_inertia, roll_inertia [kg m2] of the body about its own centre of gravity; x, y (4,) [m]
    of the wheels from there, forward and left; unsprung (4,) [kg]; tyre_rate (4,) [N/m], tyre_damping (4,) [N s/m];
    tyre_gap (4,) [m]: wheel centre over the ground less the tyre's free radius, at the reference pose;
    bar_rate (2,) [N/m] of lift difference, bar_offset (2,) [m];
    first_lift, lift_step [m]: the grid of lifts of the two tables; force (4, K) [N]: along the lift at the wheel,
    positive pushes body and wheel apart; damper (4, K) [m]: damper length;
    damper_speed [m/s], damper_force [N] (4, J): the curve, speed positive in bump, force positive where it resists
    bump, through 0, 0, ascending; its last slopes go on. friction (4,) [N] at the damper.
    """

    body_mass: float
    pitch_inertia: float
    roll_inertia: float
    x: Array
    y: Array
    unsprung: Array
    tyre_rate: Array
    tyre_damping: Array
    tyre_gap: Array
    bar_rate: Array
    bar_offset: Array
    first_lift: float
    lift_step: float
    force: Array
    damper: Array
    damper_speed: Array
    damper_force: Array
    friction: Array
    rows: Array = field(init=False, repr=False)
    """(4 (K - 1), 8): force, damper length per lift, damper length, energy where a cell begins; their slopes."""
    hinge: Array = field(init=False, repr=False)
    """(4, J - 1): the damper curve's first slope, then by how much it changes at each knot."""
    _reach: Array = field(init=False, repr=False)
    _mass: Array = field(init=False, repr=False)

    def __post_init__(self) -> None:
        masses = np.array([self.body_mass, self.pitch_inertia, self.roll_inertia, *self.unsprung])
        if not ((masses > 0.0) & np.isfinite(masses)).all():
            raise ValueError("masses and moments of inertia must be positive")
        if not ((self.tyre_rate > 0.0).all() and (self.tyre_damping >= 0.0).all() and (self.friction >= 0.0).all()):
            raise ValueError("tyres need a rate above zero; damping and friction are zero or more")
        if self.force.shape != self.damper.shape or self.force.shape[-1] < 3 or self.lift_step <= 0.0:
            raise ValueError("force and damper length are tabled over one ascending grid of lifts")
        if (np.diff(self.force) < -FALL * self.lift_step).any():
            raise ValueError("the force at the wheel must not fall as the wheel rises")
        speed, force = self.damper_speed, self.damper_force
        if (np.diff(speed) <= 0.0).any() or (np.diff(force) < 0.0).any() or (speed * force < 0.0).any():
            raise ValueError("a damper's curve must ascend in speed and not fall in force, and only resist")
        ratio = np.gradient(self.damper, self.lift_step, axis=-1)
        push = -np.cumsum((self.force[:, 1:] + self.force[:, :-1]) / 2.0, axis=-1) * self.lift_step
        energy = -np.concatenate([np.zeros((4, 1)), push], axis=-1)
        tables = (self.force, ratio, self.damper, energy)
        rows = [part[:, :-1] for part in tables] + [np.diff(part) / self.lift_step for part in tables]
        object.__setattr__(self, "rows", np.stack(rows, axis=-1).reshape(-1, 8))
        slope = np.diff(force) / np.diff(speed)
        hinge = np.concatenate([slope[:, :1], np.diff(slope, axis=-1)], axis=-1)
        object.__setattr__(self, "hinge", hinge)
        body = np.stack([-np.ones(4), self.x, -self.y], axis=-1)
        object.__setattr__(self, "_reach", np.concatenate([body, np.eye(4)], axis=-1))
        object.__setattr__(self, "_mass", masses)

    @property
    def reach(self) -> Array:
        """(4, 7) lift per unit of each coordinate: heave, pitch, roll, four wheels."""
        return self._reach

    @property
    def mass(self) -> Array:
        """(7,) mass or moment of inertia of each coordinate."""
        return self._mass

    @property
    def weight(self) -> Array:
        """(7,) [N] gravity along each coordinate."""
        pull = np.array([self.body_mass, 0.0, 0.0, *self.unsprung])
        return np.asarray(-STANDARD_GRAVITY * pull)

    def look(self, lift: Array) -> tuple[Array, Array]:
        """Where in the tables lifts (..., 4) [m] fall: rows (..., 4, 8) and what is left over (..., 4)."""
        place = (lift - self.first_lift) / self.lift_step
        cell = np.clip(np.floor(place), 0, self.force.shape[-1] - 2).astype(np.intp)
        rows = self.rows.take(cell + _FIRST * (self.force.shape[-1] - 1), axis=0)
        return rows, np.asarray((place - cell) * self.lift_step)

    def damping(self, speed: Array) -> Array:
        """Force [N] of the dampers at these speeds (..., 4) [m/s] of their own, friction and all."""
        knots = self.damper_speed
        out = self.hinge[:, 0] * (speed - knots[:, 0]) + self.damper_force[:, 0]
        for j in range(1, self.hinge.shape[-1]):
            out = out + self.hinge[:, j] * np.maximum(speed - knots[:, j], 0.0)
        return np.asarray(out + self.friction * np.tanh(speed / CREEP))

    def static(self, lift: Array) -> tuple[Array, Array, Array]:
        """Force [N] at the wheel, its rate [N/m] and stored energy [J] at lifts (..., 4)."""
        rows, run = self.look(lift)
        force = rows[..., 0] + run * rows[..., 4]
        return force, rows[..., 4], rows[..., 3] + run * (rows[..., 0] + 0.5 * run * rows[..., 4])

    def damper_length(self, lift: Array) -> Array:
        """Damper length (..., 4) [m] at lifts (..., 4)."""
        rows, run = self.look(lift)
        return np.asarray(rows[..., 2] + run * rows[..., 6])

    def damper_ratio(self, lift: Array) -> Array:
        """Damper length change per lift (..., 4) [1]."""
        rows, run = self.look(lift)
        return np.asarray(rows[..., 1] + run * rows[..., 5])

    def bars(self, lift: Array) -> Array:
        """Force [N] at the wheels (..., 4) of the bars."""
        twist = np.stack([lift[..., 0] - lift[..., 1], lift[..., 2] - lift[..., 3]], axis=-1) - self.bar_offset
        pull = self.bar_rate * twist
        return np.stack([pull[..., 0], -pull[..., 0], pull[..., 1], -pull[..., 1]], axis=-1)
