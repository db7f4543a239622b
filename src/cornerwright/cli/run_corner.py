"""Running `cornerwright corner`: reading what is wished, asking for it, writing its charts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.model.errors import Refusal

if TYPE_CHECKING:
    from cornerwright.model.results_corner import CornerResult


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    radius: float
    driven: str
    svg: Path | None
    png: Path | None


def run(wish: Wish) -> CornerResult:
    """The circle asked for, its charts written. Raises Refusal, OSError."""
    driven = options.read_driven(wish.driven)
    options.check_radius(wish.radius)
    check_outputs({"--svg": wish.svg, "--png": wish.png}, {"CAR": wish.car})
    car = cornerwright.load_car(wish.car)
    try:
        result = cornerwright.corner(car, wish.radius, driven)
    except Refusal as refusal:
        raise refusal.within(file=str(wish.car)) from None
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.corner_charts import corner_charts

        write_drawing(lambda: corner_charts(result), wish.svg, wish.png)
    return result
