"""What scales and a tape read on a car at rest, each with its slope.

Loads are in the order front left, front right, rear left, rear right. Shares are of the total
[1]. Cross weight: the share carried by the diagonal right front and left rear (the trade's
definition; common practice). Proof: tests/outside/test_cross_weight.py.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.jets import Array
from cornerwright.mechanics.potential import turns
from cornerwright.mechanics.stance import Partials, Stance, centre_z_direct

_CROSS = np.array([0.0, 1.0, 1.0, 0.0])
_FRONT = np.array([1.0, 1.0, 0.0, 0.0])
_LEFT = np.array([1.0, 0.0, 1.0, 0.0])


def _share(load: NDArray[np.float64], members: Array) -> tuple[Array, Array]:
    total = load.sum(axis=-1)
    share = load @ members / total
    return share, (members - share[..., None]) / total[..., None]


def cross_weight(load: Array) -> tuple[Array, Array]:
    """Cross weight [1] (...,) of loads (..., 4) [N] and its slope d/d load (..., 4) [1/N]."""
    return _share(load, _CROSS)


def front_share(load: Array) -> tuple[Array, Array]:
    """Share on the front wheels [1] (...,) of loads (..., 4) [N] and its slope (..., 4) [1/N]."""
    return _share(load, _FRONT)


def left_share(load: Array) -> tuple[Array, Array]:
    """Share on the left wheels [1] (...,) of loads (..., 4) [N] and its slope (..., 4) [1/N]."""
    return _share(load, _LEFT)


def heights(q: Array, points: Array) -> tuple[Array, Array]:
    """Heights above the ground [m] (n, k) of body points and their slopes d/dq (n, k, 7).

    q (n, 7) as in `Stance`; points (k, 3) or (n, k, 3) [m] in body axes. Slopes are per metre
    of heave and per radian of pitch and roll; a body point does not move with the lifts.
    """
    turned = turns(q[:, 1:3])[:, :3] @ np.swapaxes(points, -1, -2)
    slope = np.zeros((*turned[:, 0].shape, 7))
    slope[..., 0] = 1.0
    slope[..., 1] = turned[:, 1]
    slope[..., 2] = turned[:, 2]
    return q[:, :1] + turned[:, 0], slope


def load_slope(stance: Stance) -> Array:
    """Slope of the four loads with the seven coordinates, d load / dq (n, 4, 7) [N/m, N/rad]."""
    return -stance.contact_rate[:, :, None] * stance.centre_z_slope


def load_sensitivity(stance: Stance, partials: Partials, moved: Array) -> Array:
    """How the loads go with m parameters, d load / da (n, 4, m) [N per unit].

    moved (n, 7, m) is dq/da from `sensitivity` with the same partials. Includes what a parameter
    does to a wheel centre's height on a tilted body while the coordinates stand still.
    """
    direct = stance.contact_rate[:, :, None] * centre_z_direct(stance, partials)
    return load_slope(stance) @ moved - direct


def length_sensitivity(stance: Stance, partials: Partials, moved: Array) -> tuple[Array, Array]:
    """How spring lengths and damper lengths go with m parameters, two of (n, 4, m) [m per unit].

    The lengths are `Stance.spring_length` and `Stance.damper_length` (the damper law's argument);
    moved as in `load_sensitivity`.
    """
    lifts = moved[:, 3:]
    spring = stance.kinematics.spring.first @ lifts + partials.spring - partials.seat_offset
    damper = stance.kinematics.damper.first @ lifts + partials.damper - partials.body_offset
    return spring, damper
