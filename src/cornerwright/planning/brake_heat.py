"""Runs that heat the brakes: single and repeated stops, a lap from a list of speeds, bedding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.brake_inputs import (
    LoadCase,
    Parts,
    Skin,
    bodies_of,
    boiling_of,
    frictions,
    loading_of,
    skins_of,
    system_of,
)
from cornerwright.mechanics.brake_system import HARDEST
from cornerwright.mechanics.braking import Loading
from cornerwright.mechanics.heat import Bodies, Heating, Piece, joined, run, slab_surface_rise
from cornerwright.model.lap import Lap
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_brakes import BrakeStopRow, HeatRun, HeatSample
from cornerwright.model.units import FORCE, SPEED, STANDARD_GRAVITY, TEMPERATURE, from_document, to_document

Array = NDArray[np.float64]

AIR = 1.2
"""Density of air [kg/m3]."""
GATHERING = 2.0
"""Acceleration back to speed between stops [m/s2] (our own rough figure)."""
SOAK = 600.0
"""How long the car stands after a run [s]: the fluid is often hottest then."""
MOST_SAMPLES = 240
BARELY = 0.02
"""Deceleration [g] below which a lap's slowing is not called a stop."""


@dataclass(frozen=True)
class Stops:
    """Stops, one every so often; between them the car gathers speed and goes on at it."""

    count: int = 10
    fast: float = from_document(100.0, SPEED)
    """[m/s]"""
    slow: float = 0.0
    rate: float = 0.6
    """[g]"""
    every: float = 45.0
    """From the beginning of one to that of the next [s]."""

    @property
    def seconds(self) -> float:
        """Of one stop."""
        return (self.fast - self.slow) / (self.rate * STANDARD_GRAVITY)

    def words(self) -> str:
        """What they are."""
        fast, slow = (to_document(one, SPEED) for one in (self.fast, self.slow))
        many = "1 stop" if self.count == 1 else f"{self.count} stops"
        again = "" if self.count == 1 else f", one every {self.every:.0f} s"
        return f"{many} from {fast:.0f} to {slow:.0f} km/h at {self.rate:g} g{again}"


@dataclass(frozen=True)
class _Stop:
    """One stop as it went."""

    begins: float
    fast: float
    slow: float
    rate: float
    foot: float
    surface: Array
    """(4,) hottest of the rubbed faces [degC]"""


