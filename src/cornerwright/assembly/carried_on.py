"""Tables over lift, carried on past the lifts that the linkage can reach."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.errors import Refusal

Array = NDArray[np.float64]


def carried_on(lengths: Array) -> Array:
    """Lengths (k, n) over even lifts with the rows that cannot be reached, nan, filled by straight lines.

    Raises Refusal where a column has fewer than two rows to go on from.
    """
    out = lengths.copy()
    for column in out.T:
        known = np.flatnonzero(np.isfinite(column))
        if known.size < 2:
            raise Refusal.of("a linkage that cannot be reached at its reference pose", "points that meet there")
        first, last = known[0], known[-1]
        inner = np.arange(first, last + 1)
        column[inner] = np.interp(inner, known, column[known])
        column[:first] = column[first] - (first - np.arange(first)) * (column[first + 1] - column[first])
        beyond = np.arange(last + 1, column.size) - last
        column[last + 1 :] = column[last] + beyond * (column[last] - column[last - 1])
    return out
