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

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.springs import STANDARD_GRAVITY

Array = NDArray[np.float64]
Verdict = Literal["done", "unbalanced", "lost"]

CREEP = 0.005
"""Damper speed [m/s] at which friction has come to 76 % of itself (our own choice: it turns within a few mm/s)."""
BALANCE = 0.01
"""Share of the energy that passes through the car by which its books may fail to close."""
LOST = 10.0
"""[m] or [rad]; a car further from its rest than this was not computed."""
FALL = 2000.0
"""[N/m]; by so much the force of a loose corner may fall as the wheel rises, where gas pushes on a changing lever."""
AT_REST = 1e-6
"""[N], largest unbalanced force of a car at rest."""


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
    _rows: Array = field(init=False, repr=False)
    _hinge: Array = field(init=False, repr=False)
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
        object.__setattr__(self, "_rows", np.stack(rows, axis=-1).reshape(-1, 8))
        slope = np.diff(force) / np.diff(speed)
        hinge = np.concatenate([slope[:, :1], np.diff(slope, axis=-1)], axis=-1)
        object.__setattr__(self, "_hinge", hinge)
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
        rows = self._rows.take(cell + _FIRST * (self.force.shape[-1] - 1), axis=0)
        return rows, np.asarray((place - cell) * self.lift_step)

    def damping(self, speed: Array) -> Array:
        """Force [N] of the dampers at these speeds (..., 4) [m/s] of their own, friction and all."""
        knots = self.damper_speed
        out = self._hinge[:, 0] * (speed - knots[:, 0]) + self.damper_force[:, 0]
        for j in range(1, self._hinge.shape[-1]):
            out = out + self._hinge[:, j] * np.maximum(speed - knots[:, j], 0.0)
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


_FIRST = np.arange(4)


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
    q, half = _march(car, height, rising, step, begin, moving)
    return _read(car, height, rising, step, q, half)


def longest_step(car: RideCar) -> float:
    """Longest step [s] that is safe: half a radian of the quickest wheel against its stiffest stop."""
    stiffest = np.diff(car.force, axis=-1).max(axis=-1) / car.lift_step + car.tyre_rate
    return float(0.7 / np.sqrt((stiffest / car.unsprung).max()))


def _march(car: RideCar, height: Array, rising: Array, step: float, begin: Array, moving: Array) -> tuple[Array, Array]:  # noqa: PLR0915 - one loop, kept in one place for its speed
    """Places (n, m, 7) at the rows and speeds (n, m + 1, 7) half a step before each and after the last."""
    n, m, _ = height.shape
    reach, turn = np.ascontiguousarray(car.reach.T), -car.reach / car.mass
    gravity = car.weight / car.mass
    tyre_rate, tyre_damping, gap = car.tyre_rate, car.tyre_damping, car.tyre_gap
    unsprung = car.unsprung
    first, per, cells = car.first_lift, 1.0 / car.lift_step, car.force.shape[-1] - 1
    table = np.ascontiguousarray(car._rows[:, [0, 1, 4, 5]])
    offset = _FIRST * cells
    bar_matrix = np.zeros((4, 4))
    for axle in (0, 1):
        bar_matrix[2 * axle : 2 * axle + 2, 2 * axle : 2 * axle + 2] = car.bar_rate[axle] * np.array([[1, -1], [-1, 1]])
    bar_still = np.repeat(car.bar_rate * car.bar_offset, 2) * np.array([1, -1, 1, -1])
    knots, hinge = np.ascontiguousarray(car.damper_speed[:, 1:-1].T), np.ascontiguousarray(car._hinge[:, 1:].T)
    base = car._hinge[:, 0]
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


def _read(car: RideCar, height: Array, rising: Array, step: float, q: Array, half: Array) -> Ride:
    """Everything else about the runs, from places and half steps' speeds."""
    lost = np.asarray(~((np.abs(q) < LOST) & np.isfinite(q)).all(axis=(1, 2)))
    q = np.where(lost[:, None, None], 0.0, q)
    half = np.where(lost[:, None, None], 0.0, half)
    speed = (half[:, 1:] + half[:, :-1]) / 2.0
    lift, closing = q @ car.reach.T, speed @ car.reach.T
    force, _, energy = car.static(lift)
    ratio = car.damper_ratio(lift)
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
        damper_length=told(car.damper_length(lift)),
        damper_speed=told(damper_speed),
        suspension=told(force - ratio * damping + car.bars(lift)),
        work_in=told(work_in),
        heat=told(heat),
        gained=told(gained),
        imbalance=told(imbalance),
        verdict=verdict,
    )


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
