"""How sure the car's figures are, in words: the same on a terminal and on a screen."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_doubt import ReadingDoubt, ToMeasure

DECIMALS = {"mm": 1, "deg": 2, "deg/g": 2, "kg": 1, "%": 1, "g": 2, "m/s2": 2, "N": 0, "per min": 1}
CLEAR = 2.0
"""Standard deviations by which one thing must lead the next to be first for sure."""


def measure_first(measure: Sequence[ToMeasure]) -> str:
    """What to measure better first, and whether that is sure."""
    first = measure[0]
    says = (
        f"Measure this better first: {first.what}. It makes {figure(first.share_percent)} % of the doubt, averaged "
        "over all figures."
    )
    if len(measure) > 1:
        second = measure[1]
        apart = first.share_percent - second.share_percent
        if apart < CLEAR * (first.scatter_percent**2 + second.scatter_percent**2) ** 0.5:
            says += f" {second.what[:1].upper()}{second.what[1:]} may be as much: more cars would tell."
    return says


def figure_name(reading: str, place: str) -> str:
    """A figure and where it is."""
    words = reading.replace("_", " ")
    return words if place == "car" else f"{words}, {place_words(place)}"


def least_sure(readings: Sequence[ReadingDoubt]) -> list[ReadingDoubt]:
    """Of each figure the corner where it is least sure."""
    found: dict[str, ReadingDoubt] = {}
    for one in readings:
        if one.reading not in found or one.sigma > found[one.reading].sigma:
            found[one.reading] = one
    return list(found.values())


def spread_words(one: ReadingDoubt) -> str:
    """What nine cars of ten have."""
    digits = DECIMALS.get(one.unit, 2)
    return f"{figure(one.low, digits)} to {figure(one.high, digits)} {one.unit}"
