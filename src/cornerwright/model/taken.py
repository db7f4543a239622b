"""Readings as the hands take them: gaps to strings, rules over a rim, camber at full steer, scales, a raised axle.

They stand in a pass under `taken` and are turned into plain readings in one place, assembly/taken.py. A gap is
measured square to its string or edge; gaps grow outboard of the wheel.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document, Point
from cornerwright.model.parts import CORNERS, CornerName, Name
from cornerwright.model.units import (
    Angle,
    Length,
    PositiveAngle,
    PositiveLength,
    PositiveMass,
    PositiveWeight,
    Weight,
)


class RawGauges(Document):
    """Scatter (standard deviation) of what the hands read directly. Defaults: common practice with care."""

    gap: PositiveLength = 0.2e-3
    """Rule from a string or straight edge to the rim [m]."""
    diameter: PositiveLength = 1e-3
    """Diameter of the rim at the edges used [m]."""
    string: PositiveLength = 0.5e-3
    """Where a string lies at an axle, and each distance that says so [m]."""
    lean: PositiveAngle = math.radians(0.05)
    """Lean of a straight edge set against plumb [rad]."""
    steer: PositiveAngle = math.radians(0.25)
    """Steer angle read on a turn plate [rad]."""
    kingpin: PositiveAngle = math.radians(2.0)
    """Inclination of the steering axis where it is given [rad]."""
    floor: PositiveLength = 0.5e-3
    """Height of the floor under a wheel [m]."""
    lift: PositiveLength = 2e-3
    """How far an axle was raised [m]."""
    radius: PositiveLength = 2e-3
    """Loaded radius of a wheel [m]."""
    place: PositiveLength = 20e-3
    """Place of a weight in the car [m]."""


class RimGaps(Document):
    """Gaps from a string along the car to the rim's edges in front of the hub and behind it."""

    front_gap: Length
    rear_gap: Length
    diameter: PositiveLength
    """Of the rim, edge to edge where the gaps were taken [m]."""
    front_height: Length = 0.0
    """How far over the hub the front gap was taken [m]."""
    rear_height: Length = 0.0

    @model_validator(mode="after")
    def _fits_the_rim(self) -> RimGaps:
        if abs(self.front_gap - self.rear_gap) > 0.5 * self.diameter:
            raise ValueError("the gaps differ by more than half the rim's diameter")
        if max(abs(self.front_height), abs(self.rear_height)) > 0.45 * self.diameter:
            raise ValueError("the gaps must be taken near the hub's height, on the rim")
        return self


class OverDiameter(Document):
    """A toe or camber as a length over a diameter, with the sign of the angle."""

    length: Length
    diameter: PositiveLength

    @model_validator(mode="after")
    def _fits_the_rim(self) -> OverDiameter:
        if abs(self.length) > 0.5 * self.diameter:
            raise ValueError("the length is more than half the diameter")
        return self


class PlumbGaps(Document):
    """Gaps from an upright line or edge outside the wheel to the rim's top and bottom edge."""

    top_gap: Length
    bottom_gap: Length
    diameter: PositiveLength
    lean: Angle = 0.0
    """How far the edge leans [rad], positive = its top outboard; 0 for a plumb line."""

    @model_validator(mode="after")
    def _fits_the_rim(self) -> PlumbGaps:
        if abs(self.top_gap - self.bottom_gap) > 0.5 * self.diameter:
            raise ValueError("the gaps differ by more than half the rim's diameter")
        return self


class SteeredCamber(Document):
    """Camber with the wheel steered."""

    steer: Annotated[PositiveAngle, Field(le=0.9)]
    """Heading of this road wheel from straight ahead, counted positive both ways [rad]."""
    camber: Angle


class CasterSweep(Document):
    """Camber at two steer angles, from which caster follows."""

    left: SteeredCamber
    """Steered to the left."""
    right: SteeredCamber
    """Steered to the right."""
    kingpin: Angle | None = None
    """Inclination of the steering axis, positive = in at the top [rad]; None: found, or taken as 12 deg."""


class HeightTo(Document):
    """Height of another point of the body than the car file's height point."""

    what: Name
    at: Point
    """Body axes [m]; its z is its height over the ground at the reference pose."""
    height: PositiveLength


class ScaleReadings(Document):
    """What the scale under one wheel showed, once or several times, the car rolled off and on between."""

    shows: Annotated[tuple[PositiveWeight, ...], Field(min_length=1, max_length=50)]
    zero: Weight = 0.0
    """What it shows empty [N]."""


GIVES = {
    "toe_strings": "toe",
    "toe_over": "toe",
    "camber_over": "camber",
    "camber_plumb": "camber",
    "caster_sweep": "caster",
    "height_to": "height",
    "scale": "load",
}
"""Which plain reading each form stands for."""


