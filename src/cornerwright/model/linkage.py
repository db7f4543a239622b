"""How a wheel may move: the jack table, readings taken while jacking one wheel."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.units import Angle, Length, PositiveAngle, PositiveLength


class JackRow(Document):
    """One row: the lift and what was read there; what was not read is left out."""

    lift: Length
    spring: PositiveLength | None = None
    """Distance between the spring seats [m]."""
    damper: PositiveLength | None = None
    """Distance between the damper's eyes [m]."""
    camber: Angle | None = None
    toe: Angle | None = None
    caster: Angle | None = None
    half_track: Length | None = None
    """Wheel's sideways place from any fixed mark, positive outboard [m]; only its change counts."""


class JackScatter(Document):
    """Standard deviation of one reading in the table; the defaults are common practice with shop gauges."""

    length: PositiveLength = 1e-3
    camber: PositiveAngle = 0.00175
    toe: PositiveAngle = 0.00087
    caster: PositiveAngle = 0.0044


class JackTable(Document):
    """Readings taken while jacking one wheel, body held still, adjusters at their `measured_at`."""

    kind: Literal["jack_table"]
    scatter: JackScatter = JackScatter()
    rows: Annotated[tuple[JackRow, ...], Field(min_length=3, max_length=500)]

    @model_validator(mode="after")
    def _rows_make_a_table(self) -> JackTable:
        lifts = [row.lift for row in self.rows]
        if len(set(lifts)) < 3:
            raise ValueError("the rows must hold at least three different lifts")
        if min(lifts) > 0 or max(lifts) < 0:
            raise ValueError("the rows must reach from droop (lift below 0) to bump (above 0)")
        for column in ("damper", "camber", "toe"):
            if sum(getattr(row, column) is not None for row in self.rows) < 2:
                raise ValueError(f"the column {column} needs at least two readings")
        return self

    def readings(self, column: str) -> tuple[float | None, ...]:
        """One column in the order of the rows; None where it was not read."""
        return tuple(getattr(row, column) for row in self.rows)
