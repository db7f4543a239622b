"""An adjuster as the hand counts it: where it stands in turns, flats, notches, shims or mm, and how much is left."""

from __future__ import annotations

import numpy as np

from cornerwright.model.adjuster import MINUS, PLUS, Adjuster
from cornerwright.model.errors import Refusal
from cornerwright.model.results_pose import AtHand

FEW = 12
"""Steps of a range that need no longer stride."""

FIVE = 5

SLACK = 1e-9


def reached(adjuster: Adjuster, steps: int) -> float:
    """Setting [m] so many smallest steps from where it stands; of sizes on the shelf, so many sizes on.

    Raises Refusal where the range, or the shelf, ends before.
    """
    if adjuster.sizes:
        return _on_the_shelf(adjuster, steps)
    travel = adjuster.setting + steps * adjuster.step_travel
    low, high = adjuster.range
    if not low - SLACK <= travel <= high + SLACK:
        raise Refusal.of(f"{steps:+d} steps", "a setting inside the adjuster's range")
    return travel


def most_steps(adjuster: Adjuster) -> tuple[int, int]:
    """Smallest steps that are left back (not above 0) and on."""
    if adjuster.sizes:
        sizes, here = _sizes(adjuster)
        return -here, len(sizes) - 1 - here
    low, high = adjuster.range
    return (
        -int(np.floor((adjuster.setting - low) / adjuster.step_travel + 1e-6)),
        int(np.floor((high - adjuster.setting) / adjuster.step_travel + 1e-6)),
    )


def stride_of(adjuster: Adjuster) -> int | None:
    """Smallest steps of a longer one: a whole turn where it is turned, else five; None where the range is short."""
    if adjuster.sizes:
        return None
    if adjuster.unit in ("turn", "flat"):
        per_turn = adjuster.pitch / adjuster.step_travel
        return round(per_turn) if per_turn > 1.5 and abs(per_turn - round(per_turn)) < 1e-6 else FIVE
    low, high = adjuster.range
    return FIVE if (high - low) / adjuster.step_travel > FEW else None


def at_hand(name: str, adjuster: Adjuster, steps: int = 0) -> AtHand:
    """The adjuster with so many smallest steps tried. Raises Refusal as `reached` does."""
    now, unit = reached(adjuster, steps), adjuster.unit_travel
    low, high = adjuster.range
    stride = stride_of(adjuster)
    whole_turn = stride is not None and abs(stride * adjuster.step_travel - adjuster.pitch) < SLACK
    turned = whole_turn and adjuster.unit in ("turn", "flat")
    tried = now - adjuster.setting
    return AtHand.model_validate(
        {
            "adjuster": name,
            "unit": adjuster.unit,
            "stands": _count(now, unit),
            "least": _count(low, unit),
            "most": _count(high, unit),
            "left_back": _count(now - low, unit),
            "left_on": _count(high - now, unit),
            "tried": _count(tried, unit),
            "share": float(np.clip((now - low) / (high - low), 0.0, 1.0)),
            "step": adjuster.step,
            "stride": stride,
            "stride_unit": "turn" if turned else "" if stride is None else adjuster.unit,
            "does": adjuster.words(tried) if abs(tried) > SLACK else "",
            "plus": adjuster.plus or PLUS[adjuster.kind],
            "minus": adjuster.minus or MINUS[adjuster.kind],
            "reach": adjuster.reached,
        }
    )


def _sizes(adjuster: Adjuster) -> tuple[list[float], int]:
    """What can be fitted [m], what is there now among them, and its number."""
    sizes = sorted({round(one, 9) for one in (*adjuster.sizes, adjuster.setting)})
    return sizes, sizes.index(round(adjuster.setting, 9))


def _on_the_shelf(adjuster: Adjuster, steps: int) -> float:
    sizes, here = _sizes(adjuster)
    if not 0 <= here + steps < len(sizes):
        raise Refusal.of(f"{steps:+d} sizes", "a size on the shelf")
    return sizes[here + steps]


def _count(travel: float, unit: float) -> float:
    return round(travel / unit, 6) + 0.0
