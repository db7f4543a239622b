"""Which adjusters to turn by how many steps: a mixed-integer program on the linearised car.

For each wanted reading the cost is -log of the chance that it falls inside its range, a convex function of the
predicted value (the normal distribution is log-concave); it enters as tangents. Each adjuster touched costs
its minutes of work. Solved by HiGHS through scipy.optimize.milp.
"""

from __future__ import annotations

from dataclasses import dataclass, field
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

TRAVEL = 0.02
"""Cost of turning an adjuster through all of its range: of plans equally good the one that turns least is taken."""

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
    same_corner: NDArray[np.intp] = field(default_factory=lambda: np.zeros((0, 2), dtype=np.intp))
    """(q, 2) pairs of adjusters that may undo each other's work: polishing tries them together"""
    sizes: dict[int, Array] = field(default_factory=dict)
    """Steps that an adjuster can take where only some sizes lie on the shelf, by its number"""


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
    # Columns: steps (m), touched (m), cost of the upper and the lower edge (2 r), hard slack (h), turned (m), sizes.
    sizes = _Sizes(wanted.sizes if whole else {}, m + m + 2 * r + h + m)
    edges, slack, turned = slice(2 * m, 2 * m + 2 * r), slice(2 * m + 2 * r, 2 * m + 2 * r + h), 2 * m + 2 * r + h
    columns = turned + m + sizes.count
    cost = np.zeros(columns)
    cost[m : 2 * m] = WORK * wanted.minutes
    cost[edges] = np.tile(wanted.weight, 2)
    cost[slack] = HARD
    cost[turned : turned + m] = travel_cost(wanted)
    rows, floor = _edges(wanted, columns)
    touched = sparse.lil_matrix((4 * m, columns))
    for k in range(m):
        touched[k, k], touched[k, m + k] = -1.0, float(wanted.highest[k])
        touched[m + k, k], touched[m + k, m + k] = 1.0, -float(wanted.lowest[k])
        touched[2 * m + k, k], touched[2 * m + k, turned + k] = -1.0, 1.0
        touched[3 * m + k, k], touched[3 * m + k, turned + k] = 1.0, 1.0
    limits = np.zeros((h, columns))
    limits[:, :m] = wanted.hard_gain / wanted.hard_scale[:, None]
    limits[:, slack] = np.eye(h)
    matrix = sparse.vstack([sparse.csr_matrix(rows), touched, sparse.csr_matrix(limits), sizes.rows(columns)])
    least = np.concatenate([floor, np.zeros(4 * m), -wanted.hard_value / wanted.hard_scale, sizes.right_hand])
    most = np.concatenate([np.full(least.size - sizes.right_hand.size, np.inf), sizes.right_hand])
    below = np.concatenate([wanted.lowest, np.zeros(columns - m)]).astype(float)
    above = np.full(columns, np.inf)
    above[:m], above[m : 2 * m] = wanted.highest, 1.0
    above[columns - sizes.count :] = 1.0
    integral = np.zeros(columns)
    if whole:
        integral[: 2 * m] = 1.0
        integral[list(sizes.of)] = 0.0
        integral[columns - sizes.count :] = 1.0
    found = optimize.milp(
        cost,
        integrality=integral,
        bounds=optimize.Bounds(below, above),
        constraints=optimize.LinearConstraint(sparse.csc_matrix(matrix), least, most),
        options={"time_limit": seconds, "mip_rel_gap": gap},
    )
    if found.x is None:
        return Choice(np.zeros(m), "no answer", float("inf"))
    verdict: Literal["chosen", "time ran out"] = "chosen" if found.status == 0 else "time ran out"
    steps = np.asarray(found.x[:m], dtype=float)
    return Choice(_to_hand(wanted, steps) if whole else steps, verdict, float(found.fun))


def _to_hand(wanted: Wanted, steps: Array) -> Array:
    """Steps as the hand can set them: whole ones, or the nearest size on the shelf."""
    whole = np.round(steps) + 0.0
    for k, own in wanted.sizes.items():
        whole[k] = own[int(np.argmin(np.abs(own - steps[k])))]
    return np.asarray(whole)


def travel_cost(wanted: Wanted) -> Array:
    """Cost (m,) of one step of each adjuster, small beside any reading's."""
    return np.asarray(TRAVEL / np.maximum(wanted.highest - wanted.lowest, 1.0), dtype=float)


class _Sizes:
    """Rows and columns that hold an adjuster to the sizes on the shelf: one of them is taken."""

    def __init__(self, of: dict[int, Array], first: int) -> None:
        self.of, self.first = of, first
        self.count = sum(one.size for one in of.values())
        self.right_hand = np.tile([0.0, 1.0], len(of))

    def rows(self, columns: int) -> sparse.csr_matrix:
        """Two rows for each adjuster: its steps are the size taken; one size is taken."""
        found = sparse.lil_matrix((2 * len(self.of), columns))
        at = self.first
        for row, (k, own) in enumerate(self.of.items()):
            found[2 * row, k] = 1.0
            for size in own:
                found[2 * row, at] = -float(size)
                found[2 * row + 1, at] = 1.0
                at += 1
        return sparse.csr_matrix(found)


def cost_of(wanted: Wanted, steps: Array) -> Array:
    """Exact cost (c,) of candidate steps (c, m) on the linearised car; the tangents only bound it."""
    value = wanted.value + steps @ wanted.gain.T
    sigma = judged_sigma(wanted.sigma, wanted.scale)
    cost = WORK * ((np.abs(steps) > PART_OF_A_STEP) @ wanted.minutes) + np.abs(steps) @ travel_cost(wanted)
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
        candidates = _neighbours(best, wanted)
        costs = cost_of(wanted, candidates)
        cheapest = int(np.argmin(costs))
        if costs[cheapest] >= least - 1e-9:
            break
        best, least = candidates[cheapest], float(costs[cheapest])
    return best


def _neighbours(steps: Array, wanted: Wanted) -> Array:
    """Candidates (c, m): one adjuster a step or two on, one left alone, both at once, or two of a corner together."""
    m = steps.size
    nudges = np.concatenate([by * np.eye(m) for by in (-2.0, -1.0, 1.0, 2.0)])
    bases = [steps]
    for k in np.flatnonzero(steps):
        alone = steps.copy()
        alone[k] = 0.0
        bases.append(alone)
    candidates = [np.concatenate([base[None], base + nudges]) for base in bases]
    eye = np.eye(m)
    one, other = (eye[wanted.same_corner[:, side]] for side in (0, 1))
    candidates += [steps + by * (one + way * other) for by in (-3.0, -1.0, 1.0, 3.0) for way in (-1.0, 1.0)]
    every = np.concatenate(candidates)
    for adjuster, own in wanted.sizes.items():
        taken = np.repeat(steps[None], own.size, axis=0)
        taken[:, adjuster] = own
        every = np.concatenate([every[np.isin(every[:, adjuster], own)], taken])
    fits = ((every >= wanted.lowest) & (every <= wanted.highest)).all(axis=1)
    return np.asarray(every[fits])


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
