"""Reading the files: a car, its readings, its targets."""

from __future__ import annotations

from pathlib import Path

from cornerwright.model.car import Car
from cornerwright.model.files import read_document, write_document
from cornerwright.model.mirror import left_of, with_right_corners
from cornerwright.model.reading import Readings
from cornerwright.model.shelf import ShelfFile
from cornerwright.model.target import Targets


def load_car(path: str | Path) -> Car:
    """The car in this file, right corners completed from the left.

    Raises Refusal with every problem found, by file, line and field.
    """
    return read_document(path, Car, prepare=with_right_corners, aliases=left_of)


def load_readings(path: str | Path) -> Readings:
    """The passes of readings in this file. Raises Refusal."""
    return read_document(path, Readings)


def load_targets(path: str | Path) -> Targets:
    """The targets in this file. Raises Refusal."""
    return read_document(path, Targets)


def load_shelf(path: str | Path) -> ShelfFile:
    """The shelf in this file. Raises Refusal."""
    return read_document(path, ShelfFile)


def save_car(path: str | Path, car: Car, keep: str | Path | None = None) -> None:
    """Write the car, whole or not at all; comments and layout of the file `keep` are kept. Raises Refusal."""
    write_document(path, car, keep, prepare=with_right_corners)
