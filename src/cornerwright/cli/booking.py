"""Where the book and the rules of the trade meet: a command opens one and asks the other."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import cornerwright
from cornerwright.book.book import Book
from cornerwright.model.record import Record
from cornerwright.model.results_book import Job, JobsResult
from cornerwright.planning.job_list import job_list
from cornerwright.planning.knock_on import cars_needed


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
    return job_list(record, known_figures(book, record), book.where)


def known_figures(book: Book, record: Record) -> dict[str, Any]:
    """Figures of every car that the rules ask for: those kept in the book, the others worked out and kept."""
    names = {key: _figure_key(key) for key in sorted(cars_needed(record))}
    kept = book.recall(names.values())
    missing = [key for key, name in names.items() if name not in kept]
    if missing:
        from cornerwright.planning.figures import figures_of

        fresh = {names[key]: figures_of(record.document_at(key)) for key in missing}
        book.remember(fresh)
        kept |= fresh
    return {key: kept[name] for key, name in names.items()}


def _figure_key(car: str) -> str:
    """Another version of the program may reckon otherwise."""
    return hashlib.sha256(f"{cornerwright.__version__} {car}".encode()).hexdigest()


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
