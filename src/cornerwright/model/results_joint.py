"""What the program answers about joints. As in `results`: numbers in trade units, the unit in each key."""

from __future__ import annotations

from typing import Literal

from cornerwright.model.results import CAUTION, Finding, Result

JOINT_CAUTION = (
    "The maker's torque is the value to use, with the lubricant, the sequence and the new parts the maker asks for. "
    "The clamp shown here is a check: friction alone moves it by a third either way."
)


class Clamp(Result):
    """How hard the parts are pressed together, as it may turn out."""

    low_n: float
    middle_n: float
    high_n: float


class WheelStack(Result):
    """From the hub's face outwards, all in a line along the stud or bolt [mm]; for the drawing, too."""

    held_by: Literal["stud", "bolt"]
    count: int
    pitch_circle_mm: float
    flange_mm: float
    spacer_mm: float
    pad_mm: float
    plain_mm: float
    tip_mm: float
    """Tip of the stud from the hub's face, outwards; of a bolt below zero: inwards."""
    nut_from_mm: float
    """Where the nut's full thread (bolts: the flange's) begins and ends, from the hub's face."""
    nut_to_mm: float
    nut_end_mm: float | None = None
    """Closed nuts: where the stud would meet the end. Bolts: where the tip would meet something."""
    seat_diameter_mm: float
    wheel_seat: str
    """In words: `cone 60°`, `ball R 14 mm`, `flat`."""
    nut_seat: str
    seats_match: bool
    spigot_mm: float | None = None
    """Of the hub, out of its face."""
    spigot_diameter_mm: float | None = None
    spacer_spigot_mm: float | None = None
    bore_chamfer_mm: float
    spigot_left_mm: float | None = None
    """How far the wheel sits on the spigot."""
    centred_by: Literal["hub", "spacer", "seats", "not known"]
    length_needed_mm: float
    """Stud or bolt that gives the thread asked for with this stack."""
    holds_moment_nm: float | None = None
    """Moment about the axle that friction holds at the middle clamp."""
    asked_moment_nm: float | None = None
    """What the tyre can put on it on good tarmac at the standing load (grip 1)."""


class JointAnswer(Result):
    """One joint in full."""

    name: str
    """`front_left.lower_arm_front`; a wheel: `front_left.fastening`."""
    place: str
    what: str | None = None
    kind: Literal["bolt", "screw", "stud", "rod_end", "wheel"]
    thread: str
    left_hand: bool = False
    property_class: str | None = None
    diameter_mm: float
    pitch_mm: float
    pitch_diameter_mm: float
    minor_diameter_mm: float
    """Of the nut or hole."""
    core_diameter_mm: float
    """Of the bolt, at the root of its thread."""
    stress_area_mm2: float
    proof_load_n: float | None = None
    breaking_load_n: float | None = None
    engagement_mm: float | None = None
    """Full thread of both in each other; None: not known."""
    engagement_turns: float | None = None
    engagement_diameters: float | None = None
    needed_mm: float
    """Least that the trade asks for in this material (the maker's, where it was given)."""
    needed_turns: float
    equal_strength_mm: float | None = None
    """At which the bolt breaks before a thread strips, by FED-STD-H28/2B."""
    full_strength_mm: float | None = None
    """The same by VDI 2230."""
    strip_load_n: float | None = None
    strips_first: Literal["bolt", "nut or hole"] | None = None
    torque_nm: float | None = None
    """That the clamp is computed from."""
    torque_from: Literal["maker", "ours"] | None = None
    torque_90_least_nm: float | None = None
    """Torque that uses 90 % of the yield stress at the least friction; then at the mean and greatest friction."""
    torque_90_mean_nm: float | None = None
    torque_90_most_nm: float | None = None
    clamp_90_n: float | None = None
    """Clamp that uses 90 % of the yield stress at the mean friction."""
    alpha: float
    """Greatest over least clamp by the method of tightening."""
    friction_low: float
    friction_high: float
    clamp: Clamp | None = None
    yield_percent: float | None = None
    """Share of the yield stress used while tightening, at the middle clamp."""
    yield_high_percent: float | None = None
    """At the high clamp, least friction in the thread."""
    settles_mm: float | None = None
    settling_loss_n: float | None = None
    clamp_left_n: float | None = None
    """Least clamp, after settling and under the load along the bolt."""
    slip_safety: float | None = None
    """Friction at the least clamp over the load across the bolt."""
    pressure_mpa: float | None = None
    """Under the head or nut at the middle clamp."""
    retorque_km: float | None = None
    thread_in_mm: float | None = None
    """Rod ends: thread left in at the adjuster's present setting."""
    thread_in_least_mm: float | None = None
    """At the end of the adjuster's range."""
    angle_deg: float | None = None
    """Rod ends: how far it turns at the worst."""
    wheel: WheelStack | None = None
    assumed: tuple[str, ...] = ()
    """What the numbers rest on that was not given."""
    findings: tuple[Finding, ...] = ()


class JointsResult(Result):
    """Joints of a car, or one question answered."""

    car: str | None = None
    verdict: Literal["good", "warnings", "breaks a hard limit"]
    joints: tuple[JointAnswer, ...] = ()
    cautions: tuple[str, ...] = ()
    joint_caution: str = JOINT_CAUTION
    caution: str = CAUTION
