"""Outside source: exhaustive search, and SciPy's normal distribution.

Small problems are solved a second time by trying every combination of steps with the cost written anew from
`scipy.stats.norm`. The problems are invented.
"""

import itertools

import numpy as np
import pytest
from scipy import stats

from cornerwright.planning.choose import (
    HARD,
    LONGEST_SIGMA,
    MARGINS,
    SHORTEST_SIGMA,
    TRAVEL,
    WORK,
    Wanted,
    choose_steps,
    cost_of,
    edge_cost,
    polished,
)
from evidence import Outside

SEARCH = Outside("plan", "every combination of steps tried, cost by scipy.stats.norm", "reference library")
NORM = Outside("plan", "SciPy's normal distribution", "reference library")


def problem(rng, *, hard=False):
    m, r, h = rng.integers(2, 5), rng.integers(2, 7), rng.integers(1, 4) if hard else 0
    within = rng.uniform(0.5, 2, r)
    aim = rng.normal(0, 4, r)
    low, high = aim - within, aim + within
    low[rng.random(r) < 0.2] = -np.inf
    return Wanted(
        value=rng.normal(0, 2, r),
        gain=rng.normal(0, 0.6, (r, m)),
        low=low,
        high=high,
        sigma=rng.uniform(0.02, 3, r) * within,
        weight=rng.choice([1.0, 0.5], r),
        scale=within,
        hard_value=rng.uniform(-0.5, 3, h),
        hard_gain=rng.normal(0, 0.5, (h, m)),
        hard_scale=rng.uniform(0.5, 2, h),
        lowest=-rng.integers(0, 6, m).astype(float),
        highest=rng.integers(1, 7, m).astype(float),
        minutes=rng.uniform(4, 25, m),
        same_corner=np.array(list(itertools.combinations(range(m), 2))),
    )


def margins(wanted, steps):
    """Distance inside each finite edge in judged standard deviations (c, edges), and the edges' weights."""
    value = wanted.value + np.atleast_2d(steps) @ wanted.gain.T
    sigma = [
        min(max(s, SHORTEST_SIGMA * w), LONGEST_SIGMA * w) for s, w in zip(wanted.sigma, wanted.scale, strict=True)
    ]
    inside, weights = [], []
    for j in range(wanted.value.size):
        for edge, sign in ((wanted.high[j], -1), (wanted.low[j], 1)):
            if np.isfinite(edge):
                inside.append(sign * (value[:, j] - edge) / sigma[j])
                weights.append(wanted.weight[j])
    return np.array(inside).T, np.array(weights)


def exact_cost(wanted, steps):
    """Cost (c,) of candidate steps (c, m)."""
    steps = np.atleast_2d(np.asarray(steps, dtype=float))
    inside, weights = margins(wanted, steps)
    cost = -stats.norm.logcdf(inside) @ weights
    short = np.maximum(0.0, -(wanted.hard_value + steps @ wanted.hard_gain.T)) / wanted.hard_scale
    turned = np.abs(steps) @ (TRAVEL / np.maximum(wanted.highest - wanted.lowest, 1))
    return cost + HARD * short.sum(axis=1) + WORK * (steps != 0) @ wanted.minutes + turned


def tangent_error(wanted, steps):
    """By how much the tangents lie below the true cost at these steps."""
    at, slope = -stats.norm.logcdf(MARGINS), -np.exp(stats.norm.logpdf(MARGINS) - stats.norm.logcdf(MARGINS))
    inside, weights = margins(wanted, steps)
    below = (at + slope * (inside[0][:, None] - MARGINS)).max(axis=1)
    return float((-stats.norm.logcdf(inside[0]) - np.maximum(0.0, below)) @ weights)


def all_steps(wanted):
    """Every combination (c, m)."""
    ranges = (np.arange(a, b + 1) for a, b in zip(wanted.lowest, wanted.highest, strict=True))
    return np.array(list(itertools.product(*ranges)), dtype=float)


@pytest.mark.parametrize("hard", [False, True])
def test_no_combination_of_steps_is_better_than_the_gap_allows(hard):
    rng = np.random.default_rng([31, hard])
    excess = []
    for _ in range(40):
        wanted = problem(rng, hard=hard)
        choice = choose_steps(wanted, gap=1e-4)
        assert choice.verdict == "chosen"
        assert (choice.steps == np.round(choice.steps)).all()
        assert (choice.steps >= wanted.lowest).all()
        assert (choice.steps <= wanted.highest).all()
        best = exact_cost(wanted, all_steps(wanted)).min()
        mine = exact_cost(wanted, choice.steps)[0]
        assert mine <= best / (1 - 1e-4) + tangent_error(wanted, choice.steps) + 1e-6 * HARD
        better = exact_cost(wanted, polished(wanted, choice.steps))[0]
        assert best - 1e-9 <= better <= mine + 1e-9
        excess.append((better - best) / max(best, 1.0))
    # Polished, nearly all are the best there is, and none is far from it.
    SEARCH.holds("share of plans that are the best there is", np.mean(np.array(excess) < 1e-9), at_least=0.9)
    SEARCH.holds("cost over the least there is", max(excess), at_most=0.02)


