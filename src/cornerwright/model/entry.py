"""Entries: the lines of a car's book. None is ever changed; a correction follows it.

An entry says when, who and what. What can have happened is one of the kinds below, told apart by `kind`.
"""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from typing import Annotated, Any, Literal
from uuid import uuid4

from pydantic import AfterValidator, Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.car import Car
from cornerwright.model.parts import Name
from cornerwright.model.reading import Reading
from cornerwright.model.taken import Taken
from cornerwright.model.target import Targets
from cornerwright.model.units import Angle, Length, PositiveDistance, PositiveTorque, unfit

Words = Annotated[str, Field(min_length=1, max_length=4000)]
Money = Annotated[float, Field(ge=0, le=1e9)]
"""In the currency of the book."""
Hours = Annotated[float, Field(ge=0, le=10_000)]

PLACES = ("front_left", "front_right", "rear_left", "rear_right", "front", "rear", "car")
Place = Literal["front_left", "front_right", "rear_left", "rear_right", "front", "rear", "car"]

Stands = Literal["raised", "on_wheels", "either"]
"""How the car must stand: up with the wheels hanging, on its wheels, or as it likes."""

JOB = re.compile(r"[a-z0-9][a-z0-9_]{0,60}(@[a-z0-9_.]{1,60})?")
ENTRY_ID = re.compile(r"[0-9a-f]{32}")
DIGEST = re.compile(r"[0-9a-f]{64}")


def _aware(value: datetime) -> datetime:
    """A time without its zone is local time."""
    return value.astimezone(UTC)


def _fits(pattern: re.Pattern[str], words: str) -> Any:
    def check(value: str) -> str:
        if not pattern.fullmatch(value):
            raise unfit(f"'{value[:80]}'", words)
        return value

    return check


JobName = Annotated[str, AfterValidator(_fits(JOB, "the name of a job as `book jobs` gives it, such as toe@rear"))]
EntryId = Annotated[str, AfterValidator(_fits(ENTRY_ID, "the id of an entry, 32 hexadecimal digits"))]
PhotoDigest = Annotated[str, AfterValidator(_fits(DIGEST, "the SHA-256 of a photo, 64 hexadecimal digits"))]


class CarDescribed(Document):
    """The car's file as it holds from here on: the first entry of a book, and after measuring again."""

    kind: Literal["car"]
    car: Car
    currency: Annotated[str, Field(min_length=1, max_length=8)] | None = None


class TargetsSet(Document):
    """What is wanted from here on; its tolerances decide what is stale."""

    kind: Literal["targets"]
    targets: Targets


class PartFitted(Document):
    """A part went on the car."""

    kind: Literal["fitted"]
    part: Name
    place: Place
    price: Money | None = None
    source: Words | None = None
    """Where it came from."""
    used: bool = False
    sets: dict[Annotated[str, Field(max_length=200)], Any] = Field(default_factory=dict, max_length=40)
    """Fields of the car file that it changes, as in `rear.left.spring.stack[0].rate: 92`."""


class PartRemoved(Document):
    """A part came off the car."""

    kind: Literal["removed"]
    part: Name
    place: Place
    kept: Words | None = None
    """Where it is kept for later; None: it is gone."""


class Measured(Document):
    """Something of the car was measured again: fields of the car file have other values from here on."""

    kind: Literal["measured"]
    what: Words
    place: Place = "car"
    sets: dict[Annotated[str, Field(max_length=200)], Any] = Field(min_length=1, max_length=40)
    """Fields of the car file, as in `brakes.measured.front_left.pad: 7.4`."""


class MoveMade(Document):
    """An adjuster was turned from a setting to a setting."""

    kind: Literal["move"]
    adjuster: Annotated[str, Field(pattern=r"^(front|rear)(_left|_right)?\.[a-z][a-z0-9_]{0,40}$")]
    setting_from: Length | None = None
    """Travel before [m]; None: as the book had it."""
    setting_to: Length
    """Travel after [m]."""
    did: Words | None = None


class ReadingTaken(Document):
    """Values were read on the car."""

    kind: Literal["reading"]
    reading: Reading
    as_taken: Taken | None = None
    """What the hands took down, where the reading was worked out from it."""


