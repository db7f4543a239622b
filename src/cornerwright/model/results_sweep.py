"""What the program answers about many settings: the document behind `cornerwright sweep --json`.

Like `results`: at the edge, in trade units. One figure's numbers are in the unit that stands beside it.
"""

from __future__ import annotations

from typing import Literal

from cornerwright.model.results import CAUTION, Result


class SweptAdjuster(Result):
    """What was turned: one adjuster, or the same one on both sides of an axle."""

    name: str
    adjusters: tuple[str, ...]
    """Full names."""
    settings_mm: tuple[float, ...]


class SweptFigure(Result):
    """One figure over all settings, and where it is least and greatest."""

    place: str
    """A corner, or `car`."""
    reading: str
    unit: str
    least: float
    greatest: float
    least_at_mm: tuple[float, ...]
    """Settings there, in the order of `over`; likewise the greatest's."""
    greatest_at_mm: tuple[float, ...]


class SweepResult(Result):
    """The car at every one of many settings."""

    car: str
    of: tuple[Literal["stand", "corner", "road", "brakes"], ...]
    """The commands whose figures are told."""
    over: tuple[SweptAdjuster, ...]
    verdict: Literal["computed", "nothing computed"]
    points: int
    """Settings tried: each of one adjuster with each of the others."""
    lost: int
    """Of these, where the car gives no figure: it does not stand, corner or brake there."""
    figures: tuple[SweptFigure, ...]
    rows: tuple[tuple[float | None, ...], ...]
    """A row a point: settings [mm] in the order of `over`, then a value for each of `figures`; None: not computed."""
    caution: str = CAUTION
