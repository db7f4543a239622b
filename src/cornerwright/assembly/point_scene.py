"""The members of a linkage of points as lines between its points, for drawings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.point_travel import Side
from cornerwright.mechanics.linkage import (
    BODY,
    CARRIER,
    LEFT_HALF,
    RIGHT_HALF,
    Guide,
    Hinge,
    Line,
    Pin,
    Pose,
    Rod,
    Slider,
    places,
    solve,
)

Array = NDArray[np.float64]
Stroke = tuple[str, str, str]
"""What is drawn, and the two points it is drawn between."""

HELD = frozenset({CARRIER, LEFT_HALF, RIGHT_HALF})
"""Members that a wheel runs on."""

TOUCHING = 2e-3
"""Distance [m] up to which a mount is drawn as standing on its arm."""


@dataclass
class Picture:
    """Points (3,) [m], body axes, of one corner by name, and the lines between them.

    A name with a dot is no joint but an end of something drawn: where a bracket meets the axle, say.
    """

    points: dict[str, Array] = field(default_factory=dict)
    lines: list[Stroke] = field(default_factory=list)


def pictures(side: Side, lift: Array, other: Array, rack: Array | None = None) -> list[Picture]:
    """This corner at each of these lifts (k,) [m] of its own and the other wheel.

    rack (k,) [m]: travel of the rack; None: in the middle.

    For the first variant. Raises ValueError for a lift that cannot be reached.
    """
    mechanism = side.mechanism.take(np.zeros(1, dtype=np.intp)) if side.mechanism.variants > 1 else side.mechanism
    lifts = lift[:, None]
    if side.tied:
        lifts = np.stack((lift, other) if side.wheel == 0 else (other, lift), axis=1)
    steer = rack if rack is not None and mechanism.steers else 0.0
    pose: Pose = solve(mechanism, lifts, steer, side.motion.travel[:1])
    if not pose.closed.all():
        raise ValueError("a drawing was asked for at a lift that the linkage does not reach")
    at = places(mechanism, pose)
    names = mechanism.structure.names
    return [_Sketch(side, dict(zip(names, each, strict=True))).picture for each in at]


class _Sketch:
    """One corner at one pose."""

    def __init__(self, side: Side, at: Mapping[str, Array]) -> None:
        self.side = side
        self.at = at
        self.layout = side.mechanism.layout
        self.members = dict(self.layout.points)
        self.picture = Picture()
        self.rigid = side.tied and self.layout.twist is None
        self.wheel = self._point(self.layout.wheels[side.wheel].centre)
        if self.rigid:
            middle = (at["left_wheel"] + at["right_wheel"]) / 2
            self._line("axle", self.wheel, self._extra("axle.middle", middle))
        for stroke in self._constraints():
            self._line(*stroke)
        self._rockers()
        self._links()

    def _ours(self, name: str) -> bool:
        """Whether a point belongs to this corner, or to both."""
        return not (self.side.tied and name.startswith(("right_", "left_")[self.side.wheel]))

    def _point(self, name: str) -> str:
        """Take a point into the picture; returns the name it has there."""
        short = name.removeprefix(self.side.prefix)
        self.picture.points[short] = self.at[name]
        return short

    def _extra(self, name: str, place: Array) -> str:
        self.picture.points[name] = place
        return name

    def _line(self, what: str, start: str, end: str) -> None:
        if (what, start, end) not in self.picture.lines:
            self.picture.lines.append((what, start, end))

    def _constraints(self) -> Iterator[Stroke]:
        legs = {(end, arm.ball) for arm in self.layout.arms for end in arm.axis}
        for one in self.layout.constraints:
            match one:
                case Rod() if self._ours(one.body):
                    what = "arm" if (one.body, one.carrier) in legs else "rod"
                    yield what, self._point(one.body), self._point(one.carrier)
                    yield from self._to_hub(one.carrier)
                case Line():
                    lower, upper = one.along[0], one.body
                    if not any({link.start, link.end} == {lower, upper} for link in self.layout.links):
                        yield "strut", self._point(lower), self._point(upper)
                    yield from self._to_hub(lower)
                case Slider():
                    ends = [self._extra(f"{name.removesuffix('.body')}.held", self.at[name]) for name in one.along]
                    yield "guide", ends[0], ends[1]
                    yield from self._to_hub(one.carrier)
                case Pin():
                    yield "arm", self._point(one.carrier), self.wheel
                case Hinge():
                    yield "arm", self._point(one.carrier[0]), self._point(one.carrier[1])
                    for name in one.carrier:
                        yield "arm", self._point(name), self.wheel
                case Guide() if len(one.carrier) == 1 and self._ours(one.carrier[0]):
                    yield from self._half(one.carrier[0])
                case _:
                    pass

    def _half(self, pivot: str) -> Iterator[Stroke]:
        """The arm of a twist beam and its half of the beam, which meets the arm as far back as it lies."""
        start, end, beam = self.at[pivot], self.picture.points[self.wheel], self.at["beam_centre"]
        along, over = (end - start)[[0, 2]], (beam - start)[[0, 2]]
        meets = start + (over @ along) / (along @ along) * (end - start)
        yield "arm", self._point(pivot), self.wheel
        yield "axle", self._extra("beam.middle", beam), self._extra("beam.end", meets)

    def _to_hub(self, name: str) -> Iterator[Stroke]:
        """From a joint of the carrier to the wheel, or to the nearest place on a rigid axle."""
        short = self._point(name)
        if self.rigid:
            left, right = self.at["left_wheel"], self.at["right_wheel"]
            yield "carrier", short, self._extra(f"{short}.axle", _foot(self.at[name], left, right))
        else:
            yield "carrier", short, self.wheel

    def _bracket(self, name: str) -> None:
        """What holds the mount of a spring, damper or push rod to its member."""
        member = self.members[name]
        arm = next((one for one in self.layout.arms if one.name == member), None)
        if arm is not None:
            middle = (self.at[arm.axis[0]] + self.at[arm.axis[1]]) / 2
            foot = _foot(self.at[name], middle, self.at[arm.ball])
            if float(np.linalg.norm(foot - self.at[name])) > TOUCHING:
                short = self._point(name)
                self._line("arm", short, self._extra(f"{short}.arm", foot))
        elif member in HELD and self.layout.twist is not None:
            pivot = self.at[f"{self.side.prefix}pivot"]
            foot = _foot(self.at[name], pivot, self.picture.points[self.wheel])
            short = self._point(name)
            self._line("carrier", short, self._extra(f"{short}.arm", foot))
        elif member in HELD:
            for stroke in self._to_hub(name):
                self._line(*stroke)

    def _rockers(self) -> None:
        for one in self.layout.rockers:
            if not self._ours(one.name):
                continue
            first, second = (self.at[name] for name in one.axis)
            pivot = self._extra("rocker.pivot", _foot(self.at[one.eye], first, second))
            self._line("guide", self._point(one.axis[0]), self._point(one.axis[1]))
            self._line("rod", self._point(one.eye), self._point(one.drive))
            self._line("rocker", pivot, self._point(one.eye))
            self._bracket(one.drive)
            for name, member in self.members.items():
                if member == one.name and name != one.eye:
                    self._line("rocker", pivot, self._point(name))
                    self._line("rocker", self._point(one.eye), self._point(name))

    def _links(self) -> None:
        for link in self.layout.links:
            if link.wheel != self.side.wheel:
                continue
            for name in (link.start, link.end):
                if self.members.get(name, BODY) != BODY:
                    self._bracket(name)
            what = link.name if link.name in ("damper", "spring") else "shaft"
            self._line(what, self._point(link.start), self._point(link.end))


def _foot(point: Array, start: Array, end: Array) -> Array:
    """The place on the line through start and end that is nearest to the point."""
    along = end - start
    return np.asarray(start + (point - start) @ along / (along @ along) * along)
