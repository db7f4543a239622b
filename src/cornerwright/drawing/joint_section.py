"""A wheel on its hub in section through one stud or bolt, to scale, with its dimensions.

Along the page: the stud's axis, inboard on the left. Hub, spacer and wheel are cut and hatched; stud, bolt and nut
are not cut (common practice after ISO 128-3, from memory). Each dimension has a row of its own; its words stand in
a column on the right, so that no two can meet.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cornerwright.drawing.lettering import LEADING, clip, figure, place_words, text_width, wrap
from cornerwright.drawing.scales import SCALES, scale_bar
from cornerwright.drawing.svg import CENTRE, HIDDEN, INK, MARK, OUTLINE, PAPER, SHADE, THIN, Drawing, Pen, Spot
from cornerwright.model.results_joint import JointAnswer, WheelStack

SIZE = 2.9
"""Lettering [mm of paper], a little over 8 points."""
MARGIN = 4.0
COLUMN = 62.0
"""Width of the words on the right [mm of paper]."""
ROW = 5.4
NARROWEST = 150.0

SEAT_WIDTH = 0.35
"""Width of the ring that a seat bears on, over the thread's diameter, as drawn."""

HATCH = Pen(0.13, INK)


@dataclass(frozen=True)
class _View:
    """From millimetres along the stud (outwards) and from its axis (up) to the page."""

    scale: float
    zero: float
    axis: float

    def __call__(self, x: float, y: float) -> Spot:
        return self.zero + x / self.scale, self.axis - y / self.scale


@dataclass(frozen=True)
class _Shape:
    """Outlines [mm along the stud from the hub's face, mm from its axis], the upper side."""

    stack: WheelStack
    half: float
    """Half of the thread's diameter."""
    core: float
    top: float
    bottom: float
    """How far the parts are drawn, up and down from the axis."""
    spigot: float | None
    """Spigot's face below the axis; None: its diameter is not known."""

    @property
    def seat(self) -> float:
        """Middle of the seat."""
        return self.stack.spacer_mm + self.stack.pad_mm

    @property
    def ring(self) -> tuple[float, float]:
        """Inner and outer radius of the ring that bears."""
        middle, wide = self.stack.seat_diameter_mm / 2.0, SEAT_WIDTH * self.half
        return max(middle - wide, self.half * 1.04), middle + wide

    def seat_line(self, words: str) -> list[Spot]:
        """A seat from its inner to its outer edge, as these words of it say."""
        inner, outer = self.ring
        middle = self.stack.seat_diameter_mm / 2.0
        if words.startswith("cone"):
            slope = math.tan(math.radians(float(words.removeprefix("cone ").removesuffix("°")) / 2.0))
            return [(self.seat + (r - middle) / slope, r) for r in (inner, outer)]
        if words.startswith("ball"):
            radius = max(float(words.removeprefix("ball R ").removesuffix(" mm")), outer * 1.02)
            centre = self.seat + math.sqrt(radius**2 - middle**2)
            return [
                (centre - math.sqrt(radius**2 - r**2), r) for r in (inner + (outer - inner) * k / 8 for k in range(9))
            ]
        return [(self.seat, inner), (self.seat, outer)]

    @property
    def face(self) -> float:
        """Outer face of the wheel: no nearer than its seat's outer edge."""
        return max(self.seat, *(x for x, _ in self.seat_line(self.stack.wheel_seat))) + 0.5


def _shape(joint: JointAnswer, stack: WheelStack) -> _Shape:
    half = joint.diameter_mm / 2.0
    top = max(stack.seat_diameter_mm / 2.0 + 6.0, 3.4 * half)
    spigot = None
    if stack.spigot_diameter_mm is not None:
        spigot = (stack.pitch_circle_mm - stack.spigot_diameter_mm) / 2.0
    bottom = top if spigot is None else max(spigot + 8.0, top)
    return _Shape(stack, half, joint.core_diameter_mm / 2.0, top, bottom, spigot)


