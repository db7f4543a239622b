"""How far ball joints and rod ends turn, and drive shafts move in their joints, through travel and lock."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.point_travel import Asked, quantities_of, side_of
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.window import window
from cornerwright.model.parts import CORNERS, CornerName

Array = NDArray[np.float64]

LIFTS_LOOKED_AT = 9
"""Lifts from full droop to full bump at which joints are looked at."""

PREFIX = "joint "
"""What a quantity of travel is called that is the angle of a joint."""


@dataclass(frozen=True)
class Most:
    """The greatest value [SI] of something, and the lift [m] where it is."""

    value: float
    lift: float


@dataclass(frozen=True)
class Worked:
    """What joints and drive shaft of a corner do from full droop to full bump, at each place of the rack."""

    lifts: Array
    """(k,) [m]"""
    angles: dict[str, Array]
    """(k,) [rad] by the joint's name; nan where a pose cannot be reached"""
    plunge: Array | None
    """(k,) [m]"""

    def greatest(self, name: str) -> Most:
        """The greatest angle of a joint."""
        k = int(np.nanargmax(self.angles[name]))
        return Most(float(self.angles[name][k]), float(self.lifts[k]))

    def greatest_plunge(self) -> Most | None:
        """Where the shaft has moved furthest, with its sign; None where there is no shaft."""
        if self.plunge is None or not np.isfinite(self.plunge).any():
            return None
        k = int(np.nanargmax(np.abs(self.plunge)))
        return Most(float(self.plunge[k]), float(self.lifts[k]))


def joints_worked(variant: Variant, corner: CornerName) -> Worked:
    """Joints and drive shaft of this corner of the first variant; nothing with a jack table.

    From full droop to full bump, both wheels together, with the rack in the middle and at both locks.
    """
    which = CORNERS.index(corner)
    side = side_of(variant, which)
    if side is None:
        return Worked(np.zeros(0), {}, None)
    reach = [float(end[which % 2]) for end in variant.motions[which // 2].reach()]
    ends = window(variant, gradients=False)
    for place, end in enumerate((ends.droop, ends.bump)):
        lift = float(end.lift[0, which])
        if np.isfinite(lift):
            reach[place] = lift
    rack = variant.rig.car.axles[which // 2].rack
    steers = np.zeros(1) if rack is None or not side.mechanism.steers else np.array([-rack.travel, 0.0, rack.travel])
    asked = Asked.grid(which, np.linspace(reach[0], reach[1], LIFTS_LOOKED_AT), steers, (1.0, 1.0), 0.0)
    values, _ = quantities_of(variant, asked)
    angles = {
        name.removeprefix(PREFIX): found[0]
        for name, found in values.items()
        if name.startswith(PREFIX) and np.isfinite(found[0]).any()
    }
    shaft = values.get("shaft_plunge")
    return Worked(asked.lift, angles, None if shaft is None else shaft[0])


def greatest_angles(variant: Variant, corner: CornerName) -> dict[str, float]:
    """Greatest angle [rad] of each joint of this corner of the first variant, by its name; empty with a jack table."""
    worked = joints_worked(variant, corner)
    return {name: worked.greatest(name).value for name in worked.angles}
