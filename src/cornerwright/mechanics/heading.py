"""Camber, toe and caster relative to level ground, from the same in body axes, and back.

The wheel's spin axis, pointing outboard, is a unit vector. In body axes, with camber c (negative =
top inboard), toe t (positive = toe-in) and side s (+1 left, -1 right),

    u = (sin t cos c, s cos t cos c, -sin c)

and it is turned with the body by the finite rotation (roll about +x, then pitch about +y; axes and
signs of ISO 8855). Ground camber and toe are those of the turned axis: camber = -asin(u_z),
toe = atan2(u_x, s u_y), toe against the vertical plane through the body's own x axis. The steering
axis (-tan(caster), -s tan(kingpin), 1) is turned alike and its lean read in side view. Order of
the corners: front left, front right, rear left, rear right. Source: derived here; proof by rotation
matrices in tests/mechanics/test_heading.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from cornerwright.mechanics.jets import Array, Kinematics

SIDE = np.array([1.0, -1.0, 1.0, -1.0])
CAMBER, TOE, CASTER, PITCH, ROLL = range(5)  # columns of `Heading.slope`


@dataclass(frozen=True)
class Heading:
    """How the four wheels stand to level ground [rad], with their slopes.

    camber, toe, caster (n, 4); slope (n, 4, 3, 5): of (camber, toe, caster) with (camber, toe,
    caster in body axes, pitch, roll) [1]. A caster that is nan makes only its own row nan.
    """

    camber: Array
    toe: Array
    caster: Array
    slope: Array


def _axis(camber: Array, toe: Array) -> Array:
    """Spin axis pointing outboard, (3, n, 4)."""
    flat = np.cos(camber)
    return np.stack([np.sin(toe) * flat, SIDE * np.cos(toe) * flat, -np.sin(camber)])


def _rolled(v: Array, angle: Array) -> Array:
    sine, cosine = np.sin(angle), np.cos(angle)
    return np.stack([v[0], cosine * v[1] - sine * v[2], sine * v[1] + cosine * v[2]])


def _pitched(v: Array, angle: Array) -> Array:
    sine, cosine = np.sin(angle), np.cos(angle)
    return np.stack([cosine * v[0] + sine * v[2], v[1], cosine * v[2] - sine * v[0]])


def _angles(axis: Array) -> tuple[Array, Array]:
    """Camber and toe of a spin axis (3, n, 4); rounding beyond 1 is forgiven."""
    return -np.arcsin(np.clip(axis[2], -1.0, 1.0)), np.arctan2(axis[0], SIDE * axis[1])


def to_ground(
    camber: Array,
    toe: Array,
    caster: Array,
    pitch: Array,
    roll: Array,
    *,
    kingpin: ArrayLike = 0.0,
) -> Heading:
    """Camber, toe and caster to level ground, from body axes.

    camber, toe, caster (n|1, 4) [rad]; pitch (positive = nose down), roll (positive = left side
    up) (n,) [rad]. kingpin (scalar or (n|1, 4)) [rad], steering axis inclination in front view,
    positive = top inboard; it matters to the caster of a rolled car only, in second order.
    """
    pitch, roll = pitch[:, None], roll[:, None]
    camber, toe, caster = np.broadcast_arrays(camber, toe, caster)
    body = _axis(camber, toe)
    rolled = _rolled(body, roll)
    axis = _pitched(rolled, pitch)
    ground_camber, ground_toe = _angles(axis)

    flat, zero = np.cos(camber), np.zeros_like(camber)
    with_camber = np.stack([-np.sin(toe) * np.sin(camber), -SIDE * np.cos(toe) * np.sin(camber), -flat])
    with_toe = np.stack([np.cos(toe) * flat, -SIDE * np.sin(toe) * flat, zero])
    with_roll = np.stack([np.zeros_like(rolled[0]), -rolled[2], rolled[1]])
    moves = {
        CAMBER: _pitched(_rolled(with_camber, roll), pitch),
        TOE: _pitched(_rolled(with_toe, roll), pitch),
        PITCH: np.stack([axis[2], np.zeros_like(axis[0]), -axis[0]]),
        ROLL: _pitched(with_roll, pitch),
    }
    slope = np.zeros((*axis.shape[1:], 3, 5))
    level = axis[0] ** 2 + axis[1] ** 2
    for column, move in moves.items():
        slope[..., CAMBER, column] = -move[2] / np.sqrt(level)
        slope[..., TOE, column] = SIDE * (axis[1] * move[0] - axis[0] * move[1]) / level

    lean, up, up_with_roll = np.tan(caster), *_steering_axis(kingpin, roll)
    long = lean**2 + up**2
    slope[..., CASTER, CASTER] = up * (1.0 + lean**2) / long
    slope[..., CASTER, PITCH] = np.where(np.isnan(caster), np.nan, -1.0)
    slope[..., CASTER, ROLL] = -lean * up_with_roll / long
    slope[..., CASTER, :2] = np.where(np.isnan(caster), np.nan, 0.0)[..., None]
    return Heading(ground_camber, ground_toe, np.arctan2(lean, up) - pitch, slope)


def _steering_axis(kingpin: ArrayLike, roll: Array) -> tuple[Array, Array]:
    """Height of the rolled steering axis for 1 of body height, and its slope with roll."""
    across = -SIDE * np.tan(np.asarray(kingpin, dtype=float))
    sine, cosine = np.sin(roll), np.cos(roll)
    return across * sine + cosine, across * cosine - sine


def to_body(
    camber: Array,
    toe: Array,
    caster: Array,
    pitch: Array,
    roll: Array,
    *,
    kingpin: ArrayLike = 0.0,
) -> tuple[Array, Array, Array]:
    """Camber, toe and caster in body axes, from readings to level ground: undoes `to_ground`.

    Arguments as there, the first three now to level ground; the answers are (n, 4) [rad].
    """
    pitch, roll = pitch[:, None], roll[:, None]
    camber, toe, caster = np.broadcast_arrays(camber, toe, caster)
    body_camber, body_toe = _angles(_rolled(_pitched(_axis(camber, toe), -pitch), -roll))
    up, _ = _steering_axis(kingpin, roll)
    return body_camber, body_toe, np.arctan(up * np.tan(caster + pitch))


def of_stance(kinematics: Kinematics, q: Array, *, kingpin: ArrayLike = 0.0) -> tuple[Heading, Array]:
    """Heading of a car at q (n, 7), and its slope with q, (n, 4, 3, 7), linkage movement included.

    kinematics are those at q's lifts.
    """
    camber, toe, caster = kinematics.camber, kinematics.toe, kinematics.caster
    heading = to_ground(camber.value, toe.value, caster.value, q[:, 1], q[:, 2], kingpin=kingpin)
    slope = np.zeros((*heading.slope.shape[:3], 7))
    slope[..., 1:3] = heading.slope[..., PITCH:]
    for column, jet in ((CAMBER, camber), (TOE, toe), (CASTER, caster)):
        rows = slice(2, 3) if column == CASTER else slice(0, 2)
        slope[..., rows, 3:] += heading.slope[..., rows, column, None] * jet.first[:, :, None]
    return heading, slope
