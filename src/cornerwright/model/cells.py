"""Cells of a line of a table."""

from __future__ import annotations

import csv
import io


def cells_of(line: str, sign: str) -> list[str]:
    """The cells between the signs, quoted or not; none where the line holds more than any table does."""
    try:
        return next(csv.reader(io.StringIO(line), delimiter=sign), [])
    except csv.Error:  # a cell beyond csv's own limit, or a line broken inside itself
        return []
