"""How adjusters are measured, drawn: where their travel is read, and which way is plus."""

from __future__ import annotations

from collections.abc import Callable

from cornerwright.drawing.how_to_parts import (
    MEASURE,
    across,
    cross,
    page,
    spring,
    upright,
    wheel_behind,
    words,
)
from cornerwright.drawing.svg import (
    CENTRE,
    FINE,
    HIDDEN,
    OUTLINE,
    PAPER,
    SHADE,
    SOFT,
    Drawing,
    Pen,
)


def adjusters() -> Drawing:
    """Where adjusters usually are, on one corner."""
    d = page(70.0, "Where adjusters sit: plate at the top, perch on the damper, cam or shims at an arm, rods, spacer")
    wheel_behind(d, 22.0, 62.0, 13.0, 32.0)
    d.line(2.0, 62.0, 98.0, 62.0, Pen(0.8))
    d.line(30.0, 54.0, 70.0, 54.0, Pen(1.4))
    d.line(30.0, 46.0, 66.0, 44.0, Pen(0.8))
    d.circle(70.0, 54.0, 2.0, OUTLINE, PAPER)
    d.line(32.0, 52.0, 44.0, 12.0, Pen(1.6, SOFT))
    d.polygon([(35.0, 38.0), (41.0, 39.6), (40.4, 42.0), (34.4, 40.4)], OUTLINE, SHADE)
    d.rect(37.0, 9.0, 14.0, 3.0, OUTLINE, SHADE)
    d.rect(28.6, 42.0, 1.6, 10.0, OUTLINE, SHADE)
    for x, y, at, text in (
        (51.0, 10.5, 11.0, "plate"),
        (41.4, 41.0, 24.0, "perch"),
        (56.0, 44.6, 37.0, "tie rod"),
        (68.6, 52.6, 50.0, "cam or shims"),
        (50.0, 54.4, 59.5, "arm"),
    ):
        d.line(x, y, 68.0, at, Pen(0.3, SOFT))
        words(d, 69.0, at + 1.2, text, mark=True, room=40.0)
    words(d, 2.0, 20.0, "spacer", mark=True, room=20.0)
    d.line(14.0, 21.5, 28.8, 42.0, Pen(0.3, SOFT))
    words(d, 2.0, 5.0, "a corner from behind", room=60.0)
    words(d, 2.0, 68.0, "tick what is there", room=60.0)
    return d


def _thread(d: Drawing, x: float, top: float, bottom: float, half: float, pitch: float = 1.6) -> None:
    """A threaded tube standing upright."""
    d.rect(x - half, top, 2 * half, bottom - top, OUTLINE, SHADE)
    y = top + pitch
    while y < bottom - 0.6:
        d.line(x - half, y, x + half, y - 0.625 * pitch, Pen(0.18))
        y += pitch


def perch() -> Drawing:
    """Ten threads for the pitch; thread that shows below the collar."""
    d = page(68.0, "Perch: thread that shows behind the collar, ten threads for its pitch; plus turns it to the spring")
    _thread(d, 44.0, 28.0, 62.0, 7.0)
    spring(d, 44.0, 6.0, 28.0, 11.0, 8)
    d.rect(30.0, 28.0, 28.0, 5.0, OUTLINE, PAPER, 1.0)
    upright(d, (51.0, 33.0), (51.0, 62.0), 66.0, "thread that shows: stands at", 1, 30.0)
    upright(d, (37.0, 42.0), (37.0, 58.0), 24.0, "ten threads", -1, 18.0)
    d.arrow((76.0, 30.0), (76.0, 16.0), Pen(0.6), 4.0)
    words(d, 79.0, 22.0, "plus:", bold=True)
    words(d, 79.0, 26.6, "car up", room=20.0)
    words(d, 2.0, 31.5, "collar", room=20.0)
    d.line(16.0, 30.5, 29.6, 30.5, Pen(0.18))
    return d


