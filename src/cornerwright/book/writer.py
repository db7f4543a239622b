"""Entries on their way into the book: checked against what is there, chained to the last."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import sqlalchemy as sa

from cornerwright.book.fold import Row, fold, put
from cornerwright.book.history import Order, after, amounts_to_a_car, head, record_at
from cornerwright.book.photos import Photos
from cornerwright.book.tables import chained, entry, snapshot
from cornerwright.model.car import Car
from cornerwright.model.entry import (
    CarDescribed,
    Correction,
    Entry,
    JointTightened,
    Measured,
    MoveMade,
    PartFitted,
    moment,
)
from cornerwright.model.errors import Refusal
from cornerwright.model.files import of_plain
from cornerwright.model.record import Record, adjusters_in

AHEAD = timedelta(days=1)
"""Clocks differ; an entry of the day after tomorrow is a slip."""


@dataclass(frozen=True)
class Written:
    """An entry that is safely in the book."""

    number: int
    id: str
    moment: str


def place_of(whole: Entry) -> str | None:
    """Where on the car an entry belongs."""
    body = whole.body.instead if isinstance(whole.body, Correction) else whole.body
    if isinstance(body, MoveMade):
        return body.adjuster.partition(".")[0]
    place: str | None = getattr(body, "place", None)
    return place


class Writer:
    """Entries on their way into the book, inside one transaction."""

    def __init__(self, connection: sa.Connection, photos: Photos | None, where: str) -> None:
        self._connection = connection
        self._photos = photos
        self._where = where
        self._number, self._digest = head(connection)
        self._record: Record | None = None
        self._first: str | None = None

    def write(self, new: Sequence[Entry]) -> list[Written]:
        """Write them in this order. Raises Refusal; the caller then takes the transaction back."""
        if not new and self._number == 0:
            raise self._carless("body")
        if not new:
            return []
        written = []
        last = self._last()
        told_otherwise = False
        for one in new:
            whole = self._checked(one)
            written.append(self.put(whole.line(), whole))
            told_otherwise |= isinstance(whole.body, Correction) or written[-1].moment < last
        self._forget([(one.moment, one.number) for one in written])
        if told_otherwise:
            self._still_a_car()
        return written

    def put(self, line: str, whole: Entry) -> Written:
        """Chain one entry to the last."""
        number = self._number + 1
        self._digest = chained(self._digest, number, line)
        self._number = number
        at = moment(whole.when)
        row = {
            "number": number,
            "id": whole.id,
            "moment": at,
            "kind": whole.body.kind,
            "place": place_of(whole),
            "corrects": self._root(whole.body.corrects) if isinstance(whole.body, Correction) else None,
            "digest": self._digest,
            "line": line,
        }
        self._connection.execute(sa.insert(entry), row)
        self._follow(Row(number, at, line), whole)
        return Written(number, whole.id, at)

    def _follow(self, row: Row, whole: Entry) -> None:
        """Bring the record that entries are checked against along, where the entry simply comes after it."""
        if self._record is None:
            return
        if isinstance(whole.body, Correction) or row.moment < self._record.moment:
            self._record = None
        else:
            self._record = fold(self._record, [row], {})

    def _now(self) -> Record:
        """The car as it is with the entries written so far."""
        if self._record is None:
            self._record = record_at(self._connection)
        return self._record

    @property
    def digest(self) -> str:
        """Of the last entry."""
        return self._digest

    def _checked(self, new: Entry) -> Entry:
        """The entry, completed, if it fits the book. Raises Refusal."""
        if new.when > datetime.now(UTC) + AHEAD:
            raise self._refusal(f"{new.when:%Y-%m-%d}", "a moment that has been", "when")
        began = self._began()
        if began is not None and moment(new.when) < began:
            raise self._refusal(
                f"{new.when:%Y-%m-%d %H:%M}", f"a moment since the book began, {began[:16]} UTC", "when"
            )
        there = self._connection.execute(sa.select(entry.c.number).where(entry.c.id == new.id)).scalar()
        if there is not None:
            raise self._refusal("an entry that is in the book already", "a new one", "id")
        for digest in new.photos:
            if self._photos is None or not self._photos.has(digest, self._connection):
                raise self._refusal(f"a photo {digest[:12]}... that the book does not have", "a photo", "photos")
        body = new.body.instead if isinstance(new.body, Correction) else new.body
        first = self._root(new.body.corrects) == 1 if isinstance(new.body, Correction) else self._number == 0
        if first and not isinstance(body, CarDescribed):
            # Everything after the first entry is said of the car that it describes.
            raise self._carless("body")
        if isinstance(body, MoveMade):
            body = self._checked_move(body)
            if not isinstance(new.body, Correction):
                return new.model_copy(update={"body": body})
        elif isinstance(body, PartFitted | Measured) and body.sets:
            self._checked_sets(body)
        elif isinstance(body, JointTightened) and body.did == "marked":
            self._checked_mark(body)
        return new

    def _still_a_car(self) -> None:
        """What was written later must still fit what is told otherwise now; nothing can be taken out of a book."""
        try:
            amounts_to_a_car(self._connection)
        except Refusal as refusal:
            why = "; ".join(str(one) for one in refusal.problems)
            expected = "one that what was written after it still fits; a new entry of today may say what is so now"
            raise self._refusal(f"a change of the past ({why})", expected, "body") from None

    def _last(self) -> str:
        """Moment of the latest event so far."""
        return str(self._connection.execute(sa.select(sa.func.max(entry.c.moment))).scalar() or "")

    def _began(self) -> str | None:
        """Moment of the first entry."""
        if self._first is None:
            wanted = sa.select(entry.c.moment).where(entry.c.number == 1)
            self._first = self._connection.execute(wanted).scalar()
        return self._first

    def _checked_move(self, body: MoveMade) -> MoveMade:
        record = self._now()
        if body.adjuster not in record.settings:
            known = ", ".join(sorted(record.settings)) or "none"
            raise self._refusal(f"'{body.adjuster}'", f"an adjuster of this car: {known}", "body.adjuster")
        low, high = adjusters_in(record.docs[record.doc])[body.adjuster]["range"]
        after = body.to_document()["setting_to"]
        if not low - 1e-6 <= after <= high + 1e-6:
            raise self._refusal(f"{after:g} mm", f"a setting from {low:g} to {high:g} mm", "body.setting_to")
        if body.setting_from is not None:
            return body
        now = MoveMade.model_validate(
            {"kind": "move", "adjuster": body.adjuster, "setting_to": record.settings[body.adjuster]}
        )
        return body.model_copy(update={"setting_from": now.setting_to})

    def _checked_mark(self, body: JointTightened) -> None:
        known = self._now().joints
        if known.get(body.joint, {}).get("state") != "tight":
            expected = "a joint that the book has as tight: it is tightened first, then marked"
            raise self._refusal(f"'{body.joint}'", expected, "body.joint")

    def _checked_sets(self, body: PartFitted | Measured) -> None:
        record = self._now()
        if not record.doc:
            raise self._carless("body.sets")
        document = record.document_at(record.car)
        for field, value in body.sets.items():
            try:
                put(document, field, value)
            except Refusal as refusal:
                raise refusal.within(self._where, "body.sets") from None
        try:
            of_plain(document, Car)
        except Refusal as refusal:
            raise refusal.within(self._where, "body.sets") from None

    def _root(self, corrects: str) -> int:
        """Number of the entry that is corrected in the end, past corrections of corrections."""
        wanted = sa.select(entry.c.number, entry.c.corrects).where(entry.c.id == corrects)
        found = self._connection.execute(wanted).first()
        if found is None:
            raise self._refusal(f"entry {corrects[:12]}...", "an entry of this book", "body.corrects")
        return int(found.number if found.corrects is None else found.corrects)

    def _forget(self, places: list[Order]) -> None:
        """Throw away snapshots that an earlier event, or a correction of one, makes wrong."""
        numbers = [number for _, number in places]
        roots = sa.select(entry.c.corrects).where(entry.c.number.in_(numbers), entry.c.corrects.is_not(None))
        wanted = sa.select(entry.c.moment, entry.c.number).where(entry.c.number.in_(roots))
        earliest = min([*places, *((str(row.moment), int(row.number)) for row in self._connection.execute(wanted))])
        self._connection.execute(sa.delete(snapshot).where(after(snapshot, earliest, or_at=True)))

    def _carless(self, field: str) -> Refusal:
        return self._refusal("a book without a car", "an entry of kind car first", field)

    def _refusal(self, found: str, expected: str, field: str) -> Refusal:
        return Refusal.of(found, expected, field=field, file=self._where)
