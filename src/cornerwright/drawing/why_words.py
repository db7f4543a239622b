"""Why a number is what it is, in words: the same on a terminal and on a screen."""

from __future__ import annotations

from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_why import WhyCause, WhyInput, WhyResult

ORIGINS = (("Computed", "computed"), ("From the car file", "car file"), ("Read", "reading"))
"""Heads of what goes into a number, and where it comes from."""


NOTHING = 1e-8
"""Below this no number of an answer, in its own unit, is more than what rounding leaves."""


def number_words(value: float) -> str:
    """Four figures at the least, and no power of ten for what a workshop reads; what is left of rounding is nothing."""
    size = abs(value)
    if size < NOTHING:
        return "0"
    return figure(value) if 9999.5 <= size < 1e9 else f"{value:.4g}".replace("-", "\N{MINUS SIGN}")


def whose(place: str) -> str:
    """`front left lower arm` of `front_left.lower_arm`."""
    corner, dot, joint = place.partition(".")
    return place_words(corner) + (f" {joint.replace('_', ' ')}" if dot else "")


def headline(result: WhyResult) -> str:
    """The number, its doubt and its unit."""
    if result.value is None:
        return "not known for this car"
    sigma = result.doubt.sigma
    sure = "" if sigma is None else f" ± {number_words(sigma)}"
    return f"{number_words(result.value)}{sure} {result.unit}".strip()


def goes_in(one: WhyInput) -> str:
    """What goes into the number, with its unit."""
    value = number_words(one.value) if isinstance(one.value, float) else str(one.value)
    return f"{value} {one.unit}".strip()


def how_sure(result: WhyResult) -> str:
    """Its standard deviation or range, or that there is none, and why."""
    doubt = result.doubt
    if doubt.low is not None and doubt.high is not None:
        words = f"From {number_words(doubt.low)} to {number_words(doubt.high)} {result.unit}: {doubt.comes_from}."
    elif doubt.sigma is not None:
        words = f"One standard deviation is {number_words(doubt.sigma)} {result.unit}: {doubt.comes_from}."
    else:
        words = f"No standard deviation is computed: {doubt.comes_from}."
    if doubt.gauge is None:
        return words
    return f"{words} A gauge that reads it scatters by {number_words(doubt.gauge)} {result.unit} on top."


def cause_words(one: WhyCause) -> str:
    """One thing not known for sure."""
    sure = f", known to {number_words(one.sigma)} {one.sigma_unit}" if one.sigma_unit else ""
    return one.what + sure + ("" if one.share_percent is None else f": {figure(one.share_percent)} % of the variance")
