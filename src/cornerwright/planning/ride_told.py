"""What a run over a road says: strokes, counts, comfort, frequencies, findings, in trade units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.ride_inputs import RideInputs
from cornerwright.mechanics.ride import Ride
from cornerwright.mechanics.ride_linear import Surface, scatter, straighten
from cornerwright.mechanics.ride_measures import (
    events,
    feel,
    load_variation,
    stroke_shares,
    weighted_from_spectrum,
    weighted_rms,
)
from cornerwright.mechanics.ride_rest import Rest
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import Finding
from cornerwright.model.results_road import CornerRoad, Landing, Mode, RoadRow, Straightened, StrokePart
from cornerwright.model.units import LENGTH, ROD_SPEED, SHARE, to_document

Array = NDArray[np.float64]

BINS = 20
PAUSE = 0.05
"""Two touches closer than this [s] are one (our own choice)."""
OFTEN = 1.0
"""Times a minute that a bump stop's end may be met before it is worth a word (our own choice)."""
LOOSE_GRIP = 0.30
"""Variation of a tyre's load from which grip is worth a word (our own choice)."""


@dataclass(frozen=True)
class Driven:
    """Runs side by side: stretches by rows by four, and from which row they count."""

    ride: Ride
    first: int

    @property
    def seconds(self) -> float:
        """Driven and counted [s]."""
        return float(self.ride.lift.shape[0] * (self.ride.lift.shape[1] - self.first) * self.ride.step)


def mm(value: float) -> float:
    """A length [m] as it is told."""
    return round(to_document(float(value), LENGTH), 2)


def percent(value: float) -> float:
    """A share [1] as it is told."""
    return round(to_document(float(value), SHARE), 3)


def known_percent(value: float) -> float | None:
    """A share [1] as it is told; None for one that there is not."""
    return percent(value) if np.isfinite(value) else None


def count_events(inputs: RideInputs, driven: Driven) -> dict[str, Array]:
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


def corner_rows(inputs: RideInputs, still: Rest, driven: Driven) -> dict[str, CornerRoad]:
    """Every corner over the whole run."""
    late = slice(driven.first, None)
    length = driven.ride.damper_length[:, late]
    stands = inputs.car.damper_length(still.lift)
    counts = count_events(inputs, driven)
    variation = load_variation(driven.ride.load[:, late])
    found: dict[str, CornerRoad] = {}
    for c, name in enumerate(CORNERS):
        stroke = inputs.open[c] - inputs.closed[c]
        shares = stroke_shares(length[:, :, c], inputs.closed[c], inputs.open[c], BINS)
        edges = np.linspace(0.0, stroke, BINS + 1)
        found[name] = CornerRoad(
            stroke_mm=mm(stroke),
            stands_at_mm=mm(stands[c] - inputs.closed[c]),
            stop_mm=mm(inputs.touch[c] - inputs.closed[c]),
            least_mm=mm(length[:, :, c].min() - inputs.closed[c]),
            most_mm=mm(length[:, :, c].max() - inputs.closed[c]),
            stop_per_minute=round(float(counts["stop"][c]), 3),
            bottoms_per_minute=round(float(counts["bottoms"][c]), 3),
            tops_per_minute=round(float(counts["tops"][c]), 3),
            lifts_per_minute=round(float(counts["lifts"][c]), 3),
            air_percent=percent(counts["air"][c]),
            load_variation_percent=known_percent(variation[c]),
            lift_rms_mm=mm(driven.ride.lift[:, late, c].std()),
            damper_rms_mm_per_s=round(to_document(float(driven.ride.damper_speed[:, late, c].std()), ROD_SPEED), 2),
            stroke=tuple(
                StrokePart(from_mm=mm(edges[k]), to_mm=mm(edges[k + 1]), time_percent=percent(shares[k]))
                for k in range(BINS)
            ),
        )
    return found


def comfort(driven: Driven) -> float:
    """Vertical acceleration over the body's centre of gravity [m/s2] rms, weighted by Wk of ISO 2631-1."""
    each = weighted_rms(driven.ride.acceleration[:, driven.first :, 0], driven.ride.step)
    return float(f"{np.sqrt((each**2).mean()):.4g}")


def road_row(inputs: RideInputs, name: str, driven: Driven) -> RoadRow:
    """A road in one line."""
    sound = all(verdict == "done" for verdict in driven.ride.verdict)
    if not sound:
        none = dict.fromkeys(set(RoadRow.model_fields) - {"road"})
        return RoadRow(road=name, **none)
    weighted, counts = comfort(driven), count_events(inputs, driven)
    return RoadRow(
        road=name,
        weighted_m_per_s2=weighted,
        feel=feel(weighted),
        worst_load_variation_percent=known_percent(np.fmax.reduce(load_variation(driven.ride.load[:, driven.first :]))),
        stop_per_minute=round(float(counts["stop"].max()), 3),
        bottoms_per_minute=round(float(counts["bottoms"].max()), 3),
        tops_per_minute=round(float(counts["tops"].max()), 3),
        air_percent=percent(counts["air"].max()),
    )


def frequencies(
    inputs: RideInputs, still: Rest, surface: Surface | None, driven: Driven | None
) -> tuple[Straightened | None, tuple[Mode, ...]]:
    """The same run by frequencies, and how the car swings; of a measured road only the swings."""
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
        lift_rms_mm={name: mm(found.lift_rms[c]) for c, name in enumerate(CORNERS)},
        load_variation_percent={name: percent(share[c]) for c, name in enumerate(CORNERS)},
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
                damping_percent=percent(share[k]),
            )
        )
    return tuple(found)


def findings(corners: dict[str, CornerRoad], drops: tuple[Landing, ...], kerbs: tuple[Landing, ...]) -> list[Finding]:
    """What is worth a word."""
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
    swings = {name: corner.load_variation_percent or 0.0 for name, corner in corners.items()}
    worst = max(swings, key=lambda name: swings[name])
    swing = swings[worst]
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


def lost() -> Finding:
    """A run that cannot be told."""
    says = "the run could not be followed, or its energy's books do not close: nothing is said about this road"
    return Finding(level="warning", place="car", about="road", says=says, do="a milder road or a lower speed")