def wheel_section(joint: JointAnswer, car: str, width_mm: float = 180.0) -> Drawing:
    """The section of a wheel's joint, to scale. Raises ValueError for another joint or too narrow a page."""
    if joint.wheel is None:
        raise ValueError("only a wheel's joint has a section")
    if width_mm < NARROWEST:
        raise ValueError(f"a section needs a page of at least {NARROWEST:g} mm, not {width_mm:g}")
    stack = joint.wheel
    shape = _shape(joint, stack)
    rows = list(_rows(joint, stack, shape))
    low, high = _ends(joint, shape)
    room = width_mm - 2 * MARGIN - COLUMN - 6.0
    scale = next(
        (one for one in SCALES if (high - low) / one <= room and (shape.top + shape.bottom) / one <= 150.0), None
    )
    if scale is None:
        raise ValueError("the stack is too long for any scale of the drawing")

    drawing = Drawing(width_mm, 0.0, f"{car}: {place_words(joint.place)}, wheel on its hub in section")
    y = _header(drawing, joint, car, scale)
    upper = [row for row in rows if row.above]
    lower = [row for row in rows if not row.above]
    axis = y + ROW * len(upper) + 4.0 + shape.top / scale
    view = _View(scale, MARGIN + 3.0 - low / scale, axis)
    _parts(drawing, shape, view)
    _fastener(drawing, shape, view)
    ends = view(low, 0)[0] - 2.0, view(high, 0)[0] + 2.0
    drawing.line(ends[0], axis, ends[1], axis, CENTRE)
    column = width_mm - MARGIN - COLUMN
    for k, row in enumerate(reversed(upper)):
        _dimension(drawing, row, view, view(0, shape.top)[1] - 4.0 - ROW * k, column)
    for k, row in enumerate(lower):
        _dimension(drawing, row, view, view(0, -shape.bottom)[1] + 5.0 + ROW * k, column)
    y = view(0, -shape.bottom)[1] + 6.0 + ROW * len(lower)
    drawing.height = _footer(drawing, joint, shape, scale, y)
    return drawing


def _ends(joint: JointAnswer, shape: _Shape) -> tuple[float, float]:
    """Leftmost and rightmost of what is drawn."""
    stack = shape.stack
    low = min(-stack.flange_mm, stack.tip_mm, stack.nut_end_mm if stack.nut_end_mm is not None else 0.0)
    high = max(stack.tip_mm, stack.nut_to_mm, shape.face, stack.nut_end_mm or 0.0, shape.seat)
    if stack.held_by == "bolt":
        high = max(high, shape.seat + 1.4 * joint.diameter_mm)
    if stack.held_by == "stud":
        high = max(high, stack.length_needed_mm)
    else:
        low = min(low, shape.seat - stack.length_needed_mm)
    return low - 2.0, high + 2.0


# ------------------------------------------------------------------- parts


