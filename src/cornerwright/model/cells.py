"""Files that hold a table: a head line, then rows, with commas, semicolons or tabs between the cells."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Sequence
from dataclasses import dataclass

from cornerwright.model.errors import Refusal
from cornerwright.model.files import read_bytes


@dataclass(frozen=True)
class Table:
    """A table as it stands in its file."""

    file: str
    sign: str
    """Between the cells."""
    places: dict[str, int]
    """Which cell of a line belongs to which column."""
    lines: tuple[tuple[int, str], ...]
    """Number and text of each row's line."""

    def cell(self, cells: Sequence[str], column: str) -> str:
        """What a line's cells have for a column; empty where they end before it."""
        place = self.places[column]
        return cells[place].strip() if place < len(cells) else ""


def read_table(path: str | os.PathLike[str], columns: Sequence[str], most_bytes: int, shorter: str) -> Table:
    """The table in this file, with at least these columns; lines that begin with # are passed over.

    shorter: what is expected of a file that is too long. Raises Refusal with file and line.
    """
    file = os.fspath(path)
    data = read_bytes(path, most_bytes)
    if len(data) > most_bytes:
        raise Refusal.of(f"a file of more than {most_bytes // 1024**2} MB", shorter, file=file)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal.of("text in another encoding", "text saved as UTF-8", file=file) from None
    lines = [(k + 1, line) for k, line in enumerate(text.splitlines()) if line.strip() and not line.startswith("#")]
    head = f"a head line {','.join(columns)}"
    if not lines:
        raise Refusal.of("an empty file", f"{head} and rows", file=file)
    number, first = lines[0]
    sign = next((one for one in (";", "\t") if one in first), ",")
    heads = [one.strip() for one in cells_of(first, sign)]
    if not set(columns) <= set(heads):
        raise Refusal.of(f"the head line '{first.strip()[:60]}'", head, file=file, line=number)
    return Table(file, sign, {one: heads.index(one) for one in columns}, tuple(lines[1:]))


def cells_of(line: str, sign: str) -> list[str]:
    """The cells between the signs, quoted or not; none where the line holds more than any table does."""
    try:
        return next(csv.reader(io.StringIO(line), delimiter=sign), [])
    except csv.Error:  # a cell beyond csv's own limit, or a line broken inside itself
        return []
