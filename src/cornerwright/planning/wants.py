"""What is wanted of a car: the user's targets, the trade's usual practice, and limits that may not be broken."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Rig
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.target import Band, Targets
from cornerwright.model.words import spoken
from cornerwright.planning.observe import Key

Array = NDArray[np.float64]

TOLERANCE = {
    "height": 0.002,
    "load": 50.0,
    "camber": np.radians(0.1),
    "toe": np.radians(0.05),
    "caster": np.radians(0.25),
    "half_track": 0.002,
    "damper_length": 0.002,
    "spring_length": 0.002,
    "spring_held": 0.002,
    "droop_left": 0.002,
    "bump_left": 0.002,
    "bind_margin": 0.002,
    "stroke_share": 0.05,
    "cross_weight": 0.005,
}
"""What counts as one tolerance of a reading where the target gives none [SI]; common practice."""

THIRD = 1.0 / 3.0
"""The damper's rod should stand in the middle third of its stroke at ride height (common practice)."""

JUST_HELD = 0.002
"""A separate spring should be squeezed by no more than this at full droop [m] (common practice)."""

USUAL_WEIGHT = 0.5
"""How much usual practice counts beside what the user asked for."""


@dataclass(frozen=True)
class Want:
    """One wanted range of one reading [SI]."""

    key: Key
    band: Band
    scale: float
    weight: float
    usual: bool
    """True: usual practice, not asked for by the user."""


@dataclass(frozen=True)
class Limit:
    """A limit that may not be broken: sign * (reading - edge) >= 0."""

    key: Key
    edge: float
    sign: float
    scale: float
    says: str
    asked: bool = False
    """True: a hard target of the user's."""


def wants_of(targets: Targets, rig: Rig) -> tuple[Want, ...]:
    """Every wanted range: the user's first, then usual practice where the user said nothing of it."""
    found: list[Want] = []
    asked = targets.bands()
    for key, band in asked.items():
        if not band.hard:
            scale = band.within if np.isfinite(band.within) else TOLERANCE[key[1]]
            found.append(Want(key, band, scale, 1.0, usual=False))
    for corner in CORNERS:
        found.extend(_usual(corner, rig, set(asked)))
    return tuple(found)


def _usual(corner: CornerName, rig: Rig, asked: set[Key]) -> list[Want]:
    parts = rig.car.corners[corner]
    about_damper = {"stroke_share", "droop_left", "bump_left", "damper_length", "spring_held"}
    if parts.adjuster_of("body") is None or any((corner, name) in asked for name in about_damper):
        return []
    third = Band(THIRD, 1 - THIRD, 0.5, THIRD / 2, hard=False)
    usual = [Want((corner, "stroke_share"), third, TOLERANCE["stroke_share"], USUAL_WEIGHT, True)]
    if not parts.spring.around_damper:
        held = Band(0.0, JUST_HELD, JUST_HELD / 2, JUST_HELD / 2, hard=False)
        usual.append(Want((corner, "spring_held"), held, JUST_HELD, USUAL_WEIGHT, True))
    return usual


def limits_of(targets: Targets) -> tuple[Limit, ...]:
    """Limits of every car (spring held, no coil bind, stroke both ways), then the user's hard targets."""
    found: list[Limit] = []
    asked = targets.bands()
    words = {
        "spring_held": "the spring must not come loose at full droop",
        "bind_margin": "the spring must not bind before the bump stop or the damper ends the travel",
        "droop_left": "the damper must have stroke left in droop",
        "bump_left": "the damper must have stroke left in bump",
    }
    for corner in CORNERS:
        for name, says in words.items():
            own = asked.get((corner, name))
            if own is None or not own.hard:
                found.append(Limit((corner, name), 0.0, 1.0, TOLERANCE[name], says))
    for key, band in asked.items():
        if band.hard:
            says = f"hard target on {spoken(key[1])}"
            for edge, sign in ((band.low, 1.0), (band.high, -1.0)):
                if np.isfinite(edge):
                    found.append(Limit(key, edge, sign, TOLERANCE[key[1]], says, asked=True))
    return tuple(found)
