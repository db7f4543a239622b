"""Open data: NIST's Statistical Reference Datasets, linear least squares, with what NIST certifies of them.

Norris (a straight line), Pontius (a parabola) and Longley (six regressors nearly in line). The jack table's fit is a
cubic with a prior on its bends: a prior near zero leaves a line or a parabola, a wide one the readings alone. The
estimator of a car's unknowns has a prior on each: here a hundred times the certified standard deviation.
What the files are and whence: tests/outside/data/README.md.
"""

from pathlib import Path

import numpy as np

from cornerwright.mechanics.jack import SCALE, fit_column
from cornerwright.planning.learn import Belief
from evidence import Outside

STRD = Outside("jack table", "NIST Statistical Reference Datasets, certified least squares", "open data set")
LONGLEY = Outside("unknowns of a car", "NIST Statistical Reference Datasets, Longley", "open data set")

NONE, WIDE = 1e-12, 1e7

NORRIS = ([-0.262323073774029, 1.00211681802045], [0.232818234301152, 0.429796848199937e-03], 0.884796396144373)
PONTIUS = (
    [0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14],
    [0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16],
    0.205177424076185e-03,
)
LONGLEY_ESTIMATE = [
    -3482258.63459582, 15.0618722713733, -0.358191792925910e-01, -2.02022980381683, -1.03322686717359,
    -0.511041056535807e-01, 1829.15146461355,
]  # fmt: skip
LONGLEY_SPREAD = [
    890420.383607373, 84.9149257747669, 0.334910077722432e-01, 0.488399681651699, 0.214274163161675,
    0.226073200069370, 455.478499142212,
]  # fmt: skip
LONGLEY_RESIDUAL = 304.854073561965


def data(name):
    return np.genfromtxt(Path(__file__).parent / "data" / f"{name}.csv", delimiter=",", names=True)


def fitted(name, certified, unit, prior):
    """Coefficients of powers of x, their standard deviations, and the residual's; `unit` of x is one lift of 0.1 m."""
    estimate, _, residual = certified
    read = data(name)
    curve = fit_column(read["x"] / unit * SCALE, read["y"], residual, prior)
    many = len(estimate)
    powers = unit ** np.arange(many)
    spread = np.sqrt(np.diag(curve.covariance))[:many]
    assert not curve.outlier.any()
    left = np.sqrt((curve.residuals**2).sum() / (read.size - many))
    return curve.coefficients[:many] / powers, spread / powers, left


def test_norris_is_a_straight_line():
    found, spread, left = fitted("norris", NORRIS, 1e3, (WIDE, NONE, NONE))
    STRD.agrees("coefficients of Norris' straight line", NORRIS[0], found, rel=1e-10)
    STRD.agrees("standard deviations of Norris' coefficients", NORRIS[1], spread, rel=1e-10)
    STRD.agrees("standard deviation of Norris' residuals", NORRIS[2], left, rel=1e-10)


def test_pontius_is_a_parabola():
    found, spread, left = fitted("pontius", PONTIUS, 1e6, (WIDE, WIDE, NONE))
    STRD.agrees("coefficients of Pontius' parabola", PONTIUS[0], found, rel=1e-10)
    STRD.agrees("standard deviations of Pontius' coefficients", PONTIUS[1], spread, rel=1e-10)
    STRD.agrees("standard deviation of Pontius' residuals", PONTIUS[2], left, rel=1e-10)


def test_longley_by_the_estimator_of_a_cars_unknowns():
    """Wider priors would let rounding in: the regressors are in line to one part in 10^5."""
    read = data("longley")
    regressors = np.stack([np.ones(16), *(read[f"x{k}"] for k in range(1, 7))], axis=1)
    spread, wide = np.array(LONGLEY_SPREAD), 100.0
    nothing = np.zeros(16)
    belief = Belief(
        mean=np.zeros(7),
        jacobian=regressors * spread * wide,
        scatter=np.full(16, LONGLEY_RESIDUAL),
        noise=LONGLEY_RESIDUAL**2 * np.eye(16),
        keys=tuple((None, f"{year:.0f}") for year in read["x6"]),
        last=slice(0, 16),
        passes=(),
        mute=(),
        residual=nothing,
        surprise=nothing,
        verdict="fitted",
    )
    found = belief.back(np.zeros((1, 7)), -read["y"][None])[0] * wide
    LONGLEY.agrees(
        "coefficients of Longley's regression, in their standard deviations",
        LONGLEY_ESTIMATE / spread,
        found,
        abs=3e-3,
    )
    LONGLEY.agrees(
        "standard deviations of Longley's coefficients over the certified ones", 1.0, belief.sd() * wide, abs=5e-4
    )
