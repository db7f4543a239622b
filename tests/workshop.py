"""What the tests build cars from: the example's files, edits of them by path, and invented cars at random."""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from cornerwright.model.car import Car
from cornerwright.model.carfile import load_car, load_readings, load_targets
from cornerwright.model.reading import Reading
from cornerwright.model.target import Targets

FOLDER = Path(__file__).parents[1] / "examples" / "tarn_fell"
SIDES = ("left", "right")


@cache
def example_car() -> Car:
    return load_car(FOLDER / "car.yaml")


@cache
def example_reading() -> Reading:
    return load_readings(FOLDER / "readings.yaml").latest


@cache
def example_targets() -> Targets:
    return load_targets(FOLDER / "targets.yaml")


@cache
def _tree() -> dict[str, Any]:
    return example_car().to_document()


def car_tree() -> dict[str, Any]:
    """The example car as plain values in document units, free to be changed."""
    return copy.deepcopy(_tree())


def put(tree: Any, path: str, value: Any) -> None:
    """Set the member at a dotted path; a number is a place in a list, `*` both sides or every row."""
    first, _, rest = path.partition(".")
    if first == "*":
        names = range(len(tree)) if isinstance(tree, list) else [side for side in SIDES if side in tree]
        for name in names:
            put(tree, f"{name}.{rest}" if rest else str(name), copy.deepcopy(value))
        return
    key: Any = int(first) if isinstance(tree, list) else first
    if rest:
        put(tree[key], rest, value)
    elif value is DROP:
        del tree[key]
    else:
        tree[key] = value


class DROP:
    """As a value for `put`: take the member out."""


def car_with(edits: dict[str, Any]) -> Car:
    """The example car with members changed, in document units."""
    tree = car_tree()
    for path, value in edits.items():
        put(tree, path, value)
    return Car.model_validate(tree)


def targets_with(edits: dict[str, Any], *, clean: bool = False) -> Targets:
    """The example's targets with members changed, in document units; clean: nothing but these edits."""
    tree: dict[str, Any] = {"format": "cornerwright targets 1"} if clean else example_targets().to_document()
    for path, value in edits.items():
        parts = path.split(".")
        for part in parts[:-1]:
            tree.setdefault(part, {})
            at = tree[part]
        at[parts[-1]] = value
    return Targets.model_validate(tree)


def heights_changed(by: float) -> Targets:
    """The example's targets with every height changed by so many mm."""
    tree = example_targets().to_document()
    for axle in ("front", "rear"):
        tree[axle]["height"]["aim"] += by
    return Targets.model_validate(tree)


def at_settings(car: Car, settings: dict[str, float]) -> Car:
    """The car with its adjusters, by full name, at other settings [m]: the document after the work is done."""
    return car.at_settings(settings)


def random_car(seed: int) -> Car:
    """The example with its rates, masses, rows, lengths and settings shaken: another invented car."""
    rng = np.random.default_rng(seed)
    tree = car_tree()
    tree["mass"]["total"] *= rng.uniform(0.9, 1.1)
    tree["mass"]["front"] += rng.uniform(-4, 4)
    tree["mass"]["left"] += rng.uniform(-2, 2)
    for end in ("front", "rear"):
        tree[end]["track"] += rng.uniform(-40, 40)
        for side in SIDES:
            corner = tree[end][side]
            corner["tyre"]["rate"] *= rng.uniform(0.8, 1.2)
            corner["unsprung_mass"] *= rng.uniform(0.8, 1.2)
            for coil in corner["spring"]["stack"]:
                coil["rate"] *= rng.uniform(0.9, 1.2)
            for row in corner["linkage"]["rows"]:
                for column, scatter in (("camber", 0.08), ("toe", 0.04), ("damper", 0.6), ("spring", 0.6)):
                    if column in row:
                        row[column] += rng.normal(0, scatter)
            for one in corner["adjusters"].values():
                low, high = one["range"]
                one["setting"] = float(np.clip(one["setting"] + rng.uniform(-0.1, 0.1) * (high - low), low, high))
    return Car.model_validate(tree)
