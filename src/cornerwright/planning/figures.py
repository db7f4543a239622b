"""The numbers of a standing car by which the knock-on of a change is judged."""

from __future__ import annotations

import math
from typing import Any

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import KINDS, key_of, known
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.files import of_plain
from cornerwright.model.units import ANGLE, LENGTH

Figures = dict[str, dict[str, float | None]]
"""By corner (and `car`), then by key with its unit."""

TAKEN = (
    "height",
    "load",
    "camber",
    "toe",
    "caster",
    "damper_length",
    "stroke_share",
    "spring_held",
    "droop_left",
    "bump_left",
)
BEAM = 10_000.0
"""Where a lamp's beam is looked at [mm]."""


def figures_of(document: dict[str, Any]) -> Figures:
    """Every figure of the car of this document, standing; empty where it does not stand, or where no car can be so.

    The bushes are taken as clamped where it stands, as they will be once the list is done: so a figure is what the
    gauges show then.
    """
    try:
        rig = Rig(of_plain(document, Car))
    except Refusal:
        return {}  # a correction told the past otherwise, and a car in between fits neither
    variant = rig.vary(loose=Loose(bushes=True))
    stance = variant.stand()
    if not stance.stands[0]:
        return {}
    at = outputs(variant, stance, gradients=False)
    found: Figures = {}
    for i, (name, corner) in enumerate(rig.car.corners.items()):
        lift = float(stance.q[0, 3 + i])
        own = {key_of(reading): known(at.corner[reading][0, i], KINDS[reading]) for reading in TAKEN}
        own["lift_mm"] = known(lift, LENGTH)
        own["droop_end_mm"] = known(lift - at.corner["droop_left"][0, i], LENGTH)
        own["bump_end_mm"] = known(lift + at.corner["bump_left"][0, i], LENGTH)
        if corner.bushes is not None:
            # Clamped anew they are at rest at this lift: how far they are twisted is a shift of it.
            own["twist_mm"] = own["lift_mm"]
        found[name] = own
    for axle, end in enumerate(("front", "rear")):
        bar = rig.car.axles[axle].bar
        if bar is not None and bar.connected and bar.link is not None:
            preload = stance.q[0, 3 + 2 * axle] - stance.q[0, 4 + 2 * axle] - variant.inputs.bar_offset[0, axle]
            found[end] = {"bar_mm": known(float(preload), LENGTH)}
    pitch = float(stance.q[0, 1])
    found["car"] = {
        "pitch_deg": known(pitch, ANGLE),
        "beam_mm_at_10_m": -round(math.tan(pitch) * BEAM, 2),
        "cross_weight_percent": known(at.car["cross_weight"][0], KINDS["cross_weight"]),
    }
    return found
