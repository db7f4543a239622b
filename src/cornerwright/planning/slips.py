"""Slips among the readings: a slip of the pen, another unit, left and right exchanged."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.parts import CORNERS
from cornerwright.planning.observe import Key, Observations

Array = NDArray[np.float64]

SURPRISE = 4.0
"""A reading further than this many standard deviations from what all else led one to expect is asked about."""


def surprises(gap: Array, covariance: Array) -> Array:
    """How far each reading (r,) lies from what the others make of it, in standard deviations.

    gap (r,): readings minus expectation before anything was read, of this covariance (r, r). The reading that
    fits least is set aside before the others are judged, and so on while one lies beyond SURPRISE, so that one
    slip does not accuse its neighbours. Source: conditional normal distribution, as in Gelman et al., Bayesian
    Data Analysis, 3rd ed., appendix A (from memory).
    """
    found = np.zeros(gap.size)
    left = np.arange(gap.size)
    while left.size:
        precision = np.linalg.inv(covariance[np.ix_(left, left)])
        off = (precision @ gap[left]) / np.sqrt(np.diag(precision))
        worst = int(np.argmax(np.abs(off)))
        if abs(off[worst]) <= SURPRISE:
            found[left] = off
            break
        found[left[worst]] = off[worst]
        left = np.delete(left, worst)
    return found


def swapped_sides(read: Observations, expected: Array, covariance: Array) -> tuple[str, str | None] | None:
    """Which readings fit far better with left and right exchanged: one kind on one axle or both, or all of them.

    Better by SURPRISE squared in the sum of squared standard deviations, the same as one reading that far off.
    """
    across = [_other_side(read.keys, key) for key in read.keys]
    other = {k: one for k, one in enumerate(across) if one is not None}
    if not other:
        return None
    precision = np.linalg.inv(covariance)
    gap = read.value - expected
    candidates: dict[tuple[str, str | None], list[int]] = {("car", None): list(other)}
    for k in other:
        corner, name = read.keys[k]
        for place in (str(corner).split("_")[0], "car"):
            candidates.setdefault((place, name), []).append(k)
    best, least = None, float(gap @ precision @ gap) - SURPRISE**2
    # The fewest readings that explain it: exchanging more of them, where they are alike, proves nothing.
    for what, members in sorted(candidates.items(), key=lambda one: len(one[1])):
        value = read.value.copy()
        value[members] = read.value[[other[k] for k in members]]
        off = float((value - expected) @ precision @ (value - expected))
        if off < least - 1e-6:
            best, least = what, off
    return best


def _other_side(keys: tuple[Key, ...], key: Key) -> int | None:
    corner, name = key
    if corner is None:
        return None
    across = CORNERS[CORNERS.index(corner) ^ 1]
    return keys.index((across, name)) if (across, name) in keys else None
