"""Single events: a fall onto all four wheels, a kerb under the left ones, and how much travel each leaves."""

from __future__ import annotations

import numpy as np

from cornerwright.assembly.report import shown
from cornerwright.assembly.ride_inputs import RideInputs
from cornerwright.mechanics import road as roads
from cornerwright.mechanics.ride import Ride, drive
from cornerwright.mechanics.ride_rest import Rest, hanging
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_road import Landing
from cornerwright.model.units import FORCE, LENGTH, STANDARD_GRAVITY, to_document
from cornerwright.planning.ride_told import mm

DROPS = (0.025, 0.05, 0.075, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5)
KERBS = (0.02, 0.03, 0.04, 0.05, 0.06, 0.08, 0.1, 0.12, 0.15)
"""Heights [m] that are tried."""


def falls(inputs: RideInputs, still: Rest, step: float) -> tuple[Landing, ...]:
    """The car falls level, wheels hanging, onto all four."""
    n = len(DROPS)
    fall = np.zeros((n, 7))
    fall[:, [0, 3, 4, 5, 6]] = -np.sqrt(2.0 * STANDARD_GRAVITY * np.array(DROPS))[:, None]
    ride = drive(inputs.car, np.zeros((n, round(1.0 / step), 4)), step, hanging(inputs.car), fall)
    return tuple(_landing(inputs, "drop", height, ride, k) for k, height in enumerate(DROPS))


def climbs(inputs: RideInputs, still: Rest, step: float, speed: float, wheelbase: float) -> tuple[Landing, ...]:
    """The left wheels climb a kerb one after the other."""
    rows = round((1.0 + wheelbase / speed + 1.0) / step)
    ahead = np.arange(rows) * step * speed
    radius = float(inputs.radius.min())
    heights = np.zeros((len(KERBS), rows, 4))
    for k, height in enumerate(KERBS):
        ramp = roads.kerb_ramp(radius, height)
        heights[k, :, 0] = roads.kerb(ahead, 0.2 * speed, height, ramp)
        heights[k, :, 2] = roads.kerb(ahead, 0.2 * speed + wheelbase, height, ramp)
    ride = drive(inputs.car, heights, step, still.q)
    return tuple(_landing(inputs, "kerb", height, ride, k) for k, height in enumerate(KERBS))


def _landing(inputs: RideInputs, what: str, height: float, ride: Ride, k: int) -> Landing:
    if ride.verdict[k] == "lost":
        tall = f"{to_document(height, LENGTH):g} mm"
        raise Refusal.of(f"a {what} of {tall} that cannot be followed", "springs and stops that hold the car")
    least = ride.damper_length[k].min(axis=0)
    peak = ride.load[k].max(axis=0)
    return Landing(
        what="drop" if what == "drop" else "kerb",
        height_mm=shown(height, LENGTH),
        least_mm={name: mm(least[c] - inputs.closed[c]) for c, name in enumerate(CORNERS)},
        bottoms=tuple(name for c, name in enumerate(CORNERS) if least[c] <= inputs.bump[c]),
        peak_load_n={name: float(f"{to_document(peak[c], FORCE):.4g}") for c, name in enumerate(CORNERS)},
    )


def bottoms_from(tried: tuple[Landing, ...]) -> float | None:
    """Least height [mm] of those tried from which a corner bottoms."""
    return next((one.height_mm for one in tried if one.bottoms), None)
