"""Moments as they are written by hand, and as they are shown."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time

from cornerwright.book.book import Book
from cornerwright.book.history import Order
from cornerwright.model.entry import moment
from cornerwright.model.errors import Refusal

WORDS = "a day or a time, as in 2026-05-03 or 2026-05-03T19:30"
EVENING = time(20, 0)
"""A round of readings with a day and no hour was taken in the evening, after the day's work."""


def read_moment(text: str, field: str) -> datetime:
    """A moment; a day alone is its evening; without a zone it is local. Raises Refusal."""
    words = text.strip().replace(" ", "T")
    try:
        if re.fullmatch(r"\d{4}-\d\d-\d\d", words):
            return evening(date.fromisoformat(words))
        return datetime.fromisoformat(words).astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        raise Refusal.of(f"'{text}'", WORDS, field=field) from None


def evening(day: date) -> datetime:
    """The evening of a day; of today no later than now."""
    return min(datetime.combine(day, EVENING).astimezone(UTC), max(datetime.now(UTC), _start(day)))


def _start(day: date) -> datetime:
    return datetime.combine(day, time(0, 0)).astimezone(UTC)


def read_order(book: Book, text: str, field: str) -> Order:
    """A place in the order of events: #12, the end of a day, or a moment. Raises Refusal."""
    words = text.strip()
    if re.fullmatch(r"#?\d{1,12}", words):
        return book.order_of(int(words.lstrip("#")))
    if re.fullmatch(r"\d{4}-\d\d-\d\d", words):
        try:
            day = datetime.combine(date.fromisoformat(words), time.max)
        except ValueError:
            raise Refusal.of(f"'{text}'", f"{WORDS}, or #12", field=field) from None
        return (moment(day.astimezone(UTC)), 2**62)
    try:
        return (moment(read_moment(words, field)), 2**62)
    except Refusal:
        raise Refusal.of(f"'{text}'", f"{WORDS}, or #12: after that entry", field=field) from None


def shown(at: str) -> str:
    """A moment of the book in local time."""
    try:
        when = datetime.strptime(at, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
    except ValueError:
        return at
    return when.astimezone().strftime("%Y-%m-%d %H:%M")
