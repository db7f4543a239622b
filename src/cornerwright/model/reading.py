"""Readings: what was measured on the car, by whom, how, and in what state the car was."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.parts import CORNERS, CornerName, Name
from cornerwright.model.taken import Taken
from cornerwright.model.units import (
    Angle,
    Length,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveWeight,
    Weight,
    unfit,
)

CORNER_READINGS = (
    "height",
    "load",
    "camber",
    "toe",
    "caster",
    "damper_length",
    "spring_length",
    "spring_held",
)


SettingText = Annotated[float | str, Field(union_mode="left_to_right")]
"""A travel as the car file writes it: a number of mm, or a text ("3 notch", "1/2 in")."""


class CornerScatter(Document):
    """Standard deviation of single readings that differs from what the gauge usually has."""

    height: PositiveLength | None = None
    load: PositiveWeight | None = None
    camber: PositiveAngle | None = None
    toe: PositiveAngle | None = None
    caster: PositiveAngle | None = None
    damper_length: PositiveLength | None = None
    spring_length: PositiveLength | None = None
    spring_held: PositiveLength | None = None


class CornerReadings(Document):
    """What was read at one corner, the car standing on its wheels on level ground."""

    height: PositiveLength | None = None
    """Height point over the ground [m]."""
    load: Annotated[Weight, Field(ge=0)] | None = None
    """What the scale under the wheel shows, as a force [N]."""
    camber: Angle | None = None
    toe: Angle | None = None
    caster: Angle | None = None
    damper_length: PositiveLength | None = None
    spring_length: PositiveLength | None = None
    spring_held: Length | None = None
    """Wheel hanging: how far the spring is squeezed; negative: the gap over it [m]."""
    scatter: CornerScatter | None = None
    """None: as the gauges."""

    def taken(self) -> dict[str, float]:
        """The values read, by name, SI."""
        values = {name: getattr(self, name) for name in CORNER_READINGS}
        return {name: value for name, value in values.items() if value is not None}


class Gauges(Document):
    """Scatter (standard deviation) of one reading by each gauge, reading and settling of the car together.

    The defaults are common practice: tape, shop scales, bubble or digital camber gauge, strings.
    """

    height: PositiveLength = 1e-3
    load: PositiveWeight = 10.0
    camber: PositiveAngle = 0.00087
    toe: PositiveAngle = 0.00044
    caster: PositiveAngle = 0.0026
    damper_length: PositiveLength = 1e-3
    spring_length: PositiveLength = 1e-3
    spring_held: PositiveLength = 0.5e-3
    cg_height: PositiveLength = 15e-3
    """Height of the centre of gravity by raising an axle [m]."""
    friction: NonNegativeLength = 0.0
    """How far friction may hold each wheel off its rest, in lift [m]; 0: that is in the scatter above.

    It shows in heights and loads at once, as no gauge's own scatter does. Rolled and read thrice: a third less.
    """


class CarState(Document):
    """What was loose or tight when the readings were taken."""

    bars: Literal["connected", "loose"] = "connected"
    bushes: Literal["clamped", "loose"] = "clamped"


class Reading(Document):
    """One round of readings of the whole car."""

    when: datetime | date | None = None
    who: Name | None = None
    how: Annotated[str, Field(max_length=1000)] | None = None
    note: Annotated[str, Field(max_length=4000)] | None = None
    state: CarState = CarState()
    gauges: Gauges = Gauges()
    settings: Annotated[dict[str, SettingText], Field(max_length=200, default_factory=dict)]
    """Settings of adjusters when this was read, by full name (`front_left.perch`), as in the car file.

    What is not named stands as in the car file. Earlier passes teach only if their settings are known.
    """
    front_left: CornerReadings = CornerReadings()
    front_right: CornerReadings = CornerReadings()
    rear_left: CornerReadings = CornerReadings()
    rear_right: CornerReadings = CornerReadings()
    cg_height: PositiveLength | None = None
    """Centre of gravity of the whole car over the ground, as it stands [m]."""
    taken: Taken | None = None
    """Readings as the hands took them; `as_readings` turns them into plain ones."""

    @model_validator(mode="after")
    def _loads_are_whole(self) -> Reading:
        read = [corner.load is not None for corner in self.corners.values()]
        if self.taken is not None:
            raw = [corner.scale is not None for corner in self.taken.corners.values()]
            read = [plain or scale for plain, scale in zip(read, raw, strict=True)]
        if any(read) and not all(read):
            raise ValueError("read the load at all four corners or at none")
        return self

    @model_validator(mode="after")
    def _each_value_once(self) -> Reading:
        if self.taken is None:
            return self
        for corner, raw in self.taken.corners.items():
            for form, reading in raw.forms().items():
                if getattr(self.corners[corner], reading) is not None:
                    raise unfit(
                        f"{reading} twice: under {corner} and as {form}",
                        f"{reading} of one wheel once, plain or as taken",
                        at=("taken", corner, form),
                    )
        if self.taken.raised is not None and self.cg_height is not None:
            raise unfit("cg_height twice: plain and as raised", "it once, plain or as taken", at=("taken", "raised"))
        return self

    @property
    def corners(self) -> dict[CornerName, CornerReadings]:
        """Readings by corner."""
        return {name: getattr(self, name) for name in CORNERS}


class Readings(Document):
    """A file of readings: one or more passes, the last one last."""

    format: Literal["cornerwright readings 1"]
    car: Name | None = None
    note: Annotated[str, Field(max_length=4000)] | None = None
    invented: bool = False
    passes: Annotated[tuple[Reading, ...], Field(min_length=1, max_length=200)]

    @property
    def latest(self) -> Reading:
        """The last pass: the car as it stands now."""
        return self.passes[-1]
