"""The picture to choose parts from: what each choice costs, how far it is from the wishes, and where each wish lies."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.drawing.lettering import LEADING, MINUS, figure, text_width, ticks, wrap
from cornerwright.drawing.panel import MARGIN, SIZE, Panel, heading, put_lines, put_note
from cornerwright.drawing.svg import FINE, INK, MARK, PAPER, SHADE, THIN, Drawing, Pen, Spot
from cornerwright.model.results_choose import Choice, ChooseResult

NARROWEST = 90.0
AXIS = 13.0
"""Room for the figures left of the panel [mm of paper]."""
BALL = 2.7
"""Radius of a letter's ring [mm of paper]."""
LEVEL = 5.8
"""From one row of letters to the next [mm of paper]."""
BEST = Pen(0.7, MARK)

TITLES = {
    "front_frequency_hz": ("front ride frequency, Hz", 2),
    "rear_frequency_hz": ("rear ride frequency, Hz", 2),
    "front_damping_percent": ("front damping, % of critical", 0),
    "rear_damping_percent": ("rear damping, % of critical", 0),
    "roll_deg_per_g": ("roll, deg per g", 2),
    "front_transfer_percent": ("front share of the load that goes over, %", 1),
    "understeer_deg_per_g": ("understeer, deg per g", 2),
    "limit_push_percent": ("push at the limit, % of grip", 1),
    "stroke_used_percent": ("stroke used, %", 0),
}


def answer(result: ChooseResult) -> str:
    """What the shelf says, in a sentence."""
    if not result.choices:
        return "NOTHING FITS: no set of parts from this shelf keeps the car's hard limits."
    first = result.choices[0]
    cost = f"{first.price:.0f} {result.currency}"
    if result.verdict == "meets all wishes":
        meets = [one for one in result.choices if one.meets_all]
        others = " The others give something up." if len(meets) < len(result.choices) else ""
        if len(meets) == 1:
            return f"{first.letter} meets every wish, for {cost}.{others}"
        return f"{', '.join(one.letter for one in meets)} meet every wish, {first.letter} for {cost}.{others}"
    return f"No choice meets every wish. {first.letter} comes nearest, for {cost}: it gives up {first.gives_up}."


def parts_of(choice: Choice) -> str:
    """The parts of a choice in one line."""
    if not choice.parts:
        return "the parts that are on the car"
    return ", ".join(f"{one.place} {one.part}: {one.puts_in}" for one in choice.parts)


def choice_charts(result: ChooseResult, width_mm: float = 180.0, panel_mm: float = 50.0) -> Drawing:
    """Price against distance from the wishes, a strip for each wish, and the choices by letter.

    Raises ValueError for a page under 90 mm or a panel under 30 mm.
    """
    if width_mm < NARROWEST or panel_mm < 30.0:
        raise ValueError(f"the choice's picture needs a page of {NARROWEST:g} mm and a panel of 30 mm at least")
    drawing = Drawing(width_mm, 0.0, f"{result.car}: choice of parts")
    room = width_mm - 2 * MARGIN
    y = heading(drawing, "Choice of parts", (*wrap(result.car, SIZE, room, 2), *wrap(answer(result), SIZE, room)))
    if result.choices:
        y = _scatter(drawing, result, y + 3.0, panel_mm)
        for key in TITLES:
            asked = [one.figures[key] for one in result.choices if key in one.figures]
            if asked and (asked[0].low is not None or asked[0].high is not None):
                y = _strip(drawing, key, result.choices, y + 3.0)
        y += 3.0
        for one in result.choices:
            y = _entry(drawing, one, result.currency, y)
    for way in result.in_the_way:
        words = f"{TITLES[way.wish][0].split(',')[0] if way.wish in TITLES else way.wish}: {way.says}."
        y = put_note(drawing, words, y)
    drawing.height = y + 2.0
    return drawing


def _ball(drawing: Drawing, x: float, y: float, one: Choice) -> None:
    drawing.circle(x, y, BALL, BEST if one.meets_all else FINE, PAPER)
    drawing.text(x, y + 0.36 * SIZE, one.letter, SIZE, "middle", bold=one.meets_all)


def _outside(one: Choice) -> float:
    return sum(told.outside or 0.0 for told in one.figures.values()) + (one.price_outside or 0.0)


