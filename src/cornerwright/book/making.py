"""A new book: it is there with everything in it, or it is not there."""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import sqlalchemy as sa

from cornerwright.book.book import Book
from cornerwright.book.history import keep_snapshots
from cornerwright.book.photos import Photos, settle
from cornerwright.book.store import PHOTOS, Location, Store, migrate
from cornerwright.book.tables import book
from cornerwright.book.writer import Writer
from cornerwright.model.entry import Entry, moment
from cornerwright.model.errors import Refusal

Fill = Callable[[sa.Connection, Photos], None]


def make_book(where: str | os.PathLike[str], entries: Sequence[Entry]) -> Book:
    """A new book with its first entries, the car first; open. Raises Refusal."""
    location = Location.of(where)

    def fill(connection: sa.Connection, photos: Photos) -> None:
        Writer(connection, photos, location.shown).write(entries)

    make(location, uuid4().hex, fill)
    return Book.open(where)


def make(location: Location, book_id: str, fill: Fill) -> None:
    """A new book, filled in the transaction that makes it. Raises Refusal; nothing is left of it then."""
    if location.folder is None:
        _make_on_server(location, book_id, fill)
    else:
        _make_folder(location.folder, book_id, fill)


def _make_on_server(location: Location, book_id: str, fill: Fill) -> None:
    store = Store(location)
    try:
        with store.writing(new=True) as connection:
            store.make_schema(connection)
            _fill(connection, Photos(store), book_id, fill)
    finally:
        store.close()


def _make_folder(folder: Path, book_id: str, fill: Fill) -> None:
    """Made beside its place under another name, then renamed."""
    if folder.is_file() or (folder.is_dir() and any(folder.iterdir())):
        raise Refusal.of("a folder or file that is there already", "a name that is free", file=str(folder))
    parent = folder.absolute().parent
    if not parent.is_dir():
        raise Refusal.of("no such folder", "a place in a folder that is there", file=str(parent))
    beside = parent / f".{folder.name}.{secrets.token_hex(6)}.new"
    store = Store(Location(folder=beside))
    store.where = str(folder)
    try:
        try:
            (beside / PHOTOS).mkdir(parents=True)
            store.make_file()
            with store.writing(new=True) as connection:
                _fill(connection, Photos(store), book_id, fill)
            store.close()
            settle(beside)
            os.rename(beside, folder)
            settle(parent)
        except OSError as error:
            found = f"{(error.strerror or type(error).__name__).lower()}: nothing was made"
            raise Refusal.of(found, "a place that can be written", file=str(folder)) from None
    except BaseException:
        store.close()
        shutil.rmtree(beside, ignore_errors=True)
        raise


def _fill(connection: sa.Connection, photos: Photos, book_id: str, fill: Fill) -> None:
    migrate(connection)
    connection.execute(sa.insert(book), {"id": book_id, "made": moment(datetime.now(UTC))})
    fill(connection, photos)
    keep_snapshots(connection)
