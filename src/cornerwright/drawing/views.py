"""One corner at droop, at rest and at bump: from behind, from the side and from above, to one scale.

Arranged so that heights agree between the two upper views and lengths along the car between the side
view and the view from above. The body is held still, the wheel moves. A left corner has its outboard
edge on the left from behind and is seen with the car's front to the left; a right corner the other way.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cornerwright.drawing.lettering import (
    DEGREE,
    LEADING,
    clip,
    figure,
    place_words,
    text_width,
    wrap,
)
from cornerwright.drawing.members import MEMBERS, PAST_CENTRE, clipped, coil, dots, drawn_order, joints, member
from cornerwright.drawing.scales import SCALES, scale_bar
from cornerwright.drawing.svg import CENTRE, FINE, INK, OUTLINE, PAPER, SOFT, THIN, Drawing, Pen, Spot
from cornerwright.drawing.tyre import tyre_from_above, tyre_section, tyre_width
from cornerwright.model.results import TravelScene, WheelPose

SIZE = 2.9
"""Lettering [mm of paper]."""
MARGIN = 3.0
GUTTER = 10.0
NARROWEST = 150.0
LEGEND = 74.0
"""Width of the table of poses [mm of paper]."""
SAMPLE = 9.0

LINES = {"droop": Pen(0.3, INK, (2.2, 1.0)), "ride": OUTLINE, "bump": Pen(0.4, INK, (0.45, 0.8))}
"""How each pose is drawn: dashed, full, dotted."""

POSES = {"droop": "full droop", "ride": "at rest", "bump": "full bump"}

Place = tuple[float, float, float]


@dataclass(frozen=True)
class _Frame:
    """The extents of the picture [mm of the car] and where each view's corner stands on the page."""

    left: bool
    scale: float
    x: tuple[float, float]
    y: tuple[float, float]
    z: tuple[float, float]
    behind: Spot
    side: Spot
    above: Spot

    def from_behind(self, at: Place) -> Spot:
        """Outboard to the left for a left corner."""
        across = self.y[1] - at[1] if self.left else at[1] - self.y[0]
        return self.behind[0] + across / self.scale, self.behind[1] + (self.z[1] - at[2]) / self.scale

    def _along(self, at: Place) -> float:
        return (self.x[1] - at[0] if self.left else at[0] - self.x[0]) / self.scale

    def from_the_side(self, at: Place) -> Spot:
        """Seen from outboard."""
        return self.side[0] + self._along(at), self.side[1] + (self.z[1] - at[2]) / self.scale

    def from_above(self, at: Place) -> Spot:
        """Outboard down."""
        return self.above[0] + self._along(at), self.above[1] + (at[1] - self.y[0]) / self.scale


def travel_views(scene: TravelScene, width_mm: float = 180.0, picture_mm: float = 215.0) -> Drawing:
    """The corner at its poses, from behind, from the side and from above, to one scale.

    width_mm is the width of the page, at least 150; picture_mm the greatest height of the views
    together, from which, with the width, the scale is chosen. Raises ValueError for a narrower page.
    """
    if width_mm < NARROWEST:
        raise ValueError(f"views of a corner need a page of at least {NARROWEST:g} mm, not {width_mm:g}")
    x, y, z = _extents(scene)
    deep, wide, tall = x[1] - x[0], y[1] - y[0], z[1] - z[0]
    room = width_mm - 2 * MARGIN - GUTTER
    scale = next(
        (s for s in SCALES if max(wide / s, LEGEND) + deep / s <= room and (wide + tall) / s <= picture_mm),
        None,
    )
    if scale is None:
        raise ValueError("the corner is too large for any scale of the drawing")
    heading = f"{place_words(scene.corner)} at droop, at rest and at bump"
    shown = f"scale 1:{scale:g}"
    drawing = Drawing(width_mm, 0.0, f"{scene.car}: {heading}")
    drawing.text(width_mm - MARGIN, 5.0, shown, 4.0, "end", bold=True)
    free = width_mm - 2 * MARGIN - text_width(shown, 4.0) - 6.0
    drawing.text(MARGIN, 5.0, clip(heading, 4.0, free), 4.0, bold=True)
    top = 9.6
    for line in wrap(f"{scene.car}, the body held still", SIZE, width_mm - 2 * MARGIN, 2):
        drawing.text(MARGIN, top, line, SIZE)
        top += LEADING * SIZE
    top += 5.0
    first = max(wide / scale, LEGEND)
    behind = MARGIN + (first - wide / scale) / 2, top
    side = MARGIN + first + GUTTER, top
    above = side[0], top + tall / scale + 9.0
    frame = _Frame(scene.side == "left", scale, x, y, z, behind, side, above)
    titles = ((MARGIN, top, "from behind"), (*side, f"from the {scene.side}"), (*above, "from above"))
    for left, at, words in titles:
        drawing.text(left, at - 2.0, words, SIZE, bold=True)
    _marks(drawing, frame)
    for view, outline in _views(scene, frame):
        _poses(drawing, scene, view, outline, scale)
    floor = above[1] + wide / scale
    low = _table(drawing, scene, top + tall / scale + 9.0)
    drawing.height = _foot(drawing, scene, max(floor, low) + 6.0, width_mm, scale)
    return drawing


