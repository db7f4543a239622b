"""What a wheel does through its travel, as four small panels against lift."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from cornerwright.drawing.lettering import (
    LEADING,
    clip,
    figure,
    place_words,
    text_width,
    ticks,
    wrap,
)
from cornerwright.drawing.svg import FINE, HIDDEN, INK, SHADE, SOFT, THIN, Drawing, Pen, Spot
from cornerwright.model.results import TravelResult, TravelRow

SIZE = 2.9
"""Lettering [mm of paper]."""
PANELS = (
    ("camber_deg", "camber, deg"),
    ("toe_deg", "toe, deg"),
    ("half_track_mm", "half-track, mm"),
    ("damper_mm", "damper length, mm"),
)
NARROWEST = 140.0
GUTTER = 6.0
AXIS = 16.0
"""Room for the figures left of a panel [mm of paper]."""
CURVES = (
    Pen(0.5),
    Pen(0.5, INK, (2.4, 1.0)),
    Pen(0.5, INK, (0.5, 0.9)),
    Pen(1.0),
    Pen(0.4, INK, (5.0, 1.0, 0.6, 1.0)),
)
"""Curves of several places of the rack, told apart without colour; the straightest ahead is the first."""
SAMPLE = 12.0
"""Length of a curve's sample in the legend [mm of paper]."""


@dataclass(frozen=True)
class Sample:
    """One value of a curve at one lift, with its standard deviation where that is known."""

    lift: float
    value: float
    sigma: float | None


