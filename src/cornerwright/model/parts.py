"""Parts of a corner: springs, damper, bump stop, tyre, bar, bushes, and the points that heights are taken at."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.adjuster import Adjuster, Direction
from cornerwright.model.base import Document, Point
from cornerwright.model.tyre_grip import TyreGrip
from cornerwright.model.tyre_marking import TyreMarking
from cornerwright.model.units import (
    LENGTH,
    Angle,
    Force,
    Length,
    NonNegativeLength,
    PositiveLength,
    PositiveRate,
    PositiveRodSpeed,
    Quantity,
    Rate,
)
from cornerwright.model.wheel import Hub, OldWheel, Rim, WheelSpacer

Name = Annotated[str, Field(min_length=1, max_length=200)]


class Coil(Document):
    """One spring of a stack."""

    name: Name = "main"
    rate: PositiveRate
    """[N/m]"""
    free_length: PositiveLength
    """Length without load [m]."""
    block_length: PositiveLength
    """Length with all coils touching [m]."""

    @model_validator(mode="after")
    def _block_is_shorter(self) -> Coil:
        if self.block_length >= self.free_length:
            raise ValueError("block_length must be shorter than free_length")
        return self


class Mount(Document):
    """An end of a spring, damper or push rod."""

    on: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,40}$")]
    """`body`, `carrier`, `rocker`, or an arm of the linkage: `upper_arm`, `lower_arm`."""
    at: Point


Between = tuple[Mount, Mount]
"""The two ends that a spring, a damper or a push rod runs between."""


class Rocker(Document):
    """A rocker on the body, turned by a push or pull rod."""

    axis: tuple[Point, Point]
    """Two points of the body that it turns about."""
    drive: Mount
    """Where the push rod leaves the carrier or an arm."""
    eye: Point
    """Where the push rod meets the rocker."""


class DriveShaft(Document):
    """A shaft from the final drive to the wheel, with a joint at each end."""

    inner: Point
    """Middle of the inner joint, body axes [m]."""
    outer: Point
    """Middle of the outer joint, at the reference pose [m]."""
    along: Direction | None = None
    """Way of the inner joint's housing, from inside to outside; None: straight outboard."""
    plunge: PositiveLength | None = None
    """How far the shaft may go in or out of its joints from the reference pose, each way [m]."""


class Spring(Document):
    """All that pushes between the two spring seats: main, helper and tender springs in series."""

    around_damper: bool
    """True where the spring sits on the damper's body; False where it stands apart, on the arm."""
    stack: Annotated[tuple[Coil, ...], Field(min_length=1, max_length=4)]
    spacers: NonNegativeLength = 0.0
    """Plates between the springs, together [m]."""
    between: Between | None = None
    """Where a spring apart from the damper has its seats; not for jack tables."""
    seat_gap: Length | None = None
    """Damper length minus spring length at the perch's `measured_at` [m]; for a spring around the damper
    on a linkage of points."""

    @property
    def free_length(self) -> float:
        """Distance between the seats [m] at which the stack is just held."""
        return sum(coil.free_length for coil in self.stack) + self.spacers


class StopRow(Document):
    """One row of a bump stop's curve."""

    squeeze: PositiveLength
    force: Annotated[Force, Field(gt=0)]


class BumpStop(Document):
    """Rubber or foam on the damper's rod; the curve starts at no squeeze, no force."""

    length: PositiveLength
    """Length without load, packers included [m]: it touches when the damper is this far from closed."""
    curve: Annotated[tuple[StopRow, ...], Field(min_length=1, max_length=40)]

    @model_validator(mode="after")
    def _rises(self) -> BumpStop:
        rows = self.curve
        for before, after in pairwise(rows):
            if after.squeeze <= before.squeeze or after.force <= before.force:
                raise ValueError("the rows of the curve must rise in squeeze and in force")
        if rows[-1].squeeze > self.length:
            raise ValueError("the curve squeezes the stop by more than its length")
        return self


class DamperRow(Document):
    """One row of a damper's curve, as its dynamometer sheet has it."""

    speed: PositiveRodSpeed
    bump: Annotated[Force, Field(ge=0)]
    """Force [N] against closing at this speed."""
    rebound: Annotated[Force, Field(ge=0)]
    """Force [N] against opening at this speed."""


