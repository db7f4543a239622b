"""From entries to the car as it is: each entry, in the order of events, changes the record a little."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from cornerwright.book.trouble import line_read
from cornerwright.model.entry import canonical
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import CORNER_READINGS
from cornerwright.model.record import Mark, Record, adjusters_in
from cornerwright.model.tree import path_of

Plain = dict[str, Any]

WRITTEN_DOWN = re.compile(r"(finding|later)_\d+@")
"""Names of jobs that an entry made."""


@dataclass(frozen=True)
class Row:
    """An entry as it stands in the book."""

    number: int
    moment: str
    line: str


def fold(record: Record, rows: Iterable[Row], instead: Mapping[int, Plain | None]) -> Record:
    """The record after these entries, which follow it; changed in place.

    instead: by number of an entry, the body that a correction puts in its place; None: it does not count.
    """
    for row in rows:
        entry: Plain = line_read(row.line)
        body: Plain | None = instead[row.number] if row.number in instead else entry["body"]
        record.step += 1
        record.number = max(record.number, row.number)
        record.moment = row.moment
        if body is None:
            continue
        apply = APPLY.get(body["kind"])
        if apply is not None:
            apply(record, _Event(row.number, row.moment, body))
        for job in entry.get("settles", ()):
            # What was written down is gone with that; what the rules of the trade ask for is counted from here.
            record.findings.pop(job, None)
            record.put_off.pop(job, None)
            if not WRITTEN_DOWN.match(job):
                record.settled[job] = _mark(record, row.number, row.moment)
        for job in entry.get("ready", ()):
            if job in record.put_off:
                record.put_off[job] = {**record.put_off[job], "come": _time(record, row.number, row.moment)}
    return record


@dataclass(frozen=True)
class _Event:
    number: int
    moment: str
    body: Plain

    def get(self, name: str, default: Any = None) -> Any:
        return self.body.get(name, default)


def _mark(record: Record, number: int, moment: str) -> Mark:
    return Mark(step=record.step, number=number, moment=moment, km=record.km, car=record.car)


def _time(record: Record, number: int, moment: str) -> Mark:
    """A mark of when alone: nobody asks what the car was then."""
    return Mark(step=record.step, number=number, moment=moment, km=record.km, car="")


def _marked(record: Record, event: _Event, *, without: tuple[str, ...] = ()) -> Plain:
    """The body without its kind, with a mark of now."""
    plain = {name: value for name, value in event.body.items() if name not in ("kind", *without)}
    plain["mark"] = _time(record, event.number, event.moment)
    return plain


def _key_car(record: Record) -> None:
    """Name the car as it is now."""
    car = {"doc": record.doc, "settings": dict(sorted(record.settings.items()))}
    record.car = hashlib.sha256(canonical(car).encode()).hexdigest()
    record.cars[record.car] = car
    if len(record.cars) > record.most_cars:
        record.pruned()


def _take_document(record: Record, document: Plain) -> None:
    record.doc = hashlib.sha256(canonical(document).encode()).hexdigest()
    record.docs[record.doc] = document


def _described(record: Record, event: _Event) -> None:
    document = event.body["car"]
    record.name = document["name"]
    record.invented = bool(document.get("invented"))
    record.currency = event.get("currency") or record.currency
    _take_document(record, document)
    record.settings = {name: float(one["setting"]) for name, one in adjusters_in(document).items()}
    _key_car(record)
    record.described = _mark(record, event.number, event.moment)


def _targets(record: Record, event: _Event) -> None:
    record.targets = event.body["targets"]


def part_key(place: str, part: str) -> str:
    """What tells a part on the car from others."""
    return f"{place}: {part}"


def _set(record: Record, event: _Event) -> None:
    """Fields of the car's document that an entry changes."""
    sets = event.get("sets") or {}
    if not sets or not record.doc:
        return
    document = json.loads(json.dumps(record.docs[record.doc]))
    before = {name: one.get("setting") for name, one in adjusters_in(document).items()}
    for field, value in sets.items():
        put(document, field, value)
    _take_document(record, document)
    for name, one in adjusters_in(document).items():
        setting = one.get("setting")
        if isinstance(setting, int | float) and (name not in before or before[name] != setting):
            record.settings[name] = float(setting)
    _key_car(record)


def _fitted(record: Record, event: _Event) -> None:
    key = part_key(event.body["place"], event.body["part"])
    _set(record, event)
    record.parts[key] = _marked(record, event, without=("sets",))
    record.kept.pop(key, None)
    record.cents += round(100 * (event.get("price") or 0.0))
    record.touched[f"part {key}"] = _touch(record, event, "fitted", event.body["part"])


