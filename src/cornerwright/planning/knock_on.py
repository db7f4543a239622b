"""Knock-on: what moves, parts and readings have made stale, by predicted shift and by the trade's rules."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cornerwright.model.entry import day_of
from cornerwright.model.parts import CORNERS
from cornerwright.model.record import Mark, Record, adjusters_in
from cornerwright.model.results_book import Figure, Job
from cornerwright.model.target import Targets
from cornerwright.model.units import ANGLE, LENGTH, SHARE, WEIGHT, Kind, to_document
from cornerwright.planning.knock_events import as_put_off, happened, touches, written_down
from cornerwright.planning.knock_words import in_words, key_words, listed, spoken
from cornerwright.planning.trade_rules import EVENTS, PART_READINGS, SHIFTS, Judged, Rule, Shift

Figures = Mapping[str, Mapping[str, float | None]]
Known = Mapping[str, Figures]
"""Figures of each car, by its key in the record."""

KIND: dict[str, Kind] = {
    "height": LENGTH,
    "load": WEIGHT,
    "camber": ANGLE,
    "toe": ANGLE,
    "caster": ANGLE,
    "damper_length": LENGTH,
    "spring_held": LENGTH,
    "stroke_share": SHARE,
}
NO_SHIFT = 1e-9

READ_AS = {
    "height_mm": "height",
    "load_kg": "load",
    "camber_deg": "camber",
    "toe_deg": "toe",
    "caster_deg": "caster",
    "damper_mm": "damper_length",
}
"""Readings behind the figures that a gauge shows."""

MOST_SHOWN = 4
"""Numbers of one job that are told in its reason; all of them are among its figures."""

BY_SHIFT = ("beam_mm_at_10_m", "twist_mm", "push_n", "bar_mm")
"""Figures of which the shift alone says something."""


@dataclass(frozen=True)
class _Case:
    """What every rule looks at."""

    record: Record
    known: Known
    tolerances: Mapping[tuple[str, str], float]
    """Of the targets, by corner and reading, in document units."""

    def figures(self, key: str) -> Figures:
        return self.known.get(key, {})

    @property
    def now(self) -> Figures:
        return self.figures(self.record.car)


def cars_needed(record: Record) -> set[str]:
    """Keys of the cars whose figures `open_jobs` asks for."""
    if record.described is None:
        return set()
    keys = {record.car, record.described["car"]}
    for rule in SHIFTS:
        for place in places_of(rule):
            keys |= {_last(record, rule, place, one)["car"] for one in (*_parts_of(place), place)}
    keys |= {one["mark"]["car"] for own in record.read.values() for one in own.values()}
    return keys & set(record.cars)


def open_jobs(record: Record, known: Known) -> list[Job]:
    """Every job that is open, in no order. known: figures of the cars that `cars_needed` names."""
    if record.described is None:
        return []
    adjusters = adjusters_in(record.docs[record.doc])
    kinds = {name: one["kind"] for name, one in adjusters.items()}
    case = _Case(record, known, _tolerances(record))
    found: list[Job] = []
    if not case.now:
        found.append(_does_not_stand(record))
    for shift in SHIFTS:
        found += [job for place in places_of(shift) if (job := _shifted(case, shift, place)) is not None]
    for event in EVENTS:
        found += [job for place in places_of(event) if (job := happened(record, kinds, event, place)) is not None]
    return [as_put_off(record, job) for job in (*found, *written_down(record))]


def places_of(rule: Rule) -> tuple[str, ...]:
    """Where a rule makes jobs: the axles or the car."""
    return ("car",) if rule.per == "car" else rule.axles


def _parts_of(place: str) -> tuple[str, ...]:
    """Corners of an axle, or of the car."""
    return CORNERS if place == "car" else tuple(one for one in CORNERS if one.startswith(place))


def _does_not_stand(record: Record) -> Job:
    return Job(
        name="stand@car",
        title="The car does not stand",
        place="car",
        do="See `check` of the car as it is now; look at perch settings and what the parts fitted last have set.",
        reason="no rest was found with the springs, masses and settings that the book has",
        rule="what a change makes stale can only be reckoned on a car that stands",
        source="computed",
        stops_driving=True,
        stands="raised",
        entries=(record.number,),
    )


# ---------------------------------------------------------------------- by predicted shift


def _last(record: Record, rule: Shift, place: str, corner: str) -> Mark:
    """When this was last in order at this corner: read, settled, or described with the car."""
    assert record.described is not None
    marks = [record.described]
    for name in (f"{rule.name}@{place}", f"{rule.name}@{corner}", f"{rule.name}@car"):
        if name in record.settled:
            marks.append(record.settled[name])
    if rule.reading is not None:
        read = record.read.get(corner, {}).get(rule.reading)
        if read is not None:
            marks.append(read["mark"])
    if rule.name == "bushes":
        axle = corner.partition("_")[0]
        for joint, one in record.joints.items():
            clamps = one["state"] == "tight" and one.get("stood") == "ride_height" and "bush" in joint.lower()
            if clamps and one.get("place") in (corner, axle):
                marks.append(one["mark"])
    return max(marks, key=lambda mark: mark["step"])


def _shifted(case: _Case, rule: Shift, place: str) -> Job | None:
    figures: list[Figure] = []
    beyond = False
    marks: list[Mark] = []
    where = [*_parts_of(place), place]
    for corner in dict.fromkeys(where):
        mark = _last(case.record, rule, place, corner)
        then, now = case.figures(mark["car"]).get(corner, {}), case.now.get(corner, {})
        own = [_figure(corner, one.key, _tolerance(case, one, corner), then, now, rule, case, mark)
               for one in rule.judged if one.key in now]  # fmt: skip
        if not own:
            continue
        marks.append(mark)
        beyond = beyond or any(_is_beyond(one) for one in own)
        figures += own
        figures += [_figure(corner, key, None, then, now, rule, case, mark) for key in rule.told if key in now]
        if rule.name == "bushes":
            figures.append(_push(case, corner, own[0]))
    if rule.per == "car":
        figures += [
            _figure("car", key, None, case.figures(marks[0]["car"]).get("car", {}), case.now.get("car", {}), rule,
                    case, marks[0])
            for key in rule.told if marks and key in case.now.get("car", {}) and not _has(figures, "car", key)
        ]  # fmt: skip
    if not figures:
        return None
    oldest = min(marks, key=lambda mark: mark["step"])
    parts = _parts_since(case.record, rule, place, oldest)
    loose = _comes_loose(figures)
    if not (beyond or parts or loose):
        return None
    return Job(
        name=f"{rule.name}@{place}",
        title=rule.title if place == "car" else f"{rule.title}, {place}",
        place=place,
        do=rule.do,
        reason=_why(case, rule, place, oldest, parts, figures),
        rule=rule.why,
        source=rule.source,
        figures=tuple(figures),
        stops_driving=rule.stops_driving or loose,
        stands=rule.stands,
        minutes=rule.minutes,
        entries=_entries_since(case.record, rule, place, oldest),
    )


def _has(figures: Iterable[Figure], place: str, key: str) -> bool:
    return any(one.place == place and one.key == key for one in figures)


def _figure(
    place: str,
    key: str,
    tolerance: float | None,
    then: Mapping[str, float | None],
    now: Mapping[str, float | None],
    rule: Shift,
    case: _Case,
    mark: Mark,
) -> Figure:
    was, present = then.get(key), now.get(key)
    off = _off(case, place, key)
    was = None if was is None else round(was + off, 6)
    present = None if present is None else round(present + off, 6)
    if rule.name == "bushes" and key == "twist_mm" and mark is case.record.described:
        was = _clamped_at(case, place)
    shift = None if was is None or present is None else round(present - was, 4)
    return Figure(place=place, key=key, was=was, now=present, shift=shift, tolerance=tolerance)


def _off(case: _Case, place: str, key: str) -> float:
    """What the gauge last showed less what the model has for that car: the model's shifts start from the reading."""
    name = READ_AS.get(key, "")
    read = case.record.read.get(place, {}).get(name)
    if read is None:
        return 0.0
    value, modelled = read["value"], case.figures(read["mark"]["car"]).get(place, {}).get(key)
    return 0.0 if modelled is None or not isinstance(value, int | float) else float(value) - modelled


