"""The trade's rules of what a change makes stale, as data: what is looked at, how the car stands, and why.

Two sorts. A `Shift` is stale when a number that the model predicts has moved by more than a tolerance since the job was
last done. An `Event` is stale when something of its kind has happened since. None of these has a published source
that was read for it; they are common practice, and the car's maker goes before them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

PRACTICE = "common practice, no source"
OURS = "tolerance of our own, no source"

Standing = Literal["raised", "on_wheels", "either"]


@dataclass(frozen=True)
class Judged:
    """A number that is compared with its tolerance, both in the unit of its key."""

    key: str
    tolerance: float
    target: str | None = None
    """Reading whose target's tolerance goes before."""


@dataclass(frozen=True)
class Rule:
    """What all rules have."""

    name: str
    title: str
    do: str
    why: str
    stands: Standing
    phase: int
    """Place in the usual order of work."""
    after: tuple[str, ...] = ()
    """Rules whose jobs come first."""
    minutes: float = 10.0
    """Work for one axle; our rough figures."""
    stops_driving: bool = False
    source: str = PRACTICE
    per: Literal["axle", "car"] = "axle"
    axles: tuple[str, ...] = ("front", "rear")


@dataclass(frozen=True)
class Shift(Rule):
    """Stale by a predicted shift."""

    judged: tuple[Judged, ...] = ()
    told: tuple[str, ...] = ()
    """Numbers that are told beside those that are judged."""
    reading: str | None = None
    """Reading that settles it for its corner."""


@dataclass(frozen=True)
class Event(Rule):
    """Stale by what happened."""

    on: Literal["moved", "fitted", "removed"] = "fitted"
    """`moved` looks at the adjuster's kind, the others at the words of the part."""
    words: str = ""
    """Regular expression."""
    after_km: float | None = None
    """To be done when the car has been driven so far since."""


SHIFTS: tuple[Shift, ...] = (
    Shift(
        "damper",
        "Damper length",
        "Set the damper's length: rod mid-stroke, a separate spring just held at full droop (see cornerwright check).",
        "a damper's length follows every change of height or spring: else its stroke runs out to one side and a "
        "separate spring comes loose at full droop",
        "raised",
        20,
        minutes=12,
        judged=(Judged("damper_mm", 2.0, "damper_length"), Judged("spring_held_mm", 2.0, "spring_held")),
        told=("stroke_percent",),
        reading="damper_length",
    ),
    Shift(
        "hoses",
        "Brake hose slack",
        "Turn the wheel lock to lock at full droop and full bump: no hose may pull tight, rub or kink.",
        "a wheel that stands or ends elsewhere takes its hose along; a hose that pulls tight tears",
        "raised",
        30,
        after=("damper",),
        minutes=6,
        stops_driving=True,
        source=f"{PRACTICE}; 5 mm: {OURS}",
        judged=(Judged("lift_mm", 5.0), Judged("droop_end_mm", 5.0), Judged("bump_end_mm", 5.0)),
    ),
    Shift(
        "cables",
        "Parking brake cable",
        "Work the lever at full droop and full bump: the cable may neither pull the brake on nor hang on the arm.",
        "an arm that stands or ends elsewhere pulls its cable or lets it hang",
        "raised",
        31,
        after=("damper",),
        minutes=5,
        source=f"{PRACTICE}; 5 mm: {OURS}",
        judged=(Judged("lift_mm", 5.0), Judged("droop_end_mm", 5.0), Judged("bump_end_mm", 5.0)),
        axles=("rear",),
    ),
    Shift(
        "height",
        "Ride height",
        "Roll the car back and forth, bounce it, read the height at both corners.",
        "what springs, perches and loads do to a height is read, not reckoned",
        "on_wheels",
        40,
        after=("damper",),
        minutes=4,
        judged=(Judged("height_mm", 2.0, "height"),),
        reading="height",
    ),
    Shift(
        "loads",
        "Corner weights",
        "Read all four scales, driver's ballast and fuel aboard, bars unhooked where they can be.",
        "a corner that is raised takes load from its neighbours",
        "on_wheels",
        45,
        after=("height",),
        minutes=20,
        per="car",
        judged=(Judged("load_kg", 5.0, "load"),),
        told=("cross_weight_percent",),
        reading="load",
    ),
    Shift(
        "camber",
        "Camber",
        "Roll the car, read the camber at both wheels.",
        "camber goes with lift: a height that changed has changed it",
        "on_wheels",
        50,
        after=("height", "loads"),
        minutes=6,
        judged=(Judged("camber_deg", 0.1, "camber"),),
        reading="camber",
    ),
    Shift(
        "caster",
        "Caster",
        "Read the caster at both wheels.",
        "caster goes with lift and with the rake of the car",
        "on_wheels",
        51,
        after=("height", "loads"),
        minutes=12,
        judged=(Judged("caster_deg", 0.25, "caster"),),
        reading="caster",
        axles=("front",),
    ),
    Shift(
        "toe",
        "Toe",
        "Roll the car, read the toe at both wheels, each against the car's centre line.",
        "toe goes with lift, and with camber and caster that were set before it",
        "on_wheels",
        55,
        after=("height", "loads", "camber", "caster"),
        minutes=12,
        judged=(Judged("toe_deg", 0.05, "toe"),),
        reading="toe",
    ),
    Shift(
        "bushes",
        "Bush clamp",
        "Slacken the rubber-bushed pivot bolts and tighten them with the car on its wheels, to the maker's torque.",
        "a rubber bush is clamped at ride height: clamped elsewhere it is wound up, pushes the wheel and tears",
        "on_wheels",
        60,
        after=("height", "loads", "camber", "toe"),
        minutes=20,
        source=f"{PRACTICE}; 5 mm of wheel lift: {OURS}",
        judged=(Judged("twist_mm", 5.0),),
        told=("push_n",),
    ),
    Shift(
        "bar",
        "Anti-roll bar link",
        "Driver aboard, set the link so that its bolt slides in by hand, then tighten it.",
        "a bar that was level is preloaded once left and right stand elsewhere, and shifts the corner weights",
        "on_wheels",
        65,
        after=("bushes", "height", "loads"),
        minutes=8,
        source=f"{PRACTICE}; 1 mm of lift difference: {OURS}",
        judged=(Judged("bar_mm", 1.0),),
    ),
    Shift(
        "lamps",
        "Headlamp aim",
        "Aim the lamps on level ground against a wall, driver aboard, to the dip on their label and road law.",
        "the lamps pitch with the body: 0.1 degree is 17 mm at 10 m",
        "on_wheels",
        70,
        after=("height", "bushes"),
        minutes=15,
        per="car",
        source=f"{PRACTICE}; 10 mm at 10 m: {OURS}",
        judged=(Judged("pitch_deg", 0.0573),),
        told=("beam_mm_at_10_m",),
    ),
)

