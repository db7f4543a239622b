"""The fit of a jack table against other solvers, other formulae, and against known truth.

Least squares: numpy.linalg.lstsq and scipy.optimize.curve_fit. Bayesian: the same posterior from
the Gaussian process form, Rasmussen and Williams, Gaussian Processes for Machine Learning (2006),
equations 2.11 and 2.12 (from memory). Leave-one-out: by leaving one out. Calibration: tables drawn
from the prior itself, seeded.
"""

import numpy as np
import pytest
from scipy.optimize import curve_fit

from cornerwright.mechanics.jack import (
    OUTLIER,
    PRIOR_ANGLE,
    PRIOR_LENGTH,
    fit_column,
    polynomial_jet,
)
from evidence import Outside

NUMPY = Outside("jack table", "numpy.linalg.lstsq", "reference library")
CURVE_FIT = Outside("jack table", "scipy.optimize.curve_fit", "reference library")
RASMUSSEN = Outside(
    "jack table",
    "Rasmussen and Williams, Gaussian Processes for Machine Learning (2006), eq. 2.11 and 2.12",
    "textbook",
    memory=True,
)
LEFT_OUT = Outside("jack table", "leaving each row out in turn", "second road")
DRAWN = Outside("jack table", "tables drawn from the prior itself", "second road")

PRIORS = {"length": (PRIOR_LENGTH, 5e-4), "angle": (PRIOR_ANGLE, np.deg2rad(0.1))}


def powers(lift):
    return np.vander(np.asarray(lift) / 0.1, 4, increasing=True)


def draw(rng, prior, rows, scatter, constant=0.4):
    """A true cubic from the prior, and a table read from it."""
    truth = np.array([constant, *(np.array(prior) * rng.standard_normal(3))])
    lift = np.sort(rng.uniform(-0.1, 0.1, rows))
    return truth, lift, powers(lift) @ truth + scatter * rng.standard_normal(rows)


def test_strong_data_give_plain_least_squares():
    rng = np.random.default_rng(11)
    _, lift, value = draw(rng, PRIOR_LENGTH, 60, 1e-6)
    curve = fit_column(lift, value, 1e-6, PRIOR_LENGTH)
    plain = np.linalg.lstsq(powers(lift), value, rcond=None)[0]
    NUMPY.agrees("coefficients of a fit with strong data, each curve", plain, curve.coefficients, abs=1e-8)


def test_covariance_of_strong_data_is_that_of_weighted_least_squares():
    rng = np.random.default_rng(12)
    scatter = rng.uniform(1e-6, 3e-6, 40)
    _, lift, value = draw(rng, PRIOR_LENGTH, 40, scatter)
    curve = fit_column(lift, value, scatter, PRIOR_LENGTH)
    found, covariance = curve_fit(
        lambda x, *c: powers(x) @ np.array(c),
        lift,
        value,
        p0=np.zeros(4),
        sigma=scatter,
        absolute_sigma=True,
    )
    CURVE_FIT.agrees(
        "coefficients of a fit with rows of unequal weight, each curve", found, curve.coefficients, abs=1e-7
    )
    spread = np.sqrt(np.diag(covariance))
    np.testing.assert_allclose(
        curve.covariance / np.outer(spread, spread),
        covariance / np.outer(spread, spread),
        atol=1e-4,
    )


@pytest.mark.parametrize("kind", PRIORS)
@pytest.mark.parametrize("rows", [1, 2, 3, 4, 8])
def test_posterior_is_that_of_the_gaussian_process(kind, rows):
    prior, scatter = PRIORS[kind]
    rng = np.random.default_rng(100 + rows)
    _, lift, value = draw(rng, prior, rows, scatter, constant=0.0)
    curve = fit_column(lift, value, scatter, prior)

    # The free constant as one of very wide prior.
    weights = np.diag(np.square([30.0 * prior[0], *prior]))
    at = np.linspace(lift[0], lift[-1], 5)
    k_rows = powers(lift) @ weights @ powers(lift).T + scatter**2 * np.eye(rows)
    k_cross = powers(at) @ weights @ powers(lift).T
    mean = k_cross @ np.linalg.solve(k_rows, value)
    variance = np.diag(powers(at) @ weights @ powers(at).T - k_cross @ np.linalg.solve(k_rows, k_cross.T))
    RASMUSSEN.agrees("mean of the fitted curve", mean, curve.at(at)[0], abs=2e-3 * scatter + 2e-3 * np.abs(value).max())
    RASMUSSEN.agrees("doubt of the fitted curve", np.sqrt(variance), curve.sigma(at), rel=2e-3)


def test_outliers_are_what_leaving_one_out_finds():
    rng = np.random.default_rng(13)
    marked = 0
    for _ in range(60):
        _, lift, value = draw(rng, PRIOR_LENGTH, 7, 5e-4)
        value[rng.integers(7)] += rng.choice([-1.0, 1.0]) * rng.uniform(0.0, 0.01)
        curve = fit_column(lift, value, 5e-4, PRIOR_LENGTH)
        for row in range(7):
            rest = fit_column(np.delete(lift, row), np.delete(value, row), 5e-4, PRIOR_LENGTH)
            # The cubic itself at the row left out, not its straight continuation.
            basis = powers(lift[row : row + 1])[0]
            off = abs(value[row] - basis @ rest.coefficients)
            sigma = np.sqrt(basis @ rest.covariance @ basis + 5e-4**2)
            LEFT_OUT.same("rows marked as outliers", bool(off > OUTLIER * sigma), bool(curve.outlier[row]))
            marked += int(curve.outlier[row])
    assert marked > 20


def coverage(kind, beyond, tables=4000):
    """Share of tables whose central 90 % interval holds the true curve at one random lift."""
    prior, scatter = PRIORS[kind]
    rng = np.random.default_rng(2024)
    held = 0
    for _ in range(tables):
        truth, lift, value = draw(rng, prior, int(rng.integers(3, 10)), scatter)
        curve = fit_column(lift, value, scatter, prior)
        at = lift[-1] + 0.02 if beyond else rng.uniform(lift[0], lift[-1])
        true = polynomial_jet(truth, -1.0, 1.0, at)[0]
        held += bool(abs(curve.at(at)[0] - true) <= 1.6448536 * curve.sigma(at))
    return held / tables


@pytest.mark.parametrize("kind", PRIORS)
def test_ninety_percent_interval_holds_the_truth_nine_times_in_ten(kind):
    found = coverage(kind, beyond=False)
    DRAWN.holds("share of truths inside their 90 % interval", found, at_least=0.88, at_most=0.92)


def test_beyond_the_rows_the_interval_errs_on_the_wide_side():
    found = coverage("length", beyond=True, tables=1500)
    DRAWN.holds("share of truths inside their 90 % interval, beyond the rows", found, at_least=0.88)
