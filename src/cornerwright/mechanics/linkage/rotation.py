"""Finite rotations in batches, batch last."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def turning(w: Array) -> Array:
    """Rotation matrices (3, 3, n) of rotation vectors (3, n) [rad]. Source: Rodrigues' formula."""
    angle = np.sqrt(np.einsum("xn,xn->n", w, w))
    a = np.sinc(angle / np.pi)  # sin(angle) / angle, and its limit
    b = 0.5 * np.sinc(angle / (2 * np.pi)) ** 2
    matrix = b * w[:, None] * w[None]
    level = np.cos(angle)
    aw = a * w
    matrix[0, 0] += level
    matrix[1, 1] += level
    matrix[2, 2] += level
    matrix[0, 1] -= aw[2]
    matrix[1, 0] += aw[2]
    matrix[0, 2] += aw[1]
    matrix[2, 0] -= aw[1]
    matrix[1, 2] -= aw[0]
    matrix[2, 1] += aw[0]
    return np.asarray(matrix)


def cross(a: Array, b: Array) -> Array:
    """Vector product over the leading axis, broadcasting the rest."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def skew(w: Array) -> Array:
    """Matrices (3, 3, ...) that take the vector product with w (3, ...)."""
    matrix = np.zeros((3, *w.shape))
    matrix[0, 1], matrix[0, 2] = -w[2], w[1]
    matrix[1, 0], matrix[1, 2] = w[2], -w[0]
    matrix[2, 0], matrix[2, 1] = -w[1], w[0]
    return matrix
