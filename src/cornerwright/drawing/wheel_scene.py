"""A corner at a pose as solid parts in three dimensions, for a view that is turned by hand.

Places are millimetres: x forward, y from the centre plane outboard, z over the ground; whoever shows a right corner
turns y about. Only what is known is there: with a jack table wheel, spring and obstacles; with points every member
of the linkage.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cornerwright.drawing.members import PAST_CENTRE, Place, clipped, joints
from cornerwright.drawing.tyre import tyre_width
from cornerwright.model.results_pose import CornerPose, NearBy

RADII = {
    "axle": 26.0, "carrier": 13.0, "arm": 15.0, "rod": 11.0, "shaft": 14.0, "strut": 22.0, "rocker": 12.0,
    "guide": 6.0, "bar": 9.0,
}  # fmt: skip
"""How thick members are shown [mm], which no document knows: a drawing's sign, no measure."""

LOOKS = {"axle": "member", "carrier": "member", "shaft": "member", "strut": "soft", "rocker": "soft", "guide": "soft"}
"""Colour of the screen's theme by member; others in ink."""

JOINT = 13.0
HUB = 0.16
"""Radius of hub and rim's middle by the tyre's radius."""
RIM = 0.68
"""Radius of the rim by the tyre's, where the picture must guess it."""
THINNEST = 2.5
"""Least radius that is still seen [mm]; the marks of where the wheel is nearest are counted in it."""

Numbers = tuple[float, ...]


@dataclass(frozen=True)
class Part:
    """One solid.

    kind and places: `tyre`, `hub` (centre, then the axis as a direction), `tube`, `coil` (both ends), `ball` (centre),
    `plane` (its corners in order). size [mm]: tyre: radius, width, radius of the rim; hub: radius, width; tube, ball:
    radius; coil: its own radius, the wire's; plane: its thickness to either side. look: a colour of the screen's theme.
    name: what it is, in words.
    """

    kind: str
    look: str
    name: str
    size: Numbers
    places: Numbers


def wheel_axis(pose: CornerPose) -> Place:
    """Direction of the wheel's axis, outboard, by its camber and toe to the ground."""
    camber, toe = math.radians(pose.camber_deg), math.radians(pose.toe_deg)
    return math.sin(toe) * math.cos(camber), math.cos(toe) * math.cos(camber), -math.sin(camber)


def wheel_scene(pose: CornerPose) -> tuple[Part, ...]:
    """Everything that is shown, always in the same order for one corner."""
    return (*_wheel(pose), *_members(pose), *_obstacles(pose), *_nearest(pose))


def _wheel(pose: CornerPose) -> list[Part]:
    radius, wide = pose.tyre_radius_mm, tyre_width(pose)
    place = (pose.wheel_x_mm, pose.wheel_y_mm, pose.wheel_z_mm, *wheel_axis(pose))
    words = "tyre" if pose.tyre_width_mm is not None else "tyre, its width a guess"
    return [
        Part("tyre", "soft", words, (radius, wide, RIM * radius), place),
        Part("hub", "member", "hub", (HUB * radius, 0.5 * wide), place),
    ]


def _members(pose: CornerPose) -> list[Part]:
    found = []
    if not pose.points:
        # The spring's length is known, its place is a guess: beside the wheel, as in the drawing from behind.
        y, z = pose.wheel_y_mm - 1.1 * tyre_width(pose), pose.wheel_z_mm
        foot, head = (pose.wheel_x_mm, y, z), (pose.wheel_x_mm, y, z + pose.spring_mm)
        found.append(Part("tube", "member", "to the wheel, a guess", (5.0,), _both(_centre(pose), foot)))
        found.append(Part("coil", "ink", "spring, its place a guess", (48.0, 5.0), _both(foot, head)))
        return found
    for what, first, second in sorted(pose.lines):
        ends = clipped(pose.points[first], pose.points[second])
        if ends is None:
            continue
        if what == "spring":
            found.append(Part("coil", "ink", "spring", (42.0, 5.0), _both(*ends)))
        elif what == "damper":
            low, high = sorted(ends, key=lambda place: place[2])
            middle = _between(low, high, 0.55)
            found.append(Part("tube", "mark", "damper, its body", (23.0,), _both(low, middle)))
            found.append(Part("tube", "mark", "damper, its rod", (8.0,), _both(middle, high)))
            found += _around_damper(pose, low, high)
        else:
            found.append(Part("tube", LOOKS.get(what, "ink"), what, (RADII.get(what, 9.0),), _both(*ends)))
    found += [Part("ball", "ink", "joint", (JOINT,), place) for place in joints(dict(sorted(pose.points.items())))]
    return found


