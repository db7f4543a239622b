"""An axle's linkage, and sets of springs and dampers for it, as the arrays that weigh parts in bulk."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.carried_on import carried_on
from cornerwright.assembly.rig import Rig, bump_length, damper_law_of
from cornerwright.mechanics.axle_parts import AxleBench, AxleParts
from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.springs import spring_pack
from cornerwright.mechanics.stance import GRAVITY, Stance
from cornerwright.model.corner import Corner
from cornerwright.model.parts import Damper

Array = NDArray[np.float64]

LIFTS = (-0.16, 0.16, 0.001)
"""Lowest and highest lift of the tables and their step [m]."""
BODIES = 33
"""Settings of a damper's body that are tried."""


def axle_bench(rig: Rig, stance: Stance, axle: int, stands: float) -> AxleBench:
    """What stays of axle 0 (front) or 1 (rear) when its parts are changed, the mean of left and right.

    stance: the car at rest as it is; stands [m]: lift wanted at rest. Where the linkage cannot follow, lengths go on
    straight. Raises Refusal where it is reached nowhere.
    """
    own = slice(2 * axle, 2 * axle + 2)
    inputs = rig.vary().inputs
    low, high, step = LIFTS
    lifts = np.linspace(low, high, round((high - low) / step) + 1)
    motion = inputs.kinematics(np.repeat(lifts[:, None], 4, axis=1))
    means = [part.value[:, own].mean(axis=1) for part in (motion.spring, motion.damper)]
    lengths = carried_on(np.stack(means, axis=1))
    bush = float(inputs.bush_rate[0, own].mean())
    clamped = float(inputs.bush_lift[0, own].mean())
    bodies, perch = _settings(rig, 2 * axle)
    corner = list(rig.car.corners.values())[2 * axle]
    unsprung = float(inputs.unsprung_mass[0, own].mean())
    return AxleBench(
        lift=lifts,
        spring=lengths[:, 0],
        damper=lengths[:, 1],
        stands=stands,
        carried=float(stance.load[0, own].mean()) - GRAVITY * unsprung,
        unsprung=unsprung,
        tyre_rate=float(inputs.tyre_rate[0, own].mean()),
        bush_force=bush * (stands - clamped),
        bush_rate=bush,
        perch=perch,
        bodies=bodies,
        around=corner.spring.around_damper,
    )


def _settings(rig: Rig, corner: int) -> tuple[Array, Array]:
    """Travels of the damper's body to try (b,), and of the perch (2,), from where the linkage was measured [m]."""
    bodies, perch = np.zeros(1), np.zeros(2)
    for slot in rig.slots:
        adjuster = slot.adjuster
        if slot.corner != corner or adjuster.kind not in ("perch", "body"):
            continue
        low, high = (end - adjuster.measured_at for end in adjuster.range)
        if adjuster.kind == "perch":
            perch = np.array([low, high])
        else:
            now = adjuster.setting - adjuster.measured_at
            bodies = np.unique(np.append(np.linspace(low, high, BODIES), now))
    return bodies, perch


def axle_parts(corners: Sequence[Corner]) -> AxleParts:
    """Springs and dampers of these corners, one set each; a damper without a curve resists nothing."""
    most = max(len(corner.spring.stack) for corner in corners)
    stack = np.full((3, len(corners), most), np.nan)
    for c, corner in enumerate(corners):
        for k, coil in enumerate(corner.spring.stack):
            stack[:, c, k] = (coil.rate, coil.free_length, coil.block_length)
    spacers = np.array([corner.spring.spacers for corner in corners])
    dampers = [corner.damper for corner in corners]
    speeds = np.linspace(0.0, 0.5, 51)
    return AxleParts(
        spring=spring_pack(stack[0], stack[1], stack[2], spacers),
        free=np.asarray(np.nansum(stack[1], axis=1) + spacers),
        bound=np.asarray(np.nansum(stack[2], axis=1) + spacers),
        damper=ForceLaw.stack([damper_law_of(damper) for damper in dampers]),
        open=np.array([damper.open for damper in dampers]),
        bump=np.array([bump_length(damper) for damper in dampers]),
        speeds=speeds,
        resist=np.array([_resist(damper, speeds) for damper in dampers]),
    )


def _resist(damper: Damper, speeds: Array) -> Array:
    """Mean of bump and rebound [N] at rod speeds (s,) [m/s]; beyond its last row the force is held."""
    rows = damper.curve or ()
    at = [0.0, *(row.speed for row in rows)]
    ways = [[0.0, *(getattr(row, way) for row in rows)] for way in ("bump", "rebound")]
    return np.asarray(sum(np.interp(speeds, at, way) for way in ways) / 2.0)
