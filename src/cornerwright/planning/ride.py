"""The car on the road: will it bottom, does it leave the ground, how does it ride, what does a kerb or a jump do."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.report import shown
from cornerwright.assembly.ride_inputs import RideInputs, ride_inputs
from cornerwright.mechanics import road as roads
from cornerwright.mechanics.ride import Ride, drive, longest_step
from cornerwright.mechanics.ride_linear import Surface
from cornerwright.mechanics.ride_measures import feel
from cornerwright.mechanics.ride_rest import rest
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.profile import Profile
from cornerwright.model.results_road import RoadResult
from cornerwright.model.units import SPEED
from cornerwright.planning.ride_events import bottoms_from, climbs, falls
from cornerwright.planning.ride_told import OFTEN, Driven, comfort, corner_rows, findings, frequencies, lost, road_row

Array = NDArray[np.float64]

STEP = 1e-3
"""Longest step in time [s]."""
ROW = 0.05
"""Distance from row to row of an invented road [m]."""
RUN_IN = 3.0
"""Time [s] before a stretch of road counts: the car has forgotten how it began."""
SHORTEST = 4.0
"""Least time [s] on an invented road: what is counted over less is chance."""
STRETCHES = 8
"""Parts of one road that are driven side by side, each after its own run-in."""
COMPARED: tuple[roads.RoadClass, ...] = ("A", "B", "C", "D", "E")

ASSUMED = (
    "Seven degrees of freedom, small angles; wheels of an axle tabled at equal lift; no jacking or anti-dive, no "
    "steering, braking or wind.",
    "Dampers by the one curve in the file, the same hot and cold; tyres straight springs with one point on the road.",
    "Comfort over the body's centre of gravity: no seat, no pitch or roll, no noise.",
)
CAUTIONS = (
    "A jump or a kerb can bend wheels, arms and body long before a stop is metal: this looks at travel alone.",
    "Do not try these heights and speeds out on a public road.",
)


def road(
    car: Car,
    on: roads.RoadClass | Profile = "C",
    *,
    speed: float = 60.0 / 3.6,
    seconds: float = 60.0,
    random: int = 1,
    kerb_speed: float = 20.0 / 3.6,
    progress: Callable[[float, str], None] = lambda _share, _words: None,
) -> RoadResult:
    """How this car takes a road of a class of ISO 8608, or a measured one, at `speed` [m/s] for `seconds`.

    random: number that an invented road is made from. kerb_speed [m/s]: at which kerbs are met. Raises Refusal
    where a damper has no curve, the car does not stand, or the road is too short; for speeds not above zero, less
    than 4 s, or a class of road that there is not.
    """
    _check(on, speed, seconds, kerb_speed)
    inputs = ride_inputs(car)
    still = rest(inputs.car)
    if still.verdict != "stands":
        raise Refusal.of("a car that does not stand on its wheels", "springs that carry it; see cornerwright check")
    step = min(STEP, longest_step(inputs.car))
    progress(0.0, "driving the road")
    if isinstance(on, Profile):
        names: tuple[str, ...] = (on.name,)
        tracks, row, scales = on.heights, on.step, np.ones(1)
        least = max(roads.GOLDEN_START + 1.0, speed * (RUN_IN + 1.0) + car.wheelbase)
        if on.length < least:
            raise Refusal.of(f"a profile of {on.length:.0f} m", f"at least {least:.0f} m at this speed")
        seconds = (on.length - car.wheelbase) / speed - RUN_IN
        chosen, count = 0, 1
    else:
        names = COMPARED if on in COMPARED else (*COMPARED, on)
        row, chosen, count = ROW, names.index(on), STRETCHES
        length = max(speed * (seconds + RUN_IN) + car.wheelbase + 1.0, 1.05 / roads.LONGEST)
        apart = (car.front.track + car.rear.track) / 2.0
        made = np.random.default_rng(random)
        tracks = roads.tracks(length, row, apart, roads.CLASS_MEAN[on], made)
        scales = np.sqrt(np.array([roads.CLASS_MEAN[one] for one in names]) / roads.CLASS_MEAN[on])  # type: ignore[index]
    driven = stretches(inputs, tracks, row, speed, seconds, step, car.wheelbase, scales, count)
    whole = driven[chosen]
    sound = all(verdict == "done" for verdict in whole.ride.verdict)
    progress(0.7, "trying drops and kerbs")
    drops, kerbs = falls(inputs, still, step), climbs(inputs, still, step, kerb_speed, car.wheelbase)
    corners = corner_rows(inputs, still, whole) if sound else {}
    surface = None
    if not isinstance(on, Profile):
        apart = (car.front.track + car.rear.track) / 2.0
        surface = Surface(roads.CLASS_MEAN[on], speed, apart, car.wheelbase)
    straight, modes = frequencies(inputs, still, surface, whole if sound else None)
    mine = comfort(whole) if sound else None
    found = findings(corners, drops, kerbs) if sound else [lost()]
    short = any(corner.bottoms_per_minute > OFTEN or corner.tops_per_minute > OFTEN for corner in corners.values())
    return RoadResult(
        car=car.name,
        verdict="not computed" if not sound else "runs out of travel" if short else "keeps its travel",
        road=on.name if isinstance(on, Profile) else f"class {on} of ISO 8608",
        speed_km_per_h=shown(speed, SPEED),
        seconds=round(whole.seconds, 3),
        random=None if isinstance(on, Profile) else random,
        roughness_m_per_km=float(f"{roads.roughness(tracks[0], row) * 1e3:.4g}"),
        findings=tuple(found),
        weighted_m_per_s2=mine,
        feel=None if mine is None else feel(mine),
        corners=corners,
        roads=tuple(road_row(inputs, name, one) for name, one in zip(names, driven, strict=True)),
        modes=modes,
        straightened=straight,
        drops=drops,
        kerbs=kerbs,
        drop_bottoms_from_mm=bottoms_from(drops),
        kerb_bottoms_from_mm=bottoms_from(kerbs),
        kerb_speed_km_per_h=shown(kerb_speed, SPEED),
        energy_off_percent=float(f"{np.nanmax(whole.ride.imbalance) * 100:.3g}") if sound else None,
        assumed=(*ASSUMED, *(f"Not in the file and guessed: {one}." for one in inputs.guessed)),
        cautions=CAUTIONS,
    )


def _check(on: roads.RoadClass | Profile, speed: float, seconds: float, kerb_speed: float) -> None:
    for name, one in (("speed", speed), ("kerb_speed", kerb_speed)):
        if not 0.0 < one < np.inf:
            raise Refusal.of(f"{one:g} m/s", "a speed above zero", field=name)
    if isinstance(on, Profile):
        return
    if on not in roads.CLASS_MEAN:
        raise Refusal.of(f"'{on}'", f"a class of road: {', '.join(roads.CLASS_MEAN)}", field="on")
    if not SHORTEST <= seconds < np.inf:
        raise Refusal.of(f"{seconds:g} s", f"at least {SHORTEST:g} s: less tells nothing", field="seconds")


def stretches(
    inputs: RideInputs,
    tracks: Array,
    row: float,
    speed: float,
    seconds: float,
    step: float,
    wheelbase: float,
    scales: Array,
    count: int,
) -> list[Driven]:
    """One road cut into `count` stretches of equal time, each with its run-in, once for every scale."""
    each, first = round(seconds / count / step), round(RUN_IN / step)
    rows = first + each
    begin = np.arange(count) * each * step * speed
    ahead = begin[:, None] + np.arange(rows) * step * speed
    at = np.arange(tracks.shape[1]) * row
    heights = np.stack(
        [np.interp(ahead + back, at, tracks[side]) for back in (wheelbase, 0.0) for side in (0, 1)], axis=-1
    )
    every = (scales[:, None, None, None] * heights).reshape(-1, rows, 4)
    # The road comes up under a standing car over the first second of the run-in, so that nothing jumps.
    swell = np.clip(np.arange(rows) * step / 1.0, 0.0, 1.0)
    swell = swell**2 * (3.0 - 2.0 * swell)
    level = every.mean(axis=(1, 2), keepdims=True)
    ride = drive(inputs.car, level + (every - level) * swell[:, None], step)
    return [Driven(_part(ride, slice(k * count, (k + 1) * count)), first) for k in range(scales.size)]


def _part(ride: Ride, rows: slice) -> Ride:
    """Only these runs."""
    arrays = {
        name: getattr(ride, name)[rows]
        for name in (
            *("q", "speed", "acceleration", "lift", "load", "damper_length", "damper_speed", "suspension"),
            *("work_in", "heat", "gained", "imbalance", "verdict"),
        )
    }
    return Ride(car=ride.car, step=ride.step, **arrays)
