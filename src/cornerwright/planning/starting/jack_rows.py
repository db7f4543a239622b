"""The jack table as it is entered: hub to lip at each step becomes lift; rows are held against their neighbours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cornerwright.mechanics.jack import PRIOR_ANGLE, PRIOR_LENGTH, fit_column
from cornerwright.model.linkage import JackScatter
from cornerwright.model.units import ANGLE, LENGTH, from_document
from cornerwright.planning.starting.asked import Given, Remark

ROWS_AT_FIRST = 5
FITTED = ("spring", "damper", "camber", "toe", "half_track", "caster")
ANGLES = ("camber", "toe", "caster")


@dataclass(frozen=True)
class Row:
    """One row: number as entered, lift [mm], and what was read there, as typed."""

    number: int
    lift: float
    texts: dict[str, str]


def lift_zero(end: str, given: Given) -> float | None:
    """Hub to lip as the left wheel stands [mm], from the heights; None: they do not tell it."""
    height = given.number(f"height.{end}_left", LENGTH)
    if height is None or given.choice("height_to", "floor") == "hub":
        return height
    hub = given.number(f"{end}.centre_height", LENGTH)
    return None if hub is None else height - hub


def standing(end: str, given: Given) -> float | None:
    """Hub to lip as the car stands [mm]: as entered, or from the heights."""
    found = given.number(f"{end}.hub_to_lip", LENGTH)
    return lift_zero(end, given) if found is None else found


def rows(end: str, given: Given) -> list[Row]:
    """Rows whose lift is known and that hold at least one reading, lowest first."""
    by_hub = given.choice(f"{end}.lift_by", "hub") == "hub"
    zero = standing(end, given)
    found = []
    numbers = {int(part[2]) for name in given.under(f"{end}.row.") if (part := name.split("."))[2].isdigit()}
    for k in sorted(numbers):
        at = given.number(f"{end}.row.{k}.at", LENGTH)
        texts = {name: text for name in FITTED if (text := given.text(f"{end}.row.{k}.{name}"))}
        if at is None or not texts or (by_hub and zero is None):
            continue
        lift = zero - at if by_hub and zero is not None else at
        found.append(Row(k, round(lift, 3), texts))
    return sorted(found, key=lambda row: row.lift)


def column(end: str, name: str, given: Given) -> tuple[list[int], list[float], list[float]]:
    """Row numbers, lifts [m] and values [SI] of what was read in one column."""
    kind = ANGLE if name in ANGLES else LENGTH
    numbers, lifts, values = [], [], []
    for row in rows(end, given):
        value = given.si(f"{end}.row.{row.number}.{name}", kind)
        if value is not None:
            numbers.append(row.number)
            lifts.append(from_document(row.lift, LENGTH))
            values.append(value)
    return numbers, lifts, values


def ratio(end: str, name: str, given: Given) -> float | None:
    """How far spring or damper moves for each mm of lift at lift 0; minus: bump shortens it. None: not known yet."""
    _, lifts, values = column(end, name, given)
    if len(set(lifts)) < 2:
        return None
    curve = fit_column(lifts, values, JackScatter().length, PRIOR_LENGTH)
    held = min(max(0.0, min(lifts)), max(lifts))
    return float(curve.at(held)[1])


def row_remarks(end: str, given: Given) -> list[Remark]:
    """Rows that do not lie with the others, twice the same step, and columns that run the wrong way."""
    found: list[Remark] = []
    seen: dict[float, int] = {}
    for row in rows(end, given):
        if row.lift in seen:
            found.append(Remark(f"{end}.row.{row.number}.at", "asks", f"the same step as row {seen[row.lift]}"))
        seen[row.lift] = row.number
    scatter = JackScatter()
    for name in FITTED:
        numbers, lifts, values = column(end, name, given)
        if len(set(lifts)) < 3:
            continue
        angle = name in ANGLES
        noise = getattr(scatter, name) if angle else scatter.length
        curve = fit_column(lifts, values, noise, PRIOR_ANGLE if angle else PRIOR_LENGTH)
        if name in ("spring", "damper") and curve.coefficients[1] > 0:
            words = "gets longer as the wheel goes up: is bump plus, and are these lengths of this wheel?"
            found.append(Remark(f"{end}.row.{numbers[-1]}.{name}", "asks", f"the {name} {words}"))
            continue
        if len(set(lifts)) >= 4 and curve.outlier.any():
            worst = int(np.nanargmax(np.abs(curve.residuals)))
            found.append(
                Remark(f"{end}.row.{numbers[worst]}.{name}", "asks",
                       "does not lie with the other rows: read it again; a slip of the tape or the pen?")
            )  # fmt: skip
    return found
