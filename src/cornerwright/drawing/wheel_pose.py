"""A corner that is being moved, from behind, on a small screen.

Always to the same scale, so that the wheel moves and not the picture.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cornerwright.drawing.lettering import clip, figure, place_words, text_width
from cornerwright.drawing.members import PAST_CENTRE, clipped, coil, dots, drawn_order, joints, member
from cornerwright.drawing.scales import SCALES, scale_bar
from cornerwright.drawing.svg import (
    ALARM,
    CENTRE,
    FINE,
    HEAVY,
    HIDDEN,
    INK,
    MARK,
    OUTLINE,
    PAPER,
    SOFT,
    Drawing,
    Pen,
    Spot,
    TextBox,
)
from cornerwright.drawing.tyre import tyre_section, tyre_width
from cornerwright.model.results_pose import CornerPose, NearBy

WIDTH = 100.0
"""Of the page [mm]: a phone shows it across."""
MOST_HEIGHT = 80.0
SIZE = 3.6
LANE = 21.0
"""Outboard: the travel with its ends [mm of paper]."""
EDGE = 2.0


@dataclass(frozen=True)
class _View:
    """From millimetres of the car (outboard of the centre plane, over the ground) to the page."""

    scale: float
    outer: float
    ground: float
    left: bool

    def x(self, inwards: float) -> float:
        """X on the page so far [mm of paper] from the outboard edge."""
        return inwards if self.left else WIDTH - inwards

    def __call__(self, y: float, z: float) -> Spot:
        return self.x(LANE + (self.outer - y) / self.scale), self.ground - z / self.scale


def _extents(rest: CornerPose) -> tuple[float, float, float, float]:
    """Outermost and innermost y, highest and lowest z that the picture must hold [mm]."""
    wide = tyre_width(rest)
    up = rest.sweep.highest_mm - rest.sweep.rest_mm
    down = rest.sweep.rest_mm - rest.sweep.lowest_mm
    outer = rest.wheel_y_mm + 0.75 * wide + 0.12 * rest.tyre_radius_mm
    inner = min([max(place[1], -PAST_CENTRE) for place in rest.points.values()] + [rest.wheel_y_mm - 1.5 * wide])
    if rest.sweep.rack_mm is not None or rest.sweep.turn_deg is not None:
        outer, inner = outer + 0.2 * rest.tyre_radius_mm, inner - 20.0
    top = max([place[2] for place in rest.points.values()] + [rest.wheel_z_mm + rest.tyre_radius_mm + max(up, 0.0)])
    return outer, inner, top, min(0.0, rest.wheel_z_mm - rest.tyre_radius_mm - down)


def pose_scale(rest: CornerPose) -> float:
    """Millimetres of the car in one of the picture, for a corner at rest.

    Raises ValueError for a corner too large for any scale.
    """
    outer, inner, top, low = _extents(rest)
    room = WIDTH - LANE - EDGE
    scale = next((s for s in SCALES if (outer - inner) / s <= room and (top - low) / s <= MOST_HEIGHT), None)
    if scale is None:
        raise ValueError("the corner is too large for any scale of the drawing")
    return scale


def wheel_pose(pose: CornerPose, rest: CornerPose) -> Drawing:
    """The corner at this pose over the corner at rest, which sets scale and ground.

    Raises ValueError for a corner too large for any scale.
    """
    outer, _, top, low = _extents(rest)
    scale = pose_scale(rest)
    head = 3.5
    view = _View(scale, outer, head + top / scale + 2.0, pose.side == "left")
    drawing = Drawing(WIDTH, 0.0, _said(pose))
    drawing.line(EDGE, view.ground, WIDTH - EDGE, view.ground, HEAVY)
    _tyre(drawing, rest, rest, view, HIDDEN)
    _around(drawing, pose, view)
    _members(drawing, pose, view)
    _tyre(drawing, pose, rest, view, OUTLINE if pose.tyre_width_mm is not None else Pen(0.5, INK, (2.0, 1.0)))
    _travel(drawing, pose, rest, view)
    bottom = view.ground - low / scale + 3.0
    drawing.height = scale_bar(drawing, EDGE, bottom, scale, SIZE) + 1.0
    _nearest(drawing, pose, view)
    return drawing


def _said(pose: CornerPose) -> str:
    """The picture in words, for those who do not see it."""
    toe = "toe-out" if pose.toe_deg < 0 else "toe-in"
    return (
        f"{place_words(pose.corner)} from behind: wheel {figure(pose.lift_mm - pose.sweep.rest_mm, 0, signed=True)} mm "
        f"from rest, camber {figure(pose.camber_deg, 2)} degrees, {toe} {figure(abs(pose.toe_deg), 2)} degrees"
        + (f", {nearest_words(pose.near[0])}" if pose.near else "")
    )


def nearest_words(one: NearBy) -> str:
    """The nearest thing in words: `8.7 mm to the strut tube`."""
    name = place_words(one.obstacle)
    if one.clearance_mm < 0:
        return f"touches {name} by {figure(-one.clearance_mm, 1)} mm"
    return f"{figure(one.clearance_mm, 1)} mm to {name}"


def _around(drawing: Drawing, pose: CornerPose, view: _View) -> None:
    """What is measured around the wheel, as thick as it is; what goes with the wheel in grey."""
    for one in sorted(pose.near, key=lambda near: near.obstacle):
        colour = "#a0a0a0" if one.on == "carrier" else SOFT
        pen = Pen(max(0.35, 2 * one.radius_mm / view.scale), colour)
        spots = [view(*place[1:]) for place in one.points_mm]
        if one.form == "point":
            drawing.circle(*spots[0], max(0.6, one.radius_mm / view.scale), None, colour)
        elif one.form == "edge":
            drawing.polyline(spots, pen)
        else:
            drawing.polygon(spots, Pen(max(0.35, pen.width), colour, (1.6, 0.8)))


def _nearest(drawing: Drawing, pose: CornerPose, view: _View) -> None:
    """Where the wheel comes nearest to anything, and by how much."""
    if not pose.near:
        return
    one = pose.near[0]
    colour = ALARM if one.clearance_mm < (pose.gap_mm or 0.0) else MARK
    on, wheel = view(*one.at_mm[1:]), view(*one.wheel_mm[1:])
    drawing.line(*on, *wheel, Pen(0.9, colour))
    drawing.circle(*on, 1.1, None, colour)
    drawing.circle(*wheel, 1.1, None, colour)
    words = f"{figure(one.clearance_mm, 1)} {place_words(one.obstacle)}"
    size, middle = SIZE, ((on[0] + wheel[0]) / 2, (on[1] + wheel[1]) / 2)
    words = clip(words, size, WIDTH - 2 * EDGE)
    wide = text_width(words, size)
    inboard = 1.0 if view.left else -1.0
    # Beside it where there is room, inboard first; else further up or down.
    for down in (1.2, -3.0, 6.0, -7.5, 11.0, -12.0, 16.0, -17.0):
        for way in (inboard, -inboard):
            left = middle[0] + 2.4 if way > 0 else middle[0] - 2.4 - wide
            left = min(max(left, EDGE), WIDTH - EDGE - wide)
            box = TextBox(left, middle[1] + down - size, left + wide, middle[1] + down + 0.3 * size, words)
            if box.top > 0 and box.bottom < drawing.height and not any(box.overlaps(other) for other in drawing.texts):
                drawing.rect(box.left - 0.4, box.top, wide + 0.8, box.bottom - box.top, None, PAPER, 0.6)
                drawing.text(left, middle[1] + down, words, size, bold=True, colour=colour)
                return


def _tyre(drawing: Drawing, pose: CornerPose, rest: CornerPose, view: _View, pen: Pen) -> None:
    """The tyre leaning by its camber; steered, it is seen as wide as it then stands."""
    radius = pose.tyre_radius_mm
    turn = math.radians(pose.toe_deg)
    shape = tyre_section(pose, (0.0, 0.0), pose.camber_deg)
    half = tyre_width(pose) / 2
    wider = (half * math.cos(turn) + radius * abs(math.sin(turn))) / half
    centre = pose.wheel_y_mm, pose.wheel_z_mm
    spots = [(centre[0] + y * wider, centre[1] + z) for y, z in shape]
    if pose is rest:
        spots = [(y, max(z, 0.0)) for y, z in spots]
    drawing.polygon([view(*spot) for spot in spots], pen)
    if pose is rest:
        return
    lean = math.tan(math.radians(pose.camber_deg))
    reach = radius + 25.0
    drawing.line(
        *view(centre[0] + lean * reach, centre[1] + reach), *view(centre[0] - lean * reach, centre[1] - reach), CENTRE
    )
    drawing.circle(*view(*centre), 1.2, FINE, PAPER)


def _members(drawing: Drawing, pose: CornerPose, view: _View) -> None:
    half = max(1.5, min(4.0, 45.0 / view.scale))
    for what, first, second in drawn_order(pose.points, pose.lines):
        ends = clipped(pose.points[first], pose.points[second])
        if ends is not None:
            member(drawing, what, view(*ends[0][1:]), view(*ends[1][1:]), half)
    dots(drawing, [view(*place[1:]) for place in joints(pose.points)])
    if not pose.points:
        _spring_alone(drawing, pose, view, half)


def _spring_alone(drawing: Drawing, pose: CornerPose, view: _View, half: float) -> None:
    """No points are known: the spring beside the wheel, its length to scale and its place a guess, dashed."""
    y = pose.wheel_y_mm - 1.1 * tyre_width(pose)
    foot = pose.wheel_z_mm
    drawing.line(*view(pose.wheel_y_mm, foot), *view(y, foot), HIDDEN)
    coil(drawing, view(y, foot), view(y, foot + pose.spring_mm), half)
    drawing.line(*view(y - 25.0, foot + pose.spring_mm), *view(y + 25.0, foot + pose.spring_mm), HIDDEN)


def _travel(drawing: Drawing, pose: CornerPose, rest: CornerPose, view: _View) -> None:
    """The wheel's way, outboard: its ends, where it rests, where it is."""
    x = view.x(LANE - 4.0)
    toward = 1.0 if view.left else -1.0
    sweep = pose.sweep

    def y(lift: float) -> float:
        return view.ground - (rest.wheel_z_mm + lift - sweep.rest_mm) / view.scale

    drawing.line(x, y(sweep.lowest_mm), x, y(sweep.highest_mm), Pen(0.8, SOFT))
    ends = [
        (sweep.highest_mm, "bump", pose.bump_left_mm, -1.6),
        (sweep.lowest_mm, "droop", pose.droop_left_mm, SIZE + 1.2),
    ]
    for lift, words, left, aside in ends:
        drawing.line(x - 2.0, y(lift), x + 2.0, y(lift), OUTLINE)
        spot = view.x(1.0)
        anchor = "start" if view.left else "end"
        drawing.text(spot, y(lift) + aside, f"{words} {figure(left, 0)}", SIZE, anchor)  # type: ignore[arg-type]
    if sweep.stop_mm is not None and sweep.lowest_mm < sweep.stop_mm < sweep.highest_mm:
        drawing.line(x, y(sweep.stop_mm), x, y(sweep.highest_mm), Pen(1.8, SOFT))
    drawing.line(x - 2.6, y(sweep.rest_mm), x + 2.6, y(sweep.rest_mm), FINE)
    here = y(pose.lift_mm)
    drawing.polygon([(x, here), (x + toward * 5.5, here - 2.6), (x + toward * 5.5, here + 2.6)], None, MARK)
    drawing.line(x + toward * 5.5, here, view(pose.wheel_y_mm, pose.wheel_z_mm)[0], here, CENTRE)
