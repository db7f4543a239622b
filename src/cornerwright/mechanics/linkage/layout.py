"""What a linkage is made of, by name: points, constraints, arms, rockers, links, joints, wheels.

A layout has no numbers; it is shared by all variants of a linkage. Every kind of suspension is one
rigid carrier held by constraints (see `kinds`), so this is all there is:

- `Rod`: a carrier point keeps its distance to a body point (1 equation)
- `Line`: a body point stays on a line fixed in the carrier, as a strut's top mount does (2)
- `Slider`: a carrier point stays on a line fixed in the body (2)
- `Pin`: a carrier point stays at a body point (3)
- `Hinge`: the carrier turns about an axis fixed in the body (5)
- `Guide`: the sum of some carrier points' coordinates along a body direction is kept (1)

and each wheel drives the height of its own centre (1). The sum is six, or seven with a twist.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

BODY = "body"
CARRIER = "carrier"
LEFT_HALF = "left_half"
RIGHT_HALF = "right_half"


@dataclass(frozen=True)
class Rod:
    """A rod with a joint at each end."""

    name: str
    carrier: str
    body: str


@dataclass(frozen=True)
class Line:
    """A body point on the line through two carrier points."""

    name: str
    body: str
    along: tuple[str, str]


@dataclass(frozen=True)
class Slider:
    """A carrier point on the line through two body points."""

    name: str
    carrier: str
    along: tuple[str, str]


@dataclass(frozen=True)
class Pin:
    """A carrier point held at a body point."""

    name: str
    carrier: str
    body: str


@dataclass(frozen=True)
class Hinge:
    """Two carrier points on an axis; the first is held, the second only across the axis."""

    name: str
    carrier: tuple[str, str]
    body: tuple[str, str]


@dataclass(frozen=True)
class Guide:
    """Sum over the points of the coordinate along a body direction, against their body points."""

    name: str
    carrier: tuple[str, ...]
    body: tuple[str, ...]
    direction: tuple[float, float, float]


Constraint = Rod | Line | Slider | Pin | Hinge | Guide


@dataclass(frozen=True)
class Arm:
    """A rigid arm turning about the axis through two body points, following a carrier point."""

    name: str
    axis: tuple[str, str]
    ball: str


@dataclass(frozen=True)
class Rocker:
    """A rocker turning about the axis through two body points, driven by a push or pull rod.

    rod: the rod's name; drive: its end on the carrier or an arm; eye: its end on the rocker.
    """

    name: str
    axis: tuple[str, str]
    rod: str
    drive: str
    eye: str


@dataclass(frozen=True)
class Link:
    """Something with a length between two points of any members: spring, damper, bar link, shaft."""

    name: str
    start: str
    end: str
    wheel: int = 0


@dataclass(frozen=True)
class Joint:
    """Angle between a direction fixed in one member and one fixed in another.

    A member is the body, the carrier, an arm, a rocker, or by its name a rod, a `Line` or a
    `Link`, whose direction is its own. The two directions coincide at the reference pose: that of
    the member that is a rod, line or link, else `direction` (body axes at the reference); so the
    angle is the use of the joint. With `housing` the second member's direction is given apart.
    """

    name: str
    members: tuple[str, str]
    direction: tuple[float, float, float] | None = None
    housing: tuple[float, float, float] | None = None
    wheel: int = 0


@dataclass(frozen=True)
class Wheel:
    """One wheel: its centre, the member it runs on, its side, and how its steering axis is known.

    side +1 left, -1 right. axis: (upper, lower) point; "steer" for the axis the carrier turns about
    when the rack moves at fixed lift; None when it does not steer.
    """

    name: str
    centre: str
    side: int
    member: str = CARRIER
    axis: tuple[str, str] | Literal["steer"] | None = None


@dataclass(frozen=True)
class Twist:
    """A carrier of two halves that turn against each other about an axis: a twist beam."""

    point: str
    direction: tuple[float, float, float] = (0.0, 1.0, 0.0)


@dataclass(frozen=True)
class Layout:
    """The parts of a linkage by name.

    points: (name, member) of every given point. Where a constraint or a wheel needs the same place
    on both the body and the carrier, `twins` names the second: (name, member, given point).
    """

    points: tuple[tuple[str, str], ...]
    constraints: tuple[Constraint, ...]
    wheels: tuple[Wheel, ...]
    twins: tuple[tuple[str, str, str], ...] = ()
    arms: tuple[Arm, ...] = ()
    rockers: tuple[Rocker, ...] = ()
    links: tuple[Link, ...] = ()
    joints: tuple[Joint, ...] = ()
    twist: Twist | None = None
    steered: tuple[str, ...] = ()

    @property
    def rods(self) -> tuple[str, ...]:
        """Everything whose length can be changed: rods, then the rockers' rods."""
        held = [one.name for one in self.constraints if isinstance(one, Rod)]
        return (*held, *(one.rod for one in self.rockers))

    def __post_init__(self) -> None:
        names = [name for name, _ in self.points] + [name for name, _, _ in self.twins]
        if len(set(names)) != len(names):
            twice = sorted({name for name in names if names.count(name) > 1})
            raise ValueError(f"points named twice: {', '.join(twice)}")
        members = [BODY, CARRIER, LEFT_HALF, RIGHT_HALF]
        members += [arm.name for arm in self.arms] + [rocker.name for rocker in self.rockers]
        for name, member in self.points:
            if member not in members:
                raise ValueError(f"point {name}: no member {member!r}; there are {', '.join(members)}")
        count = len(self.wheels) + sum(equations(one) for one in self.constraints)
        wanted = 6 if self.twist is None else 7
        if self.twist is not None and any(isinstance(one, Line) for one in self.constraints):
            raise ValueError("a carrier that twists cannot be held by a line fixed in it")
        if count != wanted:
            raise ValueError(
                f"the carrier needs {wanted} equations and has {count}: "
                f"{len(self.wheels)} from its wheels, {count - len(self.wheels)} from its constraints"
            )


def equations(constraint: Constraint) -> int:
    """How many equations a constraint gives."""
    match constraint:
        case Pin():
            return 3
        case Hinge():
            return 5
        case Line() | Slider():
            return 2
        case _:
            return 1
