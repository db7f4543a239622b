"""A measured road: heights of two tracks over the distance, from a file with three columns."""

from __future__ import annotations

import math
import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.cells import Table, cells_of, read_table
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.units import LENGTH, from_document

COLUMNS = ("distance_m", "left_mm", "right_mm")
MOST_BYTES = 32 * 1024 * 1024
COARSEST = 0.25
"""[m] from row to row: coarser, and what a wheel feels is not in the file."""
UNEVEN = 0.01
"""Share by which the rows' distances may differ from even."""
HIGHEST = 20.0
"""[m] above or below the first row."""


@dataclass(frozen=True, eq=False)
class Profile:
    """Heights (2, m) [m] of the left and right track, a row every `step` [m], and the road's name."""

    heights: NDArray[np.float64]
    step: float
    name: str

    @property
    def length(self) -> float:
        """From the first to the last row [m]."""
        return float((self.heights.shape[1] - 1) * self.step)


def load_profile(path: str | os.PathLike[str]) -> Profile:
    """The road in this file: a head line `distance_m,left_mm,right_mm`, then a row for each step, even and rising.

    Commas, semicolons or tabs; lines that begin with # are passed over. Raises Refusal with file and line.
    """
    table_file = read_table(path, COLUMNS, MOST_BYTES, "a shorter road")
    file, lines = table_file.file, table_file.lines
    rows = _rows(table_file)
    if len(rows) < 3:
        raise Refusal.of(f"{len(rows)} rows", "three rows at least", file=file)
    table = np.array(rows)
    step = float((table[-1, 0] - table[0, 0]) / (len(rows) - 1))
    if step <= 0.0:
        raise Refusal.of("distances that do not rise", "distances that rise by even steps", file=file)
    off = np.abs(table[:, 0] - table[0, 0] - np.arange(len(rows)) * step)
    worst = int(off.argmax())
    if off[worst] > UNEVEN * step:
        says = f"{table[worst, 0]:g} m"
        words = f"even steps: {table[0, 0] + worst * step:g} m"
        raise Refusal.of(says, words, file=file, line=lines[worst][0], field=COLUMNS[0])
    if step > COARSEST * 1.0001:
        raise Refusal.of(f"a row every {step:g} m", f"a row every {COARSEST:g} m or closer", file=file)
    heights = (table[:, 1:] - table[0, 1:].mean()).T
    return Profile(np.ascontiguousarray(heights), step, Path(file).stem.replace("_", " "))


def _rows(table: Table) -> list[list[float]]:
    rows: list[list[float]] = []
    problems: list[Problem] = []
    for number, line in table.lines:
        cells = cells_of(line, table.sign)
        row: list[float] = []
        for head in COLUMNS:
            text = table.cell(cells, head)
            try:
                value = float(text)
            except ValueError:
                value = math.nan
            if head != COLUMNS[0]:
                value = from_document(value, LENGTH)
            far = head != COLUMNS[0] and bool(rows) and abs(value - rows[0][1]) > HIGHEST
            if far or not math.isfinite(value):
                unit = head.rpartition("_")[2]
                problems.append(Problem(table.file, number, head, text[:60] or "nothing", f"a number in {unit}"))
            row.append(value)
        rows.append(row)
        if len(problems) >= 20:
            break
    if problems:
        raise Refusal(problems)
    return rows
