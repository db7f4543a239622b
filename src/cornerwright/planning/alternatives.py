"""Other ways to the same targets: with least work, with no arm taken off, with the wheels on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.planning.seek import Chosen, Sought, seek

Way = Literal["least work", "no arms off", "wheels on"]

MORE_FOR_WORK = 12.0
"""How much more a minute of work counts in the plan of least work: an hour against an even chance."""

WAYS: dict[Way, tuple[str, ...]] = {
    "least work": ("wheel_on", "wheel_off", "arm_off"),
    "no arms off": ("wheel_on", "wheel_off"),
    "wheels on": ("wheel_on",),
}
"""What may come off in each."""


def other_ways(
    sought: Sought, chosen: Chosen, tell: Callable[[float, str], None] | None = None, only: Way | None = None
) -> dict[Way, Chosen]:
    """Plans that differ from the chosen one, by name; a way that forbids none of its moves is left out.

    tell(share done, what) is called before each; only: just this way.
    """
    found: dict[Way, Chosen] = {}
    for number, (way, allowed) in enumerate(WAYS.items()):
        if only not in (None, way):
            continue
        if tell is not None:
            tell(0.8 + 0.2 * number / len(WAYS), f"looking for a plan with {way}")
        frozen = frozen_by(sought, allowed)
        if way != "least work" and not (frozen & (chosen.steps != 0)).any():
            continue
        again = seek(sought, frozen, MORE_FOR_WORK if way == "least work" else 1.0)
        if again is not None and (again.steps != chosen.steps).any():
            found[way] = again
    return found


def frozen_by(sought: Sought, allowed: tuple[str, ...]) -> NDArray[np.bool_]:
    """(m,) adjusters that cannot be reached with only this taken off."""
    return np.array([slot.adjuster.reached not in allowed for slot in sought.rig.slots], dtype=bool)
