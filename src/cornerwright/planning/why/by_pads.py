"""Between which values a number of the brakes lies, whatever the pads' friction within what their makers say."""

from __future__ import annotations

from itertools import product
from typing import Any, Literal

from cornerwright.assembly.brake_inputs import frictions, loading_of, parts_of, system_of
from cornerwright.model.car import Car
from cornerwright.planning.brake_balance import balance_rows, locking, pedal_answer

SPREAD: tuple[Literal["least", "most"], ...] = ("least", "most")


def by_pads(car: Car, parts: list[str], at: tuple[int | None, ...]) -> tuple[float, float] | None:
    """Least and greatest of the number, front and rear pads each at their least and greatest friction.

    parts: of the key's path, `at` which of several. None where the number does not go with the pads.
    """
    if parts[0] not in ("rows", "pedal", "locking"):
        return None
    known = parts_of(car)
    loading = loading_of(known.car)
    found = []
    for front, rear in product(SPREAD, SPREAD):
        system = system_of(known, frictions(known, spread=(front, rear)))
        node: Any = pedal_answer(known, system, loading)
        if parts[0] != "pedal":
            node = balance_rows(system, loading) if parts[0] == "rows" else locking(system, loading)
        if isinstance(node, tuple):
            which = at[0] or 0
            if which >= len(node):
                continue  # these pads do not reach that deceleration
            node = node[which]
        value = getattr(node, parts[-1])
        if isinstance(value, float):
            found.append(value)
    return (min(found), max(found)) if found else None
