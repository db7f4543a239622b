"""Charts of the road: where in its stroke each damper was, and what drops and kerbs leave of it."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.drawing.curves import CURVES, SAMPLE, SIZE, axes
from cornerwright.drawing.lettering import LEADING, figure, place_words, text_width, wrap
from cornerwright.drawing.svg import FINE, HEAVY, HIDDEN, INK, MARK, SHADE, Drawing, Pen
from cornerwright.model.results_road import CornerRoad, Landing, RoadResult

NARROWEST, SIDE_BY_SIDE = 90.0, 140.0
"""Least page, and from which on panels stand in pairs [mm]: a phone shows one below the other."""
AXIS = 16.0
"""Room for the figures left of a panel [mm of paper]."""
LIMIT = Pen(0.6, MARK, (3.2, 1.2))
PLACES = ("front_left", "front_right", "rear_left", "rear_right")

Frame = tuple[float, float, float, float]


def answer(result: RoadResult) -> str:
    """What the road says, in a sentence."""
    where = f"on {result.road} at {result.speed_km_per_h:.0f} km/h"
    if result.verdict == "not computed":
        return f"Nothing is said about the car {where}: the run could not be followed."
    bottoms = [place_words(name) for name, one in result.corners.items() if one.bottoms_per_minute > 0]
    tops = [place_words(name) for name, one in result.corners.items() if one.tops_per_minute > 0]
    if not bottoms and not tops:
        touched = max(one.stop_per_minute for one in result.corners.values())
        stops = f", bump stops touched up to {touched:.0f} times a minute" if touched else ", bump stops never touched"
        return f"It does not run out of travel {where}{stops}."
    words = []
    if bottoms:
        most = max(one.bottoms_per_minute for one in result.corners.values())
        words.append(f"bottoms {where}, up to {most:.0f} times a minute ({', '.join(bottoms)})")
    if tops:
        most = max(one.tops_per_minute for one in result.corners.values())
        words.append(f"tops out up to {most:.0f} times a minute ({', '.join(tops)})")
    return f"It {' and '.join(words)}."


def road_charts(result: RoadResult, width_mm: float = 180.0, panel_mm: float = 46.0) -> Drawing:
    """Four panels of stroke, then drops and kerbs; in pairs, on a page under 140 mm one below the other.

    Raises ValueError for a page under 90 mm or panels under 30 mm.
    """
    if width_mm < NARROWEST or panel_mm < 30.0:
        raise ValueError(f"road charts need a page of at least {NARROWEST:g} mm and panels of at least 30 mm")
    drawing = Drawing(width_mm, 0.0, f"{result.car}: on the road")
    drawing.text(3.0, 5.0, "On the road", 4.0, bold=True)
    y = 9.6
    for line in (*wrap(result.car, SIZE, width_mm - 6.0, 2), *wrap(answer(result), SIZE, width_mm - 6.0, 4)):
        drawing.text(3.0, y, line, SIZE)
        y += LEADING * SIZE
    y += 3.0
    if result.corners:
        most = max(part.time_percent for one in result.corners.values() for part in one.stroke)
        frames, y = _frames(width_mm, y, len(PLACES), panel_mm, 17.0)
        for name, frame in zip(PLACES, frames, strict=True):
            _stroke(drawing, place_words(name), result.corners[name], most, frame)
        note = (
            "time, %, over damper stroke from closed, mm; thick upright: where it stands; dashed: bump stop touched "
            "left of it; bar below: from the least to the most that was reached"
        )
        for line in wrap(note, SIZE, width_mm - 6.0):
            drawing.text(3.0, y, line, SIZE)
            y += LEADING * SIZE
        y += 3.0
    kerb = f"kerb, left wheels, {result.kerb_speed_km_per_h:.0f} km/h, mm"
    frames, y = _frames(width_mm, y, 2, panel_mm, 19.0)
    events = (("drop onto all four wheels, mm", result.drops), (kerb, result.kerbs))
    for (title, tried), frame in zip(events, frames, strict=True):
        _left(drawing, title, tried, frame)
    x = 3.0
    for name, pen in zip(PLACES, CURVES, strict=False):
        needed = SAMPLE + 2.0 + text_width(place_words(name), SIZE) + 5.0
        if x + needed > width_mm:
            x, y = 3.0, y + LEADING * SIZE + 0.8
        drawing.line(x, y - 1.0, x + SAMPLE, y - 1.0, pen)
        drawing.text(x + SAMPLE + 2.0, y, place_words(name), SIZE)
        x += needed
    y += LEADING * SIZE + 0.8
    for line in wrap("least damper stroke left, mm, upward; at zero metal meets metal", SIZE, width_mm - 6.0):
        drawing.text(3.0, y, line, SIZE)
        y += LEADING * SIZE
    drawing.height = y + 2.0
    return drawing


def _frames(width_mm: float, y: float, count: int, panel_mm: float, below: float) -> tuple[list[Frame], float]:
    """Frames of panels from y down, and the y below them."""
    columns = 2 if width_mm >= SIDE_BY_SIDE else 1
    each = (width_mm - 6.0) / columns
    frames = [
        (3.0 + AXIS + (k % columns) * each, y + (k // columns) * (panel_mm + below) + 5.5, each - AXIS - 4.0, panel_mm)
        for k in range(count)
    ]
    return frames, y + -(-count // columns) * (panel_mm + below)


def _stroke(drawing: Drawing, title: str, corner: CornerRoad, most: float, frame: Frame) -> None:
    left, top, width, height = frame
    across, up = (0.0, corner.stroke_mm), (0.0, 1.08 * most)
    drawing.text(left, top - 1.6, title, SIZE, bold=True)
    events = f"bottoms {figure(corner.bottoms_per_minute)}, tops {figure(corner.tops_per_minute)} /min"
    drawing.text(left + width, top - 1.6, events, SIZE, "end")
    drawing.rect(*frame, FINE)
    axes(drawing, frame, across, up)

    def x_of(value: float) -> float:
        return left + width * min(max(value, 0.0), across[1]) / across[1]

    for part in corner.stroke:
        if part.time_percent > 0:
            tall = height * part.time_percent / up[1]
            x = x_of(part.from_mm)
            drawing.rect(x, top + height - tall, x_of(part.to_mm) - x, tall, FINE, SHADE)
    drawing.line(x_of(corner.stop_mm), top, x_of(corner.stop_mm), top + height, HIDDEN)
    drawing.line(x_of(corner.stands_at_mm), top, x_of(corner.stands_at_mm), top + height, HEAVY)
    drawing.line(x_of(corner.least_mm), top + height + 7.0, x_of(corner.most_mm), top + height + 7.0, Pen(1.4, INK))


def _left(drawing: Drawing, title: str, tried: Sequence[Landing], frame: Frame) -> None:
    left, top, width, height = frame
    across = (0.0, 1.05 * max(one.height_mm for one in tried))
    values = [value for one in tried for value in one.least_mm.values()]
    up = (min(-5.0, 1.1 * min(values)), 1.1 * max(values))
    drawing.text(left, top - 1.6, title, SIZE, bold=True)
    drawing.rect(*frame, FINE)
    axes(drawing, frame, across, up)

    def at(x: float, value: float) -> tuple[float, float]:
        return left + width * x / across[1], top + height * (up[1] - value) / (up[1] - up[0])

    zero = at(0.0, 0.0)[1]
    drawing.line(left, zero, left + width, zero, LIMIT)
    for name, pen in zip(PLACES, CURVES, strict=False):
        drawing.polyline([at(one.height_mm, one.least_mm[name]) for one in tried], pen)
