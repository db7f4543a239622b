"""Entries from the command line: one by its fields, moves of a plan, readings, a file of several."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, time
from pathlib import Path
from typing import Any

import cornerwright
from cornerwright.book.book import Book
from cornerwright.book.moments import evening, read_moment
from cornerwright.book.photos import read_photo
from cornerwright.cli.book_open import opened
from cornerwright.cli.options import did_you_mean, one_of
from cornerwright.model.adjuster import COUNT, COUNTED_IN, Adjuster
from cornerwright.model.entry import KINDS, Entries, Entry
from cornerwright.model.errors import Refusal
from cornerwright.model.files import of_plain, read_document
from cornerwright.model.record import Record, adjusters_in
from cornerwright.model.results_book import AddResult
from cornerwright.model.results_plan import Move, PlanResult
from cornerwright.model.units import LENGTH, parse, to_document
from cornerwright.planning.adding import add_entries

BY_HAND = tuple(kind for kind in KINDS if kind not in ("car", "targets", "correction"))
"""Kinds that can be written out on a command line."""

DICTS = {"fitted": "sets", "measured": "sets"}
"""Fields whose names go on after the first dot."""


@dataclass(frozen=True)
class Given:
    """What the command line says."""

    kind: str | None
    fields: tuple[str, ...]
    who: str | None
    when: str | None
    note: str | None
    photos: tuple[Path, ...]
    settles: tuple[str, ...]
    ready: tuple[str, ...]
    plan: Path | None
    moves: str | None
    readings: Path | None
    car: Path | None
    targets: Path | None
    file: Path | None


def add(where: str, given: Given) -> AddResult:
    """Write what is given, and say what it made stale. Raises Refusal; nothing is written then."""
    sources = [
        name
        for name, one in (
            ("KIND", given.kind),
            ("--plan", given.plan),
            ("--readings", given.readings),
            ("--car", given.car),
            ("--targets", given.targets),
            ("--file", given.file),
        )
        if one is not None
    ]
    if len(sources) != 1:
        found = "nothing to add" if not sources else f"{' and '.join(sources)} together"
        raise Refusal.of(found, "a KIND with its fields, or one of --plan, --readings, --car, --targets, --file")
    photos = [read_photo(path) for path in given.photos]
    if given.kind is not None and given.kind.lower() == "move":
        with opened(where) as book:
            counted = replace(given, fields=_counted(given.fields, book.record()))
            return _write(book, _entries(counted), photos)
    entries = _entries(given)
    with opened(where) as book:
        return _write(book, entries, photos)


def correct(where: str, number: int, fields: tuple[str, ...], says: str, strike: bool, who: str | None) -> AddResult:
    """Write a correction. Raises Refusal."""
    if not says:
        raise Refusal.of("nothing", "why, in a few words", field="--says")
    if strike == bool(fields):
        raise Refusal.of("fields and --strike" if strike else "no fields", "fields that were wrong, or --strike")
    with opened(where) as book:
        was = book.entry(number)
        body = was.body.to_document()
        if body["kind"] == "correction":
            # What it stands for is corrected in turn, with what it said as the start.
            body = body.get("instead") or {}
            if not body and fields:
                raise Refusal.of(f"#{number}, which strikes an entry out", "the number of the entry itself")
        if fields:
            body |= _body(body["kind"], fields, dict(body))
        plain = {"kind": "correction", "corrects": was.id, "says": says, "instead": body if fields else None}
        return _write(book, [_validated({"who": who, "body": plain})], [])


def _write(book: Book, entries: list[Entry], photos: list[bytes]) -> AddResult:
    return add_entries(book, entries, photos, cornerwright.__version__)


# ---------------------------------------------------------------------- what is given


def _entries(given: Given) -> list[Entry]:
    common: dict[str, Any] = {"who": given.who, "note": given.note, "settles": given.settles}
    if given.ready:
        common["ready"] = given.ready
    if given.when is not None:
        common["when"] = read_moment(given.when, "--when")
    if given.file is not None:
        return _from_file(given)
    if given.kind is not None:
        kind = one_of(given.kind, BY_HAND, "KIND")
        return [_validated({**common, "body": {"kind": kind, **_body(kind, given.fields, {})}})]
    if given.fields:
        raise Refusal.of(f"'{given.fields[0]}'", "fields with a KIND only")
    if given.plan is not None:
        return _from_plan(given.plan, given.moves, common)
    if given.readings is not None:
        return [_from_readings(given.readings, common)]
    if given.car is not None:
        return [_validated({**common, "body": {"kind": "car", "car": cornerwright.load_car(given.car)}})]
    assert given.targets is not None
    return [_validated({**common, "body": {"kind": "targets", "targets": cornerwright.load_targets(given.targets)}})]


def _counted(fields: tuple[str, ...], record: Record) -> tuple[str, ...]:
    """A move as the hand counts it (`setting_to='9 turn'`, `by='-1.5 turn'`) as a setting in mm. Raises Refusal."""
    given = dict(one.split("=", 1) for one in fields if "=" in one)
    name = given.get("adjuster", "").strip()
    if name not in record.settings:
        return fields  # refused with what is known when it is written
    adjuster = Adjuster.model_validate(adjusters_in(record.docs[record.doc])[name])
    found = []
    for one in fields:
        field, _, value = one.partition("=")
        if field not in ("setting_to", "setting_from", "by"):
            found.append(one)
            continue
        travel = _travel(adjuster, value, field)
        if field == "by":
            field, travel = "setting_to", record.settings[name] + travel
        found.append(f"{field}={travel!r}")
    return tuple(found)


def _travel(adjuster: Adjuster, value: str, field: str) -> float:
    """A travel [mm] from a length, or from a count of the adjuster's own unit. Raises Refusal."""
    match = COUNT.fullmatch(value)
    if match is not None and match["unit"] in COUNTED_IN[adjuster.unit]:
        unit = adjuster.unit_travel
        if match["unit"] != adjuster.unit:  # turns of what has flats, or the other way round
            unit = adjuster.pitch / (adjuster.flats_per_turn if match["unit"] == "flat" else 1)
        return to_document(float(match["count"]) * unit, LENGTH)
    try:
        return to_document(parse(value, LENGTH), LENGTH)
    except Refusal as refusal:
        one = refusal.problems[0]
        expected = f"{one.expected}, or a count such as '3 {adjuster.unit}'"
        raise Refusal.of(one.found, expected, field=field) from None


