"""How the members of a linkage are drawn: pens by what they are, springs as coils, joints as circles."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from cornerwright.drawing.svg import FINE, HIDDEN, MARK, PAPER, SOFT, Drawing, Pen, Spot

MEMBERS = {
    "axle": Pen(2.2, "#a0a0a0"),
    "carrier": Pen(0.9, "#a0a0a0"),
    "arm": Pen(1.1),
    "rod": Pen(0.6),
    "shaft": Pen(1.5, "#a0a0a0"),
    "strut": Pen(1.5, SOFT),
    "rocker": Pen(1.1, SOFT),
    "guide": HIDDEN,
    "bar": Pen(0.5, SOFT, (2.0, 1.0)),
    "damper": Pen(0.9, MARK),
    "spring": Pen(0.35),
}
"""How each kind of member is drawn; springs as a coil. Wide and grey ones go under the others."""

UNDER = ("axle", "carrier")

PAST_CENTRE = 40.0
"""How far beyond the centre plane the members that cross it are drawn [mm]."""

Place = tuple[float, float, float]
Stroke = tuple[str, str, str]


def drawn_order(points: Mapping[str, Place], lines: Iterable[Stroke]) -> list[Stroke]:
    """Lines in the order in which they are drawn from behind: what is under, then the far ones first.

    Raises ValueError for lines between points that are not given.
    """
    strokes = list(lines)
    for what, first, second in strokes:
        missing = [name for name in (first, second) if name not in points]
        if missing:
            raise ValueError(f"a {what} is drawn to the point {missing[0]!r}, which is not given")

    def order(line: Stroke) -> tuple[bool, float]:
        return line[0] not in UNDER, -(points[line[1]][0] + points[line[2]][0])

    return sorted(strokes, key=order)


def joints(points: Mapping[str, Place]) -> list[Place]:
    """Places of joints and mounts: names with a dot are ends of something drawn, and no joints."""
    return [place for name, place in points.items() if "." not in name and place[1] >= -PAST_CENTRE]


def clipped(start: Place, end: Place) -> tuple[Place, Place] | None:
    """The part of a member on this side of the centre plane and a little beyond; None if there is none."""
    if start[1] < -PAST_CENTRE and end[1] < -PAST_CENTRE:
        return None
    if start[1] < -PAST_CENTRE:
        return _cut(start, end), end
    if end[1] < -PAST_CENTRE:
        return start, _cut(end, start)
    return start, end


def _cut(outside: Place, inside: Place) -> Place:
    part = (-PAST_CENTRE - outside[1]) / (inside[1] - outside[1])
    x, y, z = (a + part * (b - a) for a, b in zip(outside, inside, strict=True))
    return x, y, z


def coil(drawing: Drawing, foot: Spot, head: Spot, half: float, pen: Pen = MEMBERS["spring"]) -> None:
    """A spring between two spots as a zigzag of eight turns, `half` wide on either side."""
    across = (head[1] - foot[1], foot[0] - head[0])
    length = (across[0] ** 2 + across[1] ** 2) ** 0.5
    if length < 1e-9:
        return
    u, v = across[0] / length * half, across[1] / length * half
    turns = 16
    spots = [(foot[0] - u, foot[1] - v), (foot[0] + u, foot[1] + v)]
    for k in range(1, turns):
        part, side = k / turns, 1 if k % 2 == 0 else -1
        x, y = foot[0] + part * (head[0] - foot[0]), foot[1] + part * (head[1] - foot[1])
        spots.append((x + side * u, y + side * v))
    spots += [(head[0] + u, head[1] + v), (head[0] - u, head[1] - v)]
    drawing.polyline(spots, pen)


def member(drawing: Drawing, what: str, start: Spot, end: Spot, half: float) -> None:
    """One member between two spots; half: half the width of a coil [mm of paper]."""
    if what == "spring":
        if math.dist(start, end) > 4 * half:
            coil(drawing, start, end, half)
        else:
            # Seen along its axis.
            drawing.circle((start[0] + end[0]) / 2, (start[1] + end[1]) / 2, half, MEMBERS["spring"])
        return
    drawing.line(*start, *end, MEMBERS.get(what, FINE))
    if what == "damper":
        middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        drawing.line(*(end if start[1] < end[1] else start), *middle, Pen(2.0, MARK))


def between(start: Spot, end: Spot, first: float, second: float) -> tuple[Spot, Spot]:
    """Spots at two shares of the way from start to end."""

    def at(share: float) -> Spot:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    return at(first), at(second)


def dots(drawing: Drawing, spots: Iterable[Spot], radius: float = 0.9) -> None:
    """A circle for each joint."""
    for spot in spots:
        drawing.circle(*spot, radius, FINE, PAPER)
