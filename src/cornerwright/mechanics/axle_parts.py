"""Springs, dampers and bars of one axle, weighed in bulk: the car standing where it is wanted, perches set for it.

The linkage is a table over lift, both wheels in step; springs and dampers are many. For each the force that the
spring must give at the wanted height follows from the weight, so does the perch, and from that the ends of travel,
the rates and what a road takes of the stroke. Lengths shorten in bump, as everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.springs import STANDARD_GRAVITY, ride_frequency

Array = NDArray[np.float64]

PLENTY = 0.03
"""[m]; travel or margin beyond this makes no setting of the damper's body better."""
JUST_HELD = 0.001
"""[m]; squeeze left at full droop that is aimed at where the spring stands apart from the damper."""
PEAKS = 3.5
"""Standard deviations that the largest of a few hundred swings reaches."""
LENGTHS = ("droop_left", "bump_left", "held", "bind", "perch")


@dataclass(frozen=True, eq=False)
class AxleBench:
    """What stays of an axle when its springs, dampers and bar are changed; wheels as the mean of left and right.

    lift (m,) [m], even steps; spring, damper (m,) [m]: distances between seats and eyes by the linkage alone;
    stands [m]: lift wanted at rest; carried [N]: weight of the body on one wheel; unsprung [kg] of one wheel;
    tyre_rate [N/m]; bush_force [N], bush_rate [N/m] at that lift; perch (2,) [m]: least and greatest of the spring
    seat's travel; bodies (b,) [m]: what the damper's body can be set to; around: whether the seat goes with the body.
    """

    lift: Array
    spring: Array
    damper: Array
    stands: float
    carried: float
    unsprung: float
    tyre_rate: float
    bush_force: float
    bush_rate: float
    perch: Array
    bodies: Array
    around: bool


@dataclass(frozen=True, eq=False)
class AxleParts:
    """n sets of parts: springs (n,) as a law with the lengths where they are free and bound [m]; dampers likewise.

    open, bump (n,) [m]: damper pulled out, and at full bump (stop squeezed as far as its curve goes, or metal);
    resist (n, s) [N]: mean damping force of bump and rebound at the rod speeds `speeds` (s,) [m/s], from 0.
    """

    spring: ForceLaw
    free: Array
    bound: Array
    damper: ForceLaw
    open: Array
    bump: Array
    speeds: Array
    resist: Array


@dataclass(frozen=True, eq=False)
class AxleFigures:
    """Figures (n,) of n sets of parts at the best setting of the damper's body.

    room: droop_left, bump_left [m] of wheel travel; held: squeeze of the spring left at full droop; bind: spring
    length left at full bump; perch: how far inside its range the perch stands; below zero what is short, all [m];
    nan where the spring cannot carry the car. rate [N/m] of the wheel, both in step; frequency [Hz] on springs and
    tyres; damping [1] over critical at 0.1 m/s; seat, body [m]: settings; reach [N s/m]: damping at the wheel for
    the road.
    """

    room: dict[str, Array]
    rate: Array
    frequency: Array
    damping: Array
    reach: Array
    seat: Array
    body: Array

    @property
    def worst(self) -> Array:
        """Least of the rooms (n,) [m]; -inf where the spring cannot carry the car."""
        rooms = np.stack([self.room[name] for name in LENGTHS])
        return np.asarray(np.where(np.isnan(rooms).any(axis=0), -np.inf, rooms.min(axis=0)))