def _parts(drawing: Drawing, shape: _Shape, view: _View) -> None:
    """Hub, spacer and wheel, above and below the stud."""
    stack = shape.stack
    hole = shape.half + 0.6
    threaded = shape.half
    _cut(drawing, _box(-stack.flange_mm, 0.0, threaded, shape.top), view, 45.0)
    spacer = stack.spacer_mm
    if spacer > 0.05:
        _cut(drawing, _box(0.0, spacer, hole, shape.top), view, -45.0, 1.6)
    seat = shape.seat_line(stack.wheel_seat)
    wheel: list[Spot] = [(spacer, hole), (max(spacer, min(seat[0][0], shape.face)), hole)]
    wheel += [(max(spacer, x), r) for x, r in seat]
    wheel += [(shape.face, seat[-1][1]), (shape.face, shape.top), (spacer, shape.top)]
    _cut(drawing, wheel, view, 45.0, 2.4)

    floor = shape.bottom if shape.spigot is None else shape.spigot
    chamfer = min(stack.bore_chamfer_mm, 0.4 * (floor - shape.ring[1])) if shape.spigot is not None else 0.0
    hub = _box(-stack.flange_mm, 0.0, threaded, floor)
    if shape.spigot is not None:
        out = stack.spigot_mm or 0.0
        hub = [(-stack.flange_mm, threaded), (0.0, threaded), (0.0, floor), (out, floor)]
        hub += [(out, shape.bottom), (-stack.flange_mm, shape.bottom)]
    _cut(drawing, _down(hub), view, 45.0)
    if spacer > 0.05:
        ring = _box(0.0, spacer, hole, floor)
        if shape.spigot is not None and stack.spacer_spigot_mm:
            # Its own spigot is as thick as there is room beside the hub's.
            thick = min(3.0, 0.5 * (shape.bottom - floor))
            start = min(stack.spigot_mm or 0.0, spacer)
            ring = [(0.0, hole), (spacer, hole), (spacer, floor), (spacer + stack.spacer_spigot_mm, floor)]
            ring += [(spacer + stack.spacer_spigot_mm, floor + thick), (max(start, 0.0), floor + thick)]
            ring += [(max(start, 0.0), floor), (0.0, floor)]
        _cut(drawing, _down(ring), view, -45.0, 1.6)
    wheel = [(spacer, hole), (max(spacer, min(seat[0][0], shape.face)), hole), *((max(spacer, x), r) for x, r in seat)]
    wheel += [(shape.face, seat[-1][1]), (shape.face, floor)]
    wheel += [(spacer + chamfer, floor), (spacer, floor - chamfer)]
    _cut(drawing, _down(wheel), view, 45.0, 2.4)


def _box(left: float, right: float, inner: float, outer: float) -> list[Spot]:
    return [(left, inner), (right, inner), (right, outer), (left, outer)]


def _down(spots: Sequence[Spot]) -> list[Spot]:
    return [(x, -y) for x, y in spots]


def _cut(drawing: Drawing, spots: Sequence[Spot], view: _View, angle: float, apart: float = 2.0) -> None:
    """A part that is cut: white, hatched, outlined."""
    page = [view(*spot) for spot in spots]
    drawing.polygon(page, None, PAPER)
    for start, end in hatching(page, angle, apart):
        drawing.line(*start, *end, HATCH)
    drawing.polygon(page, OUTLINE)


def hatching(spots: Sequence[Spot], angle: float, apart: float) -> Iterator[tuple[Spot, Spot]]:
    """Lines at an angle [deg] inside a closed shape, evenly apart [mm of paper]."""
    u, v = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    across = [-x * v + y * u for x, y in spots]
    first, last = math.ceil(min(across) / apart), math.floor(max(across) / apart)
    for k in range(first, last + 1):
        level = (k + 1e-7) * apart
        along = []
        for (x1, y1), (x2, y2) in zip(spots, [*spots[1:], spots[0]], strict=True):
            a, b = -x1 * v + y1 * u - level, -x2 * v + y2 * u - level
            if (a < 0) != (b < 0):
                share = a / (a - b)
                along.append((x1 + (x2 - x1) * share) * u + (y1 + (y2 - y1) * share) * v)
        along.sort()
        for start, end in zip(along[::2], along[1::2], strict=False):
            yield (start * u - level * v, start * v + level * u), (end * u - level * v, end * v + level * u)


def _fastener(drawing: Drawing, shape: _Shape, view: _View) -> None:
    """Stud and nut, or bolt."""
    stack = shape.stack
    half, core = shape.half, shape.core
    seat = shape.seat_line(stack.nut_seat)
    outer = max(seat[-1][1], 1.5 * half)
    if stack.held_by == "stud":
        _nut(drawing, shape, view, seat, outer)
        root, tip = -stack.flange_mm, stack.tip_mm
        _bar(drawing, view, root, tip, half)
        _thread_lines(drawing, view, stack.plain_mm, tip, core)
        if stack.nut_end_mm is not None:
            _mirrored_line(drawing, view, stack.nut_end_mm, half)
        return
    end = shape.seat + 1.3 * 2 * half
    head = [(seat[0][0], half), *seat, (max(seat[-1][0], shape.seat), outer), (end, outer), (end, 0.0)]
    _solid(drawing, view, head)
    _bar(drawing, view, stack.tip_mm, seat[0][0], half)
    _thread_lines(drawing, view, stack.tip_mm, min(shape.seat - stack.plain_mm, seat[0][0]), core)
    if stack.nut_end_mm is not None:
        _mirrored_line(drawing, view, stack.nut_end_mm, 1.6 * half)


