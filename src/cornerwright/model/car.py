"""The car: two axles, four corners, and what is not known for sure about them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.adjuster import Adjuster, Direction, MemberName
from cornerwright.model.base import Document
from cornerwright.model.brakes import Brakes, all_or_none
from cornerwright.model.corner import Corner
from cornerwright.model.joint import Joints
from cornerwright.model.linkage import AxleLinkage
from cornerwright.model.part_facts import PartFacts
from cornerwright.model.parts import CORNERS, Bar, CornerName, Name
from cornerwright.model.shelf import Shelf
from cornerwright.model.units import (
    Length,
    NonNegativeAngle,
    NonNegativeLength,
    PositiveAngle,
    PositiveLength,
    PositiveMass,
    PositiveSpeed,
    Share,
)

AXLE_ACTS_ON = {
    "live_axle_four_link": ("lower", "upper"),
    "live_axle_panhard": ("lower",),
    "twist_beam": (),
}
"""Rods of an axle's linkage that a corner's adjuster can change: those of its own side."""

SHARED_RODS = {
    "live_axle_four_link": (),
    "live_axle_panhard": ("upper", "panhard"),
    "twist_beam": (),
}
"""Rods of an axle's linkage that belong to both sides: their adjusters stand under the axle."""


class Rack(Document):
    """A steering rack: it moves the inner ends of the tie rods along its axis."""

    along: Direction = (0.0, 1.0, 0.0)
    """Way of the rack's axis, body axes."""
    travel: PositiveLength
    """From the middle to full lock, each way [m]."""
    per_turn: PositiveLength | None = None
    """Travel for one turn of the steering wheel [m]."""


class Axle(Document):
    """Left and right corner with what joins them."""

    track: PositiveLength
    """Between the wheel centre planes at the ground, reference pose [m]."""
    bar: Bar | None = None
    linkage: AxleLinkage | None = None
    """A live axle or twist beam that holds both wheels; then the corners have no linkage of their own."""
    rack: Rack | None = None
    adjusters: Annotated[dict[MemberName, Adjuster], Field(max_length=8, default_factory=dict)]
    """Adjusters of rods that both sides share."""
    joints: Joints
    """Joints that belong to neither side: rack, subframe, bar mounts."""
    most_load: PositiveMass | None = None
    """What the car's maker lets this axle carry [kg], as on its plate; the tyres must carry half of it each."""
    left: Corner
    right: Corner

    @model_validator(mode="after")
    def _one_linkage_a_wheel(self) -> Axle:
        own = [corner.linkage is not None for corner in (self.left, self.right)]
        if self.linkage is None and not all(own):
            raise ValueError("each corner needs a linkage, or the axle needs one for both")
        if self.linkage is not None and any(own):
            raise ValueError("the axle's linkage holds both wheels: leave the corners' linkage out")
        if self.adjusters and self.linkage is None:
            raise ValueError("adjusters under the axle are for rods that both sides of its linkage share")
        for part, known in self._known_rods():
            for name, adjuster in part.items():
                if adjuster.kind in ("rod", "plate", "cam", "shim"):
                    bad = [one for one in adjuster.acts_on if one not in known]
                    if bad or not adjuster.acts_on:
                        there = ", ".join(known) or "none"
                        raise ValueError(f"'{name}' must act on a rod of the axle's linkage; here: {there}")
        return self

    def _known_rods(self) -> list[tuple[dict[str, Adjuster], tuple[str, ...]]]:
        if self.linkage is None:
            return []
        kind = self.linkage.kind
        return [
            (self.left.adjusters, AXLE_ACTS_ON[kind]),
            (self.right.adjusters, AXLE_ACTS_ON[kind]),
            (self.adjusters, SHARED_RODS[kind]),
        ]


class CarMass(Document):
    """The car as the targets mean it: driver, fuel and tools aboard as they will be."""

    total: PositiveMass
    front: Share
    """Share of the total on the front axle."""
    left: Share
    """Share of the total on the left wheels."""
    cg_height: PositiveLength
    """Centre of gravity of the whole car over the ground, reference pose [m]."""
    pitch_radius: PositiveLength | None = None
    """Radius of gyration [m] in pitch of what the springs carry, about its own centre of gravity; None: a guess."""
    roll_radius: PositiveLength | None = None
    """Likewise in roll."""

    @model_validator(mode="after")
    def _is_between_the_axles(self) -> CarMass:
        for share in (self.front, self.left):
            if not 0.05 < share < 0.95:
                raise ValueError("a share of the weight must lie between 5 % and 95 %")
        return self


