"""What a book tells: its log, the car at a moment, what changed, what is open, its papers."""

from __future__ import annotations

from pathlib import Path

from cornerwright.book.book import Book
from cornerwright.book.history import Order
from cornerwright.book.moments import read_order
from cornerwright.cli.book_open import jobs_of, opened
from cornerwright.cli.options import did_you_mean, one_of
from cornerwright.cli.saving import check_outputs, write_whole
from cornerwright.model.entry import KINDS, PLACES
from cornerwright.model.errors import Refusal
from cornerwright.model.files import write_document
from cornerwright.model.record import Record
from cornerwright.model.results_book import (
    BookJointsResult,
    CarNow,
    DiffResult,
    HandOverResult,
    JobsResult,
    LogLine,
    LogResult,
)
from cornerwright.planning.job_list import only_these
from cornerwright.planning.telling import car_now, difference, entry_words, joint_states


def log(where: str, last: int, before: int | None, kind: str | None, place: str | None) -> LogResult:
    """The last entries."""
    wanted_kind = None if kind is None else one_of(kind, tuple(KINDS), "--kind")
    wanted_place = None if place is None else one_of(place, PLACES, "--place")
    with opened(where) as book:
        lines = book.log(last, before, wanted_kind, wanted_place)
        return LogResult(
            book=book.where,
            car=book.name,
            entries=book.count(),
            lines=tuple(
                LogLine(
                    number=one.number,
                    when=one.moment,
                    who=one.plain.get("who"),
                    kind=one.plain["body"]["kind"],
                    says=entry_words(one.plain),
                    corrected_by=one.corrected_by,
                    entry=one.plain,
                )
                for one in lines
            ),
        )


def now(where: str, car: Path | None) -> CarNow:
    """The car as it is."""
    check_outputs({"--car": car}, {})
    with opened(where) as book:
        return _told(book, book.record(), car)


def at(where: str, moment: str, as_written: bool, car: Path | None) -> CarNow:
    """The car as it was."""
    check_outputs({"--car": car}, {})
    with opened(where) as book:
        order = read_order(book, moment, "MOMENT")
        if not as_written:
            return _told(book, book.record(order), car)
        if order[1] == 2**62:
            raise Refusal.of(f"'{moment}'", "the number of an entry, as in #12, with --as-written", field="MOMENT")
        return _told(book, book.record_as_written(order[1]), car)


def _told(book: Book, record: Record, car: Path | None) -> CarNow:
    if record.described is None:
        raise Refusal.of("a moment before the book began", "a later one", file=book.where)
    told = car_now(record, jobs_of(book, record).costs, book.where)
    if car is None:
        return told
    write_document(car, record.car_at(record.car, book.where))
    return told.model_copy(update={"written": str(car)})


def diff(where: str, since: str, until: str | None) -> DiffResult:
    """What changed."""
    with opened(where) as book:
        before = book.record(read_order(book, since, "SINCE"))
        last: Order | None = None if until is None else read_order(book, until, "UNTIL")
        return difference(before, book.record(last), book.where)


def joints(where: str, open_only: bool) -> BookJointsResult:
    """Every joint."""
    with opened(where) as book:
        record = book.record()
        found = [one for one in joint_states(record) if not open_only or one.open is not None]
        return BookJointsResult(book=book.where, car=record.name, joints=tuple(found))


def jobs(where: str, only: tuple[str, ...], card: str | None, pdf: Path | None, app: str | None) -> JobsResult:
    """What is open, or a part of it; as a work card if wanted."""
    from cornerwright.paper.code import card_link, read_link

    check_outputs({"--pdf": pdf}, {})
    if app is not None and not app.startswith(("http://", "https://")):
        raise Refusal.of(f"'{app}'", "an address that begins with http:// or https://", field="--app")
    with opened(where) as book:
        record = book.record()
        result = jobs_of(book, record)
        if card is not None:
            of, names = read_link(card)
            if of != book.id:
                raise Refusal.of("a card of another book", f"one of {book.where}", field="--card")
            result = only_these(result, tuple(name for name in names if any(job.name == name for job in result.jobs)))
        elif only:
            result = only_these(result, _named(result, only))
        result = result.model_copy(update={"link": card_link(book.id, [job.name for job in result.jobs], app)})
    if pdf is None:
        return result
    if not result.jobs:
        raise Refusal.of("no open jobs", "something to put on a card", field="--pdf")
    from cornerwright.paper.job_card import job_card

    write_whole(pdf, job_card(result))
    return result.model_copy(update={"written": str(pdf)})


def _named(result: JobsResult, only: tuple[str, ...]) -> tuple[str, ...]:
    """Names of the jobs that are wanted: by name, by rule, or by place. Raises Refusal."""
    names = [job.name for job in result.jobs]
    wanted: list[str] = []
    for word in only:
        fits = [
            job.name
            for job in result.jobs
            if word in (job.name, job.name.partition("@")[0])
            or (word.startswith("@") and job.place.startswith(word[1:]))
        ]
        if not fits:
            expected = f"an open job, or @ and a place{did_you_mean(word, names)}"
            raise Refusal.of(f"'{word}'", expected, field="--only")
        wanted += fits
    return tuple(dict.fromkeys(wanted))


def report(where: str, pdf: Path) -> HandOverResult:
    """The hand-over report."""
    from cornerwright.paper.handover import hand_over

    check_outputs({"--pdf": pdf}, {})
    with opened(where) as book:
        record = book.record()
        open_now = jobs_of(book, record)
        told = car_now(record, open_now.costs, book.where)
        photos = []
        for line in book.log(200, with_photos=True):
            for digest in line.plain.get("photos", ()):
                content = book.photo(digest)
                if content is not None:
                    photos.append((line.number, line.moment, entry_words(line.plain), content))
        write_whole(pdf, hand_over(told, open_now, photos))
        return HandOverResult(
            book=book.where,
            car=record.name,
            written=str(pdf),
            open_jobs=len(open_now.jobs),
            stops_driving=open_now.stops_driving,
        )
