"""The commands of the book and what each takes. Heavy things are imported when a command runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from cornerwright.cli.answers import Answer
from cornerwright.cli.groups import HELP, AsJson, NearestNamed

EPILOG = (
    "A BOOK is a folder (mycar.book), or a PostgreSQL URL with the book's name after #: "
    "postgresql://user@host/database#mycar. Entries are never changed: `correct` adds one that stands in "
    "an earlier one's place."
)


class InOrder(NearestNamed):
    """The group of the book's commands, in the order of a build."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write one list."""
        self.write_list(formatter, "Commands", list(self.commands))


book = typer.Typer(
    cls=InOrder,
    rich_markup_mode=None,
    no_args_is_help=True,
    epilog=EPILOG,
    context_settings=HELP,
    help="Keep the car's book: what was fitted, turned, read, tightened, found and put off; what is open now.",
)

Where = Annotated[str, typer.Argument(metavar="BOOK", help="The book: a folder, or a PostgreSQL URL with #name.")]
Who = Annotated[str | None, typer.Option(metavar="NAME", help="Who did it.")]
When = Annotated[
    str | None,
    typer.Option(metavar="MOMENT", help="When it happened, as in 2026-05-03T19:30; without it: now."),
]
Fields = Annotated[
    list[str] | None,
    typer.Argument(metavar="[FIELD=VALUE]...", help="Its fields, as in torque='85 N·m'; see docs/files.md."),
]
CarOut = Annotated[
    Path | None,
    typer.Option("--car", metavar="FILE", help="Also write the car file as it then was (YAML)."),
]


@book.command()
def new(
    where: Where,
    car: Annotated[Path, typer.Option(metavar="FILE", help="Car file: the car as it is when the book begins.")],
    targets: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Targets file: its tolerances decide what is stale.")
    ] = None,
    currency: Annotated[
        str | None,
        typer.Option(metavar="WORD", help="Currency of all prices, as in EUR; only told."),
    ] = None,
    who: Who = None,
    when: When = None,
    as_json: AsJson = False,
) -> Answer:
    """Begin a book with the car as it is."""
    from cornerwright.cli import book_moving, show_book

    result = book_moving.begin(where, car, targets, currency, who, when)
    return Answer(result, lambda page: show_book.moved(page, result), as_json)


@book.command()
def add(
    where: Where,
    kind: Annotated[
        str | None,
        typer.Argument(
            metavar="[KIND]",
            help="What happened: fitted, removed, measured, move, reading, joint, finding, put_off, done, drive, note.",
        ),
    ] = None,
    fields: Fields = None,
    who: Who = None,
    when: When = None,
    note: Annotated[str | None, typer.Option(metavar="WORDS", help="Anything worth adding.")] = None,
    photo: Annotated[
        list[Path] | None, typer.Option(metavar="FILE", help="A photo (JPEG, PNG, GIF, WebP); may be given again.")
    ] = None,
    settles: Annotated[
        list[str] | None, typer.Option(metavar="JOB", help="A job of `book jobs` that it settles; may be given again.")
    ] = None,
    ready: Annotated[
        list[str] | None,
        typer.Option(metavar="JOB", help="A job put off until something that has come now; may be given again."),
    ] = None,
    plan: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The moves of a plan (`plan --json`) that were made.")
    ] = None,
    moves: Annotated[
        str | None,
        typer.Option(metavar="LIST", help="With --plan: the moves ticked off, as in 1,2,5 or rear_left.perch."),
    ] = None,
    readings: Annotated[Path | None, typer.Option(metavar="FILE", help="The last pass of a readings file.")] = None,
    car: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The car described anew, after it was measured again.")
    ] = None,
    targets: Annotated[Path | None, typer.Option(metavar="FILE", help="Other targets from here on.")] = None,
    file: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Several entries from a file (YAML, `cornerwright entries 1`).")
    ] = None,
    as_json: AsJson = False,
) -> Answer:
    """Add entries, and say what they made stale."""
    from cornerwright.cli import book_adding, show_book

    given = book_adding.Given(
        kind, tuple(fields or ()), who, when, note, tuple(photo or ()), tuple(settles or ()), tuple(ready or ()),
        plan, moves, readings, car, targets, file,
    )  # fmt: skip
    result = book_adding.add(where, given)
    return Answer(result, lambda page: show_book.added(page, result), as_json)


@book.command()
def correct(
    where: Where,
    number: Annotated[int, typer.Argument(metavar="NUMBER", help="Number of the entry that was wrong.")],
    fields: Fields = None,
    says: Annotated[str, typer.Option(metavar="WORDS", help="Why.")] = "",
    strike: Annotated[bool, typer.Option("--strike", help="It did not happen at all.")] = False,
    who: Who = None,
    as_json: AsJson = False,
) -> Answer:
    """Add an entry that stands in the place of an earlier one: with other fields, or struck out."""
    from cornerwright.cli import book_adding, show_book

    result = book_adding.correct(where, number, tuple(fields or ()), says, strike, who)
    return Answer(result, lambda page: show_book.added(page, result), as_json)