class CornerTaken(Document):
    """What was read at one corner, as the hands read it."""

    toe_strings: RimGaps | None = None
    toe_over: OverDiameter | None = None
    camber_over: OverDiameter | None = None
    camber_plumb: PlumbGaps | None = None
    caster_sweep: CasterSweep | None = None
    height_to: HeightTo | None = None
    scale: ScaleReadings | None = None

    def forms(self) -> dict[str, str]:
        """Forms that were filled in, with the reading that each gives."""
        return {form: reading for form, reading in GIVES.items() if getattr(self, form) is not None}

    @model_validator(mode="after")
    def _one_form_a_reading(self) -> CornerTaken:
        seen: dict[str, str] = {}
        for form, reading in self.forms().items():
            if reading in seen:
                raise ValueError(f"{seen[reading]} and {form} both give {reading}: keep one of them")
            seen[reading] = form
        return self


class StringLine(Document):
    """Where one string lies at each axle: from the car's centre line, or from the hub's face."""

    front: PositiveLength | None = None
    """From the centre line at the front axle [m]."""
    rear: PositiveLength | None = None
    front_hub_gap: Length | None = None
    """From the front hub's face out to the string [m]."""
    rear_hub_gap: Length | None = None

    @model_validator(mode="after")
    def _is_somewhere(self) -> StringLine:
        line, hubs = (self.front, self.rear), (self.front_hub_gap, self.rear_hub_gap)
        if (None in line or hubs != (None, None)) and (None in hubs or line != (None, None)):
            raise ValueError("give front and rear from the centre line, or front_hub_gap and rear_hub_gap")
        return self


class Strings(Document):
    """Strings along the car that are not parallel to its centre line."""

    left: StringLine
    right: StringLine
    front_hubs: PositiveLength | None = None
    """Between the left and right hub faces of the front axle [m]; with hub gaps."""
    rear_hubs: PositiveLength | None = None
    apart: PositiveLength | None = None
    """Along the car, between the two places where their distance was taken [m]; None: the wheelbase."""

    @model_validator(mode="after")
    def _hubs_are_known(self) -> Strings:
        from_hubs = any(line.front_hub_gap is not None for line in (self.left, self.right))
        if from_hubs and (self.front_hubs is None or self.rear_hubs is None):
            raise ValueError("gaps to the hubs need front_hubs and rear_hubs: hub face to hub face of each axle")
        return self


class Wheelbases(Document):
    """Wheelbase of each side, front hub to rear hub along the car."""

    left: PositiveLength
    right: PositiveLength


class Floor(Document):
    """Heights of the four places where the tyres stand, over any one level."""

    front_left: Length
    front_right: Length
    rear_left: Length
    rear_right: Length

    @property
    def pads(self) -> tuple[float, float, float, float]:
        """Front left, front right, rear left, rear right [m]."""
        return (self.front_left, self.front_right, self.rear_left, self.rear_right)

    @model_validator(mode="after")
    def _is_a_floor(self) -> Floor:
        if max(self.pads) - min(self.pads) > 0.1:
            raise ValueError("the pads differ by more than 100 mm: level them first")
        return self


class Ballast(Document):
    """A weight in the body: driver, fuel, tools."""

    what: Name = "driver"
    mass: PositiveMass
    at: Point
    """Its centre, body axes [m]."""


class RaisedStep(Document):
    """One height of the raised axle."""

    lift: PositiveLength
    """How far its wheels were raised [m]."""
    load: PositiveWeight
    """On both wheels of the axle that stayed down [N]."""


class Raised(Document):
    """Loads with one axle raised, suspension blocked at ride height, for the height of the centre of gravity."""

    axle: Literal["front", "rear"]
    """The one that was raised."""
    steps: Annotated[tuple[RaisedStep, ...], Field(min_length=1, max_length=20)]
    level: PositiveWeight | None = None
    """Load on the other axle on level ground [N]; None: from this pass's loads."""
    total: PositiveWeight | None = None
    """Of the whole car [N]; None: from this pass's loads."""
    front_radius: PositiveLength
    """Loaded radius, wheel centre over the floor [m]."""
    rear_radius: PositiveLength


class Taken(Document):
    """What was read, as the hands read it, and what floor and load it was read on."""

    gauges: RawGauges = RawGauges()
    front_left: CornerTaken = CornerTaken()
    front_right: CornerTaken = CornerTaken()
    rear_left: CornerTaken = CornerTaken()
    rear_right: CornerTaken = CornerTaken()
    strings: Strings | None = None
    wheelbases: Wheelbases | None = None
    floor: Floor | None = None
    missing: Annotated[tuple[Ballast, ...], Field(max_length=20)] = ()
    """What the car file counts in and was not aboard for these readings."""
    extra: Annotated[tuple[Ballast, ...], Field(max_length=20)] = ()
    """What was aboard for these readings and does not belong to the car."""
    raised: Raised | None = None

    @property
    def corners(self) -> dict[CornerName, CornerTaken]:
        """By corner."""
        return {name: getattr(self, name) for name in CORNERS}
