"""What the readings say about the car: a maximum a posteriori fit of its unknowns, with covariance.

The unknowns z are standard normal before anything is read (their scales are the car's `doubt` and the scatter of
its jack tables). The readings are y = f(z) + e. Gauss-Newton on |z|^2/2 + |(y - f(z))/sigma|^2/2; with J = df/dz
at the answer the posterior is normal with covariance I - J'(JJ' + R)^-1 J. Source: Tarantola, Inverse Problem
Theory (2005), ch. 3 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Rig
from cornerwright.model.reading import Reading, Readings
from cornerwright.planning.observe import Key, Observations, pick, settling, zeros
from cornerwright.planning.passes import Taken, taken_passes
from cornerwright.planning.slips import SURPRISE, surprises, swapped_sides

Array = NDArray[np.float64]

NUDGE = 1e-3
"""Step of the differences by the unknowns, in standard deviations: it costs the fit a thousandth of its slopes."""

ROUNDS = 12
SETTLED = 1e-4
"""Largest change of any unknown [standard deviations] in the last round of a fit that converged."""


@dataclass(frozen=True)
class Belief:
    """What is known of the car's unknowns after reading it."""

    mean: Array
    """(p,) most probable unknowns, in prior standard deviations"""
    jacobian: Array
    """(r, p) of the readings of all passes, one pass after the other"""
    scatter: Array
    """(r,) of the gauges, SI"""
    noise: Array
    """(r, r) covariance of what the gauges show: their scatter, and friction where it is told"""
    keys: tuple[Key, ...]
    """(r,)"""
    last: slice
    """The readings of the last pass among all."""
    passes: tuple[Taken, ...]
    """What was fitted, oldest first."""
    mute: tuple[int, ...]
    """Numbers of passes that could not teach: their settings are not known."""
    residual: Array
    """(r,) reading minus fit, in standard deviations of the gauge"""
    surprise: Array
    """(r,) reading minus what the file and the other readings led one to expect, in standard deviations of that"""
    verdict: Literal["fitted", "not converged", "does not stand", "nothing read"]
    swapped: tuple[str, str | None] | None = None
    """Place (axle or car) and reading (None: all) that fit far better with left and right exchanged."""

    @property
    def _gain(self) -> Array:
        j = self.jacobian
        return np.asarray(np.linalg.solve(j @ j.T + self.noise, j).T, dtype=float)

    def without(self, gone: list[int]) -> Belief:
        """The same, the mean of these unknowns (numbers) as before anything was read: their parts were changed."""
        mean = self.mean.copy()
        mean[gone] = 0.0
        return replace(self, mean=mean)

    def sd(self) -> Array:
        """Standard deviation (p,) of each unknown, 1 where the readings say nothing."""
        if not self.keys:
            return np.ones_like(self.mean)
        kept = 1.0 - np.einsum("pr,rp->p", self._gain, self.jacobian)
        return np.asarray(np.sqrt(np.clip(kept, 0.0, None)))

    def posterior_root(self) -> Array:
        """(p, p) a root R of the covariance, R R' = cov."""
        if not self.keys:
            return np.eye(self.mean.size)
        values, vectors = np.linalg.eigh(np.eye(self.mean.size) - self._gain @ self.jacobian)
        return np.asarray(vectors * np.sqrt(np.clip(values, 0.0, None)))

    def back(self, drawn: Array, off: Array) -> Array:
        """Drawn unknowns (k, p) shifted so that their readings, now off by (k, r), show what they should."""
        return np.asarray(drawn - off @ self._gain.T)

    def draw(self, count: int, seed: int) -> Array:
        """(count, p) cars that file and readings could mean, by the linear theory."""
        rng = np.random.default_rng(seed)
        free = rng.standard_normal((count, self.mean.size))
        if not self.keys:
            return self.mean + free
        # Matheron's rule: correct a prior draw by what it would have made the gauges show.
        noise = rng.standard_normal((count, len(self.keys))) @ np.linalg.cholesky(self.noise).T
        return np.asarray(self.mean + free - (free @ self.jacobian.T + noise) @ self._gain.T)


def drawn_cars(rig: Rig, belief: Belief, count: int, seed: int) -> Array:
    """(count, p) cars that file and readings could mean, each shifted until it shows what was read.

    The draws of the linear theory are a prior's width away from the fit, where the readings are curved: they no
    longer show what was read. One step of Gauss-Newton brings each back.
    """
    z = belief.draw(count, seed)
    if not belief.keys:
        return z
    fitted, value = (_shown(rig, one, belief.passes) for one in (belief.mean[None], z))
    off = np.nan_to_num(value - fitted - (z - belief.mean) @ belief.jacobian.T)
    return belief.back(z, off)