def _scatter(drawing: Drawing, result: ChooseResult, y: float, tall: float) -> float:
    choices = result.choices
    left, width = MARGIN + AXIS, drawing.width - AXIS - 8.0
    for line in wrap("outside the wishes, tolerances added up; 0: every wish is met", SIZE, drawing.width - 6.0, 2):
        drawing.text(3.0, y + 2.0, line, SIZE, bold=True)
        y += LEADING * SIZE
    top = y + 1.4
    high = 1.2 * max(*(_outside(one) for one in choices), 0.5)
    dear = max(*(one.price for one in choices), 1.0) * 1.08
    panel = Panel((left, top, width, tall), (-0.06 * dear, dear), (-0.12 * high, high))
    drawing.rect(*panel.frame, FINE)
    zero = panel.y(0.0)
    drawing.rect(left, zero, width, top + tall - zero, None, SHADE)
    drawing.line(left, zero, left + width, zero, Pen(0.4, MARK))
    for value in ticks(0.0, high, 6)[0]:
        drawing.text(left - 1.6, panel.y(value) + 0.36 * SIZE, f"{value:g}", SIZE, "end")
    for value in ticks(0.0, dear, 5)[0]:
        x = panel.x(value)
        drawing.line(x, top + tall, x, top + tall + 1.0, THIN)
        drawing.text(x, top + tall + 4.6, f"{value:g}", SIZE, "middle")
    drawing.text(left + width, top + tall + 8.8, f"price, {result.currency}", SIZE, "end")
    taken: list[Spot] = []
    for one in sorted(choices, key=lambda c: (c.price, _outside(c))):
        spot = panel.at((one.price, _outside(one)))
        place = _free(spot, taken, (left + BALL, left + width - BALL), (top + BALL, top + tall - BALL))
        if abs(place[0] - spot[0]) + abs(place[1] - spot[1]) > 0.2:
            drawing.line(*spot, *place, THIN)
            drawing.circle(*spot, 0.6, None, INK)
        taken.append(place)
    for one, place in zip(sorted(choices, key=lambda c: (c.price, _outside(c))), taken, strict=True):
        _ball(drawing, *place, one)
    return top + tall + 10.0


def _free(spot: Spot, taken: list[Spot], xs: tuple[float, float], ys: tuple[float, float]) -> Spot:
    """The place nearest to a spot where a letter's ring overlaps none that is there."""
    step = 2.0 * BALL + 0.4
    tries = [(i, j) for i in range(-6, 7) for j in range(-6, 7)]
    for i, j in sorted(tries, key=lambda ij: (ij[0] ** 2 + ij[1] ** 2, ij[1] > 0, ij[0] < 0)):
        x = min(max(spot[0] + i * step, xs[0]), xs[1])
        y = min(max(spot[1] + j * step, ys[0]), ys[1])
        if all((x - a) ** 2 + (y - b) ** 2 >= (2.0 * BALL + 0.3) ** 2 for a, b in taken):
            return x, y
    return spot


def _strip(drawing: Drawing, key: str, choices: Sequence[Choice], y: float) -> float:
    """One wish: its range shaded, each choice's letter over its value."""
    title, places = TITLES[key]
    known = [(one, one.figures[key].value) for one in choices]
    here = [(one, value) for one, value in known if value is not None]
    first = choices[0].figures[key]
    edges = [edge for edge in (first.low, first.high) if edge is not None]
    values = [*(value for _, value in here), *edges]
    span = max(max(values) - min(values), 10.0**-places)
    low, high = min(values) - 0.12 * span, max(values) + 0.12 * span
    left, width = 3.0 + BALL, drawing.width - 6.0 - 2.0 * BALL

    def x_of(value: float) -> float:
        return left + width * (value - low) / (high - low)

    rows: list[float] = []
    spots = []
    for one, value in sorted(here, key=lambda pair: pair[1]):
        x = x_of(value)
        row = next((k for k, end in enumerate(rows) if x - end >= 2.0 * BALL + 0.4), len(rows))
        if row == len(rows):
            rows.append(x)
        rows[row] = x
        spots.append((one, x, row))
    drawing.text(3.0, y + 2.4, title, SIZE, bold=True)
    base = y + 4.5 + LEVEL * max(len(rows), 1)
    begin = x_of(first.low) if first.low is not None else left - BALL
    end = x_of(first.high) if first.high is not None else left + width + BALL
    drawing.rect(begin, y + 4.0, end - begin, base - y - 4.0, None, SHADE)
    drawing.line(left - BALL, base, left + width + BALL, base, FINE)
    for edge in edges:
        drawing.line(x_of(edge), y + 4.0, x_of(edge), base, Pen(0.4, MARK))
    for value in ticks(low, high, max(2, int(width / 22.0)))[0]:
        drawing.line(x_of(value), base, x_of(value), base + 1.0, THIN)
        words = f"{value:.6g}".replace("-", MINUS)
        room = text_width(words, SIZE) / 2.0
        drawing.text(min(max(x_of(value), 3.0 + room), drawing.width - 3.0 - room), base + 4.4, words, SIZE, "middle")
    for _, x, row in spots:
        drawing.line(x, base, x, base - 3.1 - LEVEL * row, THIN)
    for one, x, row in spots:
        _ball(drawing, x, base - 3.1 - LEVEL * row, one)
    missing = [one.letter for one, value in known if value is None]
    if missing:
        words = f"not computed: {', '.join(missing)}"
        return put_note(drawing, words, base + 8.4) - 1.4
    return base + 6.0


def _entry(drawing: Drawing, one: Choice, currency: str, y: float) -> float:
    indent = 3.0 + 2.0 * BALL + 2.0
    room = drawing.width - indent - 3.0
    _ball(drawing, 3.0 + BALL, y + 1.0, one)
    cost = f"{figure(one.price)} {currency}" + (" and parts without a price" if one.unpriced else "")
    drawing.text(indent, y + 2.0, f"{cost}, {figure(one.minutes / 60.0, 1)} h", SIZE, bold=True)
    lines = (*wrap(parts_of(one), SIZE, room), *wrap(f"gives up {one.gives_up}", SIZE, room))
    return put_lines(drawing, lines, y + 2.0 + LEADING * SIZE, indent) + 2.4