def body() -> Drawing:
    """The damper's body screwed in its foot."""
    d = page(66.0, "Damper's body: thread that shows over its foot; plus makes the damper longer")
    d.line(46.0, 6.0, 46.0, 14.0, Pen(1.6, SOFT))
    d.rect(39.0, 14.0, 14.0, 16.0, OUTLINE, SHADE, 1.0)
    _thread(d, 46.0, 30.0, 46.0, 5.0, 0.9)
    d.rect(38.0, 44.0, 16.0, 3.6, OUTLINE, PAPER, 0.8)
    d.rect(37.0, 48.0, 18.0, 10.0, OUTLINE, SHADE, 1.0)
    d.circle(46.0, 60.0, 3.0, OUTLINE, PAPER)
    upright(d, (51.0, 30.0), (51.0, 44.0), 64.0, "thread that shows: stands at", 1, 30.0)
    upright(d, (41.0, 33.0), (41.0, 42.0), 28.0, "ten threads", -1, 20.0)
    words(d, 2.0, 46.6, "lock nut", room=30.0)
    d.line(20.0, 45.5, 37.6, 45.8, Pen(0.18))
    words(d, 2.0, 54.0, "foot", room=30.0)
    d.line(12.0, 52.8, 36.6, 52.8, Pen(0.18))
    d.arrow((66.0, 24.0), (66.0, 10.0), Pen(0.6), 4.0)
    words(d, 98.0, 18.0, "plus: longer", "end", bold=True, room=40.0)
    return d


def plate() -> Drawing:
    """A plate on the strut tower, from above: from the middle of its slots."""
    d = page(56.0, "Plate from above: from the middle of its slots to where it stands; outboard is plus")
    d.circle(50.0, 30.0, 21.0, OUTLINE, PAPER)
    for y in (17.0, 43.0):
        d.rect(38.0, y - 1.8, 24.0, 3.6, FINE, SHADE, 1.8)
        d.circle(44.0, y, 2.2, OUTLINE, PAPER)
    d.circle(44.0, 30.0, 6.0, OUTLINE, SHADE)
    d.circle(44.0, 30.0, 2.0, FINE, PAPER)
    d.line(50.0, 6.0, 50.0, 54.0, CENTRE)
    d.line(44.0, 24.0, 44.0, 38.0, MEASURE)
    across(d, (44.0, 36.0), (50.0, 36.0), 37.0, "")
    words(d, 98.0, 38.0, "stands at", "end", mark=True, room=26.0)
    d.line(76.0, 37.0, 55.0, 37.0, MEASURE)
    words(d, 52.0, 5.0, "middle of the slots", room=48.0)
    d.arrow((24.0, 50.0), (6.0, 50.0), Pen(0.6), 4.0)
    words(d, 2.0, 46.0, "outboard: plus", room=40.0, bold=True)
    words(d, 2.0, 5.0, "from above", room=40.0)
    return d


def cam() -> Drawing:
    """Marks of a cam bolt, counted from the middle."""
    d = page(56.0, "Cam bolt: count the marks from its middle to the notch on the body")
    d.rect(30.0, 12.0, 40.0, 36.0, FINE, PAPER, 2.0)
    d.circle(50.0, 31.0, 14.0, OUTLINE, SHADE)
    d.circle(52.5, 31.0, 4.6, OUTLINE, PAPER)
    for k in range(-4, 5):
        with d.group((50.0, 31.0), 13.0 * k):
            d.line(0.0, -14.0, 0.0, -10.4 if k else -8.6, Pen(0.5 if k else 0.9))
    d.line(50.0, 12.0, 50.0, 16.6, Pen(1.2))
    words(d, 98.0, 8.0, "mark on the body", "end", room=44.0)
    d.line(62.0, 9.2, 50.8, 13.6, Pen(0.18))
    with d.group((50.0, 31.0)):
        d.path([("M", 0.0, -18.0), ("A", 18.0, 18.0, 0.0, 0.0, 1.0, 11.6, -13.8)], MEASURE)
    d.head((58.0, 15.0), (61.6, 17.2), MEASURE.colour)
    words(d, 98.0, 22.0, "notches", "end", mark=True, room=26.0)
    words(d, 98.0, 26.6, "from middle", "end", mark=True, room=26.0)
    words(d, 2.0, 22.0, "count what", room=26.0)
    words(d, 2.0, 26.6, "you see:", room=26.0)
    words(d, 2.0, 31.2, "0 is the", room=26.0)
    words(d, 2.0, 35.8, "long mark", room=26.0)
    words(d, 50.0, 54.0, "note which way is plus", "middle", room=90.0)
    return d


def shim() -> Drawing:
    """Shims between arm and body, counted."""
    d = page(56.0, "Shims between arm and body: how many there are, and how thick one is")
    d.rect(8.0, 10.0, 14.0, 36.0, OUTLINE, SHADE)
    for k in range(3):
        d.rect(22.0 + 3.0 * k, 16.0, 3.0, 24.0, FINE, PAPER)
    d.rect(31.0, 14.0, 8.0, 28.0, OUTLINE, SHADE)
    d.line(39.0, 28.0, 92.0, 30.0, Pen(2.0))
    d.line(2.0, 28.0, 46.0, 28.0, CENTRE)
    across(d, (22.0, 44.0), (31.0, 44.0), 50.0, "")
    words(d, 36.0, 51.2, "how many", mark=True, room=40.0)
    words(d, 15.0, 7.0, "body", "middle")
    words(d, 52.0, 25.0, "arm")
    words(d, 52.0, 14.0, "one: by caliper", mark=True, room=46.0)
    d.line(51.0, 13.0, 26.5, 18.0, MEASURE)
    return d


