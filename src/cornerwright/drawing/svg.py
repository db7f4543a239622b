"""A small SVG writer: shapes in mm of paper, lettering whose boxes are known, dimension lines.

Only presentation attributes are written (no CSS, no scripts), so the same picture shows in a
browser, in typst and in print. The output depends on nothing but the calls made.

Source of the drafting signs: common practice after ISO 128-2 (line widths, long-dashed dotted
centre lines) and ISO 129-1 (dimension and extension lines); from memory.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from cornerwright.drawing.lettering import ASCENT, CELL, DESCENT, FONT, cells

Anchor = Literal["start", "middle", "end"]
Spot = tuple[float, float]

INK = "#000000"
SOFT = "#555555"
SHADE = "#dddddd"
PAPER = "#ffffff"
MARK = "#0b3c7d"
"""What to look at first; dark enough to print as black."""
ALARM = "#8a1500"
"""What touches; dark enough to print as black."""

Shape = tuple[str, dict[str, str], str]
"""One shape as it is written: what it is, its attributes, its text."""

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 does not allow at all, escaped or not."""


@dataclass(frozen=True)
class Pen:
    """A line: width [mm of paper], colour, dash lengths [mm]."""

    width: float = 0.25
    colour: str = INK
    dash: tuple[float, ...] = ()


OUTLINE = Pen(0.5)
FINE = Pen(0.25)
THIN = Pen(0.18)
HIDDEN = Pen(0.25, SOFT, (2.0, 1.0))
CENTRE = Pen(0.18, INK, (5.0, 1.0, 0.6, 1.0))
HEAVY = Pen(0.8)


@dataclass(frozen=True)
class TextBox:
    """Where a text stands on the page [mm]: its bounding box after all transforms."""

    left: float
    top: float
    right: float
    bottom: float
    words: str

    def overlaps(self, other: TextBox, slack: float = 1e-6) -> bool:
        """Whether the two boxes share more than an edge."""
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.top < other.bottom - slack
            and other.top < self.bottom - slack
        )


def number(value: float) -> str:
    """A coordinate to a thousandth of a mm, in the shortest form."""
    if not math.isfinite(value):
        raise ValueError(f"a drawing cannot hold the coordinate {value}")
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(words: str) -> str:
    """The text with characters that XML forbids replaced by the replacement character."""
    return _FORBIDDEN.sub("\ufffd", words)