class _Run:
    """A run being put together piece by piece, as friction and so the sharing change with heat."""

    def __init__(self, parts: Parts, case: LoadCase, ambient: float, wet: bool) -> None:
        self.parts = parts
        self.loading: Loading = loading_of(parts.car, case)
        self.bodies: Bodies = bodies_of(parts, ambient)
        self.skins: tuple[Skin, ...] = skins_of(parts)
        self.wet = wet
        self.mass = self.loading.weight / STANDARD_GRAVITY * (1.0 + parts.brakes.rotating)
        start = np.full(4, ambient)
        self._stretches: list[Heating] = [run(self.bodies, [], start, start)]
        self._time = 0.0
        self.stops: list[_Stop] = []
        self._rises: dict[tuple[float, float], Array] = {}

    @property
    def heating(self) -> Heating:
        """All of it so far."""
        self._stretches = [joined(self._stretches)]
        return self._stretches[0]

    def back_to(self, before: Heating) -> None:
        """Forget what came after."""
        self._stretches, self._time = [before], float(before.time[-1])

    @property
    def now(self) -> tuple[Array, Array]:
        """Temperatures (4,) of rotors and calipers."""
        return self._stretches[-1].rotor[-1], self._stretches[-1].caliper[-1]

    def shares(self, rate: float) -> tuple[Array, float]:
        """Share (4,) of the brake force at each wheel with pads as hot as they are, and the foot [N]."""
        system = system_of(self.parts, frictions(self.parts, self.now[0], wet=self.wet))
        foot = system.foot_for(rate * self.loading.weight)
        forces = system.wheel_forces(min(foot, HARDEST))
        return forces / forces.sum(), foot

    def power(self, speed: float, deceleration: float) -> float:
        """Of all brakes together [W], at a speed [m/s] and deceleration [m/s2]."""
        drag = 0.5 * AIR * self.parts.brakes.drag_area * speed**2
        return max(0.0, self.mass * deceleration - drag) * speed

    def roll(self, seconds: float, start: float, end: float) -> None:
        """Go on without brakes."""
        nothing = np.zeros(4)
        self._add([Piece(seconds, (start, end), (nothing, nothing))])

    def brake(self, seconds: float, fast: float, slow: float) -> None:
        """One stretch of even slowing."""
        deceleration = (fast - slow) / seconds
        rate = deceleration / STANDARD_GRAVITY
        share, foot = self.shares(rate)
        count = max(2, int(np.ceil(seconds / 0.5)))
        speeds = np.linspace(fast, slow, count + 1)
        powers = [share * self.power(float(v), deceleration) for v in speeds]
        pieces = [
            Piece(seconds / count, (float(speeds[k]), float(speeds[k + 1])), (powers[k], powers[k + 1]))
            for k in range(count)
        ]
        surface = self._surface(powers[0], fast, slow, seconds)
        self.stops.append(_Stop(self._time, fast, slow, rate, foot, surface))
        self._add(pieces)

    def _surface(self, power: Array, fast: float, slow: float, seconds: float) -> Array:
        """Hottest of each rubbed face; the flux falls as the speed does, towards none at standstill."""
        return np.asarray(self.now[0] + power * self._rise(seconds, seconds * fast / (fast - slow)))

    def _rise(self, seconds: float, whole: float) -> Array:
        """Greatest rise of each rubbed face per watt at the beginning [K/W]: the rise goes evenly with the flux."""
        known = self._rises.get((seconds, whole))
        if known is None:
            times = np.linspace(0.0, seconds, 61)[1:]
            each = [
                slab_surface_rise(times, 0.5 / s.area, whole, s.depth, s.conductivity, s.density, s.heat)
                for s in self.skins
            ]
            known = self._rises[seconds, whole] = np.array([one.max() for one in each])
        return known

    def _add(self, pieces: Sequence[Piece]) -> None:
        self._stretches.append(run(self.bodies, pieces, *self.now))
        self._time += float(self._stretches[-1].time[-1])

    def answer(self, what: str) -> HeatRun:
        """All of it in trade units."""
        heating, parts = self.heating, self.parts
        surface = np.max([heating.rotor.max(axis=0), *(stop.surface for stop in self.stops)], axis=0)
        return HeatRun(
            what=what,
            ambient_degc=self.bodies.ambient,
            energy_kj=float(heating.heat_in[-1].sum()) / 1e3,
            imbalance=heating.imbalance(self.bodies),
            rotor_peak_degc=_named(heating.rotor.max(axis=0)),
            surface_peak_degc=_named(surface),
            fluid_peak_degc=_named(heating.caliper.max(axis=0)),
            pad_limit_degc=_named([one.pad.most_temperature for one in parts.corners]),
            rotor_limit_degc=_named([one.rotor.most_temperature for one in parts.corners]),
            boiling_degc=boiling_of(parts.brakes)[2],
            stops=self._rows(),
            samples=self._samples(),
        )

    def _rows(self) -> tuple[BrakeStopRow, ...]:
        time, rows = self.heating.time, []
        begins = [stop.begins for stop in self.stops]
        for k, stop in enumerate(self.stops):
            until = begins[k + 1] if k + 1 < len(begins) else float(time[-1])
            during = (time >= stop.begins - 1e-9) & (time <= until + 1e-9)
            ends = stop.begins + (stop.fast - stop.slow) / (stop.rate * STANDARD_GRAVITY)
            last = int(np.argmin(np.abs(time - ends)))
            rows.append(
                BrakeStopRow(
                    number=k + 1,
                    begins_s=stop.begins,
                    from_km_per_h=to_document(stop.fast, SPEED),
                    to_km_per_h=to_document(stop.slow, SPEED),
                    rate_g=stop.rate,
                    foot_n=to_document(stop.foot, FORCE) if np.isfinite(stop.foot) else None,
                    rotor_degc=_named(self.heating.rotor[during].max(axis=0)),
                    surface_degc=_named(stop.surface),
                    fluid_degc=_named(self.heating.caliper[last]),
                )
            )
        return tuple(rows)

    def _samples(self) -> tuple[HeatSample, ...]:
        """Spread evenly over the run, the ends and peaks of stops kept where there is room."""
        heating = self.heating
        n = heating.time.size
        keep = np.unique(np.linspace(0, n - 1, min(n, MOST_SAMPLES)).round().astype(int))
        return tuple(
            HeatSample(
                time_s=float(heating.time[k]),
                speed_km_per_h=to_document(float(heating.speed[k]), SPEED),
                rotor_degc=_named(heating.rotor[k]),
                fluid_degc=_named(heating.caliper[k]),
            )
            for k in keep
        )


def _named(values: Any) -> dict[str, float]:
    return {name: to_document(float(one), TEMPERATURE) for name, one in zip(CORNERS, values, strict=True)}


def _stopping(made: _Run, stops: Stops) -> None:
    """Take these stops one after the other; after the last the car goes on as after the others."""
    for _ in range(stops.count):
        made.brake(stops.seconds, stops.fast, stops.slow)
        left = max(0.0, stops.every - stops.seconds)
        gather = min(left, (stops.fast - stops.slow) / GATHERING)
        made.roll(gather, stops.slow, stops.fast)
        made.roll(left - gather, stops.fast, stops.fast)


def stops_run(
    parts: Parts, stops: Stops, case: LoadCase = "driven", ambient: float = 20.0, *, wet: bool = False
) -> HeatRun:
    """These stops, then standing for ten minutes. A car that stops once stands where it stopped."""
    made = _Run(parts, case, ambient, wet)
    if stops.count == 1:
        made.brake(stops.seconds, stops.fast, stops.slow)
    else:
        _stopping(made, stops)
    made.roll(SOAK, 0.0, 0.0)
    return made.answer(f"{stops.words()}; then standing for {SOAK / 60:.0f} min")