def weigh(bench: AxleBench, parts: AxleParts, slow: float = 0.1, brisk: float = 0.15) -> AxleFigures:
    """Weigh n sets of parts. slow, brisk [m/s]: rod speeds for damping over critical, and for the road.

    Each setting of the damper's body is tried; that with the largest least room is taken (rooms beyond 30 mm count
    alike), or where the spring stands apart, of those that keep every room that which just holds it at full droop.
    Wheel rate k s'^2 - F s'' of spring and damper, and the bushes' (see `springs.wheel_rate`). Damping over critical
    c r^2 / (2 sqrt(k m)) of the body on its wheel rate.
    Source: Gillespie, Fundamentals of Vehicle Dynamics, chapter 5.
    Proof: tests/outside/test_gillespie_choice.py; tests/planning/test_shelf_choice.py, by the stance.
    """
    here = bench.stands
    step = bench.lift[1] - bench.lift[0]

    def slopes(table: Array) -> tuple[float, float, float]:
        first = np.gradient(table, step)
        second = np.gradient(first, step)
        return tuple(float(np.interp(here, bench.lift, one)) for one in (table, first, second))  # type: ignore[return-value]

    spring, spring1, spring2 = slopes(bench.spring)
    damper, damper1, damper2 = slopes(bench.damper)
    bodies = bench.bodies
    _, push, stiff = parts.damper.at((damper - bodies)[:, None])  # (b, n)
    needed = (bench.carried - bench.bush_force + push * damper1) / -spring1
    length = np.where(needed > 0.0, parts.spring.length_at(np.maximum(needed, 1e-9)), np.nan)
    seat = spring - length

    def lift_where(lengths: Array) -> Array:
        """Lift (b, n) at which the damper has these lengths (n,), its body set in b ways; carried on straight."""
        wanted = lengths[None] + bodies[:, None]
        found = np.interp(-wanted, -bench.damper, bench.lift)
        low, high = bench.damper[0], bench.damper[-1]
        below = bench.lift[0] + (wanted - low) / ((bench.damper[1] - low) / step)
        above = bench.lift[-1] + (wanted - high) / ((high - bench.damper[-2]) / step)
        return np.asarray(np.where(wanted > low, below, np.where(wanted < high, above, found)))

    droop, bump = lift_where(parts.open), lift_where(parts.bump)

    def seats(lift: Array) -> Array:
        return np.asarray(np.interp(lift, bench.lift, bench.spring) - seat)

    travel = seat - (bodies[:, None] if bench.around else 0.0)
    room = {
        "droop_left": here - droop,
        "bump_left": bump - here,
        "held": parts.free - seats(droop),
        "bind": seats(bump) - parts.bound,
        "perch": np.minimum(travel - bench.perch[0], bench.perch[1] - travel),
    }
    least = np.stack([np.minimum(room[name], PLENTY) for name in LENGTHS])
    short = np.isnan(least).any(axis=0)
    fair = least.min(axis=0)
    if not bench.around:
        # Apart from the damper the spring is to be just held at full droop (common practice, no source).
        fair = np.where(fair >= 0.0, 1.0 - np.abs(room["held"] - JUST_HELD), fair)
    least = np.where(short, -np.inf, fair + 0.01 * least.mean(axis=0))
    best = least.argmax(axis=0)
    n = np.arange(best.size)

    def chosen(values: Array) -> Array:
        return np.asarray(np.broadcast_to(values, least.shape)[best, n])

    _, force, rate = parts.spring.at(np.where(np.isnan(length), 1.0, length)[best, n])
    wheel = rate * spring1**2 - force * spring2 + bench.bush_rate
    wheel = wheel + chosen(stiff) * damper1**2 - chosen(push) * damper2
    wheel = np.where(np.isnan(chosen(length)) | (wheel <= 0.0), np.nan, wheel)
    mass = bench.carried / STANDARD_GRAVITY
    at = [np.array([np.interp(v, parts.speeds, row) for row in parts.resist]) / v for v in (slow, brisk)]
    return AxleFigures(
        room={name: chosen(values) for name, values in room.items()},
        rate=wheel,
        frequency=ride_frequency(wheel * bench.tyre_rate / (wheel + bench.tyre_rate), mass),
        damping=at[0] * damper1**2 / (2.0 * np.sqrt(wheel * mass)),
        reach=at[1] * damper1**2,
        seat=chosen(seat),
        body=bodies[best],
    )


def stroke_scatter(damping: Array, mass: float, roughness: float, speed: float) -> Array:
    """Root mean square wheel travel [m] of a quarter car on a road of constant velocity spectrum.

    damping c [N s/m] at the wheel; mass [kg] of body and wheel together; roughness [m3]: displacement spectrum at
    0.1 cycles/m, as of ISO 8608; speed [m/s]. pi^2 G n0^2 v m / c: neither spring nor tyre enters.
    Source: Newland, An Introduction to Random Vibrations, on white noise through two masses (from memory).
    Proof: tests/outside/test_gillespie_choice.py, by SciPy's Lyapunov equation.
    """
    return np.asarray(np.sqrt(np.pi**2 * roughness * 0.1**2 * speed * mass / np.asarray(damping, dtype=float)))
