"""The first entries of a book: the car as it is, what is wanted, and the passes that were read before there was one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from cornerwright.model.car import Car
from cornerwright.model.entry import CarDescribed, Entry, TargetsSet
from cornerwright.model.reading import Reading, Readings
from cornerwright.model.target import Targets
from cornerwright.model.units import LENGTH, to_document

APART = timedelta(seconds=1)
SAME = 1e-6
"""Settings nearer to each other are the same [mm]."""


def first_entries(
    car: Car,
    targets: Targets | None = None,
    readings: Readings | None = None,
    *,
    currency: str | None = None,
    who: str | None = None,
    when: datetime | None = None,
) -> list[Entry]:
    """Entries to begin a book with.

    Passes come with the moves between them, as far as they tell their settings, each at its own time where it has one.
    when: the moment that the car is described at; None: the day of the first pass, or now.
    """
    passes = () if readings is None else readings.passes
    begins = when or min((at for one in passes if (at := _moment(one)) is not None), default=datetime.now(UTC))

    def entry(body: Any, at: datetime, by: str | None = None) -> Entry:
        return Entry.model_validate({"who": by or who, "when": at, "body": body})

    found = [entry(CarDescribed(kind="car", car=car, currency=currency), begins)]
    if targets is not None:
        found.append(entry(TargetsSet(kind="targets", targets=targets), begins))
    settings = {name: to_document(one.setting, LENGTH) for name, one in car.adjusters().items()}
    at = begins
    for one in passes:
        at = max(at + APART, _moment(one) or at)
        for name, setting in _moved(car, settings, one):
            settings[name] = setting
            found.append(entry({"kind": "move", "adjuster": name, "setting_to": setting}, at, one.who))
        found.append(entry({"kind": "reading", "reading": one}, at, one.who))
    return found


def _moment(reading: Reading) -> datetime | None:
    """When it was read, never later than now; of a day its evening."""
    when = reading.when
    if when is None:
        return None
    if not isinstance(when, datetime):
        when = datetime.combine(date(when.year, when.month, when.day), time(20))
    return min(when.astimezone(UTC), datetime.now(UTC))


def _moved(car: Car, settings: Mapping[str, float], reading: Reading) -> Iterator[tuple[str, float]]:
    """Adjusters that stand elsewhere when this was read, with their setting [mm]. Raises Refusal."""
    adjusters = car.adjusters()
    for name, value in reading.settings.items():
        if name in adjusters:
            setting = to_document(adjusters[name].travel_of(value), LENGTH)
            if abs(setting - settings[name]) > SAME:
                yield name, setting
