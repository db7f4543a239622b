"""Which adjusters to turn by how many steps: a mixed-integer program on the linearised car.

For each wanted reading the cost is -log of the chance that it falls inside its range, a convex function of the
predicted value (the normal distribution is log-concave); it enters as tangents. Each adjuster touched costs
its minutes of work. Solved by HiGHS through scipy.optimize.milp.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, sparse
from scipy.special import log_ndtr

Array = NDArray[np.float64]

MARGINS = np.array([3.5, 2.25, 1.5, 0.75, 0.0, -1.0, -2.5, -6.0, -20.0])
"""Where the tangents touch, in standard deviations inside the edge of the range.

Those far outside are for targets out of reach: without them a plan would not spread what it cannot avoid.
"""

WORK = 0.002
"""Cost of a minute of work in units of -log(chance): five minutes must buy one percent."""

PART_OF_A_STEP = 1e-9
"""Steps smaller than this are none."""

POLISH = 60
"""Improvements of a solved plan at most."""

HARD = 2000.0
"""Cost of breaking a hard limit by one unit of its scale."""

SHORTEST_SIGMA = 0.1
"""Least standard deviation taken, in tolerances: keeps readings off the very edge of a range."""

LONGEST_SIGMA = 1.0
"""Greatest standard deviation taken, in tolerances.

