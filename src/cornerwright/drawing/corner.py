"""One corner at one pose, seen from behind, to scale, with its dimensions.

Page, from the outboard edge inwards: labels, dimension lines, the wheel and what holds it, the
damper and the spring as ladders. A left corner has its outboard edge on the left, a right corner on
the right, as seen by someone standing behind the car.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cornerwright.drawing import ladder
from cornerwright.drawing.labels import Label, label, lane, lane_height
from cornerwright.drawing.lettering import (
    DEGREE,
    LEADING,
    clip,
    figure,
    place_words,
    text_width,
    wrap,
)
from cornerwright.drawing.members import (
    MEMBERS,
    PAST_CENTRE,
    between,
    clipped,
    coil,
    dots,
    drawn_order,
    joints,
    member,
)
from cornerwright.drawing.scales import SCALES, scale_bar
from cornerwright.drawing.svg import (
    CENTRE,
    FINE,
    HEAVY,
    HIDDEN,
    INK,
    MARK,
    OUTLINE,
    PAPER,
    SOFT,
    THIN,
    Anchor,
    Drawing,
    Pen,
    Spot,
)
from cornerwright.drawing.tyre import tyre_outline, tyre_width
from cornerwright.model.results import CornerScene

SIZE = 2.9
"""Lettering [mm of paper], a little over 8 points."""
MARGIN = 3.0
LANE = 34.0
"""Width of the outboard labels [mm of paper]."""
LADDER_ROOM = 21.5
LADDER = ladder.SYMBOL + ladder.STEM + LADDER_ROOM
PANEL = 2 * LADDER + 2.0
NARROWEST = 150.0

COIL_SHARE = 0.25
"""Of the damper's length that a spring around it does not cover, the part drawn above it: the seats'
places are not known."""


@dataclass(frozen=True)
class _View:
    """From millimetres of the car (outboard of the centre plane, over the ground) to the page."""

    scale: float
    outer: float
    edge: float
    ground: float
    width: float
    left: bool

    def __call__(self, y: float, z: float) -> Spot:
        return self.page(self.edge + (self.outer - y) / self.scale), self.ground - z / self.scale

    def page(self, inwards: float) -> float:
        """X on the page of a spot so far [mm of paper] from the outboard edge."""
        return inwards if self.left else self.width - inwards


def corner_from_behind(scene: CornerScene, width_mm: float = 180.0, picture_mm: float = 150.0) -> Drawing:
    """One corner seen from behind, to scale.

    width_mm is the width of the page, at least 150; picture_mm the greatest height of the picture
    itself, from which, with the width, the scale is chosen. The page's height follows.
    Raises ValueError for a narrower page and for lines between points that are not given.
    """
    if width_mm < NARROWEST:
        raise ValueError(f"a corner needs a page of at least {NARROWEST:g} mm, not {width_mm:g}")
    edge = MARGIN + LANE + 13.5
    room = width_mm - edge - PANEL - MARGIN - 4.0
    outer, inner, low, high = _extents(scene)
    scale = next(
        (s for s in SCALES if (outer - inner) / s <= room and (high - low) / s <= picture_mm),
        None,
    )
    if scale is None:
        raise ValueError("the corner is too large for any scale of the drawing")

    head = _Header(scene, scale, width_mm)
    view = _View(scale, outer, edge, 0.0, width_mm, scene.side == "left")
    needed = max(
        high / scale,
        ladder.heights(scene, scale) + 2.0,
        ladder.ladders_height(scene, SIZE, LADDER_ROOM),
        lane_height(_outboard_labels(scene, view), SIZE) - 2.0,
    )
    top = head.height + 9.0
    ground = top + needed
    view = _View(scale, outer, edge, ground, width_mm, scene.side == "left")

    title = f"{scene.car}: {place_words(scene.corner)} from behind, {scene.what}"
    drawing = Drawing(width_mm, 0.0, title)
    head.draw(drawing)
    inner_edge = edge + (outer - inner) / scale
    under = _ground(drawing, scene, view, inner_edge + 3.0, -min(0.0, low) / scale)
    _body_hint(drawing, scene, view)
    _members(drawing, scene, view)
    _wheel(drawing, scene, view, top)
    _dimensions(drawing, scene, view, top)
    _ladders(drawing, scene, view, top)
    drawing.height = _footer(drawing, scene, view, under)
    return drawing


def _extents(scene: CornerScene) -> tuple[float, float, float, float]:
    """Outermost and innermost y, lowest and highest z that the picture must hold [mm]."""
    tyre = tyre_outline(scene)
    inboard = [max(p[1], -PAST_CENTRE) for p in scene.points.values()]
    ys = [y for y, _ in tyre] + [scene.height_y_mm] + inboard
    zs = [z for _, z in tyre] + [scene.height_mm] + [p[2] for p in scene.points.values()]
    zs += [scene.wheel_z_mm + (scene.bump_left_mm or 0.0)]
    zs += [scene.wheel_z_mm - (scene.droop_left_mm or 0.0), 0.0]
    lip_y, lip_z = _lip(scene)
    return max(*ys, lip_y) + 5.0, min(ys) - 15.0, min(zs), max(*zs, lip_z + 60.0) + 10.0


def _lip(scene: CornerScene) -> Spot:
    """Where the hint of the body's side begins: at the height point if that is over the wheel."""
    near = abs(scene.height_y_mm - scene.wheel_y_mm) < tyre_width(scene)
    if near and scene.height_mm > scene.wheel_z_mm:
        return scene.height_y_mm, scene.height_mm
    return (
        scene.wheel_y_mm + 0.55 * tyre_width(scene),
        scene.wheel_z_mm + 1.12 * scene.tyre_radius_mm,
    )


