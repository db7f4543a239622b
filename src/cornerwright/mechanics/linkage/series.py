"""Truncated Taylor series, the algebra behind every derivative of the linkage.

A `Series` is a quantity with its first derivatives with k parameters and its second derivatives
with the first d of them against all k. Sums, products and smooth functions of series follow the
chain rule exactly, so nothing here is a finite difference. Source: Griewank and Walther,
Evaluating Derivatives, 2nd ed., ch. 13 (Taylor arithmetic), from memory.

Layout: the batch of n poses is the last axis (long inner loops), derivative axes come first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_NEXT, _PREVIOUS = np.array([1, 2, 0]), np.array([2, 0, 1])


@dataclass(frozen=True)
class Series:
    """value (..., n); first (k, ..., n); second (d, k, ..., n), or None when not carried.

    An axis of length 1 stands for all that broadcast with it, as everywhere in NumPy.
    """

    value: Array
    first: Array
    second: Array | None

    def __getitem__(self, index: int | slice | NDArray[np.intp]) -> Series:
        """Take from the leading axis of the value."""
        whole = self.value.shape[0]
        second = None if self.second is None else _pick(self.second, 2, index, whole)
        return Series(self.value[index], _pick(self.first, 1, index, whole), second)

    def at(self, points: slice) -> Series:
        """Some of the points of vectors (3, P, n)."""
        whole = self.value.shape[1]
        second = None if self.second is None else _pick(self.second, 3, points, whole)
        return Series(self.value[:, points], _pick(self.first, 2, points, whole), second)

    def along(self) -> Series:
        """A new leading axis of length 1, so that a scalar can multiply vectors (3, ..., n)."""
        second = None if self.second is None else self.second[:, :, None]
        return Series(self.value[None], self.first[:, None], second)

    def __add__(self, other: Series) -> Series:
        second = _both(self.second, other.second)
        return Series(
            self.value + other.value,
            self.first + other.first,
            None if second is None else second[0] + second[1],
        )

    def __sub__(self, other: Series) -> Series:
        second = _both(self.second, other.second)
        return Series(
            self.value - other.value,
            self.first - other.first,
            None if second is None else second[0] - second[1],
        )

    def __neg__(self) -> Series:
        return Series(-self.value, -self.first, None if self.second is None else -self.second)

    def plus(self, offset: Array | float) -> Series:
        """Add a constant."""
        return Series(self.value + offset, self.first, self.second)

    def times(self, factor: Array | float) -> Series:
        """Multiply by a constant that broadcasts with the value."""
        second = None if self.second is None else self.second * factor
        return Series(self.value * factor, self.first * factor, second)

    def __mul__(self, other: Series) -> Series:
        """Product; both values must have the same number of axes."""
        value = self.value * other.value
        first = self.first * other.value + self.value * other.first
        pair = _both(self.second, other.second)
        if pair is None:
            return Series(value, first, None)
        d = pair[0].shape[0]
        second = pair[0] * other.value + self.value * pair[1]
        second = second + self.first[:d, None] * other.first
        second += other.first[:d, None] * self.first
        return Series(value, first, second)

    def of(self, f: Array, slope: Array, bend: Array) -> Series:
        """A function of this series, given its value and two derivatives at the value."""
        first = slope * self.first
        if self.second is None:
            return Series(f, first, None)
        d = self.second.shape[0]
        second = slope * self.second + bend * self.first[:d, None] * self.first
        return Series(f, first, second)

    def sqrt(self) -> Series:
        """Square root."""
        root = np.sqrt(self.value)
        return self.of(root, 0.5 / root, -0.25 / (root * self.value))

    def reciprocal(self) -> Series:
        """1 divided by this."""
        inverse = 1.0 / self.value
        return self.of(inverse, -(inverse**2), 2.0 * inverse**3)

    def order(self, order: int) -> Series:
        """The same with no more than this many derivatives (1 drops the second)."""
        return Series(self.value, self.first, self.second if order > 1 else None)


def _pick(a: Array, axis: int, index: int | slice | NDArray[np.intp], whole: int) -> Array:
    """Take along an axis; an axis of length 1 stands for the whole one."""
    if a.shape[axis] == 1 and whole > 1:
        return a[(slice(None),) * axis + (0,)] if isinstance(index, int) else a
    return a[(slice(None),) * axis + (index,)]


def _both(a: Array | None, b: Array | None) -> tuple[Array, Array] | None:
    return None if a is None or b is None else (a, b)


def constant(value: Array, k: int, d: int) -> Series:
    """A quantity that depends on no parameter."""
    ones = (1,) * value.ndim
    return Series(value, np.zeros((k, *ones)), np.zeros((d, k, *ones)))


def dot(a: Series, b: Series) -> Series:
    """Scalar product over the leading axis, (3, ..., n) -> (..., n)."""
    value = np.einsum("x...,x...->...", a.value, b.value)
    first = np.einsum("kx...,x...->k...", a.first, b.value)
    first = first + np.einsum("kx...,x...->k...", b.first, a.value)
    pair = _both(a.second, b.second)
    if pair is None:
        return Series(value, first, None)
    d = pair[0].shape[0]
    second = np.einsum("ikx...,x...->ik...", pair[0], b.value)
    second = second + np.einsum("ikx...,x...->ik...", pair[1], a.value)
    second = second + np.einsum("ix...,kx...->ik...", a.first[:d], b.first)
    second += np.einsum("ix...,kx...->ik...", b.first[:d], a.first)
    return Series(value, first, second)


def cross(a: Series, b: Series) -> Series:
    """Vector product over the leading axis (3, ..., n)."""
    return a[_NEXT] * b[_PREVIOUS] - a[_PREVIOUS] * b[_NEXT]


def unit(a: Series) -> Series:
    """The vector (3, ..., n) divided by its length."""
    return a * dot(a, a).sqrt().reciprocal().along()


def atan2(y: Series, x: Series) -> Series:
    """Angle [rad] of the point (x, y): the imaginary part of the complex logarithm."""
    z = x.value + 1j * y.value
    dz = x.first + 1j * y.first
    first = (dz / z).imag
    pair = _both(x.second, y.second)
    if pair is None:
        return Series(np.angle(z), first, None)
    d = pair[0].shape[0]
    turned = dz / z
    second = ((pair[0] + 1j * pair[1]) / z - turned[:d, None] * turned).imag
    return Series(np.angle(z), first, second)


def derivative(a: Series, along: Array) -> Series:
    """Rate of a series along a direction of its first d parameters: a series of first order.

    along (d,): weight of each parameter.
    """
    if a.second is None:
        raise ValueError("a series without second derivatives has no rate that can be followed")
    d = along.size
    value = np.einsum("i,i...->...", along, a.first[:d])
    first = np.einsum("i,ik...->k...", along, a.second[:d])
    return Series(value, first, None)
