"""What the program answers: the documents behind `--json`, each key with its unit in the name.

These stand at the edge, so their numbers are in trade units (mm, deg, N, kg, %), unlike every other number
inside the program. They are filled in one place, `assembly.report`, and never computed with.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

CAUTION = (
    "Values for your car come from its maker and its parts' makers. These are computed from what you "
    "measured: a check, never the maker's figure."
)


class Result(BaseModel):
    """A part of an answer."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


class Finding(Result):
    """One thing that is wrong, doubtful or worth knowing."""

    level: Literal["limit", "warning", "note"]
    """limit: a hard limit is broken; warning: work is needed; note: good to know."""
    place: str
    """Corner, axle or `car`."""
    about: str
    """What it is about: spring, damper, linkage, reading..."""
    says: str
    do: str | None = None
    """What to do about it."""
    reading: str | None = None
    """The value that is questioned, as `checked` in a pass of readings names it."""


class TravelRow(Result):
    """One pose of a corner: a lift, with the rack where it was asked to be."""

    lift_mm: float
    steer_mm: float | None = None
    """Rack travel, positive steers to the left; None: no steering was asked for."""
    other_lift_mm: float | None = None
    """Lift of the axle's other wheel; None with a jack table, which knows one wheel."""
    inside: bool
    """False: beyond what was measured or can be reached; the row then holds no other number."""
    ends: str | None = None
    """What ends the travel short of here: a member of the linkage, or `rack`."""
    camber_deg: float | None = None
    toe_deg: float | None = None
    caster_deg: float | None = None
    kingpin_deg: float | None = None
    """Steering axis (kingpin) inclination, positive: the axis leans inboard at the top."""
    scrub_mm: float | None = None
    """Kingpin offset at the ground, positive: the axis meets the ground inboard of the contact."""
    trail_mm: float | None = None
    """Caster trail at the ground, positive: the axis meets the ground ahead of the contact."""
    wheel_x_mm: float | None = None
    wheel_y_mm: float | None = None
    half_track_mm: float | None = None
    """Change of half-track from the reference lift, positive outboard."""
    damper_mm: float | None = None
    spring_mm: float | None = None
    damper_ratio: float | None = None
    """Damper length change per lift; negative where bump shortens it."""
    spring_ratio: float | None = None
    bump_steer_deg_per_mm: float | None = None
    """Change of toe per lift."""
    roll_centre_mm: float | None = None
    """Height over the ground at which the normals to both contacts' paths meet."""
    roll_centre_y_mm: float | None = None
    """Where they meet, from the centre plane, positive to the left."""
    brake_path_deg: float | None = None
    """Side view angle of the contact's path, brake locked, positive: forward as the wheel rises."""
    drive_path_deg: float | None = None
    """Side view angle of the wheel centre's path, positive: forward as the wheel rises."""
    anti_dive_percent: float | None = None
    """Front axle, braking: share of the load transfer that the linkage carries past the springs."""
    anti_lift_percent: float | None = None
    """Rear axle, braking."""
    anti_squat_percent: float | None = None
    """Rear axle, driving, if it is the one that is driven."""
    rocker_deg: float | None = None
    """Turn of the rocker from the reference pose."""
    shaft_plunge_mm: float | None = None
    """How far the drive shaft comes out of its joints against the reference pose; below zero: goes in."""
    joints_deg: dict[str, float] = {}
    """Angle used at each ball joint and rod end, from the reference pose."""
    sigma: dict[str, float] = {}
    """Standard deviation of each value that has one, by the same key."""


class TravelLimit(Result):
    """How far the linkage itself goes with the rack at one place, damper and spring left out."""

    steer_mm: float | None = None
    lowest_mm: float | None
    highest_mm: float | None
    """None: the linkage does not stand at this place of the rack."""
    ends_below: str | None = None
    """The member that ends the travel in droop; None: nothing within half a metre; `rack`: the rack's own
    travel does not lead there."""
    ends_above: str | None = None