class JointTightened(Document):
    """A threaded fastening was tightened, loosened or left for later."""

    kind: Literal["joint"]
    joint: Name
    place: Place = "car"
    state: Literal["tight", "finger_tight", "loose"] = "tight"
    torque: PositiveTorque | None = None
    angle: Annotated[Angle, Field(gt=0)] | None = None
    """Turned further after the torque [rad]."""
    tool: Words | None = None
    stood: Literal["ride_height", "hanging"] | None = None
    """How the suspension stood while it was tightened."""
    clamp_at: Literal["ride_height", "any"] = "any"
    """Where it has to be tightened: a rubber bush at ride height."""
    bolt: Literal["new", "reused"] | None = None
    new_bolt_each_time: bool = False
    """The maker asks for a new bolt or nut each time."""
    thread_lock: Words | None = None
    marked: Words | None = None
    """How it is marked once it is tight: a line of paint across nut and part."""
    did: Literal["marked"] | None = None
    """`marked`: it was only marked; how it was tightened stays as it was told."""

    @model_validator(mode="after")
    def _only_tight_has_torque(self) -> JointTightened:
        if self.did == "marked" and (self.state != "tight" or self.torque is not None or self.angle is not None):
            raise ValueError("a joint that was only marked stays as it was told: leave state, torque and angle out")
        if self.state != "tight" and (self.torque is not None or self.angle is not None):
            raise ValueError("a joint with a torque is tight; leave torque and angle out, or state")
        return self


class Finding(Document):
    """Something was seen on the car."""

    kind: Literal["finding"]
    what: Literal["rust", "play", "stiff", "crack", "wear", "leak", "damage", "other"]
    place: Place
    says: Words
    stops_driving: bool = False


class PutOff(Document):
    """A job was put off until its condition holds."""

    kind: Literal["put_off"]
    job: Words
    of: JobName | None = None
    """The open job that is put off; None: one that no list has yet."""
    place: Place = "car"
    until: Words | None = None
    """A condition besides how the car stands: `when the spacers have come`. Until then it is listed apart."""
    stands: Stands = "either"
    hours: Hours | None = None
    """Work that it will take."""
    price: Money | None = None
    """Parts that it will take."""
    stops_driving: bool = False


class JobDone(Document):
    """A job was done; the jobs of the list that it settles stand under the entry's `settles`."""

    kind: Literal["done"]
    job: Words
    place: Place = "car"
    hours: Hours | None = None
    price: Money | None = None
    """What it cost besides the parts: machining, paint, fluid."""


class Driven(Document):
    """The car was driven."""

    kind: Literal["drive"]
    distance: PositiveDistance


class Note(Document):
    """Anything worth keeping."""

    kind: Literal["note"]
    says: Words


Event = (
    CarDescribed
    | TargetsSet
    | PartFitted
    | PartRemoved
    | Measured
    | MoveMade
    | ReadingTaken
    | JointTightened
    | Finding
    | PutOff
    | JobDone
    | Driven
    | Note
)
EventBody = Annotated[Event, Field(discriminator="kind")]
"""Everything that can have happened to the car."""


class Correction(Document):
    """An earlier entry was wrong: what it should have said, or nothing in its place."""

    kind: Literal["correction"]
    corrects: EntryId
    says: Words
    """Why."""
    instead: EventBody | None = None


Body = Annotated[Event | Correction, Field(discriminator="kind")]

KINDS: dict[str, type[Document]] = {
    "car": CarDescribed,
    "targets": TargetsSet,
    "fitted": PartFitted,
    "removed": PartRemoved,
    "measured": Measured,
    "move": MoveMade,
    "reading": ReadingTaken,
    "joint": JointTightened,
    "finding": Finding,
    "put_off": PutOff,
    "done": JobDone,
    "drive": Driven,
    "note": Note,
    "correction": Correction,
}
"""Every kind of entry with its document."""


class Entry(Document):
    """One line of the book."""

    id: EntryId = Field(default_factory=lambda: uuid4().hex)
    when: Annotated[datetime, AfterValidator(_aware)] = Field(default_factory=lambda: datetime.now(UTC))
    """When it happened, which may be before it was written down."""
    who: Name | None = None
    note: Words | None = None
    photos: Annotated[tuple[PhotoDigest, ...], Field(max_length=50)] = ()
    settles: Annotated[tuple[JobName, ...], Field(max_length=50)] = ()
    """Open jobs that are no longer open after it."""
    ready: Annotated[tuple[JobName, ...], Field(max_length=50)] | None = None
    """Jobs put off until something: it has come, they wait no longer."""
    body: Body

    def line(self) -> str:
        """The entry as one line of JSON, always the same for the same entry."""
        return canonical(self.to_document())


class Entries(Document):
    """A file of entries to be added to a book, in their order."""

    format: Literal["cornerwright entries 1"]
    invented: bool = False
    entries: Annotated[tuple[Entry, ...], Field(min_length=1, max_length=20_000)]


def canonical(plain: Any) -> str:
    """JSON with sorted names and no blanks: the text that the book's digests are taken of."""
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def moment(when: datetime) -> str:
    """A time as the book sorts it: UTC, always the same length."""
    return when.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def day_of(at: str) -> str:
    """The day of a moment of the book where the program runs, as in 2026-05-03."""
    return datetime.fromisoformat(at).astimezone().date().isoformat() if at else ""
