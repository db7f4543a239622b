"""Where the car of seven degrees of freedom stands on level ground, and how it hangs in the air."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.ride_car import RideCar

Array = NDArray[np.float64]

AT_REST = 1e-6
"""[N], largest unbalanced force of a car at rest."""


@dataclass(frozen=True, eq=False)
class Rest:
    """A car at rest on level ground: q (7,), lift (4,) [m], load (4,) [N], stiffness (7, 7), verdict."""

    q: Array
    lift: Array
    load: Array
    stiffness: Array
    residual: float
    verdict: Literal["stands", "stalled"]


def rest(car: RideCar) -> Rest:
    """Where the car stands on level ground: the least of its energy, by Newton with a search along each step."""
    q = np.zeros(7)
    residual = np.inf
    for _ in range(200):
        energy, pull, stiff = _level(car, q)
        residual = float(np.abs(pull).max())
        if residual < AT_REST:
            break
        # A little stiffness everywhere lets a car with its wheels in the air fall onto them.
        step = np.linalg.solve(stiff + 300.0 * np.eye(7), pull)
        step *= min(1.0, 0.1 / np.abs(step).max())
        share = 1.0
        full = q + np.linalg.solve(stiff + 1e-3 * np.eye(7), pull)
        if np.abs(full - q).max() < 0.1 and _level(car, full)[0] <= energy:
            q = full
            continue
        while share > 1e-6 and _level(car, q + share * step)[0] > energy:
            share /= 2.0
        q = q + share * step
    _, _, stiff = _level(car, q)
    lift = car.reach @ q
    load = car.tyre_rate * np.maximum(-(q[3:] + car.tyre_gap), 0.0)
    stands = residual < AT_REST and bool((load > 0.0).sum() >= 3)
    return Rest(q, lift, load, stiff, residual, "stands" if stands else "stalled")


def _level(car: RideCar, q: Array) -> tuple[float, Array, Array]:
    """Energy [J], unbalanced force (7,) and stiffness (7, 7) on level ground."""
    lift = car.reach @ q
    force, rate, energy = car.static(lift)
    twist = np.array([lift[0] - lift[1], lift[2] - lift[3]]) - car.bar_offset
    squeeze = -(q[3:] + car.tyre_gap)
    load = car.tyre_rate * np.maximum(squeeze, 0.0)
    store = energy.sum() + 0.5 * (car.bar_rate * twist**2).sum() + 0.5 * (load * np.maximum(squeeze, 0.0)).sum()
    pull = car.weight - car.reach.T @ (force + car.bars(lift))
    pull[3:] += load
    return float(store - car.weight @ q), pull, stiffness(car, rate, squeeze > 0.0)


def stiffness(car: RideCar, rate: Array, grounded: NDArray[np.bool_]) -> Array:
    """Stiffness (7, 7) with these rates (4,) [N/m] along the lifts, tyres on the ground or not (4,)."""
    along = np.diag(rate)
    for axle in (0, 1):
        left, right = 2 * axle, 2 * axle + 1
        along[[left, right], [left, right]] += car.bar_rate[axle]
        along[[left, right], [right, left]] -= car.bar_rate[axle]
    whole = car.reach.T @ along @ car.reach
    whole[3:, 3:] += np.diag(np.where(grounded, car.tyre_rate, 0.0))
    return np.asarray(whole)


def hanging(car: RideCar) -> Array:
    """Coordinates (7,) of a car in the air, level and without weight, its lowest tyre just touching level ground.

    Each wheel hangs where springs, gas and stops leave no force, as after a while of free fall; bars are level.
    """
    lift = np.empty(4)
    grid = car.first_lift + np.arange(car.force.shape[-1]) * car.lift_step
    for c in range(4):
        force = car.force[c]
        below = int(np.searchsorted(force, 0.0, side="right")) - 1
        below = min(max(below, 0), grid.size - 2)
        slope = (force[below + 1] - force[below]) / car.lift_step
        # A loose corner has no force over a stretch: then the lift where it begins to be pushed.
        lift[c] = grid[below] if slope <= 0.0 else grid[below] - force[below] / slope
    up = float((-car.tyre_gap - lift).max())
    return np.array([up, 0.0, 0.0, *(lift + up)])