Where little is known the chance hardly changes with the aim; the best guess should lie in the range all the same.
"""


@dataclass(frozen=True)
class Wanted:
    """The linearised car and what is wanted of it. r readings, h hard limits, m adjusters."""

    value: Array  # (r,) predicted readings without any move
    gain: Array  # (r, m) change of each reading per step
    low: Array  # (r,) wanted range, infinite where open
    high: Array
    sigma: Array  # (r,) standard deviation of the prediction
    weight: Array  # (r,) how much a reading's chance counts
    scale: Array  # (r,) tolerance
    hard_value: Array  # (h,) must stay at or above zero
    hard_gain: Array  # (h, m)
    hard_scale: Array  # (h,) one unit of the limit
    lowest: Array  # (m,) steps, not above 0
    highest: Array  # (m,) not below 0
    minutes: Array  # (m,) work of touching each


@dataclass(frozen=True)
class Choice:
    """Steps of every adjuster, and whether the program was solved."""

    steps: Array  # (m,), whole numbers unless asked for otherwise
    verdict: Literal["chosen", "time ran out", "no answer"]
    cost: float


def choose_steps(wanted: Wanted, *, whole: bool = True, gap: float = 0.01, seconds: float = 2.0) -> Choice:
    """Cheapest steps; see the module for the cost. Limits that cannot hold are broken by the least.

    whole False: steps may be parts of a step, which is quick to solve and enough to learn what is in reach.
    gap: how far from the best, relative to its cost, an answer may be.
    """
    m, r, h = wanted.gain.shape[1], wanted.gain.shape[0], wanted.hard_gain.shape[0]
    if m == 0:
        return Choice(np.zeros(0), "chosen", 0.0)
    # Columns: steps (m), touched (m), cost of the upper and the lower edge (2 r), hard slack (h).
    columns = 2 * m + 2 * r + h
    cost = np.zeros(columns)
    cost[m : 2 * m] = WORK * wanted.minutes
    cost[2 * m : 2 * m + 2 * r] = np.tile(wanted.weight, 2)
    cost[2 * m + 2 * r :] = HARD
    rows, floor = _edges(wanted, columns)
    touched = sparse.lil_matrix((2 * m, columns))
    for k in range(m):
        touched[k, k], touched[k, m + k] = -1.0, float(wanted.highest[k])
        touched[m + k, k], touched[m + k, m + k] = 1.0, -float(wanted.lowest[k])
    limits = np.zeros((h, columns))
    limits[:, :m] = wanted.hard_gain / wanted.hard_scale[:, None]
    limits[:, 2 * m + 2 * r :] = np.eye(h)
    matrix = sparse.vstack([sparse.csr_matrix(rows), touched, sparse.csr_matrix(limits)])
    least = np.concatenate([floor, np.zeros(2 * m), -wanted.hard_value / wanted.hard_scale])
    below = np.concatenate([wanted.lowest, np.zeros(columns - m)]).astype(float)
    above = np.full(columns, np.inf)
    above[:m], above[m : 2 * m] = wanted.highest, 1.0
    integral = np.zeros(columns)
    integral[: 2 * m] = 1.0 if whole else 0.0
    found = optimize.milp(
        cost,
        integrality=integral,
        bounds=optimize.Bounds(below, above),
        constraints=optimize.LinearConstraint(sparse.csc_matrix(matrix), least, np.inf),
        options={"time_limit": seconds, "mip_rel_gap": gap},
    )
    if found.x is None:
        return Choice(np.zeros(m), "no answer", float("inf"))
    verdict: Literal["chosen", "time ran out"] = "chosen" if found.status == 0 else "time ran out"
    steps = np.asarray(found.x[:m], dtype=float)
    return Choice(np.round(steps) + 0.0 if whole else steps, verdict, float(found.fun))


def cost_of(wanted: Wanted, steps: Array) -> Array:
    """Exact cost (c,) of candidate steps (c, m) on the linearised car; the tangents only bound it."""
    value = wanted.value + steps @ wanted.gain.T
    sigma = judged_sigma(wanted.sigma, wanted.scale)
    cost = WORK * ((np.abs(steps) > PART_OF_A_STEP) @ wanted.minutes)
    for edge, sign in ((wanted.high, -1.0), (wanted.low, 1.0)):
        there = np.isfinite(edge)
        inside = sign * (value[:, there] - edge[there]) / sigma[there]
        cost += edge_cost(inside)[0] @ wanted.weight[there]
    hard = wanted.hard_value + steps @ wanted.hard_gain.T
    return np.asarray(cost + HARD * (np.maximum(-hard, 0.0) / wanted.hard_scale).sum(axis=1))


def polished(wanted: Wanted, steps: Array) -> Array:
    """Whole steps (m,) at least as good: no single step more or less, and no adjuster left alone, is better.

    The program stops near the best answer; this takes out moves that buy nothing, and spends what they
    cost where it does. Leaving one adjuster alone is tried together with a step or two of another.
    """
    best, least = steps, float(cost_of(wanted, steps[None])[0])
    for _ in range(POLISH):
        candidates = _neighbours(best, wanted.lowest, wanted.highest)
        costs = cost_of(wanted, candidates)
        k = int(np.argmin(costs))
        if costs[k] >= least - 1e-9:
            break
        best, least = candidates[k], float(costs[k])
    return best


def _neighbours(steps: Array, lowest: Array, highest: Array) -> Array:
    """Candidates (c, m): one adjuster a step or two on, one left alone, or both at once."""
    m = steps.size
    nudges = np.concatenate([by * np.eye(m) for by in (-2.0, -1.0, 1.0, 2.0)])
    bases = [steps]
    for k in np.flatnonzero(steps):
        alone = steps.copy()
        alone[k] = 0.0
        bases.append(alone)
    candidates = np.concatenate([np.concatenate([base[None], base + nudges]) for base in bases])
    fits = ((candidates >= lowest) & (candidates <= highest)).all(axis=1)
    return np.asarray(candidates[fits])


def edge_cost(inside: Array) -> tuple[Array, Array]:
    """-log of the chance of staying on the right side of an edge, and its slope by the margin.

    inside: distance from the edge, positive inside, in standard deviations.
    """
    log_chance = log_ndtr(inside)
    slope = -np.exp(-0.5 * inside**2 - log_chance) / np.sqrt(2 * np.pi)
    return -log_chance, slope


def judged_sigma(sigma: Array, scale: Array) -> Array:
    """Standard deviations (r,) as the cost takes them: neither far below nor far above a tolerance."""
    return np.asarray(np.clip(sigma, SHORTEST_SIGMA * scale, LONGEST_SIGMA * scale), dtype=float)


def _edges(wanted: Wanted, columns: int) -> tuple[Array, Array]:
    """Rows `cost variable >= tangent of the cost` of every finite edge of every range."""
    m, r = wanted.gain.shape[1], wanted.gain.shape[0]
    sigma = judged_sigma(wanted.sigma, wanted.scale)
    cost, slope = edge_cost(MARGINS)
    rows: list[Array] = []
    floor: list[float] = []
    for edge, sign, offset in ((wanted.high, -1.0, 0), (wanted.low, 1.0, r)):
        for j in np.flatnonzero(np.isfinite(edge)):
            per_margin = sign / sigma[j]
            margin = (wanted.value[j] - edge[j]) * per_margin
            for touch, height, lean in zip(MARGINS, cost, slope, strict=True):
                row = np.zeros(columns)
                row[2 * m + offset + j] = 1.0
                row[:m] = -lean * per_margin * wanted.gain[j]
                rows.append(row)
                floor.append(height + lean * (margin - touch))
    if not rows:
        return np.zeros((0, columns)), np.zeros(0)
    return np.stack(rows), np.array(floor)
