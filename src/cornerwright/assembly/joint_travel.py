"""How far ball joints and rod ends of a linkage of points turn through travel and lock."""

from __future__ import annotations

import numpy as np

from cornerwright.assembly.point_travel import Asked, quantities_of, side_of
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.window import window
from cornerwright.model.parts import CORNERS, CornerName

LIFTS_LOOKED_AT = 9
"""Lifts from full droop to full bump at which joints are looked at."""

PREFIX = "joint "
"""What a quantity of travel is called that is the angle of a joint."""


def greatest_angles(variant: Variant, corner: CornerName) -> dict[str, float]:
    """Greatest angle [rad] of each joint of this corner of the first variant, by its name; empty with a jack table.

    From full droop to full bump, both wheels together, with the rack in the middle and at both locks; poses that
    cannot be reached are left out.
    """
    which = CORNERS.index(corner)
    side = side_of(variant, which)
    if side is None:
        return {}
    reach = [float(end[which % 2]) for end in variant.motions[which // 2].reach()]
    ends = window(variant, gradients=False)
    for place, end in enumerate((ends.droop, ends.bump)):
        lift = float(end.lift[0, which])
        if np.isfinite(lift):
            reach[place] = lift
    rack = variant.rig.car.axles[which // 2].rack
    steers = np.zeros(1) if rack is None or not side.mechanism.steers else np.array([-rack.travel, 0.0, rack.travel])
    lifts = np.linspace(reach[0], reach[1], LIFTS_LOOKED_AT)
    values, _ = quantities_of(variant, Asked.grid(which, lifts, steers, (1.0, 1.0), 0.0))
    return {
        name.removeprefix(PREFIX): float(np.nanmax(angles))
        for name, angles in values.items()
        if name.startswith(PREFIX) and np.isfinite(angles).any()
    }
