"""Answers of `plan` and `learn`: moves, what the gauges will show, what was learned."""

from __future__ import annotations

import json
from typing import Literal

from pydantic import Field

from cornerwright.model.results import CAUTION, Finding, Result


class Move(Result):
    """One adjuster from a setting to a setting."""

    corner: str
    """Corner, or `front`/`rear` for a bar's link."""
    adjuster: str
    kind: str
    stage: str
    steps: int
    """Smallest steps to take; the sign is that of the setting."""
    unit: str
    amount: float
    """Steps in `unit`."""
    from_: float = Field(alias="from")
    """Setting before, counted in `unit`."""
    to: float
    from_mm: float
    to_mm: float
    do: str
    """The same in words for the hand."""
    minutes: float


class PredictedReading(Result):
    """What one gauge will show after the moves; unit as in its key."""

    now: float | None = None
    """As read, or as computed where it was not read."""
    was_read: bool
    value: float
    sigma: float
    low: float | None = None
    high: float | None = None
    """Wanted range; None on an open end, both None where nothing is wanted."""
    hard: bool = False
    inside: bool | None = None
    """Whether the predicted value lies in the wanted range; None where nothing is wanted."""
    chance: float | None = None
    """Probability that the gauge will show a value in the wanted range."""


class ByGauge(Result):
    """One angle that is set by the gauge at its stage: turn until it shows this."""

    corner: str
    adjuster: str
    reading: str
    """With its unit: `toe_deg`."""
    shows: float
    """What the gauge must show at this stage; later stages may move it on."""
    leave_within: float
    """Off by no more than this, nothing is turned: it would not come nearer."""
    per_unit: float
    """Change of the reading for one unit of the adjuster to the positive side."""
    unit: str


class Stage(Result):
    """One stage of the work, in order."""

    name: str
    title: str
    tasks: tuple[str, ...]
    """What to do besides the moves."""
    check: str | None = None
    """What to see before going on."""
    by_gauge: tuple[ByGauge, ...] = ()
    """What to turn on until the gauge shows it, after the moves of this stage."""
    predicted: dict[str, dict[str, float]] = Field(default_factory=dict)
    """What the gauges will show after this stage, by corner and reading."""


class ShortOf(Result):
    """A target that no move reaches, and what it would take."""

    corner: str
    reading: str
    predicted: float
    low: float | None
    high: float | None
    why: str
    needs: str


class Tight(Result):
    """A tolerance that holds the chance of the pass down."""

    corner: str
    reading: str
    chance: float
    """Probability that this reading is inside."""
    chance_if_wider: float
    """Chance of the pass if this tolerance were half as wide again, both ways."""


class PartChange(Result):
    """A part from the shelf that the plan has fitted."""

    place: str
    """`front` or `rear`: both sides."""
    part: str
    """`springs`, `bar` or `dampers`."""
    takes_out: str
    puts_in: str
    name: str
    """Its name on the shelf."""
    minutes: float
    price: float | None = None
    """In the currency of the shelf; None: not told there."""
    rate_n_per_mm: float | None = None
    """Of a spring or a bar; of one made to order, what to order."""


class Alternative(Result):
    """Another plan for the same targets, and how well it does."""

    name: Literal["least work", "no arms off", "wheels on"]
    verdict: Literal["reaches all targets", "falls short", "breaks a hard limit"]
    chance: float | None
    minutes: float
    moves: tuple[Move, ...]
    short_of: tuple[ShortOf, ...] = ()


class PlanResult(Result):
    """Ordered moves, predicted readings with their uncertainty, cautions."""

    car: str
    verdict: Literal["reaches all targets", "falls short", "breaks a hard limit", "no plan"]
    way: Literal["least work", "no arms off", "wheels on"] | None = None
    """The way that was asked for; None: the best chance."""
    moves: tuple[Move, ...] = ()
    stages: tuple[Stage, ...] = ()
    predicted: dict[str, dict[str, PredictedReading]] = Field(default_factory=dict)
    """By corner (and `car`), then by reading with its unit."""
    short_of: tuple[ShortOf, ...] = ()
    chance: float | None = None
    """Probability that every wanted reading is inside at once after this pass, done as the stages say."""
    chance_unread: float | None = None
    """The same if no gauge is read between the stages."""
    tight: tuple[Tight, ...] = ()
    """Tolerances that hold the chance down, the tightest first."""
    parts: tuple[PartChange, ...] = ()
    """Parts from the shelf to fit first: moves alone cannot do it."""
    alternatives: tuple[Alternative, ...] = ()
    """Other ways, where they were asked for."""
    minutes: float = 0.0
    rounds: int = 0
    """Linearisations used."""
    findings: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()
    caution: str = CAUTION

    @classmethod
    def of_text(cls, text: str) -> PlanResult:
        """Back from its JSON, as a command printed it or the app stored it. Raises ValueError for what is no plan."""
        try:
            return cls.model_validate(json.loads(text))
        except RecursionError:
            raise ValueError("nested too deeply") from None


class Lesson(Result):
    """One thing that the readings taught about the car."""

    what: str
    unit: str
    change: float
    """Against what the car file says; of a point, how far it lies from where it was measured."""
    sigma: float
    """Standard deviation left."""
    sigma_before: float


class NextReading(Result):
    """A reading that would teach much."""

    corner: str
    reading: str
    again: bool
    """True: it was read in the last pass, and reading it once more helps."""
    takes_off_percent: float
    """Share of the doubt about heights, loads and angles, in tolerances squared, that it would take off."""


class LearnResult(Result):
    """What the readings taught."""

    car: str
    verdict: Literal["fitted", "not converged", "does not stand", "nothing read"]
    passes_used: int
    passes_without_settings: tuple[int, ...] = ()
    """Earlier passes that could not teach: the settings they were read at are not in the file."""
    learned: tuple[Lesson, ...] = ()
    more_learned: int = 0
    unseen: tuple[str, ...] = ()
    """What the readings say nothing about."""
    read_next: tuple[NextReading, ...] = ()
    findings: tuple[Finding, ...] = ()
    written: str | None = None
    """The file that holds what was learned."""
    caution: str = CAUTION
