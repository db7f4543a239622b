"""What a spanner turns: an adjuster, its thread or notches, its range, and what one unit of it does."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, ValidationInfo, field_validator, model_validator

from cornerwright.model.base import Document
from cornerwright.model.errors import Refusal
from cornerwright.model.units import LENGTH, Angle, Length, PositiveLength, describe, parse, to_document

AdjusterKind = Literal["perch", "body", "rod", "plate", "cam", "shim", "bar_link", "spacer"]
HandUnit = Literal["turn", "flat", "notch", "mm", "shim"]
Purpose = Literal["height", "damper", "camber", "caster", "toe", "bar"]

COUNT = re.compile(r"\s*(?P<count>[+-]?\d+(\.\d+)?)\s*(?P<unit>turn|flat|notch|shim)(e?s)?\s*")
"""A travel counted in the hand's units."""

COUNTED_IN = {"turn": ("turn", "flat"), "flat": ("turn", "flat"), "notch": ("notch",), "shim": ("shim",), "mm": ()}
"""What the settings of an adjuster may be counted in, by its own unit."""

MINUTES = {
    "perch": 4.0,
    "body": 4.0,
    "rod": 6.0,
    "plate": 5.0,
    "cam": 6.0,
    "shim": 25.0,
    "bar_link": 5.0,
    "spacer": 12.0,
}
"""Work of one adjustment [minutes], wheel off and on included; our own rough figures, to be overridden in the file."""

PLUS = {
    "perch": "collar towards the spring (car up)",
    "body": "damper longer",
    "rod": "rod longer",
    "plate": "plate outboard",
    "cam": "mark outboard",
    "shim": "add shims",
    "bar_link": "link longer",
    "spacer": "thicker spacer",
}
MINUS = {
    "perch": "collar away from the spring (car down)",
    "body": "damper shorter",
    "rod": "rod shorter",
    "plate": "plate inboard",
    "cam": "mark inboard",
    "shim": "take shims out",
    "bar_link": "link shorter",
    "spacer": "thinner spacer",
}


Reach = Literal["wheel_on", "wheel_off", "arm_off"]

REACHES: dict[str, Reach] = {
    "perch": "wheel_off",
    "body": "wheel_off",
    "rod": "wheel_on",
    "plate": "wheel_on",
    "cam": "wheel_on",
    "shim": "arm_off",
    "bar_link": "wheel_on",
    "spacer": "wheel_off",
}
"""What usually has to come off to turn it (common practice); to be overridden in the file."""

MemberName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,40}$")]


def _has_a_way(value: tuple[float, float, float]) -> tuple[float, float, float]:
    if not any(value):
        raise ValueError("a direction cannot be all zeros")
    return value


Direction = Annotated[tuple[float, float, float], AfterValidator(_has_a_way)]
"""A direction in body axes: x forward, y left, z up; only its way counts."""


class Effect(Document):
    """What one unit (turn, flat, notch, shim, mm) of an adjuster does to a corner whose points are not known.

    Found by turning it once and reading again. Angles [rad] and lengths [m] per unit, at the same lift.
    """

    camber: Angle = 0.0
    toe: Angle = 0.0
    caster: Angle = 0.0
    half_track: Length = 0.0
    spring: Length = 0.0
    damper: Length = 0.0


