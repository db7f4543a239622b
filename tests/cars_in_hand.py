"""A car to work on in the app: the example's files, or its book, in a folder of the test's own."""

from __future__ import annotations

import shutil
from pathlib import Path

from cornerwright.book.making import make_book
from diary import opening, say
from shared import PROJECT


def car_folder(tmp_path: Path, name: str = "tarn_fell") -> Path:
    """The files of an example."""
    folder = tmp_path / name
    folder.mkdir()
    for one in ("car", "readings", "targets"):
        shutil.copy(PROJECT / "examples" / name / f"{one}.yaml", folder)
    return folder


def car_book(tmp_path: Path) -> Path:
    """A book of the example car, read once."""
    where = tmp_path / "tarn.book"
    corner = {"height": 612.0, "camber": -1.5, "toe": 0.2}
    reading = dict.fromkeys(("front_left", "front_right", "rear_left", "rear_right"), corner)
    make_book(where, [*opening(), say("reading", 5, reading=reading)]).close()
    return where
