"""Clearance of a wheel over lift and lock: shaded cells with figures, or over lift alone a curve."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from cornerwright.drawing.lettering import LEADING, figure, text_width, ticks
from cornerwright.drawing.panel import MARGIN, SIZE, Frame, Panel
from cornerwright.drawing.svg import FINE, INK, PAPER, SOFT, THIN, Drawing, Pen, Spot
from cornerwright.model.results_fit import ClearanceMap, CornerFit

LANE = 56.0
"""Room beside the map for what its shades mean [mm of paper]."""
THICK = Pen(0.5)
BARS = ("#3a3a3a", "#7a7a7a", "#a8a8a8", "#cbcbcb", "#e6e6e6", "#ffffff")
"""Shades of the map, from touching to clear."""

Across = {
    "rack": "rack, mm, positive to the left",
    "turn": "wheel turned, deg, positive to the left",
    "other wheel": "lift of the other wheel, mm",
    "straight ahead": "straight ahead",
}


def clearance_map(drawing: Drawing, told: ClearanceMap, one: CornerFit, top: float, width: float) -> float:
    """Draw least clearance over lift and lock, or over lift alone, below y = top; returns the y below it."""
    drawing.text(MARGIN, top, "least clearance of what moves against the wheel, mm", SIZE, bold=True)
    left, room, tall = MARGIN + 15.0, width - 2 * MARGIN - 15.0 - LANE, 62.0
    frame = (left, top + 3.0, room, tall)
    if len(told.across) < 2:
        _over_lift(drawing, told, frame)
    else:
        _cells(drawing, told, one, frame)
        _shades(drawing, told, (width - MARGIN - LANE + 6.0, top + 6.0))
    return top + 3.0 + tall + 14.0


def _levels(told: ClearanceMap) -> list[float]:
    """Bounds between the shades [mm]: 0 and even steps up to what is there."""
    known = [value for row in told.clearance_mm for value in row if value is not None]
    most = max([*known, 1.0])
    steps = [size * 10.0**power for power in range(-1, 4) for size in (1, 2, 5)]
    stride = next((one for one in steps if most / one <= len(BARS) - 1), steps[-1])
    return [stride * k for k in range(len(BARS) - 1)]


def _shade(value: float, levels: Sequence[float]) -> str:
    return BARS[sum(value >= level for level in levels)]


def _cells(drawing: Drawing, told: ClearanceMap, one: CornerFit, frame: Frame) -> None:
    left, top, width, height = frame
    levels = _levels(told)
    xs, ys = _edges(told.across), _edges(told.lifts_mm)
    panel = Panel(frame, (xs[0], xs[-1]), (ys[0], ys[-1]))
    for i, row in enumerate(told.clearance_mm):
        for j, value in enumerate(row):
            x, y = panel.at((xs[j], ys[i + 1]))
            right, low = panel.at((xs[j + 1], ys[i]))
            if value is None:
                drawing.line(x, low, right, y, Pen(0.13, SOFT))
            else:
                drawing.rect(x, y, right - x + 0.1, low - y + 0.1, None, _shade(value, levels))
    drawing.rect(left, top, width, height, FINE)
    across = max(1, math.ceil(len(told.across) * (text_width("-000", SIZE) + 1.5) / width))
    down = max(1, math.ceil(len(told.lifts_mm) * (LEADING * SIZE + 1.5) / height))
    for i in range(down // 2, len(told.lifts_mm), down):
        for j in range(across // 2, len(told.across), across):
            value = told.clearance_mm[i][j]
            if value is not None:
                x, y = panel.at((told.across[j], told.lifts_mm[i]))
                dark = _shade(value, levels) in BARS[:2]
                words = figure(value, 0)
                drawing.text(x, y + 0.36 * SIZE, words, SIZE, "middle", colour=PAPER if dark else INK)
    _ticks(drawing, panel, Across[one.across_what or "rack"])


def _edges(values: Sequence[float]) -> list[float]:
    """Edges of the cells around these values."""
    between = [(a + b) / 2 for a, b in pairwise(values)]
    return [2 * values[0] - between[0], *between, 2 * values[-1] - between[-1]]


def _ticks(drawing: Drawing, panel: Panel, title: str) -> None:
    left, top, width, height = panel.frame
    values, decimals = ticks(*panel.across, 7)
    for value in values:
        x = panel.x(value)
        drawing.line(x, top + height, x, top + height + 1.0, THIN)
        drawing.text(x, top + height + 4.6, figure(value, decimals), SIZE, "middle")
    drawing.text(left + width, top + height + 9.0, title, SIZE, "end")
    values, decimals = ticks(*panel.up, 7)
    for value in values:
        y = panel.y(value)
        drawing.line(left - 1.0, y, left, y, THIN)
        drawing.text(left - 1.8, y + 0.36 * SIZE, figure(value, decimals), SIZE, "end")
    drawing.text(MARGIN, top + height + 9.0, "up: lift, mm", SIZE)


def _shades(drawing: Drawing, told: ClearanceMap, at: Spot) -> None:
    """What the shades mean."""
    levels = _levels(told)
    x, y = at
    for k, colour in enumerate(BARS):
        if k == 0:
            words = "touches"
        elif k == len(BARS) - 1:
            words = f"{levels[-1]:g} mm and more"
        else:
            words = f"{levels[k - 1]:g} to {levels[k]:g} mm"
        drawing.rect(x, y + 5.0 * k, 6.0, 3.6, FINE, colour)
        drawing.text(x + 8.0, y + 5.0 * k + 2.9, words, SIZE)


def _over_lift(drawing: Drawing, told: ClearanceMap, frame: Frame) -> None:
    left, top, width, height = frame
    known = [(lift, row[0]) for lift, row in zip(told.lifts_mm, told.clearance_mm, strict=True)]
    points = [(lift, value) for lift, value in known if value is not None]
    drawing.rect(left, top, width, height, FINE)
    if not points:
        drawing.text(left + width / 2, top + height / 2, "not known", SIZE, "middle", colour=SOFT)
        return
    low, high = min(0.0, *(value for _, value in points)), max(1.0, *(value for _, value in points))
    low, high = low - 0.06 * (high - low), high + 0.06 * (high - low)
    first, last = told.lifts_mm[0], told.lifts_mm[-1]
    panel = Panel(frame, (first, last), (low, high))
    values, decimals = ticks(low, high, 6)
    for value in values:
        y = panel.y(value)
        drawing.line(left, y, left + width, y, Pen(0.3 if value == 0 else 0.13, SOFT if value == 0 else "#bbbbbb"))
        drawing.text(left - 1.8, y + 0.36 * SIZE, figure(value, decimals), SIZE, "end")
    values, decimals = ticks(first, last, 7)
    for value in values:
        x = panel.x(value)
        drawing.line(x, top, x, top + height, Pen(0.13, "#bbbbbb"))
        drawing.text(x, top + height + 4.6, figure(value, decimals), SIZE, "middle")
    drawing.text(left + width, top + height + 9.0, "lift, mm", SIZE, "end")
    drawing.polyline([panel.at(point) for point in points], THICK)
