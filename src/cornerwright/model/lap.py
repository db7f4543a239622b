"""A lap as a list of times and speeds, from a file with two columns."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from cornerwright.model.cells import Table, cells_of, read_table
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.units import SPEED, TIME, Kind, parse

COLUMNS: dict[str, tuple[str, Kind]] = {"time_s": ("s", TIME), "speed_km_per_h": ("km/h", SPEED)}
"""Heads of the columns, each with its unit and kind."""
MOST_BYTES = 4 * 1024 * 1024
MOST_ROWS = 20000
FASTEST = 140.0
"""[m/s]"""
HARDEST = 60.0
"""No car slows by more [m/s2]."""


@dataclass(frozen=True)
class LapRow:
    """Where the lap stands at one time."""

    time: float
    """[s]"""
    speed: float
    """[m/s]"""


@dataclass(frozen=True)
class Lap:
    """Times that rise, and the speed at each."""

    name: str
    rows: tuple[LapRow, ...]


def load_lap(path: str | os.PathLike[str]) -> Lap:
    """The lap in this file: a head line `time_s,speed_km_per_h`, then a row for each time.

    Commas, semicolons or tabs; lines that begin with # are passed over. Raises Refusal with file and line.
    """
    table = read_table(path, tuple(COLUMNS), MOST_BYTES, f"a lap of at most {MOST_ROWS} rows")
    return Lap(Path(table.file).stem.replace("_", " "), _rows(table))


def _rows(table: Table) -> tuple[LapRow, ...]:
    file, lines = table.file, table.lines
    rows: list[LapRow] = []
    problems: list[Problem] = []
    for number, line in lines[: MOST_ROWS + 1]:
        cells = cells_of(line, table.sign)
        read: dict[str, float] = {}
        for head, (unit, kind) in COLUMNS.items():
            try:
                text = table.cell(cells, head)
                read[head] = parse(f"{text} {unit}" if text.replace(".", "").isdigit() else text, kind)
            except Refusal as refusal:
                one = refusal.problems[0]
                problems.append(Problem(file, number, head, one.found, f"{kind.words()} in {unit}"))
        if len(read) < len(COLUMNS):
            continue
        row = LapRow(read["time_s"], read["speed_km_per_h"])
        if not 0.0 <= row.speed <= FASTEST:
            problems.append(Problem(file, number, "speed_km_per_h", table.cell(cells, "speed_km_per_h"), "0 to 504"))
        elif rows and row.time <= rows[-1].time:
            problems.append(Problem(file, number, "time_s", f"{row.time:g} after {rows[-1].time:g}", "times that rise"))
        elif rows and rows[-1].speed - row.speed > HARDEST * (row.time - rows[-1].time):
            found = "a speed that falls faster than any car slows"
            problems.append(Problem(file, number, "speed_km_per_h", found, "the speed at this time"))
        else:
            rows.append(row)
    if problems:
        raise Refusal(problems[:20])
    if len(lines) > MOST_ROWS:
        raise Refusal.of(f"more than {MOST_ROWS} rows", f"{MOST_ROWS} at most", file=file)
    if len(rows) < 2:
        raise Refusal.of(f"{len(rows)} rows", "two rows at least", file=file)
    return tuple(rows)
