"""A value worked out from readings, with its slope by each of them and the scatter that they carry into it.

The slopes are by the complex step: an analytic formula f at x + ih has Im f / h = f'(x) with an error of the order
h^2 and no difference of near numbers, so that with h = 1e-30 the slope is exact to rounding. Source: Squire and Trapp,
Using Complex Variables to Estimate Derivatives of Real Functions, SIAM Review 40 (1998) 110-112 (from memory).
Scatter is carried to first order, the readings independent of each other: sigma^2 = sum (slope_k sigma_k)^2.
Source: JCGM 100:2008 (GUM), 5.1.2 (from memory). Proof: tests/mechanics/test_gauges.py, by simulation.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

STEP = 1e-30


@dataclass(frozen=True)
class Carried:
    """A value, d value / d reading by the reading's name, and the standard deviation of each reading.

    Units: those of the value; of the value per unit of the reading; of the reading.
    """

    value: float
    slope: Mapping[str, float]
    scatter: Mapping[str, float]

    @property
    def sigma(self) -> float:
        """Standard deviation of the value; a reading without a scatter counts as exact."""
        return math.sqrt(sum((slope * self.scatter.get(name, 0.0)) ** 2 for name, slope in self.slope.items()))


def carry(formula: Callable[..., complex], scatter: Mapping[str, float], **reading: float) -> Carried:
    """The formula's value at these readings, with its slopes.

    formula takes the readings by name and must be analytic in them (cmath; no abs, no arctan2). scatter: standard
    deviation by name; names left out are exact, names that are no reading are refused with ValueError, as is a
    reading that is not finite or a formula that has no real value there.
    """
    strange = set(scatter) - set(reading)
    if strange:
        raise ValueError(f"scatter of something that is not read: {', '.join(sorted(strange))}")
    if not all(math.isfinite(one) for one in reading.values()):
        raise ValueError("a reading must be a finite number")
    try:
        value = complex(formula(**reading))
    except ZeroDivisionError:
        raise ValueError("these readings do not fit together") from None
    if not math.isfinite(value.real) or abs(value.imag) > 1e-12:
        raise ValueError("these readings do not fit together")
    slope = {name: complex(formula(**{**reading, name: one + 1j * STEP})).imag / STEP for name, one in reading.items()}
    return Carried(value.real, slope, dict(scatter))


def combine(parts: Mapping[str, tuple[float, Carried]]) -> Carried:
    """Sum of weight times value over parts that share no reading; slopes are named part.reading."""
    slope, scatter = {}, {}
    for part, (weight, one) in parts.items():
        slope.update({f"{part}.{name}": weight * by for name, by in one.slope.items()})
        scatter.update({f"{part}.{name}": sigma for name, sigma in one.scatter.items()})
    return Carried(sum(weight * one.value for weight, one in parts.values()), slope, scatter)
