"""The car as its book tells it at one moment: what the entries amount to, as plain values in document units."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, fields
from typing import Any, TypedDict

from cornerwright.model.car import Car
from cornerwright.model.entry import canonical
from cornerwright.model.files import of_plain

FORMAT = 2
"""Of a record as text; to be counted up when what a field means changes."""


class Mark(TypedDict):
    """When something happened: its place in the order of events, and what the car was then."""

    step: int
    """Count of events up to and with it."""
    number: int
    """Number of its entry."""
    moment: str
    """UTC."""
    km: float
    """Driven until then."""
    car: str
    """Key of the car as it was then, see `Record.cars`; empty where nobody asks."""


@dataclass
class Record:
    """What a book amounts to.

    Every mark names a car by its key; `cars` holds a document and settings for each key that is still named.
    """

    step: int = 0
    number: int = 0
    moment: str = ""
    name: str = ""
    currency: str | None = None
    invented: bool = False
    doc: str = ""
    """Key of the car's document as it is now."""
    docs: dict[str, dict[str, Any]] = field(default_factory=dict)
    settings: dict[str, float] = field(default_factory=dict)
    """Of every adjuster now, by full name [mm]."""
    car: str = ""
    """Key of the car as it is now."""
    cars: dict[str, dict[str, Any]] = field(default_factory=dict)
    most_cars: int = 64
    """More of them are worth pruning."""
    described: Mark | None = None
    targets: dict[str, Any] | None = None
    parts: dict[str, dict[str, Any]] = field(default_factory=dict)
    kept: dict[str, dict[str, Any]] = field(default_factory=dict)
    joints: dict[str, dict[str, Any]] = field(default_factory=dict)
    read: dict[str, dict[str, dict[str, Any]]] = field(default_factory=dict)
    """By corner, then reading: its last value, the first one, and the mark of the last."""
    touched: dict[str, dict[str, Any]] = field(default_factory=dict)
    """The last time each adjuster was moved and each part fitted or removed."""
    settled: dict[str, Mark] = field(default_factory=dict)
    """The last time each job was done."""
    findings: dict[str, dict[str, Any]] = field(default_factory=dict)
    put_off: dict[str, dict[str, Any]] = field(default_factory=dict)
    km: float = 0.0
    hours: float = 0.0
    cents: int = 0

    def marks(self) -> list[Mark]:
        """Every mark that may name a car."""
        found: list[Mark] = [] if self.described is None else [self.described]
        found += [one["mark"] for corner in self.read.values() for one in corner.values()]
        found += [one["mark"] for one in self.joints.values()]
        return found + list(self.settled.values())

    def pruned(self) -> Record:
        """Forget, in place, cars and documents that no mark names any more."""
        named = {mark["car"] for mark in self.marks()} | {self.car}
        self.cars = {key: one for key, one in self.cars.items() if key in named}
        docs = {one["doc"] for one in self.cars.values()} | {self.doc}
        self.docs = {key: one for key, one in self.docs.items() if key in docs}
        self.most_cars = 2 * len(self.cars) + 64
        return self

    def to_text(self) -> str:
        """As JSON, the same for the same record."""
        return canonical({"format": FORMAT} | {one.name: getattr(self, one.name) for one in fields(self)})

    @classmethod
    def from_text(cls, text: str) -> Record | None:
        """Back from to_text; None for the text of another version of the program, which tells of other things."""
        plain = json.loads(text)
        if plain.pop("format", None) != FORMAT or plain.keys() != {one.name for one in fields(cls)}:
            return None
        return cls(**plain)

    def document_at(self, key: str) -> dict[str, Any]:
        """The car file of the car of this key, with its settings, as plain values that may be changed."""
        car = self.cars[key]
        document: dict[str, Any] = json.loads(json.dumps(self.docs[car["doc"]]))
        for name, adjuster in adjusters_in(document).items():
            if name in car["settings"]:
                adjuster["setting"] = car["settings"][name]
        return document

    def car_at(self, key: str, where: str | None = None) -> Car:
        """The car of this key; where: the book's name for the refusal. Raises Refusal where no car can be so."""
        return of_plain(self.document_at(key), Car, where)


def adjusters_in(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Every adjuster in a car's document, by full name as `Car.adjusters` has it."""
    found: dict[str, dict[str, Any]] = {}
    for end in ("front", "rear"):
        axle = document.get(end) or {}
        for side in ("left", "right"):
            for name, one in ((axle.get(side) or {}).get("adjusters") or {}).items():
                found[f"{end}_{side}.{name}"] = one
        for name, one in (axle.get("adjusters") or {}).items():
            found[f"{end}.{name}"] = one
        link = (axle.get("bar") or {}).get("link")
        if link is not None:
            found[f"{end}.bar_link"] = link
    return found
