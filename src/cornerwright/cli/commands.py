"""The group of all commands, and what several of them take. Heavy things are imported when a command runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from cornerwright.cli.book import book

EPILOG = (
    "Every command takes --help, and --json for an answer that programs can read. Exit status: "
    "0 done; 1 the car breaks a hard limit; 2 bad input."
)

LOOK, TURN, START, PROGRAMS = "Look at the car", "Turn", "Start", "For programs"
RECORD = "Keep the record"


class ByTheJob(TyperGroup):
    """The group of all commands, listed by what one wants to do."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write one list a section."""
        for section in (START, LOOK, TURN, RECORD, PROGRAMS):
            rows = [
                (name, command.get_short_help_str(limit=200))
                for name, command in self.commands.items()
                if getattr(command, "rich_help_panel", None) == section
            ]
            with formatter.section(section):
                formatter.write_dl(rows, col_max=12)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command, or refuse with the nearest name."""
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            from cornerwright.cli.options import one_of

            one_of(args[0], tuple(self.commands), "COMMAND")
        return super().resolve_command(ctx, args)


app = typer.Typer(
    cls=ByTheJob,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    epilog=EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)

app.add_typer(book, name="book", rich_help_panel=RECORD)

CarFile = Annotated[Path, typer.Argument(metavar="CAR", help="Car file (YAML).")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON, for programs.")]
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
