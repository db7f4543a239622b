"""What a tyre and wheel may not touch: measured points, edges and plane patches, and how far the wheel steers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated

from pydantic import Field, model_validator

from cornerwright.model.adjuster import MemberName
from cornerwright.model.base import Document, Point
from cornerwright.model.units import NonNegativeLength, PositiveAngle, PositiveLength

Triple = Sequence[float]

TINY = 1e-8
"""Twice the area [m2] below which a patch is none."""

FLAT = 2e-3
"""How far [m] a patch's corners may lie off one plane."""


class Obstacle(Document):
    """One thing that the tyre or wheel may not touch, at the reference pose, body axes."""

    on: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,40}$")] = "body"
    """What it moves with: `body`, `carrier` (upright, hub, strut tube), `upper_arm`, `lower_arm`."""
    at: Point | None = None
    """A point."""
    edge: Annotated[tuple[Point, ...], Field(min_length=2, max_length=60)] | None = None
    """An edge: straight from point to point."""
    patch: Annotated[tuple[Point, ...], Field(min_length=3, max_length=12)] | None = None
    """A plane patch: its corners in order."""
    radius: NonNegativeLength = 0.0
    """Thickness around it [m]: of a tube about its middle line, a bolt's head about its middle."""
    inside: bool = False
    """True: it lies within the wheel (caliper, ball joint) and is held against spokes and barrel."""
    doubt: PositiveLength | None = None
    """Standard deviation of its place [m]; None: that of the points of linkages."""

    @model_validator(mode="after")
    def _is_one_thing(self) -> Obstacle:
        if sum(one is not None for one in (self.at, self.edge, self.patch)) != 1:
            raise ValueError("give one of at (a point), edge (points along it) or patch (corners)")
        if self.patch is not None:
            _check_patch(self.patch)
        return self

    @property
    def points(self) -> tuple[Point, ...]:
        """Its point or points."""
        if self.at is not None:
            return (self.at,)
        return self.edge or self.patch or ()


def _check_patch(corners: tuple[Point, ...]) -> None:
    """Raises ValueError unless the corners lie in one plane, in order around a shape without dents."""
    area = _total(_cross(before, after) for before, after in _around(corners))
    size = math.hypot(*area)
    if size < TINY:
        raise ValueError("the patch's corners lie on one line: write an edge")
    normal = tuple(part / size for part in area)
    middle = [sum(part) / len(corners) for part in zip(*corners, strict=True)]
    if max(abs(_dot(_minus(corner, middle), normal)) for corner in corners) > FLAT:
        raise ValueError("the patch's corners lie off one plane by more than 2 mm: split it into triangles")
    sides = [_minus(after, before) for before, after in _around(corners)]
    turns = [math.atan2(_dot(_cross(before, after), normal), _dot(before, after)) for before, after in _around(sides)]
    if min(turns) < -1e-3 or abs(sum(turns) - 2 * math.pi) > 0.5:
        raise ValueError("the patch's corners must go around a shape without dents: split it")


def _around(items: Sequence[Triple]) -> Iterator[tuple[Triple, Triple]]:
    """Each with its next one, the last with the first."""
    return zip(items, [*items[1:], items[0]], strict=True)


def _minus(a: Triple, b: Triple) -> Triple:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _dot(a: Triple, b: Triple) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Triple, b: Triple) -> Triple:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _total(vectors: Iterable[Triple]) -> Triple:
    x, y, z = (math.fsum(part) for part in zip(*vectors, strict=True))
    return x, y, z


class Lock(Document):
    """How far this wheel steers, where the linkage is known by a jack table: about this axis, by these angles."""

    steering_axis: Annotated[tuple[Point, ...], Field(min_length=2, max_length=2)]
    """Two points of the steering axis, lower one first, at the reference pose."""
    inward: PositiveAngle
    """Wheel's front towards the car's middle, at full lock [rad]."""
    outward: PositiveAngle

    @model_validator(mode="after")
    def _stands_up(self) -> Lock:
        lower, upper = self.steering_axis
        if upper.z <= lower.z:
            raise ValueError("the steering axis needs its lower point first, its upper one above it")
        return self


class Room(Document):
    """The room around one wheel."""

    obstacles: Annotated[dict[MemberName, Obstacle], Field(min_length=1, max_length=200)]
    lip: MemberName | None = None
    """The obstacle that is the arch's lip, from which the tyre's outer face is measured."""
    gap: NonNegativeLength = 5e-3
    """Least clearance wanted [m]; common practice 5 to 10 mm, no source."""
    lock: Lock | None = None
    """With a jack table on a wheel that steers."""

    @model_validator(mode="after")
    def _knows_its_lip(self) -> Room:
        if self.lip is not None and self.lip not in self.obstacles:
            there = ", ".join(self.obstacles)
            raise ValueError(f"lip names '{self.lip}', which is no obstacle here; there are: {there}")
        if self.lip is not None and self.obstacles[self.lip].on != "body":
            raise ValueError("the lip is an obstacle on the body")
        return self
