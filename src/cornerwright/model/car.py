"""The car: two axles, four corners, and what is not known for sure about them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.adjuster import Adjuster
from cornerwright.model.base import Document
from cornerwright.model.linkage import JackTable
from cornerwright.model.parts import (
    CORNERS,
    Bar,
    Bushes,
    CornerName,
    Damper,
    HeightPoint,
    Name,
    Spring,
    Tyre,
    Wheel,
)
from cornerwright.model.units import Length, PositiveAngle, PositiveLength, PositiveMass, Share

AdjusterName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,40}$")]

DAMPER_KINDS = ("perch", "body")


class Corner(Document):
    """One wheel and all that holds it."""

    unsprung_mass: PositiveMass
    wheel: Wheel
    tyre: Tyre
    linkage: JackTable
    spring: Spring
    damper: Damper
    bushes: Bushes | None = None
    height_point: HeightPoint
    adjusters: Annotated[dict[AdjusterName, Adjuster], Field(max_length=30, default_factory=dict)]

    @model_validator(mode="after")
    def _belongs_together(self) -> Corner:
        for kind in DAMPER_KINDS:
            if sum(adjuster.kind == kind for adjuster in self.adjusters.values()) > 1:
                raise ValueError(f"a corner has one adjuster of kind {kind} at the most")
        if any(adjuster.kind == "bar_link" for adjuster in self.adjusters.values()):
            raise ValueError("a bar_link belongs to the axle's bar, under bar.link")
        rows = self.linkage.rows
        if self.spring.around_damper:
            if not any(row.spring is not None and row.damper is not None for row in rows):
                raise ValueError("a spring around the damper needs one row with both spring and damper read")
        elif sum(row.spring is not None for row in rows) < 2:
            raise ValueError("a spring apart from the damper needs two rows with spring read")
        return self

    def adjuster_of(self, kind: str) -> Adjuster | None:
        """The adjuster of this kind (perch, body), or None."""
        return next((one for one in self.adjusters.values() if one.kind == kind), None)


class Axle(Document):
    """Left and right corner with what joins them."""

    track: PositiveLength
    """Between the wheel centre planes at the ground, reference pose [m]."""
    bar: Bar | None = None
    left: Corner
    right: Corner


class CarMass(Document):
    """The car as the targets mean it: driver, fuel and tools aboard as they will be."""

    total: PositiveMass
    front: Share
    """Share of the total on the front axle."""
    left: Share
    """Share of the total on the left wheels."""
    cg_height: PositiveLength
    """Centre of gravity of the whole car over the ground, reference pose [m]."""

    @model_validator(mode="after")
    def _is_between_the_axles(self) -> CarMass:
        for share in (self.front, self.left):
            if not 0.05 < share < 0.95:
                raise ValueError("a share of the weight must lie between 5 % and 95 %")
        return self


class Doubt(Document):
    """How far the file may be from the car, one standard deviation each. Defaults: common practice.

    Shares are relative (0.05: 5 %); lengths [m].
    """

    spring_rate: Share = 0.05
    free_length: Length = 0.003
    tyre_rate: Share = 0.1
    bar_rate: Share = 0.1
    effect: Share = 0.1
    """What a unit of an adjuster does, where it was found by turning it and reading."""
    total_mass: Share = 0.02
    weight_share: Share = 0.01
    """Front and left share, absolute."""
    cg_height: Length = 0.03
    height_point: Length = 0.003
    camber: PositiveAngle = 0.01
    """Camber as built against camber as tabled; likewise toe and caster."""
    toe: PositiveAngle = 0.01
    caster: PositiveAngle = 0.02


class Car(Document):
    """What the car is."""

    format: Literal["cornerwright car 1"]
    name: Name
    invented: bool = False
    note: Annotated[str, Field(max_length=4000)] | None = None
    wheelbase: PositiveLength
    mass: CarMass
    front: Axle
    rear: Axle
    doubt: Doubt = Doubt()

    @model_validator(mode="after")
    def _body_has_weight(self) -> Car:
        unsprung = sum(corner.unsprung_mass for corner in self.corners.values())
        if unsprung > 0.6 * self.mass.total:
            raise ValueError("the four unsprung masses are more than 60 % of the total mass")
        return self

    @property
    def corners(self) -> dict[CornerName, Corner]:
        """The four corners by name, front left first."""
        both = (self.front.left, self.front.right, self.rear.left, self.rear.right)
        return dict(zip(CORNERS, both, strict=True))

    @property
    def axles(self) -> tuple[Axle, Axle]:
        """Front, rear."""
        return (self.front, self.rear)

    def axle_corners(self, axle: int) -> tuple[CornerName, CornerName]:
        """Names of the left and right corner of axle 0 (front) or 1 (rear)."""
        return (CORNERS[2 * axle], CORNERS[2 * axle + 1])

    def adjusters(self) -> dict[str, Adjuster]:
        """Every adjuster by its full name: `front_left.perch`, `front.bar_link`."""
        found: dict[str, Adjuster] = {}
        for name, corner in self.corners.items():
            found.update({f"{name}.{key}": one for key, one in corner.adjusters.items()})
        for end, axle in zip(("front", "rear"), self.axles, strict=True):
            if axle.bar is not None and axle.bar.link is not None:
                found[f"{end}.bar_link"] = axle.bar.link
        return found