def rod() -> Drawing:
    """A rod with thread: what shows; longer is plus."""
    d = page(50.0, "Rod or arm: thread that shows at its end; longer is plus")
    y = 26.0
    d.rect(36.0, y - 3.0, 40.0, 6.0, OUTLINE, SHADE, 1.0)
    with d.group((36.0, y), 90.0):
        _thread(d, 0.0, 0.0, 18.0, 2.2)
    d.rect(31.0, y - 4.0, 4.0, 8.0, OUTLINE, PAPER, 0.6)
    d.circle(12.0, y, 5.4, OUTLINE, PAPER)
    cross(d, 12.0, y)
    d.circle(88.0, y, 5.4, OUTLINE, PAPER)
    cross(d, 88.0, y)
    d.line(76.0, y, 82.6, y, Pen(2.0))
    across(d, (17.8, y + 3.0), (31.0, y + 3.0), y + 10.0, "")
    words(d, 2.0, y + 17.0, "thread that shows: stands at", mark=True, room=80.0)
    words(d, 33.0, 14.0, "lock nut", room=30.0)
    d.line(37.0, 15.6, 33.4, y - 4.4, Pen(0.18))
    d.arrow((60.0, 12.0), (70.0, 12.0), Pen(0.6), 4.0)
    words(d, 71.5, 13.2, "plus: longer", bold=True, room=30.0)
    words(d, 2.0, 5.0, "a flat is a sixth of a turn", room=80.0)
    return d


def spacer() -> Drawing:
    """A spacer between hub and wheel."""
    d = page(56.0, "Spacer: its thickness between hub and wheel")
    d.rect(60.0, 12.0, 5.0, 34.0, OUTLINE, SHADE)
    d.rect(65.0, 22.0, 18.0, 14.0, OUTLINE, SHADE)
    d.rect(53.0, 14.0, 7.0, 30.0, OUTLINE, PAPER)
    d.rect(46.0, 10.0, 7.0, 38.0, OUTLINE, SHADE)
    for y in (19.0, 39.0):
        d.rect(38.0, y - 1.4, 28.0, 2.8, FINE, PAPER)
    d.line(8.0, 29.0, 94.0, 29.0, CENTRE)
    across(d, (53.0, 44.0), (60.0, 44.0), 51.0, "")
    words(d, 66.0, 52.2, "thickness", mark=True, room=30.0)
    words(d, 98.0, 9.0, "hub", "end")
    words(d, 2.0, 9.0, "wheel")
    d.line(14.0, 9.0, 45.6, 14.0, Pen(0.18))
    d.line(90.0, 9.6, 65.4, 16.0, Pen(0.18))
    words(d, 2.0, 22.0, "studs need", room=34.0)
    words(d, 2.0, 26.6, "full thread", room=34.0)
    d.line(28.0, 22.0, 37.6, 19.5, HIDDEN)
    return d


def bar_link() -> Drawing:
    """The link between bar and arm, eye to eye."""
    d = page(56.0, "Link of the bar: from eye to eye, or thread that shows; longer is plus")
    d.line(10.0, 12.0, 44.0, 12.0, Pen(1.8))
    d.line(30.0, 46.0, 90.0, 48.0, Pen(1.8))
    d.line(44.0, 12.0, 44.0, 46.0, Pen(1.0, SOFT))
    d.rect(41.6, 22.0, 4.8, 12.0, OUTLINE, SHADE)
    for y in (12.0, 46.4):
        d.circle(44.0, y, 3.2, OUTLINE, PAPER)
        cross(d, 44.0, y)
    upright(d, (44.0, 12.0), (44.0, 46.4), 60.0, "eye to eye: stands at", 1, 30.0)
    words(d, 2.0, 7.0, "end of the bar", room=40.0)
    words(d, 98.0, 54.6, "arm", "end", room=20.0)
    words(d, 2.0, 30.0, "plus: longer", bold=True, room=36.0)
    return d


ADJUSTERS: dict[str, Callable[[], Drawing]] = {
    "adjusters": adjusters, "perch": perch, "body": body, "plate": plate, "cam": cam, "shim": shim, "rod": rod,
    "spacer": spacer, "bar_link": bar_link,
}  # fmt: skip
