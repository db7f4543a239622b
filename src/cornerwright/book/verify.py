"""Whether a book is whole: its chain, every entry, every photo, and what is kept at hand."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import sqlalchemy as sa
from pydantic import ValidationError

from cornerwright.book.book import Book
from cornerwright.book.fold import fold
from cornerwright.book.history import START, corrections_of, record_at, rows_of
from cornerwright.book.photos import digest_of
from cornerwright.book.store import Store
from cornerwright.book.tables import FIRST, chained, entry, snapshot
from cornerwright.book.writer import place_of
from cornerwright.model.entry import Correction, Entry, moment
from cornerwright.model.record import Record

MOST_TROUBLES = 50


@dataclass
class Verified:
    """What was found."""

    entries: int = 0
    photos: int = 0
    unnamed: int = 0
    """Photos that no entry names: harmless, left by a writer that was stopped before its entry."""
    digest: str = FIRST
    """Of the last entry: two books with the same one hold the same entries."""
    troubles: list[str] = field(default_factory=list)

    def trouble(self, words: str) -> None:
        """Add one, up to a number that anyone reads."""
        if len(self.troubles) < MOST_TROUBLES:
            self.troubles.append(words)


def verify(book: Book) -> Verified:
    """Read everything and compare. Raises Refusal where the database cannot be read at all."""
    found = Verified()
    store = book.store
    with store.reading() as connection:
        _guards(store, connection, found)
        named: set[str] = set()
        numbers: dict[str, int] = {}
        for row in _every(connection):
            named |= _entry(row, found, numbers)
        for digest in sorted(named):
            content = book.photos.get(digest, connection)
            if content is None:
                found.trouble(f"photo {digest[:12]}...: missing")
            elif digest_of(content) != digest:
                found.trouble(f"photo {digest[:12]}...: its bytes are not those that were kept")
            else:
                found.photos += 1
        kept = set(book.photos.kept(connection))
        found.unnamed = len(kept - named)
        if not found.troubles:
            _snapshots(connection, found)
    return found


def _every(connection: sa.Connection) -> Iterator[Any]:
    wanted = sa.select(entry).order_by(entry.c.number).execution_options(yield_per=2000)
    yield from connection.execute(wanted)


def _entry(row: Any, found: Verified, numbers: dict[str, int]) -> set[str]:
    """Check one entry against the one before; the photos it names."""
    expected = found.entries + 1
    if row.number != expected:
        found.trouble(f"#{expected}: missing; #{row.number} follows")
    found.entries = row.number
    digest = chained(found.digest, row.number, row.line)
    if digest != row.digest:
        found.trouble(f"#{row.number}: is not what was written")
    found.digest = row.digest
    try:
        whole = Entry.model_validate(json.loads(row.line))
    except (ValidationError, ValueError):
        found.trouble(f"#{row.number}: cannot be read as an entry")
        return set()
    numbers[whole.id] = row.number
    corrects = None
    if isinstance(whole.body, Correction):
        corrects = numbers.get(whole.body.corrects, 0)
    same = (
        row.id == whole.id,
        row.moment == moment(whole.when),
        row.kind == whole.body.kind,
        row.place == place_of(whole),
        (row.corrects is None) == (corrects is None),
        corrects is None or 0 < corrects < row.number,
    )
    if not all(same):
        found.trouble(f"#{row.number}: its columns do not fit its line")
    return set(whole.photos)


def _guards(store: Store, connection: sa.Connection, found: Verified) -> None:
    """What keeps entries from being changed, and the file itself."""
    if store.server:
        wanted = "SELECT count(*) FROM pg_trigger WHERE tgrelid = 'entry'::regclass AND NOT tgisinternal"
        guards = connection.execute(sa.text(wanted)).scalar_one()
        least = 2
    else:
        says = connection.execute(sa.text("PRAGMA quick_check(1)")).scalar()
        if says != "ok":
            found.trouble(f"the file: {says}")
        wanted = "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'entry'"
        guards = connection.execute(sa.text(wanted)).scalar_one()
        least = 3
    if guards < least:
        found.trouble("the guards that keep entries from being changed are gone")


def _snapshots(connection: sa.Connection, found: Verified) -> None:
    """What is kept at hand is what the entries amount to: the last snapshot, worked out again from the first entry."""
    wanted = sa.select(snapshot).order_by(snapshot.c.moment.desc(), snapshot.c.number.desc()).limit(1)
    last = connection.execute(wanted).first()
    if last is None:
        return
    until = (last.moment, last.number)
    again = Record()
    fold(again, rows_of(connection, START, until), corrections_of(connection, START))
    if again.pruned().to_text() != record_at(connection, until).pruned().to_text():
        found.trouble("what is kept at hand is not what the entries amount to; `book import` of an export mends it")