def _nut(drawing: Drawing, shape: _Shape, view: _View, seat: list[Spot], outer: float) -> None:
    stack = shape.stack
    begin = min(stack.nut_from_mm, seat[0][0])
    back = stack.nut_to_mm
    upper = [(begin, shape.half), (begin, seat[0][1]), *seat, (max(seat[-1][0], shape.seat), outer)]
    if stack.nut_end_mm is not None:
        back = max(back, stack.nut_end_mm) + 1.5
        upper += [(back - 1.5, outer), (back, 0.6 * outer), (back, 0.0)]
    else:
        upper += [(back, outer), (back, shape.half)]
    _solid(drawing, view, upper)


def _solid(drawing: Drawing, view: _View, upper: Sequence[Spot]) -> None:
    whole = [*upper, *reversed(_down(upper))]
    drawing.polygon([view(*spot) for spot in whole], OUTLINE, SHADE)


def _bar(drawing: Drawing, view: _View, start: float, end: float, half: float) -> None:
    left, right = sorted((start, end))
    spots = [(left, half), (right, half), (right, -half), (left, -half)]
    drawing.polygon([view(*spot) for spot in spots], OUTLINE, PAPER)


def _thread_lines(drawing: Drawing, view: _View, start: float, end: float, core: float) -> None:
    """Root of the thread as thin lines, and where the thread ends."""
    left, right = sorted((start, end))
    for side in (1, -1):
        drawing.line(*view(left, side * core), *view(right, side * core), THIN)
    for x in (left, right):
        drawing.line(*view(x, core), *view(x, -core), THIN)


def _mirrored_line(drawing: Drawing, view: _View, x: float, half: float) -> None:
    drawing.line(*view(x, half), *view(x, -half), HIDDEN)


# ------------------------------------------------------------------- dimensions


@dataclass(frozen=True)
class _Row:
    """One dimension along the stud: from, to, from which heights its lines come, its words."""

    start: float
    end: float
    height: float
    words: str
    above: bool
    mark: bool = False


def _rows(joint: JointAnswer, stack: WheelStack, shape: _Shape) -> Iterator[_Row]:
    """Dimensions, outermost first above, innermost first below."""
    top, bottom = shape.top, -shape.bottom
    stud = stack.held_by == "stud"
    yield _Row(stack.spacer_mm, shape.seat, top, f"wheel to seat {figure(stack.pad_mm, 1)} mm", True)
    if stack.spacer_mm > 0.05:
        yield _Row(0.0, stack.spacer_mm, top, f"spacer {figure(stack.spacer_mm, 1)} mm", True)
    yield _Row(-stack.flange_mm, 0.0, top, f"hub's flange {figure(stack.flange_mm, 1)} mm", True)
    left = stack.spigot_left_mm
    if left and shape.spigot is not None:
        start = stack.spacer_mm + stack.bore_chamfer_mm
        yield _Row(start, start + left, -shape.spigot, f"wheel on spigot {figure(left, 1)} mm", False)
    turns = f"{figure(joint.engagement_turns or 0.0, 1)} turns"
    begin, end = _engaged(stack, shape)
    if end > begin:
        words = f"thread in {figure(end - begin, 1)} mm, {turns}"
        yield _Row(begin, end, -shape.half, words, False, True)
    if stud:
        yield _Row(0.0, stack.tip_mm, -shape.half, f"stud {figure(stack.tip_mm, 1)} mm", False)
        words = f"stud needed {figure(stack.length_needed_mm, 1)} mm"
        yield _Row(0.0, stack.length_needed_mm, bottom, words, False)
    else:
        words = f"bolt {figure(shape.seat - stack.tip_mm, 1)} mm"
        yield _Row(stack.tip_mm, shape.seat, -shape.half, words, False)
        words = f"bolt needed {figure(stack.length_needed_mm, 1)} mm"
        yield _Row(shape.seat - stack.length_needed_mm, shape.seat, bottom, words, False)


