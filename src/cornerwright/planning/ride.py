"""The car on the road: will it bottom, does it leave the ground, how does it ride, what does a kerb or a jump do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.report import shown
from cornerwright.assembly.ride_inputs import RideInputs, ride_inputs
from cornerwright.mechanics import road as roads
from cornerwright.mechanics.ride import Rest, Ride, drive, hanging, longest_step, rest
from cornerwright.mechanics.ride_linear import Surface, scatter, straighten
from cornerwright.mechanics.ride_measures import (
    events,
    feel,
    load_variation,
    stroke_shares,
    weighted_from_spectrum,
    weighted_rms,
)
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.profile import Profile
from cornerwright.model.results import Finding
from cornerwright.model.results_road import (
    CornerRoad,
    Landing,
    Mode,
    RoadResult,
    RoadRow,
    Straightened,
    StrokePart,
)
from cornerwright.model.units import FORCE, LENGTH, ROD_SPEED, SHARE, SPEED, STANDARD_GRAVITY, to_document

Array = NDArray[np.float64]

STEP = 1e-3
"""Longest step in time [s]."""
ROW = 0.05
"""Distance from row to row of an invented road [m]."""
RUN_IN = 3.0
"""Time [s] before a stretch of road counts: the car has forgotten how it began."""
STRETCHES = 8
"""Parts of one road that are driven side by side, each after its own run-in."""
COMPARED: tuple[roads.RoadClass, ...] = ("A", "B", "C", "D", "E")
BINS = 20
PAUSE = 0.05
"""Two touches closer than this [s] are one (our own choice)."""
OFTEN = 1.0
"""Times a minute that a bump stop's end may be met before it is worth a word (our own choice)."""
LOOSE_GRIP = 0.30
"""Variation of a tyre's load from which grip is worth a word (our own choice)."""
DROPS = (0.025, 0.05, 0.075, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5)
KERBS = (0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15)
"""Heights [m] that are tried."""

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


