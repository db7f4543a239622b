"""What the screens put into the book: entries through the door that every program uses, once for each form."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cornerwright import __version__
from cornerwright.book.book import Book
from cornerwright.book.history import Order
from cornerwright.book.moments import read_order
from cornerwright.model.entry import Correction, Entry
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.files import of_plain
from cornerwright.model.record import Record
from cornerwright.model.results_book import AddResult, DiffResult
from cornerwright.planning.adding import add_entries
from cornerwright.planning.telling import difference, entry_words
from cornerwright.web.desk import Desk

Body = Mapping[str, Any]
LATELY = 12
"""Entries among which what was done or put off lately is looked for."""


def book_of(desk: Desk) -> Book:
    """The book. Raises Refusal where there is none."""
    book = desk.papers.book
    if book is None:
        raise Refusal.of("a car file without a book", "a book: begin one on this screen")
    return book


def record_of(desk: Desk) -> Record | None:
    """What the book amounts to; None without one."""
    return desk.state.record


def write(
    desk: Desk,
    bodies: Sequence[Body],
    *,
    key: str = "",
    who: str = "",
    note: str = "",
    photos: Sequence[bytes] = (),
    settles: Sequence[str] = (),
    ready: Sequence[str] = (),
) -> AddResult:
    """Write entries, all or none, and say what they made stale. Raises Refusal; nothing is written then.

    key: of the form they come from, so that a second tap on it writes nothing; the last entry carries note, photos
    (see `clean_photo`) and what it settles.
    """
    book = book_of(desk)
    entries = []
    for number, body in enumerate(bodies):
        plain: dict[str, Any] = {"who": who.strip() or None, "body": dict(body)}
        if key:
            plain["id"] = hashlib.sha256(f"{book.id} {key} {number}".encode()).hexdigest()[:32]
        if number == len(bodies) - 1:
            plain |= {"note": note.strip() or None, "settles": list(settles)}
            plain |= {"ready": list(ready)} if ready else {}
        entries.append(_entry(plain))
    there = [book.number_of(one.id) for one in entries] if key else []
    numbers = tuple(number for number in there if number is not None)
    if numbers and len(numbers) == len(entries):
        # Written just before the app was killed, or by the first of two taps.
        ids = tuple(one.id for one in entries)
        return AddResult(book=book.where, car=book.name, written=numbers, ids=ids, stale=(), settled=())
    if photos and len(entries) > 1:
        # The book gives photos to the first entry: they are put away here, and named by the last.
        kept = tuple(book.photos.keep(one) for one in photos)
        entries[-1] = entries[-1].model_copy(update={"photos": kept})
        photos = ()
    return add_entries(book, entries, photos, __version__)


def _entry(plain: dict[str, Any]) -> Entry:
    """The entry; its problems named as the form names its fields. Raises Refusal."""
    try:
        return of_plain({name: value for name, value in plain.items() if value is not None}, Entry)
    except Refusal as refusal:
        problems = [Problem(None, None, _field(one.field), one.found, one.expected) for one in refusal.problems]
        raise Refusal(problems) from None


def _field(name: str | None) -> str:
    return (name or "").removeprefix("body.").replace("_", " ")


@dataclass(frozen=True)
class Lately:
    """Something that was done or put off and can be taken back."""

    number: int
    moment: str
    says: str


def lately(desk: Desk) -> tuple[Lately, ...]:
    """What was done or put off last and still counts, the latest first."""
    book = desk.papers.book
    if book is None:
        return ()
    lines = [line for kind in ("done", "put_off") for line in book.log(last=LATELY, kind=kind)]
    found = [Lately(line.number, line.moment, entry_words(line.plain)) for line in lines if line.corrected_by is None]
    return tuple(sorted(found, key=lambda one: -one.number)[:LATELY])


def take_back(desk: Desk, number: int, who: str = "", says: str = "taken back") -> AddResult:
    """Strike an entry out by a correction, once. Raises Refusal."""
    book = book_of(desk)
    was = book.entry(number)
    if isinstance(was.body, Correction):
        raise Refusal.of(f"#{number}, a correction", "the entry itself")
    body = {"kind": "correction", "corrects": was.id, "says": says}
    return write(desk, [body], key=f"strike {number}", who=who)


@dataclass(frozen=True)
class Photo:
    """A photo of the book."""

    digest: str
    number: int
    moment: str
    place: str
    says: str


@dataclass(frozen=True)
class Compared:
    """The car at two moments."""

    told: DiffResult
    photos: tuple[tuple[str, Photo | None, Photo | None], ...]
    """By place: the last photo up to the one moment and up to the other."""


def compared(desk: Desk, since: str, until: str) -> Compared:
    """What differs between two moments (`#12`, a day, a time; empty: now), with photos. Raises Refusal."""
    book = book_of(desk)
    first, last = _order(book, since, "from"), _order(book, until, "to")
    before, after = book.record(first), book.record(last)
    if after.step < before.step:
        (before, after), (first, last) = (after, before), (last, first)
    if before.described is None:
        raise Refusal.of("a moment before the book began", "a later one", field="from")
    was, now = _photos(book, first), _photos(book, last)
    places = sorted({*was, *now}, key=lambda place: (place == "car", place))
    photos = tuple((place, was.get(place), now.get(place)) for place in places)
    return Compared(difference(before, after, book.where), photos)


def _order(book: Book, words: str, field: str) -> Order | None:
    return None if words.strip() in ("", "now") else read_order(book, words, field)


def _photos(book: Book, until: Order | None) -> dict[str, Photo]:
    """The last photo of each place up to then."""
    found: dict[str, Photo] = {}
    for line in book.photographed(until):
        place = str(line.plain["body"].get("place") or "car")
        digest = line.plain["photos"][-1]
        found.setdefault(place, Photo(digest, line.number, line.moment, place, entry_words(line.plain)))
    return found
