"""Ride: a car of seven degrees of freedom on an uneven road, step by step in time.

Body: heave, pitch and roll, small angles (ISO 8855: pitch positive nose down, roll positive left side up). Wheels:
four heights. Springs, stops, gas and rubber act as one force along each wheel's lift; dampers by their curve at the
damper; friction as a force at the damper that turns with its speed; tyres push and never pull, so a wheel can leave
the ground. No linkage forces (jacking, anti-dive), no sideways forces.

The step is the leapfrog for the heights; speeds in dampers are carried forward from the two half steps before
(Adams and Bashforth), so that one look at the forces is enough and the error falls with the step squared.
Source of the equations: Newton and Euler, as in any text on vehicle dynamics (Gillespie, chapter 5; Wong, Theory of
Ground Vehicles, chapter 7; from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics import ride_steps
from cornerwright.mechanics.ride_car import RideCar
from cornerwright.mechanics.ride_rest import rest
from cornerwright.mechanics.ride_steps import LOST

Array = NDArray[np.float64]

BALANCE = 0.01
"""Share of the energy that passes through the car by which its books may fail to close."""


@dataclass(frozen=True, eq=False)
class Ride:
    """n runs of m rows of time. A run whose verdict is "lost" has nan for its numbers.

    "unbalanced": the energy that came in, was stored and was turned to heat differ by more than 1 % of what passed.
    """

    car: RideCar
    step: float  # [s]
    q: Array  # (n, m, 7) heave [m], pitch, roll [rad], wheels [m]
    speed: Array  # (n, m, 7) their rates
    acceleration: Array  # (n, m, 7)
    lift: Array  # (n, m, 4) [m]
    load: Array  # (n, m, 4) [N] under each tyre
    damper_length: Array  # (n, m, 4) [m]
    damper_speed: Array  # (n, m, 4) [m/s], positive in bump
    suspension: Array  # (n, m, 4) [N] body to wheel: springs, stops, dampers, bars
    work_in: Array  # (n,) [J] that the road did
    heat: Array  # (n,) [J] in dampers, friction and tyres
    gained: Array  # (n,) [J] stored and in motion, end less start
    imbalance: Array  # (n,) share of what passed
    verdict: NDArray[np.str_]  # (n,)

    @property
    def time(self) -> Array:
        """Of the rows (m,) [s]."""
        return np.asarray(np.arange(self.q.shape[1]) * self.step)


def drive(
    car: RideCar,
    road: ArrayLike,
    step: float,
    start: ArrayLike | None = None,
    start_speed: ArrayLike | None = None,
) -> Ride:
    """Drive n roads at once: heights (n, m, 4) [m] under each wheel, a row every `step` [s].

    start, start_speed (n|1, 7): where the car is in the first row and how it moves there; without them at rest on
    the level, lifted by the road's mean height in that row. Raises ValueError where the car has no rest, the road is
    too short or not finite, or the step too long for the stiffest part (wheel on tyre and end stop).
    """
    height = np.asarray(road, dtype=float)
    if height.ndim != 3 or height.shape[1] < 3 or height.shape[2] != 4 or not np.isfinite(height).all():
        raise ValueError("a road is (runs, rows, 4) of finite heights, three rows or more")
    n = height.shape[0]
    most = longest_step(car)
    if not 0.0 < step <= most:
        raise ValueError(f"the step must be above zero and {most:.2g} s or less")
    if start is None:
        still = rest(car)
        if still.verdict != "stands":
            raise ValueError("the car does not come to rest on the level")
        up = height[:, 0].mean(axis=-1, keepdims=True)
        begin = still.q + up * np.array([1.0, 0, 0, 1, 1, 1, 1])
    else:
        begin = np.broadcast_to(np.asarray(start, dtype=float), (n, 7))
    moving = np.zeros((n, 7)) if start_speed is None else np.broadcast_to(np.asarray(start_speed, dtype=float), (n, 7))
    rising = np.gradient(height, step, axis=1)
    q, half = _steps()(car, height, rising, step, begin, moving)
    return _read(car, height, rising, step, q, half)


def _steps() -> Callable[[RideCar, Array, Array, float, Array, Array], tuple[Array, Array]]:
    """The compiled steps; the plain ones where there is no compiler for this Python."""
    try:
        from cornerwright.mechanics import ride_compiled  # noqa: PLC0415 - a compiler is not loaded without need
    except ImportError:
        return ride_steps.march
    return ride_compiled.march


def longest_step(car: RideCar) -> float:
    """Longest step [s] that is safe: 0.7 rad of the quickest wheel against its stiffest stop."""
    stiffest = np.diff(car.force, axis=-1).max(axis=-1) / car.lift_step + car.tyre_rate
    return float(0.7 / np.sqrt((stiffest / car.unsprung).max()))


def _read(car: RideCar, height: Array, rising: Array, step: float, q: Array, half: Array) -> Ride:
    """Everything else about the runs, from places and half steps' speeds."""
    lost = np.asarray(~((np.abs(q) < LOST) & np.isfinite(q)).all(axis=(1, 2)))
    q = np.where(lost[:, None, None], 0.0, q)
    half = np.where(lost[:, None, None], 0.0, half)
    speed = (half[:, 1:] + half[:, :-1]) / 2.0
    lift, closing = q @ car.reach.T, speed @ car.reach.T
    rows, run = car.look(lift)
    force = rows[..., 0] + run * rows[..., 4]
    energy = rows[..., 3] + run * (rows[..., 0] + 0.5 * run * rows[..., 4])
    ratio = rows[..., 1] + run * rows[..., 5]
    length = rows[..., 2] + run * rows[..., 6]
    damper_speed = -ratio * closing
    damping = car.damping(damper_speed)
    squeeze = height - q[..., 3:] - car.tyre_gap
    spring_part = car.tyre_rate * np.maximum(squeeze, 0.0)
    load = car.tyre_rate * squeeze + car.tyre_damping * (rising - speed[..., 3:])
    load = np.where(squeeze > 0.0, np.maximum(load, 0.0), 0.0)

    def over(power: Array) -> Array:
        return np.asarray(step * (power[:, 1:] + power[:, :-1]).sum(axis=(1, 2)) / 2.0)

    work_in = over(load * rising)
    heat = over(damping * damper_speed + (load - spring_part) * (rising - speed[..., 3:]))
    twist = np.stack([lift[..., 0] - lift[..., 1], lift[..., 2] - lift[..., 3]], axis=-1) - car.bar_offset
    store = (
        (0.5 * car.mass * speed**2).sum(axis=-1)
        - q @ car.weight
        + energy.sum(axis=-1)
        + 0.5 * (car.bar_rate * twist**2).sum(axis=-1)
        + 0.5 * (spring_part * np.maximum(squeeze, 0.0)).sum(axis=-1)
    )
    gained = store[:, -1] - store[:, 0]
    # What passed: into heat, out of and into store. A car on the level passes nothing, hence the joule.
    passed = np.abs(heat) + np.abs(gained) + (store.max(axis=-1) - store.min(axis=-1)) + 1.0
    imbalance = np.abs(work_in - heat - gained) / passed
    verdict = np.where(lost, "lost", np.where(imbalance > BALANCE, "unbalanced", "done"))
    blank = np.where(lost, np.nan, 1.0)

    def told(part: Array) -> Array:
        return np.asarray(part * blank.reshape(-1, *([1] * (part.ndim - 1))))

    return Ride(
        car=car,
        step=step,
        q=told(q),
        speed=told(speed),
        acceleration=told((half[:, 1:] - half[:, :-1]) / step),
        lift=told(lift),
        load=told(load),
        damper_length=told(length),
        damper_speed=told(damper_speed),
        suspension=told(force - ratio * damping + car.bars(lift)),
        work_in=told(work_in),
        heat=told(heat),
        gained=told(gained),
        imbalance=told(imbalance),
        verdict=verdict,
    )
