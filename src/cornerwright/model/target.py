"""Targets: what is wanted of the car, with tolerance; hard limits may not be broken."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.parts import CORNERS, CornerName, Name
from cornerwright.model.units import (
    Angle,
    Length,
    PositiveAngle,
    PositiveFrequency,
    PositiveLength,
    PositiveShare,
    PositiveSpeed,
    PositiveWeight,
    Share,
    SignedShare,
    Weight,
)


@dataclass(frozen=True)
class Band:
    """A wanted range [SI unit of the reading]: aim in the middle where one is given, `within` its tolerance."""

    low: float
    high: float
    aim: float
    within: float
    hard: bool


class _Aim(Document):
    aim: float | None = None
    within: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    hard: bool = False
    """True: a limit that no plan may break."""

    @model_validator(mode="after")
    def _says_what(self) -> _Aim:
        aimed = self.aim is not None or self.within is not None
        bounded = self.at_least is not None or self.at_most is not None
        if aimed == bounded:
            raise ValueError("give aim and within, or at_least and/or at_most")
        if aimed and (self.aim is None or self.within is None):
            raise ValueError("aim and within go together")
        low, high = self.at_least, self.at_most
        if low is not None and high is not None and low >= high:
            raise ValueError("at_least must be below at_most")
        return self

    def band(self) -> Band:
        """As a range [SI]; open ends are infinite, and then `within` is nan."""
        if self.aim is not None and self.within is not None:
            aim, within = self.aim, self.within
            return Band(aim - within, aim + within, aim, within, self.hard)
        low = -float("inf") if self.at_least is None else self.at_least
        high = float("inf") if self.at_most is None else self.at_most
        within = (high - low) / 2
        finite = within != float("inf")
        return Band(
            low,
            high,
            (low + high) / 2 if finite else float("nan"),
            within if finite else float("nan"),
            self.hard,
        )


class LengthAim(_Aim):
    """A wanted length [m]."""

    aim: Length | None = None
    within: PositiveLength | None = None
    at_least: Length | None = None
    at_most: Length | None = None


class AngleAim(_Aim):
    """A wanted angle [rad]."""

    aim: Angle | None = None
    within: PositiveAngle | None = None
    at_least: Angle | None = None
    at_most: Angle | None = None


class WeightAim(_Aim):
    """A wanted load on a wheel [N]; kg in the file."""

    aim: Weight | None = None
    within: PositiveWeight | None = None
    at_least: Weight | None = None
    at_most: Weight | None = None


class ShareAim(_Aim):
    """A wanted share [1]; % in the file."""

    aim: Share | None = None
    within: PositiveShare | None = None
    at_least: Share | None = None
    at_most: Share | None = None


class FrequencyAim(_Aim):
    """A wanted frequency [Hz]."""

    aim: PositiveFrequency | None = None
    within: PositiveFrequency | None = None
    at_least: PositiveFrequency | None = None
    at_most: PositiveFrequency | None = None


class PushAim(_Aim):
    """A wanted share [1] that may be negative; % in the file."""

    aim: SignedShare | None = None
    within: PositiveShare | None = None
    at_least: SignedShare | None = None
    at_most: SignedShare | None = None


class CornerTargets(Document):
    """What is wanted at one corner."""

    height: LengthAim | None = None
    load: WeightAim | None = None
    camber: AngleAim | None = None
    toe: AngleAim | None = None
    caster: AngleAim | None = None
    half_track: LengthAim | None = None
    """Wheel centre outboard of the car's centre plane."""
    damper_length: LengthAim | None = None
    spring_length: LengthAim | None = None
    spring_held: LengthAim | None = None
    """How far the spring is still squeezed at full droop."""
    droop_left: LengthAim | None = None
    """Wheel travel from ride height to full droop."""
    bump_left: LengthAim | None = None
    """Wheel travel from ride height to full bump."""
    stroke_share: ShareAim | None = None
    """Where the damper's rod stands: 0 % closed, 100 % open."""

    def bands(self) -> dict[str, Band]:
        """The wanted ranges by name of the reading."""
        aims = {name: getattr(self, name) for name in type(self).model_fields}
        return {name: aim.band() for name, aim in aims.items() if aim is not None}


class CarTargets(Document):
    """What is wanted of the car as a whole."""

    cross_weight: ShareAim | None = None
    """Right front plus left rear over the total."""


class RideTargets(Document):
    """What springs, bars and dampers are chosen by; only `choose` asks for it."""

    front_frequency: FrequencyAim | None = None
    """Ride frequency of the front [Hz]: the body on springs and tyres."""
    rear_frequency: FrequencyAim | None = None
    front_damping: ShareAim | None = None
    """Damping over critical of the body on the front wheels, at 0.1 m/s of the damper."""
    rear_damping: ShareAim | None = None
    roll: AngleAim | None = None
    """Roll of the body in a steady turn, for 1 g [rad]."""
    front_transfer: ShareAim | None = None
    """Share of the load that goes over in a turn which the front takes."""
    understeer: AngleAim | None = None
    """More steer for 1 g more, slow [rad]."""
    limit_push: PushAim | None = None
    """At the limit, grip that the front uses less that the rear uses: above zero it pushes."""
    stroke_used: ShareAim | None = None
    """Of the wheel travel to bump or droop, whichever is nearer its end, what a road takes."""
    road: Literal["A", "B", "C", "D", "E", "F", "G", "H"] = "C"
    """Class of that road, as in ISO 8608."""
    speed: PositiveSpeed = 60.0 / 3.6
    """At which it is driven [m/s]."""
    most_price: Annotated[float, Field(ge=0, le=1e7)] | None = None
    """Of all parts together, in the currency of the shelf."""

    @model_validator(mode="after")
    def _nothing_hard(self) -> RideTargets:
        aims = [getattr(self, name) for name in type(self).model_fields]
        if any(isinstance(aim, _Aim) and aim.hard for aim in aims):
            raise ValueError("wishes of the ride are weighed against each other: none of them is hard")
        return self

    def bands(self) -> dict[str, Band]:
        """The wanted ranges by name."""
        aims = {name: getattr(self, name) for name in type(self).model_fields}
        return {name: aim.band() for name, aim in aims.items() if isinstance(aim, _Aim)}


class Targets(Document):
    """A file of targets. `front` and `rear` speak for both sides; a corner's own entry goes before."""

    format: Literal["cornerwright targets 1"]
    name: Name | None = None
    note: Annotated[str, Field(max_length=4000)] | None = None
    invented: bool = False
    front: CornerTargets = CornerTargets()
    rear: CornerTargets = CornerTargets()
    front_left: CornerTargets = CornerTargets()
    front_right: CornerTargets = CornerTargets()
    rear_left: CornerTargets = CornerTargets()
    rear_right: CornerTargets = CornerTargets()
    car: CarTargets = CarTargets()
    ride: RideTargets = RideTargets()

    def bands(self) -> dict[tuple[CornerName | None, str], Band]:
        """Every wanted range by (corner, reading); corner None: the whole car."""
        found: dict[tuple[CornerName | None, str], Band] = {}
        for corner in CORNERS:
            axle: CornerTargets = getattr(self, corner.split("_")[0])
            own: CornerTargets = getattr(self, corner)
            for name, band in (axle.bands() | own.bands()).items():
                found[corner, name] = band
        if self.car.cross_weight is not None:
            found[None, "cross_weight"] = self.car.cross_weight.band()
        return found