def _clamped_at(case: _Case, corner: str) -> float | None:
    end, _, side = corner.partition("_")
    bushes = case.record.docs[case.record.doc][end][side].get("bushes")
    return None if bushes is None else float(bushes.get("clamped_at", 0.0))


def _push(case: _Case, corner: str, twist: Figure) -> Figure:
    """Force of the twisted bushes at the wheel."""
    end, _, side = corner.partition("_")
    bushes = case.record.docs[case.record.doc][end][side]["bushes"]
    rate = bushes["rate"]
    push = None if twist.shift is None or not isinstance(rate, int | float) else round(abs(rate * twist.shift), 1)
    return Figure(place=corner, key="push_n", was=0.0, now=push, shift=push, tolerance=None)


def _is_beyond(figure: Figure) -> bool:
    """Beyond its tolerance, or not known how it was: then nobody can say that it still holds."""
    if figure.tolerance is None or figure.now is None:
        return False
    return figure.shift is None or abs(figure.shift) > figure.tolerance + NO_SHIFT


def _comes_loose(figures: Iterable[Figure]) -> bool:
    """A separate spring that would fall out of its seats at full droop, and did not before."""
    return any(
        one.key == "spring_held_mm" and one.now is not None and one.now < -NO_SHIFT and (one.was or 0.0) >= -NO_SHIFT
        for one in figures
    )


