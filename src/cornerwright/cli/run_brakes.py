"""Running `cornerwright brakes`: reading what is wished, asking for it, writing its charts and cards."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.saving import check_outputs, write_drawing, write_whole
from cornerwright.model.errors import Refusal
from cornerwright.model.units import SHARE, SPEED, TEMPERATURE, TIME, to_document

if TYPE_CHECKING:
    from cornerwright.model.lap import Lap
    from cornerwright.model.results_brakes import BrakesResult
    from cornerwright.planning.brake_heat import Stops

LOADS = ("light", "driven", "full")
MOST_STOPS = 200
MOST_ROWS = 100_000
HARDEST = 2.5
"""Deceleration [g] beyond which nobody asks."""


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    load: str
    wet: bool
    wanted: str | None
    at: float
    stops: int
    fast: str
    slow: str
    rate: float
    every: str
    lap: Path | None
    laps: int
    air: str
    svg: Path | None
    png: Path | None
    card: Path | None


def run(wish: Wish) -> BrakesResult:
    """The brakes asked for, their charts and cards written. Raises Refusal, OSError."""
    load = options.one_of(wish.load, LOADS, "--load")
    share = None if wish.wanted is None else _within(options.read_quantity(wish.wanted, SHARE, "--wanted"), "--wanted")
    _inside(wish.at, 0.05, 1.2, "--at", "a deceleration from 0.05 to 1.2 g")
    air = options.read_quantity(wish.air, TEMPERATURE, "--air")
    _inside(air, -50.0, 60.0, "--air", "a temperature from -50 to 60 °C")
    run = _run(wish)
    outputs = {"--svg": wish.svg, "--png": wish.png, "--card": wish.card}
    check_outputs(outputs, {"CAR": wish.car, "--lap": wish.lap})
    car = cornerwright.load_car(wish.car)
    try:
        result = cornerwright.brakes(
            car, load, wet=wish.wet, run=run, laps=wish.laps, front_share=share, rate=wish.at, ambient=air
        )
    except Refusal as refusal:
        raise refusal.within(file=str(wish.car)) from None
    _write(wish, result)
    return result


def _run(wish: Wish) -> Stops | Lap:
    _inside(wish.laps, 1, 100, "--laps", "a count from 1 to 100")
    if wish.lap is not None:
        from cornerwright.model.lap import load_lap

        lap = load_lap(wish.lap)
        rows = len(lap.rows) * wish.laps
        if rows > MOST_ROWS:
            raise Refusal.of(f"{rows} rows in all", f"{MOST_ROWS} at most: fewer laps or coarser rows", field="--laps")
        return lap
    from cornerwright.planning.brake_heat import Stops

    _inside(wish.stops, 1, MOST_STOPS, "--stops", f"a count from 1 to {MOST_STOPS}")
    _inside(wish.rate, 0.05, HARDEST, "--rate", f"a deceleration from 0.05 to {HARDEST:g} g")
    fast, slow = options.read_quantity(wish.fast, SPEED, "--from"), options.read_quantity(wish.slow, SPEED, "--to")
    _inside(fast, 1.0, 140.0, "--from", "a speed from 4 to 500 km/h")
    _inside(slow, 0.0, fast - 0.5, "--to", "a speed below that of --from")
    stops = Stops(wish.stops, fast, slow, wish.rate, options.read_quantity(wish.every, TIME, "--every"))
    _inside(
        stops.every, stops.seconds, 3600.0, "--every", f"a time of at least {stops.seconds:.1f} s, what a stop takes"
    )
    return stops


def _within(share: float, field: str) -> float:
    if not 0.0 < share < 1.0:
        raise Refusal.of(f"{to_document(share, SHARE):g} %", "a share between 0 and 100 %, such as 64", field=field)
    return share


def _inside(value: float, low: float, high: float, field: str, words: str) -> None:
    if not low - 1e-9 <= value <= high + 1e-9:
        raise Refusal.of(f"{value:g}", words, field=field)


def _write(wish: Wish, result: BrakesResult) -> None:
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.brake_charts import brake_charts

        write_drawing(lambda: brake_charts(result), wish.svg, wish.png)
    if wish.card is not None:
        from cornerwright.paper.brake_cards import service_pages

        write_whole(wish.card, service_pages(result))
