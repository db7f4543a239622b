"""What the program answers about parts to choose: the document behind `cornerwright choose --json`.

Like `results`: at the edge, in trade units. Figures `_deg_per_g` are for one unit of gravity sideways.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from cornerwright.model.results import CAUTION, Finding, Result
from cornerwright.model.results_plan import Move, PartChange, ShortOf

ChoicePlanVerdict = Literal["reaches all targets", "falls short", "breaks a hard limit"]


class ChoiceFigure(Result):
    """One figure of a choice, held against what is wanted of it; unit as in its key."""

    value: float | None
    """None: not computed (a damper without a curve, a car that does not corner)."""
    low: float | None = None
    high: float | None = None
    """Wanted range; None on an open end, both None where nothing is wanted."""
    outside: float | None = None
    """How far outside the range, in tolerances; 0 inside; None where nothing is wanted."""


class ChoicePlan(Result):
    """What is turned with these parts in, to reach heights, angles and weights."""

    verdict: ChoicePlanVerdict
    chance: float | None
    minutes: float
    moves: tuple[Move, ...]
    short_of: tuple[ShortOf, ...] = ()


class Choice(Result):
    """One set of parts that no other beats in everything."""

    letter: str
    """As on the picture."""
    parts: tuple[PartChange, ...]
    """Empty: the parts that are on the car."""
    price: float
    unpriced: int = 0
    """Parts whose price the shelf does not tell; they count as nothing."""
    price_outside: float | None = None
    """How far over the ceiling, in tenths of it; None where there is none."""
    minutes: float
    """Work of fitting and turning."""
    figures: dict[str, ChoiceFigure]
    meets_all: bool
    gives_up: str
    plan: ChoicePlan


class InTheWay(Result):
    """A wish that the nearest choice misses, and why."""

    wish: str
    nearest: float | None
    """Best value that any set of parts within the hard limits has, unit as in `wish`."""
    says: str


class LeftOut(Result):
    """Sets of parts that break a hard limit of the car."""

    place: str
    count: int
    why: str


class ChooseResult(Result):
    """Which parts to fit: a set of choices none of which beats another in everything."""

    car: str
    verdict: Literal["meets all wishes", "gives something up", "nothing fits"]
    currency: str
    choices: tuple[Choice, ...]
    """The nearest to the wishes first, then by price."""
    in_the_way: tuple[InTheWay, ...] = ()
    """Where no choice meets all wishes."""
    tried: int
    """Sets of parts for the whole car that were weighed."""
    within_limits: int
    left_out: tuple[LeftOut, ...] = ()
    more: int = 0
    """Others that nothing beats, not told."""
    road: str
    speed_km_per_h: float
    findings: tuple[Finding, ...] = ()
    assumed: tuple[str, ...] = ()
    cautions: tuple[str, ...] = Field(default=())
    caution: str = CAUTION
