"""Running `cornerwright fit`: reading what is wished, asking for it, writing its picture."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.model.errors import Refusal
from cornerwright.model.results_fit import FitResult
from cornerwright.model.units import ANGLE, parse
from cornerwright.planning.fit_inverse import SHELF, Wanted

CAMBER_WORDS = "two cambers in degrees, the more negative one first, as in -2.5:-0.5"
SHELF_WORDS = "thicknesses in mm, as in 0,5,10,15"


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    corner: str | None
    lip_distance: str | None
    gap: str | None
    shelf: str | None
    camber: str | None
    engagement: str | None
    svg: Path | None
    png: Path | None

    def wanted(self) -> Wanted | None:
        """What the tyre's place is to be; None where that is not asked. Raises Refusal."""
        others = {
            "--gap": self.gap,
            "--shelf": self.shelf,
            "--camber": self.camber,
            "--engagement": self.engagement,
        }
        if self.lip_distance is None:
            alone = [name for name, text in others.items() if text is not None]
            if alone:
                raise Refusal.of(f"{alone[0]} by itself", "--lip-distance with it", field=alone[0])
            return None
        shelf = SHELF if self.shelf is None else tuple(options.read_lifts(self.shelf, "--shelf", SHELF_WORDS))
        if min(shelf) < 0:
            raise Refusal.of("a spacer below 0", SHELF_WORDS, field="--shelf")
        return Wanted(
            lip_distance=options.read_length(self.lip_distance, "--lip-distance"),
            gap=None if self.gap is None else options.read_length(self.gap, "--gap"),
            shelf=shelf,
            camber=None if self.camber is None else _cambers(self.camber),
            engagement=None if self.engagement is None else options.read_length(self.engagement, "--engagement"),
        )


def run(wish: Wish) -> FitResult:
    """The answer asked for, its picture written. Raises Refusal, OSError."""
    corner = None if wish.corner is None else options.read_corner(wish.corner)
    wanted = wish.wanted()
    check_outputs({"--svg": wish.svg, "--png": wish.png}, {"CAR": wish.car})
    car = cornerwright.load_car(wish.car)
    result = cornerwright.fit(car, corner, wanted)
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.fit import wheel_in_arch

        field = "--svg" if wish.svg is not None else "--png"
        tightest = _tightest(result, field)
        write_drawing(lambda: wheel_in_arch(result, tightest), wish.svg, wish.png)
    return result


def _tightest(result: FitResult, field: str) -> str:
    """The corner with the least clearance."""
    known = {name: one.least_mm for name, one in result.corners.items() if one.least_mm is not None}
    if not known:
        raise Refusal.of(
            "a car file that says too little to draw a wheel in its arch",
            "a tyre's marking or width, a rim, and a room with what is around the wheel",
            field=field,
        )
    return min(known, key=lambda name: known[name] or 0.0)


def _cambers(text: str) -> tuple[float, float]:
    parts = text.split(":")
    try:
        low, high = (parse(part.strip(), ANGLE) for part in parts)
    except (Refusal, ValueError):
        raise Refusal.of(f"'{text}'", CAMBER_WORDS, field="--camber") from None
    if low > high:
        raise Refusal.of(f"'{text}'", CAMBER_WORDS, field="--camber")
    return low, high
