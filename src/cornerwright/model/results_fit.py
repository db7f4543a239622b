"""What `fit` answers: each wheel, its tyre, what centres it, and how near it comes to everything.

As for all answers: trade units, each key with its unit.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from cornerwright.model.results import CAUTION, Finding, Result

Spot = tuple[float, float, float]


class TyreFit(Result):
    """The tyre by its marking, or by what the file says of it."""

    marking: str | None = None
    section_width_mm: float | None = None
    """On the rim that it is on; None: neither marked nor given."""
    section_from: Literal["file", "marking"] | None = None
    tread_width_mm: float | None = None
    tread_guessed: bool = False
    overall_diameter_mm: float | None = None
    """Design diameter by the marking; the new tyre's lies between the next two."""
    diameter_low_mm: float | None = None
    diameter_high_mm: float | None = None
    free_radius_mm: float
    loaded_radius_mm: float | None = None
    """Under its load at rest; None: the car does not stand."""
    rim_low_mm: float | None = None
    rim_high_mm: float | None = None
    """Rim widths it may go on: its maker's, or else the usual ones."""
    load_kg: float | None = None
    """On it, the car at rest."""
    load_needed_kg: float | None = None
    """Half of what the axle may carry by the car's plate; where that is not given, the load at rest."""
    load_allowed_kg: float | None = None
    """By its load index, at the car's top speed."""
    speed_km_per_h: float | None = None
    """By its speed symbol."""


class WheelFit(Result):
    """Where wheel and tyre lie, and what changed. Outboard positive."""

    inset_mm: float
    spacer_mm: float
    effective_inset_mm: float
    """Inset less spacer."""
    inner_face_mm: float | None = None
    outer_face_mm: float | None = None
    """Faces of the tyre from the hub's mounting face; None: the tyre's width is not known."""
    centred_by: Literal["spigot", "spacer", "seats", "nothing", "blocked"] | None = None
    """Spigot of the hub or of the spacer; seats: the nuts alone; blocked: it does not go on; None: no hub given."""
    spigot_play_mm: float | None = None
    spigot_held_mm: float | None = None
    """How much of that spigot is within the wheel's bore."""
    further_out_mm: float | None = None
    """Against the wheel that was here before, this side alone."""
    track_change_mm: float | None = None
    """Of the axle, both sides."""
    scrub_mm: float | None = None
    """Kingpin offset at the ground; None where the steering axis is not known."""
    scrub_change_mm: float | None = None
    bearing_moment_nm: float | None = None
    bearing_moment_change_nm: float | None = None
    """Of the standing load about the wheel bearings."""
    wheel_rate_n_per_mm: float | None = None
    wheel_rate_change_percent: float | None = None
    """By the wheel's other place on the linkage alone, against the wheel that was here before."""
    studs_mm: float | None = None
    """Spacer and wheel at its holes: the stud's length out of the hub, without the thread in the nut."""


class ClearanceRow(Result):
    """How near one obstacle ever comes."""

    obstacle: str
    on: str
    against: Literal["tyre", "inside of the wheel"]
    clearance_mm: float
    """Below zero: it lies within the tyre by so much."""
    sigma_mm: float
    """Standard deviation, from its own place, the tyre's size and the wheel's place."""
    chance: float
    """Probability that it is touched."""
    lift_mm: float
    across: float
    """Rack [mm], the wheel's turn [deg] or the other wheel's lift [mm], by `across_what`."""
    at_mm: Spot
    """Place on the obstacle's surface, body axes."""
    tyre_mm: Spot
    """The place on the tyre or wheel that is nearest to it."""
    at_rest_mm: float
    """Clearance at rest, straight ahead."""


class ClearanceMap(Result):
    """Least clearance over lift and lock, of all that moves against the wheel."""

    lifts_mm: tuple[float, ...]
    across: tuple[float, ...]
    clearance_mm: tuple[tuple[float | None, ...], ...]
    """One row a lift; None where the linkage does not go."""
    obstacle: tuple[tuple[str | None, ...], ...]
    """Which obstacle is nearest there."""


class ObstacleShape(Result):
    """An obstacle as it is drawn, at the reference pose."""

    name: str
    on: str
    form: Literal["point", "edge", "patch"]
    inside: bool
    radius_mm: float
    points_mm: tuple[Spot, ...]


class WheelStand(Result):
    """A wheel at one pose, body axes."""

    name: Literal["rest", "nearest"]
    lift_mm: float
    across: float
    centre_mm: Spot
    axis: Spot
    """Unit vector outboard."""


class Suggestion(Result):
    """A spacer with the camber that puts the tyre where it is wanted."""

    spacer_mm: float
    camber_deg: float
    """At rest."""
    moves: tuple[str, ...] = ()
    """What to turn for it."""
    lip_distance_mm: float
    least_clearance_mm: float
    nearest: str
    stud_mm: float | None = None
    """Out of the hub's face, with the thread engagement asked for; None: the wheel's thickness is not given."""
    keeps_gap: bool


class Inverse(Result):
    """Which spacer and camber put the tyre at a wanted distance from the lip."""

    wanted_mm: float
    gap_mm: float
    verdict: Literal["found", "nearest only", "none keeps the gap"]
    best: Suggestion | None = None
    others: tuple[Suggestion, ...] = ()


class CornerFit(Result):
    """One wheel."""

    tyre: TyreFit
    wheel: WheelFit | None = None
    """None: the file has no rim."""
    across_what: Literal["rack", "turn", "other wheel", "straight ahead"] | None = None
    clearances: tuple[ClearanceRow, ...] = ()
    """Nearest first."""
    map: ClearanceMap | None = None
    least_mm: float | None = None
    lip_distance_mm: float | None = None
    """Lip from the tyre's outermost place above the wheel's middle, sideways, at rest; below zero: tyre outside."""
    lift_to_contact_mm: float | None = None
    """Least lift in bump at which anything is touched, at any lock; None: nothing up to full bump."""
    full_droop_mm: float | None = None
    full_bump_mm: float | None = None
    chance_of_rubbing: float | None = None
    outline_mm: tuple[tuple[float, float], ...] = ()
    """Half the outline of tyre and rim: axial place and radius, from the tread's middle to the axis."""
    obstacles: tuple[ObstacleShape, ...] = ()
    poses: tuple[WheelStand, ...] = ()
    inverse: Inverse | None = None


class FitResult(Result):
    """Whether wheels and tyres fit, at each corner that the file says enough of."""

    car: str
    verdict: Literal["fits", "warnings", "does not fit", "not enough is known"]
    corners: dict[str, CornerFit] = Field(default={})
    findings: tuple[Finding, ...] = ()
    assumed: tuple[str, ...] = ()
    caution: str = CAUTION