def _extents(scene: TravelScene) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
    """Least and greatest x, y outboard and z [mm] of all poses, tyres and all."""
    spots: list[Place] = [(pose.points["wheel"][0], pose.points["wheel"][1], 0.0) for pose in scene.poses]
    for pose in scene.poses:
        spots += [(p[0], max(p[1], -PAST_CENTRE), p[2]) for p in pose.points.values()]
        wheel = pose.points["wheel"]
        section = tyre_section(scene, (wheel[1], wheel[2]), pose.camber_deg)
        tread = tyre_from_above(scene, (wheel[0], wheel[1]), pose.toe_deg)
        spots += [(wheel[0], y, z) for y, z in section] + [(x, y, wheel[2]) for x, y in tread]
        spots += [(wheel[0] + side * scene.tyre_radius_mm, wheel[1], wheel[2]) for side in (-1, 1)]
    room = 12.0
    x, y, z = ((min(part) - room, max(part) + room) for part in zip(*spots, strict=True))
    return x, y, z


Outline = Callable[[Drawing, WheelPose, Pen], None]
View = Callable[[Place], Spot]


def _views(scene: TravelScene, frame: _Frame) -> list[tuple[View, Outline]]:
    """The three views, each with how it draws the tyre."""

    def section(drawing: Drawing, pose: WheelPose, pen: Pen) -> None:
        x, y, z = pose.points["wheel"]
        shape = tyre_section(scene, (y, z), pose.camber_deg)
        drawing.polygon([frame.from_behind((x, *spot)) for spot in shape], pen)

    def circle(drawing: Drawing, pose: WheelPose, pen: Pen) -> None:
        drawing.circle(*frame.from_the_side(pose.points["wheel"]), scene.tyre_radius_mm / frame.scale, pen)

    def tread(drawing: Drawing, pose: WheelPose, pen: Pen) -> None:
        x, y, z = pose.points["wheel"]
        shape = tyre_from_above(scene, (x, y), pose.toe_deg)
        drawing.polygon([frame.from_above((*spot, z)) for spot in shape], pen)

    return [(frame.from_behind, section), (frame.from_the_side, circle), (frame.from_above, tread)]


def _poses(drawing: Drawing, scene: TravelScene, view: View, outline: Outline, scale: float) -> None:
    """All poses in one view: the ends of travel first, the pose at rest over them."""
    half = max(1.2, min(3.2, 30.0 / scale))
    for pose in sorted(scene.poses, key=lambda one: one.name == "ride"):
        pen = LINES[pose.name]
        resting = pose.name == "ride"
        outline(drawing, pose, pen)
        for what, first, second in drawn_order(pose.points, scene.lines):
            ends = clipped(pose.points[first], pose.points[second])
            if ends is None:
                continue
            spots = view(ends[0]), view(ends[1])
            if resting:
                member(drawing, what, *spots, half)
            elif what not in ("carrier", "guide"):
                drawing.line(*spots[0], *spots[1], pen)
        places = [place for place in joints(pose.points) if place != pose.points["wheel"]]
        if resting:
            dots(drawing, [view(place) for place in places], 0.8)
        centre = view(pose.points["wheel"])
        drawing.circle(*centre, 1.1 if resting else 0.7, FINE, PAPER if resting else INK)


