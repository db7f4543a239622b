"""Which of many choices no other choice beats in everything."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def non_dominated(costs: Array) -> NDArray[np.bool_]:
    """Whether each row (n,) of costs (n, k) is beaten by no other: none as good in all columns and better in one.

    Less is better. Rows that are equal stay together. Raises ValueError for a nan.
    Source: Pareto's order; sorted first, so that a row is only held against those before it (Kung, Luccio and
    Preparata, Journal of the ACM 22 (1975) 469, from memory). Proof: tests/mechanics/test_pareto.py, by all pairs.
    """
    costs = np.asarray(costs, dtype=float)
    if np.isnan(costs).any():
        raise ValueError("a cost that is not known cannot be compared")
    if costs.shape[0] == 0:
        return np.zeros(0, dtype=bool)
    # Sorted by the first column, then the next: a row can only be beaten by one that stands before it.
    rows, place = np.unique(costs, axis=0, return_inverse=True)
    keep = np.zeros(rows.shape[0], dtype=bool)
    front = np.empty_like(rows)
    count = 0
    for k, row in enumerate(rows):
        if not (front[:count] <= row).all(axis=1).any():
            front[count] = row
            count += 1
            keep[k] = True
    return np.asarray(keep[place.reshape(-1)])
