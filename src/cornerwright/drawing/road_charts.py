"""Charts of the road: where in its stroke each damper was, and what drops and kerbs leave of it."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.drawing.lettering import LEADING, figure, place_words, wrap
from cornerwright.drawing.panel import (
    AXIS,
    CURVES,
    LIMIT,
    MARGIN,
    SIZE,
    Frame,
    Panel,
    heading,
    legend,
    named_frame,
    put_note,
)
from cornerwright.drawing.svg import FINE, HEAVY, HIDDEN, INK, SHADE, Drawing, Pen
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_road import CornerRoad, Landing, RoadResult

NARROWEST, SIDE_BY_SIDE = 90.0, 140.0
"""Least page, and from which on panels stand in pairs [mm]: a phone shows one below the other."""


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
    room = width_mm - 2 * MARGIN
    lines = (*wrap(result.car, SIZE, room, 2), *wrap(answer(result), SIZE, room, 4))
    y = heading(drawing, "On the road", lines) + 3.0
    if result.corners:
        most = max(part.time_percent for one in result.corners.values() for part in one.stroke)
        frames, y = _frames(width_mm, y, len(CORNERS), panel_mm, 17.0)
        for name, frame in zip(CORNERS, frames, strict=True):
            _stroke(drawing, place_words(name), result.corners[name], most, frame)
        note = (
            "time, %, over damper stroke from closed, mm; thick upright: where it stands; dashed: bump stop touched "
            "left of it; bar below: from the least to the most that was reached"
        )
        y = put_note(drawing, note, y) + 3.0
    kerb = f"kerb, left wheels, {result.kerb_speed_km_per_h:.0f} km/h, mm"
    frames, y = _frames(width_mm, y, 2, panel_mm, 19.0)
    events = (("drop onto all four wheels, mm", result.drops), (kerb, result.kerbs))
    for (title, tried), frame in zip(events, frames, strict=True):
        _left(drawing, title, tried, frame)
    y = legend(drawing, list(zip(map(place_words, CORNERS), CURVES, strict=False)), y) + LEADING * SIZE + 0.8
    drawing.height = put_note(drawing, "least damper stroke left, mm, upward; at zero metal meets metal", y) + 2.0
    return drawing


def _frames(width_mm: float, y: float, count: int, panel_mm: float, below: float) -> tuple[list[Frame], float]:
    """Frames of panels from y down, and the y below them."""
    columns = 2 if width_mm >= SIDE_BY_SIDE else 1
    each = (width_mm - 2 * MARGIN) / columns
    frames = [
        (
            MARGIN + AXIS + (k % columns) * each,
            y + (k // columns) * (panel_mm + below) + 5.5,
            each - AXIS - 4.0,
            panel_mm,
        )
        for k in range(count)
    ]
    return frames, y + -(-count // columns) * (panel_mm + below)


def _stroke(drawing: Drawing, title: str, corner: CornerRoad, most: float, frame: Frame) -> None:
    left, top, width, height = frame
    panel = Panel(frame, (0.0, corner.stroke_mm), (0.0, 1.08 * most))
    named_frame(drawing, frame, title)
    events = f"bottoms {figure(corner.bottoms_per_minute)}, tops {figure(corner.tops_per_minute)} /min"
    drawing.text(left + width, top - 1.6, events, SIZE, "end")
    panel.axes(drawing)

    def x_of(value: float) -> float:
        return panel.x(min(max(value, 0.0), corner.stroke_mm))

    for part in corner.stroke:
        if part.time_percent > 0:
            x, y = x_of(part.from_mm), panel.y(part.time_percent)
            drawing.rect(x, y, x_of(part.to_mm) - x, top + height - y, FINE, SHADE)
    drawing.line(x_of(corner.stop_mm), top, x_of(corner.stop_mm), top + height, HIDDEN)
    drawing.line(x_of(corner.stands_at_mm), top, x_of(corner.stands_at_mm), top + height, HEAVY)
    drawing.line(x_of(corner.least_mm), top + height + 7.0, x_of(corner.most_mm), top + height + 7.0, Pen(1.4, INK))


def _left(drawing: Drawing, title: str, tried: Sequence[Landing], frame: Frame) -> None:
    across = (0.0, 1.05 * max(one.height_mm for one in tried))
    values = [value for one in tried for value in one.least_mm.values()]
    panel = Panel(frame, across, (min(-5.0, 1.1 * min(values)), 1.1 * max(values)))
    named_frame(drawing, frame, title)
    panel.axes(drawing)
    zero = panel.y(0.0)
    drawing.line(frame[0], zero, frame[0] + frame[2], zero, LIMIT)
    for name, pen in zip(CORNERS, CURVES, strict=False):
        drawing.polyline([panel.at((one.height_mm, one.least_mm[name])) for one in tried], pen)
