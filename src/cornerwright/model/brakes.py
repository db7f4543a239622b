"""The brakes of the whole car: from pedal to fluid, who may be aboard, what was measured, what is on the shelf.

What stands at a corner is in `brake_parts`. What was measured on parts as they wear is given by corner here, so
that nothing measured is ever mirrored.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.brake_parts import Brake, Pad, Ratio
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.units import (
    SHARE,
    Distance,
    Length,
    Mass,
    NonNegativeLength,
    PositiveForce,
    PositiveLength,
    PositivePressure,
    PositiveShare,
    PositiveVolume,
    Pressure,
    Share,
    Temperature,
    to_document,
    unfit,
)

FluidGrade = Literal["DOT 3", "DOT 4", "DOT 5", "DOT 5.1"]


class Pedal(Document):
    """The brake pedal."""

    ratio: Annotated[float, Field(ge=1, le=12)]
    """Way of the foot over way of the rod."""
    travel: PositiveLength
    """Of the foot, to the floor [m]."""
    free_play: NonNegativeLength = 0.003
    """Of the foot before the piston moves [m]."""


class Servo(Document):
    """A booster."""

    gain: Annotated[float, Field(gt=1, le=12)]
    """Output over input force up to the knee."""
    knee: PositiveForce
    """Push on its rod [N] at which its help is used up."""


class MasterCylinder(Document):
    """A master cylinder."""

    bore: PositiveLength
    stroke: PositiveLength
    """Of a tandem: of both pistons together [m]."""


class BalanceBar(Document):
    """The bar that shares the pedal's force between two cylinders."""

    front: Share
    """Share of the force that goes to the front cylinder."""
    per_turn: PositiveShare
    """Points of percent by which one turn of the adjuster moves it."""
    step: Annotated[float, Field(gt=0, le=10)] = 0.25
    """Smallest step of the adjuster, in turns."""
    range: tuple[Share, Share] = (0.35, 0.65)
    """Least and greatest front share it can be set to."""

    @model_validator(mode="after")
    def _is_between(self) -> BalanceBar:
        low, high = self.range
        if not 0.0 < low < high < 1.0:
            raise ValueError("range must go from the least to the greatest front share, both between 0 and 100 %")
        if not low - 1e-9 <= self.front <= high + 1e-9:
            shown = [f"{to_document(share, SHARE):g}" for share in (self.front, low, high)]
            raise unfit(f"{shown[0]} %", f"a share inside the bar's range of {shown[1]} to {shown[2]} %", at=("front",))
        return self


class Valve(Document):
    """A valve in the rear line."""

    kind: Literal["proportioning", "limiting"]
    knee: PositivePressure
    """Pressure [Pa] from which it acts."""
    slope: Share = 0.0
    """Part of the rise that it passes beyond the knee; a limiting valve passes none."""
    per_click: PositivePressure | None = None
    """By which one click or turn moves the knee [Pa]; None: it cannot be set."""
    unit: Literal["click", "turn"] = "click"
    range: tuple[Pressure, Pressure] | None = None
    """Least and greatest knee it can be set to [Pa]."""

    @model_validator(mode="after")
    def _acts(self) -> Valve:
        if self.kind == "limiting" and self.slope != 0.0:
            raise ValueError("a limiting valve has no slope: leave it out")
        if self.kind == "proportioning" and not 0.0 < self.slope < 1.0:
            raise ValueError("the slope of a proportioning valve lies between 0 and 100 %")
        if (self.per_click is None) != (self.range is None):
            raise ValueError("a valve that can be set needs both per_click and range")
        if self.range is not None and not self.range[0] < self.range[1]:
            raise ValueError("range must go from the least to the greatest knee")
        if self.range is not None and not self.range[0] <= self.knee <= self.range[1]:
            raise ValueError("knee must lie inside the valve's range")
        return self


class HandCircuit(Document):
    """A hydraulic circuit of its own, worked by hand, on the rear wheels."""

    ratio: Ratio
    """Way of the hand over way of the rod."""
    bore: PositiveLength
    stroke: PositiveLength


class ParkingLever(Document):
    """What pulls the parking brake's cables."""

    ratio: Ratio
    """Pull on all cables together over the hand's, before losses."""
    efficiency: PositiveShare = 0.8
    """Of cables and equaliser."""
    hand_force: PositiveForce = 400.0
    clicks: tuple[int, int] = (4, 7)
    """At which it should hold, as the car's maker says."""


class Fluid(Document):
    """The brake fluid."""

    grade: FluidGrade
    dry_boiling: Temperature | None = None
    """As its maker gives it, fresh [degC]; None: the least of its grade."""
    wet_boiling: Temperature | None = None
    """With water taken up, likewise."""
    months: Annotated[float, Field(ge=0, le=600)] | None = None
    """Since it was changed."""
    volume: PositiveVolume = 3e-4
    """In lines and calipers [m3]."""


