"""What a wheel does through its travel, as four small panels against lift."""

from __future__ import annotations

from dataclasses import dataclass

from cornerwright.drawing.lettering import LEADING, figure, place_words, wrap
from cornerwright.drawing.panel import (
    AXIS,
    CURVES,
    MARGIN,
    SIZE,
    Frame,
    Panel,
    Span,
    heading,
    legend,
    named_frame,
    put_note,
)
from cornerwright.drawing.svg import HIDDEN, INK, SHADE, SOFT, Drawing, Pen
from cornerwright.model.results import TravelResult, TravelRow

PANELS = (
    ("camber_deg", "camber, deg"),
    ("toe_deg", "toe, deg"),
    ("half_track_mm", "half-track, mm"),
    ("damper_mm", "damper length, mm"),
)
NARROWEST = 140.0
GUTTER = 6.0


@dataclass(frozen=True)
class Sample:
    """One value of a curve at one lift, with its standard deviation where that is known."""

    lift: float
    value: float
    sigma: float | None


def travel_charts(results: TravelResult, width_mm: float = 180.0, panel_mm: float = 48.0) -> Drawing:
    """Camber, toe, half-track and damper length against lift, each in a panel of its own.

    One curve for each place of the rack; of more than five places five are drawn, spread over them. A
    grey band shows plus and minus two standard deviations where they are known, of the straightest
    ahead alone. Dashed uprights show where the damper ends. width_mm: width of the page, at least 140;
    panel_mm: height of one panel, at least 30. Rows outside what was measured or can be reached leave
    a gap. Raises ValueError for a smaller page.
    """
    if width_mm < NARROWEST or panel_mm < 30.0:
        raise ValueError(f"travel curves need a page of at least {NARROWEST:g} mm and panels of at least 30 mm")
    name = f"{place_words(results.corner)} through its travel"
    tall = panel_mm + 16.0
    drawing = Drawing(width_mm, 0.0, f"{results.car}: {name}")
    top = heading(drawing, name, wrap(results.car, SIZE, width_mm - 2 * MARGIN, 2)) - 1.6
    width = (width_mm - 2 * MARGIN - GUTTER) / 2
    racks = drawn_racks(results.rows)
    lifts = [row.lift_mm for row in results.rows]
    ends = [lift for lift in (results.damper_out_mm, results.full_bump_mm) if lift is not None]
    banded = False
    for k, (key, title) in enumerate(PANELS):
        x = MARGIN + (k % 2) * (width + GUTTER)
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
    drawing.height = _foot(drawing, racks, "; ".join(notes), top + 2 * tall)
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


def _foot(drawing: Drawing, racks: list[tuple[int, float | None]], note: str, y: float) -> float:
    """Legend of the curves and the notes; returns the page's height."""
    names = [(_rack_words(rack), CURVES[number]) for number, rack in racks if rack is not None]
    y = legend(drawing, names, y + 4.0)
    if names:
        y += LEADING * SIZE + 0.8
        note += "; rack positive: steers to the left"
    return put_note(drawing, note, y)


def _rack_words(rack: float) -> str:
    return f"rack {figure(rack, 0 if abs(rack - round(rack)) < 1e-6 else 1, signed=True)} mm"


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
    frame: Frame,
) -> None:
    left, top, width, height = frame
    named_frame(drawing, frame, title, "lift, mm")
    points = [one for runs, _ in curves for run in runs for one in run]
    if not points:
        drawing.text(left + width / 2, top + height / 2, "not known", SIZE, "middle", colour=SOFT)
        return
    give = [2 * (one.sigma or 0.0) for one in points]
    values = [one.value for one in points]
    reach = [v + sign * g for v, g in zip(values, give, strict=True) for sign in (-1, 1)]
    panel = Panel(frame, _range(lifts, 1.0), _range(reach, 0.1))
    for runs, _ in curves:
        for run in runs:
            _band(drawing, run, panel)
    panel.axes(drawing)
    for end in ends:
        if panel.across[0] < end < panel.across[1]:
            drawing.line(panel.x(end), top, panel.x(end), top + height, HIDDEN)
    for runs, pen in curves:
        for run in runs:
            spots = [panel.at((one.lift, one.value)) for one in run]
            if len(spots) > 1:
                drawing.polyline(spots, pen)
            else:
                drawing.circle(*spots[0], 0.6, None, INK)


def _range(values: list[float], least: float) -> Span:
    """Lowest and highest value with a little room, never closer than `least`."""
    low, high = min(values), max(values)
    span = max(high - low, least)
    middle = (low + high) / 2
    return middle - 0.55 * span, middle + 0.55 * span


def _band(drawing: Drawing, run: list[Sample], panel: Panel) -> None:
    """Plus and minus two sigma, over each stretch of the run where sigma is known."""
    stretch: list[Sample] = []
    for one in [*run, None]:
        if one is not None and one.sigma is not None:
            stretch.append(one)
            continue
        over, under = ([panel.at((s.lift, s.value + way * (s.sigma or 0.0))) for s in stretch] for way in (2, -2))
        if len(stretch) > 1:
            drawing.polygon([*over, *reversed(under)], None, SHADE)
        elif stretch:
            drawing.line(*under[0], *over[0], Pen(0.8, SHADE))
        stretch = []
