"""Why a number is what it is: the document behind `cornerwright why --json`.

Like `results`: at the edge, in trade units. Numbers here are in the unit that stands beside them.
"""

from __future__ import annotations

from typing import Literal

from cornerwright.model.results import CAUTION, Result


class WhyInput(Result):
    """One thing that goes into the number."""

    name: str
    """Key of an answer, path of a field of the car file, or a reading."""
    value: float | str | None
    """As it is for this car and corner; a text where it is more than one number."""
    unit: str = ""
    comes_from: Literal["computed", "car file", "reading"]


class WhyCause(Result):
    """One thing not known for sure, and what it does to the number."""

    what: str
    sigma: float
    """Its standard deviation, as far as it is known now."""
    sigma_unit: str
    """Empty for what has no unit of its own: of a jack table's curve, in parts of its scatter before."""
    moves_by: float
    """What one standard deviation of it does, in the number's unit."""
    share_percent: float | None = None
    """Of the number's variance; None once readings have tied the causes to each other."""


class WhyDoubt(Result):
    """How sure the number is."""

    sigma: float | None = None
    """One standard deviation, in the number's unit; None: not computed."""
    low: float | None = None
    high: float | None = None
    """Between these where a range is computed in place of a standard deviation."""
    gauge: float | None = None
    """Scatter of the gauge that would read it, on top."""
    comes_from: str
    causes: tuple[WhyCause, ...] = ()
    """The greatest, greatest first."""


class WhyResult(Result):
    """One number: what it is, its equation, what goes into it, and how sure it is."""

    car: str
    answer: Literal["stand", "travel", "joint", "fit", "brakes", "road", "corner", "plan", "learn", "doubt"]
    """The command that shows it."""
    key: str
    """In full, as in that command's JSON."""
    place: str
    """Corner, joint or `car`."""
    what: str
    value: float | None
    """None: not known for this car, or, of `plan`, `learn` and `doubt`, told by that command only."""
    unit: str
    equation: str
    source: str
    inputs: tuple[WhyInput, ...] = ()
    doubt: WhyDoubt
    caution: str = CAUTION
