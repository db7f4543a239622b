"""Pieces of the drawings that show how to measure: car, wheel, stands, springs; dimension lines with words on them.

Not to any scale: they say from where to where, and nothing of how long it is.
"""

from __future__ import annotations

import math

from cornerwright.drawing.lettering import LEADING, wrap
from cornerwright.drawing.members import coil
from cornerwright.drawing.svg import (
    FINE,
    HEAVY,
    INK,
    MARK,
    OUTLINE,
    PAPER,
    SHADE,
    SOFT,
    Anchor,
    Drawing,
    Pen,
    Spot,
)

WIDTH = 100.0
"""Of the page [mm]: a phone shows it across."""
SIZE = 3.6
MEASURE = Pen(0.4, MARK)
"""What is to be measured."""


def page(height: float, title: str) -> Drawing:
    """A new page; the title says in words what is measured, for those who do not see it."""
    return Drawing(WIDTH, height, title)


def words(
    drawing: Drawing, x: float, y: float, text: str, anchor: Anchor = "start", room: float = 60.0, *,
    mark: bool = False, bold: bool = False,
) -> float:  # fmt: skip
    """Text whose first baseline is at y, broken to the room; returns the baseline after the last."""
    for line in wrap(text, SIZE, room):
        drawing.text(x, y, line, SIZE, anchor, bold, MARK if mark else INK)
        y += LEADING * SIZE
    return y


def across(drawing: Drawing, start: Spot, end: Spot, at: float, text: str, *, below: bool = False) -> None:
    """A dimension from left to right at the height `at`, its words over the line or under it."""
    drawing.dimension(start, end, at, False, MEASURE)
    middle = (start[0] + end[0]) / 2
    words(drawing, middle, at + (SIZE + 1.2 if below else -1.4), text, "middle", 90.0, mark=True)


def upright(drawing: Drawing, start: Spot, end: Spot, at: float, text: str, side: int = 1, room: float = 30.0) -> None:
    """A dimension up and down at x = `at`; its words to the right (1) or left (-1) of the line."""
    drawing.dimension(start, end, at, True, MEASURE)
    lines = wrap(text, SIZE, room)
    y = (start[1] + end[1]) / 2 + 0.35 * SIZE - LEADING * SIZE * (len(lines) - 1) / 2
    for line in lines:
        drawing.text(at + side * 1.6, y, line, SIZE, "start" if side > 0 else "end", colour=MARK)
        y += LEADING * SIZE


def ground(drawing: Drawing, y: float, left: float = 2.0, right: float = WIDTH - 2.0) -> None:
    """The floor."""
    drawing.line(left, y, right, y, HEAVY)


def wheel_side(drawing: Drawing, x: float, y: float, radius: float, *, flat: float = 0.0) -> None:
    """A wheel seen from the side; flat: how far the tyre is pressed in at the floor."""
    if flat <= 0:
        drawing.circle(x, y, radius, OUTLINE, PAPER)
    else:
        low = radius - flat
        half = math.sqrt(radius**2 - low**2)
        start = math.atan2(low, half)
        turns = [start - (2 * math.pi - (math.pi - 2 * start)) * k / 48 for k in range(49)]
        drawing.polygon([(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns], OUTLINE, PAPER)
    drawing.circle(x, y, 0.66 * radius, FINE, SHADE)
    drawing.circle(x, y, 0.66 * radius * 0.3, FINE, PAPER)
    cross(drawing, x, y)


def cross(drawing: Drawing, x: float, y: float, size: float = 1.6) -> None:
    """The exact place."""
    drawing.line(x - size, y, x + size, y, MEASURE)
    drawing.line(x, y - size, x, y + size, MEASURE)


def wheel_behind(drawing: Drawing, x: float, floor: float, width: float, height: float, lean: float = 0.0) -> None:
    """A wheel seen from behind, its middle at x, standing on the floor."""
    with drawing.group((x, floor), lean):
        drawing.rect(-width / 2, -height, width, height, OUTLINE, PAPER, 0.28 * width)
        drawing.rect(-width / 2 + 1.2, -0.82 * height, width - 2.4, 0.64 * height, FINE, SHADE, 0.6)


def arch(drawing: Drawing, x: float, y: float, radius: float, low: float, left: float, right: float) -> None:
    """The side of the body with an arch of this radius about (x, y), down to the sill at `low`."""
    reach = math.sqrt(max(radius**2 - (low - y) ** 2, 0.0)) if low > y else radius
    end = math.atan2(low - y, reach)
    turns = [math.pi - end + (math.pi + 2 * end) * k / 32 for k in range(33)]
    lip = [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]
    drawing.polyline([(left, low), *lip, (right, low)], OUTLINE)


def stand(drawing: Drawing, x: float, top: float, floor: float) -> None:
    """A stand under the body."""
    drawing.polygon([(x - 1.4, top), (x + 1.4, top), (x + 4.4, floor), (x - 4.4, floor)], OUTLINE, SHADE)


def jack(drawing: Drawing, x: float, top: float, floor: float) -> None:
    """A trolley jack under a hub or an arm."""
    drawing.rect(x - 7, floor - 4, 18, 3, FINE, SHADE)
    for wheel in (x - 5, x + 8):
        drawing.circle(wheel, floor - 1.2, 1.2, FINE, PAPER)
    drawing.line(x + 7, floor - 3.5, x, top + 1.5, Pen(1.2))
    drawing.rect(x - 2.4, top, 4.8, 1.5, FINE, SHADE)


def chock(drawing: Drawing, x: float, floor: float, side: int) -> None:
    """A wedge beside a tyre."""
    drawing.polygon([(x, floor), (x + side * 5, floor), (x, floor - 3.6)], FINE, SHADE)


def spring(drawing: Drawing, x: float, top: float, bottom: float, half: float, turns: int = 16) -> None:
    """A spring standing upright."""
    if turns == 16:
        coil(drawing, (x, bottom), (x, top), half, Pen(0.5))
        return
    spots = [(x - half, bottom), (x + half, bottom)]
    for k in range(1, turns):
        spots.append((x + (half if k % 2 == 0 else -half), bottom + (top - bottom) * k / turns))
    drawing.polyline([*spots, (x + half, top), (x - half, top)], Pen(0.5))


def damper(drawing: Drawing, x: float, top: float, bottom: float, rod: float, *, stop: float = 0.0) -> None:
    """A damper standing upright, eye to eye; rod: how much of its rod is out; stop: length of its bump stop."""
    drawing.line(x, top, x, top + rod + 3, Pen(1.2, SOFT))
    drawing.rect(x - 3, top + rod + 3, 6, bottom - top - rod - 6, OUTLINE, SHADE, 0.8)
    drawing.line(x, bottom - 3, x, bottom, Pen(1.6, SOFT))
    if stop > 0:
        drawing.polygon([(x - 2.6, top + 3), (x + 2.6, top + 3), (x + 1.6, top + 3 + stop), (x - 1.6, top + 3 + stop)],
                        FINE, "#a0a0a0")  # fmt: skip
    for y in (top, bottom):
        drawing.circle(x, y, 2.4, OUTLINE, PAPER)
        cross(drawing, x, y, 1.2)
