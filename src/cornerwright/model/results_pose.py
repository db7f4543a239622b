"""Answers of a corner that is moved by hand, and of adjusters tried on paper."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from cornerwright.model.results import Result


class Sweep(Result):
    """How far a wheel may be moved, counted as lift from the reference pose."""

    lowest_mm: float
    """Full droop: the damper right out, or where the linkage or what was measured ends."""
    highest_mm: float
    """Full bump, coil bind, or where the linkage or what was measured ends."""
    rest_mm: float
    """Where the car stands."""
    lowest_is: Literal["end", "measured"] = "end"
    """`measured`: the wheel goes further down than its jack table was measured."""
    highest_is: Literal["end", "measured"] = "end"
    """Likewise upwards."""
    stop_mm: float | None = None
    """Where the bump stop is first touched; None: no stop, or never."""
    rack_mm: float | None = None
    """Travel of the rack either way; None: this wheel is not steered, or its linkage is a jack table."""


class CornerPose(Result):
    """A corner at one lift and place of the rack, the body held as the car stands."""

    car: str
    corner: str
    side: Literal["left", "right"]
    kind: str
    sweep: Sweep
    lift_mm: float
    rack_mm: float
    inside: bool
    """False: the linkage does not go there; the rest is then the pose at rest."""
    tyre_radius_mm: float
    tyre_width_mm: float | None = None
    wheel_y_mm: float
    """Wheel centre from the car's centre plane, positive outboard."""
    wheel_z_mm: float
    """Wheel centre over the ground on which the car stands."""
    camber_deg: float
    toe_deg: float
    caster_deg: float | None = None
    damper_mm: float
    damper_open_mm: float
    damper_closed_mm: float
    spring_mm: float
    spring_free_mm: float
    spring_bind_mm: float
    spring_load_n: float
    droop_left_mm: float
    bump_left_mm: float
    """To where damper, coils or linkage end, not to where the measuring ended."""
    spring_state: Literal["held", "loose", "bound"]
    stop: Literal["clear", "touched", "none"]
    points: dict[str, tuple[float, float, float]] = Field(default_factory=dict)
    """x forward, y from the centre plane outboard, z over the ground."""
    lines: tuple[tuple[str, str, str], ...] = ()
    """As for `CornerScene`."""


class Tried(Result):
    """One reading before and after adjusters are tried."""

    corner: str
    """Corner, or `car`."""
    reading: str
    """With its unit."""
    before: float
    after: float
    low: float | None = None
    high: float | None = None
    """Wanted range, where there is one."""
    inside: bool | None = None
    """Whether the value after lies in it."""


class WhatIf(Result):
    """What all four corners answer to adjusters turned on paper, nothing touched yet."""

    car: str
    verdict: Literal["stands", "stalled", "falls"]
    tried: dict[str, float]
    """Settings tried, by full name, in mm."""
    readings: tuple[Tried, ...] = ()