def learn(rig: Rig, readings: Readings | Reading | None) -> Belief:
    """Fit the unknowns of the car to every pass of readings; the last one was read at the rig's settings."""
    passes, mute = taken_passes(rig, readings)
    nothing = np.zeros(rig.unknowns.size)
    if not passes:
        empty = np.zeros(0)
        none = np.zeros((0, nothing.size))
        return Belief(nothing, none, empty, np.zeros((0, 0)), (), slice(0, 0), (), mute, empty, empty, "nothing read")
    read = Observations(
        tuple(key for one in passes for key in one.read.keys),
        np.concatenate([one.read.value for one in passes]),
        np.concatenate([one.read.scatter for one in passes]),
    )
    noise = _noise(rig, passes, read.scatter)
    z = nothing
    starts: list[Array | None] = [None] * len(passes)
    verdict: Literal["fitted", "not converged", "does not stand"] = "not converged"
    surprise, swapped = np.zeros(len(read.keys)), None
    value, jacobian = np.zeros(len(read.keys)), np.zeros((len(read.keys), z.size))
    for turn in range(ROUNDS):
        value, jacobian = _predicted(rig, z, passes, starts)
        if np.isnan(value).any() or np.isnan(jacobian).any():
            verdict = "does not stand"
            break
        inner = jacobian @ jacobian.T + noise
        gap = read.value - value
        if turn == 0:
            surprise, swapped = _slips(passes, read, value, inner)
        new = jacobian.T @ np.linalg.solve(inner, gap + jacobian @ z)
        change = np.abs(new - z).max()
        # The model is mildly curved: a step of several standard deviations is taken in parts.
        z = z + (new - z) * min(1.0, 3.0 / max(change, 1e-12))
        if change < SETTLED:
            verdict = "fitted"
            break
    return Belief(
        mean=z,
        jacobian=jacobian,
        scatter=read.scatter,
        noise=noise,
        keys=read.keys,
        last=slice(len(read.keys) - len(passes[-1].read.keys), len(read.keys)),
        passes=passes,
        mute=mute,
        residual=(read.value - value) / read.scatter,
        surprise=surprise,
        verdict=verdict,
        swapped=swapped,
    )


def _slips(
    passes: tuple[Taken, ...], read: Observations, value: Array, inner: Array
) -> tuple[Array, tuple[str, str | None] | None]:
    """Surprise (r,) of every reading, and what looks exchanged left for right in the last pass."""
    surprise = surprises(read.value - value, inner)
    if (np.abs(surprise) > SURPRISE).any():
        return surprise, None
    last = np.arange(len(read.keys))[-len(passes[-1].read.keys) :]
    return surprise, swapped_sides(passes[-1].read, value[last], inner[np.ix_(last, last)])


def _noise(rig: Rig, passes: tuple[Taken, ...], scatter: Array) -> Array:
    """Covariance (r, r) of what the gauges show: readings of one pass share how its wheels settled."""
    noise = np.diag(scatter**2)
    start = 0
    for one in passes:
        own = slice(start, start + len(one.read.keys))
        nothing = np.zeros((1, rig.unknowns.size))
        moved = np.nan_to_num(settling(rig, one.settings, nothing, one.loose, one.read.keys, one.friction))
        noise[own, own] += moved @ moved.T
        start = own.stop
    return noise


def _predicted(rig: Rig, z: Array, passes: tuple[Taken, ...], starts: list[Array | None]) -> tuple[Array, Array]:
    """What the gauges would show (r,) and its derivatives (r, p) by the unknowns; keeps the stances in `starts`."""
    p = z.size
    value = _shown(rig, z + np.concatenate([np.zeros((1, p)), NUDGE * np.eye(p)]), passes, starts)
    return value[0], (value[1:] - value[:1]).T / NUDGE


def _shown(rig: Rig, unknowns: Array, passes: tuple[Taken, ...], starts: list[Array | None] | None = None) -> Array:
    """What the gauges would show (n, r) of cars with these unknowns (n, p)."""
    values = []
    for number, one in enumerate(passes):
        variant = rig.vary(one.settings, unknowns, loose=one.loose)
        start = None if starts is None else starts[number]
        stance = variant.stand(None if start is None else np.broadcast_to(start, (len(unknowns), 7)))
        if starts is not None:
            starts[number] = stance.q[:1]
        seen = pick(outputs(variant, stance, gradients=False), one.read.keys)
        values.append(seen + zeros(rig, one.read.keys, unknowns))
    return np.concatenate(values, axis=1)
