"""What brakes one wheel: caliper, rotor, pads, hose, parking brake. Left is given, right is its mirror."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document, Point
from cornerwright.model.parts import Name
from cornerwright.model.units import (
    LENGTH,
    MASS,
    NonNegativeLength,
    PositiveLength,
    PositiveShare,
    Pressure,
    Quantity,
    Swell,
    Temperature,
    to_document,
    unfit,
)

Friction = Annotated[float, Field(gt=0, le=1.2)]
Ratio = Annotated[float, Field(gt=0, le=100)]
RotorMaterial = Literal["iron", "steel"]


def _mm(length: float) -> str:
    return f"{to_document(length, LENGTH):.1f} mm"


class Caliper(Document):
    """A disc brake's caliper."""

    kind: Literal["fixed", "sliding"]
    """Fixed: pistons on both sides; sliding: on one side, the body slides on pins."""
    pistons: Annotated[tuple[PositiveLength, ...], Field(min_length=1, max_length=6)]
    """Diameters [m] of the pistons of one side."""
    threshold: Pressure = 0.0
    """Pressure [Pa] that moves seals and pins before the pads press."""
    running_gap: NonNegativeLength = 0.00015
    """Between each pad and the rotor, brake released [m]."""
    swell: Swell = 0.012e-11
    """Fluid it takes up per pressure, pads' squeeze included [m3/Pa]."""
    mass: Annotated[float, Quantity(MASS, at_least=0.1)] = 3.0
    specific_heat: Annotated[float, Field(gt=0, le=3000)] = 900.0
    """[J/(kg K)]; aluminium about 900, iron 460"""


class FrictionRow(Document):
    """Friction of a pad at one temperature of the rotor."""

    temperature: Temperature
    friction: Friction


class Pad(Document):
    """A pair of pads: friction with its range, how far it may go, and how it sits on the rotor."""

    name: Name = "pads fitted"
    friction: Friction
    """Warm and dry: what its maker gives."""
    least_friction: Friction | None = None
    most_friction: Friction | None = None
    curve: Annotated[tuple[FrictionRow, ...], Field(max_length=20)] = ()
    """Friction against temperature; without it `friction` at all of them."""
    wet: PositiveShare = 0.85
    """Friction left when rotor and pads are wet, a share of the dry one."""
    most_temperature: Temperature = 450.0
    """Of the rotor, as the pad's maker allows [degC]."""
    bed: tuple[Temperature, Temperature] | None = None
    """Least and greatest temperature [degC] of the rotor while bedding, as the pad's maker asks."""
    new: PositiveLength
    """Thickness of friction material when new [m]."""
    least: NonNegativeLength
    """At which it is thrown away [m]."""
    height: PositiveLength
    """From the pad's inner to its outer edge, along the rotor's radius [m]."""
    length: PositiveLength
    """Along the rotor's edge [m]."""
    conductivity: Annotated[float, Field(gt=0, le=100)] = 1.5
    """[W/(m K)]"""

    @model_validator(mode="after")
    def _makes_sense(self) -> Pad:
        if self.least >= self.new:
            raise ValueError("least must be less than new: the thickness at which the pad is thrown away")
        low, high = self.friction_range
        if not low <= self.friction <= high:
            raise ValueError("friction must lie between least_friction and most_friction")
        if any(after.temperature <= before.temperature for before, after in pairwise(self.curve)):
            raise ValueError("the rows of the curve must rise in temperature")
        if self.bed is not None and not self.bed[0] < self.bed[1]:
            raise ValueError("bed must go from the least to the greatest temperature")
        return self

    @property
    def friction_range(self) -> tuple[float, float]:
        """Least and greatest friction [1]; what is not given is taken as `friction`."""
        low = self.friction if self.least_friction is None else self.least_friction
        high = self.friction if self.most_friction is None else self.most_friction
        return low, high