@dataclass(frozen=True)
class _Driven:
    """Runs side by side: stretches by rows by four, and from which row they count."""

    ride: Ride
    first: int

    @property
    def seconds(self) -> float:
        return float(self.ride.lift.shape[0] * (self.ride.lift.shape[1] - self.first) * self.ride.step)


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
    where a damper has no curve, the car does not stand, or the road is too short.
    """
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
    driven = _drive(inputs, tracks, row, speed, seconds, step, car.wheelbase, scales, count)
    whole = driven[chosen]
    sound = all(verdict == "done" for verdict in whole.ride.verdict)
    progress(0.7, "trying drops and kerbs")
    drops, kerbs = _drops(inputs, still, step), _kerbs(inputs, still, step, kerb_speed, car.wheelbase)
    corners = _corners(inputs, still, whole) if sound else {}
    surface = None
    if not isinstance(on, Profile):
        apart = (car.front.track + car.rear.track) / 2.0
        surface = Surface(roads.CLASS_MEAN[on], speed, apart, car.wheelbase)
    straight, modes = _straight(inputs, still, surface, whole if sound else None)
    mine = _weighted(whole) if sound else None
    found = _findings(corners, drops, kerbs) if sound else [_lost()]
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
        roads=tuple(_row(inputs, name, one) for name, one in zip(names, driven, strict=True)),
        modes=modes,
        straightened=straight,
        drops=drops,
        kerbs=kerbs,
        drop_bottoms_from_mm=_least(drops),
        kerb_bottoms_from_mm=_least(kerbs),
        kerb_speed_km_per_h=shown(kerb_speed, SPEED),
        energy_off_percent=float(f"{np.nanmax(whole.ride.imbalance) * 100:.3g}") if sound else None,
        assumed=(*ASSUMED, *(f"Not in the file and guessed: {one}." for one in inputs.guessed)),
        cautions=CAUTIONS,
    )


# Driving ------------------------------------------------------------------------------------------


def _drive(
    inputs: RideInputs,
    tracks: Array,
    row: float,
    speed: float,
    seconds: float,
    step: float,
    wheelbase: float,
    scales: Array,
    count: int,
) -> list[_Driven]:
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
    return [_Driven(_part(ride, slice(k * count, (k + 1) * count)), first) for k in range(scales.size)]


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


def _drops(inputs: RideInputs, still: Rest, step: float) -> tuple[Landing, ...]:
    """The car falls level, wheels hanging, onto all four."""
    n = len(DROPS)
    fall = np.zeros((n, 7))
    fall[:, [0, 3, 4, 5, 6]] = -np.sqrt(2.0 * STANDARD_GRAVITY * np.array(DROPS))[:, None]
    ride = drive(inputs.car, np.zeros((n, round(1.0 / step), 4)), step, hanging(inputs.car), fall)
    return tuple(_landing(inputs, "drop", height, ride, k) for k, height in enumerate(DROPS))


def _kerbs(inputs: RideInputs, still: Rest, step: float, speed: float, wheelbase: float) -> tuple[Landing, ...]:
    """The left wheels climb a kerb one after the other."""
    rows = round((1.0 + wheelbase / speed + 1.0) / step)
    ahead = np.arange(rows) * step * speed
    radius = float(inputs.radius.min())
    heights = np.zeros((len(KERBS), rows, 4))
    for k, height in enumerate(KERBS):
        ramp = roads.kerb_ramp(radius, height)
        heights[k, :, 0] = roads.kerb(ahead, 0.2 * speed, height, ramp)
        heights[k, :, 2] = roads.kerb(ahead, 0.2 * speed + wheelbase, height, ramp)
    ride = drive(inputs.car, heights, step, still.q)
    return tuple(_landing(inputs, "kerb", height, ride, k) for k, height in enumerate(KERBS))


def _landing(inputs: RideInputs, what: str, height: float, ride: Ride, k: int) -> Landing:
    if ride.verdict[k] == "lost":
        tall = f"{to_document(height, LENGTH):g} mm"
        raise Refusal.of(f"a {what} of {tall} that cannot be followed", "springs and stops that hold the car")
    least = ride.damper_length[k].min(axis=0)
    peak = ride.load[k].max(axis=0)
    return Landing(
        what="drop" if what == "drop" else "kerb",
        height_mm=shown(height, LENGTH),
        least_mm={name: _mm(least[c] - inputs.closed[c]) for c, name in enumerate(CORNERS)},
        bottoms=tuple(name for c, name in enumerate(CORNERS) if least[c] <= inputs.bump[c]),
        peak_load_n={name: float(f"{to_document(peak[c], FORCE):.4g}") for c, name in enumerate(CORNERS)},
    )


def _least(tried: tuple[Landing, ...]) -> float | None:
    return next((one.height_mm for one in tried if one.bottoms), None)


# Saying -------------------------------------------------------------------------------------------


def _mm(value: float) -> float:
    return round(to_document(float(value), LENGTH), 2)


def _percent(value: float) -> float:
    return round(to_document(float(value), SHARE), 3)


def _counts(inputs: RideInputs, driven: _Driven) -> dict[str, Array]:
    """Times a minute (4,) of each event, and the share of time in the air."""
    length = np.swapaxes(driven.ride.damper_length[:, driven.first :], 1, 2)
    load = np.swapaxes(driven.ride.load[:, driven.first :], 1, 2)
    apart = round(PAUSE / driven.ride.step)
    minutes = driven.seconds / 60.0

    def a_minute(inside: NDArray[np.bool_]) -> Array:
        return np.asarray(events(inside, apart).sum(axis=0) / minutes)

    return {
        "stop": a_minute(length < inputs.touch[:, None]),
        "bottoms": a_minute(length <= inputs.bump[:, None]),
        "tops": a_minute(length >= inputs.open[:, None]),
        "lifts": a_minute(load <= 0.0),
        "air": np.asarray((load <= 0.0).mean(axis=(0, 2))),
    }


def _corners(inputs: RideInputs, still: Rest, driven: _Driven) -> dict[str, CornerRoad]:
    late = slice(driven.first, None)
    length = driven.ride.damper_length[:, late]
    stands = inputs.car.damper_length(still.lift)
    counts = _counts(inputs, driven)
    variation = load_variation(driven.ride.load[:, late])
    found: dict[str, CornerRoad] = {}
    for c, name in enumerate(CORNERS):
        stroke = inputs.open[c] - inputs.closed[c]
        shares = stroke_shares(length[:, :, c], inputs.closed[c], inputs.open[c], BINS)
        edges = np.linspace(0.0, stroke, BINS + 1)
        found[name] = CornerRoad(
            stroke_mm=_mm(stroke),
            stands_at_mm=_mm(stands[c] - inputs.closed[c]),
            stop_mm=_mm(inputs.touch[c] - inputs.closed[c]),
            least_mm=_mm(length[:, :, c].min() - inputs.closed[c]),
            most_mm=_mm(length[:, :, c].max() - inputs.closed[c]),
            stop_per_minute=round(float(counts["stop"][c]), 3),
            bottoms_per_minute=round(float(counts["bottoms"][c]), 3),
            tops_per_minute=round(float(counts["tops"][c]), 3),
            lifts_per_minute=round(float(counts["lifts"][c]), 3),
            air_percent=_percent(counts["air"][c]),
            load_variation_percent=_percent(variation[c]),
            lift_rms_mm=_mm(driven.ride.lift[:, late, c].std()),
            damper_rms_mm_per_s=round(to_document(float(driven.ride.damper_speed[:, late, c].std()), ROD_SPEED), 2),
            stroke=tuple(
                StrokePart(from_mm=_mm(edges[k]), to_mm=_mm(edges[k + 1]), time_percent=_percent(shares[k]))
                for k in range(BINS)
            ),
        )
    return found


def _weighted(driven: _Driven) -> float:
    each = weighted_rms(driven.ride.acceleration[:, driven.first :, 0], driven.ride.step)
    return float(f"{np.sqrt((each**2).mean()):.4g}")


def _row(inputs: RideInputs, name: str, driven: _Driven) -> RoadRow:
    sound = all(verdict == "done" for verdict in driven.ride.verdict)
    if not sound:
        none = dict.fromkeys(set(RoadRow.model_fields) - {"road"})
        return RoadRow(road=name, **none)
    weighted, counts = _weighted(driven), _counts(inputs, driven)
    return RoadRow(
        road=name,
        weighted_m_per_s2=weighted,
        feel=feel(weighted),
        worst_load_variation_percent=_percent(load_variation(driven.ride.load[:, driven.first :]).max()),
        stop_per_minute=round(float(counts["stop"].max()), 3),
        bottoms_per_minute=round(float(counts["bottoms"].max()), 3),
        tops_per_minute=round(float(counts["tops"].max()), 3),
        air_percent=_percent(counts["air"].max()),
    )


def _straight(
    inputs: RideInputs, still: Rest, surface: Surface | None, driven: _Driven | None
) -> tuple[Straightened | None, tuple[Mode, ...]]:
    if (still.load <= 0.0).any():
        return None, ()
    if surface is None:
        if driven is None:
            return None, ()
        speeds = driven.ride.damper_speed[:, driven.first :].std(axis=(0, 1))
        return None, _modes(straighten(inputs.car, speeds).modes())
    found = scatter(inputs.car, surface)
    if found.verdict != "settled":
        nothing = {"weighted_m_per_s2": None, "lift_rms_mm": None, "load_variation_percent": None}
        return Straightened(verdict="unsettled", **nothing), _modes(found.straight.modes())
    share = found.load_rms / still.load
    told = Straightened(
        verdict="settled",
        weighted_m_per_s2=float(f"{weighted_from_spectrum(found.frequency, found.body):.4g}"),
        lift_rms_mm={name: _mm(found.lift_rms[c]) for c, name in enumerate(CORNERS)},
        load_variation_percent={name: _percent(share[c]) for c, name in enumerate(CORNERS)},
    )
    return told, _modes(found.straight.modes())


def _modes(modes: tuple[Array, Array, Array]) -> tuple[Mode, ...]:
    """Each swing by its largest part, heights and angles made alike by the car's size."""
    frequency, share, shapes = modes
    found = []
    for k in range(7):
        part = np.abs(shapes[:, k]) * np.array([1.0, 1.2, 0.7, 1.0, 1.0, 1.0, 1.0])
        largest = int(np.argmax(part))
        if largest < 3:
            what = ("heave", "pitch", "roll")[largest]
            sizes = zip(("heave", "pitch", "roll"), part[:3], strict=True)
            beside = [name for name, size in sizes if size > 0.4 * part.max()]
            what = " and ".join(sorted(beside, key=lambda name: name != what))
        else:
            end = "front" if largest < 5 else "rear"
            first = 3 if largest < 5 else 5
            same = shapes[first, k] * shapes[first + 1, k] > 0.0
            what = f"{end} wheels, {'together' if same else 'in turn'}"
        found.append(
            Mode(
                what=what,
                frequency_hz=round(float(frequency[k]), 3),
                damping_percent=_percent(share[k]),
            )
        )
    return tuple(found)


