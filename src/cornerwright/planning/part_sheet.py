"""What is fitted where, with its facts and since when; and the entries that fit or swap a part."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from cornerwright.model.car import Car
from cornerwright.model.entry import PLACES
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.record import Record
from cornerwright.planning.knock_events import touches

Plain = dict[str, Any]


@dataclass(frozen=True)
class Fact:
    """One thing that is known of a part."""

    words: str
    unit: str
    path: str
    """Under its part in the car file."""


@dataclass(frozen=True)
class Sort:
    """A sort of part that a corner has."""

    key: str
    title: str
    at: str
    """Under its corner in the car file; with `[]` one part for each of a list."""
    facts: tuple[Fact, ...]
    names: str
    """Regular expression: words by which the book, and the trade's rules, know such a part."""
    called: str
    """Added to a name that has none of these words, so that the rules know it."""


def _mm(words: str, path: str) -> Fact:
    return Fact(words, "mm", path)


SORTS: tuple[Sort, ...] = (
    Sort(
        "spring",
        "Spring",
        "spring.stack[]",
        (Fact("name", "", "name"), Fact("rate", "N/mm", "rate"), _mm("free length", "free_length"),
         _mm("length with coils touching", "block_length")),
        r"\b(coil|spring|helper|tender)s?\b",
        "spring",
    ),
    Sort(
        "damper",
        "Damper",
        "damper",
        (_mm("length pulled out", "open"), _mm("length pushed in", "closed"), Fact("gas force", "N", "gas_force")),
        r"\b(damper|strut|shock)s?\b",
        "damper",
    ),
    Sort(
        "tyre",
        "Tyre",
        "tyre",
        (Fact("marking", "", "marking"), _mm("free radius", "free_radius"), Fact("rate", "N/mm", "rate"),
         _mm("width", "width")),
        r"\b(tyre|tire)s?\b",
        "tyre",
    ),
    Sort(
        "wheel",
        "Wheel",
        "wheel.rim",
        (_mm("width", "width"), _mm("diameter", "diameter"), _mm("inset", "inset"), _mm("bore", "bore"),
         _mm("pitch circle", "pitch_circle")),
        r"\bwheels?\b",
        "wheel",
    ),
    Sort(
        "spacer",
        "Wheel spacer",
        "wheel.spacer",
        (_mm("thickness", "thickness"), _mm("bore", "bore")),
        r"\bspacers?\b",
        "spacer",
    ),
    Sort(
        "pads",
        "Brake pads",
        "brake.pad",
        (Fact("name", "", "name"), Fact("friction", "", "friction"), _mm("thickness when new", "new"),
         _mm("least thickness", "least")),
        r"\bpads?\b",
        "brake pads",
    ),
    Sort(
        "disc",
        "Brake disc",
        "brake.rotor",
        (_mm("diameter", "diameter"), _mm("thickness when new", "thickness"),
         _mm("least thickness", "least_thickness")),
        r"\b(disc|rotor)s?\b",
        "disc",
    ),
    Sort(
        "caliper",
        "Brake caliper",
        "brake.caliper",
        (Fact("kind", "", "kind"), _mm("pistons of one side", "pistons")),
        r"\bcalipers?\b",
        "caliper",
    ),
    Sort(
        "hose",
        "Brake hose",
        "brake.hose",
        (_mm("free length", "free_length"),),
        r"\bhoses?\b",
        "brake hose",
    ),
)  # fmt: skip


@dataclass(frozen=True)
class Known:
    """A fact with its value."""

    fact: Fact
    field: str
    """Dotted name in the car file."""
    value: Any

    @property
    def text(self) -> str:
        """As it is shown and typed."""
        if isinstance(self.value, float):
            return f"{self.value:.6g}"
        if isinstance(self.value, list | tuple):
            return ", ".join(f"{one:g}" if isinstance(one, float) else str(one) for one in self.value)
        return "" if self.value is None else str(self.value)

    @property
    def plain(self) -> bool:
        """Whether it can be typed as one value."""
        return not isinstance(self.value, list | tuple | dict)


@dataclass(frozen=True)
class PartLine:
    """One part on the car."""

    key: str
    """To call it by: `rear_left.spring.0`."""
    place: str
    sort: Sort
    facts: tuple[Known, ...]
    told: str | None
    """Its name in the book; None: the book has no entry of its own for it."""
    since: str
    """Moment of the entry that fitted it, or of the description that has it; empty without a book."""
    number: int | None
    price: float | None = None
    source: str | None = None
    used: bool = False

    @property
    def title(self) -> str:
        """What it is."""
        return self.sort.title if self.told is None else f"{self.sort.title}: {self.told}"


def part_sheet(car: Car, record: Record | None) -> tuple[PartLine, ...]:
    """Every part of the corners, by corner, in the order of the table above."""
    document = car.to_document()
    return tuple(line for corner in CORNERS for sort in SORTS for line in _lines(document, record, corner, sort))


