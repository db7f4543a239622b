"""The papers of one car, a book or the files of a folder: read when they change, added to when a pass is kept."""

from __future__ import annotations

import hashlib
import os
import sys
import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from cornerwright.book.beginning import first_entries
from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.store import FILE, Location
from cornerwright.model.car import Car
from cornerwright.model.carfile import load_car, load_readings, load_targets
from cornerwright.model.entry import Entry, MoveMade, ReadingTaken
from cornerwright.model.errors import Refusal
from cornerwright.model.files import write_document
from cornerwright.model.reading import Reading, Readings
from cornerwright.model.record import Record
from cornerwright.model.target import Targets
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.passes import alike

LOOKED_BACK = 200
"""Entries of a book among which those that were written just before a crash are looked for."""

BOOK_IN_FOLDER = "car.book"
"""A book of this name in a folder goes before the files beside it."""

PASSES = 6
"""Passes of a book that are looked at, the last ones."""


@dataclass(frozen=True)
class State:
    """The car as its papers have it."""

    stamp: str
    """Another one means other papers."""
    car: Car
    readings: Readings | None
    targets: Targets | None
    record: Record | None
    """Of a book."""


@dataclass(frozen=True)
class Turned:
    """A move that was made since the last pass."""

    adjuster: str
    from_mm: float
    to_mm: float
    when: datetime
    did: str


class Papers:
    """Where the car is described. Use it from any thread."""

    def __init__(self, place: str | Path) -> None:
        """place: a book's folder or URL, a folder with car.book or car.yaml, or a car file. Raises Refusal."""
        self._lock = threading.RLock()
        self._state: State | None = None
        self.book: Book | None = None
        location = Location.of(place)
        if location.folder is None:
            self.book = Book.open(place)
            self.folder, self.stem = _own_folder(self.book), f"{location.schema}-{self.book.id[:12]}"
            return
        where = location.folder
        if (where / BOOK_IN_FOLDER / FILE).is_file():
            where = where / BOOK_IN_FOLDER
        if (where / FILE).is_file():
            self.book = Book.open(where)
            self.folder, self.stem = where.absolute().parent, where.name
            return
        car = where / "car.yaml" if where.is_dir() else where
        if where.is_dir() and not car.is_file():
            raise Refusal.of("a folder without a book or a car.yaml", "a book, a car file, or a folder with one",
                             file=str(where))  # fmt: skip
        self.car = car
        self.folder, self.stem = car.absolute().parent, car.stem
        beside = "" if car.stem == "car" else f"{car.stem}-"
        self.readings = car.with_name(f"{beside}readings.yaml")
        self.targets = car.with_name(f"{beside}targets.yaml")

    @property
    def ledger(self) -> Path:
        """The file of what is entered and not kept yet: beside the papers; on this machine for a book on a server."""
        return self.folder / f"{self.stem}.entered.jsonl"

    def close(self) -> None:
        """Let the book go."""
        if self.book is not None:
            self.book.close()

    # ------------------------------------------------------------------ a book of its own

    @property
    def book_to_be(self) -> Path:
        """Where a book for this car file would be made."""
        return self.folder / f"{self.stem}.book"

    def begin(self, who: str | None) -> Path:
        """Make a book of these files, with what was read and turned; its folder. Raises Refusal; then none is made."""
        state = self.state()
        where = self.book_to_be
        make_book(where, first_entries(state.car, state.targets, state.readings, who=who)).close()
        return where

    # ------------------------------------------------------------------ reading

    def state(self) -> State:
        """The car as it is. Raises Refusal."""
        with self._lock:
            stamp = self._stamp()
            if self._state is None or self._state.stamp != stamp:
                self._state = self._of_files(stamp) if self.book is None else self._of_book(stamp, self.book)
            return self._state

    def _stamp(self) -> str:
        if self.book is not None:
            return str(self.book.count())
        marks = []
        for path in (self.car, self.readings, self.targets):
            try:
                told = path.stat()
                marks.append(f"{told.st_mtime_ns}.{told.st_size}")
            except OSError:
                marks.append("-")
        return " ".join(marks)

    def _of_files(self, stamp: str) -> State:
        readings = load_readings(self.readings) if self.readings.exists() else None
        targets = load_targets(self.targets) if self.targets.exists() else None
        return State(stamp, load_car(self.car), readings, targets, None)

    def _of_book(self, stamp: str, book: Book) -> State:
        record = book.record()
        car = record.car_at(record.car, book.where)
        targets = None if record.targets is None else Targets.model_validate(record.targets)
        passes = tuple(_passes(book, record))
        readings = Readings(format="cornerwright readings 1", passes=passes) if passes else None
        return State(stamp, car, readings, targets, record)

    # ------------------------------------------------------------------ writing

    def keep(self, reading: Reading, turned: Iterable[Turned], who: str | None, key: str) -> None:
        """Put a pass and the moves before it into the papers, once for each key. Raises Refusal.

        Written before the ledger forgets them: kept again after a crash in between, nothing is there twice.
        """
        with self._lock:
            if self.book is None:
                self._into_file(reading)
            else:
                self._into_book(self.book, reading, turned, who, key)
            self._state = None

    def _into_file(self, reading: Reading) -> None:
        state = self.state()
        if state.readings is not None and state.readings.latest == reading:
            return
        whole = followed_by(state, reading)
        write_document(self.readings, Readings.model_validate(whole.to_document()), keep=self.readings)

    def _into_book(self, book: Book, reading: Reading, turned: Iterable[Turned], who: str | None, key: str) -> None:
        def one(what: str, when: datetime, body: Mapping[str, Any]) -> Entry:
            entry_id = hashlib.sha256(f"{book.id} {what}".encode()).hexdigest()[:32]
            return Entry.model_validate({"id": entry_id, "when": when, "who": who, "body": body})

        entries = [
            one(f"move {move.adjuster} {move.when.isoformat()}", move.when, MoveMade.model_validate(
                {"kind": "move", "adjuster": move.adjuster, "setting_from": move.from_mm, "setting_to": move.to_mm,
                 "did": move.did}).to_document())
            for move in turned
        ]  # fmt: skip
        when = reading.when if isinstance(reading.when, datetime) else datetime.now().astimezone()
        entries.append(one(f"{key} reading", when, ReadingTaken(kind="reading", reading=reading).to_document()))
        there = {line.plain["id"] for line in book.log(last=LOOKED_BACK)}
        missing = [entry for entry in entries if entry.id not in there]
        if missing:
            book.append_all(missing)


