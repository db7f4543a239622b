"""The passes of readings as the fit takes them: each with the settings and the state the car was in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig, loose_in
from cornerwright.assembly.taken import as_readings
from cornerwright.model.car import Car
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.reading import Reading, Readings
from cornerwright.planning.observe import Observations, observations, pick

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Taken:
    """One pass: what was read, at which settings (m,) [m], with what loose."""

    read: Observations
    settings: Array
    loose: Loose
    checked: tuple[bool, ...]
    """Which of the readings were read again and are right"""
    friction: float
    """How far friction may hold each wheel off its rest, one standard deviation [m]."""


def as_it_stands(car: Car, readings: Readings | Reading | None) -> Car:
    """The car with the settings that its last pass of readings names.

    Raises Refusal, by pass and adjuster, for a setting that the car does not have.
    """
    latest = readings.latest if isinstance(readings, Readings) else readings
    return car if latest is None else car.at_settings(_travels(car, latest, "the last pass"))


UNREAD = ("brakes", "brake", "joints", "fastening", "room", "name")
"""Groups of a car's document that no reading of heights, loads and angles depends on."""


def alike(document: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether readings taken of one car hold for the other too: they differ in nothing that moves a reading.

    Documents as a book keeps them; settings are told apart from them.
    """
    return bool(_read(document) == _read(other))


def _read(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {name: _read(one) for name, one in value.items() if name not in UNREAD}
    return [_read(one) for one in value] if isinstance(value, list | tuple) else value


def _travels(car: Car, reading: Reading, which: str) -> dict[str, float]:
    adjusters = car.adjusters()
    problems: list[Problem] = []
    found: dict[str, float] = {}
    for name, value in reading.settings.items():
        if name not in adjusters:
            known = ", ".join(adjusters) or "none"
            problems.append(
                Problem(None, None, f"settings.{name} of {which}", "an unknown adjuster", f"one of {known}")
            )
            continue
        try:
            found[name] = adjusters[name].travel_of(value)
        except Refusal as refusal:
            problems += [
                Problem(None, None, f"settings.{name} of {which}", one.found, one.expected) for one in refusal.problems
            ]
    if problems:
        raise Refusal(problems)
    return found


def taken_passes(rig: Rig, readings: Readings | Reading | None) -> tuple[tuple[Taken, ...], tuple[int, ...]]:
    """The passes that can teach, oldest first, and the numbers (from 1) of those that cannot.

    The last pass is read at the rig's settings; an earlier one teaches only if it names its settings.
    """
    if readings is None:
        return (), ()
    every = readings.passes if isinstance(readings, Readings) else (readings,)
    kept: list[Taken] = []
    mute: list[int] = []
    for number, reading in enumerate(every, start=1):
        last = number == len(every)
        if not last and not reading.settings:
            mute.append(number)
            continue
        travels = {} if last else _travels(rig.car, reading, f"pass {number}")
        settings = np.array([travels.get(slot.name, slot.adjuster.setting) for slot in rig.slots])
        loose = loose_in(reading.state)
        read = _known_to_the_model(rig, observations(as_readings(reading, rig)), settings, loose)
        if read.keys:
            checked = tuple((f"{key[0]}.{key[1]}" if key[0] else key[1]) in reading.checked for key in read.keys)
            kept.append(Taken(read, settings, loose, checked, reading.gauges.friction))
    return tuple(kept), tuple(mute)


def _known_to_the_model(rig: Rig, read: Observations, settings: Array, loose: Loose) -> Observations:
    """Leave out readings that the model has no value for (caster without any in the jack table)."""
    variant = rig.vary(settings, loose=loose)
    stance = variant.stand()
    if not stance.stands[0]:
        return read  # the fit will say so
    keep = ~np.isnan(pick(outputs(variant, stance, gradients=False), read.keys)[0])
    keys = tuple(key for key, kept in zip(read.keys, keep, strict=True) if kept)
    return Observations(keys, read.value[keep], read.scatter[keep])