def _removed(record: Record, event: _Event) -> None:
    key = part_key(event.body["place"], event.body["part"])
    was = record.parts.pop(key, None)
    if event.get("kept"):
        record.kept[key] = {"part": event.body["part"], "place": event.body["place"], "where": event.body["kept"]}
        if was is not None and was.get("price") is not None:
            record.kept[key]["price"] = was["price"]
    record.touched[f"part {key}"] = _touch(record, event, "removed", event.body["part"])


def _move(record: Record, event: _Event) -> None:
    name = event.body["adjuster"]
    record.settings[name] = float(event.body["setting_to"])
    _key_car(record)
    record.touched[f"move {name}"] = _touch(record, event, "moved", name)


def _touch(record: Record, event: _Event, kind: str, words: str) -> Plain:
    place = event.get("place") or words.partition(".")[0]
    return {"kind": kind, "place": place, "words": words, "mark": _time(record, event.number, event.moment)}


def _reading(record: Record, event: _Event) -> None:
    reading = event.body["reading"]
    for corner in CORNERS:
        values = reading.get(corner) or {}
        for name in CORNER_READINGS:
            value = values.get(name)
            if value is None:
                continue
            own = record.read.setdefault(corner, {})
            first = own[name]["first"] if name in own else value
            own[name] = {"value": value, "first": first, "mark": _mark(record, event.number, event.moment)}


def _joint(record: Record, event: _Event) -> None:
    if event.get("did") == "marked":
        was = record.joints.get(event.body["joint"])
        if was is not None:
            # A new line: what a snapshot or an earlier record holds is not changed under it.
            record.joints[event.body["joint"]] = {**was, "marked": event.get("marked") or "yes"}
        return
    record.joints[event.body["joint"]] = _marked(record, event, without=("joint",))
    if event.get("stood") == "ride_height":
        record.joints[event.body["joint"]]["mark"] = _mark(record, event.number, event.moment)


def slug(words: str) -> str:
    """Words as part of a job's name."""
    plain = re.sub(r"[^a-z0-9]+", "_", words.lower()).strip("_")[:40]
    return plain or hashlib.sha256(words.encode()).hexdigest()[:8]


def _finding(record: Record, event: _Event) -> None:
    record.findings[f"finding_{event.number}@{event.body['place']}"] = _marked(record, event)


def _put_off(record: Record, event: _Event) -> None:
    name = event.get("of") or f"later_{event.number}@{event.body.get('place', 'car')}"
    record.put_off[name] = _marked(record, event)


def _done(record: Record, event: _Event) -> None:
    record.hours = round(record.hours + (event.get("hours") or 0.0), 4)
    record.cents += round(100 * (event.get("price") or 0.0))


def _drive(record: Record, event: _Event) -> None:
    record.km = round(record.km + event.body["distance"], 4)


APPLY: dict[str, Callable[[Record, _Event], None]] = {
    "car": _described,
    "targets": _targets,
    "fitted": _fitted,
    "removed": _removed,
    "measured": _set,
    "move": _move,
    "reading": _reading,
    "joint": _joint,
    "finding": _finding,
    "put_off": _put_off,
    "done": _done,
    "drive": _drive,
}
"""What each kind of entry changes; a note and a correction change nothing by themselves."""


def put(document: Plain, field: str, value: Any) -> None:
    """Set a field of a car's document; `both` in place of a side sets left and right. Raises Refusal."""
    steps = path_of(field)
    if len(steps) > 1 and steps[1] == "both":
        for side in ("left", "right"):
            _put(document, (steps[0], side, *steps[2:]), value, field)
    else:
        _put(document, steps, value, field)


def _put(document: Any, steps: tuple[str | int, ...], value: Any, field: str) -> None:
    here = document
    for step in steps[:-1]:
        if isinstance(here, dict) and isinstance(step, str) and here.get(step) is None:
            here[step] = {}
        if not _has(here, step):
            raise Refusal.of(f"no {step} there", "a field of the car file", field=field)
        here = here[step]
    if not (isinstance(here, dict) and isinstance(steps[-1], str)) and not _has(here, steps[-1]):
        raise Refusal.of(f"no {steps[-1]} there", "a field of the car file", field=field)
    here[steps[-1]] = value


def _has(here: Any, step: str | int) -> bool:
    if isinstance(here, dict):
        return step in here
    return isinstance(here, list) and isinstance(step, int) and 0 <= step < len(here)
