"""Charts of cornering over lateral acceleration: steer, how much of its grip each axle uses, camber to the road."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.drawing.lettering import wrap
from cornerwright.drawing.panel import (
    AXIS,
    BELOW,
    CURVES,
    LIMIT,
    MARGIN,
    SIZE,
    Panel,
    Span,
    heading,
    legend,
    named_frame,
)
from cornerwright.drawing.svg import Drawing, Pen, Spot
from cornerwright.model.results_corner import CornerResult

NARROWEST = 90.0
FRONT, REAR = CURVES[0], CURVES[1]

WHEELS = {
    "front_right": "front outer",
    "rear_right": "rear outer",
    "front_left": "front inner",
    "rear_left": "rear inner",
}
"""Wheels in a turn to the left."""


def answer(result: CornerResult) -> str:
    """What the circle says, in a sentence."""
    at = f"{result.limit.lateral_g:.2f} g ({result.limit.speed_km_per_h:.0f} km/h on {result.radius_m:g} m)"
    return {
        "pushes": f"It pushes: the front gives up its grip first, at {at}.",
        "slides at the rear": f"It slides at the rear: the rear gives up its grip first, at {at}.",
        "neutral": f"It is neutral: both ends give up their grip together, at {at}.",
        "turns over": f"IT TURNS OVER: both inside wheels are off the ground beyond {at}.",
    }[result.verdict]


def corner_charts(result: CornerResult, width_mm: float = 180.0, panel_mm: float = 55.0) -> Drawing:
    """Three panels one below the other. Raises ValueError for a page under 90 mm or panels under 30 mm."""
    if width_mm < NARROWEST or panel_mm < 30.0:
        raise ValueError(f"cornering charts need a page of {NARROWEST:g} mm and panels of 30 mm at least")
    drawing = Drawing(width_mm, 0.0, f"{result.car}: cornering")
    room = width_mm - 2 * MARGIN
    y = heading(drawing, "Cornering", (*wrap(result.car, SIZE, room, 2), *wrap(answer(result), SIZE, room, 3)))
    across = (0.0, 1.08 * result.limit.lateral_g)
    steer = [(row.lateral_g, row.steer_deg) for row in result.rows]
    low, high = min(v for _, v in steer), max(v for _, v in steer)
    room = 0.15 * max(high - low, 1.0)
    up = (low - room, high + room)
    y = _panel(drawing, "steer of the front wheels, deg", across, up, [(steer, FRONT)], y + 3.0, panel_mm)
    front = [(row.lateral_g, row.front_used_percent) for row in result.rows]
    rear = [(row.lateral_g, row.rear_used_percent) for row in result.rows]
    y = _panel(drawing, "grip used, %", across, (0.0, 110.0), [(front, FRONT), (rear, REAR)], y + 3.0, panel_mm, 100.0)
    y = legend(drawing, [("front", FRONT), ("rear", REAR)], y)
    curves = [
        ([(row.lateral_g, row.camber_deg[name]) for row in result.rows], pen)
        for name, pen in zip(WHEELS, CURVES, strict=False)
    ]
    values = [value for spots, _ in curves for _, value in spots]
    room = 0.12 * max(max(values) - min(values), 1.0)
    up = (min(values) - room, max(*values, 0.0) + room)
    y = _panel(drawing, "camber to the road, deg", across, up, curves, y + 5.0, panel_mm, 0.0)
    y = legend(drawing, list(zip(WHEELS.values(), CURVES, strict=False)), y)
    drawing.height = y + 3.0
    return drawing


def _panel(
    drawing: Drawing,
    title: str,
    across: Span,
    up: Span,
    curves: Sequence[tuple[Sequence[Spot], Pen]],
    y: float,
    tall: float,
    limit: float | None = None,
) -> float:
    """Frame, axes and curves; returns the y below them."""
    frame = (MARGIN + AXIS, y + 5.5, drawing.width - AXIS - 8.0, tall)
    named_frame(drawing, frame, title, "lateral acceleration, g")
    panel = Panel(frame, across, up)
    panel.axes(drawing)
    if limit is not None:
        level = panel.y(limit)
        drawing.line(frame[0], level, frame[0] + frame[2], level, LIMIT)
    for spots, pen in curves:
        drawing.polyline([panel.at(spot) for spot in spots], pen)
    return frame[1] + tall + BELOW