@book.command()
def log(
    where: Where,
    last: Annotated[int, typer.Option(metavar="N", help="How many entries.", min=1, max=100_000)] = 40,
    before: Annotated[int | None, typer.Option(metavar="NUMBER", help="Only those before this one.")] = None,
    kind: Annotated[str | None, typer.Option(metavar="KIND", help="Only of this kind, as in joint.")] = None,
    place: Annotated[str | None, typer.Option(metavar="PLACE", help="Only of this place, as in rear_left.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Show the last entries as they were written."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.log(where, last, before, kind, place)
    return Answer(result, lambda page: show_book.log(page, result), as_json)


@book.command()
def now(where: Where, car: CarOut = None, as_json: AsJson = False) -> Answer:
    """Show the car as it is: settings, parts, readings, joints, what it cost."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.now(where, car)
    return Answer(result, lambda page: show_book.now(page, result), as_json)


@book.command()
def at(
    where: Where,
    moment: Annotated[
        str, typer.Argument(metavar="MOMENT", help="A day, a time (2026-05-03T19:30), or #12: after that entry.")
    ],
    as_written: Annotated[
        bool,
        typer.Option("--as-written", help="As the book told it then: without corrections made since. With #12 only."),
    ] = False,
    car: CarOut = None,
    as_json: AsJson = False,
) -> Answer:
    """Show the car as it was at a moment."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.at(where, moment, as_written, car)
    return Answer(result, lambda page: show_book.now(page, result), as_json)


@book.command()
def diff(
    where: Where,
    since: Annotated[str, typer.Argument(metavar="SINCE", help="A moment, as for `at`.")],
    until: Annotated[str | None, typer.Argument(metavar="[UNTIL]", help="Another; without it: now.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Show what changed between two moments."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.diff(where, since, until)
    return Answer(result, lambda page: show_book.diff(page, result), as_json)


@book.command()
def jobs(
    where: Where,
    only: Annotated[
        list[str] | None,
        typer.Option(metavar="JOB", help="Only this job, or those of a place as in @rear; may be given again."),
    ] = None,
    card: Annotated[
        str | None, typer.Option(metavar="LINK", help="Only the jobs of a card: what its code says.")
    ] = None,
    pdf: Annotated[Path | None, typer.Option(metavar="FILE", help="Also write them as a work card (PDF).")] = None,
    app: Annotated[
        str | None,
        typer.Option(metavar="URL", help="Address of the app that the card's code opens, as in http://bay2:8000."),
    ] = None,
    as_json: AsJson = False,
) -> Answer:
    """Show what is open, why, and in which order; status 1 if the car is not to be driven."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.jobs(where, tuple(only or ()), card, pdf, app)
    return Answer(result, lambda page: show_book.jobs(page, result), as_json, int(bool(result.stops_driving)))


@book.command()
def joints(
    where: Where,
    open_only: Annotated[bool, typer.Option("--open", help="Only those that are not done with.")] = False,
    as_json: AsJson = False,
) -> Answer:
    """Show every joint with its value, tool, bolt and how the car stood; status 1 if one is open."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.joints(where, open_only)
    status = int(any(one.open is not None for one in result.joints))
    return Answer(result, lambda page: show_book.joints(page, result), as_json, status)


@book.command()
def report(
    where: Where,
    pdf: Annotated[Path, typer.Option(metavar="FILE", help="The report (PDF).")],
    as_json: AsJson = False,
) -> Answer:
    """Write the hand-over report: parts, settings, readings before and after, joints, open jobs, photos."""
    from cornerwright.cli import book_telling, show_book

    result = book_telling.report(where, pdf)
    return Answer(result, lambda page: show_book.report(page, result), as_json)


@book.command()
def export(
    where: Where,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Zip file to write.")],
    as_json: AsJson = False,
) -> Answer:
    """Write the whole book, photos and all, as one zip with its digests."""
    from cornerwright.cli import book_moving, show_book

    result = book_moving.export(where, file)
    return Answer(result, lambda page: show_book.moved(page, result), as_json)


@book.command(name="import")
def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An export: its zip, or the folder it unpacks to.")],
    where: Annotated[
        str, typer.Argument(metavar="BOOK", help="The new book: a folder, or a PostgreSQL URL with #name.")
    ],
    as_json: AsJson = False,
) -> Answer:
    """Make a book from an export, every digest compared first."""
    from cornerwright.cli import book_moving, show_book

    result = book_moving.bring_in(file, where)
    return Answer(result, lambda page: show_book.moved(page, result), as_json)


@book.command()
def verify(where: Where, as_json: AsJson = False) -> Answer:
    """Read everything and compare it with its digests; status 1 if the book is damaged."""
    from cornerwright.cli import book_moving, show_book

    result = book_moving.verified(where)
    return Answer(result, lambda page: show_book.verified(page, result), as_json, int(result.verdict == "damaged"))
