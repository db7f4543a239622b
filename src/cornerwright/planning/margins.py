"""Keeping off hard limits by what is not known: a limit held by the best guess alone is broken half of the time.

Each limit gets a wanted range that begins at its edge, so that the chance of breaking it counts. Where the car
stands nearer than the doubt allows already, only coming nearer still counts: a car that is right is left alone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.model.target import Band
from cornerwright.planning.wants import Limit, Want

Array = NDArray[np.float64]

SURE = 3.5
"""Standard deviations from its edge at which a limit counts as held for sure."""

WEIGHT = 3.0
"""How much more a limit's chance counts than a target's."""


def kept_off(
    limits: tuple[Limit, ...], now: Array, sigma: Array, wants: tuple[Want, ...]
) -> tuple[tuple[Want, float], ...]:
    """A wanted range for each limit (h,), with its doubt, by how the car stands now and its doubt (h,) [SI].

    Limits whose reading is aimed at anyway, between two edges, need none: the middle is the safest place.
    """
    aimed = {want.key for want in wants if np.isfinite(want.band.low) and np.isfinite(want.band.high)}
    found = []
    for limit, at, spread in zip(limits, now, sigma, strict=True):
        if limit.key in aimed or not np.isfinite(at) or not np.isfinite(spread):
            continue
        margin = max(0.0, limit.sign * (at - limit.edge))
        judged = min(spread, limit.scale)
        edge = limit.edge - limit.sign * max(0.0, SURE * judged - margin)
        low, high = (edge, np.inf) if limit.sign > 0 else (-np.inf, edge)
        band = Band(low, high, float("nan"), float("nan"), hard=False)
        found.append((Want(limit.key, band, limit.scale, WEIGHT, usual=True), float(spread)))
    return tuple(found)