class Drawing:
    """A page of `width` by `height` mm on which shapes are put; y runs down from the top edge."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width = width
        self.height = height
        self.title = title
        self.texts: list[TextBox] = []
        self._root = ET.Element("g")
        self._stack = [self._root]
        self._matrix = [(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)]

    def svg(self) -> str:
        """The drawing as an SVG document."""
        size = {"width": f"{number(self.width)}mm", "height": f"{number(self.height)}mm"}
        box = f"0 0 {number(self.width)} {number(self.height)}"
        root = ET.Element(
            "svg",
            {"xmlns": "http://www.w3.org/2000/svg", **size, "viewBox": box, "role": "img"},
        )
        ET.SubElement(root, "title").text = clean(self.title)
        page = {"width": number(self.width), "height": number(self.height), "fill": PAPER}
        ET.SubElement(root, "rect", page)
        root.append(self._root)
        return ET.tostring(root, encoding="unicode")

    def shapes(self) -> list[Shape]:
        """Everything that is put on the page, in the order in which it is written; ValueError where it has groups."""
        if any(one.tag == "g" for one in self._root):
            raise ValueError("the shapes of a drawing with groups are not all of one row")
        return [(one.tag, dict(one.attrib), one.text or "") for one in self._root]

    # ------------------------------------------------------------------ shapes

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: Pen = FINE) -> None:
        """A straight line."""
        ends = {"x1": number(x1), "y1": number(y1), "x2": number(x2), "y2": number(y2)}
        self._put("line", ends | _stroke(pen))

    def polyline(self, spots: Sequence[Spot], pen: Pen = FINE) -> None:
        """An open line through the spots."""
        self._put("polyline", {"points": _points(spots), "fill": "none"} | _stroke(pen))

    def polygon(self, spots: Sequence[Spot], pen: Pen | None = FINE, fill: str | None = None) -> None:
        """A closed shape."""
        self._put("polygon", {"points": _points(spots), "fill": fill or "none"} | _stroke(pen))

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        pen: Pen | None = FINE,
        fill: str | None = None,
        radius: float = 0.0,
    ) -> None:
        """A rectangle from its upper left corner."""
        shape = {
            "x": number(x),
            "y": number(y),
            "width": number(max(0.0, width)),
            "height": number(max(0.0, height)),
            "fill": fill or "none",
        }
        if radius > 0:
            shape["rx"] = number(radius)
        self._put("rect", shape | _stroke(pen))

    def circle(self, x: float, y: float, radius: float, pen: Pen | None = FINE, fill: str | None = None) -> None:
        """A circle."""
        shape = {"cx": number(x), "cy": number(y), "r": number(radius), "fill": fill or "none"}
        self._put("circle", shape | _stroke(pen))

    def path(
        self,
        steps: Sequence[tuple[str, *tuple[float, ...]]],
        pen: Pen | None = FINE,
        fill: str | None = None,
    ) -> None:
        """A path of steps such as ("M", x, y), ("C", ...), ("Z",)."""
        words = " ".join(" ".join([step[0], *map(number, step[1:])]) for step in steps)
        self._put("path", {"d": words, "fill": fill or "none"} | _stroke(pen))

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        anchor: Anchor = "start",
        bold: bool = False,
        colour: str = INK,
    ) -> None:
        """One line of text with its baseline at y; nothing for an empty text."""
        words = clean(words)
        if not words.strip():
            return
        look = {"x": number(x), "y": number(y), "font-family": FONT, "font-size": number(size)}
        look |= {"fill": colour}
        if anchor != "start":
            look["text-anchor"] = anchor
        if bold:
            look["font-weight"] = "bold"
        self._put("text", look).text = words
        width = cells(words) * CELL * size
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
        corners = [self._on_page(u, v) for u in (left, left + width) for v in (y - ASCENT * size, y + DESCENT * size)]
        xs, ys = [spot[0] for spot in corners], [spot[1] for spot in corners]
        self.texts.append(TextBox(min(xs), min(ys), max(xs), max(ys), words))

    # ------------------------------------------------------------- drafting signs

    def arrow(self, tail: Spot, tip: Spot, pen: Pen = THIN, size: float = 2.2) -> None:
        """A line from tail to tip with a filled head at the tip; the head alone where it is short."""
        self.line(*tail, *tip, pen)
        self.head(tail, tip, pen.colour, size)

    def head(self, tail: Spot, tip: Spot, colour: str = INK, size: float = 2.2) -> None:
        """A filled arrow head at the tip, pointing away from the tail."""
        length = math.hypot(tip[0] - tail[0], tip[1] - tail[1])
        if length < 1e-9:
            return
        u, v = (tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length
        base = tip[0] - size * u, tip[1] - size * v
        half = size / 6
        sides = [(base[0] - half * v, base[1] + half * u), (base[0] + half * v, base[1] - half * u)]
        self.polygon([tip, *sides], None, colour)

    def dimension(self, start: Spot, end: Spot, at: float, upright: bool, pen: Pen = THIN, past: float = 1.2) -> None:
        """A dimension line with arrows between two spots, with extension lines from them.

        upright: the line is vertical at x = `at` and measures y; otherwise horizontal at y = `at`
        and measures x. Where the arrows have no room between the extension lines they stand
        outside. The text is the caller's, who knows where there is room for it.
        """
        tips = ((at, start[1]), (at, end[1])) if upright else ((start[0], at), (end[0], at))
        for spot, tip in zip((start, end), tips, strict=True):
            reach = math.hypot(tip[0] - spot[0], tip[1] - spot[1])
            if reach > 1e-9:
                more = 1 + past / reach
                self.line(
                    *spot,
                    spot[0] + (tip[0] - spot[0]) * more,
                    spot[1] + (tip[1] - spot[1]) * more,
                    pen,
                )
        first, second = tips
        length = math.hypot(second[0] - first[0], second[1] - first[1])
        if length >= 5.5:
            self.line(*first, *second, pen)
            self.head(second, first, pen.colour)
            self.head(first, second, pen.colour)
        elif length > 1e-9:
            u, v = (second[0] - first[0]) / length, (second[1] - first[1]) / length
            self.line(first[0] - 4 * u, first[1] - 4 * v, second[0] + 4 * u, second[1] + 4 * v, pen)
            self.head((first[0] - u, first[1] - v), first, pen.colour)
            self.head((second[0] + u, second[1] + v), second, pen.colour)

    @contextmanager
    def group(self, move: Spot = (0.0, 0.0), turn: float = 0.0, scale: float = 1.0) -> Iterator[None]:
        """All put inside is scaled, then turned clockwise by `turn` [deg], then moved [mm]."""
        words = []
        if move != (0.0, 0.0):
            words.append(f"translate({number(move[0])} {number(move[1])})")
        if turn:
            words.append(f"rotate({number(turn)})")
        if scale != 1.0:
            words.append(f"scale({number(scale)})")
        shape = {"transform": " ".join(words)} if words else {}
        self._stack.append(self._put("g", shape))
        a, b, c, d, e, f = self._matrix[-1]
        cos, sin = scale * math.cos(math.radians(turn)), scale * math.sin(math.radians(turn))
        self._matrix.append(
            (
                a * cos + c * sin,
                b * cos + d * sin,
                c * cos - a * sin,
                d * cos - b * sin,
                a * move[0] + c * move[1] + e,
                b * move[0] + d * move[1] + f,
            )
        )
        try:
            yield
        finally:
            self._stack.pop()
            self._matrix.pop()

    def _on_page(self, x: float, y: float) -> Spot:
        a, b, c, d, e, f = self._matrix[-1]
        return a * x + c * y + e, b * x + d * y + f

    def _put(self, tag: str, shape: dict[str, str]) -> ET.Element:
        return ET.SubElement(self._stack[-1], tag, shape)


def _points(spots: Sequence[Spot]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in spots)


def _stroke(pen: Pen | None) -> dict[str, str]:
    if pen is None:
        return {"stroke": "none"}
    shape = {"stroke": pen.colour, "stroke-width": number(pen.width), "stroke-linejoin": "round"}
    if pen.dash:
        shape["stroke-dasharray"] = " ".join(map(number, pen.dash))
    return shape
