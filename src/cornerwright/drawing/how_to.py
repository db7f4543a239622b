"""How to measure a car, drawn: from where to where, with words on the dimension lines."""

from __future__ import annotations

from collections.abc import Callable

from cornerwright.drawing.how_to_adjusters import ADJUSTERS
from cornerwright.drawing.how_to_axle import AXLE
from cornerwright.drawing.how_to_parts import (
    MEASURE,
    across,
    arch,
    cross,
    ground,
    page,
    upright,
    wheel_behind,
    wheel_side,
    words,
)
from cornerwright.drawing.svg import (
    CENTRE,
    FINE,
    HIDDEN,
    INK,
    OUTLINE,
    PAPER,
    SHADE,
    Drawing,
    Pen,
)


def from_above() -> Drawing:
    """The car from above: front, left, right, and the order of the corners."""
    d = page(62.0, "The car from above: left is the driver's left, looking forward")
    _plan(d, 50.0, 8.0, 54.0)
    d.arrow((50.0, 15.0), (50.0, 9.5), MEASURE)
    words(d, 50.0, 6.0, "front", "middle", bold=True)
    words(d, 50.0, 59.5, "rear", "middle", bold=True)
    for x, anchor, side in ((27.0, "end", "left"), (73.0, "start", "right")):
        words(d, x, 21.0, f"front {side}", anchor)  # type: ignore[arg-type]
        words(d, x, 46.5, f"rear {side}", anchor)  # type: ignore[arg-type]
    d.circle(43.5, 32.0, 3.0, MEASURE, PAPER)
    words(d, 27.0, 32.0, "driver's", "end", mark=True)
    words(d, 27.0, 36.6, "weight", "end", mark=True)
    d.line(27.8, 32.2, 40.5, 32.0, MEASURE)
    return d


def _plan(d: Drawing, x: float, top: float, bottom: float) -> None:
    """A car from above."""
    half = 17.0
    for y in (top + 7, bottom - 15):
        for side in (-1, 1):
            d.rect(x + side * half - 2.5, y, 5.0, 10.0, OUTLINE, SHADE, 1.4)
    d.path(
        [("M", x - half + 2, top + 6), ("Q", x, top - 5, x + half - 2, top + 6), ("L", x + half - 1, bottom - 4),
         ("Q", x, bottom + 3, x - half + 1, bottom - 4), ("Z",)], OUTLINE, PAPER,
    )  # fmt: skip
    d.path([("M", x - 12, top + 19), ("Q", x, top + 15, x + 12, top + 19), ("L", x + 11, top + 23),
            ("Q", x, top + 20, x - 11, top + 23), ("Z",)], FINE, SHADE)  # fmt: skip
    d.path([("M", x - 11, bottom - 8), ("Q", x, bottom - 6, x + 11, bottom - 8), ("L", x + 10, bottom - 12),
            ("Q", x, bottom - 11, x - 10, bottom - 12), ("Z",)], FINE, SHADE)  # fmt: skip


def _side(d: Drawing, floor: float, x1: float = 26.0, x2: float = 72.0, radius: float = 8.0) -> float:
    """A car from the side, front to the left; returns the height of its hubs on the page."""
    hub = floor - radius + 0.6
    top = floor - 28.0
    d.polyline(
        [(x1 - 14, floor - 6), (x1 - 15, floor - 15), (x1 + 6, floor - 18), (x1 + 16, top), (x2 - 12, top),
         (x2 + 2, floor - 18), (x2 + 14, floor - 16), (x2 + 14, floor - 6)], OUTLINE,
    )  # fmt: skip
    for x in (x1, x2):
        wheel_side(d, x, hub, radius, flat=0.6)
    for left, right in ((x1 - 14, x1 - 10), (x1 + 10, x2 - 10), (x2 + 10, x2 + 14)):
        d.line(left, floor - 5.5, right, floor - 5.5, OUTLINE)
    ground(d, floor)
    return hub


def wheelbase() -> Drawing:
    """From plumb mark to plumb mark along the floor."""
    d = page(56.0, "Wheelbase: along the floor, from under the middle of the front hub to under that of the rear hub")
    floor = 36.0
    hub = _side(d, floor)
    for x in (26.0, 72.0):
        d.line(x, hub, x, floor + 8.5, CENTRE)
    across(d, (26.0, floor), (72.0, floor), floor + 7.0, "wheelbase, along the floor", below=True)
    words(d, 2.0, 5.0, "plumb line from each hub", room=44.0)
    d.line(14.0, 11.5, 25.3, hub - 1.0, Pen(0.18, INK))
    return d


