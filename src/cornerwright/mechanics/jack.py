"""Jack table: a smooth curve, with its uncertainty, through readings taken while jacking one wheel.

One column (lift -> spring length, camber, ...) becomes a cubic in u = lift / 0.1 m by Bayesian
least squares with known scatter. The prior keeps a short table honest: three rows do not fix a
cubic, and the curve's own sigma then says so.

Source: Gelman et al., Bayesian Data Analysis, 3rd ed., section 14.8 (known variances, normal
prior as extra rows); leave-one-out residuals: Belsley, Kuh and Welsch, Regression Diagnostics,
chapter 2; both from memory. Proof: tests/outside/test_jack_fit_reference.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

SCALE = 0.1  # [m] of lift for which u = 1
MARGIN = 0.010  # [m] beyond the outermost rows that still counts as inside
OUTLIER = 4.0  # predictive sigmas

# Prior standard deviations of the linear, quadratic and cubic coefficient, i.e. of what each adds
# over the first 0.1 m of lift. Common practice: a spring or damper moves by up to 1.5 times the
# wheel, and curves of suspensions are gentle.
PRIOR_LENGTH = (0.15, 0.015, 0.004)  # [m]
PRIOR_ANGLE = tuple(float(np.deg2rad(sd)) for sd in (5.0, 1.0, 0.3))  # [rad]


def polynomial_jet(coefficients: Array, low: ArrayLike, high: ArrayLike, lift: ArrayLike) -> tuple[Array, Array, Array]:
    """Value, first [1/m] and second derivative [1/m2] by lift [m] of cubics in u = lift / 0.1 m.

    coefficients (..., 4): constant, linear, quadratic, cubic, in the quantity's own unit; their
    leading shape broadcasts with low, high and lift [m]. Outside low..high the curve goes on
    straight: value and first derivative continuous, second zero.
    """
    c0, c1, c2, c3 = (coefficients[..., k] for k in range(4))
    lift = np.asarray(lift, dtype=float)
    held = np.minimum(np.maximum(lift, low), high)
    u = held * (1.0 / SCALE)
    beyond = lift - held
    first = (c1 + u * (2.0 * c2 + 3.0 * c3 * u)) * (1.0 / SCALE)
    value = c0 + u * (c1 + u * (c2 + c3 * u)) + first * beyond
    second = (beyond == 0.0) * (2.0 * c2 + 6.0 * c3 * u) * (1.0 / SCALE**2)
    return value, first, second


@dataclass(frozen=True, eq=False)
class JackCurve:
    """The fitted curve of one column of a jack table.

    coefficients (4,): of 1, u, u^2, u^3, in the quantity's unit; covariance (4, 4) in its square.
    low, high [m]: the lifts between which rows were read. residuals (rows,): read minus fitted,
    nan at gaps. outlier (rows,): the row differs from what the other rows predict by more than
    four sigma.
    """

    coefficients: Array
    covariance: Array
    low: float
    high: float
    residuals: Array
    outlier: NDArray[np.bool_]

    def at(self, lift: ArrayLike) -> tuple[Array, Array, Array]:
        """Value, first [1/m] and second derivative [1/m2] at lift [m]; same shape as lift."""
        return polynomial_jet(self.coefficients, self.low, self.high, lift)

    def inside(self, lift: ArrayLike) -> NDArray[np.bool_]:
        """Whether a lift [m] lies between the rows, or at most 10 mm beyond them."""
        lift = np.asarray(lift, dtype=float)
        return (lift >= self.low - MARGIN) & (lift <= self.high + MARGIN)

    def sigma(self, lift: ArrayLike) -> Array:
        """Standard deviation of the curve at lift [m], in the quantity's unit; same shape as lift.

        Beyond the rows it is the root mean square distance between the straight continuation and
        the cubics the rows allow, so that it grows with what the straight line leaves out.
        """
        lift = np.asarray(lift, dtype=float)
        basis = _basis(lift)
        variance = np.einsum("...i,ij,...j->...", basis, self.covariance, basis)
        left_out = basis @ self.coefficients - self.at(lift)[0]
        beyond = (lift < self.low) | (lift > self.high)
        return np.asarray(np.sqrt(variance + np.where(beyond, left_out, 0.0) ** 2))

    def sample(self, normals: Array) -> Array:
        """Coefficients (k, 4) drawn from the posterior, given standard normals (k, 4)."""
        root = np.linalg.cholesky(self.covariance)
        return np.asarray(self.coefficients + normals @ root.T)


def fit_column(lift: ArrayLike, value: ArrayLike, scatter: ArrayLike, prior_sd: ArrayLike) -> JackCurve:
    """Fit one column of a jack table.

    lift (rows,) [m]; value (rows,) in the quantity's unit, nan = not read; scatter: standard
    deviation of one reading in the same unit, one for all rows or (rows,); prior_sd (3,):
    standard deviations of the linear, quadratic and cubic coefficient about zero
    (PRIOR_LENGTH, PRIOR_ANGLE). The constant is free, so one row is enough for a curve, if a very
    unsure one.

    Raises ValueError if no row was read, a lift of a read row is not finite, or a scatter or
    prior standard deviation is not positive.
    """
    lift, value = np.broadcast_arrays(np.asarray(lift, dtype=float), np.asarray(value, dtype=float))
    scatter = np.broadcast_to(np.asarray(scatter, dtype=float), value.shape)
    prior = np.asarray(prior_sd, dtype=float)
    if prior.shape != (3,) or not (prior > 0.0).all():
        raise ValueError("the prior needs three positive standard deviations")
    read = ~np.isnan(value)
    if value.ndim != 1 or not read.any():
        raise ValueError("a column of a jack table needs at least one reading")
    if not (np.isfinite(lift[read]).all() and np.isfinite(value[read]).all()):
        raise ValueError("lifts and readings of a jack table must be finite")
    if not (scatter[read] > 0.0).all():
        raise ValueError("the scatter of a reading must be positive")

    basis = _basis(lift[read])
    weight = 1.0 / scatter[read]
    # Least squares over the readings and the prior as three further rows. The first reading is
    # taken off beforehand, so that a length of 400 mm costs no digits of a curve of 0.1 mm.
    base = float(value[read][0])
    rows = np.vstack([basis * weight[:, None], np.eye(4)[1:] / prior[:, None]])
    wanted = np.concatenate([(value[read] - base) * weight, np.zeros(3)])
    q, r = np.linalg.qr(rows)
    inverse = np.linalg.inv(r)
    coefficients = inverse @ (q.T @ wanted)
    coefficients[0] += base

    residuals = np.full(value.shape, np.nan)
    residuals[read] = value[read] - basis @ coefficients
    # Leave-one-out: residual / (1 - h) against sigma / sqrt(1 - h), h the row's own leverage.
    left = 1.0 - (q[: len(basis)] ** 2).sum(axis=1)
    outlier = np.zeros(value.shape, dtype=bool)
    outlier[read] = np.abs(residuals[read]) * weight > OUTLIER * np.sqrt(np.maximum(left, 1e-12))
    return JackCurve(
        coefficients=coefficients,
        covariance=inverse @ inverse.T,
        low=float(lift[read].min()),
        high=float(lift[read].max()),
        residuals=residuals,
        outlier=outlier,
    )


def _basis(lift: Array) -> Array:
    """Powers 0..3 of u, shape (..., 4)."""
    u = lift / SCALE
    return np.stack([np.ones_like(u), u, u * u, u * u * u], axis=-1)
