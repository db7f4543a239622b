"""What the readings taught, in a few lines: what the car is, what they cannot see, what to read next."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import shown
from cornerwright.assembly.rig import Rig, loose_in
from cornerwright.assembly.unknowns import Unknown
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import CORNER_READINGS, Reading, Readings
from cornerwright.model.results_plan import LearnResult, Lesson, NextReading
from cornerwright.model.units import KINDS
from cornerwright.planning.learn import NUDGE, Belief, learn
from cornerwright.planning.observe import Key, gauge_scatter, pick, zeros
from cornerwright.planning.passes import as_it_stands
from cornerwright.planning.plan import about_readings, about_sides
from cornerwright.planning.taught import taught_car
from cornerwright.planning.wants import TOLERANCE

Array = NDArray[np.float64]

UNSEEN = 0.9
"""An unknown whose standard deviation stays above this share of what it was is not seen by the readings."""

TOLD = 0.5
"""An unknown is told of when it moved by this many prior standard deviations, or its doubt shrank to about 72 %."""

MOST = 12
"""Lessons told at most; the rest are counted."""


def fitted(car: Car, readings: Readings | Reading) -> tuple[Rig, Belief]:
    """The car fitted to its readings. Raises Refusal for settings that the car does not have."""
    rig = Rig(as_it_stands(car, readings))
    return rig, learn(rig, readings)


def teach(car: Car, readings: Readings | Reading) -> LearnResult:
    """Fit the car to its readings and explain. Raises Refusal for settings that the car does not have."""
    return explained(*fitted(car, readings), readings)


def explained(rig: Rig, belief: Belief, readings: Readings | Reading) -> LearnResult:
    """What the readings taught, in a few lines."""
    sd = belief.sd()
    lessons = [_lesson(block, belief.mean, sd) for block in rig.unknowns.blocks if block.kind and block.scale > 0]
    told = sorted((one for one in lessons if one.weight >= TOLD), key=lambda one: -one.weight)
    unseen = [one.what for one in lessons if one.doubt_left >= UNSEEN]
    latest = readings.latest if isinstance(readings, Readings) else readings
    return LearnResult(
        car=rig.car.name,
        verdict=belief.verdict,
        passes_used=len(readings.passes) - len(belief.mute) if isinstance(readings, Readings) else 1,
        passes_without_settings=belief.mute,
        learned=tuple(one.lesson for one in told[:MOST]),
        more_learned=max(0, len(told) - MOST),
        unseen=tuple(unseen),
        read_next=_next_readings(rig, belief, latest) if belief.verdict == "fitted" else (),
        findings=tuple(about_readings(belief) + about_sides(belief)),
    )


def teach_car(car: Car, readings: Readings | Reading) -> Car:
    """The most probable car, with the doubt left: to be used with new readings only."""
    return taught_car(*fitted(car, readings))


@dataclass(frozen=True)
class _Told:
    what: str
    weight: float
    doubt_left: float
    lesson: Lesson


def _lesson(block: Unknown, mean: Array, sd: Array) -> _Told:
    z, left = mean[block.where], sd[block.where]
    doubt_left = float(np.sqrt(np.mean(left**2)))
    weight = float(max(np.abs(z).max(), (1 - doubt_left) / TOLD * 0.9))
    if block.relative:
        value = float(np.expm1(block.scale * z[0]))
    else:
        value = float(block.scale * (z[0] if z.size == 1 else np.linalg.norm(z)))
    kind = KINDS.get(block.kind, KINDS["share"])
    return _Told(
        block.label,
        weight,
        doubt_left,
        Lesson(
            what=block.label,
            unit=kind.unit,
            change=shown(value, kind),
            sigma=shown(block.scale * doubt_left, kind),
            sigma_before=shown(block.scale, kind),
        ),
    )


def _next_readings(rig: Rig, belief: Belief, latest: Reading) -> tuple[NextReading, ...]:
    """The readings that would take most doubt off what is set on a car: heights, loads and angles as they stand."""
    loose = loose_in(latest.state)
    p = belief.mean.size
    spread = belief.mean + np.concatenate([np.zeros((1, p)), NUDGE * np.eye(p)])
    variant = rig.vary(unknowns=spread, loose=loose)
    at = outputs(variant, variant.stand(), gradients=False)
    keys: list[Key] = [(corner, name) for corner in CORNERS for name in CORNER_READINGS]
    value = pick(at, tuple(keys))
    there = np.all(np.isfinite(value), axis=0)
    keys = [key for key, fine in zip(keys, there.tolist(), strict=True) if fine]
    slope = (value[1:, there] - value[:1, there]).T / NUDGE  # (k, p) of the true values
    seen = slope + zeros(rig, tuple(keys), np.eye(p)).T  # (k, p) of what gauges show
    scatter = gauge_scatter(latest.gauges, tuple(keys), float(at.corner["load"][0].sum()))
    root = belief.posterior_root()  # (p, p)
    aims = [k for k, (_, name) in enumerate(keys) if name in ("height", "load", "camber", "toe", "caster")]
    scale = np.array([TOLERANCE[keys[k][1]] for k in aims])
    aimed = (slope[aims] @ root) / scale[:, None]
    doubt = float((aimed**2).sum())
    found = []
    for k, (corner, name) in enumerate(keys):
        along = root.T @ seen[k]
        gain = float(((aimed @ along) ** 2).sum() / (along @ along + scatter[k] ** 2))
        again = (corner, name) in belief.keys[belief.last]
        found.append(
            NextReading(
                corner=corner or "car",
                reading=name,
                again=again,
                takes_off_percent=100 * gain / doubt if doubt > 0 else 0.0,
            )
        )
    found.sort(key=lambda one: -one.takes_off_percent)
    return tuple(found[:3])
