"""Where the book and the rules of the trade meet: a command opens one and asks the other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import cornerwright
from cornerwright.book.book import Book
from cornerwright.model.record import Record
from cornerwright.model.results_book import JobsResult
from cornerwright.planning.open_work import work_open


@contextmanager
def opened(where: str) -> Iterator[Book]:
    """The book there, closed afterwards. Raises Refusal."""
    book = Book.open(where)
    try:
        yield book
    finally:
        book.close()


def jobs_of(book: Book, record: Record) -> JobsResult:
    """Open jobs of the car as the record has it."""
    return work_open(record, book, book.where, cornerwright.__version__)
