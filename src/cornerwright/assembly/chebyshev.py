"""Reading a smooth function of a lift between the Chebyshev points it was computed at.

A stance asks a linkage many times for nearly the same lifts. What a linkage says is analytic in the lift, so
its interpolant at Chebyshev points converges geometrically; a dozen or so points reach rounding over a
wheel's travel, and `tail` says how far it may be off. Source: Trefethen, Approximation Theory and
Approximation Practice (2013), ch. 8 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Basis:
    """Polynomials at some lifts (n,) and their derivatives by lift, each (n, count)."""

    value: Array
    first: Array  # [1/m]
    second: Array  # [1/m2]


@dataclass(frozen=True)
class Grid:
    """Chebyshev points of one lift between low and high [m]."""

    low: float
    high: float
    count: int

    @property
    def lifts(self) -> Array:
        """The points (count,) [m]."""
        return np.asarray(self.low + (chebyshev.chebpts1(self.count) + 1) / 2 * (self.high - self.low))

    def basis(self, lift: Array) -> Basis:
        """Polynomials at these lifts (n,) [m].

        Outside the grid the curve goes on straight: value and slope continuous, second derivative zero.
        """
        scale = 2.0 / (self.high - self.low)
        wanted = (lift - self.low) * scale - 1.0
        unit = np.clip(wanted, -1.0, 1.0)
        beyond = (wanted - unit)[:, None]
        slope = _slope(self.count)
        value = np.cos(np.arange(self.count) * np.arccos(unit)[:, None])
        first = value @ slope
        second = np.where(beyond == 0.0, first @ slope, 0.0)
        return Basis(value + first * beyond, first * scale, second * scale**2)


@lru_cache
def to_coefficients(count: int) -> Array:
    """(count, count): coefficients from values at the Chebyshev points."""
    table = chebyshev.chebvander(chebyshev.chebpts1(count), count - 1) * (2.0 / count)
    table[:, 0] /= 2
    return np.ascontiguousarray(table.T)


@lru_cache
def _slope(count: int) -> Array:
    """(count, count): T_k' = sum_j T_j slope[j, k] on [-1, 1]."""
    slope = np.zeros((count, count))
    for k in range(1, count):
        derivative = chebyshev.chebder(np.eye(count)[k])
        slope[: derivative.size, k] = derivative
    return slope


def tail(coefficients: Array, axis: int) -> float:
    """Size of the last two coefficients along an axis: how far the interpolant may be off."""
    last = np.take(coefficients, [-2, -1], axis=axis)
    return float(np.max(np.abs(last[np.isfinite(last)]), initial=0.0))
