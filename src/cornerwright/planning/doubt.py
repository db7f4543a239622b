"""How sure the car's figures are before anything is read, and which of its unknowns to measure better."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import KINDS, shown
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.doubt import LEAST, Shares, shares
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_doubt import Cause, DoubtResult, ReadingDoubt, ToMeasure
from cornerwright.model.units import SHARE, to_document

Array = NDArray[np.float64]

CORNER_READINGS = ("height", "load", "camber", "toe", "stroke_share", "spring_held", "droop_left", "bump_left")
CAR_READINGS = ("cross_weight",)
CHUNK = 512
"""Cars that are stood at once: enough to be quick, few enough to tell how far it is."""
MOST_ROWS = 20_000
CAUSES = 5


def doubt(
    car: Car,
    rows: int = 256,
    random: int = 1,
    progress: Callable[[float, str], None] = lambda _share, _words: None,
) -> DoubtResult:
    """Readings of the cars that the file could mean, and the share of each group of unknowns in their scatter.

    rows: cars in each of the samples, one sample for each group and two more; random: number they are drawn from.
    Raises Refusal for fewer than 16 rows, or more than 20000.
    """
    if not LEAST <= rows <= MOST_ROWS:
        raise Refusal.of(f"{rows} cars", f"{LEAST} to {MOST_ROWS} in a sample")
    rig = Rig(car)
    groups = _groups(rig)
    done, all_rows = 0, rows * (2 + len(groups))

    def run(unknowns: Array) -> Array:
        nonlocal done
        found = []
        for begin in range(0, unknowns.shape[0], CHUNK):
            progress(done / all_rows, "standing the cars that the file could mean")
            part = unknowns[begin : begin + CHUNK]
            found.append(_read(rig, part))
            done += part.shape[0]
        return np.concatenate(found)

    keys = [(place, name) for name in CORNER_READINGS for place in CORNERS]
    keys = [*keys, *(("car", name) for name in CAR_READINGS)]  # type: ignore[list-item]
    nominal = _read(rig, rig.unknowns.nominal())[0]
    known = np.flatnonzero(np.isfinite(nominal))
    if known.size == 0:
        raise Refusal.of("a car that does not stand on its wheels", "springs that carry it; see cornerwright check")
    found = shares(
        lambda z: run(z)[:, known], list(groups.values()), rig.unknowns.size, rows, np.random.default_rng(random)
    )
    names = list(groups)
    sound = found.rows >= LEAST
    return DoubtResult(
        car=car.name,
        verdict="computed" if sound else "too few stand",
        rows=found.rows,
        lost=found.lost,
        cars=all_rows,
        random=random,
        readings=tuple(_reading(*keys[k], found, j, names) for j, k in enumerate(known)) if sound else (),
        measure=_measure([keys[k] for k in known], found, names) if sound else (),
    )


def _read(rig: Rig, unknowns: Array) -> Array:
    """Every reading (n, k) of these cars, corners first."""
    variant = rig.vary(unknowns=unknowns)
    read = outputs(variant, variant.stand(), gradients=False)
    corner = np.concatenate([read.corner[name] for name in CORNER_READINGS], axis=1)
    return np.concatenate([corner, *(read.car[name][:, None] for name in CAR_READINGS)], axis=1)


def _groups(rig: Rig) -> dict[str, NDArray[np.intp]]:
    """Columns of the unknowns by what they are, the two sides of an axle together; gauges are not the car's."""
    gathered: dict[str, list[int]] = {}
    for block in rig.unknowns.blocks:
        if block.label.endswith("gauge zero"):
            continue
        name = re.sub(r"^(front|rear)_(left|right)[. ]", r"\1 ", block.label).replace("_", " ")
        gathered.setdefault(name, []).extend(range(block.where.start, block.where.stop))
    return {name: np.array(columns, dtype=np.intp) for name, columns in gathered.items()}


def _reading(place: str, name: str, found: Shares, j: int, names: list[str]) -> ReadingDoubt:
    kind = KINDS[name]
    total = found.total[:, j]
    order = [k for k in np.argsort(-np.nan_to_num(total, nan=-1.0))[:CAUSES] if np.isfinite(total[k])]
    return ReadingDoubt(
        place=place,
        reading=name,
        unit=kind.unit,
        mean=round(shown(found.mean[j], kind), 4),
        sigma=float(f"{to_document(float(found.scatter[j]), kind):.4g}"),
        low=round(shown(found.low[j], kind), 4),
        high=round(shown(found.high[j], kind), 4),
        causes=tuple(
            Cause(
                what=names[k],
                total_percent=_percent(total[k]),
                alone_percent=_percent(found.first[k, j]),
                scatter_percent=_percent(found.total_scatter[k, j]),
            )
            for k in order
        ),
    )


def _measure(keys: list[tuple[str, str]], found: Shares, names: list[str]) -> tuple[ToMeasure, ...]:
    varies = np.asarray(np.isfinite(found.total).all(axis=0))
    if not varies.any():
        return ()
    total = found.total[:, varies]
    mean = total.mean(axis=1)
    on = [key for key, one in zip(keys, varies, strict=True) if one]
    rows = []
    for k in np.argsort(-mean):
        place, reading = on[int(np.argmax(total[k]))]
        where = "" if place == "car" else f"{place.replace('_', ' ')} "
        rows.append(
            ToMeasure(what=names[k], share_percent=_percent(mean[k]), most_on=f"{where}{reading.replace('_', ' ')}")
        )
    return tuple(rows)


def _percent(share: float) -> float:
    return round(to_document(float(share), SHARE), 2)
