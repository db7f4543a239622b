"""What a database says when it cannot, in words for whoever keeps the book."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from cornerwright.model.errors import Refusal

FULL = ("a full disk: nothing was written", "room on the disk")
READ_ONLY = ("a book that may not be written: nothing was changed", "a book, its folder and its photos writable")
BUSY = ("a book that others have been writing to for too long: nothing was written", "the same again in a while")
BROKEN = ("a file that is damaged or is no book", "a book; restore it from its last export or backup")
UNREADABLE = "a whole book: see `book verify`, and restore it from its last export or backup"
GONE = ("no book that can be opened", "a folder made by `book new` or `book import`, or a PostgreSQL URL")
GUARDED = ("a change of what is written", "a correction: entries are never changed")
TOO_FEW_RIGHTS = ("a database that this user may not write", "rights to the book's schema")

SQLITE = {
    "SQLITE_FULL": FULL,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_BUSY": BUSY,
    "SQLITE_LOCKED": BUSY,
    "SQLITE_NOTADB": BROKEN,
    "SQLITE_CORRUPT": BROKEN,
    "SQLITE_CANTOPEN": GONE,
    "SQLITE_PERM": READ_ONLY,
    "SQLITE_AUTH": READ_ONLY,
    "SQLITE_IOERR": (
        "a disk that failed while writing or is full: nothing was written",
        "a sound disk with room on it",
    ),
}
POSTGRESQL = {"53100": FULL, "25006": READ_ONLY, "42501": TOO_FEW_RIGHTS, "55P03": BUSY, "57014": BUSY}


@contextmanager
def told(where: str) -> Iterator[None]:
    """Turn what the database says into a Refusal that names the book."""
    try:
        yield
    except Refusal as refusal:
        raise refusal.within(where) from None
    except DBAPIError as error:
        found, expected = _words(error.orig)
        raise Refusal.of(found, expected, file=where) from error
    except UnicodeDecodeError:  # by the driver, of what a damaged file calls its tables
        raise Refusal.of(*BROKEN, file=where) from None
    except PoolTimeout as error:
        raise Refusal.of(*BUSY, file=where) from error


def line_read(line: str) -> dict[str, Any]:
    """An entry's line as plain values. Raises Refusal for one that a damaged disk has changed."""
    try:
        plain = json.loads(line)
    except ValueError:
        plain = None
    if not isinstance(plain, dict):
        raise Refusal.of("an entry that cannot be read", UNREADABLE)
    return plain


def _words(error: Any) -> tuple[str, str]:
    if "append-only" in str(error):
        return GUARDED
    name = getattr(error, "sqlite_errorname", None)
    if name is not None:
        for start, words in SQLITE.items():
            if name.startswith(start):
                return words
    state = getattr(error, "sqlstate", None)
    if state in POSTGRESQL:
        return POSTGRESQL[state]
    if name is None and state is None:
        return f"no connection to the database ({_short(error)})", "a PostgreSQL server that answers at this URL"
    return f"an answer of the database that was not expected ({_short(error)})", "a book"


def _short(error: Any) -> str:
    return " ".join(str(error).split())[:200]