def _marks(drawing: Drawing, frame: _Frame) -> None:
    """The ground at the reference pose, the centre plane where it is in the picture, the way forward."""
    edge = frame.y[1] if frame.left else frame.y[0]
    other = frame.y[0] if frame.left else frame.y[1]
    ground = Pen(0.35, SOFT)
    if frame.z[0] <= 0.0 <= frame.z[1]:
        drawing.line(*frame.from_behind((0.0, edge, 0.0)), *frame.from_behind((0.0, other, 0.0)), ground)
        front, rear = frame.from_the_side((frame.x[1], 0.0, 0.0)), frame.from_the_side((frame.x[0], 0.0, 0.0))
        drawing.line(*front, *rear, ground)
    if frame.y[0] <= 0.0:
        high, low = frame.from_behind((0.0, 0.0, frame.z[1])), frame.from_behind((0.0, 0.0, frame.z[0]))
        drawing.line(*high, *low, CENTRE)
        ends = frame.from_above((frame.x[1], 0.0, 0.0)), frame.from_above((frame.x[0], 0.0, 0.0))
        drawing.line(*ends[0], *ends[1], CENTRE)
    words = "front"
    # Beside the title, so that it stands in no one's way.
    start = frame.above[0] + text_width("from above", SIZE) + 14.0
    y = frame.above[1] - 3.0
    if frame.left:
        drawing.arrow((start + 8.0, y), (start, y), THIN)
        drawing.text(start + 9.5, y + 1.0, words, SIZE)
    else:
        drawing.text(start, y + 1.0, words, SIZE)
        drawing.arrow((start + text_width(words, SIZE) + 1.5, y), (start + text_width(words, SIZE) + 9.5, y), THIN)


def _table(drawing: Drawing, scene: TravelScene, y: float) -> float:
    """What each line style means, and what the wheel reads there; returns the y below it."""
    rows = [["", "lift", "camber", "toe", "damper"], ["", "mm", DEGREE, DEGREE, "mm"]]
    for pose in scene.poses:
        rows.append(
            [
                POSES[pose.name],
                figure(pose.lift_mm, 0, signed=True),
                figure(pose.camber_deg, 2),
                figure(pose.toe_deg, 2),
                figure(pose.damper_mm, 0),
            ]
        )
    ends = (SAMPLE + 1.5, 36.5, 49.5, 60.5, LEGEND)
    for k, row in enumerate(rows):
        baseline = y + LEADING * SIZE * k
        if k >= 2:
            drawing.line(MARGIN, baseline - 1.0, MARGIN + SAMPLE, baseline - 1.0, LINES[scene.poses[k - 2].name])
            drawing.text(MARGIN + ends[0], baseline, row[0], SIZE)
        for words, end in zip(row[1:], ends[1:], strict=True):
            drawing.text(MARGIN + end, baseline, words, SIZE, "end", bold=k == 0)
    y += LEADING * SIZE * len(rows) + 2.0
    kinds = [what for what in MEMBERS if any(line[0] == what for line in scene.lines)]
    return _legend(drawing, kinds, y)


def _legend(drawing: Drawing, kinds: Sequence[str], y: float) -> float:
    x = MARGIN
    for what in kinds:
        needed = SAMPLE + 1.5 + text_width(what, SIZE) + 4.0
        if x > MARGIN and x + needed > MARGIN + LEGEND:
            x, y = MARGIN, y + LEADING * SIZE + 0.3
        if what == "spring":
            coil(drawing, (x, y - 1.0), (x + SAMPLE, y - 1.0), 1.0)
        else:
            drawing.line(x, y - 1.0, x + SAMPLE, y - 1.0, MEMBERS[what])
        drawing.text(x + SAMPLE + 1.5, y, what, SIZE)
        x += needed
    return y + 2.0


def _foot(drawing: Drawing, scene: TravelScene, y: float, width: float, scale: float) -> float:
    """What the picture rests on, and the scale bar; returns the page's height."""
    facts = ["rack in the middle, both wheels of the axle alike", "grey line: the ground at the reference pose"]
    if scene.tyre_width_mm is None:
        facts.append(f"tyre width not given: {figure(tyre_width(scene))} mm is a guess")
    if not scene.lines:
        facts.append("points of the linkage not known: only the wheel is drawn")
    for line in wrap("; ".join(facts) + ".", SIZE, width - 2 * MARGIN):
        drawing.text(MARGIN, y, line, SIZE)
        y += LEADING * SIZE
    return scale_bar(drawing, MARGIN, y - 1.0, scale, SIZE)
