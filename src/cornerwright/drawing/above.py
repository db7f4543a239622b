"""The car from above, front at the top, each corner with what to turn there and a box to tick."""

from __future__ import annotations

from dataclasses import dataclass

from cornerwright.drawing.lettering import (
    PLACES,
    SMALLEST,
    clip,
    counted,
    figure,
    place_words,
    text_width,
    wrap,
)
from cornerwright.drawing.svg import FINE, INK, OUTLINE, PAPER, SHADE, SOFT, Drawing, Pen
from cornerwright.model.results_plan import Move, PlanResult

MIDDLE = 50.0
"""Width of the car between the corners' boxes [mm of paper]."""
GUTTER = 1.5
NARROWEST = 170.0
AXLES = ("front", "rear")


@dataclass(frozen=True)
class Look:
    """Lettering and boxes of one size: text [mm of paper], whether settings are written out."""

    text: float = SMALLEST
    settings: bool = True
    lines: int = 3
    """Lines that the words of one move may take; longer words end in an ellipsis."""

    @property
    def tick(self) -> float:
        """Side of a tick box [mm of paper]."""
        return 1.5 * self.text

    @property
    def pitch(self) -> float:
        """Line pitch [mm of paper]."""
        return 1.2 * self.text


@dataclass(frozen=True)
class _Row:
    """One move: its stage's number, its adjuster and amount, its words in lines."""

    badge: str
    name: tuple[str, ...]
    amount: tuple[str, ...]
    words: tuple[str, ...]
    beside: bool
    """Whether name and amount stand in one line."""

    def height(self, look: Look) -> float:
        lines = len(self.name) + len(self.words) + (0 if self.beside else len(self.amount))
        return max(look.tick + 0.8, look.pitch * lines) + 0.9


def stage_numbers(plan: PlanResult) -> dict[str, str]:
    """The number by which the drawing and the list of stages call each stage."""
    return {stage.name: str(k) for k, stage in enumerate(plan.stages, start=1)}


def car_from_above(
    plan: PlanResult, width_mm: float = 190.0, look: Look | None = None, least_mm: float = 66.0
) -> Drawing:
    """The car from above with every move at its corner, bars in the middle.

    width_mm: width of the page, at least 170. least_mm: least height; the page grows with its moves.
    Raises ValueError for a narrower page, lettering under 8 points, or a move at an unknown place.
    """
    look = look or Look()
    if width_mm < NARROWEST:
        raise ValueError(f"a car needs a page of at least {NARROWEST:g} mm, not {width_mm:g}")
    if look.text < SMALLEST - 1e-9:
        raise ValueError("lettering must be at least 8 points")
    side = (width_mm - MIDDLE) / 2 - GUTTER
    rows = _rows(plan, look, side)
    heads = look.pitch + 2.6
    tall = {
        place: heads + sum(row.height(look) for row in rows[place]) + 1.0 if rows[place] else heads + look.pitch + 2.0
        for place in PLACES
    }
    bars = {axle: heads + sum(row.height(look) for row in rows[axle]) + 1.0 for axle in AXLES}
    bars = {axle: height if rows[axle] else 0.0 for axle, height in bars.items()}
    front = max(tall["front_left"], tall["front_right"])
    rear = max(tall["rear_left"], tall["rear_right"])
    height = max(least_mm, front + rear + 4.0, bars["front"] + bars["rear"] + 34.0)
    drawing = Drawing(width_mm, height, f"{plan.car} from above: what to turn at each corner")
    sides = {"left": 0.25, "right": width_mm - side - 0.25}
    _car(drawing, (width_mm - MIDDLE) / 2, height)
    for place in PLACES:
        x = sides[place.split("_")[1]]
        y = 0.25 if place.startswith("front") else height - tall[place] - 0.25
        _box(drawing, place_words(place), rows[place], x, y, side, tall[place], look)
        _leader(drawing, place, width_mm, side, y + heads / 2, height)
    inset = (width_mm - MIDDLE) / 2 + 6.0
    for axle in AXLES:
        if rows[axle]:
            y = 15.0 if axle == "front" else height - bars[axle] - 9.0
            title = f"{axle} bar"
            _box(drawing, title, rows[axle], inset, y, MIDDLE - 12.0, bars[axle], look)
    return drawing


def _rows(plan: PlanResult, look: Look, side: float) -> dict[str, list[_Row]]:
    rows: dict[str, list[_Row]] = {place: [] for place in (*PLACES, *AXLES)}
    numbers = stage_numbers(plan)
    order = {name: k for k, name in enumerate(numbers)}
    for move in sorted(plan.moves, key=lambda move: order.get(move.stage, len(order))):
        if move.corner not in rows:
            raise ValueError(f"{move.adjuster}: there is no place {move.corner!r} on a car")
        room = (side if move.corner in PLACES else MIDDLE - 12.0) - _indent(look) - 1.5
        rows[move.corner].append(_row(move, numbers.get(move.stage, ""), look, room))
    return rows


def _indent(look: Look) -> float:
    """Where a row's text begins: tick box, stage number."""
    return 1.5 + look.tick + 1.2 + 1.32 * look.text + 1.4


