"""A lap as a list of times and speeds, from a file with two columns."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from cornerwright.model.cells import cells_of
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.files import read_bytes
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
    file = os.fspath(path)
    data = read_bytes(path, MOST_BYTES)
    if len(data) > MOST_BYTES:
        raise Refusal.of("a file of more than 4 MB", "a lap of at most 20000 rows", file=file)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal.of("text in another encoding", "text saved as UTF-8", file=file) from None
    lines = [(k + 1, line) for k, line in enumerate(text.splitlines()) if line.strip() and not line.startswith("#")]
    if not lines:
        raise Refusal.of("an empty file", f"a head line {','.join(COLUMNS)} and rows", file=file)
    sign = next((one for one in (";", "\t") if one in lines[0][1]), ",")
    heads = [head.strip() for head in cells_of(lines[0][1], sign)]
    missing = [head for head in COLUMNS if head not in heads]
    if missing:
        found = f"the head line '{lines[0][1].strip()[:60]}'"
        raise Refusal.of(found, f"a head line with {' and '.join(COLUMNS)}", file=file, line=lines[0][0])
    places = {head: heads.index(head) for head in COLUMNS}
    return Lap(Path(file).stem.replace("_", " "), _rows(lines[1:], sign, places, file))


def _rows(lines: list[tuple[int, str]], sign: str, places: dict[str, int], file: str) -> tuple[LapRow, ...]:
    rows: list[LapRow] = []
    problems: list[Problem] = []
    for number, line in lines[: MOST_ROWS + 1]:
        cells = cells_of(line, sign)
        read: dict[str, float] = {}
        for head, place in places.items():
            unit, kind = COLUMNS[head]
            try:
                text = cells[place].strip() if place < len(cells) else ""
                read[head] = parse(f"{text} {unit}" if text.replace(".", "").isdigit() else text, kind)
            except Refusal as refusal:
                one = refusal.problems[0]
                problems.append(Problem(file, number, head, one.found, f"{kind.words()} in {unit}"))
        if len(read) < len(places):
            continue
        row = LapRow(read["time_s"], read["speed_km_per_h"])
        if not 0.0 <= row.speed <= FASTEST:
            problems.append(Problem(file, number, "speed_km_per_h", f"{cells[places['speed_km_per_h']]}", "0 to 504"))
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
