"""How to measure an axle, drawn: springs, damper, stop, the jacked wheel, the bar."""

from __future__ import annotations

from collections.abc import Callable

from cornerwright.drawing.how_to_parts import (
    MEASURE,
    across,
    arch,
    chock,
    cross,
    damper,
    ground,
    jack,
    page,
    spring,
    stand,
    upright,
    wheel_behind,
    wheel_side,
    words,
)
from cornerwright.drawing.svg import (
    CENTRE,
    FINE,
    OUTLINE,
    PAPER,
    SHADE,
    SOFT,
    Drawing,
    Pen,
)


def springs() -> Drawing:
    """Free length, coil bound, and the two places a spring may sit."""
    d = page(66.0, "Free length of each spring off the car, and its length with all coils touching")
    floor = 54.0
    ground(d, floor, 2.0, 50.0)
    spring(d, 10.0, 14.0, floor, 5.0)
    upright(d, (10.0, 14.0), (10.0, floor), 20.0, "", 1)
    words(d, 22.0, 24.0, "free", mark=True)
    words(d, 22.0, 28.6, "length", mark=True)
    spring(d, 43.0, floor - 13.0, floor, 4.0)
    upright(d, (43.0, floor - 13.0), (43.0, floor), 36.0, "", -1)
    words(d, 47.0, floor - 16.0, "coil bound", "end", mark=True, room=30.0)
    words(d, 2.0, 5.0, "off the car", bold=True)
    words(d, 2.0, 63.0, "each of the stack", room=60.0)
    words(d, 98.0, 5.0, "where it sits", "end", bold=True)
    damper(d, 62.0, 13.0, floor, 12.0)
    spring(d, 62.0, 16.0, 38.0, 5.0)
    words(d, 63.0, 63.0, "around", "middle", room=24.0)
    d.line(74.0, 48.0, 98.0, 51.0, Pen(1.6))
    d.circle(74.0, 48.0, 1.2, FINE, PAPER)
    spring(d, 83.0, 20.0, 48.5, 4.0)
    d.line(77.0, 20.0, 98.0, 20.0, Pen(1.4))
    damper(d, 94.0, 22.5, 48.0, 8.0)
    words(d, 87.0, 63.0, "apart", "middle", room=24.0)
    return d


def damper_lengths() -> Drawing:
    """Extended, compressed, and the stroke on the rod."""
    d = page(66.0, "Damper from eye to eye: pulled right out, pushed right in, and the stroke on its rod")
    damper(d, 32.0, 11.0, 60.0, 20.0)
    upright(d, (32.0, 11.0), (32.0, 60.0), 23.0, "extended", -1, 20.0)
    upright(d, (34.0, 14.0), (34.0, 34.0), 41.0, "stroke", 1, 16.0)
    damper(d, 74.0, 31.0, 60.0, 1.0)
    upright(d, (74.0, 31.0), (74.0, 60.0), 84.0, "", 1)
    words(d, 32.0, 5.0, "pulled right out", "middle", bold=True, room=50.0)
    words(d, 98.0, 20.0, "pushed right in", "end", bold=True, room=50.0)
    words(d, 98.0, 25.0, "stop taken off", "end", room=50.0)
    words(d, 68.0, 46.0, "compressed", "end", mark=True)
    return d


def stop() -> Drawing:
    """The bump stop's length, and pressing it on a scale."""
    d = page(58.0, "The bump stop's length unloaded, and how far it is squeezed under a force on a scale")
    floor = 46.0
    ground(d, floor, 2.0, 98.0)
    _stop(d, 20.0, floor, 26.0, 7.0)
    upright(d, (20.0, floor - 26.0), (20.0, floor), 33.0, "length", 1, 16.0)
    d.rect(59.0, floor - 4.0, 24.0, 4.0, OUTLINE, SHADE, 1.0)
    _stop(d, 71.0, floor - 4.0, 15.0, 9.0)
    d.arrow((71.0, 8.0), (71.0, floor - 19.5), Pen(0.6), 4.0)
    d.line(60.0, floor - 30.0, 82.0, floor - 30.0, CENTRE)
    upright(d, (62.0, floor - 30.0), (62.0, floor - 19.0), 58.0, "", -1)
    words(d, 2.0, 5.0, "unloaded", bold=True)
    words(d, 98.0, 5.0, "pressed on a scale", "end", bold=True)
    words(d, 71.0, 52.0, "force on the scale", "middle", mark=True)
    words(d, 54.0, floor - 20.5, "squeezed", "end", mark=True, room=30.0)
    return d