def travel_curves(results: TravelResult, width_mm: float = 180.0, panel_mm: float = 48.0) -> Drawing:
    """Camber, toe, half-track and damper length against lift, each in a panel of its own.

    One curve for each place of the rack; of more than five places five are drawn, spread over them. A
    grey band shows plus and minus two standard deviations where they are known, of the straightest
    ahead alone. Dashed uprights show where the damper ends. width_mm: width of the page, at least 140;
    panel_mm: height of one panel, at least 30. Rows outside what was measured or can be reached leave
    a gap. Raises ValueError for a smaller page.
    """
    if width_mm < NARROWEST or panel_mm < 30.0:
        raise ValueError(f"travel curves need a page of at least {NARROWEST:g} mm and panels of at least 30 mm")
    heading = f"{place_words(results.corner)} through its travel"
    lines = wrap(results.car, SIZE, width_mm - 6.0, 2)
    top = 8.0 + LEADING * SIZE * len(lines)
    tall = panel_mm + 16.0
    drawing = Drawing(width_mm, 0.0, f"{results.car}: {heading}")
    drawing.text(3.0, 5.0, clip(heading, 4.0, width_mm - 6.0), 4.0, bold=True)
    for row, line in enumerate(lines):
        drawing.text(3.0, 9.6 + LEADING * SIZE * row, line, SIZE)
    width = (width_mm - 6.0 - GUTTER) / 2
    racks = drawn_racks(results.rows)
    lifts = [row.lift_mm for row in results.rows]
    ends = [lift for lift in (results.damper_out_mm, results.full_bump_mm) if lift is not None]
    banded = False
    for k, (key, title) in enumerate(PANELS):
        x = 3.0 + (k % 2) * (width + GUTTER)
        y = top + (k // 2) * tall
        curves = [samples(tuple(r for r in results.rows if r.steer_mm == rack), key, c == 0) for c, rack in racks]
        banded |= any(one.sigma is not None for runs in curves for run in runs for one in run)
        pens = [CURVES[c] for c, _ in racks]
        _panel(
            drawing,
            title,
            list(zip(curves, pens, strict=True)),
            lifts,
            ends,
            (x + AXIS, y + 5.5, width - AXIS, panel_mm),
        )
    notes = ["lift positive in bump"]
    if banded:
        notes.append("grey band: plus and minus 2 sigma")
    if ends and lifts and min(lifts) < max(ends) and max(lifts) > min(ends):
        notes.append("dashed uprights: damper right out, full bump")
    drawing.height = _foot(drawing, racks, "; ".join(notes), top + 2 * tall, width_mm)
    return drawing


def drawn_racks(rows: tuple[TravelRow, ...]) -> list[tuple[int, float | None]]:
    """Places of the rack that are drawn, in order, each with the number of its curve; the straightest is 0."""
    places = sorted({row.steer_mm for row in rows if row.steer_mm is not None})
    if not places:
        return [(0, None)]
    most = len(CURVES)
    if len(places) > most:
        places = [places[round(k * (len(places) - 1) / (most - 1))] for k in range(most)]
    straight = min(places, key=abs)
    others = iter(range(1, most))
    return [(0 if place == straight else next(others), place) for place in places]


def _foot(drawing: Drawing, racks: list[tuple[int, float | None]], note: str, y: float, width: float) -> float:
    """Legend of the curves and the notes; returns the page's height."""
    y += 4.0
    x = 3.0
    for number, rack in racks:
        if rack is None:
            continue
        words = f"rack {figure(rack, 0 if abs(rack - round(rack)) < 1e-6 else 1, signed=True)} mm"
        needed = SAMPLE + 2.0 + text_width(words, SIZE) + 5.0
        if x > 3.0 and x + needed > width:
            x, y = 3.0, y + LEADING * SIZE + 0.5
        drawing.line(x, y - 1.0, x + SAMPLE, y - 1.0, CURVES[number])
        drawing.text(x + SAMPLE + 2.0, y, words, SIZE)
        x += needed
    if racks[0][1] is not None:
        y += LEADING * SIZE + 0.8
        note += "; rack positive: steers to the left"
    for line in wrap(note, SIZE, width - 6.0):
        drawing.text(3.0, y, line, SIZE)
        y += LEADING * SIZE
    return y


def samples(rows: tuple[TravelRow, ...], key: str, banded: bool = True) -> list[list[Sample]]:
    """The curve of one key in runs without gaps; banded: with its standard deviation."""
    runs: list[list[Sample]] = [[]]
    for row in rows:
        value = getattr(row, key)
        if value is None:
            runs.append([])
        else:
            runs[-1].append(Sample(row.lift_mm, value, row.sigma.get(key) if banded else None))
    return [run for run in runs if run]


def _panel(
    drawing: Drawing,
    title: str,
    curves: list[tuple[list[list[Sample]], Pen]],
    lifts: list[float],
    ends: list[float],
    frame: tuple[float, float, float, float],
) -> None:
    left, top, width, height = frame
    drawing.text(left, top - 1.6, title, SIZE, bold=True)
    drawing.text(left + width, top + height + 8.8, "lift, mm", SIZE, "end")
    drawing.rect(left, top, width, height, FINE)
    points = [one for runs, _ in curves for run in runs for one in run]
    if not points:
        drawing.text(left + width / 2, top + height / 2, "not known", SIZE, "middle", colour=SOFT)
        return
    low_x, high_x = _range(lifts, 1.0)
    give = [2 * (one.sigma or 0.0) for one in points]
    values = [one.value for one in points]
    low_y, high_y = _range(
        [v - g for v, g in zip(values, give, strict=True)] + [v + g for v, g in zip(values, give, strict=True)],
        0.1,
    )

    def at(lift: float, value: float) -> Spot:
        return (
            left + width * (lift - low_x) / (high_x - low_x),
            top + height * (high_y - value) / (high_y - low_y),
        )

    for runs, _ in curves:
        for run in runs:
            _band(drawing, run, at)
    axes(drawing, frame, (low_x, high_x), (low_y, high_y))
    for end in ends:
        if low_x < end < high_x:
            drawing.line(at(end, 0.0)[0], top, at(end, 0.0)[0], top + height, HIDDEN)
    for runs, pen in curves:
        for run in runs:
            spots = [at(one.lift, one.value) for one in run]
            if len(spots) > 1:
                drawing.polyline(spots, pen)
            else:
                drawing.circle(*spots[0], 0.6, None, INK)


def _range(values: list[float], least: float) -> tuple[float, float]:
    """Lowest and highest value with a little room, never closer than `least`."""
    low, high = min(values), max(values)
    span = max(high - low, least)
    middle = (low + high) / 2
    return middle - 0.55 * span, middle + 0.55 * span


def axes(
    drawing: Drawing,
    frame: tuple[float, float, float, float],
    across: tuple[float, float],
    up: tuple[float, float],
) -> None:
    """Ticks with figures and a faint grid; the reference lift and the zero line are drawn darker."""
    left, top, width, height = frame
    grid = Pen(0.13, "#bbbbbb")
    most = max(2, int(width / (text_width("-0000.0", SIZE) + 2.0)))
    values, decimals = ticks(*across, most)
    for value in values:
        x = left + width * (value - across[0]) / (across[1] - across[0])
        drawing.line(x, top, x, top + height, Pen(0.18, SOFT) if value == 0 else grid)
        drawing.line(x, top + height, x, top + height + 1.0, THIN)
        words = figure(value, decimals)
        if x + text_width(words, SIZE) / 2 <= left + width + 2.5:
            drawing.text(x, top + height + 4.8, words, SIZE, "middle")
    values, decimals = ticks(*up, 6)
    for value in values:
        y = top + height * (up[1] - value) / (up[1] - up[0])
        drawing.line(left, y, left + width, y, Pen(0.18, SOFT) if value == 0 else grid)
        drawing.line(left - 1.0, y, left, y, THIN)
        words = clip(figure(value, decimals), SIZE, AXIS - 2.0)
        drawing.text(left - 1.6, y + 0.36 * SIZE, words, SIZE, "end")


def _band(drawing: Drawing, run: list[Sample], at: Callable[[float, float], Spot]) -> None:
    """Plus and minus two sigma, over each stretch of the run where sigma is known."""
    stretch: list[Sample] = []
    for one in [*run, None]:
        if one is not None and one.sigma is not None:
            stretch.append(one)
            continue
        if len(stretch) > 1:
            over = [at(s.lift, s.value + 2 * (s.sigma or 0.0)) for s in stretch]
            under = [at(s.lift, s.value - 2 * (s.sigma or 0.0)) for s in stretch]
            drawing.polygon([*over, *reversed(under)], None, SHADE)
        elif stretch:
            only = stretch[0]
            give = 2 * (only.sigma or 0.0)
            drawing.line(
                *at(only.lift, only.value - give),
                *at(only.lift, only.value + give),
                Pen(0.8, SHADE),
            )
        stretch = []
