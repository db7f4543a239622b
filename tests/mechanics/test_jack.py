"""The curve through a jack table: jets, straight ends, gaps, outliers, draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from cornerwright.mechanics.jack import (
    MARGIN,
    PRIOR_ANGLE,
    PRIOR_LENGTH,
    fit_column,
    polynomial_jet,
)

LOW, HIGH = -0.06, 0.05
cubics = hnp.arrays(float, 4, elements=st.floats(-0.2, 0.2))


def table(coefficients, lifts, scatter, seed):
    """Readings of a known cubic with gauge scatter."""
    value = polynomial_jet(np.asarray(coefficients), -1.0, 1.0, lifts)[0]
    return value + scatter * np.random.default_rng(seed).standard_normal(lifts.shape)


@given(cubics, st.floats(-0.12, 0.12))
def test_jet_by_finite_differences(coefficients, lift):
    h = 1e-5
    if min(abs(lift - LOW), abs(lift - HIGH)) < 2.0 * h:
        return
    value, first, second = polynomial_jet(coefficients, LOW, HIGH, np.array([lift - h, lift, lift + h]))
    assert (value[2] - value[0]) / (2.0 * h) == pytest.approx(first[1], rel=1e-5, abs=1e-6)
    assert (first[2] - first[0]) / (2.0 * h) == pytest.approx(second[1], rel=1e-5, abs=1e-5)


@given(cubics, st.floats(LOW, HIGH))
def test_jet_inside_is_the_polynomial(coefficients, lift):
    by_numpy = np.polynomial.Polynomial(coefficients)(lift / 0.1)
    assert polynomial_jet(coefficients, LOW, HIGH, lift)[0] == pytest.approx(by_numpy, abs=1e-12)


@pytest.mark.parametrize("end", [LOW, HIGH])
def test_beyond_the_rows_the_curve_goes_on_straight(end):
    coefficients = np.array([0.4, -0.08, 0.01, 0.004])
    out = np.sign(end) * np.array([0.0, 1e-12, 0.01, 0.03])
    value, first, second = polynomial_jet(coefficients, LOW, HIGH, end + out)
    assert value == pytest.approx(value[0] + first[0] * out, abs=1e-14)
    assert first == pytest.approx(first[0])
    assert second[0] != 0.0
    np.testing.assert_array_equal(second[1:], 0.0)


def test_jet_broadcasts_a_batch_of_coefficient_sets():
    rng = np.random.default_rng(2)
    coefficients = rng.normal(size=(7, 4, 4))
    low, high = np.full(4, LOW), np.array([0.05, 0.04, 0.03, 0.02])
    lift = rng.uniform(-0.1, 0.1, (1, 4))
    batch = polynomial_jet(coefficients, low, high, lift)
    assert all(part.shape == (7, 4) for part in batch)
    for car, corner in ((0, 0), (3, 2), (6, 3)):
        one = polynomial_jet(coefficients[car, corner], low[corner], high[corner], lift[0, corner])
        assert [part[car, corner] for part in batch] == pytest.approx([float(p) for p in one])


def test_a_good_table_gives_its_cubic_back():
    truth = np.array([0.412, -0.081, 0.006, -0.001])
    lifts = np.linspace(-0.08, 0.08, 41)
    curve = fit_column(lifts, table(truth, lifts, 1e-6, seed=3), 1e-6, PRIOR_LENGTH)
    assert curve.coefficients == pytest.approx(truth, abs=5e-6)
    assert (curve.low, curve.high) == (-0.08, 0.08)
    assert not curve.outlier.any()
    assert curve.at(0.02)[0] == pytest.approx(polynomial_jet(truth, -1, 1, 0.02)[0], abs=2e-6)


def test_gaps_are_left_out_and_shown_as_gaps():
    lifts = np.array([-0.08, -0.04, 0.0, 0.04, 0.08])
    value = table([0.4, -0.08, 0.005, 0.0], lifts, 5e-4, seed=4)
    value[[0, 2]] = np.nan
    curve = fit_column(lifts, value, 5e-4, PRIOR_LENGTH)
    alone = fit_column(lifts[[1, 3, 4]], value[[1, 3, 4]], 5e-4, PRIOR_LENGTH)
    assert curve.coefficients == pytest.approx(alone.coefficients)
    np.testing.assert_array_equal(np.isnan(curve.residuals), [True, False, True, False, False])
    assert curve.low == -0.04
    assert not curve.outlier.any()


def test_a_misread_row_is_found_and_no_other():
    lifts = np.linspace(-0.06, 0.06, 9)
    value = table([0.4, -0.08, 0.005, 0.001], lifts, 5e-4, seed=5)
    value[3] += 0.010  # read off by a centimetre
    curve = fit_column(lifts, value, 5e-4, PRIOR_LENGTH)
    assert curve.outlier[3]
    without = fit_column(np.delete(lifts, 3), np.delete(value, 3), 5e-4, PRIOR_LENGTH)
    assert not without.outlier.any()


def test_few_rows_stay_unsure_and_more_rows_surer():
    at = np.array([-0.05, 0.0, 0.05])
    value = table([0.4, -0.08, 0.0, 0.0], at, 0.0, seed=0)
    one = fit_column(at[1:2], value[1:2], 5e-4, PRIOR_LENGTH)
    three = fit_column(at, value, 5e-4, PRIOR_LENGTH)
    assert one.at(0.0)[0] == pytest.approx(value[1])
    # One row knows its own place, and elsewhere what the prior says of the slope.
    assert one.sigma(0.0) == pytest.approx(5e-4)
    assert one.sigma(0.1) == pytest.approx(np.sqrt(5e-4**2 + np.square(PRIOR_LENGTH).sum()), rel=1e-9)
    assert (three.sigma(at) < one.sigma(at) + 1e-12).all()
    assert three.sigma(0.05) <= 5e-4
    assert not one.outlier.any()


def test_sigma_grows_beyond_the_rows():
    lifts = np.linspace(-0.05, 0.05, 11)
    curve = fit_column(lifts, table([0.4, -0.08, 0.02, 0.0], lifts, 5e-4, 6), 5e-4, PRIOR_LENGTH)
    out = curve.sigma(np.linspace(0.05, 0.12, 15))
    assert (np.diff(out) > 0.0).all()
    assert curve.sigma(0.05) == pytest.approx(curve.sigma(0.05 + 1e-9), rel=1e-5)


def test_inside_ends_a_little_beyond_the_rows():
    curve = fit_column([-0.05, 0.05], [0.41, 0.39], 5e-4, PRIOR_LENGTH)
    beyond = MARGIN + 1e-6
    lifts = np.array([-0.05 - beyond, -0.05 - MARGIN + 1e-6, 0.0, 0.05, 0.05 + beyond])
    np.testing.assert_array_equal(curve.inside(lifts), [False, True, True, True, False])


def test_draws_have_the_mean_and_covariance_of_the_fit():
    lifts = np.array([-0.04, 0.0, 0.03, 0.05])
    value = np.deg2rad([-0.4, -1.0, -1.3, -1.4])
    curve = fit_column(lifts, value, np.deg2rad(0.1), PRIOR_ANGLE)
    draws = curve.sample(np.random.default_rng(7).standard_normal((40_000, 4)))
    spread = np.sqrt(np.diag(curve.covariance))
    assert np.abs(draws.mean(axis=0) - curve.coefficients).max() < 0.03 * spread.max()
    unit = np.cov(draws.T) / np.outer(spread, spread)
    np.testing.assert_allclose(unit, curve.covariance / np.outer(spread, spread), atol=0.03)
    at = np.array([-0.03, 0.01, 0.05])
    values = polynomial_jet(draws[:, None, :], curve.low, curve.high, at)[0]
    assert values.std(axis=0) == pytest.approx(curve.sigma(at), rel=0.02)


@given(st.floats(0.1, 1e4))
def test_the_unit_of_the_quantity_does_not_matter(scale):
    lifts = np.linspace(-0.06, 0.06, 7)
    value = table([0.4, -0.08, 0.005, 0.001], lifts, 5e-4, seed=9)
    curve = fit_column(lifts, value, 5e-4, PRIOR_LENGTH)
    scaled = fit_column(lifts, scale * value, scale * 5e-4, scale * np.array(PRIOR_LENGTH))
    assert scaled.coefficients == pytest.approx(scale * curve.coefficients, rel=1e-9)
    assert scaled.sigma(0.02) == pytest.approx(scale * curve.sigma(0.02), rel=1e-9)


@pytest.mark.parametrize(
    ("column", "why"),
    [
        (([], [], 1e-3, PRIOR_LENGTH), "at least one reading"),
        (([0.0, 0.1], [np.nan, np.nan], 1e-3, PRIOR_LENGTH), "at least one reading"),
        (([np.nan, 0.1], [0.4, 0.4], 1e-3, PRIOR_LENGTH), "finite"),
        (([0.0, 0.1], [0.4, np.inf], 1e-3, PRIOR_LENGTH), "finite"),
        (([0.0, 0.1], [0.4, 0.4], [1e-3, 0.0], PRIOR_LENGTH), "scatter"),
        (([0.0, 0.1], [0.4, 0.4], 1e-3, (0.1, 0.0, 0.1)), "prior"),
        (([0.0, 0.1], [0.4, 0.4], 1e-3, (0.1, 0.1)), "prior"),
    ],
)
def test_refusals(column, why):
    with pytest.raises(ValueError, match=why):
        fit_column(*column)