def _row(move: Move, badge: str, look: Look, room: float) -> _Row:
    name = adjuster_words(move)
    amount = counted(move.amount, move.unit)
    left = room - text_width(amount + " ", look.text)
    beside = text_width(name, look.text) <= left
    names = (name,) if beside else wrap(name, look.text, room, 2)
    amounts = (amount,) if beside else wrap(amount, look.text, room)
    words = wrap(move.do, look.text, room, look.lines)
    if look.settings:
        before, after = (figure(mm, 1) for mm in (move.from_mm, move.to_mm))
        words += wrap(f"{before} to {after} mm", look.text, room)
    return _Row(badge, names, amounts, words, beside)


def adjuster_words(move: Move) -> str:
    """The adjuster's name without its place, which the box already says."""
    return place_words(move.adjuster.rsplit(".", 1)[-1])


def _box(
    drawing: Drawing,
    title: str,
    rows: list[_Row],
    x: float,
    y: float,
    width: float,
    height: float,
    look: Look,
) -> None:
    """A corner's or bar's moves under its name."""
    drawing.rect(x, y, width, height, OUTLINE, PAPER)
    bar = look.pitch + 1.6
    drawing.rect(x, y, width, bar, None, INK if rows else SHADE)
    middle = y + bar / 2 + 0.36 * look.text
    drawing.text(
        x + 1.5,
        middle,
        clip(title.upper(), look.text, width - 3.0),
        look.text,
        bold=True,
        colour=PAPER if rows else INK,
    )
    top = y + bar + 1.0
    if not rows:
        words = clip("nothing to turn here", look.text, width - 3.0)
        drawing.text(x + 1.5, top + 0.95 * look.text, words, look.text, colour=SOFT)
    indent = _indent(look)
    for k, row in enumerate(rows):
        if k:
            drawing.line(x, top - 0.4, x + width, top - 0.4, Pen(0.13, SOFT))
        drawing.rect(x + 1.5, top + 0.4, look.tick, look.tick, OUTLINE, PAPER)
        text = top + 0.95 * look.text + 0.2
        if row.badge:
            radius = 0.66 * look.text
            centre = x + 1.5 + look.tick + 1.2 + radius
            drawing.circle(centre, top + 0.4 + look.tick / 2, radius, FINE, PAPER)
            drawing.text(
                centre,
                top + 0.4 + look.tick / 2 + 0.3 * look.text,
                row.badge,
                0.8 * look.text,
                "middle",
                bold=True,
            )
        right = x + width - 1.5
        for line in row.name:
            drawing.text(x + indent, text, line, look.text, bold=True)
            text += look.pitch
        if row.beside:
            text -= look.pitch
        for line in row.amount:
            drawing.text(right, text, line, look.text, "end", bold=True)
            text += look.pitch
        for line in row.words:
            drawing.text(x + indent, text, line, look.text)
            text += look.pitch
        top += row.height(look)


def _car(drawing: Drawing, x: float, height: float) -> None:
    """A neutral shape of our own: body, glass, four wheels; front at the top."""
    left, right, top, end = x + 5.0, x + MIDDLE - 5.0, 1.0, height - 1.0
    middle = x + MIDDLE / 2
    length = end - top
    for across in (left - 2.2, right - 2.8):
        for along in (0.2, 0.8):
            wheel = min(15.0, 0.2 * length)
            drawing.rect(across, top + along * length - wheel / 2, 5.0, wheel, FINE, INK, 1.2)
    bend = min(10.0, 0.14 * length)
    body: list[tuple[str, *tuple[float, ...]]] = [
        ("M", left + 7.0, top + 0.4 * bend),
        ("Q", middle, top - 0.4 * bend, right - 7.0, top + 0.4 * bend),
        ("Q", right, top + 0.7 * bend, right, top + 2.0 * bend),
        ("L", right, end - bend),
        ("Q", right, end, right - 6.0, end),
        ("L", left + 6.0, end),
        ("Q", left, end, left, end - bend),
        ("L", left, top + 2.0 * bend),
        ("Q", left, top + 0.7 * bend, left + 7.0, top + 0.4 * bend),
        ("Z",),
    ]
    drawing.path(body, OUTLINE, PAPER)
    glass = Pen(0.25, SOFT)
    for y, lean in ((top + 0.36 * length, 1), (top + 0.8 * length, -1)):
        drawing.path(
            [
                ("M", left + 3.5, y),
                ("Q", middle, y - lean * 3.0, right - 3.5, y),
                ("L", right - 6.0, y + lean * 0.08 * length),
                ("Q", middle, y + lean * (0.08 * length - 2.0), left + 6.0, y + lean * 0.08 * length),
                ("Z",),
            ],
            glass,
            SHADE,
        )
    drawing.polygon([(middle, 4.0), (middle - 2.2, 8.0), (middle + 2.2, 8.0)], None, INK)
    drawing.text(middle, 12.4, "FRONT", SMALLEST, "middle", bold=True)


def _leader(drawing: Drawing, place: str, width: float, side: float, y: float, height: float) -> None:
    """From a corner's box to its wheel."""
    along = 0.2 if place.startswith("front") else 0.8
    wheel_y = 1.0 + along * (height - 2.0)
    if place.endswith("left"):
        ends = side + 0.25, (width - MIDDLE) / 2 + 4.0
    else:
        ends = width - side - 0.25, (width + MIDDLE) / 2 - 4.0
    drawing.line(ends[0], y, ends[1], wheel_y, FINE)
    drawing.circle(ends[1], wheel_y, 0.8, FINE, PAPER)
