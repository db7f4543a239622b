"""Scales of drawings, and the bar that stays true when a page is printed smaller."""

from __future__ import annotations

from functools import lru_cache

from cornerwright.drawing.lettering import ticks
from cornerwright.drawing.svg import FINE, INK, PAPER, Drawing

SCALES = (1.0, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 12.5, 15.0, 20.0, 25.0, 40.0, 50.0, 100.0)
"""Reductions: those of ISO 5455 (from memory) and the usual steps between them."""


@lru_cache
def _round_length(scale: float) -> float:
    """What the bar stands for [mm of the car]."""
    return ticks(0.0, 60.0 * scale, 3)[0][1]


def scale_bar(drawing: Drawing, x: float, y: float, scale: float, size: float) -> float:
    """A bar of round length with its words, its upper left corner at x, y; returns the y below it."""
    length = _round_length(scale)
    bar = length / scale
    drawing.line(x, y + 1.5, x + bar, y + 1.5, FINE)
    drawing.rect(x, y, bar / 2, 1.5, FINE, INK)
    drawing.rect(x + bar / 2, y, bar / 2, 1.5, FINE, PAPER)
    drawing.text(x + bar + 2.0, y + 2.2, f"{length:g} mm of the car", size)
    return y + 5.0
