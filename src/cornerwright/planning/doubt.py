"""How sure the car's figures are before anything is read, and which of its unknowns to measure better.

With a second car, or the same at other settings: whether the difference is larger than what is not known.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.doubt import LEAST, Shares, shares_of
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.results_doubt import Cause, Compared, DoubtResult, ReadingDoubt, ToMeasure
from cornerwright.model.units import SHARE, to_document
from cornerwright.planning.doubt_subjects import Case, Figure
from cornerwright.planning.doubt_unknowns import SUBJECTS, how
from cornerwright.planning.doubt_work import FIRST, MIXED, OTHER, SECOND, DoubtWork, sample_of
from cornerwright.running.run import Where, run
from cornerwright.running.work import numbers_for

Array = NDArray[np.float64]

MOST_ROWS = 20_000
USUAL_ROWS = {"quick": 256, "slow": 64}
"""Without a wish: of cars that only stand or brake, of cars that run."""
CAUSES = 5
SURE = 1.96
"""Standard errors each way for 95 % of a normal mean."""


def doubt(
    car: Car,
    rows: int | None = None,
    random: int = 1,
    progress: Callable[[float, str], None] = lambda _share, _words: None,
    *,
    of: Sequence[str] = ("stand",),
    against: Car | None = None,
    case: Case | None = None,
    where: Where | None = None,
) -> DoubtResult:
    """Figures of the cars that the file could mean, and the share of each group of unknowns in their scatter.

    rows: cars in each of the samples, one sample for each group and two more; 256 without it, 64 where the cars run.
    random: number they are drawn from. of: subjects by the command that tells them, `stand`, `corner`, `road`,
    `brakes`. against: another car, or the same at other settings, drawn from the same numbers, for the difference.
    case: what the cars are put to. where: who does it and where it is kept; the numbers do not hang on it.
    Raises Refusal for fewer than 16 rows or more than 20000, a subject not known or not in the file, and as
    `running.run` does.
    """
    subjects = tuple(dict.fromkeys(of))
    unknown = [one for one in subjects if one not in SUBJECTS]
    if unknown or not subjects:
        raise Refusal.of(f"'{', '.join(unknown)}'", f"one or several of {', '.join(SUBJECTS)}", field="--of")
    slow = bool({"corner", "road"} & set(subjects))
    rows = USUAL_ROWS["slow" if slow else "quick"] if rows is None else rows
    if not LEAST <= rows <= MOST_ROWS:
        raise Refusal.of(f"{rows} cars", f"{LEAST} to {MOST_ROWS} in a sample")
    work = DoubtWork(car, subjects, rows, random, case or Case(), against)
    own = work.prepared(car)
    known = _known(own.read(np.zeros((1, own.things.size)))[0], work)
    if against is not None:
        theirs = work.prepared(against)
        also = np.isfinite(theirs.read(np.zeros((1, theirs.things.size)))[0])
        known = known[also[known]]
    words = "running the cars that the file could mean" if slow else "standing the cars that the file could mean"
    tables = run(work, where or Where(), lambda share: progress(share, words))
    figures = tuple(work.figures[k] for k in known)
    names = list(own.things.groups)
    first, second = (sample_of(tables, figures, one) for one in (FIRST, SECOND))
    mixed = np.stack([sample_of(tables, figures, MIXED + k) for k in range(len(names))])
    found = shares_of(first, second, mixed, numbers_for(random, 0, "shares drawn again"))
    sound = found.rows >= LEAST
    compared: tuple[Compared, ...] = ()
    if against is not None and sound:
        other = np.concatenate([sample_of(tables, figures, OTHER + k) for k in (0, 1)])
        compared = _compared(figures, np.concatenate([first, second]), other)
    return DoubtResult(
        car=car.name,
        of=subjects,
        against=None if against is None else against.name,
        verdict="computed" if sound else "too few stand",
        rows=found.rows,
        lost=found.lost,
        cars=rows * (2 + len(names) + (0 if against is None else 2)),
        random=random,
        readings=tuple(_reading(one, found, j, names) for j, one in enumerate(figures)) if sound else (),
        measure=_measure(figures, found, names) if sound else (),
        compared=compared,
    )


def _known(nominal: Array, work: DoubtWork) -> NDArray[np.intp]:
    """Columns that the car as it is written has. Raises Refusal where a subject has none."""
    for subject in work.of:
        own = [k for k, one in enumerate(work.figures) if one in DoubtWork(work.car, (subject,), 1, 1).figures]
        if not np.isfinite(nominal[own]).any():
            raise Refusal.of(
                f"a car that does not do what `{subject}` asks", f"one that does; see cornerwright {subject} and check"
            )
    return np.flatnonzero(np.isfinite(nominal))


def _told(value: float, one: Figure) -> float:
    return float(f"{one.told(value):.6g}")


def _reading(one: Figure, found: Shares, j: int, names: list[str]) -> ReadingDoubt:
    total = found.total[:, j]
    order = [k for k in np.argsort(-np.nan_to_num(total, nan=-1.0))[:CAUSES] if np.isfinite(total[k])]
    return ReadingDoubt(
        place=one.place,
        reading=one.name,
        unit=one.unit,
        mean=_told(found.mean[j], one),
        sigma=float(f"{one.told(found.scatter[j]):.4g}"),
        low=_told(found.low[j], one),
        high=_told(found.high[j], one),
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


def _measure(figures: tuple[Figure, ...], found: Shares, names: list[str]) -> tuple[ToMeasure, ...]:
    # What nine cars of ten have alike, such as a stop never touched, says little of what to measure.
    varies = np.isfinite(found.total).all(axis=0) & (found.low < found.high)
    if not varies.any():
        return ()
    total = found.total[:, varies]
    mean = total.mean(axis=1)
    on = [one for one, moves in zip(figures, varies, strict=True) if moves]
    rows = []
    for k in np.argsort(-mean):
        one = on[int(np.argmax(total[k]))]
        where = "" if one.place == "car" else f"{one.place.replace('_', ' ')} "
        rows.append(
            ToMeasure(
                what=names[k],
                share_percent=_percent(mean[k]),
                scatter_percent=_percent(found.rank_scatter[k]),
                most_on=f"{where}{one.name.replace('_', ' ')}",
                how=how(names[k]),
            )
        )
    return tuple(rows)


def _compared(figures: tuple[Figure, ...], mine: Array, theirs: Array) -> tuple[Compared, ...]:
    """Differences car by car, the other less this one, each pair from the same numbers."""
    both = np.isfinite(mine).all(axis=1) & np.isfinite(theirs).all(axis=1)
    here, there = mine[both], theirs[both]
    if both.sum() < LEAST:
        return ()
    rows = []
    for j, one in enumerate(figures):
        apart = there[:, j] - here[:, j]
        mean, sigma = float(apart.mean()), float(apart.std(ddof=1))
        error = SURE * sigma / np.sqrt(apart.size)
        low, high = (float(value) for value in np.quantile(apart, [0.05, 0.95]))
        rows.append(
            Compared(
                place=one.place,
                reading=one.name,
                unit=one.unit,
                here=_told(here[:, j].mean(), one),
                there=_told(there[:, j].mean(), one),
                difference=_told(mean, one),
                difference_low=_told(mean - error, one),
                difference_high=_told(mean + error, one),
                low=_told(low, one),
                high=_told(high, one),
                more_percent=_percent(float((apart > 0.0).mean())),
                says="more" if low > 0.0 else "less" if high < 0.0 else "not sure",
            )
        )
    return tuple(rows)


def _percent(share: float) -> float:
    return round(to_document(float(share), SHARE), 2)
