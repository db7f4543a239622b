"""Heights, wheel loads and the height of the centre of gravity, from what tape and scales show.

Wheels are in the order front left, front right, rear left, rear right; body axes as everywhere, the front axle at
x = 0, the rear axle at x = -wheelbase. Proof: tests/mechanics/test_weighing.py and tests/outside/test_iso_10392.py.
"""

from __future__ import annotations

import math
from cmath import asin, atan, sqrt, tan
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from cornerwright.mechanics.carried import Carried, carry
from cornerwright.mechanics.jets import Array
from cornerwright.mechanics.potential import turns

NONE: Mapping[str, float] = {}
SIDE = (1.0, -1.0, 1.0, -1.0)

# ------------------------------------------------------------------ heights


def floor_under(place: ArrayLike, wheelbase: float, tracks: tuple[float, float]) -> Array:
    """Weights (..., 4) [1] of the four pads' heights in the height of the floor under a place (..., 2|3) [m].

    The floor is the surface through the pads that is straight along and across the car; beyond them it goes on
    alike. Only x and y of the place count. On a flat floor, tilted or not, it is exact.
    """
    at = np.asarray(place, dtype=float)
    back = -at[..., 0] / wheelbase
    half = (tracks[0] + (tracks[1] - tracks[0]) * back) / 2
    left = (1 + at[..., 1] / half) / 2
    return np.stack([(1 - back) * left, (1 - back) * (1 - left), back * left, back * (1 - left)], axis=-1)


@dataclass(frozen=True)
class Attitude:
    """How a body stands: heave [m], pitch, roll [rad] as in `Stance`, and how they go with the heights read."""

    pose: Array
    """(3,)"""
    gain: Array
    """(3, k): d pose / d height"""
    residual: Array
    """(k,) height read minus height of the body so found [m]"""


def attitude(points: Array, read: Array) -> Attitude:
    """Least-squares stance of a rigid body from the heights (k,) [m] of k >= 3 of its points (k, 3) [m].

    Raises ValueError where the points lie in one line seen from above, or fewer than three were read.
    """
    if read.size < 3:
        raise ValueError("the heights of three places say how a body stands; fewer do not")
    pose = np.zeros(3)
    for _ in range(8):
        value, slope = _heights(pose, points)
        if np.linalg.cond(slope) > 1e4:
            raise ValueError("the places of the heights lie in one line")
        step = np.linalg.lstsq(slope, read - value, rcond=None)[0]
        pose = pose + step
        if np.abs(step).max() < 1e-13:
            break
    value, slope = _heights(pose, points)
    return Attitude(pose, np.asarray(np.linalg.pinv(slope), dtype=float), read - value)


def height_elsewhere(found: Attitude, points: Array, read: Array, which: int, place: Array) -> tuple[float, Array]:
    """Height [m] of another place (3,) of the body near point `which`, and its slopes (k,) by the heights read.

    The height read at `which` plus what the body's stance makes of the way from there to the place.
    """
    there, slope_there = _heights(found.pose, place[None])
    here, slope_here = _heights(found.pose, points[which : which + 1])
    slope = (slope_there - slope_here)[0] @ found.gain
    slope[which] += 1.0
    return float(read[which] + there[0] - here[0]), slope


def _heights(pose: Array, points: Array) -> tuple[Array, Array]:
    turned = turns(pose[None, 1:])[0]
    return pose[0] + points @ turned[0], np.stack(
        [np.ones(len(points)), points @ turned[1], points @ turned[2]], axis=1
    )


# ------------------------------------------------------------------ scales


def mean_of_scale(shows: Sequence[float], zero: float, scatter: float) -> tuple[float, float]:
    """Load and its standard deviation [N], from a scale read once or several times and its empty reading [N].

    scatter [N]: of one reading. The mean of n has scatter / sqrt(n); where the readings themselves scatter more than
    that they are believed instead. Source: standard error of a mean (GUM, 4.2.3; from memory).
    """
    own = float(np.std(shows, ddof=1)) if len(shows) > 1 else 0.0
    return float(np.mean(shows)) - zero, max(scatter, own) / math.sqrt(len(shows))