class Load(Document):
    """Someone or something that may be in the car."""

    mass: Mass
    behind_front: Length
    """Behind the front axle [m]."""
    height: PositiveLength
    """Of its middle over the ground [m]."""
    aboard: Literal["always", "now", "not now"]
    """always: the driver, whom the car's `mass` counts; now: counted there, can be taken out; not now: can be added."""


class Worn(Document):
    """What was measured at one corner's brake."""

    rotor: PositiveLength | None = None
    """Least thickness found [m]."""
    pad: PositiveLength | None = None
    """Friction material left on the thinnest pad [m]."""
    runout: NonNegativeLength | None = None
    """Of the rotor as fitted [m]."""
    variation: NonNegativeLength | None = None
    """Greatest less least thickness round the rotor [m]."""
    pad_driven: Distance | None = None
    """Since the pads were new [m]."""


class ShelfPad(Document):
    """Pads that could be fitted."""

    axle: Literal["front", "rear"]
    pad: Pad


class BrakeShelf(Document):
    """Parts at hand, or that can be had, to change the balance with."""

    pads: Annotated[tuple[ShelfPad, ...], Field(max_length=12)] = ()
    front_pistons: Annotated[tuple[tuple[PositiveLength, ...], ...], Field(max_length=8)] = ()
    """Calipers of the same make by the pistons of one side [m]."""
    rear_pistons: Annotated[tuple[tuple[PositiveLength, ...], ...], Field(max_length=8)] = ()
    bores: Annotated[tuple[PositiveLength, ...], Field(max_length=12)] = ()
    """Of master cylinders [m]."""


class Brakes(Document):
    """The brakes of the car, from pedal to fluid."""

    pedal: Pedal
    servo: Servo | None = None
    master: MasterCylinder | None = None
    """A tandem cylinder; None where there are two on a bar."""
    split: Literal["front_rear", "diagonal"] = "front_rear"
    """What each of the two circuits feeds."""
    front_master: MasterCylinder | None = None
    rear_master: MasterCylinder | None = None
    balance_bar: BalanceBar | None = None
    valve: Valve | None = None
    hand_circuit: HandCircuit | None = None
    parking: ParkingLever | None = None
    fluid: Fluid
    driver_side: Literal["left", "right"] = "left"
    """Where the master cylinder sits, for the order of bleeding."""
    anti_lock: bool = False
    """True where a system that works holds the wheels from locking, and so keeps their order."""
    rotating: Share = 0.04
    """What turning wheels and shafts add to the mass."""
    drag_area: Annotated[float, Field(ge=0, le=5)] = 0.0
    """Drag coefficient times frontal area [m2]; 0: all is left to the brakes."""
    loads: Annotated[dict[str, Load], Field(max_length=10, default_factory=dict)]
    measured: Annotated[dict[CornerName, Worn], Field(max_length=4, default_factory=dict)]
    shelf: BrakeShelf = BrakeShelf()

    @model_validator(mode="after")
    def _has_its_cylinders(self) -> Brakes:
        pair = (self.front_master, self.rear_master, self.balance_bar)
        if self.master is not None and any(one is not None for one in pair):
            raise ValueError("give master (a tandem), or front_master, rear_master and balance_bar, not both")
        if self.master is None and any(one is None for one in pair):
            raise ValueError("two cylinders need front_master, rear_master and balance_bar; a tandem needs master")
        if self.master is None and self.split != "front_rear":
            raise ValueError("two cylinders on a balance bar feed front and rear: leave split out")
        return self


def worn_at(brakes: Brakes, corner: CornerName) -> Worn:
    """What was measured at this corner; nothing where nothing was."""
    return brakes.measured.get(corner, Worn())


def all_or_none(brakes: Brakes | None, corners: dict[CornerName, Brake | None]) -> str | None:
    """What is wrong between the car's brakes and its corners'; None where nothing is."""
    return next(_misfits(brakes, corners), None)


def _misfits(brakes: Brakes | None, corners: dict[CornerName, Brake | None]) -> Iterator[str]:
    fitted = {name: one for name, one in corners.items() if one is not None}
    if brakes is None:
        if fitted:
            yield f"{next(iter(fitted))} has a brake, but the car has no brakes: add the group"
        return
    missing = [name for name in CORNERS if name not in fitted]
    if missing:
        yield f"the car has brakes, so each corner needs its brake; {missing[0]} has none"
    if brakes.parking is not None and not any(one.parking for one in fitted.values()):
        yield "brakes.parking is there, but no corner's brake has parking"
    if brakes.parking is None and any(one.parking for one in fitted.values()):
        yield "a corner's brake has parking, but brakes.parking, what pulls it, is not there"
    for name, one in fitted.items():
        if one.hand_caliper is not None and (brakes.hand_circuit is None or name.startswith("front")):
            yield "a hand_caliper belongs to a rear wheel and needs brakes.hand_circuit"
        worn = worn_at(brakes, name)
        if worn.rotor is not None and worn.rotor > one.rotor.thickness * 1.05:
            yield f"the rotor measured at {name} is thicker than a new one"
        if worn.pad is not None and worn.pad > one.pad.new * 1.1:
            yield f"the pad measured at {name} is thicker than a new one"
