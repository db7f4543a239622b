"""What the readings say about the car: a maximum a posteriori fit of its unknowns, with covariance.

The unknowns z are standard normal before anything is read (their scales are the car's `doubt` and the scatter of
its jack tables). The readings are y = f(z) + e. Gauss-Newton on |z|^2/2 + |(y - f(z))/sigma|^2/2; with J = df/dz
at the answer the posterior is normal with covariance I - J'(JJ' + R)^-1 J. Source: Tarantola, Inverse Problem
Theory (2005), ch. 3 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig, loose_in
from cornerwright.assembly.taken import as_readings
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading
from cornerwright.planning.observe import Key, Observations, observations, pick

Array = NDArray[np.float64]

NUDGE = 1e-3
"""Step of the differences by the unknowns, in standard deviations: it costs the fit a thousandth of its slopes."""

ROUNDS = 12
SETTLED = 1e-4
"""Largest change of any unknown [standard deviations] in the last round of a fit that converged."""

SURPRISE = 4.0
"""A reading further than this many standard deviations from what all else led one to expect is asked about."""


@dataclass(frozen=True)
class Belief:
    """What is known of the car's unknowns after reading it."""

    mean: Array
    """(p,) most probable unknowns, in prior standard deviations"""
    jacobian: Array
    """(r, p) of the readings"""
    scatter: Array
    """(r,) of the gauges, SI"""
    keys: tuple[Key, ...]
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
        return np.asarray(np.linalg.solve(j @ j.T + np.diag(self.scatter**2), j).T, dtype=float)

    def sd(self) -> Array:
        """Standard deviation (p,) of each unknown, 1 where the readings say nothing."""
        if not self.keys:
            return np.ones_like(self.mean)
        kept = 1.0 - np.einsum("pr,rp->p", self._gain, self.jacobian)
        return np.asarray(np.sqrt(np.clip(kept, 0.0, None)))

    def draw(self, count: int, seed: int) -> Array:
        """(count, p) cars that file and readings could mean."""
        rng = np.random.default_rng(seed)
        free = rng.standard_normal((count, self.mean.size))
        if not self.keys:
            return self.mean + free
        # Matheron's rule: correct a prior draw by what it would have made the gauges show.
        noise = rng.standard_normal((count, len(self.keys))) * self.scatter
        return np.asarray(self.mean + free - (free @ self.jacobian.T + noise) @ self._gain.T)


def learn(rig: Rig, reading: Reading | None) -> Belief:
    """Fit the unknowns of the car to one pass of readings at its present settings."""
    nothing = np.zeros(rig.unknowns.size)
    if reading is None:
        return _unread(nothing)
    reading = as_readings(reading, rig)
    read = _known_to_the_model(rig, observations(reading), loose_in(reading.state))
    if not read.keys:
        return _unread(nothing)
    loose = loose_in(reading.state)
    z = nothing
    start = None
    verdict: Literal["fitted", "not converged", "does not stand"] = "not converged"
    surprise = np.zeros(len(read.keys))
    swapped = None
    jacobian = np.zeros((len(read.keys), z.size))
    for turn in range(ROUNDS):
        value, jacobian, start = _predicted(rig, z, read.keys, loose, start)
        if np.isnan(value).any() or np.isnan(jacobian).any():
            verdict = "does not stand"
            break
        inner = jacobian @ jacobian.T + np.diag(read.scatter**2)
        gap = read.value - value
        if turn == 0:
            surprise = surprises(gap, inner)
            if (np.abs(surprise) <= SURPRISE).all():
                swapped = swapped_sides(read, value, inner)
        new = jacobian.T @ np.linalg.solve(inner, gap + jacobian @ z)
        change = np.abs(new - z).max()
        # The model is mildly curved: a step of several standard deviations is taken in parts.
        z = z + (new - z) * min(1.0, 3.0 / max(change, 1e-12))
        if change < SETTLED:
            verdict = "fitted"
            break
    value = _value(rig, z, read.keys, loose, start)
    return Belief(
        mean=z,
        jacobian=jacobian,
        scatter=read.scatter,
        keys=read.keys,
        residual=(read.value - value) / read.scatter,
        surprise=surprise,
        verdict=verdict,
        swapped=swapped,
    )


