"""The cars that a file could mean, as work that falls into blocks."""

from __future__ import annotations

import hashlib
import math
import threading
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Rig
from cornerwright.model.car import Car
from cornerwright.planning.doubt_subjects import FIGURES, Case, Figure, Read, reader
from cornerwright.planning.doubt_unknowns import Things, things_of
from cornerwright.running.work import Table

Array = NDArray[np.float64]

AT_ONCE = 512
"""Cars that are stood at once."""
QUICK, SLOW = 32, 4
"""Rows of a block: of cars that only stand, of cars that run."""
FIRST, SECOND, MIXED, OTHER = 0, 1, 2, 1000
"""Samples in a table: two independent ones, from `MIXED` on those with one group exchanged, from `OTHER` on the
two independent ones with the car that is compared."""

_local = threading.local()


@dataclass(frozen=True)
class Prepared:
    """A car made ready to be read."""

    things: Things
    reads: tuple[Read, ...]

    def read(self, numbers: Array) -> Array:
        """Figures (n, k) of cars (n, size), in few enough parts to hold them."""
        rows = [
            np.concatenate([read(numbers[begin : begin + AT_ONCE]) for read in self.reads], axis=1)
            for begin in range(0, numbers.shape[0], AT_ONCE)
        ]
        return np.concatenate(rows)


@dataclass(frozen=True)
class DoubtWork:
    """`rows` cars of each sample; other: a car to compare, drawn from the same numbers."""

    car: Car
    of: tuple[str, ...]
    rows: int
    random: int
    case: Case = field(default_factory=Case)
    other: Car | None = None

    @property
    def per_block(self) -> int:
        """Rows of a block; it never depends on who does it."""
        return QUICK if not {"corner", "road"} & set(self.of) else SLOW

    @property
    def blocks(self) -> int:
        """How many blocks."""
        return math.ceil(self.rows / self.per_block)

    @property
    def facts(self) -> Mapping[str, Any]:
        """All that the numbers follow from."""
        return {
            "work": "doubt",
            "car": self.car.name,
            "car_digest": _digest(self.car),
            "against": None if self.other is None else self.other.name,
            "against_digest": None if self.other is None else _digest(self.other),
            "of": list(self.of),
            "case": asdict(self.case),
            "rows": self.rows,
            "rows_per_block": self.per_block,
            "random": self.random,
        }

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Columns of the tables."""
        return tuple(one for subject in self.of for one in FIGURES[subject])

    def prepared(self, car: Car) -> Prepared:
        """This car made ready, once for each thread that reads it."""
        kept: dict[str, Prepared] = _local.__dict__.setdefault("kept", {})
        key = f"{_digest(car)} {self.of} {self.case}"
        if key not in kept:
            while len(kept) >= 4:
                kept.pop(next(iter(kept)))
            rig = Rig(car)
            things = things_of(rig, self.of)
            kept[key] = Prepared(things, tuple(reader(car, rig, things, one, self.case) for one in self.of))
        return kept[key]

    def run(self, block: int) -> Table:
        """Every sample's rows of this block: `sample`, `row`, and a column [SI] for each figure."""
        begin = block * self.per_block
        rows = min(self.per_block, self.rows - begin)
        own = self.prepared(self.car)
        first, second = (own.things.draw(self.random, block, name, rows) for name in ("first", "second"))
        samples, numbers = [FIRST, SECOND], [first, second]
        for k, columns in enumerate(own.things.groups.values()):
            mixed = first.copy()
            mixed[:, columns] = second[:, columns]
            samples.append(MIXED + k)
            numbers.append(mixed)
        found = [own.read(np.concatenate(numbers))]
        if self.other is not None:
            against = self.prepared(self.other)
            drawn = [against.things.draw(self.random, block, name, rows) for name in ("first", "second")]
            samples += [OTHER, OTHER + 1]
            found.append(against.read(np.concatenate(drawn)))
        whole = np.concatenate(found)
        table: Table = {
            "sample": np.repeat(np.array(samples, dtype=np.int32), rows),
            "row": np.tile(np.arange(begin, begin + rows, dtype=np.int64), len(samples)),
        }
        return table | {one.key: np.ascontiguousarray(whole[:, k]) for k, one in enumerate(self.figures)}


def _digest(car: Car) -> str:
    return hashlib.sha256(car.model_dump_json().encode()).hexdigest()


def sample_of(tables: list[Table], figures: tuple[Figure, ...], sample: int) -> Array:
    """Figures (rows, k) of one sample, in the order of its rows."""
    parts = []
    for table in tables:
        own = table["sample"] == sample
        parts.append(np.stack([table[one.key][own] for one in figures], axis=1))
    return np.concatenate(parts)
