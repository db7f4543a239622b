"""One car's book: entries go in at its end and are never changed; what they amount to is read from it."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from cornerwright.book.fold import fold
from cornerwright.book.history import (
    SNAPSHOT_EVERY,
    START,
    Order,
    after,
    behind,
    corrections_of,
    head,
    keep_snapshots,
    record_at,
    rows_of,
)
from cornerwright.book.photos import Photos
from cornerwright.book.store import Location, Store
from cornerwright.book.tables import book, entry, figures
from cornerwright.book.trouble import UNREADABLE, line_read
from cornerwright.book.writer import Writer, Written
from cornerwright.model.entry import Entry
from cornerwright.model.errors import Refusal
from cornerwright.model.files import of_plain
from cornerwright.model.record import Record


@dataclass(frozen=True)
class Line:
    """An entry as the log shows it."""

    number: int
    moment: str
    plain: dict[str, Any]
    corrected_by: int | None
    """Number of the entry that corrects it last."""


class Book:
    """A book that is open. Everything raises Refusal when the database cannot."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.where = store.where
        self.photos = Photos(store)

    @classmethod
    def open(cls, where: str | os.PathLike[str]) -> Book:
        """The book in this folder or at this URL; one of an older version is brought up to date."""
        store = Store(Location.of(where))
        try:
            store.open()
        except BaseException:
            store.close()
            raise
        return cls(store)

    def close(self) -> None:
        """Let the database go."""
        self.store.close()

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *ended: object) -> None:
        self.close()

    # ------------------------------------------------------------------ writing

    def append(self, new: Entry, photos: Sequence[bytes] = ()) -> Written:
        """Write one entry, with photos that it is to name besides those it names already."""
        return self.append_all([new], photos)[0]

    def append_all(self, new: Sequence[Entry], photos: Sequence[bytes] = ()) -> list[Written]:
        """Write entries in this order, all or none; the first one names the photos."""
        kept = tuple(self.photos.keep(content) for content in photos)
        if kept:
            first = new[0].model_copy(update={"photos": tuple(dict.fromkeys((*new[0].photos, *kept)))})
            new = [first, *new[1:]]
        with self.store.writing() as connection:
            written = Writer(connection, self.photos, self.where).write(new)
        self._keep_snapshot()
        return written

    def _keep_snapshot(self) -> None:
        """Keep what the entries amount to, when enough have come since. A failure costs time later, nothing else."""
        try:
            with self.store.reading() as connection:
                if behind(connection) < SNAPSHOT_EVERY:
                    return
            with self.store.writing() as connection:
                keep_snapshots(connection)
        except Refusal:
            return

    # ------------------------------------------------------------------ reading

    @property
    def id(self) -> str:
        """The book's own name, given when it was made."""
        with self.store.reading() as connection:
            return str(connection.execute(sa.select(book.c.id)).scalar_one())

    def count(self) -> int:
        """How many entries it has."""
        with self.store.reading() as connection:
            return head(connection)[0]

    @property
    def name(self) -> str:
        """What the car is called, as it was last described."""
        wanted = sa.select(entry.c.line).where(entry.c.kind == "car").order_by(entry.c.number.desc()).limit(1)
        with self.store.reading() as connection:
            line = connection.execute(wanted).scalar()
        if line is None:
            raise Refusal.of("a book without a car", UNREADABLE, file=self.where)
        return str(line_read(line).get("body", {}).get("car", {}).get("name", ""))

    def record(self, until: Order | None = None) -> Record:
        """The car as it is; or as it was after this place in the order of events, corrections of today counted in."""
        with self.store.reading() as connection:
            return record_at(connection, until)

    def record_as_written(self, number: int) -> Record:
        """The car as the book told it when it ended with this entry."""
        with self.store.reading() as connection:
            upto = entry.c.number <= number
            instead = corrections_of(connection, START, upto)
            return fold(Record(), rows_of(connection, START, None, upto), instead)

    def order_of(self, number: int) -> Order:
        """Where the entry of this number stands in the order of events."""
        with self.store.reading() as connection:
            found = connection.execute(sa.select(entry.c.moment).where(entry.c.number == number)).scalar()
        if found is None:
            raise Refusal.of(f"#{number}", "the number of an entry in this book", file=self.where)
        return (str(found), number)

    def entry(self, number: int) -> Entry:
        """The entry of this number, as it was written."""
        with self.store.reading() as connection:
            line = connection.execute(sa.select(entry.c.line).where(entry.c.number == number)).scalar()
        if line is None:
            raise Refusal.of(f"#{number}", "the number of an entry in this book", file=self.where)
        return of_plain(line_read(line), Entry, self.where)

    def number_of(self, entry_id: str) -> int | None:
        """The number of the entry of this id; None: it is not in the book."""
        with self.store.reading() as connection:
            found = connection.execute(sa.select(entry.c.number).where(entry.c.id == entry_id)).scalar()
        return None if found is None else int(found)

    def log(
        self,
        last: int = 40,
        before: int | None = None,
        kind: str | None = None,
        place: str | None = None,
        *,
        with_photos: bool = False,
    ) -> list[Line]:
        """The last entries, or those before a number, of one kind or place if wanted; the latest last."""
        wanted = sa.select(entry.c.number, entry.c.moment, entry.c.line).order_by(entry.c.number.desc()).limit(last)
        if before is not None:
            wanted = wanted.where(entry.c.number < before)
        if kind is not None:
            wanted = wanted.where(entry.c.kind == kind)
        if place is not None:
            wanted = wanted.where(entry.c.place == place)
        if with_photos:
            wanted = wanted.where(entry.c.line.not_like('%"photos":[],%'))
        with self.store.reading() as connection:
            rows = connection.execute(wanted).all()
            numbers = [row.number for row in rows]
            by = sa.select(entry.c.corrects, sa.func.max(entry.c.number)).where(entry.c.corrects.in_(numbers))
            corrected = {int(one): int(other) for one, other in connection.execute(by.group_by(entry.c.corrects))}
        return [Line(row.number, row.moment, line_read(row.line), corrected.get(row.number)) for row in reversed(rows)]

    def photographed(self, until: Order | None = None, most: int = 60) -> list[Line]:
        """Entries with photos in the order of events up to a place in it, the latest first; struck ones left out."""
        wanted = sa.select(entry.c.number, entry.c.moment, entry.c.line).where(entry.c.line.not_like('%"photos":[],%'))
        if until is not None:
            wanted = wanted.where(sa.not_(after(entry, until)))
        struck = sa.select(entry.c.corrects).where(entry.c.corrects.is_not(None))
        wanted = wanted.where(entry.c.number.not_in(struck)).order_by(entry.c.moment.desc(), entry.c.number.desc())
        with self.store.reading() as connection:
            rows = connection.execute(wanted.limit(most)).all()
        return [Line(row.number, row.moment, line_read(row.line), None) for row in rows]

    def photo(self, digest: str) -> bytes | None:
        """A photo's bytes; None where it is missing."""
        with self.store.reading() as connection:
            return self.photos.get(digest, connection)

    # ------------------------------------------------------------------ at hand

    def recall(self, keys: Iterable[str]) -> dict[str, Any]:
        """What was worked out before and kept under these keys; what cannot be read is worked out again."""
        with self.store.reading() as connection:
            wanted = sa.select(figures.c.key, figures.c.content).where(figures.c.key.in_(list(keys)))
            found = {}
            for row in connection.execute(wanted):
                with suppress(ValueError):
                    found[row.key] = json.loads(row.content)
            return found

    def remember(self, worked_out: Mapping[str, Any]) -> None:
        """Keep what was worked out; where the book cannot be written it is worked out again next time."""
        if not worked_out or self.store.frozen:
            return
        try:
            with self.store.writing() as connection:
                connection.execute(sa.delete(figures).where(figures.c.key.in_(list(worked_out))))
                rows = [{"key": key, "content": json.dumps(value)} for key, value in worked_out.items()]
                connection.execute(sa.insert(figures), rows)
        except Refusal:
            return


def open_book(where: str | os.PathLike[str]) -> Book:
    """The book in this folder or at this PostgreSQL URL; use it in a `with` block. Raises Refusal."""
    return Book.open(where)
