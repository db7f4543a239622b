"""A wheel in its arch, from behind and from above, with its clearances, and the map of clearance over lift and lock."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from cornerwright.drawing.clearance_map import clearance_map
from cornerwright.drawing.labels import LABEL_GAP, Label, label, lane, lane_height
from cornerwright.drawing.lettering import DEGREE, LEADING, clip, figure, place_words, text_width, wrap
from cornerwright.drawing.scales import SCALES, scale_bar
from cornerwright.drawing.svg import (
    ALARM,
    CENTRE,
    FINE,
    INK,
    OUTLINE,
    PAPER,
    SHADE,
    SOFT,
    Drawing,
    Pen,
    Spot,
)
from cornerwright.model.results_fit import ClearanceRow, CornerFit, FitResult, ObstacleShape, WheelStand

SIZE = 2.9
"""Lettering [mm of paper]."""
MARGIN = 3.0
LANE = 56.0
"""Width of the labels beside a view [mm of paper]."""
ROOM = 14.0
"""Margin around what is drawn [mm of the car]."""
TALLEST = 105.0
SHOWN = 6
"""Obstacles that are dimensioned, nearest first."""
ROUND = 72
"""Places around a wheel from which its shape on the page is taken."""
UNSEEN = (
    "A check of what was measured: hoses, cables and bolts that nobody measured are not seen. Turn the wheel by hand "
    "through all travel and lock before it drives."
)

NEAREST = Pen(0.3, INK, (2.2, 1.0))
THICK = Pen(0.5)

Place = tuple[float, float, float]


@dataclass(frozen=True)
class _View:
    """One view: where its picture stands, and how a place of the car comes into it."""

    title: str
    left: float
    top: float
    width: float
    height: float
    at: Callable[[Place], Spot]


def wheel_in_arch(result: FitResult, corner: str, width_mm: float = 180.0) -> Drawing:
    """One corner of a `fit`: two views with its clearances, and the map. width_mm: of the page, at least 160.

    Raises ValueError for a corner whose clearances are not known, or a narrower page.
    """
    one = result.corners.get(corner)
    if one is None or not one.outline_mm or not one.poses:
        raise ValueError(f"nothing is known of the room around {corner}")
    if width_mm < 160.0:
        raise ValueError("a wheel in its arch needs a page of at least 160 mm")
    sign = 1.0 if corner.endswith("left") else -1.0
    fit = _Scene(one, sign)
    picture = width_mm - 2 * MARGIN - LANE - 4.0
    x, y, z = fit.extents()
    scale = next((s for s in SCALES if (x[1] - x[0]) / s <= picture and (z[1] - z[0]) / s <= TALLEST), SCALES[-1])
    heading = f"{place_words(corner)} in its arch"
    drawing = Drawing(width_mm, 0.0, f"{result.car}: {heading}")
    shown = f"scale 1:{scale:g}"
    drawing.text(width_mm - MARGIN, 5.0, shown, 4.0, "end", bold=True)
    room = width_mm - 2 * MARGIN - text_width(shown, 4.0) - 6.0
    drawing.text(MARGIN, 5.0, clip(heading, 4.0, room), 4.0, bold=True)
    top = 9.6
    for line in wrap(_legend(result.car, one), SIZE, width_mm - 2 * MARGIN):
        drawing.text(MARGIN, top, line, SIZE)
        top += LEADING * SIZE
    top += 5.0
    behind = _from_behind(fit, scale, top, (y, z), picture)
    low = _draw(drawing, fit, behind, one, scale)
    above = _from_above(fit, scale, low + 9.0, (x, y), picture)
    low = _draw(drawing, fit, above, one, scale)
    low = scale_bar(drawing, MARGIN, low + 3.0, scale, SIZE) + 3.0
    if one.map is not None:
        low = clearance_map(drawing, one.map, one, low + 5.0, width_mm)
    low += 3.0
    for line in wrap(UNSEEN, SIZE, width_mm - 2 * MARGIN):
        drawing.text(MARGIN, low, line, SIZE)
        low += LEADING * SIZE
    drawing.height = low
    return drawing


def _legend(car: str, one: CornerFit) -> str:
    words = [f"{car}: full line: at rest"]
    if len(one.poses) > 1:
        pose = one.poses[1]
        words.append(f"dashed: where it comes nearest ({_pose(one, pose.lift_mm, pose.across)})")
    return "; ".join(
        [*words, "grey: what it must not touch, at the reference pose", "short lines: where each clearance is least."]
    )


def _pose(one: CornerFit, lift: float, across: float) -> str:
    told = f"lift {figure(lift, 0, signed=True)} mm"
    if one.across_what == "rack":
        return f"{told}, rack {figure(across, 0, signed=True)} mm"
    if one.across_what == "turn":
        return f"{told}, turned {figure(across, 0, signed=True)}{DEGREE}"
    if one.across_what == "other wheel":
        return f"{told}, other wheel {figure(across, 0, signed=True)} mm"
    return told


class _Scene:
    """A corner with its places: y outboard positive, whichever side it is."""

    def __init__(self, one: CornerFit, sign: float) -> None:
        self.one, self.sign = one, sign

    def place(self, spot: Place) -> Place:
        return spot[0], self.sign * spot[1], spot[2]

    def circles(self, stand: WheelStand) -> list[Place]:
        """Places all over the tyre at a pose."""
        cx, cy, cz = stand.centre_mm
        ux, uy, uz = stand.axis
        level = math.hypot(ux, uy)
        ahead = (uy / level, -ux / level, 0.0)
        up = (ahead[1] * uz, -ahead[0] * uz, ahead[0] * uy - ahead[1] * ux)
        found = []
        for a, r in self.one.outline_mm:
            if r <= 0:
                continue
            for side in (-1.0, 1.0):
                for k in range(ROUND):
                    c, s = r * math.cos(2 * math.pi * k / ROUND), r * math.sin(2 * math.pi * k / ROUND)
                    found.append(
                        self.place(
                            (
                                cx + side * a * ux + c * ahead[0] + s * up[0],
                                cy + side * a * uy + c * ahead[1] + s * up[1],
                                cz + side * a * uz + s * up[2],
                            )
                        )
                    )
        return found

    def section(self, stand: WheelStand) -> list[list[Place]]:
        """The tyre cut by the upright plane through its axis: above the axle, and below."""
        cx, cy, cz = stand.centre_mm
        ux, uy, uz = stand.axis
        level = math.hypot(ux, uy)
        up = (-uz * ux / level, -uz * uy / level, level)
        halves = []
        for way in (1.0, -1.0):
            right = [(a, r) for a, r in self.one.outline_mm if r > 0]
            whole = [(-a, r) for a, r in reversed(right)] + right
            halves.append(
                [
                    self.place(
                        (
                            cx + a * ux + way * r * up[0],
                            cy + a * uy + way * r * up[1],
                            cz + a * uz + way * r * up[2],
                        )
                    )
                    for a, r in whole
                ]
            )
        return halves

    def extents(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        places = [spot for stand in self.one.poses for spot in self.circles(stand)]
        for obstacle in self.one.obstacles:
            for spot in obstacle.points_mm:
                at, r = self.place(spot), obstacle.radius_mm
                places += [(at[0] + way, at[1] + way, at[2] + way) for way in (-r, r)]
        x, y, z = ((min(part) - ROOM, max(part) + ROOM) for part in zip(*places, strict=True))
        # What is far from the wheel (a long rail) is cut off, or all else would be tiny.
        middle = self.one.poses[0].centre_mm[0]
        reach = 1.9 * max(r for _, r in self.one.outline_mm)
        return (max(x[0], middle - reach), min(x[1], middle + reach)), y, (min(z[0], -ROOM), z[1])


def _from_behind(
    fit: _Scene, scale: float, top: float, spans: tuple[tuple[float, float], tuple[float, float]], picture: float
) -> _View:
    (low_y, high_y), (low_z, high_z) = spans
    width = (high_y - low_y) / scale
    left = MARGIN + (picture - width) / 2

    def at(place: Place) -> Spot:
        across = high_y - place[1] if fit.sign > 0 else place[1] - low_y
        return left + across / scale, top + (high_z - place[2]) / scale

    return _View("from behind", left, top, width, (high_z - low_z) / scale, at)


def _from_above(
    fit: _Scene, scale: float, top: float, spans: tuple[tuple[float, float], tuple[float, float]], picture: float
) -> _View:
    (low_x, high_x), (low_y, high_y) = spans
    width = (high_x - low_x) / scale
    left = MARGIN + (picture - width) / 2

    def at(place: Place) -> Spot:
        along = high_x - place[0] if fit.sign > 0 else place[0] - low_x
        return left + along / scale, top + (place[1] - low_y) / scale

    return _View("from above", left, top, width, (high_y - low_y) / scale, at)


def _draw(drawing: Drawing, fit: _Scene, view: _View, one: CornerFit, scale: float) -> float:
    """One view with its labels; returns the y below it."""
    drawing.text(MARGIN, view.top - 2.0, view.title, SIZE, bold=True)
    box = (view.left, view.top, view.left + view.width, view.top + view.height)
    if view.title == "from above":
        words = "front"
        x = MARGIN + text_width(view.title, SIZE) + 12.0
        tips = ((x + 9.0, view.top - 3.0), (x, view.top - 3.0))
        if fit.sign < 0:
            x += text_width(words, SIZE) + 2.0
            tips = ((x, view.top - 3.0), (x + 9.0, view.top - 3.0))
            drawing.text(x - 1.5, view.top - 2.0, words, SIZE, "end")
        else:
            drawing.text(x + 10.5, view.top - 2.0, words, SIZE)
        drawing.arrow(*tips)
    for obstacle in sorted(one.obstacles, key=lambda each: each.form != "patch"):
        _obstacle(drawing, fit, view, obstacle, scale, box)
    if view.title == "from behind":
        ground = view.at((0.0, 0.0, 0.0))[1]
        drawing.line(box[0], ground, box[2], ground, Pen(0.35, SOFT))
        for half in fit.section(one.poses[0]):
            spots = [view.at(place) for place in half]
            drawing.polygon(spots, OUTLINE)
        _axle(drawing, fit, view, one.poses[0])
    else:
        drawing.polygon(_hull([view.at(place) for place in fit.circles(one.poses[0])]), OUTLINE)
    for stand in one.poses[1:]:
        drawing.polygon(_hull([view.at(place) for place in fit.circles(stand)]), NEAREST)
    labels = list(_labels(drawing, fit, view, one))
    height = max(view.height, lane_height(labels, SIZE) + 2 * LABEL_GAP)
    lane(drawing, labels, drawing.width - MARGIN - LANE, 1, view.top, view.top + height, SIZE)
    return view.top + height


def _axle(drawing: Drawing, fit: _Scene, view: _View, stand: WheelStand) -> None:
    """The wheel's axis and its middle."""
    half = 1.15 * max(a for a, _ in fit.one.outline_mm)
    ends = [
        tuple(c + side * half * u for c, u in zip(stand.centre_mm, stand.axis, strict=True)) for side in (-1.0, 1.0)
    ]
    first, second = (view.at(fit.place((end[0], end[1], end[2]))) for end in ends)
    drawing.line(*first, *second, CENTRE)
    drawing.circle(*view.at(fit.place(stand.centre_mm)), 0.8, FINE, PAPER)


