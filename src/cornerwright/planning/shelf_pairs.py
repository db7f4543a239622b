"""Front and rear sets of parts together: quick figures of every pair, held against the wishes, and which remain.

Nothing is left out for being many: pairs are gone through block by block, and a pair goes only where another is as
good in every wish and in price and better in one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from cornerwright.mechanics.axle_parts import PEAKS, stroke_scatter
from cornerwright.mechanics.cornering import TurnCar, balance, slow_roll
from cornerwright.mechanics.pareto import non_dominated
from cornerwright.mechanics.road import CLASS_MEAN
from cornerwright.mechanics.stance import GRAVITY
from cornerwright.model.target import Band, RideTargets
from cornerwright.planning.shelf import PartSet
from cornerwright.planning.shelf_axle import AxleSets, weighed

Array = NDArray[np.float64]
Pairs = NDArray[np.intp]

RADIUS = 30.0
"""Of the circle [m] on which the balance is looked at, as `cornerwright corner` takes it."""
COARSE = 1.0
"""[m/s2], first step in lateral acceleration of a quick balance."""
GRID = 6
"""Roll stiffnesses of each axle between which the balance is interpolated."""
BLOCK = 200_000
"""Pairs looked at together."""

SCALE = {
    "front_frequency": 0.1,
    "rear_frequency": 0.1,
    "front_damping": 0.05,
    "rear_damping": 0.05,
    "roll": np.radians(0.25),
    "front_transfer": 0.02,
    "understeer": np.radians(0.5),
    "limit_push": 0.03,
    "stroke_used": 0.1,
    "price": 0.1,
}
"""What counts as one tolerance of a wish that gives none [SI; of the price a share of the ceiling]; our own choice."""


def misses(figures: dict[str, Array], bands: dict[str, Band], inside: float = 0.0) -> Array:
    """How far (n, w) each figure lies outside its wish, in tolerances: 0 inside.

    inside: how far inside the range, in tolerances, a figure must lie to miss nothing.
    """
    found = []
    for name, band in bands.items():
        scale = band.within if np.isfinite(band.within) else SCALE[name]
        value = figures[name]
        off = np.maximum(np.maximum(band.low - value, value - band.high) / scale + inside, 0.0)
        found.append(np.where(np.isfinite(off), off, 1e6))
    if not found:
        return np.zeros((next(iter(figures.values())).size, 0))
    # A hair outside is inside: the figure on the page would not show it.
    return np.asarray(np.round(np.stack(found, axis=1), 6))


def wanted(ride: RideTargets) -> dict[str, Band]:
    """The wishes by name, a ceiling on the price among them."""
    bands = ride.bands()
    if ride.most_price is not None:
        within = max(SCALE["price"] * ride.most_price, 1e-9)
        bands["price"] = Band(-np.inf, ride.most_price, np.nan, within, hard=False)
    return bands


@dataclass(frozen=True, eq=False)
class Pairing:
    """What the figures of pairs are computed from."""

    front: AxleSets
    rear: AxleSets
    base: TurnCar
    ride: RideTargets
    bands: dict[str, Band] = field(default_factory=dict)
    _tables: dict[str, RegularGridInterpolator] = field(default_factory=dict)

    def figures(self, pairs: Pairs) -> dict[str, Array]:
        """Quick figures (n,) [SI] of pairs (n, 2) of front and rear sets."""
        f, r = pairs[:, 0], pairs[:, 1]
        front, rear = self.front, self.rear
        body = np.stack([front.roll[f], rear.roll[r]], axis=1)
        tyre = np.array([one.bench.tyre_rate for one in (front, rear)]) * self.base.track**2 / 2.0
        roll, share = slow_roll(self.base, 1.0 / (1.0 / body + 1.0 / tyre))
        found = {
            "front_frequency": front.figures.frequency[f],
            "rear_frequency": rear.figures.frequency[r],
            "front_damping": front.figures.damping[f],
            "rear_damping": rear.figures.damping[r],
            "roll": roll * GRAVITY,
            "front_transfer": share,
            "price": front.price[f] + rear.price[r],
            "stroke_used": np.maximum(self._stroke(front)[f], self._stroke(rear)[r]),
        }
        if self.bands.keys() & {"understeer", "limit_push"}:
            found |= self._balance(body)
        return found

    def _stroke(self, axle: AxleSets) -> Array:
        figures, bench = axle.figures, axle.bench
        mass = bench.carried / GRAVITY + bench.unsprung
        with np.errstate(divide="ignore"):
            scatter = stroke_scatter(figures.reach, mass, CLASS_MEAN[self.ride.road], self.ride.speed)
        least = np.minimum(figures.room["droop_left"], figures.room["bump_left"])
        return np.asarray(np.where(least > 0.0, PEAKS * scatter / np.maximum(least, 1e-9), np.inf))

    def _balance(self, body: Array) -> dict[str, Array]:
        """Understeer [rad per g] and push at the limit [1], from a table over both axles' roll stiffness."""
        if not self._tables:
            self._tables.update(self._tabulated())
        at = np.log(body)
        return {name: np.asarray(table(at)) for name, table in self._tables.items()}

    def _tabulated(self) -> dict[str, RegularGridInterpolator]:
        axes = []
        for axle in (self.front, self.rear):
            low, high = np.log(axle.roll.min()), np.log(axle.roll.max())
            axes.append(np.linspace(low - 0.01, high + 0.01, 2 if high - low < 0.02 else GRID))
        shape = (axes[0].size, axes[1].size)
        tables = {"understeer": np.zeros(shape), "limit_push": np.zeros(shape)}
        tyre = np.array([one.bench.tyre_rate for one in (self.front, self.rear)]) * self.base.track**2 / 2.0
        for i, j in np.ndindex(*shape):
            body = np.exp([axes[0][i], axes[1][j]])
            both = 1.0 / (1.0 / body + 1.0 / tyre)
            turned = replace(self.base, roll_stiffness=both, body_share=both / body, rolling=None)
            found = balance(turned, RADIUS, COARSE)
            tables["understeer"][i, j] = found.understeer * GRAVITY
            tables["limit_push"][i, j] = found.limit.used[0] - found.limit.used[1]
        return {
            name: RegularGridInterpolator(tuple(axes), values, bounds_error=False, fill_value=None)
            for name, values in tables.items()
        }

    def costs(self, pairs: Pairs) -> Array:
        """Misses of every wish, then the price (n, w + 1): what a pair is weighed by."""
        figures = self.figures(pairs)
        return np.column_stack([misses(figures, self.bands), figures["price"]])

    def front_of(self) -> Pairs:
        """Pairs (n, 2) that no other beats; of several alike the one with the least work, then nearest its aims."""
        best = np.zeros((0, 2), dtype=np.intp)
        for block in self._blocks():
            both = np.concatenate([best, block])
            best = both[non_dominated(self.costs(both))]
        return self._one_of_each(best)

    def best_of_each(self) -> dict[str, tuple[Pairs, float]]:
        """For each wish the pair (2,) that misses it least, the others as little as can be, and by how much."""
        best: dict[str, tuple[Pairs, tuple[float, float]]] = {}
        for block in self._blocks():
            miss = self.costs(block)[:, :-1]
            for k, name in enumerate(self.bands):
                row = int(np.lexsort((miss.sum(axis=1), miss[:, k]))[0])
                rank = float(miss[row, k]), float(miss[row].sum())
                if name not in best or rank < best[name][1]:
                    best[name] = block[row], rank
        return {name: (pair, rank[0]) for name, (pair, rank) in best.items()}

    def _blocks(self) -> Iterator[Pairs]:
        """Every pair (n, 2), many at a time."""
        front, rear = len(self.front.sets), len(self.rear.sets)
        rows = max(1, BLOCK // max(rear, 1))
        for begin in range(0, front, rows):
            own = np.arange(begin, min(begin + rows, front))
            yield np.stack(np.meshgrid(own, np.arange(rear), indexing="ij"), axis=-1).reshape(-1, 2)

    def _one_of_each(self, pairs: Pairs) -> Pairs:
        if not pairs.size:
            return pairs
        costs = self.costs(pairs)
        minutes = self.front.minutes[pairs[:, 0]] + self.rear.minutes[pairs[:, 1]]
        off = self.off_aim(pairs)
        order = np.lexsort((off, minutes, *costs.T[::-1]))
        _, first = np.unique(costs[order], axis=0, return_index=True)
        return np.asarray(pairs[order[np.sort(first)]])

    def joined(self, front: list[PartSet], rear: list[PartSet]) -> Pairing:
        """With more sets of parts at each end, of which only those within the hard limits are taken."""
        ends = []
        for axle, more in ((self.front, front), (self.rear, rear)):
            whole = weighed(axle.car, axle.end, axle.bench, [*axle.sets, *more], axle.base, axle.near)
            ends.append(whole.take(np.flatnonzero(whole.broken() == "")))
        return replace(self, front=ends[0], rear=ends[1])

    def off_aim(self, pairs: Pairs) -> Array:
        """How far (n,) pairs lie from the middles of what is wanted, in tolerances squared."""
        figures = self.figures(pairs)
        total = np.zeros(len(pairs))
        for name, band in self.bands.items():
            if np.isfinite(band.aim):
                total += ((figures[name] - band.aim) / band.within) ** 2
        return np.asarray(np.where(np.isfinite(total), total, np.inf))