class TravelResult(Result):
    """What a wheel does through its travel."""

    car: str
    corner: str
    kind: str = "jack_table"
    """Of the linkage."""
    motion: Literal["together", "opposite", "held"] = "together"
    """What the other wheel of the axle does while this one is lifted; ratios and bump steer are along it."""
    lowest_mm: float
    highest_mm: float
    """Between these lifts the linkage was measured, or can be reached with the rack in the middle."""
    damper_out_mm: float | None = None
    """Lift at which the damper is pulled right out, both wheels together; None: not found."""
    full_bump_mm: float | None = None
    """Lift at which the damper is right in, or its stop squeezed as far as its curve goes."""
    coil_bind_mm: float | None = None
    """Lift at which every coil touches."""
    limits: tuple[TravelLimit, ...] = ()
    """For each place of the rack that was asked for; empty with a jack table."""
    rows: tuple[TravelRow, ...]
    """Lift by lift, for one place of the rack after the other."""
    assumed: tuple[str, ...] = ()
    """What some of the numbers rest on that the car file does not say."""
    findings: tuple[Finding, ...] = ()
    caution: str = CAUTION


class CornerStanding(Result):
    """One corner of the car at rest on level ground."""

    load_n: float
    load_kg: float
    lift_mm: float
    height_mm: float
    camber_deg: float
    toe_deg: float
    caster_deg: float | None = None
    damper_mm: float
    spring_mm: float
    spring_load_n: float
    droop_left_mm: float | None = None
    bump_left_mm: float | None = None
    stop_gap_mm: float | None = None
    """Wheel travel until the bump stop is touched; below zero: it is squeezed."""
    droop_end: str
    bump_end: str
    spring_held_mm: float | None = None
    """How far the spring is squeezed at full droop; below zero: loose by so much."""
    stroke_percent: float
    """Where the damper's rod stands: 0 closed, 100 open."""
    ride_frequency_hz: float | None = None
    """Of the body on wheel rate and tyre in series, both wheels of the axle in step."""
    wheel_rate_n_per_mm: float | None = None


class StandResult(Result):
    """The car at rest."""

    car: str
    verdict: Literal["stands", "stalled", "falls"]
    residual_n: float
    corners: dict[str, CornerStanding] = {}
    total_kg: float | None = None
    front_percent: float | None = None
    left_percent: float | None = None
    cross_weight_percent: float | None = None
    pitch_deg: float | None = None
    roll_deg: float | None = None
    findings: tuple[Finding, ...] = ()
    caution: str = CAUTION


class CheckResult(Result):
    """What is wrong with the car as its file describes it."""

    car: str
    verdict: Literal["good", "warnings", "breaks a hard limit"]
    findings: tuple[Finding, ...] = ()
    stand: StandResult
    caution: str = CAUTION


class CornerScene(Result):
    """All that the drawing of a corner needs, seen from behind, at one pose."""

    car: str
    corner: str
    what: str
    """What pose this is, in words."""
    side: Literal["left", "right"]
    kind: str
    wheel_y_mm: float
    """Wheel centre from the car's centre plane, positive outboard."""
    wheel_z_mm: float
    """Wheel centre over the ground."""
    tyre_radius_mm: float
    loaded_radius_mm: float
    tyre_width_mm: float | None = None
    camber_deg: float
    toe_deg: float
    height_mm: float
    height_what: str
    height_y_mm: float
    """Height point from the car's centre plane, positive outboard."""
    lift_mm: float
    droop_left_mm: float | None
    bump_left_mm: float | None
    droop_end: str
    bump_end: str
    around_damper: bool
    damper_mm: float
    damper_open_mm: float
    damper_closed_mm: float
    stop_length_mm: float | None
    spring_mm: float
    spring_free_mm: float
    spring_bind_mm: float
    spring_load_n: float
    load_n: float
    points: dict[str, tuple[float, float, float]] = {}
    """Named points where they are known: x forward, y from the centre plane outboard, z over the ground [mm]."""
    lines: tuple[tuple[str, str, str], ...] = ()
    """What to draw between points: (what, point, point); what: rod, arm, strut, guide, rocker, carrier,
    axle, spring, damper."""


class WheelPose(Result):
    """A corner at one lift, the body held still."""

    name: Literal["droop", "ride", "bump"]
    lift_mm: float
    camber_deg: float
    toe_deg: float
    damper_mm: float
    points: dict[str, tuple[float, float, float]]
    """x forward, y from the centre plane outboard, z over the ground at the reference pose [mm];
    the wheel's centre is the point `wheel`."""


class TravelScene(Result):
    """A corner at three lifts, for its views from behind, from the side and from above."""

    car: str
    corner: str
    side: Literal["left", "right"]
    kind: str
    tyre_radius_mm: float
    tyre_width_mm: float | None = None
    poses: tuple[WheelPose, ...]
    lines: tuple[tuple[str, str, str], ...] = ()
    """As for `CornerScene`."""
