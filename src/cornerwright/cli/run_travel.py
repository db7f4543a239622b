"""Running `cornerwright travel`: reading what is wished, asking for it, writing its pictures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CornerName
from cornerwright.model.results import TravelResult

if TYPE_CHECKING:
    from cornerwright.drawing.svg import Drawing


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    corner: str
    lift: str | None
    steer: str | None
    other: str | None
    opposite: bool
    svg: Path | None
    png: Path | None
    views: Path | None
    rest: Path | None

    @property
    def pictures(self) -> dict[str, Path | None]:
        """Files to draw, by option."""
        return {"--svg": self.svg, "--png": self.png, "--views": self.views, "--rest": self.rest}


def run(wish: Wish) -> TravelResult:
    """The travel asked for, its pictures written. Raises Refusal, OSError."""
    which = options.read_corner(wish.corner)
    lifts = None if wish.lift is None else options.read_lifts(wish.lift)
    racks = None if wish.steer is None else options.read_lifts(wish.steer, "--steer", options.RACK_WORDS)
    options.check_count(len(lifts or [0.0]) * len(racks or [0.0]), "--steer")
    other = None if wish.other is None else options.read_length(wish.other, "--other")
    if other is not None and wish.opposite:
        raise Refusal.of("both --other and --opposite", "one of the two", field="--other")
    formats = {name: options.read_picture(wish.pictures[name], name) for name in ("--views", "--rest")}
    check_outputs(wish.pictures, {"CAR": wish.car})
    car = cornerwright.load_car(wish.car)
    if lifts is None:
        lifts = _lifts(car, which, other, wish.opposite)
    result = cornerwright.travel(car, which, lifts, racks, other=other, opposite=wish.opposite)
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.travel_charts import travel_charts

        fine = options.finer(lifts)
        charts = travel_charts(cornerwright.travel(car, which, fine, racks, other=other, opposite=wish.opposite))
        write_drawing(lambda: charts, wish.svg, wish.png)
    _write(wish.views, formats["--views"], lambda: _views(car, which))
    _write(wish.rest, formats["--rest"], lambda: _rest(car, which))
    return result


def _lifts(car: Car, corner: CornerName, other: float | None, opposite: bool) -> list[float]:
    """What was measured, or as far as damper and linkage let the wheel go, in even steps."""
    bounds = cornerwright.travel(car, corner, [0.0], other=other, opposite=opposite)
    low, high = bounds.lowest_mm, bounds.highest_mm
    if bounds.kind != "jack_table":
        low = low if bounds.damper_out_mm is None else max(low, bounds.damper_out_mm)
        high = high if bounds.full_bump_mm is None else min(high, bounds.full_bump_mm)
    return options.even_lifts(low, high)


def _views(car: Car, corner: CornerName) -> Drawing:
    from cornerwright.drawing.views import travel_views

    return travel_views(cornerwright.travel_scene(car, corner))


def _rest(car: Car, corner: CornerName) -> Drawing:
    from cornerwright.drawing.corner import corner_from_behind

    return corner_from_behind(cornerwright.corner_scene(car, corner))


def _write(path: Path | None, ending: str | None, drawing: Callable[[], Drawing]) -> None:
    png = ending == "png"
    write_drawing(drawing, None if png else path, path if png else None)