def _lines(document: Plain, record: Record | None, corner: str, sort: Sort) -> Iterator[PartLine]:
    end, _, side = corner.partition("_")
    here: Any = document[end][side]
    steps = sort.at.removesuffix("[]").split(".")
    for step in steps:
        here = None if here is None else here.get(step)
    if here is None:
        return
    many = sort.at.endswith("[]")
    for place, one in enumerate(here if many else [here]):
        path = f"{end}.{side}.{'.'.join(steps)}" + (f"[{place}]" if many else "")
        facts = tuple(Known(fact, f"{path}.{fact.path}", one.get(fact.path)) for fact in sort.facts)
        yield PartLine(
            key=f"{corner}.{sort.key}.{place}",
            place=corner,
            sort=sort,
            facts=tuple(known for known in facts if known.value is not None),
            **_since(record, corner, sort),
        )


def _since(record: Record | None, corner: str, sort: Sort) -> Plain:
    """The last part of this sort that the book has here."""
    if record is None:
        return {"told": None, "since": "", "number": None}
    fits = [
        one
        for one in record.parts.values()
        if re.search(sort.names, one["part"].lower()) and touches(one["place"], corner) and one["place"] != "car"
    ]
    if not fits:
        began = record.described
        return {"told": None, "since": "" if began is None else began["moment"], "number": None}
    one = max(fits, key=lambda part: part["mark"]["step"])
    return {
        "told": one["part"],
        "since": one["mark"]["moment"],
        "number": one["mark"]["number"],
        "price": one.get("price"),
        "source": one.get("source"),
        "used": bool(one.get("used")),
    }


def find_part(lines: tuple[PartLine, ...], key: str) -> PartLine:
    """The part of this key. Raises Refusal."""
    for line in lines:
        if line.key == key:
            return line
    raise Refusal.of(f"'{key[:60]}'", "a part of this car")


@dataclass(frozen=True)
class Fitting:
    """What the hand says of a part that it has fitted."""

    part: str
    both: bool = False
    """On both sides of the axle."""
    values: Mapping[str, str] | None = None
    """By field of the car file, as typed; what is as before is left out."""
    price: str = ""
    source: str = ""
    used: bool = False
    kept: str = ""
    """Where the part that came off is kept; empty: it is gone."""


def swap_bodies(line: PartLine, record: Record, fitting: Fitting) -> list[Plain]:
    """Bodies of the entries: what came off, then what went on with the fields that it sets."""
    name = _named(fitting.part, line.sort)
    place = line.place.partition("_")[0] if fitting.both else line.place
    sets: Plain = {}
    for known in line.facts:
        text = (fitting.values or {}).get(known.field, known.text).strip()
        if text == known.text or not known.plain:
            continue
        if not text:
            raise Refusal.of("nothing", "a value, or the one that was there", field=known.fact.words)
        sets[_both(known.field) if fitting.both else known.field] = _value(text)
    return [*_came_off(line, record, place, fitting), *_went_on(name, place, sets, fitting)]


def new_body(part: str, place: str, fitting: Fitting) -> Plain:
    """Body of the entry for a part that the car file has no fields for. Raises Refusal."""
    if place not in PLACES:
        raise Refusal.of(f"'{place[:40]}'", f"one of: {', '.join(PLACES)}", field="place")
    return _went_on(_named(part, None), place, {}, fitting)[0]


def _named(part: str, sort: Sort | None) -> str:
    """The part's name with a word that the trade's rules know it by. Raises Refusal."""
    name = part.strip()
    if not name:
        raise Refusal.of("nothing", "what was fitted, in a few words", field="part")
    if sort is None or re.search(sort.names, name.lower()):
        return name
    return f"{name} {sort.called}"


def _both(path: str) -> str:
    end, _, rest = path.split(".", 2)
    return f"{end}.both.{rest}"


def _value(text: str) -> float | str:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text


def _came_off(line: PartLine, record: Record, place: str, fitting: Fitting) -> Iterator[Plain]:
    """The parts of this sort that the book has here; one that it does not have only if it is kept."""
    kept = {"kept": fitting.kept.strip()} if fitting.kept.strip() else {}
    gone = [
        one
        for one in record.parts.values()
        if re.search(line.sort.names, one["part"].lower())
        and (one["place"] == place or (fitting.both and one["place"].startswith(place)))
    ]
    for one in gone:
        yield {"kind": "removed", "part": one["part"], "place": one["place"], **kept}
    if not gone and kept:
        yield {"kind": "removed", "part": f"old {line.sort.called}", "place": place, **kept}


def _went_on(name: str, place: str, sets: Plain, fitting: Fitting) -> list[Plain]:
    body: Plain = {"kind": "fitted", "part": name, "place": place}
    if sets:
        body["sets"] = sets
    if fitting.price.strip():
        body["price"] = _value(fitting.price.strip())
    if fitting.source.strip():
        body["source"] = fitting.source.strip()
    if fitting.used:
        body["used"] = True
    return [body]