class Rotor(Document):
    """A brake disc."""

    diameter: PositiveLength
    thickness: PositiveLength
    """When new [m]."""
    least_thickness: PositiveLength
    """As its maker marks it [m]."""
    mass: Annotated[float, Quantity(MASS, at_least=0.1)]
    """Of the ring that the pads rub and what is cast on it; a separate bell not counted."""
    vented: bool = False
    cheek: PositiveLength | None = None
    """Thickness of each face of a vented rotor [m]; None: three tenths of the whole."""
    material: RotorMaterial = "iron"
    specific_heat: Annotated[float, Field(gt=0, le=3000)] | None = None
    """[J/(kg K)]; None: of the material."""
    cooling_area: Annotated[float, Field(gt=0, le=5)] | None = None
    """[m2] that air passes; None: both faces, of a vented rotor twice that."""
    most_temperature: Temperature = 650.0
    """Of the whole rotor [degC]; iron cracks and warps beyond (common practice)."""
    most_runout: PositiveLength = 0.0001
    """Fitted, at the rim [m]; the maker's figure goes before."""
    most_variation: PositiveLength = 0.000015
    """Of its thickness round the rotor [m]; the maker's figure goes before."""

    @model_validator(mode="after")
    def _is_a_disc(self) -> Rotor:
        if self.least_thickness >= self.thickness:
            raise ValueError("least_thickness must be less than thickness, which is that of a new rotor")
        if self.thickness >= self.diameter / 2:
            raise ValueError("the rotor is thicker than half its diameter")
        return self


class Hose(Document):
    """The flexible hose between body and caliper."""

    body: Point
    """Where it leaves its bracket on the body, reference pose [m]."""
    carrier: Point
    """Where it meets the caliper or upright, reference pose [m]."""
    free_length: PositiveLength
    """Of the flexible part between its ferrules [m]."""
    bend_radius: PositiveLength = 0.04
    """Least radius its maker allows at rest [m]."""
    margin: NonNegativeLength = 0.015
    """Length it must have to spare at the farthest [m]."""
    swell: Swell = 0.005e-11
    """Fluid it takes up per pressure [m3/Pa]."""

    @property
    def span(self) -> float:
        """Between its ends at the reference pose [m]."""
        return math.dist(self.body, self.carrier)

    @model_validator(mode="after")
    def _reaches(self) -> Hose:
        if self.free_length <= self.span:
            raise ValueError("free_length is no longer than the way between its two ends")
        return self


class DrumInHat(Document):
    """Parking brake shoes inside the rotor's bell, worked by a cable."""

    kind: Literal["drum_in_hat"]
    radius: PositiveLength
    """Of the drum [m]."""
    lever: Ratio
    """Force on a shoe's tip over the cable's."""
    factor: Annotated[float, Field(gt=0, le=10)] = 2.0
    """Brake factor: friction at the drum over the force on one shoe's tip."""


class CableCaliper(Document):
    """Parking brake that presses pads on the rotor by a cable."""

    kind: Literal["cable_caliper"]
    gain: Ratio
    """Force of a pad over the cable's."""
    friction: Friction | None = None
    """Of its own pads; None: it uses the service pads."""


ParkingUnit = Annotated[DrumInHat | CableCaliper, Field(discriminator="kind")]


class Brake(Document):
    """All that brakes one wheel."""

    caliper: Caliper
    rotor: Rotor
    pad: Pad
    effective_radius: PositiveLength | None = None
    """[m], of the middle of the pad's rub; None: half of pad height in from the rotor's edge."""
    hose: Hose | None = None
    parking: ParkingUnit | None = None
    hand_caliper: Caliper | None = None
    """A caliper of its own for the hand-operated circuit; None: that circuit works the service caliper."""

    @property
    def radius(self) -> float:
        """Effective radius [m]."""
        given = self.effective_radius
        return self.rotor.diameter / 2 - self.pad.height / 2 if given is None else given

    @model_validator(mode="after")
    def _fits(self) -> Brake:
        rotor, pad = self.rotor, self.pad
        for name, caliper in (("caliper", self.caliper), ("hand_caliper", self.hand_caliper)):
            biggest = 0.0 if caliper is None else max(caliper.pistons)
            if biggest >= rotor.diameter / 2:
                wanted = f"less than half the rotor's diameter of {_mm(rotor.diameter)}"
                raise unfit(f"a piston of {_mm(biggest)}", wanted, at=(name, "pistons"))
        inner, outer = self.radius - pad.height / 2, self.radius + pad.height / 2
        place = ("pad", "height") if self.effective_radius is None else ("effective_radius",)
        if outer > rotor.diameter / 2 + 1e-6:
            wanted = f"one inside the rotor, whose edge is {_mm(rotor.diameter / 2)} from the axle"
            raise unfit(f"a pad that reaches out to {_mm(outer)} from the axle", wanted, at=place)
        if inner <= 0:
            raise unfit("a pad that reaches past the middle of the rotor", "a smaller height", at=place)
        if isinstance(self.parking, DrumInHat) and self.parking.radius >= inner:
            raise ValueError("the parking drum is larger than the inside of the pads' rub")
        return self
