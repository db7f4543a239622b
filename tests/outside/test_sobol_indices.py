"""Published: the Ishigami function and the g-function of Sobol', whose indices are known in closed form.

Ishigami and Homma (1990); Saltelli and Sobol' (1995). The papers were not opened: the closed forms and the indices in
figures were read in the documentation and source of two open libraries, OpenTURNS and SALib.
Second road: scipy.stats.sobol_indices.
"""

import numpy as np
import pytest
from scipy.stats import sobol_indices, uniform

from cornerwright.mechanics.doubt import shares
from evidence import Outside

ISHIGAMI = Outside("shares of doubt", "Ishigami and Homma (1990), as OpenTURNS and SALib print its indices", "textbook")
SALTELLI = Outside("shares of doubt", "Saltelli and Sobol' (1995), the g-function, as SALib prints it", "textbook")
SCIPY = Outside("shares of doubt", "scipy.stats.sobol_indices", "reference library")
BY_HAND = Outside("shares of doubt", "sums of independent terms, worked here", "second road")

ONE_EACH = [np.array([k]) for k in range(3)]


def ishigami(x, a=7.0, b=0.1):
    return np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])


def evenly(rng, shape):
    return rng.uniform(-np.pi, np.pi, shape)


def test_ishigami():
    a, b, pi = 7.0, 0.1, np.pi
    one = 0.5 * (1 + b * pi**4 / 5) ** 2
    two = a**2 / 8
    three = 8 * b**2 * pi**8 / 225
    whole = one + two + three
    found = shares(lambda x: ishigami(x)[:, None], ONE_EACH, 3, 40_000, np.random.default_rng(1), evenly)
    ISHIGAMI.agrees("mean of the Ishigami function", a / 2, found.mean[0], abs=0.05)
    ISHIGAMI.agrees("variance of the Ishigami function", whole, found.scatter[0] ** 2, rel=0.02)
    first, total = np.array([one, two, 0]) / whole, np.array([one + three, two, three]) / whole
    ISHIGAMI.agrees("first indices by quadrature against the printed ones", [0.3139, 0.4424, 0.0], first, abs=1e-4)
    ISHIGAMI.agrees("total indices by quadrature against the printed ones", [0.5576, 0.4424, 0.2437], total, abs=1e-4)
    ISHIGAMI.agrees("first indices of the Ishigami function", first, found.first[:, 0], abs=0.02)
    ISHIGAMI.agrees("total indices of the Ishigami function", total, found.total[:, 0], abs=0.02)
    # The scatter that is told is the scatter there is.
    assert (np.abs(found.first[:, 0] - first) < 4 * found.first_scatter[:, 0] + 1e-12).all()
    assert (np.abs(found.total[:, 0] - total) < 4 * found.total_scatter[:, 0] + 1e-12).all()


def test_g_function():
    a = np.array([0.0, 1.0, 4.5, 9.0, 99.0])

    def g(x):
        return np.prod((np.abs(4 * x - 2) + a) / (1 + a), axis=1)[:, None]

    own = 1 / (3 * (1 + a) ** 2)
    whole = np.prod(1 + own) - 1
    total = own * np.prod(1 + own) / (1 + own) / whole
    found = shares(g, [np.array([k]) for k in range(5)], 5, 40_000, np.random.default_rng(2), lambda r, s: r.random(s))
    SALTELLI.agrees("first indices of the g-function", own / whole, found.first[:, 0], abs=0.02)
    SALTELLI.agrees("total indices of the g-function", total, found.total[:, 0], abs=0.02)
    assert np.argsort(found.total[:, 0])[::-1].tolist() == [0, 1, 2, 3, 4]


def test_g_function_of_eight_inputs_in_figures():
    a = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0])

    def g(x):
        return np.prod((np.abs(4 * x - 2) + a) / (1 + a), axis=1)[:, None]

    groups = [np.array([k]) for k in range(8)]
    found = shares(g, groups, 8, 40_000, np.random.default_rng(6), lambda r, s: r.random(s))
    printed = [0.7165, 0.1791, 0.0237, 0.0072, 0.0001, 0.0001, 0.0001, 0.0001]
    SALTELLI.agrees("first indices of the g-function of eight inputs, in figures", printed, found.first[:, 0], abs=0.02)


def test_against_scipy():
    found = shares(lambda x: ishigami(x)[:, None], ONE_EACH, 3, 16384, np.random.default_rng(3), evenly)
    theirs = sobol_indices(
        func=lambda x: ishigami(x.T)[None], n=16384, dists=[uniform(loc=-np.pi, scale=2 * np.pi)] * 3, rng=5
    )
    SCIPY.agrees("first indices", np.ravel(theirs.first_order), found.first[:, 0], abs=0.03)
    SCIPY.agrees("total indices", np.ravel(theirs.total_order), found.total[:, 0], abs=0.03)


def test_groups_add_up_and_rows_without_numbers_are_left_out():
    weights = np.array([3.0, 1.0, 2.0, 0.0])

    def run(z):
        out = (z @ weights)[:, None]
        out = np.concatenate([out, np.full_like(out, 5.0)], axis=1)
        out[z[:, 3] > 2.0] = np.nan
        return out

    groups = [np.array([0]), np.array([1, 2]), np.array([3])]
    found = shares(run, groups, 4, 20_000, np.random.default_rng(4))
    BY_HAND.agrees("first indices of groups", [9 / 14, 5 / 14, 0.0], found.first[:, 0], abs=0.02)
    BY_HAND.agrees("total indices of groups", [9 / 14, 5 / 14, 0.0], found.total[:, 0], abs=0.02)
    assert np.isnan(found.first[:, 1]).all()
    BY_HAND.agrees("rows without numbers that are left out", 20_000 * (1 - 0.97725**2), found.lost, rel=0.1)
    assert found.rows + found.lost == 20_000


def test_what_is_refused():
    def few():
        shares(lambda z: z, ONE_EACH, 3, 10, np.random.default_rng(1))

    BY_HAND.refuses("too few samples to tell indices", few, "at least 16")
    with pytest.raises(ValueError, match="one group"):
        shares(lambda z: z, [np.array([0, 1]), np.array([1])], 3, 100, np.random.default_rng(1))
    none = shares(lambda z: z * np.nan, ONE_EACH, 3, 100, np.random.default_rng(1))
    assert (none.rows, none.lost) == (0, 100)
    assert np.isnan(none.total).all()
