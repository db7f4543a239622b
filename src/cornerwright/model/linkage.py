"""How a wheel may move: a jack table, or the points that its arms and rods run between.

Points are in body axes [m], written for the left side; the right side is their mirror unless given.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.adjuster import MemberName
from cornerwright.model.base import Document, Point
from cornerwright.model.units import Angle, Length, PositiveAngle, PositiveLength, TwistRate


class JackRow(Document):
    """One row: the lift and what was read there; what was not read is left out."""

    lift: Length
    spring: PositiveLength | None = None
    """Distance between the spring seats [m]."""
    damper: PositiveLength | None = None
    """Distance between the damper's eyes [m]."""
    camber: Angle | None = None
    toe: Angle | None = None
    caster: Angle | None = None
    half_track: Length | None = None
    """Wheel's sideways place from any fixed mark, positive outboard [m]; only its change counts."""


class JackScatter(Document):
    """Standard deviation of one reading in the table; the defaults are common practice with shop gauges."""

    length: PositiveLength = 1e-3
    camber: PositiveAngle = 0.00175
    toe: PositiveAngle = 0.00087
    caster: PositiveAngle = 0.0044


class JackTable(Document):
    """Readings taken while jacking one wheel, body held still, adjusters at their `measured_at`."""

    kind: Literal["jack_table"]
    scatter: JackScatter = JackScatter()
    rows: Annotated[tuple[JackRow, ...], Field(min_length=3, max_length=500)]

    @model_validator(mode="after")
    def _rows_make_a_table(self) -> JackTable:
        lifts = [row.lift for row in self.rows]
        if len(set(lifts)) < 3:
            raise ValueError("the rows must hold at least three different lifts")
        if min(lifts) > 0 or max(lifts) < 0:
            raise ValueError("the rows must reach from droop (lift below 0) to bump (above 0)")
        for column in ("damper", "camber", "toe"):
            if sum(getattr(row, column) is not None for row in self.rows) < 2:
                raise ValueError(f"the column {column} needs at least two readings")
        return self

    def readings(self, column: str) -> tuple[float | None, ...]:
        """One column in the order of the rows; None where it was not read."""
        return tuple(getattr(row, column) for row in self.rows)


class Rod(Document):
    """A rod between a point of the body and a point of the carrier."""

    inner: Point
    outer: Point

    @model_validator(mode="after")
    def _has_length(self) -> Rod:
        if max(abs(a - b) for a, b in zip(self.inner, self.outer, strict=True)) < 1e-3:
            raise ValueError("the two ends of a rod must be apart")
        return self


class DoubleWishbonePoints(Document):
    """Ends of two wishbones and a tie rod."""

    upper_front: Point
    upper_rear: Point
    upper_ball: Point
    lower_front: Point
    lower_rear: Point
    lower_ball: Point
    tie_inner: Point
    tie_outer: Point


class DoubleWishbone(Document):
    """Two wishbones and a tie rod (a toe link on an axle that does not steer)."""

    kind: Literal["double_wishbone"]
    points: DoubleWishbonePoints


class StrutPoints(Document):
    """Ends of a lower arm, a tie rod and a strut."""

    lower_front: Point
    lower_rear: Point
    lower_ball: Point
    tie_inner: Point
    tie_outer: Point
    top_mount: Point
    strut_lower: Point
    """A point low on the strut's axis, fixed to the carrier."""


class Strut(Document):
    """A strut that guides the wheel, a lower arm and a tie rod."""

    kind: Literal["strut"]
    points: StrutPoints


class FiveLink(Document):
    """Five rods of any names."""

    kind: Literal["five_link"]
    rods: Annotated[dict[MemberName, Rod], Field(min_length=5, max_length=5)]


class ArmBush(Document):
    """Where the trailing arm is held."""

    arm_bush: Point


class TwoRods(Document):
    """An upper and a lower rod."""

    upper: Rod
    lower: Rod


