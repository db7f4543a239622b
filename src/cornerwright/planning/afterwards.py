"""After a round: what the plan said the gauges would show, against what they showed."""

from __future__ import annotations

from dataclasses import dataclass

from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import CORNER_READINGS, Reading
from cornerwright.model.results_plan import PlanResult

SIGMAS = 2.0
"""Further off than so many standard deviations is more than gauge and model explain: one reading in twenty."""


@dataclass(frozen=True)
class Against:
    """One reading."""

    corner: str
    key: str
    """With its unit: `toe_deg`."""
    predicted: float
    sigma: float
    read: float
    explained: bool
    """Whether it is off by no more than the plan's own doubt explains."""
    inside: bool | None
    """Whether it is in the wanted range; None: nothing is wanted of it."""

    @property
    def off(self) -> float:
        """Read less predicted."""
        return self.read - self.predicted


def against(planned: PlanResult, reading: Reading) -> tuple[Against, ...]:
    """Every value that was both foretold and read."""
    found = []
    for corner in CORNERS:
        foretold = planned.predicted.get(corner, {})
        for name in CORNER_READINGS:
            value = getattr(reading.corners[corner], name)
            one = foretold.get(key_of(name))
            if value is None or one is None or name not in KINDS:
                continue
            read = shown(value, KINDS[name])
            off = abs(read - one.value)
            wanted = one.low is not None or one.high is not None
            within = (one.low is None or read >= one.low) and (one.high is None or read <= one.high)
            explained = off <= SIGMAS * one.sigma
            inside = within if wanted else None
            found.append(Against(corner, key_of(name), one.value, one.sigma, read, explained, inside))
    return tuple(found)
