"""What the group of all commands and that of the book share."""

from __future__ import annotations

from typing import Annotated, Any

import typer
from typer.core import TyperGroup

AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON, for programs.")]

HELP = {"help_option_names": ["-h", "--help"], "max_content_width": 100}
"""Of a group: how help is asked for, and how wide it is."""


class NearestNamed(TyperGroup):
    """A group that refuses an unknown command with the nearest name, and lists each command with its help in full."""

    def write_list(self, formatter: Any, title: str, names: list[str]) -> None:
        """One list of commands."""
        rows = [(name, self.commands[name].get_short_help_str(limit=200)) for name in names]
        with formatter.section(title):
            formatter.write_dl(rows, col_max=12)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command. Raises Refusal."""
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            from cornerwright.cli.options import one_of

            one_of(args[0], tuple(self.commands), "COMMAND")
        return super().resolve_command(ctx, args)