def _findings(corners: dict[str, CornerRoad], drops: tuple[Landing, ...], kerbs: tuple[Landing, ...]) -> list[Finding]:
    found = []
    for name, corner in corners.items():
        if corner.bottoms_per_minute > OFTEN:
            says = f"comes to the end of its bump stop {corner.bottoms_per_minute:.0f} times a minute on this road"
            do = "a stiffer or longer spring, more bump damping, or more height: see cornerwright plan and check"
            found.append(Finding(level="warning", place=name, about="bump", says=says, do=do))
        if corner.tops_per_minute > OFTEN:
            says = f"the damper is pulled right out {corner.tops_per_minute:.0f} times a minute on this road"
            do = "set the damper longer (its body), or take a longer one: its own end must not be the droop stop"
            found.append(Finding(level="warning", place=name, about="droop", says=says, do=do))
    worst = max(corners, key=lambda name: corners[name].load_variation_percent)
    swing = corners[worst].load_variation_percent
    if swing > to_document(LOOSE_GRIP, SHARE):
        says = (
            f"the tyre's load swings by {swing:.0f} % here, most of all corners (one standard deviation): little grip"
        )
        found.append(Finding(level="note", place=worst, about="grip", says=says))
    for what, tried in (("a drop", drops), ("a kerb", kerbs)):
        first = next((one for one in tried if one.bottoms), None)
        if first is not None:
            where = ", ".join(one.replace("_", " ") for one in first.bottoms)
            says = f"{what} of {first.height_mm:g} mm takes all the travel: {where}"
            found.append(Finding(level="note", place="car", about="bump", says=says))
    return found


def _lost() -> Finding:
    says = "the run could not be followed, or its energy's books do not close: nothing is said about this road"
    return Finding(level="warning", place="car", about="road", says=says, do="a milder road or a lower speed")
