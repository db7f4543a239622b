"""What of a result's doubt comes from which unknown: Sobol' indices from runs that share their random numbers.

Two independent samples A and B; for each group of unknowns a third that is A but for that group, which comes from B.
Rows are compared with themselves, so that what is not the group's doing cancels.
Source: Sobol', Mathematics and Computers in Simulation 55 (2001) 271-280; first order by Saltelli et al., Computer
Physics Communications 181 (2010) 259-270, total by Jansen, ibid. 117 (1999) 35-43; from memory.
Proof: tests/outside/test_sobol_indices.py.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LEAST = 16
"""Rows below which no index is worth its name."""
REPEATS = 200
"""Samples drawn with return from the rows, for the indices' own scatter (Efron's bootstrap)."""


@dataclass(frozen=True, eq=False)
class Shares:
    """Indices of g groups for k results.

    mean, scatter (k,): of the results, scatter as one standard deviation; low, high (k,): 5 and 95 % of the runs;
    first (g, k) [1]: share of the variance that goes away, on average, once the group is known; total (g, k) [1]:
    share that is left when all but the group are known; first_scatter, total_scatter: their own standard deviations;
    rank_scatter (g,): that of a group's total index averaged over the results whose low and
    high differ. Shares of a result that does
    not vary are nan. rows: how many counted; lost: how many did not, because a run of theirs gave no number. Where
    fewer than 16 rows count, all numbers are nan.
    """

    mean: Array
    scatter: Array
    low: Array
    high: Array
    first: Array
    total: Array
    first_scatter: Array
    total_scatter: Array
    rank_scatter: Array
    rows: int
    lost: int


def shares(
    run: Callable[[Array], Array],
    groups: Sequence[NDArray[np.intp]],
    size: int,
    rows: int,
    rng: np.random.Generator,
    draw: Callable[[np.random.Generator, tuple[int, int]], Array] | None = None,
) -> Shares:
    """Sobol' indices of groups of unknowns.

    run: results (n, k) of unknowns (n, size), each row by itself, nan where a row has none; groups: columns of each
    group, no column in two; rows: of each sample, so that run is asked for rows (2 + groups) rows in all; draw: the
    unknowns' distribution, standard normal without it. Raises ValueError for fewer than 16 rows, no group, or
    groups that share a column or leave the vector.
    """
    if rows < LEAST or not groups:
        raise ValueError(f"shares need a group and at least {LEAST} rows")
    used = np.concatenate(groups)
    if np.unique(used).size != used.size or used.min() < 0 or used.max() >= size:
        raise ValueError("each unknown belongs to one group at the most")
    draw = draw or (lambda generator, shape: generator.standard_normal(shape))
    base, other = draw(rng, (rows, size)), draw(rng, (rows, size))
    first, second = run(base), run(other)
    mixed = np.empty((len(groups), *first.shape))
    for k, group in enumerate(groups):
        swapped = base.copy()
        swapped[:, group] = other[:, group]
        mixed[k] = run(swapped)
    return shares_of(first, second, mixed, rng)


def shares_of(first: Array, second: Array, mixed: Array, rng: np.random.Generator) -> Shares:
    """Indices from results that are there: (n, k) of both samples, (g, n, k) of those mixed from them.

    rng: for the indices' own scatter. A row counts where all runs that belong to it gave numbers.
    """
    groups, rows = mixed.shape[:2]
    sound = np.isfinite(first).all(axis=1) & np.isfinite(second).all(axis=1) & np.isfinite(mixed).all(axis=(0, 2))
    first, second, mixed = first[sound], second[sound], mixed[:, sound]
    count = int(sound.sum())
    both = np.concatenate([first, second])
    k = both.shape[1]
    if count < LEAST:
        none, each = np.full(k, np.nan), np.full((groups, k), np.nan)
        return Shares(none, none, none, none, each, each, each, each, each[:, :1].ravel(), count, rows - count)
    main, whole = _indices(first, second, mixed)
    again = np.empty((2, REPEATS, groups, k))
    for r in range(REPEATS):
        pick = rng.integers(0, count, count)
        again[0, r], again[1, r] = _indices(first[pick], second[pick], mixed[:, pick])
    low, high = np.quantile(both, [0.05, 0.95], axis=0)
    varies = np.isfinite(whole).all(axis=0) & (low < high)
    # A result that happens not to vary among the rows drawn again says nothing there.
    drawn = again[1][:, :, varies]
    known = np.isfinite(drawn)
    rank = np.where(known, drawn, 0.0).sum(axis=2) / np.maximum(known.sum(axis=2), 1)
    return Shares(
        mean=both.mean(axis=0),
        scatter=both.std(axis=0),
        low=low,
        high=high,
        first=main,
        total=whole,
        first_scatter=_scatter(again[0]),
        total_scatter=_scatter(again[1]),
        rank_scatter=rank.std(axis=0),
        rows=count,
        lost=rows - count,
    )


def _scatter(again: Array) -> Array:
    """Over the repeats (r, g, k) that gave a number; nan where none did."""
    known = np.isfinite(again)
    count = np.maximum(known.sum(axis=0), 1)
    mean = np.where(known, again, 0.0).sum(axis=0) / count
    square = (np.where(known, again - mean, 0.0) ** 2).sum(axis=0) / count
    return np.asarray(np.where(known.any(axis=0), np.sqrt(square), np.nan))


def _indices(first: Array, second: Array, mixed: Array) -> tuple[Array, Array]:
    """First order and total indices (g, k)."""
    both = np.concatenate([first, second])
    variance = both.var(axis=0)
    # Taken about the mean: the products then scatter less, and nothing else changes.
    centre = both.mean(axis=0)
    gain = ((second - centre) * (mixed - first)).mean(axis=1)
    left = ((first - mixed) ** 2).mean(axis=1) / 2.0
    size = np.maximum(np.abs(centre), 1e-300)
    varies = variance > (1e-12 * size) ** 2
    out = [np.divide(part, variance, out=np.full_like(part, np.nan), where=varies) for part in (gain, left)]
    return out[0], out[1]
