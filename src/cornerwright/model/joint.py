"""A joint: one threaded fastening, what it is screwed into, how it is tightened, what pulls at it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.adjuster import MemberName
from cornerwright.model.base import Document
from cornerwright.model.fastening import BodyName, Tightening
from cornerwright.model.parts import Name
from cornerwright.model.thread import PropertyClass, Thread, check_class
from cornerwright.model.units import Force, NonNegativeLength, PositiveAngle, PositiveLength, PositiveStress

BoltTolerance = Literal["6g", "6h", "6e", "6f", "4h", "5g", "8g", "2A", "3A"]
HoleTolerance = Literal["6H", "6G", "4H", "5H", "7H", "7G", "2B", "3B"]


class JointLoad(Document):
    """What pulls at one bolt at the worst [N]."""

    shear: Annotated[Force, Field(ge=0)] = 0.0
    """Across the bolt: what friction must hold."""
    axial: Annotated[Force, Field(ge=0)] = 0.0
    """Along the bolt, pulling the parts apart."""


class RodEnd(Document):
    """The thread of a rod end in its rod, its lock nuts, and how far it may turn."""

    adjuster: MemberName | None = None
    """The corner's adjuster that screws it in and out."""
    thread_in: PositiveLength
    """Thread in the rod with the adjuster at its `measured_at`, or as it stands [m]."""
    both_ends: bool = False
    """The rod has a left-hand thread at its other end: each end takes half of the change."""
    least_in: PositiveLength | None = None
    """The maker's least; None: 1.5 diameters, more in soft materials (common practice)."""
    lock_nuts: Literal["both", "one", "none", "not_known"] = "not_known"
    """Which are tight."""
    most_angle: PositiveAngle | None = None
    """The maker's: how far it may turn out of its middle [rad]."""
    angle: PositiveAngle | None = None
    """Measured: how far it turns at the worst, through travel and lock [rad]."""
    joint: MemberName | None = None
    """With a linkage of points: the joint's name as `travel` has it; the angle is then computed."""


class Joint(Document):
    """One threaded fastening. Lengths [m]."""

    kind: Literal["bolt", "screw", "stud", "rod_end"]
    """bolt: through, with a nut; screw: into a threaded part; stud: with a nut, its own end fixed."""
    what: Name | None = None
    thread: Thread
    property_class: PropertyClass | None = None
    tolerance: tuple[BoltTolerance, HoleTolerance] | None = None
    """Of bolt and hole; None: 6g and 6H, or 2A and 2B."""
    into: BodyName = "steel"
    """What the thread is cut into; a nut's is by its class."""
    strength: PositiveStress | None = None
    """Tensile strength of that [Pa], where it is known."""
    nut_class: Literal[8, 10, 12] | None = None
    nut: PositiveLength | None = None
    """Full thread in the nut; None: 0.8 d."""
    engagement: PositiveLength | None = None
    """Full thread of both in each other; None: by length, grip, nut and depth."""
    length: PositiveLength | None = None
    """Under the head."""
    plain: NonNegativeLength = 0.0
    """Of that, without thread."""
    grip: PositiveLength | None = None
    """Everything clamped between head and thread or nut, together."""
    depth: PositiveLength | None = None
    """Screws: full thread in the part, from its face."""
    blind: bool = True
    """Screws: the hole ends where its thread ends; false: open behind."""
    bearing: PositiveLength | None = None
    """Outer diameter of the face under head or nut; None: a hexagon's."""
    hole: PositiveLength | None = None
    """Hole in the clamped parts; None: a medium clearance hole."""
    clamped: BodyName = "steel"
    faces: Annotated[int, Field(ge=1, le=12)] = 1
    """Faces that friction holds."""
    face_friction: Annotated[float, Field(ge=0.03, le=0.6)] = 0.12
    """There, at the least."""
    slot: Literal["round", "slotted", "eccentric"] = "round"
    """Hole: round, or one in which the joint can slide when the clamp lets go."""
    bush: bool = False
    """Clamps a rubber bush: tightened at ride height only."""
    load: JointLoad | None = None
    tightening: Tightening = Tightening()
    rod_end: RodEnd | None = None

    @model_validator(mode="after")
    def _belongs_together(self) -> Joint:
        check_class(self.property_class, self.thread)
        if (self.kind == "rod_end") != (self.rod_end is not None):
            raise ValueError("a joint of kind rod_end has the group rod_end, no other has it")
        if self.length is not None and self.plain >= self.length:
            raise ValueError("plain must be shorter than length: some of it is thread")
        if self.length is not None and self.grip is not None and self.grip >= self.length:
            raise ValueError("the bolt is too short: it does not reach through what it clamps")
        if self.kind != "screw" and self.depth is not None:
            raise ValueError("depth is that of a threaded hole: kind screw")
        if self.kind in ("screw", "rod_end") and (self.nut is not None or self.nut_class is not None):
            raise ValueError("nut and nut_class belong to a bolt or stud with a nut")
        if self.tolerance is not None and (self.tolerance[0][1] == "A") != (self.thread.form == "UN"):
            raise ValueError("inch threads have classes such as 2A and 2B, metric ones such as 6g and 6H")
        return self


Joints = Annotated[dict[MemberName, Joint], Field(max_length=40, default_factory=dict)]
