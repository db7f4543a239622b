"""The order of events, and what they amount to: folded from the nearest snapshot, inside one transaction."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import sqlalchemy as sa

from cornerwright.book.fold import Row, fold
from cornerwright.book.tables import FIRST, entry, snapshot
from cornerwright.book.trouble import UNREADABLE, line_read
from cornerwright.model.errors import Refusal
from cornerwright.model.record import Record

SNAPSHOT_EVERY = 500
"""Entries between two snapshots: what has to be read again for the car as it is."""

RECENT = 3
"""Snapshots that are kept at the end of the book: what is written down a little late makes only some of them wrong."""

FAR_APART = 16 * SNAPSHOT_EVERY
"""Entries between two older snapshots: what has to be read for the car at a past moment."""

Order = tuple[str, int]
"""Where an entry stands in the order of events: its moment, then its number."""

START: Order = ("", 0)


def head(connection: sa.Connection) -> tuple[int, str]:
    """Number and digest of the last entry."""
    row = connection.execute(sa.select(entry.c.number, entry.c.digest).order_by(entry.c.number.desc()).limit(1)).first()
    return (0, FIRST) if row is None else (int(row.number), str(row.digest))


def after(table: sa.FromClause, place: Order, *, or_at: bool = False) -> sa.ColumnElement[bool]:
    """Rows past a place in the order of events."""
    own, other = sa.tuple_(table.c.moment, table.c.number), sa.tuple_(*place)
    return own >= other if or_at else own > other


def rows_of(
    connection: sa.Connection,
    since: Order,
    until: Order | None,
    also: sa.ColumnElement[bool] | None = None,
    most: int | None = None,
) -> Iterable[Row]:
    """Entries past a place in the order of events, up to another, in that order."""
    wanted = sa.select(entry.c.number, entry.c.moment, entry.c.line).where(after(entry, since))
    if until is not None:
        wanted = wanted.where(sa.not_(after(entry, until)))
    if also is not None:
        wanted = wanted.where(also)
    wanted = wanted.order_by(entry.c.moment, entry.c.number).limit(most).execution_options(yield_per=2000)
    for number, at, line in connection.execute(wanted):
        yield Row(number, at, line)


def corrections_of(
    connection: sa.Connection, since: Order, also: sa.ColumnElement[bool] | None = None
) -> dict[int, dict[str, Any] | None]:
    """Bodies that stand in the place of entries past a place in the order; the last correction counts."""
    target = entry.alias("target")
    wanted = (
        sa.select(entry.c.corrects, entry.c.line)
        .join(target, target.c.number == entry.c.corrects)
        .where(entry.c.corrects.is_not(None), after(target, since))
        .order_by(entry.c.number)
    )
    if also is not None:
        wanted = wanted.where(also)
    return {int(row.corrects): line_read(row.line).get("body", {}).get("instead") for row in connection.execute(wanted)}


def record_at(connection: sa.Connection, until: Order | None = None) -> Record:
    """What the entries amount to, up to a place in the order of events, from the nearest snapshot. Raises Refusal."""
    wanted = sa.select(snapshot).order_by(snapshot.c.moment.desc(), snapshot.c.number.desc()).limit(1)
    if until is not None:
        wanted = wanted.where(sa.not_(after(snapshot, until)))
    near = connection.execute(wanted).first()
    try:
        since, record = _from(near)
        return fold(record, rows_of(connection, since, until), corrections_of(connection, since))
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        raise Refusal.of("entries that do not fit each other", UNREADABLE) from None


def amounts_to_a_car(connection: sa.Connection) -> None:
    """Raise Refusal where the entries do not fit each other, or the car they tell of cannot be."""
    record = record_at(connection)
    if record.described is None:
        raise Refusal.of("a book without a car", "a description of the car that counts")
    record.car_at(record.car)


def _from(near: Any) -> tuple[Order, Record]:
    """Where to go on from: a snapshot, or the beginning where there is none that this program understands."""
    record = None if near is None else Record.from_text(near.state)
    return (START, Record()) if record is None else ((near.moment, near.number), record)


def behind(connection: sa.Connection) -> int:
    """Entries past the last snapshot."""
    last = connection.execute(sa.select(sa.func.max(snapshot.c.step))).scalar() or 0
    return head(connection)[0] - int(last)


def keep_snapshots(connection: sa.Connection) -> None:
    """Keep the record at every so many entries past the last snapshot; of the older ones only some."""
    last = connection.execute(
        sa.select(snapshot).order_by(snapshot.c.moment.desc(), snapshot.c.number.desc()).limit(1)
    ).first()
    since, record = _from(last)
    if since == START:
        connection.execute(sa.delete(snapshot))
    instead = corrections_of(connection, since)
    newest = head(connection)[0] - RECENT * SNAPSHOT_EVERY
    while True:
        rows = list(rows_of(connection, since, None, most=SNAPSHOT_EVERY))
        if len(rows) < SNAPSHOT_EVERY:
            break
        record = fold(record, rows, instead).pruned()
        since = (rows[-1].moment, rows[-1].number)
        if record.step > newest or record.step % FAR_APART == 0:
            values = {"moment": since[0], "number": since[1], "step": record.step, "state": record.to_text()}
            connection.execute(sa.insert(snapshot), values)
    connection.execute(sa.delete(snapshot).where(snapshot.c.step <= newest, snapshot.c.step % FAR_APART != 0))