def _tolerances(record: Record) -> dict[tuple[str, str], float]:
    """What the targets allow to either side, by corner and reading, in document units."""
    if record.targets is None:
        return {}
    found = {}
    for (corner, reading), band in Targets.model_validate(record.targets).bands().items():
        if corner is not None and band.within == band.within and reading in KIND:  # not nan
            found[(str(corner), reading)] = to_document(band.within, KIND[reading])
    return found


def _tolerance(case: _Case, judged: Judged, corner: str) -> float:
    if judged.target is None:
        return judged.tolerance
    return case.tolerances.get((corner, judged.target), judged.tolerance)


# ---------------------------------------------------------------------- why


def _since(record: Record, mark: Mark, done: str) -> str:
    if mark is record.described:
        return f"Not {done} since the car was described (#{mark['number']}, {day_of(mark['moment'])})"
    return f"Since it was {done} (#{mark['number']}, {day_of(mark['moment'])})"


def _why(case: _Case, rule: Shift, place: str, mark: Mark, parts: list[str], figures: list[Figure]) -> str:
    done = {"damper": "set", "bushes": "clamped", "bar": "set", "lamps": "aimed"}.get(rule.name, "read")
    done = "looked at" if rule.name in ("hoses", "cables") else done
    moved = [name for name in _moved_since(case.record, mark) if place == "car" or name.startswith(place)]
    other = [name for name in _moved_since(case.record, mark) if name not in moved]
    what = []
    if moved or other:
        what.append(f"{listed(spoken(moved or other))} moved")
    if parts:
        what.append(f"{listed(parts)} changed")
    worst = [one for one in figures if _is_beyond(one)]
    shown = worst or [one for one in figures if one.tolerance is not None]
    places = {one.place for one in shown}
    numbers = [_number(one) for one in shown[:MOST_SHOWN]]
    numbers += [
        _number(one) for one in figures if one.tolerance is None and one.place in places and one.now is not None
    ]
    kept = sorted({in_words(one, one.tolerance) for one in shown if one.tolerance is not None})
    since = _since(case.record, mark, done)
    if not what and mark is case.record.described and rule.name == "bushes":
        since = "The car file has them clamped at another lift than the car stands at"
    says = f"{since}{': ' if what else ''}{'; '.join(what)}. "
    says += f"Predicted: {', '.join(numbers)} (tolerance {' or '.join(kept)})."
    for one in figures:
        if one.key == "spring_held_mm" and one.now is not None and one.now < 0:
            says += (
                f" The {one.place.replace('_', ' ')} spring is then loose by {in_words(one, -one.now)} at full droop."
            )
    return says


def _number(figure: Figure) -> str:
    """A figure as a reason tells it."""
    said = f"{_where(figure)}{key_words(figure.key)} {in_words(figure, figure.shift, signed=figure.key != 'push_n')}"
    return said if figure.key in BY_SHIFT else f"{said} (now {in_words(figure, figure.now)})"


def _where(figure: Figure) -> str:
    return "" if figure.place == "car" else f"{figure.place.replace('_', ' ')} "


def _moved_since(record: Record, mark: Mark) -> list[str]:
    return [
        one["words"] for one in record.touched.values() if one["kind"] == "moved" and one["mark"]["step"] > mark["step"]
    ]


def _parts_since(record: Record, rule: Shift, place: str, mark: Mark) -> list[str]:
    """Parts fitted or removed since, whose names say that they make this stale."""
    found = []
    for one in record.touched.values():
        if one["kind"] == "moved" or one["mark"]["step"] <= mark["step"] or not touches(one["place"], place):
            continue
        words = one["words"].lower()
        if any(rule.name in stale and re.search(pattern, words) for pattern, stale in PART_READINGS):
            found.append(f"{one['place'].replace('_', ' ')} {one['words']}")
    return found


def _entries_since(record: Record, rule: Shift, place: str, mark: Mark) -> tuple[int, ...]:
    numbers = {
        one["mark"]["number"]
        for one in record.touched.values()
        if one["mark"]["step"] > mark["step"] and (one["kind"] == "moved" or touches(one["place"], place))
    }
    return tuple(sorted(numbers))
