"""Running `cornerwright doubt`: reading what is wished, asking for it, by whom and kept where."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.many_cars import Many, Put, case_of, subjects_of
from cornerwright.cli.waiting import waiting
from cornerwright.model.errors import Refusal

if TYPE_CHECKING:
    from cornerwright.model.car import Car
    from cornerwright.model.results_doubt import DoubtResult


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    of: str
    cars: int | None
    random: int
    against: Path | None
    changed: tuple[str, ...]
    put: Put
    many: Many


def run(wish: Wish, as_json: bool) -> DoubtResult:
    """The doubt asked for. Raises Refusal, OSError."""
    options.check_random(wish.random)
    subjects, case = subjects_of(wish.of), case_of(wish.put)
    where = wish.many.where()
    car = cornerwright.load_car(wish.car)
    against = _other(wish, car)
    try:
        with waiting(as_json) as line:
            return cornerwright.doubt(
                car, wish.cars, wish.random, line, of=subjects, against=against, case=case, where=where
            )
    except Refusal as refusal:
        raise refusal.within(file=str(wish.car)) from None


def _other(wish: Wish, car: Car) -> Car | None:
    """The car that is compared: another file, or this one, with what is set on it."""
    if wish.against is None and not wish.changed:
        return None
    other = car if wish.against is None else cornerwright.load_car(wish.against)
    if not wish.changed:
        return other
    travels = dict(options.read_setting(other, text) for text in wish.changed)
    words = ", ".join(text.strip() for text in wish.changed)
    return other.at_settings(travels).model_copy(update={"name": f"{other.name} with {words}"})
