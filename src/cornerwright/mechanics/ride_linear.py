"""Ride of the straightened car: frequencies, response to the road, and scatter, without a step in time.

Springs are taken at their rate where the car stands. Dampers and friction are straightened for the road at hand
(statistical linearisation: the line with the same mean loss at a Gaussian speed; Caughey, Journal of the Acoustical
Society of America 35 (1963) 1706; Roberts and Spanos, Random Vibration and Statistical Linearization; from memory).
Good while stops are not touched and wheels stay down; the run in time says how far that holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics import road
from cornerwright.mechanics.ride_car import RideCar
from cornerwright.mechanics.ride_rest import rest

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

# A normal speed over its rms, and the share of time at each: even steps are exact enough for kinked curves.
_NODES = np.linspace(-7.0, 7.0, 2801)
_WEIGHTS = np.exp(-0.5 * _NODES**2)
_WEIGHTS = _WEIGHTS / _WEIGHTS.sum()
SETTLED = 1e-6
"""Share by which the dampers' lines may still move in the last round."""


@dataclass(frozen=True, eq=False)
class Straight:
    """M q'' + C q' + K q = R z + D z' about the rest: matrices (7, 7), R and D (7, 4) for the heights z (4,) [m].

    reach (4, 7): lift per coordinate; ratio (4,): damper length per lift, at the rest.
    """

    mass: Array
    damping: Array
    stiffness: Array
    rate_in: Array
    damping_in: Array
    reach: Array
    ratio: Array
    tyre_rate: Array
    tyre_damping: Array

    def response(self, frequency: ArrayLike) -> Complex:
        """Coordinates per road height (f, 7, 4) at frequencies (f,) [Hz]."""
        s = 2j * np.pi * np.atleast_1d(np.asarray(frequency, dtype=float))[:, None, None]
        whole = s**2 * np.diag(self.mass) + s * self.damping + self.stiffness
        return np.asarray(np.linalg.solve(whole, self.rate_in + s * self.damping_in))

    def modes(self) -> tuple[Array, Array, Array]:
        """Undamped frequency [Hz] (7,), share of critical damping (7,), and shapes (7, 7), slowest first.

        The damping is that of each undamped shape by itself.
        """
        root = np.sqrt(self.mass)
        squares, vectors = np.linalg.eigh(self.stiffness / np.outer(root, root))
        omega = np.sqrt(np.maximum(squares, 0.0))
        own = np.einsum("im,ij,jm->m", vectors, self.damping / np.outer(root, root), vectors)
        share = np.divide(own, 2.0 * omega, out=np.zeros(7), where=omega > 0.0)
        return omega / (2.0 * np.pi), share, vectors / root[:, None]

    def state(self) -> tuple[Array, Array]:
        """Matrices (14, 14) and (14, 4) of the state [q, q' - D z / M] driven by heights: for other solvers.

        Taking D z / M out of the speed keeps the road's own speed out of the input.
        """
        inverse = 1.0 / self.mass[:, None]
        A = np.block([[np.zeros((7, 7)), np.eye(7)], [-inverse * self.stiffness, -inverse * self.damping]])
        push = inverse * self.damping_in
        B = np.concatenate([push, inverse * self.rate_in - inverse * self.damping @ push])
        return A, B


def straighten(car: RideCar, damper_rms: ArrayLike) -> Straight:
    """The car about its rest, dampers straightened for speeds (4,) [m/s] rms at the damper.

    Raises ValueError where the car does not stand on all four wheels.
    """
    still = rest(car)
    if still.verdict != "stands" or (still.load <= 0.0).any():
        raise ValueError("the car does not stand on its four wheels")
    sigma = np.maximum(np.broadcast_to(np.asarray(damper_rms, dtype=float), (4,)), 1e-6)
    speeds = sigma[None] * _NODES[:, None]
    each = (_WEIGHTS[:, None] * car.damping(speeds) * speeds).sum(axis=0) / sigma**2
    ratio = car.damper_ratio(still.lift)
    damping = car.reach.T @ np.diag(each * ratio**2) @ car.reach
    damping[3:, 3:] += np.diag(car.tyre_damping)
    into = np.concatenate([np.zeros((3, 4)), np.eye(4)])
    return Straight(
        car.mass,
        damping,
        still.stiffness,
        into * car.tyre_rate,
        into * car.tyre_damping,
        car.reach,
        ratio,
        car.tyre_rate,
        car.tyre_damping,
    )