def test_the_program_says_what_its_answer_costs():
    rng = np.random.default_rng(5)
    for _ in range(20):
        wanted = problem(rng, hard=True)
        steps = all_steps(wanted)
        SEARCH.agrees("cost of every combination of steps", exact_cost(wanted, steps), cost_of(wanted, steps), rel=1e-9)
        choice = choose_steps(wanted, gap=1e-4)
        true = exact_cost(wanted, choice.steps)[0]
        assert choice.cost <= true + 1e-6 * true + 1e-3
        assert choice.cost >= true - tangent_error(wanted, choice.steps) - 1e-6 * true - 1e-3


def test_parts_of_steps_cost_no_more():
    rng = np.random.default_rng(6)
    for _ in range(20):
        wanted = problem(rng, hard=True)
        parts, whole = choose_steps(wanted, whole=False).cost, choose_steps(wanted, gap=1e-4).cost
        SEARCH.holds("cost of parts of steps less that of whole steps", parts - whole * 1.001, at_most=1e-6)


def test_hard_limits_hold_wherever_any_steps_hold_them():
    rng = np.random.default_rng(7)
    held = 0
    for _ in range(60):
        wanted = problem(rng, hard=True)
        possible = (wanted.hard_value + all_steps(wanted) @ wanted.hard_gain.T >= 1e-3).all(axis=1).any()
        steps = choose_steps(wanted, gap=1e-4).steps
        margin = wanted.hard_value + wanted.hard_gain @ steps
        if possible:
            held += 1
            SEARCH.holds("margin of hard limits that some steps hold", margin / wanted.hard_scale, at_least=-1e-6)
            again = wanted.hard_value + wanted.hard_gain @ polished(wanted, steps)
            assert (again >= -1e-6 * wanted.hard_scale).all()
    assert held > 20


def test_a_limit_that_cannot_hold_is_broken_by_the_least():
    rng = np.random.default_rng(9)
    for _ in range(20):
        wanted = problem(rng, hard=True)
        wanted.hard_value[:] = -30.0
        margin = wanted.hard_value + all_steps(wanted) @ wanted.hard_gain.T
        least = (np.maximum(0, -margin) / wanted.hard_scale).sum(axis=1).min()
        margin = wanted.hard_value + wanted.hard_gain @ choose_steps(wanted, gap=1e-6).steps
        SEARCH.agrees(
            "least breach of a limit that cannot hold",
            least,
            (np.maximum(0, -margin) / wanted.hard_scale).sum(),
            abs=0.05,
        )


def test_tangents_lie_below_the_cost_and_near_it():
    inside = np.linspace(-25, 6, 3001)
    true = -stats.norm.logcdf(inside)
    at, slope = edge_cost(MARGINS)
    below = np.maximum(0.0, (at[:, None] + slope[:, None] * (inside - MARGINS[:, None])).max(axis=0))
    NORM.holds("tangents less the true cost", below - true, at_most=1e-12)
    assert ((true - below) / np.maximum(true, 1.0)).max() < 0.3
    assert (true - below)[inside > -1].max() < 0.1


def test_edge_cost_is_minus_the_log_of_the_normal_chance():
    inside = np.array([-40.0, -8.0, -2.0, -0.3, 0.0, 0.7, 3.0, 6.0])
    cost, slope = edge_cost(inside)
    NORM.agrees("cost of an edge, minus the log of the chance", -stats.norm.logcdf(inside), cost, rel=1e-12)
    NORM.agrees(
        "slope of an edge's cost", -np.exp(stats.norm.logpdf(inside) - stats.norm.logcdf(inside)), slope, rel=1e-10
    )
    step = 1e-6
    rise = (edge_cost(inside + step)[0] - edge_cost(inside - step)[0]) / (2 * step)
    NORM.agrees("slope of an edge's cost by differences", rise, slope, abs=1e-9, rel=1e-4)


def test_work_is_weighed_against_chance():
    """A move that buys less than its minutes cost is not made; one that buys more is."""
    lone = {
        "value": np.array([0.0]),
        "gain": np.array([[0.3]]),
        "low": np.array([-1.0]),
        "high": np.array([1.5]),
        "sigma": np.array([0.5]),
        "weight": np.ones(1),
        "scale": np.ones(1),
        "hard_value": np.zeros(0),
        "hard_gain": np.zeros((0, 1)),
        "hard_scale": np.zeros(0),
        "lowest": np.array([-5.0]),
        "highest": np.array([5.0]),
    }
    gain = -stats.norm.logcdf([1.0 / 0.5, 1.5 / 0.5]).sum() + stats.norm.logcdf([1.3 / 0.5, 1.2 / 0.5]).sum()
    assert gain > 0
    for minutes, steps in ((0.8 * gain / WORK, 1), (1.3 * gain / WORK, 0)):
        wanted = Wanted(**lone, minutes=np.array([minutes]))
        found = polished(wanted, choose_steps(wanted, gap=1e-6).steps)
        NORM.agrees("steps where a move's work outweighs its chance or not", [steps], found, abs=0.0)
