"""The ride step by step in plain NumPy: what the compiled steps are held against, and what runs without them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.ride_car import CREEP, RideCar

Array = NDArray[np.float64]

LOST = 10.0
"""[m] or [rad]; a car further from its rest than this was not computed."""
_FIRST = np.arange(4)


def march(car: RideCar, height: Array, rising: Array, step: float, begin: Array, moving: Array) -> tuple[Array, Array]:  # noqa: PLR0915 - one loop, kept in one place for its speed
    """Places (n, m, 7) at the rows and speeds (n, m + 1, 7) half a step before each and after the last."""
    n, m, _ = height.shape
    reach, turn = np.ascontiguousarray(car.reach.T), -car.reach / car.mass
    gravity = car.weight / car.mass
    tyre_rate, tyre_damping, gap = car.tyre_rate, car.tyre_damping, car.tyre_gap
    unsprung = car.unsprung
    first, per, cells = car.first_lift, 1.0 / car.lift_step, car.force.shape[-1] - 1
    table = np.ascontiguousarray(car.rows[:, [0, 1, 4, 5]])
    offset = _FIRST * cells
    bar_matrix = np.zeros((4, 4))
    for axle in (0, 1):
        bar_matrix[2 * axle : 2 * axle + 2, 2 * axle : 2 * axle + 2] = car.bar_rate[axle] * np.array([[1, -1], [-1, 1]])
    bar_still = np.repeat(car.bar_rate * car.bar_offset, 2) * np.array([1, -1, 1, -1])
    knots, hinge = np.ascontiguousarray(car.damper_speed[:, 1:-1].T), np.ascontiguousarray(car.hinge[:, 1:].T)
    base = car.hinge[:, 0]
    base_force = car.damper_force[:, 0] - base * car.damper_speed[:, 0]
    rub, rubs = car.friction, bool((car.friction > 0.0).any())
    q = np.empty((n, m, 7))
    half = np.empty((n, m + 1, 7))

    def accelerate(place: Array, speed: Array, row: int) -> Array:
        lift = place @ reach
        spot = (lift - first) * per
        cell = np.minimum(np.maximum(spot, 0.0), cells - 1).astype(np.intp)
        rows = table.take(cell + offset, axis=0)
        run = (spot - cell) * car.lift_step
        ratio = rows[..., 1] + run * rows[..., 3]
        damper = -ratio * (speed @ reach)
        push = base * damper + base_force
        if len(knots):
            push += (np.maximum(damper[:, None] - knots, 0.0) * hinge).sum(axis=1)
        if rubs:
            push += rub * np.tanh(damper / CREEP)
        along = rows[..., 0] + run * rows[..., 2] - ratio * push + lift @ bar_matrix - bar_still
        squeeze = height[:, row] - place[:, 3:] - gap
        load = tyre_rate * squeeze + tyre_damping * (rising[:, row] - speed[:, 3:])
        load = np.where(squeeze > 0.0, np.maximum(load, 0.0), 0.0)
        out = along @ turn + gravity
        out[:, 3:] += load / unsprung
        return np.asarray(out)

    with np.errstate(over="ignore", invalid="ignore"):
        at, change = begin.copy(), accelerate(begin, moving, 0)
        before, older = moving - 0.5 * step * change, moving - 1.5 * step * change
        for row in range(m):
            q[:, row] = at
            half[:, row] = before
            after = before + step * accelerate(at, 1.5 * before - 0.5 * older, row)
            at = at + step * after
            older, before = before, after
            if row % 1024 == 0 and not (np.abs(at) < LOST).all():
                bad = np.asarray(~(np.abs(at) < LOST).all(axis=1))
                at[bad] = before[bad] = older[bad] = np.nan
                if bad.all():
                    q[:, row + 1 :] = half[:, row + 1 :] = np.nan
                    break
                # A lost run keeps its place in the batch; nan must not reach the table's rows.
                at[bad], before[bad], older[bad] = 1e9, 0.0, 0.0
        half[:, m] = before
    return q, half
