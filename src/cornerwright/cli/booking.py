"""Where the book and the rules of the trade meet: a command opens one and asks the other."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import cornerwright
from cornerwright.book.book import Book
from cornerwright.model.record import Record
from cornerwright.model.results_book import Job, JobsResult
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


def worse(before: JobsResult, after: JobsResult) -> tuple[Job, ...]:
    """Jobs that were not open before, that stop the car being driven now, or whose numbers are larger."""
    were = {job.name: job for job in before.jobs}
    return tuple(job for job in after.jobs if job.name not in were or _is_worse(were[job.name], job))


def _is_worse(was: Job, now: Job) -> bool:
    if now.stops_driving and not was.stops_driving:
        return True
    size = {(one.place, one.key): abs(one.shift or 0.0) for one in was.figures}
    return any(
        abs(one.shift or 0.0) > size.get((one.place, one.key), 0.0) + 1e-9
        for one in now.figures
        if one.tolerance is not None and abs(one.shift or 0.0) > one.tolerance
    )
