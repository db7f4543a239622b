"""How much of the load transfer of braking and driving the linkage carries past the springs.

A tyre's force along the road pushes the body up or down through the linkage as the wheel's path in
the side view leans: by the tangent of the path's angle. Path angles here are positive where the wheel
goes forward as it rises (`mechanics.linkage`, columns `brake_path` and `drive_path`).

Source: Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 3 (brake proportioning) and ch. 7
(anti-squat and anti-pitch geometry), from memory. Proof: tests/outside/test_anti_dive.py
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def front_brake_share(front: float, deceleration: float, wheelbase: float, cg_height: float) -> float:
    """Share [1] of the brake force at the front wheels when both axles use as much grip.

    front: static share of the weight on the front axle [1]; deceleration [1] in units of gravity;
    wheelbase, cg_height [m]. Source: statics, moments about the rear contact.
    """
    return min(1.0, front + deceleration * cg_height / wheelbase)


def carried_past_springs(path: ArrayLike, share: float, wheelbase: float, cg_height: float) -> Array:
    """Share [1] of an axle's load transfer that goes through its linkage, same shape as path.

    path [rad]: side view angle, taken positive where the wheel moves against the force of the road as
    it rises: forward at braking wheels in front, rearward at braking or driving wheels behind. share
    [1]: the axle's part of the whole force along the road. 1 is full anti-dive, anti-lift or
    anti-squat: the body's end does not move.
    """
    return np.asarray(share * np.tan(np.asarray(path, dtype=float)) * wheelbase / cg_height)