def _engaged(stack: WheelStack, shape: _Shape) -> tuple[float, float]:
    """Where full thread is in full thread."""
    if stack.held_by == "stud":
        return max(stack.plain_mm, stack.nut_from_mm), min(stack.tip_mm, stack.nut_to_mm)
    return max(stack.tip_mm, stack.nut_to_mm), min(0.0, shape.seat - stack.plain_mm)


def _dimension(drawing: Drawing, row: _Row, view: _View, at: float, column: float) -> None:
    pen = Pen(0.25, MARK) if row.mark else THIN
    start, end = view(row.start, row.height), view(row.end, row.height)
    drawing.dimension(start, end, at, upright=False, pen=pen)
    right = max(start[0], end[0]) + (0.0 if abs(end[0] - start[0]) >= 5.5 else 4.0)
    drawing.line(right, at, column - 1.5, at, Pen(0.13, pen.colour, (0.6, 0.9)))
    words = clip(row.words, SIZE, COLUMN)
    drawing.text(column, at + 0.35 * SIZE, words, SIZE, bold=row.mark, colour=pen.colour)


# ------------------------------------------------------------------- words


def _header(drawing: Drawing, joint: JointAnswer, car: str, scale: float) -> float:
    width = drawing.width
    said = f"scale 1:{scale:g}"
    room = width - 2 * MARGIN - text_width(said, 4.0) - 6.0
    drawing.text(MARGIN, 6.0, clip(f"{place_words(joint.place)}, wheel on its hub", 4.0, room), 4.0, bold=True)
    drawing.text(width - MARGIN, 6.0, said, 4.0, "end", bold=True)
    marking = f"{joint.thread} {joint.property_class or ''}".strip()
    y = 10.8
    for line in wrap(f"{car}: {joint.what or ''}, {marking}, section through one", SIZE, width - 2 * MARGIN, 3):
        drawing.text(MARGIN, y, line, SIZE)
        y += LEADING * SIZE
    return y


def _footer(drawing: Drawing, joint: JointAnswer, shape: _Shape, scale: float, y: float) -> float:
    """What is not seen in the picture, what is wrong, the scale bar; returns the page's height."""
    stack = shape.stack
    width = drawing.width - 2 * MARGIN
    y += 3.0
    nut = "nut" if stack.held_by == "stud" else "bolt"
    facts = [f"seat of the {nut}: {stack.nut_seat}, of the wheel: {stack.wheel_seat}"]
    if joint.torque_nm is not None and joint.torque_from == "maker":
        facts.append(f"the maker's torque: {figure(joint.torque_nm)} N·m")
    if stack.nut_end_mm is not None:
        facts.append(
            "dashed: where the stud meets the closed nut" if stack.held_by == "stud" else "dashed: end of the room"
        )
    facts.append(f"outside of {nut} and wheel drawn at a guess")
    if shape.spigot is None:
        facts.append("spigot's diameter not given: not drawn")
    for line in wrap("; ".join(facts) + ".", SIZE, width):
        drawing.text(MARGIN, y, line, SIZE)
        y += LEADING * SIZE
    for finding in joint.findings:
        if finding.level == "note":
            continue
        for line in wrap(f"{finding.level.upper()}: {finding.says}", SIZE, width, 4):
            drawing.text(MARGIN, y, line, SIZE, bold=True, colour=MARK)
            y += LEADING * SIZE
    y = scale_bar(drawing, MARGIN, y + 1.0, scale, SIZE)
    for line in wrap(
        "A check, never the maker's figure: values come from the makers of car, wheel and spacer.", SIZE, width
    ):
        drawing.text(MARGIN, y + 2.4, line, SIZE)
        y += LEADING * SIZE
    return y + 3.0