class TrailingArmThreeLink(Document):
    """A trailing arm that carries the wheel, held at its bush and by two cross rods."""

    kind: Literal["trailing_arm_three_link"]
    points: ArmBush
    rods: TwoRods


class PivotPoints(Document):
    """Two points on the arm's pivot axis."""

    pivot_inner: Point
    pivot_outer: Point


class SemiTrailingArm(Document):
    """One arm that turns about an axis through its two pivots."""

    kind: Literal["semi_trailing_arm"]
    points: PivotPoints


class RodConstraint(Rod):
    """Keeps two points at their distance."""

    holds: Literal["rod"]
    name: MemberName


class LineConstraint(Document):
    """Keeps a point of the body on a line of the carrier (a strut), or the other way round."""

    holds: Literal["point_on_line"]
    name: MemberName
    body: Point
    carrier: Point
    line_on: Literal["carrier", "body"] = "carrier"


class PinConstraint(Document):
    """Keeps a point of the carrier in its place (a bush or ball joint)."""

    holds: Literal["pin"]
    name: MemberName
    at: Point


class HingeConstraint(Document):
    """Lets the carrier turn about an axis only."""

    holds: Literal["hinge"]
    name: MemberName
    inner: Point
    outer: Point


Constraint = Annotated[RodConstraint | LineConstraint | PinConstraint | HingeConstraint, Field(discriminator="holds")]
FREEDOM = {"rod": 1, "point_on_line": 2, "pin": 3, "hinge": 5}
"""How many freedoms each constraint takes."""


class FreeRods(Document):
    """Any constraints, given one by one; together they leave the wheel one way to move."""

    kind: Literal["rods"]
    constraints: Annotated[tuple[Constraint, ...], Field(min_length=1, max_length=5)]
    steering_axis: tuple[Point, Point] | None = None
    """Two carrier points on the steering axis, lower first, where there is one."""

    @model_validator(mode="after")
    def _leaves_one_freedom(self) -> FreeRods:
        taken = sum(FREEDOM[one.holds] for one in self.constraints)
        if taken != 5:
            raise ValueError(f"the constraints must take five freedoms together, these take {taken}")
        names = [one.name for one in self.constraints]
        if len(set(names)) != len(names):
            raise ValueError("two constraints have the same name")
        return self


CornerLinkage = Annotated[
    JackTable | DoubleWishbone | Strut | FiveLink | TrailingArmThreeLink | SemiTrailingArm | FreeRods,
    Field(discriminator="kind"),
]
"""A linkage that holds one wheel by itself."""


class FourLinkRods(Document):
    """Left lower and left upper rod; the right ones are their mirror unless given."""

    lower: Rod
    upper: Rod
    lower_right: Rod | None = None
    upper_right: Rod | None = None


class LiveAxleFourLink(Document):
    """A rigid axle on four rods."""

    kind: Literal["live_axle_four_link"]
    rods: FourLinkRods


class PanhardRods(Document):
    """Left lower rod (the right one is its mirror unless given), one upper rod, one Panhard rod."""

    lower: Rod
    lower_right: Rod | None = None
    upper: Rod
    panhard: Rod


class LiveAxlePanhard(Document):
    """A rigid axle on two lower rods, one upper rod and a Panhard rod."""

    kind: Literal["live_axle_panhard"]
    rods: PanhardRods


class BeamPoints(Document):
    """Left pivot and the middle of the cross beam, at its shear centre."""

    pivot: Point
    pivot_right: Point | None = None
    beam_centre: Point


class TwistBeam(Document):
    """Two trailing arms joined by a cross beam that twists."""

    kind: Literal["twist_beam"]
    points: BeamPoints
    twist_rate: TwistRate | None = None
    """Torsional stiffness of the beam [N m/rad]; None: not known, taken into the axle's bar."""


AxleLinkage = Annotated[LiveAxleFourLink | LiveAxlePanhard | TwistBeam, Field(discriminator="kind")]
"""A linkage that ties the two wheels of an axle together."""
