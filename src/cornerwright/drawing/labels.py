"""Labels in a lane of their own beside a picture, with leaders to what they speak of."""

from __future__ import annotations

from dataclasses import dataclass

from cornerwright.drawing.lettering import LEADING, Block, spread, wrap
from cornerwright.drawing.svg import INK, Drawing, Pen

LABEL_GAP = 1.2
"""Least distance between two labels of a lane [mm of paper]."""


@dataclass(frozen=True)
class Label:
    """Lines of text for the spot (x, y) on the page."""

    lines: tuple[str, ...]
    x: float
    y: float
    bold: bool = False
    colour: str = INK

    def height(self, size: float) -> float:
        """Height of the block [mm of paper]."""
        return LEADING * size * len(self.lines)


def label(
    words: tuple[str, ...],
    spot: tuple[float, float],
    size: float,
    room: float,
    lines: int = 3,
    bold: bool = False,
    colour: str = INK,
) -> Label:
    """A label whose parts each start a line and are wrapped to the room, `lines` lines a part at most."""
    broken = tuple(line for part in words for line in wrap(part, size, room, lines))
    return Label(broken, *spot, bold, colour)


def lane_height(labels: list[Label], size: float) -> float:
    """Height a lane needs to hold the labels [mm of paper]."""
    return sum(one.height(size) for one in labels) + LABEL_GAP * max(0, len(labels) - 1)


def lane(
    drawing: Drawing,
    labels: list[Label],
    edge: float,
    toward: int,
    low: float,
    high: float,
    size: float,
) -> None:
    """Put labels into the lane that begins at x = `edge` and runs to the left (-1) or right (+1).

    Each stands as near the height of its spot as the others let it; a leader joins the two.
    """
    labels = sorted(labels, key=lambda one: one.y)
    blocks = [Block(one.y, one.height(size)) for one in labels]
    for one, top in zip(labels, spread(blocks, low, high, LABEL_GAP), strict=True):
        middle = top + one.height(size) / 2
        foot = edge - toward * 0.8
        knee = edge - toward * 2.6
        drawing.polyline([(foot, middle), (knee, middle), (one.x, one.y)], Pen(0.13, one.colour))
        drawing.circle(one.x, one.y, 0.4, None, one.colour)
        for row, words in enumerate(one.lines):
            baseline = top + LEADING * size * row + (LEADING * size + 0.69 * size) / 2
            drawing.text(edge, baseline, words, size, "start" if toward > 0 else "end", one.bold, one.colour)