def _stop(d: Drawing, x: float, foot: float, length: float, half: float) -> None:
    d.path(
        [("M", x - half, foot), ("Q", x - half * 1.2, foot - 0.4 * length, x - 0.6 * half, foot - 0.5 * length),
         ("Q", x - 0.9 * half, foot - 0.8 * length, x - 0.5 * half, foot - length),
         ("L", x + 0.5 * half, foot - length),
         ("Q", x + 0.9 * half, foot - 0.8 * length, x + 0.6 * half, foot - 0.5 * length),
         ("Q", x + half * 1.2, foot - 0.4 * length, x + half, foot), ("Z",)], OUTLINE, "#a0a0a0",
    )  # fmt: skip


def jacking() -> Drawing:
    """Body on stands, the other wheels chocked, a jack under one wheel's hub or arm."""
    d = page(66.0, "Body on stands, wheels on the floor chocked, a jack under one hub or arm; hub to lip at each step")
    floor = 58.0
    hub = floor - 23.0
    # Up to the hub and behind the wheel: a tyre that stands on a saddle slips off it.
    jack(d, 30.0, hub + 2.0, floor)
    wheel_side(d, 30.0, hub, 14.0)
    arch(d, 30.0, hub - 2.0, 18.0, floor - 18.0, 4.0, 60.0)
    d.line(60.0, floor - 18.0, 70.0, floor - 18.0, OUTLINE)
    d.polyline([(4.0, floor - 18.0), (4.0, 16.0), (94.0, 11.0)], FINE)
    stand(d, 56.0, floor - 18.0, floor)
    wheel_side(d, 82.5, floor - 10.6, 11.0, flat=0.4)
    chock(d, 70.9, floor, -1)
    chock(d, 94.1, floor, 1)
    ground(d, floor)
    lip = hub - 20.0
    cross(d, 30.0, lip)
    upright(d, (30.0, lip), (30.0, hub), 11.0, "", -1)
    words(d, 2.0, 9.5, "hub to lip", mark=True, room=40.0)
    d.line(10.0, 10.8, 11.0, 19.0, MEASURE)
    d.arrow((64.0, hub + 8.0), (64.0, hub - 9.0), Pen(0.6), 4.0)
    words(d, 67.0, hub - 5.0, "20 mm steps", room=40.0)
    words(d, 2.0, 64.5, "stand under the body; jack under hub or arm", room=98.0)
    words(d, 98.0, 5.0, "spring out, bar unhooked", "end", room=70.0)
    return d