class _Header:
    """Title, pose and scale at the top of the page."""

    def __init__(self, scene: CornerScene, scale: float, width: float) -> None:
        self.width = width
        self.scale = f"scale 1:{scale:g}"
        room = width - 2 * MARGIN - text_width(self.scale, 4.0) - 6.0
        self.title = clip(f"{place_words(scene.corner)}, from behind", 4.0, room)
        self.lines = wrap(f"{scene.car}: {scene.what}", SIZE, width - 2 * MARGIN, 3)
        self.height = 7.0 + LEADING * SIZE * len(self.lines)

    def draw(self, drawing: Drawing) -> None:
        drawing.text(MARGIN, 5.0, self.title, 4.0, bold=True)
        drawing.text(self.width - MARGIN, 5.0, self.scale, 4.0, "end", bold=True)
        for row, words in enumerate(self.lines):
            drawing.text(MARGIN, 9.6 + LEADING * SIZE * row, words, SIZE)


def _ground(drawing: Drawing, scene: CornerScene, view: _View, inner: float, dip: float) -> float:
    """Ground line, load, half-track; inner is where the picture ends [mm of paper from outboard].

    Returns the y below all of it.
    """
    y = view.ground
    start, end = MARGIN + LANE + 2.0, inner
    drawing.line(view.page(start), y, view.page(end), y, HEAVY)
    for k in range(int((end - start) / 3)):
        u = start + 3 * k
        drawing.line(view.page(u), y + 1.8, view.page(u + 1.8), y + 0.4, THIN)

    contact = view(scene.wheel_y_mm, 0.0)[0]
    row = y + 3.0 + max(0.0, dip)
    drawing.arrow((contact, row + 7.0), (contact, y + 0.6), Pen(0.5, MARK), 2.6)
    anchor: Anchor = "end" if view.left else "start"
    aside = -2.0 if view.left else 2.0
    load = f"{figure(scene.load_n)} N on the ground"
    drawing.text(contact + aside, row + 5.5, clip(load, SIZE, start), SIZE, anchor)

    at = row + 12.0
    centre = view(0.0, 0.0)[0]
    whole = abs(centre - view.page(0.0)) <= inner
    far = centre if whole else view.page(inner)
    axle = view(scene.wheel_y_mm, scene.wheel_z_mm)
    drawing.line(far, y - 6.0, far, at + 1.5, CENTRE)
    drawing.line(*axle, axle[0], at + 1.5, THIN)
    drawing.line(axle[0], at, far, at, THIN)
    drawing.head((far, at), (axle[0], at))
    drawing.head((axle[0], at), (far, at))
    if not whole:
        mid = (axle[0] + far) / 2
        zig = [(mid - 2.4, at), (mid - 0.8, at - 2.2), (mid + 0.8, at + 2.2), (mid + 2.4, at)]
        drawing.line(mid - 2.4, at, mid + 2.4, at, Pen(0.6, PAPER))
        drawing.polyline(zig, THIN)
    words = f"{figure(scene.wheel_y_mm)} mm to the centre plane"
    if not whole:
        words += " (line broken)"
    lines = wrap(words, SIZE, inner - MARGIN)
    for line_no, line in enumerate(lines):
        spot = (axle[0] + far) / 2, at + 5.6 + LEADING * SIZE * line_no
        _clamped(drawing, spot, line, view, MARGIN, end)
    return at + 5.6 + LEADING * SIZE * len(lines)