def track() -> Drawing:
    """From tyre middle to tyre middle at the floor."""
    d = page(52.0, "Track: at the floor, from the middle of one tyre to the middle of the other")
    floor = 36.0
    d.rect(28.0, 8.0, 44.0, 18.0, OUTLINE, PAPER, 6.0)
    d.rect(33.0, 10.0, 34.0, 6.0, FINE, SHADE, 2.0)
    for x in (24.0, 76.0):
        wheel_behind(d, x, floor, 10.0, 20.0)
        for side in (-1, 1):
            edge = x + side * 5.2
            d.polyline([(edge, floor - 8), (edge, floor), (edge + side * 6, floor)], Pen(0.8, "#a0a0a0"))
        d.line(x, floor - 22, x, floor + 8.5, CENTRE)
    ground(d, floor)
    across(d, (24.0, floor), (76.0, floor), floor + 7.0, "track, middle to middle", below=True)
    words(d, 2.0, 5.0, "square against the tyre's wall", room=96.0)
    d.line(12.0, 6.6, 18.6, floor - 8.0, Pen(0.18, INK))
    return d


def wheel() -> Drawing:
    """Hub to the floor standing; free radius off the ground."""
    d = page(60.0, "Hub to the floor with the car standing; half the tyre's diameter with the wheel in the air")
    floor = 50.0
    wheel_side(d, 26.0, floor - 15.6, 17.0, flat=1.4)
    ground(d, floor, 2.0, 48.0)
    upright(d, (26.0, floor - 15.6), (26.0, floor), 46.0, "", 1)
    words(d, 2.0, 5.0, "standing", bold=True)
    words(d, 2.0, 9.6, "hub to the floor", mark=True)
    d.line(32.0, 11.0, 45.6, floor - 9.0, MEASURE)
    wheel_side(d, 74.0, floor - 20.0, 17.0)
    ground(d, floor, 54.0, 98.0)
    upright(d, (74.0, floor - 37.0), (74.0, floor - 3.0), 95.0, "", 1)
    words(d, 98.0, 5.0, "in the air", "end", bold=True)
    words(d, 98.0, 9.6, "tread to tread, half of it", "end", mark=True)
    words(d, 2.0, 57.0, "the tyre is pressed in by the car", room=96.0)
    return d


def weights() -> Drawing:
    """Four scales under the wheels, level with the floor."""
    d = page(62.0, "A scale under each wheel, all four level, read at once, with the driver's weight in the seat")
    _plan(d, 50.0, 8.0, 54.0)
    for x in (33.0, 67.0):
        for y, end in ((20.0, "front"), (44.0, "rear")):
            d.rect(x - 5.0, y - 7.0, 10.0, 14.0, Pen(0.5), None)
            side = -1 if x < 50 else 1
            d.line(x + side * 5.0, y, x + side * 6.6, y, MEASURE)
            anchor = "end" if side < 0 else "start"
            words(d, x + side * 7.4, y - 1.0, "scale", anchor, mark=True)  # type: ignore[arg-type]
            words(d, x + side * 7.4, y + 4.0, f"{end} {'left' if side < 0 else 'right'}", anchor)  # type: ignore[arg-type]
    words(d, 50.0, 4.6, "front", "middle", bold=True)
    d.circle(43.5, 31.5, 3.0, MEASURE, PAPER)
    words(d, 50.0, 60.0, "all level, all read at once", "middle")
    return d


def unsprung() -> Drawing:
    """A scale under one wheel, the spring off."""
    d = page(58.0, "A bathroom scale under the tyre, spring off, damper's foot undone, body on stands")
    floor = 52.0
    d.line(2.0, 16.0, 60.0, 16.0, Pen(1.4))
    d.line(60.0, 16.0, 60.0, 24.0, Pen(1.4))
    d.line(20.0, 32.0, 62.0, 35.0, Pen(1.6))
    d.circle(20.0, 32.0, 1.4, FINE, PAPER)
    wheel_behind(d, 70.0, floor - 4.0, 13.0, 27.0)
    d.rect(59.0, floor - 4.0, 22.0, 4.0, OUTLINE, SHADE, 1.0)
    d.circle(63.0, floor - 2.0, 1.0, MEASURE, PAPER)
    d.polygon([(8.0, 16.5), (11.0, 16.5), (14.0, floor), (5.0, floor)], OUTLINE, SHADE)
    ground(d, floor)
    words(d, 98.0, floor - 12.0, "scale", "end", mark=True)
    d.line(92.0, floor - 10.5, 81.4, floor - 2.5, MEASURE)
    words(d, 2.0, 5.0, "spring off, damper and bar undone", room=96.0)
    words(d, 2.0, 10.0, "body on stands", room=60.0)
    d.line(46.0, 32.0, 52.0, 17.0, HIDDEN)
    return d


