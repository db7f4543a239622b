"""One round of readings as it is taken: fields in the order one walks round the car, each stored as it is entered."""

from __future__ import annotations

import json
import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.assembly.rig import Rig
from cornerwright.model.errors import Refusal
from cornerwright.model.files import of_plain
from cornerwright.model.reading import Gauges, Reading
from cornerwright.model.results import Finding
from cornerwright.model.units import parse
from cornerwright.planning.learn import learn
from cornerwright.planning.passes import as_it_stands
from cornerwright.planning.plan import about_readings, about_sides
from cornerwright.planning.starting.asked import typed
from cornerwright.web.desk import Desk
from cornerwright.web.papers import followed_by

ROUND = ("front_left", "rear_left", "rear_right", "front_right")
"""Once round the car, from the left front wheel backwards."""

READ = ("height", "load", "camber", "toe", "caster", "damper_length")
HOW = {
    "height": "height point to the ground",
    "load": "scale under the wheel; all four, or none",
    "camber": "top leaning in is minus",
    "toe": "of this wheel; toe-in is plus",
    "caster": "axis leaning back at the top is plus",
    "damper_length": "eye to eye, wheels on the ground",
}


@dataclass(frozen=True)
class Field:
    """One value to be read."""

    name: str
    """As the ledger calls it."""
    corner: str
    reading: str
    unit: str
    how: str
    text: str
    """As it was entered; empty: not yet."""
    who: str
    last: float | None
    """What the last pass read."""
    predicted: float | None
    """What the gauge should show at the present settings."""
    trouble: str | None
    """What is wrong with the text."""


@dataclass(frozen=True)
class Round:
    """The round as far as it is."""

    fields: tuple[Field, ...]
    doubts: tuple[Finding, ...]
    """Values that are questioned."""

    @property
    def entered(self) -> int:
        """How many are there."""
        return sum(bool(one.text) for one in self.fields)


def field_name(corner: str, reading: str) -> str:
    """As the ledger calls it."""
    return f"read.{corner}.{reading}"


def enter(desk: Desk, corner: str, reading: str, text: str, who: str = "") -> str | None:
    """Store a value as the hand typed it; what is wrong with it, in words. Raises Refusal when the disk cannot."""
    if corner not in ROUND or reading not in READ:
        raise Refusal.of(f"'{corner}.{reading}'", "a corner and one of its readings")
    text = text.strip()
    name = field_name(corner, reading)
    if (desk.ledger.get(name) or "") != text:
        desk.ledger.put_all({name: text or None, f"again.{corner}.{reading}": None, "round": None}, who)
    return trouble(reading, text)


def trouble(reading: str, text: str) -> str | None:
    """What is wrong with a text, in words; None: nothing."""
    if not text:
        return None
    try:
        value = parse(typed(text), KINDS[reading])
    except Refusal as refusal:
        return f"expected {refusal.problems[0].expected}"
    if reading in ("height", "damper_length") and value <= 0:
        return "expected a length above zero"
    return "expected a load of zero or more" if reading == "load" and value < 0 else None


def the_round(desk: Desk) -> Round:
    """The round as far as it is, each value beside the last and the predicted one. Raises Refusal."""
    key = desk.stamp
    there = desk.kept.last("round", key)
    return desk.kept.anew("round", key, lambda: _as_it_is(desk)) if there is None else there


def _as_it_is(desk: Desk) -> Round:
    known = desk.known()
    told = {(one.corner, one.reading): one.before for one in known.trial.of({}).readings}
    last = None if known.state.readings is None else known.state.readings.latest
    found = []
    for corner in ROUND:
        for reading in READ:
            predicted = told.get((corner, key_of(reading)))
            was = None if last is None else getattr(last.corners[corner], reading)  # type: ignore[index]
            if reading in ("caster", "damper_length") and was is None:
                continue
            name = field_name(corner, reading)
            line = desk.ledger.line(name)
            text = "" if line is None else line.text or ""
            kind = KINDS[reading]
            found.append(
                Field(
                    name=name,
                    corner=corner,
                    reading=reading,
                    unit={"deg": "°"}.get(kind.unit, kind.unit),
                    how=HOW[reading],
                    text=text,
                    who="" if line is None else line.who,
                    last=None if was is None else shown(was, kind),
                    predicted=predicted,
                    trouble=trouble(reading, text),
                )
            )
    return Round(tuple(found), _doubts(desk))