def _clamped(drawing: Drawing, spot: Spot, words: str, view: _View, outer: float, inner: float) -> None:
    """A text centred at the spot, moved to stay between outer and inner [mm from outboard]."""
    x, y = spot
    half = text_width(words, SIZE) / 2
    one, other = sorted((view.page(outer), view.page(inner)))
    drawing.text(max(one + half, min(other - half, x)), y, words, SIZE, "middle")


def _body_hint(drawing: Drawing, scene: CornerScene, view: _View) -> None:
    """A neutral hint of the body's side above the wheel; its shape says nothing."""
    y, z = _lip(scene)
    rise = 60.0
    steps: list[tuple[str, *tuple[float, ...]]] = [
        ("M", *view(y - 0.5 * tyre_width(scene), z + 0.5 * rise)),
        ("Q", *view(y - 0.1 * tyre_width(scene), z + 0.4 * rise), *view(y, z)),
        ("L", *view(y + 3.0, z + 0.3 * rise)),
        ("Q", *view(y + 4.0, z + 0.8 * rise), *view(y - 4.0, z + rise)),
    ]
    drawing.path(steps, HIDDEN)


def _members(drawing: Drawing, scene: CornerScene, view: _View) -> None:
    """The real members between the points, far ones first, then the points."""
    half = max(1.5, min(5.0, 45.0 / view.scale))
    for what, first, second in drawn_order(scene.points, scene.lines):
        ends = clipped(scene.points[first], scene.points[second])
        if ends is None:
            continue
        spots = [view(*place[1:]) for place in ends]
        member(drawing, what, spots[0], spots[1], half)
        if what == "damper" and scene.around_damper:
            high, low = sorted(spots, key=lambda spot: spot[1])
            bare = max(0.0, 1.0 - scene.spring_mm / scene.damper_mm)
            coil(drawing, *between(high, low, COIL_SHARE * bare, 1.0 - (1.0 - COIL_SHARE) * bare), half)
    dots(drawing, [view(place[1], place[2]) for place in joints(scene.points)])


def _wheel(drawing: Drawing, scene: CornerScene, view: _View, top: float) -> None:
    """Tyre, wheel centre, the wheel's plane and its camber."""
    pen = OUTLINE if scene.tyre_width_mm is not None else Pen(0.5, INK, (2.0, 1.0))
    drawing.polygon([view(*spot) for spot in tyre_outline(scene)], pen)
    lean = math.tan(math.radians(scene.camber_deg))
    centre = view(scene.wheel_y_mm, scene.wheel_z_mm)
    out = -1 if view.left else 1

    def plane(y: float) -> Spot:
        return centre[0] + out * lean * (centre[1] - y), y

    drawing.line(*plane(view.ground + 2.5), *plane(top), CENTRE)
    drawing.line(centre[0], centre[1], centre[0], top, Pen(0.18, SOFT))
    drawing.circle(*centre, 1.2, FINE, PAPER)
    drawing.line(centre[0] - 2.5, centre[1], centre[0] + 2.5, centre[1], THIN)
    words = f"camber {figure(scene.camber_deg, 2)}{DEGREE}"
    spot = plane(top)[0], top - 2.0
    _clamped(drawing, spot, words, view, MARGIN + LANE + 1.0, view.width - PANEL - MARGIN - 2.0)


def _outboard_labels(scene: CornerScene, view: _View) -> list[Label]:
    travel_x, height_x = view.page(view.edge - 3.5), view.page(view.edge - 8.5)

    def y(z: float) -> float:
        return view.ground - z / view.scale

    z = scene.wheel_z_mm
    labels = [
        label(
            (f"{figure(scene.height_mm)} mm", scene.height_what),
            (height_x, y(scene.height_mm * 0.92)),
            SIZE,
            LANE,
            bold=True,
            colour=MARK,
        ),
        label((f"wheel centre {figure(z)} mm",), (travel_x, y(z)), SIZE, LANE),
    ]
    if scene.bump_left_mm is not None:
        words = f"bump travel {figure(scene.bump_left_mm)} mm", f"end: {scene.bump_end}"
        labels.append(label(words, (travel_x, y(z + scene.bump_left_mm)), SIZE, LANE))
    if scene.droop_left_mm is not None:
        words = f"droop travel {figure(scene.droop_left_mm)} mm", f"end: {scene.droop_end}"
        labels.append(label(words, (travel_x, y(z - scene.droop_left_mm)), SIZE, LANE))
    return labels