class Damper(Document):
    """Damper lengths between the centres of its eyes (or mounting faces), at its body's `measured_at`."""

    open: PositiveLength
    """Length pulled right out [m]."""
    closed: PositiveLength
    """Length pushed right in, metal to metal [m]."""
    gas_force: Annotated[Force, Field(ge=0)] = 0.0
    """Force of the gas on the rod [N]."""
    bump_stop: BumpStop | None = None
    curve: Annotated[tuple[DamperRow, ...], Field(min_length=1, max_length=40)] | None = None
    """Force over speed at the setting that is on it, gas and friction taken out; only the road asks for it."""
    friction: Annotated[Force, Field(ge=0)] = 0.0
    """Of its seals and bushes [N], either way."""
    between: Between | None = None
    """Where its eyes are; not for jack tables. A strut needs none: it runs from top_mount to strut_lower."""

    @model_validator(mode="after")
    def _has_stroke(self) -> Damper:
        if self.closed >= self.open:
            raise ValueError("closed must be shorter than open")
        for before, after in pairwise(self.curve or ()):
            if after.speed <= before.speed or after.bump < before.bump or after.rebound < before.rebound:
                raise ValueError("the rows of the damper's curve must rise in speed and not fall in force")
        if self.bump_stop is not None and self.bump_stop.length >= self.open - self.closed:
            raise ValueError("the bump stop is as long as the whole stroke")
        return self


class Tyre(Document):
    """The tyre as a spring under the wheel."""

    free_radius: Annotated[float, Quantity(LENGTH, at_least=160.0)]
    rate: PositiveRate
    width: PositiveLength | None = None
    """Section width [m] on its rim, for drawings and room in the arch; None: computed from the marking."""
    marking: TyreMarking | None = None
    """Size, load index and speed symbol as on its wall."""
    tread_width: PositiveLength | None = None
    """Between the edges of the tread [m]; None: 82 % of the section width, a guess."""
    rims: tuple[PositiveLength, PositiveLength] | None = None
    """Least and greatest rim width its maker allows [m]."""
    grip: TyreGrip | None = None
    """What it holds sideways; None: cornering takes an invented tyre and says so."""

    @model_validator(mode="after")
    def _rims_in_order(self) -> Tyre:
        if self.rims is not None and self.rims[0] > self.rims[1]:
            raise ValueError("rims gives the least width first")
        return self


class Bushes(Document):
    """Rubber bushes that twist with the arms: they add a rate and hold the height they were clamped at."""

    rate: Rate
    """[N/m] of lift at the wheel, all bushes of the corner together."""
    clamped_at: Length = 0.0
    """Lift at which they were tightened [m]."""


class HeightPoint(Document):
    """A point of the body whose height over the ground is read (arch lip, sill mark, pivot)."""

    what: Name
    at: Point
    """Body axes [m]; its z is the height over the ground at the reference pose."""


class Bar(Document):
    """Anti-roll bar of an axle. Energy K/2 (lift_left - lift_right - neutral)^2."""

    rate: PositiveRate
    """K [N/m] of lift difference at the wheels."""
    connected: bool = True
    neutral: Length = 0.0
    """Lift difference left minus right at which the bar has no preload, link at its `measured_at` [m]."""
    link: Adjuster | None = None
    link_ratio: Annotated[float, Field(gt=0, le=10)] = 1.0
    """Lift difference taken up by each unit of link length (left link; longer lets the left wheel droop)."""

    @model_validator(mode="after")
    def _link_is_a_link(self) -> Bar:
        if self.link is not None and self.link.kind != "bar_link":
            raise ValueError("the link's kind must be bar_link")
        return self


class Wheel(Document):
    """Where the wheel is at the reference pose, and how it leans and points there."""

    centre_height: PositiveLength | None = None
    """Wheel centre over the ground [m]; with a jack table."""
    centre: Point | None = None
    """Wheel centre, body axes [m]; with a linkage of points."""
    camber: Angle | None = None
    toe: Angle | None = None
    rim: Rim | None = None
    hub: Hub | None = None
    spacer: WheelSpacer | None = None
    instead_of: OldWheel | None = None
    """The wheel that was here before, to compare with."""

    @model_validator(mode="after")
    def _is_somewhere(self) -> Wheel:
        if (self.centre is None) == (self.centre_height is None):
            raise ValueError("give centre_height with a jack table, centre with a linkage of points")
        if self.centre is not None and self.centre.z <= 0:
            raise ValueError("the wheel centre must lie above the ground")
        return self

    @property
    def height(self) -> float:
        """Wheel centre over the ground at the reference pose [m]."""
        if self.centre is not None:
            return self.centre.z
        assert self.centre_height is not None  # the validator holds one of the two
        return self.centre_height


CornerName = Literal["front_left", "front_right", "rear_left", "rear_right"]
CORNERS: tuple[CornerName, ...] = ("front_left", "front_right", "rear_left", "rear_right")