def rows() -> Drawing:
    """What is read at each step: damper, spring, camber, sideways from behind; toe from above."""
    d = page(104.0, "At each step of the jack: damper eye to eye, spring seat to seat, camber gauge upright, sideways "
             "from a fixed mark; toe to a string along the car")  # fmt: skip
    floor = 66.0
    ground(d, floor, 2.0, 98.0)
    d.line(40.0, 14.0, 78.0, 14.0, Pen(1.4))
    d.line(32.0, 50.0, 76.0, 52.0, Pen(1.4))
    wheel_behind(d, 26.0, floor - 8.0, 12.0, 30.0)
    damper(d, 70.0, 17.0, 51.0, 8.0)
    upright(d, (70.0, 17.0), (70.0, 51.0), 80.0, "damper, eye to eye", 1, 18.0)
    spring(d, 56.0, 15.0, 50.5, 5.0)
    upright(d, (56.0, 15.0), (56.0, 50.5), 46.0, "", -1)
    words(d, 42.0, 5.0, "spring, seat to seat", mark=True, room=60.0)
    d.line(47.0, 6.6, 46.2, 20.0, MEASURE)
    d.rect(17.8, 36.0, 2.0, 14.0, MEASURE, PAPER)
    words(d, 2.0, 12.0, "camber:", mark=True, room=24.0)
    words(d, 2.0, 16.6, "gauge upright", mark=True, room=40.0)
    words(d, 2.0, 21.2, "on the rim", mark=True, room=40.0)
    d.line(12.0, 22.8, 18.0, 36.0, MEASURE)
    d.line(42.0, 56.0, 42.0, floor - 1.0, OUTLINE)
    across(d, (32.0, 56.0), (42.0, 56.0), 60.0, "")
    words(d, 45.0, 61.5, "sideways, to a mark", mark=True, room=60.0)
    words(d, 2.0, 5.0, "from behind", bold=True)
    words(d, 2.0, 74.0, "from above", bold=True)
    d.line(6.0, 101.0, 94.0, 101.0, Pen(0.4, SOFT, (3.0, 1.0)))
    with d.group((44.0, 86.0), 5.0):
        d.rect(-16.0, -5.0, 32.0, 10.0, OUTLINE, SHADE, 2.0)
        d.line(-22.0, 5.8, 22.0, 5.8, Pen(0.9, SOFT))
    upright(d, (24.0, 90.0), (24.0, 101.0), 24.0, "", 1)
    upright(d, (64.0, 93.8), (64.0, 101.0), 64.0, "", 1)
    words(d, 68.0, 82.0, "toe: string to", mark=True, room=40.0)
    words(d, 68.0, 86.6, "straight edge,", mark=True, room=40.0)
    words(d, 68.0, 91.2, "both ends", mark=True, room=40.0)
    words(d, 2.0, 90.0, "front", room=20.0)
    return d


def bar() -> Drawing:
    """One wheel held, the other pushed up: force over lift."""
    d = page(58.0, "The bar's rate: one wheel held, the other pushed up by a measured lift, the force read under it")
    floor = 50.0
    ground(d, floor)
    d.polyline([(22.0, 34.0), (28.0, 24.0), (72.0, 24.0), (78.0, 28.0)], Pen(1.6))
    for x in (40.0, 60.0):
        d.rect(x - 2.0, 22.4, 4.0, 3.2, OUTLINE, SHADE)
    wheel_behind(d, 14.0, floor - 4.0, 10.0, 24.0)
    wheel_behind(d, 86.0, floor - 11.0, 10.0, 24.0)
    d.line(19.0, 34.0, 22.0, 34.0, Pen(1.2))
    d.line(78.0, 28.0, 81.0, 28.0, Pen(1.2))
    d.rect(7.0, floor - 4.0, 14.0, 4.0, OUTLINE, SHADE)
    d.rect(77.0, floor - 4.0, 18.0, 4.0, OUTLINE, SHADE, 1.0)
    d.arrow((86.0, floor - 4.2), (86.0, floor - 11.0), Pen(0.6), 4.0)
    upright(d, (81.0, floor - 11.0), (81.0, floor - 4.0), 70.0, "lift", -1, 20.0)
    words(d, 2.0, 16.0, "this wheel held", room=40.0)
    words(d, 98.0, 10.0, "this one pushed up", "end", room=50.0)
    words(d, 98.0, 56.0, "scale: force", "end", mark=True, room=40.0)
    words(d, 2.0, 5.0, "bar hooked on, springs out, body on stands", room=98.0)
    words(d, 2.0, 56.0, "rate = force over lift", room=60.0)
    return d


AXLE: dict[str, Callable[[], Drawing]] = {
    "springs": springs, "damper": damper_lengths, "stop": stop, "jacking": jacking, "rows": rows, "bar": bar,
}  # fmt: skip
