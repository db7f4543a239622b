"""The car at many settings of its adjusters: what each does to the figures of a command, all others left alone."""

from __future__ import annotations

import hashlib
import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Rig
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.results_sweep import SweepResult, SweptAdjuster, SweptFigure
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.doubt_subjects import FIGURES, Case, Figure, reader, stood
from cornerwright.planning.doubt_unknowns import SUBJECTS, things_of
from cornerwright.running.run import Where, run
from cornerwright.running.work import Table

Array = NDArray[np.float64]

MOST_POINTS = 50_000
QUICK, SLOW = 64, 4
"""Points of a block: where the car only stands, where it runs."""


@dataclass(frozen=True)
class Over:
    """Travels [m] that one adjuster is put to, or the same one on both sides of an axle.

    name: as it is asked for, `front_left.perch`, `front.perch`; adjusters: full names.
    """

    name: str
    adjusters: tuple[str, ...]
    travels: tuple[float, ...]


def adjusters_named(car: Car, name: str) -> tuple[str, ...]:
    """Full names of what a name means: itself, or the two sides of an axle. Raises Refusal."""
    known = car.adjusters()
    if name in known:
        return (name,)
    place, _, own = name.partition(".")
    both = tuple(f"{place}_{side}.{own}" for side in ("left", "right"))
    if place in ("front", "rear") and all(one in known for one in both):
        return both
    raise Refusal.of(f"'{name}'", f"an adjuster of the car: {', '.join(known) or 'it has none'}", field="--over")


@dataclass(frozen=True)
class SweepWork:
    """Every setting of one adjuster with every one of the others, as work that falls into blocks."""

    car: Car
    of: tuple[str, ...]
    over: tuple[Over, ...]
    case: Case = field(default_factory=Case)

    @property
    def count(self) -> int:
        """How many points."""
        return math.prod(len(one.travels) for one in self.over)

    @property
    def per_block(self) -> int:
        """Points of a block; it never depends on who does it."""
        return SLOW if {"corner", "road"} & set(self.of) else QUICK

    @property
    def blocks(self) -> int:
        """How many blocks."""
        return math.ceil(self.count / self.per_block)

    @property
    def facts(self) -> Mapping[str, Any]:
        """All that the numbers follow from."""
        return {
            "work": "sweep",
            "car": self.car.name,
            "car_digest": hashlib.sha256(self.car.model_dump_json().encode()).hexdigest(),
            "of": list(self.of),
            "case": asdict(self.case),
            "over": [asdict(one) for one in self.over],
            "points_per_block": self.per_block,
        }

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Columns of the tables."""
        return tuple(one for subject in self.of for one in FIGURES[subject])

    def points(self, begin: int, end: int) -> list[tuple[float, ...]]:
        """Travels [m] of the points from `begin` up to `end`; the last adjuster changes fastest."""
        return list(itertools.islice(itertools.product(*(one.travels for one in self.over)), begin, end))

    def run(self, block: int) -> Table:
        """`point`, and a column [SI] for each figure; nan where the car has none there."""
        begin = block * self.per_block
        points = self.points(begin, min(begin + self.per_block, self.count))
        found = np.concatenate([self._subject(one, points) for one in self.of], axis=1)
        table: Table = {"point": np.arange(begin, begin + len(points), dtype=np.int64)}
        return table | {one.key: np.ascontiguousarray(found[:, k]) for k, one in enumerate(self.figures)}

    def _subject(self, subject: str, points: Sequence[Sequence[float]]) -> Array:
        """Figures (n, k) [SI] of one command."""
        if subject == "stand":
            return self._standing(points)
        found = np.full((len(points), len(FIGURES[subject])), np.nan)
        for row, point in enumerate(points):
            put = {name: travel for one, travel in zip(self.over, point, strict=True) for name in one.adjusters}
            car = self.car.at_settings(put)
            try:
                rig = Rig(car)
                things = things_of(rig, (subject,))
                found[row] = reader(car, rig, things, subject, self.case)(np.zeros((1, things.size)))[0]
            except (Refusal, ValueError):  # no car on the road, on the circle or at the brakes at this setting
                continue
        return found

    def _standing(self, points: Sequence[Sequence[float]]) -> Array:
        """All points at once: one rig has every setting."""
        rig = Rig(self.car)
        settings = np.tile(rig.settings, (len(points), 1))
        columns = {slot.name: k for k, slot in enumerate(rig.slots)}
        for k, one in enumerate(self.over):
            for name in one.adjusters:
                settings[:, columns[name]] = [point[k] for point in points]
        return stood(rig.vary(settings))


def sweep(
    car: Car,
    over: Sequence[Over],
    *,
    of: Sequence[str] = ("stand",),
    case: Case | None = None,
    where: Where | None = None,
    progress: Callable[[float, str], None] = lambda _share, _words: None,
) -> SweepResult:
    """The figures of these commands at every setting in `over`, each with each of the others.

    of, case, where: as for `doubt`. Raises Refusal for nothing to turn, an adjuster twice, more than 50000 points, and
    as `running.run` does.
    """
    subjects = tuple(dict.fromkeys(of))
    unknown = [one for one in subjects if one not in SUBJECTS]
    if unknown or not subjects:
        raise Refusal.of(f"'{', '.join(unknown)}'", f"one or several of {', '.join(SUBJECTS)}", field="--of")
    names = [name for one in over for name in one.adjusters]
    if not names or any(not one.travels for one in over):
        raise Refusal.of("nothing to turn", "an adjuster and its settings", field="--over")
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise Refusal.of(f"{', '.join(twice)} twice", "each adjuster once", field="--over")
    work = SweepWork(car, subjects, tuple(over), case or Case())
    if work.count > MOST_POINTS:
        raise Refusal.of(f"{work.count} settings", f"{MOST_POINTS} at most", field="--over")
    tables = run(work, where or Where(), lambda share: progress(share, "putting the car to its settings"))
    values = np.stack([np.concatenate([table[one.key] for table in tables]) for one in work.figures], axis=1)
    points = np.array(work.points(0, work.count))
    known = np.flatnonzero(np.isfinite(values).any(axis=0))
    shown = np.array([[_mm(travel) for travel in point] for point in points])
    return SweepResult(
        car=car.name,
        of=subjects,
        over=tuple(
            SweptAdjuster(name=one.name, adjusters=one.adjusters, settings_mm=tuple(_mm(at) for at in one.travels))
            for one in over
        ),
        verdict="computed" if known.size else "nothing computed",
        points=work.count,
        lost=int((~np.isfinite(values).any(axis=1)).sum()),
        figures=tuple(_figure(work.figures[k], values[:, k], shown) for k in known),
        rows=tuple(
            (*(float(at) for at in shown[row]), *(_told(values[row, k], work.figures[k]) for k in known))
            for row in range(work.count)
        ),
    )


def _mm(travel: float) -> float:
    return float(f"{to_document(float(travel), LENGTH):.9g}")


def _told(value: float, one: Figure) -> float | None:
    return float(f"{one.told(value):.6g}") if math.isfinite(value) else None


def _figure(one: Figure, values: Array, shown: Array) -> SweptFigure:
    least, greatest = int(np.nanargmin(values)), int(np.nanargmax(values))
    return SweptFigure(
        place=one.place,
        reading=one.name,
        unit=one.unit,
        least=_told(values[least], one) or 0.0,
        greatest=_told(values[greatest], one) or 0.0,
        least_at_mm=tuple(float(at) for at in shown[least]),
        greatest_at_mm=tuple(float(at) for at in shown[greatest]),
    )
