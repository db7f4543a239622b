"""Running `cornerwright sweep`: reading what is turned, asking for it, by whom and kept where."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli.many_cars import Many, Put, case_of, subjects_of
from cornerwright.cli.options import bare
from cornerwright.cli.waiting import waiting
from cornerwright.model.errors import Refusal

if TYPE_CHECKING:
    from cornerwright.model.car import Car
    from cornerwright.model.results_sweep import SweepResult
    from cornerwright.planning.sweep import Over

MOST = 10_000
"""Settings of one adjuster."""
EXPECTED = "an adjuster and its settings: front_left.perch=10:30:2 (from, to, step) or front.perch=12,14,18"


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    over: tuple[str, ...]
    of: str
    put: Put
    many: Many


def run(wish: Wish, as_json: bool) -> SweepResult:
    """The sweep asked for. Raises Refusal, OSError."""
    subjects, case, where = subjects_of(wish.of), case_of(wish.put), wish.many.where()
    car = cornerwright.load_car(wish.car)
    over = [read_over(car, text) for text in wish.over]
    try:
        with waiting(as_json) as line:
            return cornerwright.sweep(car, over, of=subjects, case=case, where=where, progress=line)
    except Refusal as refusal:
        raise refusal.within(file=str(wish.car)) from None


def read_over(car: Car, text: str) -> Over:
    """One adjuster and its settings. Raises Refusal."""
    from cornerwright.planning.sweep import Over, adjusters_named

    name, sign, told = text.partition("=")
    if not sign or not told.strip():
        raise Refusal.of(f"'{text}'", EXPECTED, field="--over")
    name = name.strip().replace("-", "_")
    names = adjusters_named(car, name)
    adjuster = car.adjusters()[names[0]]
    try:
        if ":" in told:
            travels = _range([adjuster.travel_of(bare(part)) for part in told.split(":")[:2]], told, text)
        else:
            travels = tuple(adjuster.travel_of(bare(part)) for part in told.split(","))
        for other in names[1:]:
            low, high = car.adjusters()[other].range
            if not all(low - 1e-9 <= travel <= high + 1e-9 for travel in travels):
                raise Refusal.of(f"{other} at {told.strip()}", "settings inside the range of both sides")
    except Refusal as refusal:
        one = refusal.problems[0]
        raise Refusal.of(f"{name} at {told.strip()}: {one.found}", one.expected, field="--over") from None
    return Over(name, names, tuple(dict.fromkeys(travels)))


def _range(ends: list[float], told: str, text: str) -> tuple[float, ...]:
    """Even travels [m] from the first to the last, both counted."""
    from cornerwright.model.units import LENGTH, parse

    parts = told.split(":")
    if len(parts) != 3 or len(ends) != 2:
        raise Refusal.of(f"'{text}'", EXPECTED)
    low, high = ends
    step = parse(bare(parts[2]), LENGTH)
    if not (step > 0.0 and high >= low):
        raise Refusal.of(f"'{told.strip()}'", "from, to and step: rising, with a step above zero")
    count = int((high - low) / step + 1e-9) + 1
    if count > MOST:
        raise Refusal.of(f"{count} settings", f"{MOST} at most")
    return tuple(low + k * step for k in range(count))
