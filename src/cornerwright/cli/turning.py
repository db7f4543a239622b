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

DRIVEN = ("front", "rear", "both")


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    radius: float
    driven: str
    svg: Path | None
    png: Path | None


def turned(wish: Wish) -> CornerResult:
    """The circle asked for, its charts written. Raises Refusal, OSError."""
    driven = options.one_of(wish.driven, DRIVEN, "--driven")
    if not 5.0 <= wish.radius <= 1000.0:
        raise Refusal.of(f"{wish.radius:g}", "a radius from 5 to 1000 m", field="--radius")
    check_outputs({"--svg": wish.svg, "--png": wish.png}, {"CAR": wish.car})
    car = cornerwright.load_car(wish.car)
    try:
        result = cornerwright.corner(car, wish.radius, driven)  # type: ignore[arg-type]  # one_of has held it
    except Refusal as refusal:
        raise refusal.within(file=str(wish.car)) from None
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.corner_charts import corner_charts

        write_drawing(lambda: corner_charts(result), wish.svg, wish.png)
    return result
