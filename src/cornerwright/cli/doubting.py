"""Running `cornerwright doubt`: reading what is wished, asking for it, by whom and kept where."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options
from cornerwright.cli.roading import CLASSES, read_limited
from cornerwright.cli.turning import DRIVEN
from cornerwright.cli.waiting import waiting
from cornerwright.model.errors import Refusal
from cornerwright.model.units import SPEED, TIME

if TYPE_CHECKING:
    from cornerwright.model.car import Car
    from cornerwright.model.results_doubt import DoubtResult
    from cornerwright.planning.doubt_subjects import Case
    from cornerwright.running.run import Where

MOST_PROCESSES = 1024


@dataclass(frozen=True)
class Many:
    """Who does many runs, and where they are kept, as on the command line."""

    processes: int | None = None
    cluster: str | None = None
    out: Path | None = None

    def where(self) -> Where:
        """The same, held to what can be. Raises Refusal."""
        from cornerwright.running.run import Where

        if self.processes is not None and not 1 <= self.processes <= MOST_PROCESSES:
            raise Refusal.of(f"{self.processes}", f"1 to {MOST_PROCESSES}", field="--processes")
        if self.processes is not None and self.cluster is not None:
            raise Refusal.of("--processes and --cluster", "one of the two", field="--cluster")
        return Where(self.processes, self.cluster, self.out)


@dataclass(frozen=True)
class Put:
    """What the cars are put to, as on the command line."""

    radius: float
    driven: str
    on: str
    speed: str
    seconds: str


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
    many: Many = field(default_factory=Many)


def subjects_of(text: str) -> list[str]:
    """Commands whose figures are asked for. Raises Refusal."""
    from cornerwright.planning.doubt_unknowns import SUBJECTS

    return [options.one_of(one, SUBJECTS, "--of") for one in text.split(",")]


def case_of(put: Put) -> Case:
    """The same, held to what can be. Raises Refusal."""
    from cornerwright.planning.doubt_subjects import Case

    on = put.on.strip().upper()
    if on not in CLASSES:
        raise Refusal.of(f"'{put.on}'", f"a class of road: {', '.join(CLASSES)}", field="--class")
    if not 5.0 <= put.radius <= 1000.0:
        raise Refusal.of(f"{put.radius:g}", "a radius from 5 to 1000 m", field="--radius")
    return Case(
        radius=put.radius,
        driven=options.one_of(put.driven, DRIVEN, "--driven"),  # type: ignore[arg-type]  # one_of holds it
        on=on,  # type: ignore[arg-type]  # held to the classes above
        speed=read_limited(put.speed, SPEED, "--speed", (5.0, 300.0)),
        seconds=read_limited(put.seconds, TIME, "--seconds", (4.0, 600.0)),
    )


def doubted(wish: Wish, as_json: bool) -> DoubtResult:
    """The doubt asked for. Raises Refusal, OSError."""
    if wish.random < 0:
        raise Refusal.of(f"{wish.random}", "a whole number from 0 on", field="--random")
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
