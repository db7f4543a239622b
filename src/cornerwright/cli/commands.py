"""The group of all commands, and what several of them take. Heavy things are imported when a command runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from cornerwright.cli.book import book
from cornerwright.cli.groups import HELP, NearestNamed

EPILOG = (
    "Every command takes --help, and --json for an answer that programs can read. Exit status: "
    "0 done; 1 the car breaks a hard limit; 2 bad input."
)

LOOK, TURN, START, PROGRAMS = "Look at the car", "Turn", "Start", "For programs"
RECORD = "Keep the record"


class ByTheJob(NearestNamed):
    """The group of all commands, listed by what one wants to do."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write one list a section."""
        for section in (START, LOOK, TURN, RECORD, PROGRAMS):
            of = [name for name, one in self.commands.items() if getattr(one, "rich_help_panel", None) == section]
            self.write_list(formatter, section, of)


app = typer.Typer(
    cls=ByTheJob,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    epilog=EPILOG,
    context_settings=HELP,
)

app.add_typer(book, name="book", rich_help_panel=RECORD)

CarFile = Annotated[Path, typer.Argument(metavar="CAR", help="Car file (YAML).")]
OutFolder = Annotated[
    Path | None,
    typer.Option(metavar="FOLDER", help="Keep every run there as it comes (Parquet), and go on from what is there."),
]
Processes = Annotated[
    int | None, typer.Option(metavar="COUNT", help="Processes on this machine; all cores without it.")
]
Cluster = Annotated[
    str | None, typer.Option(metavar="ADDRESS", help="A Dask cluster that does it, such as tcp://127.0.0.1:8786.")
]


def _version(asked: bool) -> None:
    if asked:
        import cornerwright

        typer.echo(f"cornerwright {cornerwright.__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def main(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """What to turn on a car's suspension, how far, in which order, and what it does to the rest."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())
        raise typer.Exit
