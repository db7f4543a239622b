"""Commands that begin: files, the demo, the app; and what programs ask."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cornerwright.cli.answers import Answer
from cornerwright.cli.commands import PROGRAMS, START, app
from cornerwright.cli.groups import AsJson


@app.command("app", rich_help_panel=START)
def open_app(
    where: Annotated[
        str,
        typer.Argument(
            metavar="BOOK-OR-CAR",
            help="A book (its folder or PostgreSQL URL), a folder with car.yaml, or a car file (YAML); a folder "
            "without a car: one is begun there.",
        ),
    ],
    port: Annotated[
        int, typer.Option(metavar="PORT", min=0, max=65535, help="Port to answer at; 0: any that is free.")
    ] = 8480,
    lan: Annotated[
        bool,
        typer.Option(
            "--lan", help="Answer phones on the same network too, and ask them for a pass phrase that is shown here."
        ),
    ] = False,
    called: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Another name or address of this machine, with --lan; may be given again."),
    ] = None,
    quiet: Annotated[
        float | None,
        typer.Option("--end-after", metavar="MINUTES", min=0.01, help="End when no page has been open for so long."),
    ] = None,
) -> None:
    """Open the car in a browser, on the phone beside it: begin it, look, measure, tick off the plan."""
    import os

    from cornerwright.web.serving import serve

    phrase = os.environ.get("CORNERWRIGHT_PHRASE") or None
    serve(where, port, lan, phrase, typer.echo, quiet and quiet * 60.0, [name.lower() for name in called or ()])


@app.command(rich_help_panel=PROGRAMS)
def schema(
    name: Annotated[
        str,
        typer.Argument(
            metavar="[NAME]",
            help="A file: car, readings, targets, shelf, entries; or an answer: check, travel, stand, joint, fit, "
            "brakes, road, corner, doubt, sweep, choose, why, plan, learn, new, demo, book_made, book_added, book_log, "
            "book_now, book_diff, book_jobs, book_joints, book_report, book_verify, error.",
        ),
    ] = "car",
    as_json: Annotated[bool, typer.Option("--json", help="Changes nothing: a schema is JSON.")] = False,
) -> Answer:
    """Print the JSON Schema of a file or of an answer."""
    from cornerwright.cli import options, schemas

    which = options.one_of(name, schemas.NAMES, "NAME")
    return Answer(schemas.schema_of(which), lambda page: None, True)


@app.command(rich_help_panel=START)
def new(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE",
            help="Car file to write; readings and targets are written beside it.",
        ),
    ],
    front_spring: Annotated[
        str,
        typer.Option(metavar="WHERE", help="Front spring: around (the damper) or apart (from it)."),
    ] = "around",
    rear_spring: Annotated[
        str,
        typer.Option(metavar="WHERE", help="Rear spring: around (the damper) or apart (from it)."),
    ] = "apart",
    force: Annotated[bool, typer.Option("--force", help="Overwrite files that are there.")] = False,
    as_json: AsJson = False,
) -> Answer:
    """Write a starter car file that says how to measure each value, with readings and targets."""
    from cornerwright.cli import run_new

    result = run_new.run(file, front_spring, rear_spring, force)
    return Answer(result, lambda page: run_new.show(page, result), as_json)


@app.command(rich_help_panel=START)
def demo(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for what is written; made if need be.")] = Path(
        "cornerwright-demo"
    ),
    open_app: Annotated[
        bool,
        typer.Option("--app", help="Open the example's book in the app too, until half an hour after its last use."),
    ] = False,
    as_json: AsJson = False,
) -> Answer:
    """Run the whole job on the invented example car and write its papers and its book into a folder."""
    from cornerwright.cli import run_demo
    from cornerwright.cli.waiting import waiting

    with waiting(as_json) as line:
        result = run_demo.run(out, line, open_app)
    status = int(result.plan.verdict in ("breaks a hard limit", "no plan"))
    return Answer(result, lambda page: run_demo.show(page, result), as_json, status)
