"""Balance: how the load goes forward, how much grip each axle asks for, which locks first.

Decelerations z are in units of gravity, forces in N. Front and rear are places 0 and 1 of the last axis.

Source: UN Regulation No. 13-H, Annex 5 (distribution of braking among the axles), from memory: the
adhesion used f1 = T1 / (P1 + z h/E P g), f2 = T2 / (P2 - z h/E P g); z >= 0.1 + 0.7 (k - 0.2) for k from
0.2 to 0.8; the rear curve not above the front one for z from 0.15 to 0.8. Amendments differ in wording:
the one in force where the car is used counts. Proof: tests/outside/test_un_r13h.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

ADHESION = (0.2, 0.8)
"""Range of k in which the regulation asks for a braking rate (Annex 5, from memory)."""
ORDER = (0.15, 0.8)
"""Braking rates z between which the rear axle may not use more grip than the front (Annex 5, from memory)."""
TYPE_0 = 6.43
"""Mean fully developed deceleration [m/s2] asked for at 65 to 500 N on the pedal (Annex 3, from memory)."""
SECONDARY = 2.44
"""The same with one circuit failed [m/s2] (Annex 3, secondary braking, from memory)."""
MOST_PEDAL = 500.0
LEAST_PEDAL = 65.0
"""Pedal force [N] of those tests (Annex 3, from memory)."""
PARKING_GRADE = 0.20
"""Slope that the parking brake holds, up and down (Annex 3, from memory)."""
MOST_HAND = 400.0
"""Hand force [N] with which it must (Annex 3, from memory)."""


@dataclass(frozen=True)
class Loading:
    """How the car stands: weight [N], share of it in front [1], CG height and wheelbase [m]."""

    weight: float
    front: float
    cg_height: float
    wheelbase: float

    def axle_loads(self, z: ArrayLike) -> Array:
        """Loads [N] (..., 2) of front and rear axle at these decelerations."""
        z = np.asarray(z, dtype=float)
        moved = z * self.weight * self.cg_height / self.wheelbase
        return np.stack([self.front * self.weight + moved, (1.0 - self.front) * self.weight - moved], axis=-1)

    def ideal(self, z: ArrayLike) -> Array:
        """Brake forces [N] (..., 2) with which both axles use the grip z."""
        z = np.asarray(z, dtype=float)
        return np.asarray(z[..., None] * self.axle_loads(z))

    def ideal_share(self, z: ArrayLike) -> Array:
        """Share [1] of the brake force in front with which both axles use the same grip."""
        return np.asarray(self.front + np.asarray(z, dtype=float) * self.cg_height / self.wheelbase)

    def alone(self, axle: int, grip: float) -> float:
        """Most deceleration that one axle (0 front, 1 rear) braking alone gives on this grip."""
        height = self.cg_height / self.wheelbase
        if axle == 1:
            return grip * (1.0 - self.front) / (1.0 + grip * height)
        return grip * self.front / (1.0 - grip * height) if grip * height < 1.0 else float("inf")

    def rate(self, forces: ArrayLike) -> Array:
        """Deceleration (...) that these brake forces [N] (..., 2) give."""
        return np.asarray(np.asarray(forces, dtype=float).sum(axis=-1) / self.weight)

    def adhesion_used(self, forces: ArrayLike) -> Array:
        """Grip (..., 2) that each axle uses with these brake forces [N] (..., 2); inf where it carries nothing."""
        forces = np.asarray(forces, dtype=float)
        loads = self.axle_loads(self.rate(forces))
        firm = loads > 1e-9 * self.weight
        return np.asarray(np.where(firm, forces / np.where(firm, loads, 1.0), np.inf))

    def plus(self, mass: float, gravity: float, back: float, height: float) -> Loading:
        """With one more mass [kg] (or, below zero, one less), `back` [m] behind the front axle."""
        weight = self.weight + mass * gravity
        rear = (1.0 - self.front) * self.weight + mass * gravity * back / self.wheelbase
        lift = (self.weight * self.cg_height + mass * gravity * height) / weight
        return Loading(weight, 1.0 - rear / weight, lift, self.wheelbase)


def least_rate(k: ArrayLike) -> Array:
    """Least braking rate z the regulation asks for at adhesion k, 0.2 to 0.8; nan outside."""
    k = np.asarray(k, dtype=float)
    low, high = ADHESION
    return np.where((k >= low - 1e-12) & (k <= high + 1e-12), 0.1 + 0.7 * (k - 0.2), np.nan)


def most_adhesion(z: ArrayLike) -> Array:
    """Most adhesion k that may be used at rate z: the limit solved for k; nan where k leaves 0.2 to 0.8."""
    k = 0.2 + (np.asarray(z, dtype=float) - 0.1) / 0.7
    low, high = ADHESION
    return np.where((k >= low - 1e-12) & (k <= high + 1e-12), k, np.nan)


@dataclass(frozen=True)
class Crossing:
    """Where the order of locking changes: from this deceleration on `first` locks first."""

    z: float
    first: int
    """0 front, 1 rear."""


def lock_order(z: Array, used: Array) -> tuple[int, tuple[Crossing, ...]]:
    """Which axle locks first at the least deceleration, and where that changes.

    z (n,) rising, used (n, 2). Places are found between samples on straight lines; equal use counts as
    the front, the safe one.
    """
    ahead = used[:, 1] - used[:, 0]
    ahead = np.where(np.isfinite(ahead), ahead, np.inf)
    rear = ahead > 1e-12
    crossings = []
    for k in np.flatnonzero(rear[1:] != rear[:-1]):
        a, b = ahead[k], ahead[k + 1]
        part = 1.0 if not np.isfinite(b - a) or b == a else float(np.clip(-a / (b - a), 0.0, 1.0))
        crossings.append(Crossing(float(z[k] + part * (z[k + 1] - z[k])), int(rear[k + 1])))
    return int(rear[0]), tuple(crossings)


@dataclass(frozen=True)
class AnnexFive:
    """What the regulation's two rules say of a pair of curves."""

    rate_kept: bool
    """z >= 0.1 + 0.7 (k - 0.2) for the axle that uses more."""
    order_kept: bool
    worst_rate: float
    """Braking rate at which the least is left to the limit."""
    margin: float
    """What is left there, in adhesion; below zero: over the limit."""
    rear_over_from: float | None
    """Least braking rate inside 0.15 to 0.8 at which the rear axle uses more."""


