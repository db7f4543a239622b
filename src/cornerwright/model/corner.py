"""One corner: a wheel and all that holds it, and what must fit together there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field, model_validator

from cornerwright.model.adjuster import Adjuster, MemberName
from cornerwright.model.base import Document
from cornerwright.model.linkage import (
    CornerLinkage,
    DoubleWishbone,
    FiveLink,
    FreeRods,
    HingeConstraint,
    JackTable,
    LineConstraint,
    PinConstraint,
    SemiTrailingArm,
    Strut,
    TrailingArmThreeLink,
)
from cornerwright.model.parts import Bushes, Damper, DriveShaft, HeightPoint, Rocker, Spring, Tyre, Wheel
from cornerwright.model.units import Angle, PositiveAngle, PositiveMass

SINGLE_KINDS = ("perch", "body")
"""Kinds of which a corner has one adjuster at the most."""

POINT_MOVERS = ("plate", "cam", "shim")

WISHBONE_RODS = ("upper_front", "upper_rear", "lower_front", "lower_rear", "tie")
STRUT_RODS = ("lower_front", "lower_rear", "tie")


def rod_names(linkage: CornerLinkage) -> tuple[str, ...]:
    """Rods of this linkage whose length an adjuster can change; an arm's legs count as two rods."""
    match linkage:
        case DoubleWishbone():
            return WISHBONE_RODS
        case Strut():
            return STRUT_RODS
        case FiveLink():
            return tuple(linkage.rods)
        case TrailingArmThreeLink():
            return ("upper", "lower")
        case FreeRods():
            return tuple(one.name for one in linkage.constraints if one.holds == "rod")
        case _:
            return ()


def point_names(linkage: CornerLinkage) -> tuple[str, ...]:
    """Points of this linkage that an adjuster can move."""
    match linkage:
        case DoubleWishbone() | Strut() | SemiTrailingArm():
            return tuple(type(linkage.points).model_fields)
        case FiveLink():
            return tuple(f"{name}_{end}" for name in linkage.rods for end in ("inner", "outer"))
        case TrailingArmThreeLink():
            return ("arm_bush", *(f"{rod}_{end}" for rod in ("upper", "lower") for end in ("inner", "outer")))
        case FreeRods():
            return tuple(name for one in linkage.constraints for name in _ends(one))
        case _:
            return ()


def _ends(constraint: object) -> tuple[str, ...]:
    match constraint:
        case PinConstraint():
            return (constraint.name,)
        case LineConstraint():
            return (f"{constraint.name}_body", f"{constraint.name}_carrier")
        case HingeConstraint() | _:
            name = getattr(constraint, "name", "")
            return (f"{name}_inner", f"{name}_outer")


def arm_names(linkage: CornerLinkage) -> tuple[str, ...]:
    """Arms that turn about an axis of their own and may carry a spring or damper."""
    match linkage:
        case DoubleWishbone():
            return ("upper_arm", "lower_arm")
        case Strut():
            return ("lower_arm",)
        case _:
            return ()


