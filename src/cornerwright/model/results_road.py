"""What the program answers about the road: the document behind `cornerwright road --json`.

Like `results`: at the edge, in trade units, each key with its unit.
"""

from __future__ import annotations

from typing import Literal

from cornerwright.model.results import CAUTION, Finding, Result


class StrokePart(Result):
    """A part of a damper's stroke, and how long the damper was in it."""

    from_mm: float
    """From metal to metal."""
    to_mm: float
    time_percent: float


class CornerRoad(Result):
    """One corner over the whole run."""

    stroke_mm: float
    """All of it, metal to metal."""
    stands_at_mm: float
    """On the level, from metal to metal."""
    stop_mm: float
    """Below here the bump stop is touched."""
    least_mm: float
    most_mm: float
    stop_per_minute: float
    """How often the bump stop is touched."""
    bottoms_per_minute: float
    """How often the stop is squeezed beyond its curve, or metal meets metal."""
    tops_per_minute: float
    """How often the damper is pulled right out."""
    lifts_per_minute: float
    """How often the wheel leaves the ground."""
    air_percent: float
    """Time that the wheel is in the air."""
    load_variation_percent: float | None
    """Standard deviation of the tyre's load over its mean; None: in the air all the time."""
    lift_rms_mm: float
    """Of the wheel against the body, about its mean."""
    damper_rms_mm_per_s: float
    stroke: tuple[StrokePart, ...]
    """From closed to open."""


class RoadRow(Result):
    """The same car on a road of another class, at the same speed, the same unevenness scaled."""

    road: str
    weighted_m_per_s2: float | None
    """Vertical acceleration over the body's centre of gravity, weighted by Wk of ISO 2631-1."""
    feel: str | None
    """ISO 2631-1 annex C, in words."""
    worst_load_variation_percent: float | None
    stop_per_minute: float | None
    """Of the corner where it is most; likewise below."""
    bottoms_per_minute: float | None
    tops_per_minute: float | None
    air_percent: float | None


class Mode(Result):
    """A way in which the car swings by itself, about its rest."""

    what: str
    frequency_hz: float
    damping_percent: float
    """Of critical, dampers straightened for the road that was driven."""


class Straightened(Result):
    """The same run by frequencies: springs at their rate at rest, dampers straightened. A check on the run in time."""

    verdict: Literal["settled", "unsettled"]
    weighted_m_per_s2: float | None
    lift_rms_mm: dict[str, float] | None
    load_variation_percent: dict[str, float] | None


class Landing(Result):
    """A single event: a fall from a height with all wheels, or a kerb under the left wheels."""

    what: Literal["drop", "kerb"]
    height_mm: float
    least_mm: dict[str, float]
    """Least damper stroke left at each corner; below zero: metal gives."""
    bottoms: tuple[str, ...]
    """Corners whose stop is squeezed beyond its curve, or that come to metal."""
    peak_load_n: dict[str, float]
    """On each tyre."""


class RoadResult(Result):
    """The car on the road."""

    car: str
    verdict: Literal["keeps its travel", "runs out of travel", "not computed"]
    road: str
    """Class of ISO 8608, or the profile's file."""
    speed_km_per_h: float
    seconds: float
    """Driven and counted."""
    random: int | None
    """Number that the road was made from; the same number makes the same road."""
    roughness_m_per_km: float
    """International Roughness Index of the left track."""
    findings: tuple[Finding, ...]
    weighted_m_per_s2: float | None
    feel: str | None
    corners: dict[str, CornerRoad]
    roads: tuple[RoadRow, ...]
    modes: tuple[Mode, ...]
    straightened: Straightened | None
    drops: tuple[Landing, ...]
    kerbs: tuple[Landing, ...]
    drop_bottoms_from_mm: float | None
    """Least height of those tried from which a corner bottoms; None: none does."""
    kerb_bottoms_from_mm: float | None
    kerb_speed_km_per_h: float
    energy_off_percent: float | None
    """By how much the energy's books do not close, at the worst; above 1 % nothing is answered."""
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]
    caution: str = CAUTION
