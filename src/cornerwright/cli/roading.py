"""Running `cornerwright road`: reading what is wished, asking for it, writing its charts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.cli.waiting import waiting
from cornerwright.model.errors import Refusal
from cornerwright.model.units import SPEED, TIME, Kind, parse, to_document

if TYPE_CHECKING:
    from cornerwright.model.results_road import RoadResult

CLASSES = ("A", "B", "C", "D", "E", "F", "G", "H")
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


def roaded(wish: Wish, as_json: bool) -> RoadResult:
    """The road asked for, its charts written. Raises Refusal, OSError."""
    on = wish.on.strip().upper()
    if on not in CLASSES:
        raise Refusal.of(f"'{wish.on}'", f"a class of road: {', '.join(CLASSES)}", field="--class")
    speed = read_limited(wish.speed, SPEED, "--speed", (5.0, 300.0))
    kerb_speed = read_limited(wish.kerb_speed, SPEED, "--kerb-speed", (2.0, 100.0))
    seconds = read_limited(wish.seconds, TIME, "--seconds", (4.0, LONGEST))
    if wish.random < 0:
        raise Refusal.of(f"{wish.random}", "a whole number from 0 on", field="--random")
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
                profile or on,  # type: ignore[arg-type]  # held to the classes above
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


def read_limited(text: str, kind: Kind, field: str, limits: tuple[float, float]) -> float:
    """A quantity from the command line, inside limits given in its document unit. Raises Refusal."""
    try:
        bare: str | float = float(text)
    except ValueError:
        bare = text.strip()
    try:
        value = parse(bare, kind)
    except Refusal as refusal:
        one = refusal.problems[0]
        raise Refusal.of(one.found, one.expected, field=field) from None
    shown = to_document(value, kind)
    if not limits[0] <= shown <= limits[1]:
        raise Refusal.of(f"{shown:g} {kind.unit}", f"{limits[0]:g} to {limits[1]:g} {kind.unit}", field=field)
    return value
