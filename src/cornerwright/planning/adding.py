"""Entries put into a book: checked against what is open, written, and what they made stale or settled told."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Protocol

from cornerwright.model.entry import Entry, PutOff, ReadingTaken
from cornerwright.model.errors import Refusal
from cornerwright.model.record import Record
from cornerwright.model.results_book import AddResult, Job, JobsResult
from cornerwright.planning.job_list import settles_in_passing
from cornerwright.planning.knock_events import waits_for
from cornerwright.planning.open_work import Keeper, work_open


class Written(Protocol):
    """An entry that is in the book."""

    @property
    def number(self) -> int:
        """Its number."""

    @property
    def id(self) -> str:
        """Its id."""


class Kept(Keeper, Protocol):
    """A book."""

    where: str

    def record(self) -> Record:
        """The car as it is."""

    def append_all(self, new: Sequence[Entry], photos: Sequence[bytes] = ()) -> Sequence[Written]:
        """Write entries, all or none."""


def add_entries(book: Kept, entries: Sequence[Entry], photos: Sequence[bytes], version: str) -> AddResult:
    """Write entries, and say what they made stale. Raises Refusal; nothing is written then.

    version: of this program, see `work_open`.
    """
    record = book.record()
    entries = [_plain_reading(one, record) for one in entries]
    before = work_open(record, book, book.where, version)
    names = tuple(job.name for job in before.jobs)
    for name in sorted({name for one in entries for name in one.settles}):
        if name not in names and not settles_in_passing(name):
            raise Refusal.of(f"'{name}'", f"an open job of this book{_near(name, names)}", field="--settles")
    for name in sorted({name for one in entries for name in one.ready or ()}):
        if waits_for(record, name) is None:
            waiting = tuple(one for one in record.put_off if waits_for(record, one) is not None)
            raise Refusal.of(f"'{name}'", f"a job put off until something{_near(name, waiting)}", field="--ready")
    for one in entries:
        if isinstance(one.body, PutOff) and one.body.of is not None and one.body.of not in names:
            raise Refusal.of(f"'{one.body.of}'", f"an open job of this book{_near(one.body.of, names)}", field="of")
    written = book.append_all(entries, photos)
    record = book.record()
    after = work_open(record, book, book.where, version)
    still = {job.name for job in after.jobs}
    return AddResult(
        book=book.where,
        car=record.name,
        written=tuple(one.number for one in written),
        ids=tuple(one.id for one in written),
        stale=worse(before, after),
        settled=tuple(name for name in names if name not in still),
    )


def _near(word: str, known: Sequence[str]) -> str:
    near = get_close_matches(word, known, n=1, cutoff=0.6)
    return f"; did you mean {near[0]}?" if near else ""


def _plain_reading(entry: Entry, record: Record) -> Entry:
    """A round of readings as the hands took them, with the plain readings that follow from it. Raises Refusal."""
    body = entry.body
    if not isinstance(body, ReadingTaken) or body.reading.taken is None:
        return entry
    # Only where something has to be worked out: writing stays light.
    from cornerwright.assembly.rig import Rig  # noqa: PLC0415
    from cornerwright.assembly.taken import as_readings  # noqa: PLC0415

    plain = as_readings(body.reading, Rig(record.car_at(record.car)))
    body = body.model_copy(update={"reading": plain, "as_taken": body.reading.taken})
    return entry.model_copy(update={"body": body})


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