def _obstacle(
    drawing: Drawing,
    fit: _Scene,
    view: _View,
    obstacle: ObstacleShape,
    scale: float,
    box: tuple[float, float, float, float],
) -> None:
    spots = [view.at(fit.place(spot)) for spot in obstacle.points_mm]
    thick = max(0.5, 2 * obstacle.radius_mm / scale)
    if obstacle.form == "point":
        drawing.circle(*spots[0], max(0.7, obstacle.radius_mm / scale), FINE, SHADE)
        return
    if obstacle.form == "patch":
        inside = _cut(spots, box)
        if len(inside) > 2:
            drawing.polygon(inside, Pen(0.35, SOFT), SHADE)
        return
    for first, second in pairwise(spots):
        ends = _clip(first, second, box)
        if ends is not None:
            drawing.line(*ends[0], *ends[1], Pen(min(thick, 9.0), "#bcbcbc"))
            if thick > 1.2:
                drawing.line(*ends[0], *ends[1], Pen(0.18, SOFT))


def _labels(drawing: Drawing, fit: _Scene, view: _View, one: CornerFit) -> Iterator[Label]:
    """A line across each clearance, and its label."""
    for row in one.clearances[:SHOWN]:
        here, there = (view.at(fit.place(spot)) for spot in (row.at_mm, row.tyre_mm))
        colour = INK if row.clearance_mm >= 0 else ALARM
        drawing.line(*here, *there, Pen(0.35, colour))
        for spot in (here, there):
            drawing.circle(*spot, 0.45, None, colour)
        words = (f"{place_words(row.obstacle)} {_gap(row)}", _when(one, row))
        middle = ((here[0] + there[0]) / 2, (here[1] + there[1]) / 2)
        yield label(words, middle, SIZE, LANE, 2, bold=row.clearance_mm < 0, colour=colour)