def ballast_by_levers(
    weight: float,
    x: float,
    y: float,
    *,
    wheelbase: float,
    tracks: tuple[float, float],
    roll_share: float,
    scatter: Mapping[str, float] = NONE,
) -> tuple[Carried, ...]:
    """What a weight [N] at x, y [m] adds to each of the four wheels [N].

    Along the car by levers. Across it the moment is shared between the axles as their roll stiffness, roll_share [1]
    to the front: four wheels stand on a floor in more ways than levers alone decide. Slopes by weight, x, y,
    roll_share. Source: balance of forces and moments; the sharing is that of load transfer in steady cornering.
    """

    def load(wheel: int) -> Carried:
        def one(weight: complex, x: complex, y: complex, roll_share: complex) -> complex:
            axle = (1 + x / wheelbase) if wheel < 2 else -x / wheelbase
            share = roll_share if wheel < 2 else 1 - roll_share
            return weight * (axle / 2 + SIDE[wheel] * share * y / tracks[wheel // 2])

        return carry(one, scatter, weight=weight, x=x, y=y, roll_share=roll_share)

    return tuple(load(wheel) for wheel in range(4))


# ------------------------------------------------------------------ centre of gravity


def lifted_angle(lift: float, wheelbase: float, grounded_radius: float, lifted_radius: float) -> float:
    """Angle [rad] by which a car turns when the wheels of one axle are raised by `lift` [m].

    wheelbase and loaded radii [m]. Raises ValueError for a lift that the wheelbase does not allow.
    """
    return _lifted(lift, wheelbase, grounded_radius, lifted_radius).real


def _lifted(lift: complex, wheelbase: complex, grounded_radius: complex, lifted_radius: complex) -> complex:
    # wheelbase sin + d cos = lift + d, d = how much higher the lifted axle's centre stands on the level.
    d = lifted_radius - grounded_radius
    share = (lift + d) / sqrt(wheelbase**2 + d**2)
    if not abs(share.real) < 0.9:
        raise ValueError("the axle was raised by too much of the wheelbase")
    return asin(share) - atan(d / wheelbase)


def cg_height(
    total: float,
    level: float,
    lifts: Sequence[float],
    loads: Sequence[float],
    *,
    wheelbase: float,
    grounded_radius: float,
    lifted_radius: float,
    scatter: Mapping[str, float] = NONE,
) -> Carried:
    """Height [m] of the centre of gravity over the ground, from the load on one axle while the other is raised.

    total [N or kg] of the car and, in the same unit, `level` and `loads` (k,) on the axle that stays down, on level
    ground and with the other axle's wheels raised by `lifts` (k,) [m]; wheelbase and loaded radii [m]. Suspension
    blocked at ride height, brakes off.

    With t = tan of the angle, balance about the raised axle's centre: load (l + (r_g - r_u) t) / total =
    level l / total + (h - r_u) t. With equal radii h = l (load - level) / (total t) + r, the formula of ISO 10392:2011,
    6.5 (from memory). The line through all steps and the level reading is by least squares. Slopes by total, level,
    load_0..., lift_0..., wheelbase, grounded_radius, lifted_radius. Raises ValueError without a step.
    """
    if not lifts or len(lifts) != len(loads):
        raise ValueError("the height of the centre of gravity needs a load for each of one or more lifts")
    if any(one <= 0 for one in lifts):
        raise ValueError("a lift must be above zero")
    steps = range(len(lifts))

    def height(**read: complex) -> complex:
        base, down, up = read["wheelbase"], read["grounded_radius"], read["lifted_radius"]
        slopes = [0j] + [tan(_lifted(read[f"lift_{k}"], base, down, up)) for k in steps]
        shares = [read["level"] / read["total"]] + [read[f"load_{k}"] / read["total"] for k in steps]
        moments = [share * (base + (down - up) * t) for share, t in zip(shares, slopes, strict=True)]
        middle_t, middle = sum(slopes) / len(slopes), sum(moments) / len(moments)
        rise = sum((t - middle_t) * (m - middle) for t, m in zip(slopes, moments, strict=True))
        return up + rise / sum((t - middle_t) ** 2 for t in slopes)

    read = {
        "total": total,
        "level": level,
        "wheelbase": wheelbase,
        "grounded_radius": grounded_radius,
        "lifted_radius": lifted_radius,
        **{f"lift_{k}": lifts[k] for k in steps},
        **{f"load_{k}": loads[k] for k in steps},
    }
    return carry(height, scatter, **read)
