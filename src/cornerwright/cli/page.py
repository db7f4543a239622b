"""A page of text for a terminal: titles, paragraphs and columns that fit its width.

On a terminal what matters is bold and what is minor is dim; colour never says anything that the
words do not. Anywhere else the page is plain text without trailing blanks.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TextIO

from rich.cells import cell_len
from rich.console import Console
from rich.text import Text

WIDEST = 100
"""Longer lines are hard to read, however wide the window."""
NARROWEST = 40

STYLES = {
    "title": "bold",
    "head": "bold underline",
    "strong": "bold",
    "minor": "dim",
    "limit": "bold red",
    "warning": "bold yellow",
    "": "",
}

Cell = str | tuple[str, str]
"""A text, or a text and its style."""


class Page:
    """Lines of text, gathered and then printed at once."""

    def __init__(self, console: Console) -> None:
        self._console = console
        self.width = max(NARROWEST, min(console.width, WIDEST))
        self._lines: list[Text] = []

    @classmethod
    def for_stream(cls, stream: TextIO) -> Page:
        """Page that will be printed on this stream."""
        return cls(Console(file=stream, highlight=False, markup=False, emoji=False))

    def print(self) -> None:
        """Put the page out."""
        for line in self._lines:
            self._console.print(line, soft_wrap=True)

    def title(self, words: str, right: str = "") -> None:
        """First line of a page, with a word at the right margin; a short gap below."""
        room = self.width - cell_len(words) - cell_len(right)
        if right and room < 2:
            self._put(words, "title")
            self._put(right, "minor")
        else:
            self._lines.append(Text.assemble((words, "bold"), " " * room if right else "", right))

    def head(self, words: str) -> None:
        """Heading of a section."""
        self.gap()
        self._put(words, "head")

    def gap(self) -> None:
        """One empty line, never two."""
        if self._lines and self._lines[-1].plain:
            self._lines.append(Text())

    def para(self, words: str, *, first: str = "", indent: int = 0, style: str = "") -> None:
        """Wrap a paragraph; `first` stands before it, later lines hang under the text."""
        lead = " " * indent + first
        lines = textwrap.wrap(
            words,
            max(20, self.width - cell_len(lead)),
            break_on_hyphens=False,
        )
        for k, line in enumerate(lines or [""]):
            before = lead if k == 0 else " " * cell_len(lead)
            self._lines.append(_line([(before, ""), (line, style)]))

    def command(self, words: str, *, indent: int = 0) -> None:
        """A command line to copy: never broken."""
        self._lines.append(_line([(" " * indent, ""), (words, "strong")]))

    def columns(
        self,
        rows: Sequence[Sequence[Cell]],
        *,
        align: str,
        header: Sequence[str] = (),
        indent: int = 2,
        gap: int = 2,
    ) -> None:
        """Rows in columns; align: one sign a column, < left, > right, ~ left and wrapped (last)."""
        cells = [[_cell(one) for one in row] for row in rows]
        heads = [[(one, "minor") for one in header]] if header else []
        every = heads + cells
        count = len(align)
        widths = [max((cell_len(row[k][0]) for row in every), default=0) for k in range(count)]
        if align.endswith("~"):
            used = indent + sum(widths[:-1]) + gap * (count - 1)
            widths[-1] = max(20, self.width - used)
        for row in every:
            self._row(row, widths, align, indent, gap)

    def _row(self, row: list[tuple[str, str]], widths: list[int], align: str, indent: int, gap: int) -> None:
        pieces: list[tuple[str, str]] = [(" " * indent, "")]
        hang = indent + sum(widths[:-1]) + gap * (len(widths) - 1)
        later: list[str] = []
        for k, (words, style) in enumerate(row):
            shown = words
            if align[k] == "~":
                wrapped = textwrap.wrap(words, widths[k], break_on_hyphens=False) or [""]
                shown, later = wrapped[0], wrapped[1:]
            blank = " " * (widths[k] - cell_len(shown))
            pieces += [(blank, ""), (shown, style)] if align[k] == ">" else [(shown, style), (blank, "")]
            pieces.append((" " * gap, ""))
        self._lines.append(_line(pieces))
        style = row[-1][1]
        self._lines += [_line([(" " * hang, ""), (line, style)]) for line in later]

    def _put(self, words: str, style: str) -> None:
        self.para(words, style=style)


def _cell(one: Cell) -> tuple[str, str]:
    return (one, "") if isinstance(one, str) else one


def _line(pieces: list[tuple[str, str]]) -> Text:
    line = Text.assemble(*((_shown(words), STYLES[style]) for words, style in pieces))
    line.rstrip()
    return line


def _shown(words: str) -> str:
    """Without signs that would steer the terminal, which names in a file might hold."""
    return "".join(sign if sign.isprintable() else "?" for sign in words)