def _gap(row: ClearanceRow) -> str:
    if row.clearance_mm < 0:
        return f"touches: {figure(-row.clearance_mm, 1)} mm deep"
    return f"{figure(row.clearance_mm, 1)} mm"


def _when(one: CornerFit, row: ClearanceRow) -> str:
    return "always" if row.on == "carrier" else _pose(one, row.lift_mm, row.across)


# ------------------------------------------------------------------ shapes on the page


def _hull(spots: list[Spot]) -> list[Spot]:
    """The outline of spots: their convex hull (monotone chain)."""
    order = sorted(set(spots))

    def chain(part: list[Spot]) -> list[Spot]:
        found: list[Spot] = []
        for spot in part:
            while len(found) > 1 and _turn(found[-2], found[-1], spot) <= 0:
                found.pop()
            found.append(spot)
        return found[:-1]

    return chain(order) + chain(order[::-1])


def _turn(a: Spot, b: Spot, c: Spot) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _clip(first: Spot, second: Spot, box: tuple[float, float, float, float]) -> tuple[Spot, Spot] | None:
    """The part of a line within a box; None where it has none."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        way = second[axis] - first[axis]
        for bound, sign in ((box[axis], 1.0), (box[axis + 2], -1.0)):
            room, slope = sign * (first[axis] - bound), sign * way
            if abs(slope) < 1e-12:
                if room < 0:
                    return None
                continue
            share = -room / slope
            low, high = (max(low, share), high) if slope > 0 else (low, min(high, share))
    if low >= high:
        return None
    ends = tuple((first[0] + k * (second[0] - first[0]), first[1] + k * (second[1] - first[1])) for k in (low, high))
    return ends[0], ends[1]


def _cut(spots: list[Spot], box: tuple[float, float, float, float]) -> list[Spot]:
    """A shape cut to a box, side by side (Sutherland and Hodgman)."""
    for axis, bound, sign in ((0, box[0], 1.0), (0, box[2], -1.0), (1, box[1], 1.0), (1, box[3], -1.0)):
        kept: list[Spot] = []
        for first, second in zip(spots, [*spots[1:], *spots[:1]], strict=True):
            a, b = sign * (first[axis] - bound), sign * (second[axis] - bound)
            if a >= 0:
                kept.append(first)
            if (a > 0) != (b > 0) and a != b:
                share = a / (a - b)
                kept.append((first[0] + share * (second[0] - first[0]), first[1] + share * (second[1] - first[1])))
        spots = kept
    return spots