def _body(kind: str, fields: tuple[str, ...], body: dict[str, Any]) -> dict[str, Any]:
    """Fields as they are written, into the body they belong to. Raises Refusal."""
    for one in fields:
        name, equals, value = one.partition("=")
        if not equals or not name.strip():
            raise Refusal.of(f"'{one}'", "FIELD=VALUE, as in torque='85 N·m'", field="FIELD=VALUE")
        path = name.strip()
        if kind == "reading" and not path.startswith("reading."):
            path = f"reading.{path}"
        first, _, rest = path.partition(".")
        if rest and DICTS.get(kind) == first:
            body[first] = {**body.get(first, {}), rest: _plain(value)}
        else:
            _set(body, path.split("."), value)
    return body


def _set(body: dict[str, Any], steps: list[str], value: str) -> None:
    here = body
    for step in steps[:-1]:
        inner = here.get(step)
        here[step] = dict(inner) if isinstance(inner, dict) else {}
        here = here[step]
    here[steps[-1]] = value


def _plain(value: str) -> Any:
    """A number where it is one, true or false, else a text, as in a file."""
    if value in ("true", "false"):
        return value == "true"
    try:
        return float(value)
    except ValueError:
        return value


def _validated(plain: dict[str, Any]) -> Entry:
    """The entry; its problems named by the fields of the command line. Raises Refusal."""
    try:
        return of_plain({name: value for name, value in plain.items() if value is not None}, Entry)
    except Refusal as refusal:
        problems = [replace(one, field=_field(one.field)) for one in refusal.problems]
        raise Refusal(problems) from None


def _field(name: str) -> str:
    for start in ("body.reading.", "body."):
        name = name.removeprefix(start)
    return name


def _from_file(given: Given) -> list[Entry]:
    assert given.file is not None
    if given.photos or given.settles or given.ready or given.note:
        raise Refusal.of("--photo, --settles, --ready or --note with --file", "these in the file's own entries")
    return list(read_document(given.file, Entries).entries)


def _from_plan(path: Path, ticked: str | None, common: dict[str, Any]) -> list[Entry]:
    try:
        plan = PlanResult.of_text(path.read_text(encoding="utf-8"))
    except ValueError:
        raise Refusal.of("no plan", "what `plan --json` printed", file=str(path), field="--plan") from None
    if not plan.moves:
        raise Refusal.of("a plan without moves", "one with moves", file=str(path), field="--plan")
    return [_move(one, common) for one in _ticked(plan.moves, ticked)]


def _ticked(moves: tuple[Move, ...], ticked: str | None) -> list[Move]:
    if ticked is None:
        return list(moves)
    names = [f"{one.corner}.{one.adjuster}" for one in moves]
    wanted = []
    for word in (part.strip() for part in ticked.split(",")):
        if word.isdigit() and 1 <= int(word) <= len(moves):
            wanted.append(int(word) - 1)
        elif word in names:
            wanted.append(names.index(word))
        else:
            expected = f"a move of the plan, 1 to {len(moves)} or its name{did_you_mean(word, names)}"
            raise Refusal.of(f"'{word}'", expected, field="--moves")
    return [moves[k] for k in sorted(set(wanted))]


def _move(move: Move, common: dict[str, Any]) -> Entry:
    body = {
        "kind": "move",
        "adjuster": f"{move.corner}.{move.adjuster}",
        "setting_from": move.from_mm,
        "setting_to": move.to_mm,
        "did": move.do,
    }
    return _validated({**common, "body": body})


def _from_readings(path: Path, common: dict[str, Any]) -> Entry:
    reading = cornerwright.load_readings(path).latest
    plain = {**common, "body": {"kind": "reading", "reading": reading}}
    if plain.get("who") is None:
        plain["who"] = reading.who
    if "when" not in plain and reading.when is not None:
        when = reading.when
        dated = not isinstance(when, datetime) or when.time() == time(0, 0)
        if dated:
            when = evening(when.date() if isinstance(when, datetime) else when)
        plain["when"] = when
    return _validated(plain)