def _around_damper(pose: CornerPose, low: Place, high: Place) -> list[Part]:
    """A spring without ends of its own stands around the damper: its length is known, its place a guess, at the top."""
    if any(line[0] == "spring" for line in pose.lines):
        return []
    share = 1.0 - min(1.0, pose.spring_mm / max(math.dist(low, high), 1e-6))
    return [Part("coil", "ink", "spring around the damper", (40.0, 5.0), _both(_between(low, high, share), high))]


def _obstacles(pose: CornerPose) -> list[Part]:
    found = []
    for one in sorted(pose.near, key=lambda near: near.obstacle):
        look = "member" if one.on == "carrier" else "stale"
        found += _obstacle(one, look, one.obstacle.replace("_", " "))
    return found


def _obstacle(one: NearBy, look: str, name: str) -> list[Part]:
    thick = max(one.radius_mm, THINNEST)
    if one.form == "point":
        return [Part("ball", look, name, (thick,), one.points_mm[0])]
    if one.form == "patch":
        return [Part("plane", look, name, (one.radius_mm,), tuple(part for place in one.points_mm for part in place))]
    pairs = zip(one.points_mm, one.points_mm[1:], strict=False)
    return [Part("tube", look, name, (thick,), _both(*pair)) for pair in pairs]


def _nearest(pose: CornerPose) -> list[Part]:
    if not pose.near:
        return []
    one = pose.near[0]
    close = one.clearance_mm < (pose.gap_mm or 0.0)
    look = "out" if close else "mark"
    ends = one.at_mm, one.wheel_mm
    return [
        Part("ball", look, "where it is nearest", (4 * THINNEST,), one.at_mm),
        Part("tube", look, "least clearance", (THINNEST,), _both(*ends)),
        Part("ball", look, "where it is nearest, on the wheel", (4 * THINNEST,), one.wheel_mm),
    ]


def _centre(pose: CornerPose) -> Place:
    return pose.wheel_x_mm, pose.wheel_y_mm, pose.wheel_z_mm


def _both(start: Place, end: Place) -> Numbers:
    return (*start, *end)


def _between(start: Place, end: Place, share: float) -> Place:
    x, y, z = (a + share * (b - a) for a, b in zip(start, end, strict=True))
    return x, y, z


def reach(rest: CornerPose) -> tuple[Place, float]:
    """The middle [mm] of what is shown of a corner at rest, and a radius [mm] about it that holds all of it."""
    centre, radius = _centre(rest), rest.tyre_radius_mm
    spots = [place for place in rest.points.values() if place[1] >= -PAST_CENTRE]
    spots += [tuple(c + s * radius for c, s in zip(centre, way, strict=True)) for way in ((1, 0, 1), (-1, 0, -1))]  # type: ignore[misc]
    low = [min(place[k] for place in spots) for k in range(3)]
    high = [max(place[k] for place in spots) for k in range(3)]
    x, y, z = ((a + b) / 2 for a, b in zip(low, high, strict=True))
    return (x, y, z), math.dist(low, high) / 2


def said(pose: CornerPose) -> str:
    """The view in words, for those who do not see it."""
    members = sorted({line[0] for line in pose.lines}) or ["spring beside the wheel, its place a guess"]
    around = f", with {len(pose.near)} things measured around it" if pose.near else ""
    return f"{pose.corner.replace('_', ' ')} in three dimensions: wheel and tyre, {', '.join(members)}{around}"