WHEELS = r"\b(wheel|spacer|stud)s?\b"
WHEEL_JOINTS = r"\bwheel (nut|bolt|stud)s?\b"
"""Joints whose tightening is repeated after the first drive."""

WHEEL_KM = 50.0
"""After how far wheel nuts are tightened again."""

EVENTS: tuple[Event, ...] = (
    Event(
        "bleed",
        "Bleed the brakes",
        "Bleed until no air comes, fluid as the maker says; a hard pedal, no leaks.",
        "a line that was opened holds air",
        "raised",
        25,
        minutes=40,
        stops_driving=True,
        per="car",
        on="fitted",
        words=r"\b(caliper|brake (hose|line|pipe)|(master|wheel|slave) cylinder|balance valve)s?\b",
    ),
    Event(
        "steering_wheel",
        "Steering wheel straight",
        "Drive straight on level ground: the wheel's spokes level; if not, turn both tie rods by the same flats.",
        "tie rods turned by unequal amounts turn the steering wheel",
        "on_wheels",
        75,
        after=("toe",),
        minutes=10,
        on="moved",
        words="rod",
        axles=("front",),
    ),
    Event(
        "lock_nuts",
        "Lock nuts and rings",
        "Tighten the lock nut or ring of every adjuster that was moved; thread left in as its maker asks.",
        "an adjuster whose lock is loose turns by itself",
        "either",
        80,
        after=("damper", "height", "camber", "caster", "toe", "bar"),
        minutes=8,
        stops_driving=True,
        on="moved",
        words="perch|body|rod|plate|cam|bar_link",
    ),
    Event(
        "bed_in",
        "Bed in pads and discs",
        "On empty ground: stops from middling speed with cooling between them, as the pads' maker says.",
        "new pads and discs brake unevenly until they have bedded to each other",
        "either",
        90,
        after=("bleed",),
        minutes=40,
        on="fitted",
        words=r"\b(brake )?(pad|disc|rotor|shoe|drum)s?\b",
    ),
    Event(
        "wheel_nuts",
        "Wheel nuts again",
        "Tighten every wheel nut or bolt again to the maker's torque, wheel on the ground, crosswise.",
        "seats and paint settle in the first kilometres and the clamp falls",
        "on_wheels",
        95,
        minutes=8,
        on="fitted",
        words=WHEELS,
        after_km=WHEEL_KM,
    ),
)

PART_READINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"\b(coil|spring|helper|tender|packer|spring pad|perch)s?\b", ("height", "loads", "damper", "camber", "toe")),
    (r"\b(damper|strut|shock|top mount|camber plate)s?\b", ("height", "damper", "camber", "caster", "toe")),
    (r"\b(arm|wishbone|link|trailing arm|subframe|upright|ball joint|bush|bushes|hub|beam)s?\b",
     ("height", "camber", "caster", "toe")),
    (r"\b(tie rod|track rod|rack|steering arm)s?\b", ("toe",)),
    (r"\b(tyre|tire|wheel)s?\b", ("height", "camber", "toe")),
    (r"\banti-roll bar\b", ("loads", "bar")),
    (r"\b(caliper|brake hose|hose)s?\b", ("hoses",)),
)  # fmt: skip
"""What a part that was fitted or removed makes stale at its axle, by the words of its name, whatever the model says."""

JOINT_SOURCE = "the joint's own entry"
NEW_BOLT = "its maker asks for a new bolt or nut each time it is tightened"
FINGER = "a joint that is not tight holds nothing"
RIDE = "a rubber bush is clamped at ride height: clamped elsewhere it is wound up, pushes the wheel and tears"