def _dimensions(drawing: Drawing, scene: CornerScene, view: _View, top: float) -> None:
    """Height point over the ground, wheel travel left both ways, and their labels outboard."""
    travel_x, height_x = view.page(view.edge - 3.5), view.page(view.edge - 8.5)
    point = view(scene.height_y_mm, scene.height_mm)
    drawing.dimension((height_x, view.ground), point, height_x, upright=True, pen=Pen(0.25, MARK))
    drawing.polygon(
        [
            (point[0], point[1]),
            (point[0] - 1.4, point[1] - 2.2),
            (point[0] + 1.4, point[1] - 2.2),
        ],
        None,
        MARK,
    )
    centre = view(scene.wheel_y_mm, scene.wheel_z_mm)
    drawing.line(*centre, travel_x, centre[1], CENTRE)
    for left, way in ((scene.bump_left_mm, -1), (scene.droop_left_mm, 1)):
        if left is None:
            continue
        end = centre[1] + way * left / view.scale
        drawing.line(travel_x - 1.5, end, travel_x + 1.5, end, OUTLINE)
        if abs(left) / view.scale > 3.0:
            drawing.arrow((travel_x, centre[1]), (travel_x, end), OUTLINE)
        else:
            drawing.line(travel_x, centre[1], travel_x, end, OUTLINE)
    labels = _outboard_labels(scene, view)
    toward = -1 if view.left else 1
    lane(drawing, labels, view.page(MARGIN + LANE), toward, top - 5.0, view.ground + 1.0, SIZE)


def _ladders(drawing: Drawing, scene: CornerScene, view: _View, top: float) -> None:
    """Damper and spring on the inboard side, to the same scale as the picture."""
    panel = view.width - MARGIN - PANEL if view.left else MARGIN + 1.0
    title = top - 2.0
    second = panel + LADDER + 2.0
    drawing.text(panel, title, "damper, mm", SIZE, bold=True)
    drawing.text(second, title, "spring, mm", SIZE, bold=True)
    rest = view.ground, top, view.scale, SIZE, LADDER_ROOM
    ladder.damper_ladder(drawing, scene, ladder.Ladder(panel, *rest))
    ladder.spring_ladder(drawing, scene, ladder.Ladder(second, *rest))


def _footer(drawing: Drawing, scene: CornerScene, view: _View, top: float) -> float:
    """What the picture cannot show, what its lines mean, and the scale bar; returns the page's height."""
    toe = "toe-out" if scene.toe_deg < 0 else "toe-in"
    facts = [
        f"{toe} {figure(abs(scene.toe_deg), 2)}{DEGREE} (not seen from behind)",
        f"lift {figure(scene.lift_mm, 0, signed=True)} mm from the reference pose",
        "spring around the damper" if scene.around_damper else "spring apart from the damper",
        f"tyre radius {figure(scene.tyre_radius_mm)} mm free, {figure(scene.loaded_radius_mm)} mm loaded",
    ]
    if scene.bump_left_mm is None or scene.droop_left_mm is None:
        facts.append("travel left not known where none is drawn")
    if scene.tyre_width_mm is None:
        facts.append("tyre width not given: drawn at a guess, dashed")
    if not scene.points:
        facts.append("points of the linkage not known: only what was measured is drawn")
    y = top + 1.0
    width = view.width - 2 * MARGIN
    for line in wrap("; ".join(facts) + ".", SIZE, width):
        drawing.text(MARGIN, y, line, SIZE)
        y += LEADING * SIZE
    y = _legend(drawing, scene, y + 1.0, width)
    return scale_bar(drawing, MARGIN, y, view.scale, SIZE)


def _legend(drawing: Drawing, scene: CornerScene, y: float, width: float) -> float:
    """A sample of each kind of line drawn between points."""
    kinds = sorted({what for what, _, _ in scene.lines})
    if not kinds:
        return y
    x = MARGIN
    for what in kinds:
        words = clip(what, SIZE, width - 12.0)
        needed = 10.0 + text_width(words, SIZE) + 5.0
        if x > MARGIN and x + needed > MARGIN + width:
            x, y = MARGIN, y + LEADING * SIZE + 0.5
        if what == "spring":
            coil(drawing, (x, y + 0.8), (x + 8.0, y + 0.8), 1.2)
        else:
            drawing.line(x, y + 0.8, x + 8.0, y + 0.8, MEMBERS.get(what, FINE))
        drawing.text(x + 10.0, y + 1.8, words, SIZE)
        x += needed
    return y + LEADING * SIZE + 1.5
