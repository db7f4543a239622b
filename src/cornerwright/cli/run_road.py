"""Running `cornerwright road`: reading what is wished, asking for it, writing its charts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.cli.waiting import waiting
from cornerwright.model.errors import Refusal
from cornerwright.model.units import SPEED, TIME

if TYPE_CHECKING:
    from cornerwright.model.results_road import RoadResult

LONGEST = 3600.0
"""Seconds that one asks for at the most."""


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    on: str
    profile: Path | None
    speed: str
    seconds: str
    random: int
    kerb_speed: str
    svg: Path | None
    png: Path | None


def run(wish: Wish, as_json: bool) -> RoadResult:
    """The road asked for, its charts written. Raises Refusal, OSError."""
    on = options.read_road_class(wish.on)
    speed = options.read_limited(wish.speed, SPEED, "--speed", options.SPEEDS)
    kerb_speed = options.read_limited(wish.kerb_speed, SPEED, "--kerb-speed", (2.0, 100.0))
    seconds = options.read_limited(wish.seconds, TIME, "--seconds", (4.0, LONGEST))
    options.check_random(wish.random)
    check_outputs({"--svg": wish.svg, "--png": wish.png}, {"CAR": wish.car, "--profile": wish.profile})
    car = cornerwright.load_car(wish.car)
    profile = None
    if wish.profile is not None:
        from cornerwright.model.profile import load_profile

        profile = load_profile(wish.profile)
    try:
        with waiting(as_json) as line:
            result = cornerwright.road(
                car,
                profile or on,
                speed=speed,
                seconds=seconds,
                random=wish.random,
                kerb_speed=kerb_speed,
                progress=line,
            )
    except Refusal as refusal:
        raise refusal.within(file=str(wish.car)) from None
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.road_charts import road_charts

        write_drawing(lambda: road_charts(result), wish.svg, wish.png)
    return result
