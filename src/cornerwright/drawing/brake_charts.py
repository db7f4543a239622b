"""Charts of the brakes: forces against the ideal ones, grip used with the regulation's limits, heat over a run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cornerwright.drawing.lettering import LEADING, clip, text_width, wrap
from cornerwright.drawing.panel import (
    AXIS,
    CURVES,
    LIMIT,
    MARGIN,
    SIZE,
    Panel,
    Span,
    heading,
    legend,
    named_frame,
    put_note,
)
from cornerwright.drawing.svg import HIDDEN, INK, MARK, SHADE, SOFT, Drawing, Pen, Spot
from cornerwright.model.results_brakes import BrakesResult, HeatRun

NARROWEST = 140.0
FRONT, REAR, IDEAL = CURVES[0], CURVES[1], Pen(1.0, SOFT)
FLUID_FRONT, FLUID_REAR = CURVES[2], CURVES[4]
ADHESION = (0.2, 0.8)
ORDER = (0.15, 0.8)
"""Ranges of UN Regulation No. 13-H, Annex 5, as in `mechanics.braking`."""


@dataclass(frozen=True)
class Curve:
    """A line through spots of data, and its name in the legend; no name: not in the legend."""

    name: str
    spots: Sequence[Spot]
    pen: Pen


def brake_charts(result: BrakesResult, width_mm: float = 180.0, panel_mm: float = 58.0) -> Drawing:
    """Three panels one below the other: brake forces, grip used, temperatures.

    width_mm: width of the page, at least 140; panel_mm: height of one panel, at least 40. Raises
    ValueError for a smaller page.
    """
    if width_mm < NARROWEST or panel_mm < 40.0:
        raise ValueError(f"brake charts need a page of at least {NARROWEST:g} mm and panels of at least 40 mm")
    drawing = Drawing(width_mm, 0.0, f"{result.car}: brakes")
    wet = ", pads wet" if result.wet else ", pads dry"
    words = f"{result.car}, {_load_words(result.load)}{wet}"
    y = heading(drawing, "Brakes", wrap(words, SIZE, width_mm - 2 * MARGIN, 2))
    for make in (_forces, _grip, _heat):
        y = make(drawing, result, y + 3.0, width_mm, panel_mm)
    drawing.height = y + 2.0
    return drawing


def _load_words(load: str) -> str:
    return {"light": "as light as it gets", "driven": "loaded as driven", "full": "with all loads aboard"}[load]


def _forces(drawing: Drawing, result: BrakesResult, y: float, width: float, tall: float) -> float:
    rows = result.rows
    actual = [(0.0, 0.0), *((row.front_n / 1e3, row.rear_n / 1e3) for row in rows)]
    ideal = [(0.0, 0.0), *((row.ideal_front_n / 1e3, row.ideal_rear_n / 1e3) for row in rows)]
    spots = [*actual, *ideal]
    across, up = _span([x for x, _ in spots]), (0.0, 1.15 * max(v for _, v in spots))
    curves = [Curve("ideal: both axles use the same grip", ideal, IDEAL), Curve("this car", actual, FRONT)]
    panel = _panel(drawing, "brake forces, kN", "front, kN", (across, up), curves, (y, width, tall))
    marked = [row for row in rows if abs(row.rate_g * 5 - round(row.rate_g * 5)) < 1e-6]
    for row in marked:
        at = panel.at((row.front_n / 1e3, row.rear_n / 1e3))
        drawing.circle(*at, 0.8, None, INK)
        words = f"{row.rate_g:.1f} g"
        if row.rear_n > row.ideal_rear_n * row.front_n / row.ideal_front_n:
            drawing.text(at[0] - 1.0, at[1] - 1.2, words, SIZE, "end")
        elif at[0] + 2.0 + text_width(words, SIZE) < panel.x(across[1]):
            drawing.text(at[0] + 1.0, at[1] + 3.6, words, SIZE)
    note = "rear, kN, upward; above the ideal line the rear locks first; figures: deceleration"
    return _foot(drawing, curves, note, y + tall + 19.0)


def _grip(drawing: Drawing, result: BrakesResult, y: float, width: float, tall: float) -> float:
    rows = [row for row in result.rows if row.rate_g <= 1.0 + 1e-9]
    most = 1.2
    front = [(row.rate_g, row.front_grip) for row in rows if row.front_grip <= most]
    rear = [(row.rate_g, row.rear_grip) for row in rows if row.rear_grip is not None and row.rear_grip <= most]
    low, high = ADHESION
    limit = [(0.1 + 0.7 * (k - 0.2), k) for k in (low, high)]
    across, up = (0.0, 1.05), (0.0, most)
    curves = [
        Curve("front", front, FRONT),
        Curve("rear", rear, REAR),
        Curve("most by UN R13-H Annex 5", limit, LIMIT),
        Curve("all the grip used", [(0.0, 0.0), (1.05, 1.05)], Pen(0.25, SOFT)),
    ]
    panel = _panel(drawing, "grip used", "deceleration, g", (across, up), curves, (y, width, tall))
    for z in ORDER:
        drawing.line(panel.x(z), panel.y(up[1]), panel.x(z), panel.y(up[0]), HIDDEN)
    note = "between the dashed uprights (0.15 and 0.8 g) the rear may not be above the front; limits as remembered"
    return _foot(drawing, curves, note, y + tall + 19.0)


def _heat(drawing: Drawing, result: BrakesResult, y: float, width: float, tall: float) -> float:
    heat = result.heat
    minutes = [sample.time_s / 60.0 for sample in heat.samples]
    across = _span(minutes)
    curves = [
        Curve("front rotors", _hotter(heat, "rotor_degc", "front"), FRONT),
        Curve("rear rotors", _hotter(heat, "rotor_degc", "rear"), REAR),
        Curve("fluid, front", _hotter(heat, "fluid_degc", "front"), FLUID_FRONT),
        Curve("fluid, rear", _hotter(heat, "fluid_degc", "rear"), FLUID_REAR),
    ]
    limits = [("fluid boils", heat.boiling_degc)]
    for end in ("front", "rear"):
        limits.append((f"{end} pads' limit", min(v for k, v in heat.pad_limit_degc.items() if k.startswith(end))))
    hottest = max(value for curve in curves for _, value in curve.spots)
    shown = [(name, at) for name, at in limits if at < 2.2 * max(hottest, 60.0)]
    up = (0.0, 1.1 * max([hottest, *(at for _, at in shown)]))
    panel = _panel(drawing, "temperature, °C", "time, min", (across, up), curves, (y, width, tall))
    left, _, wide, _ = panel.frame
    taken: list[float] = []
    for name, at in sorted(shown, key=lambda one: one[1]):
        v = panel.y(at)
        drawing.line(left, v, left + wide, v, LIMIT)
        words = clip(f"{name} {at:.0f}", SIZE, wide - 4.0)
        # Names of limits that lie close together stand side by side.
        x = left + wide - 1.5
        if taken and abs(taken[-1] - v) < LEADING * SIZE:
            x -= 62.0
        taken.append(v)
        drawing.text(x, v - 0.8, words, SIZE, "end", colour=MARK)
    beyond = [f"{name} {at:.0f} °C" for name, at in limits if (name, at) not in shown]
    note = heat.what + ("; beyond this chart: " + ", ".join(beyond) if beyond else "")
    return _foot(drawing, curves, note, y + tall + 19.0)


def _hotter(heat: HeatRun, what: str, end: str) -> list[Spot]:
    """The hotter side of an axle over the run [min, degC]."""
    return [
        (sample.time_s / 60.0, max(v for k, v in getattr(sample, what).items() if k.startswith(end)))
        for sample in heat.samples
    ]


# ------------------------------------------------------------------ a panel


def _span(values: Sequence[float]) -> Span:
    """From none to a little over the most."""
    return 0.0, 1.05 * max([*values, 1e-3])


def _panel(
    drawing: Drawing,
    title: str,
    along: str,
    spans: tuple[Span, Span],
    curves: Sequence[Curve],
    room: tuple[float, float, float],
) -> Panel:
    """Frame, axes and curves."""
    y, wide, tall = room
    frame = (MARGIN + AXIS, y + 5.5, wide - AXIS - 8.0, tall)
    panel = Panel(frame, *spans)
    named_frame(drawing, frame, title, along)
    panel.axes(drawing)
    for curve in curves:
        inside = [panel.at(one) for one in curve.spots if one[1] <= panel.up[1] and one[0] <= panel.across[1]]
        if len(inside) > 1:
            drawing.polyline(inside, curve.pen)
        elif inside:
            drawing.circle(*inside[0], 0.6, None, curve.pen.colour)
        else:
            drawing.text(frame[0] + frame[2] / 2, frame[1] + tall / 2, "not known", SIZE, "middle", colour=SHADE)
    return panel


def _foot(drawing: Drawing, curves: Sequence[Curve], note: str, y: float) -> float:
    """Legend and note; returns the y below them."""
    y = legend(drawing, [(curve.name, curve.pen) for curve in curves], y)
    return put_note(drawing, note, y + LEADING * SIZE + 0.8)
