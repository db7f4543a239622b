"""How far ball joints and rod ends of a linkage of points turn through travel and lock."""

from __future__ import annotations

import numpy as np

from cornerwright.assembly.travel import travel
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.units import ANGLE, LENGTH, from_document

LIFTS_LOOKED_AT = 9


def greatest_angles(car: Car, corner: CornerName) -> dict[str, float]:
    """Greatest angle [rad] of each joint of this corner, by its name; empty with a jack table.

    From the damper right out to right in, with the rack in the middle and at both locks.
    """
    if car.corners[corner].table is not None:
        return {}
    bounds = travel(car, corner, [0.0])
    low, high = bounds.lowest_mm, bounds.highest_mm
    low = low if bounds.damper_out_mm is None else max(low, bounds.damper_out_mm)
    high = high if bounds.full_bump_mm is None else min(high, bounds.full_bump_mm)
    rack = car.axles[CORNERS.index(corner) // 2].rack
    locks = None if rack is None else np.array([-rack.travel, 0.0, rack.travel])
    lifts = np.linspace(from_document(low, LENGTH), from_document(high, LENGTH), LIFTS_LOOKED_AT)
    most: dict[str, float] = {}
    for row in travel(car, corner, lifts, steer=locks).rows:
        for name, angle in row.joints_deg.items():
            most[name] = max(most.get(name, 0.0), from_document(angle, ANGLE))
    return most
