"""Panels of charts: frame, axes and grid, curves to their scale, the legend and the lines of text around them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from cornerwright.drawing.lettering import LEADING, clip, figure, text_width, ticks, wrap
from cornerwright.drawing.svg import FINE, INK, MARK, SOFT, THIN, Drawing, Pen, Spot

SIZE = 2.9
"""Lettering [mm of paper]."""
MARGIN = 3.0
AXIS = 16.0
"""Room for the figures left of a panel [mm of paper]."""
BELOW = 13.0
"""Room below a panel for its figures and what they are of [mm of paper]."""
SAMPLE = 12.0
"""Length of a curve's sample in the legend [mm of paper]."""
CURVES = (
    Pen(0.5),
    Pen(0.5, INK, (2.4, 1.0)),
    Pen(0.5, INK, (0.5, 0.9)),
    Pen(1.0),
    Pen(0.4, INK, (5.0, 1.0, 0.6, 1.0)),
)
"""Curves told apart without colour."""
LIMIT = Pen(0.6, MARK, (3.2, 1.2))
"""What a curve should not cross."""
GRID = Pen(0.13, "#bbbbbb")

Frame = tuple[float, float, float, float]
"""Left, top, width and height on the page [mm of paper]."""
Span = tuple[float, float]
"""From the least to the most of what an axis shows."""


@dataclass(frozen=True)
class Panel:
    """A frame on the page and what its axes span."""

    frame: Frame
    across: Span
    up: Span

    def x(self, value: float) -> float:
        """Where a value of the axis across stands [mm of paper]."""
        return self.frame[0] + self.frame[2] * (value - self.across[0]) / (self.across[1] - self.across[0])

    def y(self, value: float) -> float:
        """Where a value of the axis up stands [mm of paper]."""
        return self.frame[1] + self.frame[3] * (self.up[1] - value) / (self.up[1] - self.up[0])

    def at(self, spot: Spot) -> Spot:
        """Where a spot of data stands on the page [mm of paper]."""
        return self.x(spot[0]), self.y(spot[1])

    def axes(self, drawing: Drawing) -> None:
        """Ticks with figures and a faint grid; the lines of zero are drawn darker."""
        left, top, width, height = self.frame
        most = max(2, int(width / (text_width("-0000.0", SIZE) + 2.0)))
        values, decimals = ticks(*self.across, most)
        for value in values:
            x = self.x(value)
            drawing.line(x, top, x, top + height, Pen(0.18, SOFT) if value == 0 else GRID)
            drawing.line(x, top + height, x, top + height + 1.0, THIN)
            words = figure(value, decimals)
            if x + text_width(words, SIZE) / 2 <= left + width + 2.5:
                drawing.text(x, top + height + 4.8, words, SIZE, "middle")
        values, decimals = ticks(*self.up, 6)
        for value in values:
            y = self.y(value)
            drawing.line(left, y, left + width, y, Pen(0.18, SOFT) if value == 0 else GRID)
            drawing.line(left - 1.0, y, left, y, THIN)
            words = clip(figure(value, decimals), SIZE, AXIS - 2.0)
            drawing.text(left - 1.6, y + 0.36 * SIZE, words, SIZE, "end")


def heading(drawing: Drawing, title: str, lines: Iterable[str]) -> float:
    """The head of a page of charts and the lines below it; returns the next baseline."""
    drawing.text(MARGIN, 5.0, clip(title, 4.0, drawing.width - 2 * MARGIN), 4.0, bold=True)
    return put_lines(drawing, lines, 9.6)


def put_lines(drawing: Drawing, lines: Iterable[str], y: float, x: float = MARGIN) -> float:
    """Lines of text, the first baseline at y; returns the one after the last."""
    for line in lines:
        drawing.text(x, y, line, SIZE)
        y += LEADING * SIZE
    return y


def put_note(drawing: Drawing, words: str, y: float) -> float:
    """Words over the whole page, the first baseline at y; returns the one after the last."""
    return put_lines(drawing, wrap(words, SIZE, drawing.width - 2 * MARGIN), y)


def named_frame(drawing: Drawing, frame: Frame, title: str, along: str = "") -> None:
    """The frame itself, what its axis up is of above it, and what its axis across is of below it."""
    left, top, width, height = frame
    drawing.text(left, top - 1.6, title, SIZE, bold=True)
    if along:
        drawing.text(left + width, top + height + 8.8, along, SIZE, "end")
    drawing.rect(*frame, FINE)


def legend(drawing: Drawing, curves: Sequence[tuple[str, Pen]], y: float) -> float:
    """Samples of curves with their names, in as many lines as they take; returns the last baseline."""
    x = MARGIN
    for name, pen in curves:
        needed = SAMPLE + 2.0 + text_width(name, SIZE)
        if x > MARGIN and x + needed > drawing.width - MARGIN:
            x, y = MARGIN, y + LEADING * SIZE + 0.5
        drawing.line(x, y - 1.0, x + SAMPLE, y - 1.0, pen)
        drawing.text(x + SAMPLE + 2.0, y, name, SIZE)
        x += needed + 5.0
    return y
