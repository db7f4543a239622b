"""The steps of `ride_steps` one number after the other, compiled: the same equations, sums in another order.

Proof: tests/mechanics/test_ride_compiled.py, against the plain steps.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.compiled import compiled
from cornerwright.mechanics.ride_car import CREEP, RideCar
from cornerwright.mechanics.ride_steps import LOST

Array = NDArray[np.float64]


def march(car: RideCar, height: Array, rising: Array, step: float, begin: Array, moving: Array) -> tuple[Array, Array]:
    """As `ride_steps.march`: places (n, m, 7) and speeds (n, m + 1, 7), from heights and their rates (n, m, 4)."""
    return _march(  # type: ignore[no-any-return]
        np.ascontiguousarray(height),
        np.ascontiguousarray(rising),
        float(step),
        np.ascontiguousarray(begin, dtype=float),
        np.ascontiguousarray(moving, dtype=float),
        (car.mass, car.weight / car.mass, car.x, car.y),
        (car.tyre_rate, car.tyre_damping, car.tyre_gap, car.bar_rate, car.bar_offset, car.friction),
        (car.first_lift, car.lift_step, np.ascontiguousarray(car.rows.reshape(4, -1, 8))),
        (np.ascontiguousarray(car.damper_speed), np.ascontiguousarray(car.damper_force), car.hinge),
    )


@compiled
def _accelerate(  # type: ignore[no-untyped-def]
    place, speed, ground, climb, body, tyre, table, damper, out
) -> Any:  # pragma: no cover - compiled
    mass, gravity, x, y = body
    tyre_rate, tyre_damping, gap, bar_rate, bar_offset, friction = tyre
    first, spacing, rows = table
    knots, push_at, hinge = damper
    for k in range(7):
        out[k] = gravity[k]
    for c in range(4):
        axle = c // 2
        lift = place[3 + c] - place[0] + x[c] * place[1] - y[c] * place[2]
        closing = speed[3 + c] - speed[0] + x[c] * speed[1] - y[c] * speed[2]
        spot = (lift - first) / spacing
        cell = int(min(max(spot, 0.0), float(rows.shape[1] - 1)))
        run = (spot - cell) * spacing
        row = rows[c, cell]
        ratio = row[1] + run * row[5]
        rod = -ratio * closing
        push = hinge[c, 0] * (rod - knots[c, 0]) + push_at[c, 0]
        for j in range(1, hinge.shape[1]):
            push += hinge[c, j] * max(rod - knots[c, j], 0.0)
        if friction[c] > 0.0:
            push += friction[c] * math.tanh(rod / CREEP)
        other = c + 1 - 2 * (c % 2)
        beside = place[3 + other] - place[0] + x[other] * place[1] - y[other] * place[2]
        offset = bar_offset[axle] if c % 2 == 0 else -bar_offset[axle]
        along = row[0] + run * row[4] - ratio * push + bar_rate[axle] * (lift - beside - offset)
        squeeze = ground[c] - place[3 + c] - gap[c]
        load = 0.0
        if squeeze > 0.0:
            load = max(tyre_rate[c] * squeeze + tyre_damping[c] * (climb[c] - speed[3 + c]), 0.0)
        out[0] += along / mass[0]
        out[1] -= x[c] * along / mass[1]
        out[2] += y[c] * along / mass[2]
        out[3 + c] += (load - along) / mass[3 + c]


@compiled
def _march(height, rising, step, begin, moving, body, tyre, table, damper):  # type: ignore[no-untyped-def]  # pragma: no cover - compiled
    runs, count = height.shape[0], height.shape[1]
    q = np.empty((runs, count, 7))
    half = np.empty((runs, count + 1, 7))
    change, carried = np.empty(7), np.empty(7)
    at, before, older = np.empty(7), np.empty(7), np.empty(7)
    for r in range(runs):
        at[:] = begin[r]
        _accelerate(at, moving[r], height[r, 0], rising[r, 0], body, tyre, table, damper, change)
        for k in range(7):
            before[k] = moving[r, k] - 0.5 * step * change[k]
            older[k] = moving[r, k] - 1.5 * step * change[k]
        for row in range(count):
            lost = False
            for k in range(7):
                q[r, row, k] = at[k]
                half[r, row, k] = before[k]
                carried[k] = 1.5 * before[k] - 0.5 * older[k]
                lost = lost or not abs(at[k]) < LOST
            if lost:
                q[r, row:] = np.nan
                half[r, row:] = np.nan
                break
            _accelerate(at, carried, height[r, row], rising[r, row], body, tyre, table, damper, change)
            for k in range(7):
                older[k] = before[k]
                before[k] += step * change[k]
                at[k] += step * before[k]
        half[r, count] = before
    return q, half
