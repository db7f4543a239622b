"""How a joint is tightened, and how a wheel is held on its hub: hub, spacer, wheel, stud or bolt, seat, spigot."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.thread import Friction, PropertyClass, Thread, check_class
from cornerwright.model.units import (
    Angle,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveStress,
    PositiveTorque,
)

BodyName = Literal[
    "mild_steel", "steel", "tempered_steel", "stainless", "cast_iron", "nodular_iron", "cast_aluminium", "aluminium",
    "magnesium",
]  # fmt: skip
"""What a thread is cut into, or what is clamped."""

Method = Literal["torque", "torque_tested", "torque_unknown", "angle", "yield", "hydraulic", "impact"]

CLASS_B = (0.08, 0.16)


class Tightening(Document):
    """How a joint is tightened, and how it stands."""

    torque: PositiveTorque | None = None
    """The maker's: the value to use [N m]."""
    angle: Annotated[Angle, Field(gt=0)] | None = None
    """The maker's, after the torque [rad]."""
    method: Method = "torque"
    friction: Friction = CLASS_B
    """In the thread, and under head or nut unless head_friction says otherwise."""
    head_friction: Friction | None = None
    lubricated: bool = False
    """True only where the maker asks for it."""
    renew: bool = False
    """The maker asks for a new bolt or nut at every fitting (stretch bolts, locking nuts)."""
    fitted: Literal["new", "reused", "not_known"] = "not_known"
    mark: Annotated[str, Field(max_length=200)] | None = None
    """How a new bolt is told from one that has been tight: paint, a stamp."""
    stands: Literal["tight", "loose", "not_known"] = "not_known"
    retorque_km: Annotated[float, Field(gt=0, le=5000)] | None = None
    """Distance after which the torque is checked again [km]."""
    retorqued: bool = False


class Seat(Document):
    """The face between a wheel and its nut or bolt."""

    form: Literal["cone", "ball", "flat"]
    angle: PositiveAngle | None = None
    """Of a cone, from side to side [rad]."""
    radius: PositiveLength | None = None
    """Of a ball [m]."""
    diameter: PositiveLength | None = None
    """In the middle of where it bears [m]."""

    @model_validator(mode="after")
    def _has_its_measure(self) -> Seat:
        if (self.form == "cone") != (self.angle is not None) or (self.form == "ball") != (self.radius is not None):
            raise ValueError("a cone has its angle, a ball its radius, a flat seat neither")
        if self.angle is not None and not 0.5 < self.angle < 2.6:
            raise ValueError("the angle of a cone is counted from side to side: 60 deg is usual")
        if self.radius is not None and self.diameter is not None and self.diameter >= 2.0 * self.radius:
            raise ValueError("a ball cannot bear outside its own diameter")
        return self


class WheelFastening(Document):
    """What holds a wheel on its hub, from the hub's face outwards."""

    held_by: Literal["stud", "bolt"]
    count: Annotated[int, Field(ge=3, le=12)]
    pitch_circle: PositiveLength
    thread: Thread
    property_class: PropertyClass | None = None
    length: PositiveLength
    """Stud: from the hub's face to its tip; bolt: from the middle of its seat to its tip [m]."""
    plain: NonNegativeLength = 0.0
    """Without thread: of a stud from the hub's face on, of a bolt from its seat on [m]."""
    flange: PositiveLength
    """Thickness of the hub's flange [m]; a bolt's thread in it."""
    hub: BodyName = "steel"
    hub_room: PositiveLength | None = None
    """Bolts: how far behind the hub's face the tip may come before it touches anything [m]."""
    spacer: NonNegativeLength | None = None
    """Plate between hub and wheel [m]; a `spacer` adjuster and the wheel's own `spacer` go before it.

    None: as those say, or none.
    """
    pad: PositiveLength
    """Wheel's own thickness from its mounting face to the middle of the seat [m]."""
    wheel: BodyName = "cast_aluminium"
    wheel_seat: Seat
    nut_seat: Seat
    """Of the nut, or under the bolt's head."""
    nut_thread: PositiveLength | None = None
    """Full thread in the nut, from the middle of its seat outwards [m]; needed with studs."""
    nut_behind: NonNegativeLength = 0.0
    """Full thread in the nut's shank, from the middle of its seat inwards, into the wheel [m]."""
    nut_room: PositiveLength | None = None
    """Closed nuts: from the middle of the seat to where the stud meets the end [m]; None: open."""
    nut_strength: PositiveStress | None = None
    """Tensile strength of the nut [Pa]; None: as the stud's class asks for."""
    spigot: NonNegativeLength | None = None
    """How far the hub's centring stands out of its face, its chamfer left out [m]."""
    spigot_diameter: PositiveLength | None = None
    spacer_spigot: NonNegativeLength | None = None
    """The same on the spacer [m]; None: it has none."""
    bore_chamfer: NonNegativeLength = 0.0
    """How deep the wheel's bore is chamfered at its mounting face [m]."""
    face_friction: Annotated[float, Field(ge=0.03, le=0.6)] = 0.1
    """Between hub, spacer and wheel, at the least."""
    tightening: Tightening = Tightening()

    @model_validator(mode="after")
    def _belongs_together(self) -> WheelFastening:
        check_class(self.property_class, self.thread)
        if self.held_by == "stud" and self.nut_thread is None:
            raise ValueError("with studs give nut_thread: the full thread in the nut, outwards from its seat")
        if self.held_by == "bolt" and (self.nut_thread is not None or self.nut_room is not None or self.nut_behind):
            raise ValueError("nut_thread, nut_behind and nut_room belong to studs; a bolt screws into the flange")
        if self.plain >= self.length:
            raise ValueError("plain must be shorter than length: some of it is thread")
        if self.nut_room is not None and self.nut_thread is not None and self.nut_room < self.nut_thread:
            raise ValueError("nut_room ends beyond nut_thread: the stud meets the end after the last thread")
        return self

    @model_validator(mode="after")
    def _seats_go_round_the_thread(self) -> WheelFastening:
        for seat in (self.wheel_seat, self.nut_seat):
            if seat.diameter is not None and not self.thread.diameter < seat.diameter < self.pitch_circle:
                raise ValueError("a seat bears outside the thread and within the pitch circle: mend its diameter")
            # Where no diameter is given, a seat is taken to bear at about one and a half times the thread.
            if seat.radius is not None and seat.radius < 0.75 * self.thread.diameter:
                raise ValueError("a ball's radius is more than three quarters of the thread's diameter: R12, R13, R14")
        return self