def annex_five(z: Array, used: Array) -> AnnexFive:
    """Hold curves against the regulation; z (n,) rising, used (n, 2).

    The margin is that of the places given; infinite where none of them uses 0.2 to 0.8, so that nothing is held.
    """
    worst = used.max(axis=1)
    inside = (worst >= ADHESION[0]) & (worst <= ADHESION[1])
    left = np.where(inside, 0.2 + (z - 0.1) / 0.7 - worst, np.inf)
    at = int(np.argmin(left))
    margin = float(left[at])
    over = rear_first_from(z, used, ORDER)
    return AnnexFive(margin >= -1e-12, over is None, float(z[at]), margin, over)


def rear_first_from(z: Array, used: Array, within: tuple[float, float] = (0.0, np.inf)) -> float | None:
    """Least deceleration inside these bounds at which the rear axle locks first; None where there is none."""
    first, crossings = lock_order(z, used)
    starts = [Crossing(float(z[0]), first), *crossings]
    ends = [*(one.z for one in crossings), float(z[-1])]
    for one, end in zip(starts, ends, strict=True):
        low, high = max(one.z, within[0]), min(end, within[1])
        if one.first == 1 and low < high - 1e-9:
            return low
    return None


def holding_grade(force: ArrayLike, weight: float) -> Array:
    """Slope (rise over run) that a brake force [N] at the wheels holds; inf where it holds any."""
    share = np.asarray(force, dtype=float) / weight
    below = share < 1.0
    return np.asarray(np.where(below, share / np.sqrt(1.0 - np.where(below, share, 0.0) ** 2), np.inf))


def parking_grip(grade: float, loading: Loading, facing_up: bool) -> float:
    """Grip that a rear parking brake needs to hold a slope (rise over run), rear wheels alone.

    Facing uphill the load goes to the rear wheels, facing downhill off them. inf where they carry nothing.
    """
    angle = np.arctan(grade)
    moved = loading.cg_height / loading.wheelbase * np.sin(angle)
    rear = (1.0 - loading.front) * np.cos(angle) + (moved if facing_up else -moved)
    return float(np.sin(angle) / rear) if rear > 0 else float("inf")