def heights() -> Drawing:
    """Lip of the arch to the floor, or to the hub."""
    d = page(62.0, "Height: from the lip of the arch straight above the hub down to the floor, or down to the hub")
    floor = 54.0
    hub = floor - 15.6
    wheel_side(d, 50.0, hub, 17.0, flat=1.4)
    arch(d, 50.0, hub + 2.0, 22.0, floor - 9.0, 10.0, 90.0)
    d.polyline([(10.0, floor - 9.0), (10.0, 10.0), (90.0, 10.0), (90.0, floor - 9.0)], FINE)
    ground(d, floor)
    lip = hub - 20.0
    d.line(50.0, lip, 50.0, floor, CENTRE)
    cross(d, 50.0, lip)
    upright(d, (50.0, lip), (50.0, floor), 80.0, "", 1)
    upright(d, (50.0, lip), (50.0, hub), 26.0, "", -1)
    words(d, 98.0, 5.0, "lip to the floor", "end", mark=True)
    d.line(84.0, 6.6, 80.3, 20.0, MEASURE)
    words(d, 2.0, 5.0, "or: lip to the hub", mark=True)
    d.line(17.0, 6.6, 25.6, 22.0, MEASURE)
    words(d, 50.0, 60.5, "car on its wheels, rolled and bounced", "middle", 96.0)
    return d


def wanted() -> Drawing:
    """What the wanted values mean."""
    d = page(60.0, "Height is from lip to floor; camber minus leans the top in; toe plus points the front in")
    floor = 42.0
    wheel_behind(d, 20.0, floor, 9.0, 22.0, 7.0)
    d.line(20.0, floor - 27.0, 20.0, floor, CENTRE)
    d.line(20.0, floor, 24.0, floor - 30.0, MEASURE)
    words(d, 20.0, 5.0, "camber", "middle", mark=True)
    words(d, 20.0, 47.5, "top in is", "middle")
    words(d, 20.0, 52.0, "minus", "middle")
    ground(d, floor, 4.0, 34.0)
    words(d, 20.5, 57.6, "left, from behind", "middle")
    with d.group((57.0, 26.0), 8.0):
        d.rect(-4.0, -11.0, 8.0, 22.0, OUTLINE, SHADE, 2.0)
        d.line(0.0, -16.0, 0.0, 13.0, MEASURE)
    d.line(57.0, 10.0, 57.0, 42.0, CENTRE)
    words(d, 57.0, 5.0, "toe", "middle", mark=True)
    words(d, 57.0, 47.5, "front in", "middle")
    words(d, 57.0, 52.0, "is plus", "middle")
    words(d, 58.0, 57.6, "left, from above", "middle")
    ground(d, floor, 72.0, 98.0)
    d.line(74.0, 14.0, 90.0, 14.0, OUTLINE)
    upright(d, (80.0, 14.0), (80.0, floor), 86.0, "", 1)
    d.line(82.0, 11.6, 90.0, 11.6, MEASURE)
    d.line(82.0, 16.4, 90.0, 16.4, MEASURE)
    words(d, 84.0, 5.0, "height", "middle", mark=True)
    words(d, 84.0, 47.5, "give or", "middle")
    words(d, 84.0, 52.0, "take", "middle")
    return d


FIGURES: dict[str, Callable[[], Drawing]] = {
    "from_above": from_above, "wheelbase": wheelbase, "track": track, "wheel": wheel, "weights": weights,
    "unsprung": unsprung, "heights": heights, "wanted": wanted, **AXLE, **ADJUSTERS,
}  # fmt: skip
"""Every drawing by the name that a step calls it by."""


def how_to(name: str) -> Drawing:
    """The drawing of this name. Raises KeyError."""
    return FIGURES[name]()
