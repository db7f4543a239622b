"""What commands share that run many cars: whose figures are asked, what the cars are put to, by whom they are run."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from cornerwright.cli import options
from cornerwright.model.errors import Refusal
from cornerwright.model.units import SPEED, TIME

if TYPE_CHECKING:
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


def subjects_of(text: str) -> list[str]:
    """Commands whose figures are asked for. Raises Refusal."""
    from cornerwright.planning.doubt_unknowns import SUBJECTS

    return [options.one_of(one, SUBJECTS, "--of") for one in text.split(",")]


def case_of(put: Put) -> Case:
    """The same, held to what can be. Raises Refusal."""
    from cornerwright.planning.doubt_subjects import Case

    on = options.read_road_class(put.on)
    options.check_radius(put.radius)
    return Case(
        radius=put.radius,
        driven=options.read_driven(put.driven),
        on=on,
        speed=options.read_limited(put.speed, SPEED, "--speed", options.SPEEDS),
        seconds=options.read_limited(put.seconds, TIME, "--seconds", (4.0, 600.0)),
    )