def _doubts(desk: Desk) -> tuple[Finding, ...]:
    """Values entered that do not fit the car, its earlier passes and each other."""
    state = desk.state
    try:
        reading = draft(desk, whole=False)
    except Refusal:
        return ()
    if not any(one.taken() for one in reading.corners.values()):
        return ()
    readings = followed_by(state, reading)
    rig = Rig(as_it_stands(state.car, readings))
    belief = learn(rig, readings)
    asked = {f"{corner}.{name}" for corner in ROUND for name in READ if desk.ledger.get(f"again.{corner}.{name}")}
    found = [*about_readings(belief), *about_sides(belief)]
    return tuple(one for one in found if one.reading not in asked)


def read_again(desk: Desk, reading: str, who: str = "") -> None:
    """The value, `front_left.height`, was questioned, read again, and is right."""
    desk.ledger.put(f"again.{reading}", "right", who)


def draft(desk: Desk, *, whole: bool = True) -> Reading:
    """What was entered, as a pass of readings at the present settings. Raises Refusal.

    whole False: what cannot be read and loads that are not all there are left out.
    """
    plain: dict[str, Any] = {corner: {} for corner in ROUND}
    for corner in ROUND:
        for reading in READ:
            text = desk.ledger.get(field_name(corner, reading))
            if not text:
                continue
            wrong = trouble(reading, text)
            if wrong is None:
                plain[corner][reading] = typed(text)
            elif whole:
                raise Refusal.of(f"'{text[:60]}'", wrong.removeprefix("expected "), field=f"{corner}.{reading}")
    if not all("load" in plain[corner] for corner in ROUND):
        if whole and any("load" in plain[corner] for corner in ROUND):
            raise Refusal.of("some loads", "the load at all four corners or at none", field="load")
        for corner in ROUND:
            plain[corner].pop("load", None)
    checked = [name for name, _ in desk.ledger.under("again.")]
    gauges = Gauges() if desk.state.readings is None else desk.state.readings.latest.gauges
    return of_plain(
        {
            "when": datetime.now().astimezone().replace(microsecond=0),
            "settings": desk.settings_mm(),
            "checked": checked,
            "gauges": gauges.to_document(),
            **plain,
        },
        Reading,
    )


def keep(desk: Desk, who: str = "") -> None:
    """Put the round, and the moves that were made before it, into the papers; then begin anew. Raises Refusal."""
    reading = draft(desk)
    if not any(one.taken() for one in reading.corners.values()):
        raise Refusal.of("nothing entered", "at least one value")
    # The pass goes on the disk first: kept again after a crash, it is the same one, unless it was changed since.
    begun = _begun(desk.ledger.get("round"))
    if begun is None or _told(begun[1].to_document()) != _told(reading.to_document()):
        begun = secrets.token_hex(16), reading
        desk.ledger.put("round", json.dumps({"key": begun[0], "pass": reading.to_document()}), who)
    key, reading = begun
    desk.papers.keep(reading, desk.turned(), who or None, key)
    followed, made = desk.ledger.get("plan"), desk.ticked()
    planned = desk.plan()
    whole = planned is not None and len(made) == len(planned.moves)
    desk.ledger.put_all({"followed": followed if made else None, "followed.whole": "yes" if whole else None}, who)
    desk.ledger.clear("read.", "again.", "tick.", "plan", "ways", "round")


def _begun(text: str | None) -> tuple[str, Reading] | None:
    """Key and pass that went on the disk before a crash; None: none, or one that this version did not write."""
    if text is None:
        return None
    try:
        plain = json.loads(text)
        return str(plain["key"]), Reading.model_validate(plain["pass"])
    except (ValueError, LookupError, TypeError, RecursionError):
        return None


def _told(document: dict[str, Any]) -> dict[str, Any]:
    """A pass without its time, in plain values."""
    plain: dict[str, Any] = json.loads(json.dumps({name: value for name, value in document.items() if name != "when"}))
    return plain