class GaugeZero(Document):
    """How far each gauge may be off by the same amount wherever it is used, one standard deviation."""

    height: NonNegativeLength = 0.0005
    camber: NonNegativeAngle = 0.0005
    toe: NonNegativeAngle = 0.00017
    caster: NonNegativeAngle = 0.001
    damper_length: NonNegativeLength = 0.0005


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
    point: Length = 0.003
    """Each coordinate of each point of a linkage."""
    height_point: Length = 0.003
    camber: PositiveAngle = 0.01
    """Camber as built against camber as tabled; likewise toe and caster."""
    toe: PositiveAngle = 0.01
    caster: PositiveAngle = 0.02
    camber_compliance: NonNegativeAngle = 0.0005
    """Camber that the bushes give for 1 kN more on the wheel than the file's weights put there; likewise toe."""
    toe_compliance: NonNegativeAngle = 0.0003
    damper_force: Share = 0.1
    """Each damper against its curve, at all speeds alike."""
    tyre_damping: Share = 0.5
    gyration: Share = 0.1
    """Radii of gyration in pitch and in roll."""
    tyre_grip: Share = 0.05
    """The two tyres of an axle together; likewise their cornering stiffness and the friction of pads."""
    tyre_stiffness: Share = 0.15
    pad_friction: Share = 0.08
    gauge_zero: GaugeZero = GaugeZero()


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
    brakes: Brakes | None = None
    doubt: Doubt = Doubt()
    top_speed: PositiveSpeed | None = None
    """That the tyres must be made for [m/s]."""
    body_style: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    """Saloon, coupe, estate...: what parts are sold for."""
    year: Annotated[int, Field(ge=1885, le=2200)] | None = None
    """Of the body: what parts are sold for."""
    parts: Annotated[tuple[PartFacts, ...], Field(max_length=200)] = ()
    """Parts on the car or wanted for it, with what their makers say of them."""
    shelf: Shelf = Shelf()

    @model_validator(mode="after")
    def _body_has_weight(self) -> Car:
        unsprung = sum(corner.unsprung_mass for corner in self.corners.values())
        if unsprung > 0.6 * self.mass.total:
            raise ValueError("the four unsprung masses are more than 60 % of the total mass")
        return self

    @model_validator(mode="after")
    def _brakes_are_whole(self) -> Car:
        wrong = all_or_none(self.brakes, {name: corner.brake for name, corner in self.corners.items()})
        if wrong is not None:
            raise ValueError(wrong)
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

    def at_settings(self, travels: Mapping[str, float]) -> Car:
        """The same car with these adjusters (by full name) at these travels [m]."""

        def moved(adjusters: dict[str, Adjuster], place: str) -> dict[str, Adjuster]:
            return {
                key: one.model_copy(update={"setting": travels.get(f"{place}.{key}", one.setting)})
                for key, one in adjusters.items()
            }

        axles = {}
        for a, end in enumerate(("front", "rear")):
            axle = self.axles[a]
            sides = {}
            for side, name in zip(("left", "right"), self.axle_corners(a), strict=True):
                corner: Corner = getattr(axle, side)
                sides[side] = corner.model_copy(update={"adjusters": moved(corner.adjusters, name)})
            bar = axle.bar
            if bar is not None and bar.link is not None and f"{end}.bar_link" in travels:
                link = bar.link.model_copy(update={"setting": travels[f"{end}.bar_link"]})
                bar = bar.model_copy(update={"link": link})
            axles[end] = axle.model_copy(update={**sides, "bar": bar, "adjusters": moved(axle.adjusters, end)})
        return self.model_copy(update=axles)

    def adjusters(self) -> dict[str, Adjuster]:
        """Every adjuster by its full name: `front_left.perch`, `front.bar_link`."""
        found: dict[str, Adjuster] = {}
        for name, corner in self.corners.items():
            found.update({f"{name}.{key}": one for key, one in corner.adjusters.items()})
        for end, axle in zip(("front", "rear"), self.axles, strict=True):
            found.update({f"{end}.{key}": one for key, one in axle.adjusters.items()})
            if axle.bar is not None and axle.bar.link is not None:
                found[f"{end}.bar_link"] = axle.bar.link
        return found