class Adjuster(Document):
    """One thing a spanner turns.

    Settings are travels [m] along the adjuster: thread showing, slide position, shim pack. In a file they
    are written in mm or counted in the hand's own units ("3 notch", "4.5 turn", "11 flat").
    """

    kind: AdjusterKind
    unit: HandUnit
    pitch: PositiveLength = 1e-3
    """Travel of one turn, notch or shim [m]; not used for the unit mm."""
    flats_per_turn: Annotated[int, Field(ge=2, le=12)] = 6
    step: Annotated[float, Field(gt=0, le=100)] = 1.0
    """Smallest step the hand can set, in `unit`."""
    setting: Length
    """Present travel [m]."""
    measured_at: Length
    """Travel [m] at which the linkage was measured (jack table rows or points)."""
    range: tuple[Length, Length]
    """Least and greatest travel [m] that the maker or the thread left in allows."""
    plus: str | None = None
    """What the hand does for a positive move, in words."""
    minus: str | None = None
    effect: Effect | None = None
    acts_on: Annotated[tuple[MemberName, ...], Field(max_length=8)] = ()
    """On a linkage of points: the rod that gets longer, or the points that move."""
    along: Direction | None = None
    """On a linkage of points: the way the points go for a positive move, body axes; None: outboard."""
    sets: Purpose | None = None
    sizes: Annotated[tuple[Length, ...], Field(max_length=60)] = ()
    """Settings that the parts on the shelf allow: spacers or shims of these thicknesses; none: every whole step."""
    reach: Reach | None = None
    """What must come off to turn it; None: the usual for its kind."""
    minutes: Annotated[float, Field(gt=0, le=600)] | None = None
    """Work of one adjustment [minutes]; None: our rough figure for its kind."""

    @field_validator("setting", "measured_at", mode="before")
    @classmethod
    def _count_to_travel(cls, value: Any, info: ValidationInfo) -> Any:
        return _in_mm(value, info.data)

    @field_validator("range", "sizes", mode="before")
    @classmethod
    def _counts_to_travels(cls, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, list | tuple):
            return [_in_mm(one, info.data) for one in value]
        return value

    @model_validator(mode="after")
    def _inside_its_range(self) -> Adjuster:
        if self.unit != "mm" and "pitch" not in self.model_fields_set:
            raise ValueError("give the pitch: the travel of one turn, notch or shim")
        low, high = self.range
        if not low < high:
            raise ValueError("the range must go from the least to the greatest travel")
        if not low - 1e-9 <= self.setting <= high + 1e-9:
            raise ValueError("the setting must lie inside the range")
        if any(not low - 1e-9 <= one <= high + 1e-9 for one in self.sizes):
            raise ValueError("every one of the sizes must lie inside the range")
        return self

    @property
    def unit_travel(self) -> float:
        """Travel of one hand unit [m]."""
        if self.unit == "mm":
            return 1e-3
        if self.unit == "flat":
            return self.pitch / self.flats_per_turn
        return self.pitch

    @property
    def step_travel(self) -> float:
        """Travel of the smallest step [m]."""
        return self.step * self.unit_travel

    @property
    def reached(self) -> Reach:
        """What must come off to turn it."""
        return REACHES[self.kind] if self.reach is None else self.reach

    @property
    def work(self) -> float:
        """Work of one adjustment [minutes]."""
        return MINUTES[self.kind] if self.minutes is None else self.minutes

    def travel_of(self, value: float | str) -> float:
        """Travel [m] of a setting as a file writes it. Raises Refusal for what is no travel of this adjuster."""
        data = {"pitch": self.pitch, "flats_per_turn": self.flats_per_turn, "unit": self.unit}
        travel = parse(_in_mm(value, data), LENGTH)
        low, high = self.range
        if not low - 1e-9 <= travel <= high + 1e-9:
            raise Refusal.of(describe(value), "a setting inside the adjuster's range")
        return travel

    def words(self, travel: float) -> str:
        """What the hand does for a move of this travel [m], in words."""
        if travel >= 0:
            return self.plus or PLUS[self.kind]
        return self.minus or MINUS[self.kind]


def _in_mm(value: Any, data: dict[str, Any]) -> Any:
    """A text such as "3 notch" as a travel in mm; anything else is left for the length's own reading.

    A count in another unit than the adjuster's (turns of a cam that has notches) is left too, and refused there.
    """
    if not isinstance(value, str) or "pitch" not in data or "flats_per_turn" not in data:
        return value
    match = COUNT.fullmatch(value)
    if match is None or match["unit"] not in COUNTED_IN.get(data.get("unit", "mm"), ()):
        return value
    per_unit = data["pitch"] / (data["flats_per_turn"] if match["unit"] == "flat" else 1)
    return to_document(float(match["count"]) * per_unit, LENGTH)
