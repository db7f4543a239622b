"""Wheel, hub, spacer and centring ring: what must fit each other before a wheel goes on."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.tyre_marking import TyreMarking
from cornerwright.model.units import Length, NonNegativeLength, PositiveLength, PositiveMass

BoltCount = Annotated[int, Field(ge=3, le=12)]
SeatForm = Literal["cone", "ball", "flat"]


class CentringRing(Document):
    """A ring between a bore and the smaller spigot that it is to sit on."""

    inner: PositiveLength
    outer: PositiveLength

    @model_validator(mode="after")
    def _has_a_wall(self) -> CentringRing:
        if self.inner >= self.outer:
            raise ValueError("a ring's inner diameter must be less than its outer one")
        return self


class InsideRow(Document):
    """One place of the wheel's inner surface: spokes from the hub out, then the barrel towards the car."""

    depth: Length
    """Inboard of the wheel's mounting face [m]; below zero: outboard of it, where the spokes are hollow."""
    radius: NonNegativeLength
    """From the wheel's axis [m]."""


class Rim(Document):
    """The wheel itself. Diameters of rims are their marked ones, in inches as a rule."""

    width: PositiveLength
    """Between the bead seats' flanges, as marked [m]."""
    diameter: PositiveLength
    """As marked [m]."""
    inset: Length
    """Mounting face from the centre plane, outboard positive [m]: the offset as the trade has it."""
    bore: PositiveLength
    """Diameter of the centre bore [m]."""
    pitch_circle: PositiveLength
    bolts: BoltCount
    seat: SeatForm
    """Form of the seats of its nuts or bolts."""
    pad: PositiveLength | None = None
    """Thickness at the bolt holes, mounting face to where the nut or bolt seats [m]."""
    ring: CentringRing | None = None
    """A ring set into the bore."""
    load: PositiveMass | None = None
    """What its maker lets it carry [kg]."""
    overall_width: PositiveLength | None = None
    """Over the flanges [m]; None: the marked width and 22 mm."""
    inside: Annotated[tuple[InsideRow, ...], Field(max_length=60)] = ()
    """Its inner surface, from the hub outwards along the spokes, then along the barrel to its inboard edge."""

    @model_validator(mode="after")
    def _hangs_together(self) -> Rim:
        if self.bore >= self.pitch_circle:
            raise ValueError("the bore must be smaller than the pitch circle")
        if self.pitch_circle >= self.diameter:
            raise ValueError("the pitch circle must be smaller than the rim's diameter")
        if self.ring is not None and self.ring.outer > self.bore + 1e-3:
            raise ValueError("the ring's outer diameter is larger than the bore it is to sit in")
        if self.overall_width is not None and self.overall_width < self.width:
            raise ValueError("overall_width is over the flanges, so more than width")
        if len(self.inside) == 1:
            raise ValueError("inside needs two places at least")
        for before, after in pairwise(self.inside):
            if before.depth == after.depth and before.radius == after.radius:
                raise ValueError("two places of inside are the same")
        return self


class Hub(Document):
    """What the wheel is bolted to."""

    spigot: PositiveLength
    """Diameter of the spigot that centres the wheel [m]."""
    spigot_height: PositiveLength
    """How far it stands out of the mounting face [m], chamfer not counted."""
    pitch_circle: PositiveLength
    bolts: BoltCount
    bearing_depth: PositiveLength | None = None
    """Middle of the wheel bearings, inboard of the mounting face [m]."""

    @model_validator(mode="after")
    def _hangs_together(self) -> Hub:
        if self.spigot >= self.pitch_circle:
            raise ValueError("the spigot must be smaller than the pitch circle")
        return self


class WheelSpacer(Document):
    """A plate between hub and wheel."""

    thickness: PositiveLength
    bore: PositiveLength
    """Its own bore, that sits on the hub's spigot [m]."""
    spigot: PositiveLength | None = None
    """Diameter of its own spigot for the wheel [m]; None: it has none."""
    spigot_height: PositiveLength | None = None
    ring: CentringRing | None = None
    """A ring set into its bore."""
    pitch_circle: PositiveLength | None = None
    """Of its holes [m]; None: the hub's."""
    bolted_on: bool = False
    """True: bolted to the hub by its own nuts and carrying the wheel on studs of its own."""
    wheel_pitch_circle: PositiveLength | None = None
    """Of its own studs [m], where it is bolted on; None: the hub's."""

    @model_validator(mode="after")
    def _hangs_together(self) -> WheelSpacer:
        if (self.spigot is None) != (self.spigot_height is None):
            raise ValueError("give spigot and spigot_height together")
        if self.ring is not None and self.ring.outer > self.bore + 1e-3:
            raise ValueError("the ring's outer diameter is larger than the bore it is to sit in")
        if self.wheel_pitch_circle is not None and not self.bolted_on:
            raise ValueError("wheel_pitch_circle is for a spacer that is bolted on")
        return self


class OldWheel(Document):
    """The wheel that was here before, to compare with."""

    width: PositiveLength
    """Rim width as marked [m]."""
    inset: Length
    spacer: NonNegativeLength = 0.0
    """Thickness of the spacer it had [m]."""
    tyre: TyreMarking
