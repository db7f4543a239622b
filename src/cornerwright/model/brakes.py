"""The brakes: pedal to fluid for the whole car, caliper, rotor, pads and hose at each corner.

What stands at a corner is given for the left and mirrored like the rest of it. What was measured on a part as
it wears stands under the car's `brakes: measured`, by corner, so that nothing measured is ever mirrored.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document, Point
from cornerwright.model.parts import CORNERS, CornerName, Name
from cornerwright.model.units import (
    LENGTH,
    SHARE,
    Distance,
    Length,
    Mass,
    NonNegativeLength,
    PositiveForce,
    PositiveLength,
    PositiveMass,
    PositivePressure,
    PositiveShare,
    PositiveVolume,
    Pressure,
    Share,
    Swell,
    Temperature,
    to_document,
    unfit,
)

FluidGrade = Literal["DOT 3", "DOT 4", "DOT 5", "DOT 5.1"]
Friction = Annotated[float, Field(gt=0, le=1.2)]
Ratio = Annotated[float, Field(gt=0, le=100)]
RotorMaterial = Literal["iron", "steel"]


def _mm(length: float) -> str:
    return f"{to_document(length, LENGTH):.1f} mm"


# ------------------------------------------------------------------ at a corner


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
    mass: PositiveMass = 3.0
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
    mass: PositiveMass
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
        return sum((a - b) ** 2 for a, b in zip(self.body, self.carrier, strict=True)) ** 0.5

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


# ------------------------------------------------------------------ of the car


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


class Shelf(Document):
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
    shelf: Shelf = Shelf()

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
    fitted = [name for name in CORNERS if corners[name] is not None]
    if brakes is None:
        return f"{fitted[0]} has a brake, but the car has no brakes: add the group" if fitted else None
    missing = [name for name in CORNERS if corners[name] is None]
    if missing:
        return f"the car has brakes, so each corner needs its brake; {missing[0]} has none"
    if brakes.parking is not None and not any(one is not None and one.parking for one in corners.values()):
        return "brakes.parking is there, but no corner's brake has parking"
    for name, worn in brakes.measured.items():
        part = corners[name]
        if part is None:
            continue
        if worn.rotor is not None and worn.rotor > part.rotor.thickness * 1.05:
            return f"measured rotor at {name} is thicker than a new one"
        if worn.pad is not None and worn.pad > part.pad.new * 1.1:
            return f"measured pad at {name} is thicker than a new one"
    for side in ("left", "right"):
        rear = corners["rear_left" if side == "left" else "rear_right"]
        if rear is not None and rear.hand_caliper is not None and brakes.hand_circuit is None:
            return "a hand_caliper needs brakes.hand_circuit"
        front = corners["front_left" if side == "left" else "front_right"]
        if front is not None and front.hand_caliper is not None:
            return "a hand_caliper belongs to a rear wheel"
    return None