class Corner(Document):
    """One wheel and all that holds it."""

    unsprung_mass: PositiveMass
    wheel: Wheel
    tyre: Tyre
    linkage: CornerLinkage | None = None
    """None where the axle's own linkage holds both wheels."""
    rocker: Rocker | None = None
    drive_shaft: DriveShaft | None = None
    """Only on a linkage of points."""
    joint_limits: Annotated[dict[str, PositiveAngle], Field(max_length=40, default_factory=dict)]
    """Greatest angle [rad] that the maker of a ball joint or rod end allows, by the joint's name as `travel` has it.

    A rod's angle counts in every direction from where it pointed at the reference pose. A stud lets it turn
    about itself freely, so at a tie rod's outer end, which turns with the steering, this is on the safe side.
    """
    spring: Spring
    damper: Damper
    bushes: Bushes | None = None
    camber_compliance: Angle = 0.0
    """Camber [rad] that the bushes give for 1 kN more on the wheel than the file's weights put there."""
    toe_compliance: Angle = 0.0
    """Toe [rad], likewise."""
    height_point: HeightPoint
    adjusters: Annotated[dict[MemberName, Adjuster], Field(max_length=30, default_factory=dict)]

    @model_validator(mode="after")
    def _belongs_together(self) -> Corner:
        for kind in SINGLE_KINDS:
            if sum(adjuster.kind == kind for adjuster in self.adjusters.values()) > 1:
                raise ValueError(f"a corner has one adjuster of kind {kind} at the most")
        if any(adjuster.kind == "bar_link" for adjuster in self.adjusters.values()):
            raise ValueError("a bar_link belongs to the axle's bar, under bar.link")
        wrong = next(self._misfits(), None)
        if wrong is not None:
            raise ValueError(wrong)
        return self

    def _misfits(self) -> Iterator[str]:
        if isinstance(self.linkage, JackTable):
            yield from self._misfits_of_table(self.linkage)
        else:
            yield from self._misfits_of_points()
            if self.linkage is not None:
                yield from self._misfits_of_adjusters(self.linkage)

    def _misfits_of_table(self, table: JackTable) -> Iterator[str]:
        if self.wheel.centre_height is None:
            yield "with a jack table the wheel has centre_height, not centre"
        if self.spring.between or self.damper.between or self.rocker or self.spring.seat_gap is not None:
            yield "between, seat_gap and rocker belong to a linkage of points, not to a jack table"
        if self.drive_shaft is not None or self.joint_limits:
            yield "drive_shaft and joint_limits belong to a linkage of points, not to a jack table"
        if any(one.acts_on or one.along for one in self.adjusters.values()):
            yield "acts_on and along belong to a linkage of points; a jack table needs effect"
        if self.spring.around_damper:
            if not any(row.spring is not None and row.damper is not None for row in table.rows):
                yield "a spring around the damper needs one row with both spring and damper read"
        elif sum(row.spring is not None for row in table.rows) < 2:
            yield "a spring apart from the damper needs two rows with spring read"

    def _misfits_of_points(self) -> Iterator[str]:
        if self.wheel.centre is None or self.wheel.camber is None or self.wheel.toe is None:
            yield "with a linkage of points the wheel needs centre, camber and toe"
        if self.damper.between is None and not isinstance(self.linkage, Strut):
            yield "the damper needs between: its two ends"
        if self.spring.around_damper:
            if self.spring.between is not None:
                yield "a spring around the damper has no ends of its own: leave between out"
            if self.spring.seat_gap is None:
                yield "a spring around the damper needs seat_gap: damper length minus spring length"
        elif self.spring.between is None:
            yield "a spring apart from the damper needs between: its two seats"
        if any(one.effect is not None for one in self.adjusters.values()):
            yield "effect belongs to a jack table: with points the effect is computed"
        members = {"body", "carrier"} | ({"rocker"} if self.rocker else set())
        if self.linkage is not None:
            members |= set(arm_names(self.linkage))
        mounts = [*(self.spring.between or ()), *(self.damper.between or ())]
        if self.rocker is not None:
            mounts.append(self.rocker.drive)
        for mount in mounts:
            if mount.on not in members:
                yield f"there is no '{mount.on}' here to mount on; there are: {', '.join(sorted(members))}"

    def _misfits_of_adjusters(self, linkage: CornerLinkage) -> Iterator[str]:
        rods, points = rod_names(linkage), point_names(linkage)
        for name, adjuster in self.adjusters.items():
            if adjuster.kind == "rod":
                wanted, known = "a rod of the linkage", rods
            elif adjuster.kind in POINT_MOVERS:
                wanted, known = "points of the linkage", (*points, *rods)
            else:
                continue
            if not adjuster.acts_on:
                yield f"the {adjuster.kind} '{name}' needs acts_on: {wanted} ({', '.join(known) or 'none here'})"
            for target in adjuster.acts_on:
                if target not in known:
                    yield f"'{name}' acts on '{target}', which is not {wanted}: {', '.join(known) or 'none here'}"

    @property
    def table(self) -> JackTable | None:
        """The jack table, where that is what is known of the linkage."""
        return self.linkage if isinstance(self.linkage, JackTable) else None

    def adjuster_of(self, kind: str) -> Adjuster | None:
        """The adjuster of this kind (perch, body), or None."""
        return next((one for one in self.adjusters.values() if one.kind == kind), None)
