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
    turn_deg: tuple[float, float] | None = None
    """How far the wheel turns about its steering axis, right and left (plus), where a jack table knows no rack."""


class NearBy(Result):
    """One obstacle around the wheel at the pose: x forward, y from the centre plane outboard, z over the ground."""

    obstacle: str
    on: str
    form: Literal["point", "edge", "patch"]
    against: Literal["tyre", "inside of the wheel"]
    clearance_mm: float
    """At this pose; below zero: it lies within the tyre or wheel by so much."""
    exact: bool = True
    """False: neither the least clearance nor less than is wanted, and told to a mm or so; its two places are none."""
    radius_mm: float
    points_mm: tuple[tuple[float, float, float], ...]
    at_mm: tuple[float, float, float]
    """The place on it that is nearest."""
    wheel_mm: tuple[float, float, float]
    """The place on the tyre or wheel that is nearest to it."""


class CornerPose(Result):
    """A corner at one lift and place of the rack, the body held as the car stands."""

    car: str
    corner: str
    side: Literal["left", "right"]
    kind: str
    sweep: Sweep
    lift_mm: float
    rack_mm: float
    turn_deg: float = 0.0
    inside: bool
    """False: the linkage does not go there; the rest is then the pose at rest."""
    tyre_radius_mm: float
    tyre_width_mm: float | None = None
    wheel_x_mm: float
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
    near: tuple[NearBy, ...] = ()
    """Everything measured around the wheel, nearest first."""
    gap_mm: float | None = None
    """Least clearance wanted; None: nothing around the wheel is measured."""
    not_measured: Literal["room", "tyre"] | None = None
    """What must be known before a clearance can be told: what stands around the wheel, or the tyre's width and rim."""


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


class Broken(Result):
    """A hard limit that the car breaks at the settings tried."""

    corner: str
    """Corner, or `car`."""
    says: str
    by: str
    """By how much, with its unit."""
    already: bool
    """True: it is broken as the car stands now, too."""


class ClearanceTried(Result):
    """Least clearance of one wheel over all travel and lock, before and after."""

    corner: str
    before_mm: float
    after_mm: float
    obstacle: str
    """Which is nearest after."""
    gap_mm: float
    """Wanted."""


class WhatIf(Result):
    """What all four corners answer to adjusters turned on paper, nothing touched yet."""

    car: str
    verdict: Literal["stands", "stalled", "falls"]
    tried: dict[str, float]
    """Settings tried, by full name, in mm."""
    readings: tuple[Tried, ...] = ()
    breaks: tuple[Broken, ...] = ()
    """Hard limits broken at these settings."""
    clearances: tuple[ClearanceTried, ...] = ()
    """Of the corners whose adjusters are tried, where what stands around the wheel is measured."""


class AtHand(Result):
    """An adjuster as the hand knows it: counted in its own unit (turn, flat, notch, shim, mm)."""

    adjuster: str
    """Full name."""
    unit: str
    stands: float
    """Where it stands, tried steps counted."""
    least: float
    most: float
    left_back: float
    """How far it can still go towards the least."""
    left_on: float
    tried: float
    """How far it is tried from where it stands on the car."""
    share: float
    """Where it stands between least (0) and most (1)."""
    step: float
    """Smallest step."""
    stride: int | None = None
    """Smallest steps in a longer one: a whole turn, or five; None: there is none."""
    stride_unit: str = ""
    does: str
    """What the hand does for what is tried; empty: nothing is tried."""
    plus: str
    minus: str
    reach: str
    """What must come off to turn it."""
