"""What the book knows of the brakes' service, and the entries that tell what was measured and done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.record import Record
from cornerwright.model.results_book import Job, JobsResult

SERVICE: tuple[tuple[str, str, str, str], ...] = (
    ("bleed@car", "car", "Bleeding", "brakes bled"),
    ("bed_in@front", "front", "Bedding, front", "front pads and discs bedded in"),
    ("bed_in@rear", "rear", "Bedding, rear", "rear pads and discs bedded in"),
    ("hoses@front", "front", "Hose slack, front", "front brake hoses looked over at both ends of travel and lock"),
    ("hoses@rear", "rear", "Hose slack, rear", "rear brake hoses looked over at both ends of travel"),
    ("cables@rear", "rear", "Parking brake cable", "parking brake cable looked over at both ends of travel"),
)
"""Job of the rules, place, title, and what an entry says that has done it."""

MEASURES: tuple[tuple[str, str, str], ...] = (
    ("pad", "pad left, thinnest", "mm"),
    ("rotor", "disc, least thickness", "mm"),
    ("runout", "runout", "mm"),
    ("variation", "thickness varies by", "mm"),
    ("pad_driven", "driven on these pads", "km"),
)
"""Field under `brakes.measured` of a corner, its words, its unit."""


@dataclass(frozen=True)
class ServiceLine:
    """One service of the brakes."""

    name: str
    place: str
    title: str
    says: str
    open: Job | None
    """The job, where it is open."""
    done: str
    """Moment of the last time; empty: the book was never told."""
    number: int | None


def service_sheet(record: Record, jobs: JobsResult) -> tuple[ServiceLine, ...]:
    """Each service, whether it is open, and when it was last done."""
    by_name = {job.name: job for job in jobs.jobs}
    found = []
    for name, place, title, says in SERVICE:
        mark = record.settled.get(name)
        moment, number = ("", None) if mark is None else (mark["moment"], mark["number"])
        found.append(ServiceLine(name, place, title, says, by_name.get(name), moment, number))
    return tuple(found)


def done_body(line: ServiceLine) -> dict[str, Any]:
    """Body of the entry that says it was done; the entry settles its job."""
    return {"kind": "done", "job": line.says, "place": line.place}


def worn_body(corner: str, given: Mapping[str, str]) -> dict[str, Any]:
    """Body of the entry with what was measured at a corner, by field; empty texts were not. Raises Refusal."""
    if corner not in CORNERS:
        raise Refusal.of(f"'{corner[:40]}'", f"a corner: {', '.join(CORNERS)}")
    sets: dict[str, float | str] = {}
    for name, _, _ in MEASURES:
        text = given.get(name, "").strip().replace(",", ".")
        if text:
            sets[f"brakes.measured.{corner}.{name}"] = _value(text)
    if not sets:
        raise Refusal.of("nothing measured", "at least one value")
    return {"kind": "measured", "what": "brake wear", "place": corner, "sets": sets}


def _value(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text