@dataclass(frozen=True)
class Surface:
    """A road of random unevenness and how it is driven: Gd(0.1 cycles/m) [m3], waviness [1], speed [m/s]."""

    at_reference: float
    speed: float
    apart: float
    """Between the tracks [m]."""
    wheelbase: float
    waviness: float = road.WAVINESS
    longest: float = road.LONGEST
    shortest: float = road.SHORTEST

    def frequencies(self, count: int = 1500) -> Array:
        """Frequencies [Hz] (count,), evenly spaced by their logarithm, between the road's longest and shortest wave."""
        return np.geomspace(self.longest * self.speed, self.shortest * self.speed, count)

    def spectra(self, frequency: Array) -> Complex:
        """Cross spectra (f, 4, 4) [m2/Hz] of the heights under the wheels; the rear axle follows the front."""
        wave = frequency / self.speed
        own = road.spectrum(wave, self.at_reference, self.waviness) / self.speed
        shared = road.coherence(wave, self.apart, self.waviness)
        tracks = own[:, None, None] * np.where(np.eye(2, dtype=bool), 1.0, shared[:, None, None])
        late = np.exp(-2j * np.pi * frequency * self.wheelbase / self.speed)
        wheels = np.zeros((frequency.size, 4, 2), dtype=complex)
        wheels[:, [0, 1], [0, 1]] = 1.0
        wheels[:, [2, 3], [0, 1]] = late[:, None]
        return np.asarray(wheels @ tracks @ np.conj(np.swapaxes(wheels, 1, 2)))


@dataclass(frozen=True, eq=False)
class Scatter:
    """Root mean squares on a random road, and spectra (f, ...) over frequency [Hz], one-sided.

    verdict "settled", or "unsettled" where the dampers' lines did not come to rest: then the numbers are nan.
    """

    straight: Straight
    frequency: Array
    body: Array  # (f,) [m2/s4/Hz] heave acceleration of the body's centre of gravity
    lift_rms: Array  # (4,) [m]
    damper_rms: Array  # (4,) [m/s] damper speed
    load_rms: Array  # (4,) [N] tyre load about its mean
    body_rms: float  # [m/s2]
    rounds: int
    verdict: Literal["settled", "unsettled"]


def scatter(car: RideCar, surface: Surface, count: int = 1500) -> Scatter:
    """How the straightened car takes this road. Raises ValueError as `straighten` does."""
    frequency = surface.frequencies(count)
    heights = surface.spectra(frequency)
    sigma = np.full(4, 0.1)
    rounds, off = 0, np.inf
    straight = straighten(car, sigma)
    while rounds < 100 and off > SETTLED:
        straight = straighten(car, sigma)
        speed = _rms(
            frequency,
            straight.ratio[:, None] * (2j * np.pi * frequency[:, None, None]) * _lift(straight, frequency),
            heights,
        )
        off = float(np.abs(speed / sigma - 1.0).max())
        sigma, rounds = speed, rounds + 1
    settled = off <= SETTLED
    s = 2j * np.pi * frequency[:, None, None]
    response = straight.response(frequency)
    squeeze = np.eye(4) - response[:, 3:]
    load = straight.tyre_rate[:, None] * squeeze + straight.tyre_damping[:, None] * s * squeeze
    heave = s**2 * response[:, :1]
    body = _spectrum(heave, heights)[:, 0]
    blank = 1.0 if settled else np.nan
    return Scatter(
        straight=straight,
        frequency=frequency,
        body=body * blank,
        lift_rms=_rms(frequency, _lift(straight, frequency), heights) * blank,
        damper_rms=sigma * blank,
        load_rms=_rms(frequency, load, heights) * blank,
        body_rms=float(np.sqrt(np.trapezoid(body, frequency))) * blank,
        rounds=rounds,
        verdict="settled" if settled else "unsettled",
    )


def _lift(straight: Straight, frequency: Array) -> Complex:
    return np.asarray(straight.reach @ straight.response(frequency))


def _spectrum(transfer: Complex, heights: Complex) -> Array:
    """Own spectra (f, o) of outputs whose transfer is (f, o, 4)."""
    return np.asarray(np.einsum("foi,fij,foj->fo", transfer, heights, np.conj(transfer)).real)


def _rms(frequency: Array, transfer: Complex, heights: Complex) -> Array:
    return np.asarray(np.sqrt(np.trapezoid(_spectrum(transfer, heights), frequency, axis=0)))