def _own_folder(book: Book) -> Path:
    """Where this machine keeps what is entered for a book that is on a server. Raises Refusal."""
    if sys.platform == "win32":
        home = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    else:
        home = Path(os.environ.get("XDG_STATE_HOME") or Path.home() / ".local" / "state")
    folder = home / "cornerwright"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        book.close()
        found = (error.strerror or "no folder").lower()
        raise Refusal.of(
            found, "a place for what is entered; XDG_STATE_HOME may name another", file=str(folder)
        ) from None
    return folder


def followed_by(state: State, reading: Reading) -> Readings:
    """The car's passes and this one after them; the last one before it told with the settings it was read at."""
    before, car = state.readings, state.car
    if before is None:
        return Readings(format="cornerwright readings 1", car=car.name, invented=car.invented, passes=(reading,))
    settings = {name: to_document(one.setting, LENGTH) for name, one in car.adjusters().items()}
    last = before.latest.model_copy(update={"settings": {**settings, **before.latest.settings}})
    return before.model_copy(update={"passes": (*before.passes[:-1], last, reading)})


def _passes(book: Book, record: Record) -> Iterable[Reading]:
    """Readings of the car of today's description, with the settings they were read at; corrected ones corrected."""
    for line in book.log(last=PASSES, kind="reading"):
        body = line.plain["body"]
        if line.corrected_by is not None:
            instead = book.entry(line.corrected_by).to_document()["body"].get("instead")
            if instead is None or instead["kind"] != "reading":
                continue
            body = instead
        then = book.record(book.order_of(line.number))
        if then.doc != record.doc and not alike(then.docs[then.doc], record.docs[record.doc]):
            continue
        plain = dict(body["reading"])
        plain["settings"] = {**then.settings, **plain.get("settings", {})}
        yield Reading.model_validate(plain)