def surprises(gap: Array, covariance: Array) -> Array:
    """How far each reading (r,) lies from what the others make of it, in standard deviations.

    gap (r,): readings minus expectation before anything was read, of this covariance (r, r). The reading that
    fits least is set aside before the others are judged, and so on while one lies beyond SURPRISE, so that one
    slip does not accuse its neighbours. Source: conditional normal distribution, as in Gelman et al., Bayesian
    Data Analysis, 3rd ed., appendix A (from memory).
    """
    found = np.zeros(gap.size)
    left = np.arange(gap.size)
    while left.size:
        precision = np.linalg.inv(covariance[np.ix_(left, left)])
        off = (precision @ gap[left]) / np.sqrt(np.diag(precision))
        worst = int(np.argmax(np.abs(off)))
        if abs(off[worst]) <= SURPRISE:
            found[left] = off
            break
        found[left[worst]] = off[worst]
        left = np.delete(left, worst)
    return found


def swapped_sides(read: Observations, expected: Array, covariance: Array) -> tuple[str, str | None] | None:
    """Which readings fit far better with left and right exchanged: one kind on one axle or both, or all of them.

    Better by SURPRISE squared in the sum of squared standard deviations, the same as one reading that far off.
    """
    across = [_other_side(read.keys, key) for key in read.keys]
    other = {k: one for k, one in enumerate(across) if one is not None}
    if not other:
        return None
    precision = np.linalg.inv(covariance)
    gap = read.value - expected
    candidates: dict[tuple[str, str | None], list[int]] = {("car", None): list(other)}
    for k in other:
        corner, name = read.keys[k]
        for place in (str(corner).split("_")[0], "car"):
            candidates.setdefault((place, name), []).append(k)
    best, least = None, float(gap @ precision @ gap) - SURPRISE**2
    # The fewest readings that explain it: exchanging more of them, where they are alike, proves nothing.
    for what, members in sorted(candidates.items(), key=lambda one: len(one[1])):
        value = read.value.copy()
        value[members] = read.value[[other[k] for k in members]]
        off = float((value - expected) @ precision @ (value - expected))
        if off < least - 1e-6:
            best, least = what, off
    return best


def _other_side(keys: tuple[Key, ...], key: Key) -> int | None:
    corner, name = key
    if corner is None:
        return None
    across = CORNERS[CORNERS.index(corner) ^ 1]
    return keys.index((across, name)) if (across, name) in keys else None


def _unread(nothing: Array) -> Belief:
    empty = np.zeros(0)
    return Belief(nothing, np.zeros((0, nothing.size)), empty, (), empty, empty, "nothing read")


def _known_to_the_model(rig: Rig, read: Observations, loose: Loose) -> Observations:
    """Leave out readings that the model has no value for (caster without any in the jack table)."""
    variant = rig.vary(loose=loose)
    stance = variant.stand()
    if not stance.stands[0]:
        return read  # the fit will say so
    keep = ~np.isnan(pick(outputs(variant, stance, gradients=False), read.keys)[0])
    keys = tuple(key for key, kept in zip(read.keys, keep, strict=True) if kept)
    return Observations(keys, read.value[keep], read.scatter[keep])


def _predicted(
    rig: Rig, z: Array, keys: tuple[Key, ...], loose: Loose, start: Array | None
) -> tuple[Array, Array, Array]:
    """Readings (r,), their derivatives (r, p) by the unknowns, and the stance to start from next."""
    p = z.size
    spread = np.concatenate([np.zeros((1, p)), NUDGE * np.eye(p)])
    variant = rig.vary(unknowns=z + spread, loose=loose)
    stance = variant.stand(None if start is None else np.broadcast_to(start, (p + 1, 7)))
    value = pick(outputs(variant, stance, gradients=False), keys)
    jacobian = (value[1:] - value[:1]).T / NUDGE
    return value[0], jacobian, stance.q[:1]


def _value(rig: Rig, z: Array, keys: tuple[Key, ...], loose: Loose, start: Array | None) -> Array:
    variant = rig.vary(unknowns=z, loose=loose)
    found: Array = pick(outputs(variant, variant.stand(start), gradients=False), keys)[0]
    return found