def lap_run(
    parts: Parts, lap: Lap, laps: int = 1, case: LoadCase = "driven", ambient: float = 20.0, *, wet: bool = False
) -> HeatRun:
    """A lap given as times and speeds, so many times over, then standing for ten minutes.

    What slows the car beyond the drag that the file tells of is left to the brakes, the engine's help not
    counted: hotter than life, if anything.
    """
    made = _Run(parts, case, ambient, wet)
    for _ in range(laps):
        for stretch in _stretches(lap):
            seconds, fast, slow = stretch
            if (fast - slow) / seconds > BARELY * STANDARD_GRAVITY:
                made.brake(seconds, fast, slow)
            else:
                made.roll(seconds, fast, slow)
    made.roll(SOAK, 0.0, 0.0)
    many = "1 lap" if laps == 1 else f"{laps} laps"
    return made.answer(f"{many} of {lap.name}; then standing for {SOAK / 60:.0f} min")


def _stretches(lap: Lap) -> list[tuple[float, float, float]]:
    """Seconds, first and last speed [m/s] of each stretch; neighbours that slow alike are one stop."""
    found: list[tuple[float, float, float]] = []
    for before, after in pairwise(lap.rows):
        seconds = after.time - before.time
        now = (before.speed - after.speed) / seconds
        if found:
            held, fast, slow = found[-1]
            last = (fast - slow) / held
            both = min(now, last) > BARELY * STANDARD_GRAVITY
            if both and abs(now - last) < 0.25 * max(now, last):
                found[-1] = (held + seconds, fast, after.speed)
                continue
        found.append((seconds, before.speed, after.speed))
    return found


# ------------------------------------------------------------------ bedding


@dataclass(frozen=True)
class Bedding:
    """A schedule of stops that warms new pads step by step, and what it is predicted to do."""

    stages: tuple[Stops, ...]
    peaks: tuple[Array, ...]
    """Hottest rotors (4,) [degC] by the end of each stage"""
    wanted: tuple[tuple[float, float], tuple[float, float]]
    """Of front and rear pads, as their makers ask"""


GENTLE = Stops(6, from_document(50.0, SPEED), from_document(20.0, SPEED), 0.25, 40.0)
"""What new pads and rotors begin with (our own steps)."""
FIRM = ((70.0, 40.0), (80.0, 40.0), (90.0, 40.0), (90.0, 30.0), (100.0, 30.0), (100.0, 22.0), (110.0, 22.0))
"""Speed [km/h] that firm stops begin at, and seconds from one to the next, the mildest first (our own steps)."""
SHY = 0.95
"""Share of the greatest bedding temperature that the schedule keeps under."""
MOST_STOPS = 20


def bedding(parts: Parts, case: LoadCase = "driven", ambient: float = 20.0) -> Bedding:
    """Gentle stops, then firmer ones from the least speed that brings both axles' pads into their range.

    Where no maker's range is given: from 40 % to 60 % of what the pad stands. The firm stops end before either
    axle passes its greatest bedding temperature.
    """
    ranges = [_bed_range(parts, 0), _bed_range(parts, 2)]
    best: tuple[float, list[Stops], list[Array]] | None = None
    made = _Run(parts, case, ambient, wet=False)
    _stopping(made, GENTLE)
    gentle = made.heating
    for fast, every in FIRM:
        made.back_to(gentle)
        peaks = [gentle.rotor.max(axis=0)]
        one = Stops(1, from_document(fast, SPEED), GENTLE.slow, 0.45, every)
        count = 0
        while count < MOST_STOPS:
            before = made.heating
            _stopping(made, one)
            if max(_reached(made.heating.rotor.max(axis=0), ranges, 1)) > SHY:
                made.back_to(before)
                break
            count += 1
        peaks.append(made.heating.rotor.max(axis=0))
        short = max(0.0, 1.0 - min(_reached(peaks[-1], ranges, 0)))
        if count >= 4 and (best is None or short < best[0] - 1e-6):
            best = (short, [GENTLE, Stops(count, one.fast, one.slow, one.rate, every)], peaks)
        if best is not None and best[0] == 0.0:
            break
    if best is None:
        return Bedding((GENTLE,), (peaks[0],), (ranges[0], ranges[1]))
    return Bedding(tuple(best[1]), tuple(best[2]), (ranges[0], ranges[1]))


def _bed_range(parts: Parts, first: int) -> tuple[float, float]:
    pads = [parts.corners[first].pad, parts.corners[first + 1].pad]
    given = [pad.bed for pad in pads if pad.bed is not None]
    if given:
        return max(low for low, _ in given), min(high for _, high in given)
    least = min(pad.most_temperature for pad in pads)
    return 0.4 * least, 0.6 * least


def _reached(peaks: Array, ranges: Sequence[tuple[float, float]], end: int) -> tuple[float, float]:
    """How near front and rear come to this end of their ranges, [1]."""
    front, rear = (float(peaks[2 * k : 2 * k + 2].max()) / ranges[k][end] for k in (0, 1))
    return front, rear
