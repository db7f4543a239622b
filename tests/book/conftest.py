"""Books in a folder and on a PostgreSQL server: the same tests on both."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from diary import opening
from servers import SERVER, drop

KINDS = [
    "folder",
    pytest.param(
        "server", marks=pytest.mark.skipif(not SERVER, reason="no CORNERWRIGHT_TEST_POSTGRESQL: PostgreSQL not tested")
    ),
]


@pytest.fixture(params=KINDS)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a book may be made."""
    if request.param == "folder":
        yield str(tmp_path / "car.book")
        return
    where = f"{SERVER}#t_{uuid4().hex}"
    yield where
    drop(where)


@pytest.fixture
def book(place: str) -> Iterator[Book]:
    """A book with the example car."""
    with make_book(place, opening()) as made:
        yield made


@pytest.fixture
def folder_book(tmp_path: Path) -> Iterator[Book]:
    """A book in a folder, for troubles that only a disk has."""
    with make_book(tmp_path / "disk.book", opening()) as made:
        yield made
