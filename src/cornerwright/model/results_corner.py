"""What the program answers about cornering: the document behind `cornerwright corner --json`.

Like `results`: at the edge, in trade units; lateral accelerations `_g` are in units of gravity. Turns are to the left.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from cornerwright.model.results import CAUTION, Finding, Result


class TurnRow(Result):
    """One steady turn."""

    lateral_g: float
    speed_km_per_h: float
    steer_deg: float
    """Of the front wheels together."""
    slip_deg: float
    """Of the body: negative points its nose into the turn."""
    roll_deg: float
    front_used_percent: float
    """Force of the axle's tyres over their grip."""
    rear_used_percent: float
    load_kg: dict[str, float]
    camber_deg: dict[str, float]
    """To the road."""
    lift_mm: dict[str, float]
    """Of each wheel from where it is at rest; positive in bump."""
    power_kw: float
    """That the tyres take to hold the speed."""


class Slide(Result):
    """A steady turn with the rear sliding, held by the driver."""

    slip_deg: float
    speed_km_per_h: float
    steer_deg: float
    """Negative: opposite lock."""
    power_kw: float
    within_lock: bool | None = None
    """Whether the wheels steer so far and no tyre touches on the way; None: the lock is not known."""


class LockTold(Result):
    """How far the front wheels steer, the mean of both, at the lifts they have at the limit."""

    left_deg: float
    right_deg: float
    """In a turn to the left that is the opposite lock."""
    rubs_left_deg: float | None = None
    """From where a tyre touches something; None: nowhere, or not known."""
    rubs_right_deg: float | None = None
    clearance_known: bool
    """False: no room was measured around a front wheel."""
    ended_by: Literal["rack", "turn"]
    """`rack`: its travel; `turn`: the lock under room."""


class CornerResult(Result):
    """The car on a circle."""

    car: str
    radius_m: float
    driven: Literal["front", "rear", "both"]
    verdict: Literal["pushes", "slides at the rear", "neutral", "turns over"]
    """What ends it."""
    understeer_deg_per_g: float
    """More steer of the front wheels for more lateral acceleration, slow; negative: less."""
    limit: TurnRow
    roll_deg_per_g: float
    front_transfer_percent: float
    """Share of the load that goes over at the front axle, at the limit."""
    front_transfer_slow_percent: float
    """The same before a wheel lifts or a stop is met."""
    roll_centre_mm: dict[str, float]
    lifts_from_g: dict[str, float]
    """Axles whose inside wheel leaves the ground, and from when."""
    rows: tuple[TurnRow, ...]
    slides: tuple[Slide, ...]
    lock: LockTold | None = None
    """None: not in the file, or not asked for."""
    stops_from_g: dict[str, float] = Field(default={})
    """Corners whose bump stop is touched in roll, and from when."""
    droop_from_g: dict[str, float] = Field(default={})
    """Corners that roll takes to full droop, and from when."""
    findings: tuple[Finding, ...]
    assumed: tuple[str, ...]
    caution: str = CAUTION
