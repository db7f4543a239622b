"""From the foot to the pads: pedal, booster, master cylinders, balance bar, valves, calipers, volumes.

Statics of a fluid that hardly gives: a cylinder turns force into pressure by its area, a caliper turns
pressure back into force, and what the parts swell by is drawn out of the cylinders by the foot's travel.
Every line ends in some wheels; `Masters` says how the force reaches the front and the rear line.

Sources: Limpert, Brake Design and Safety, chapters on hydraulic brakes and on proportioning; Pascal's law
and virtual work otherwise; from memory. Proof: tests/outside/test_brake_statics.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def area(diameter: ArrayLike) -> Array:
    """Area [m2] of a round bore or piston of this diameter [m], same shape."""
    return np.asarray(np.pi / 4.0 * np.asarray(diameter, dtype=float) ** 2)


@dataclass(frozen=True)
class Booster:
    """A servo between pedal and cylinders: `gain` times the push up to the knee, then no more help.

    gain [1], output over input; knee [N]: the push at which its help is used up (vacuum run-out).
    """

    gain: float = 1.0
    knee: float = np.inf

    def output(self, push: ArrayLike) -> Array:
        """Force [N] behind the pistons for this push [N] of the pedal's rod."""
        push = np.asarray(push, dtype=float)
        helped = np.minimum(push, self.knee)
        return np.asarray(push + (self.gain - 1.0) * helped)

    def push(self, output: ArrayLike) -> Array:
        """The push [N] that gives this output [N]: the inverse of `output`."""
        output = np.asarray(output, dtype=float)
        at_knee = self.gain * self.knee
        over = np.maximum(output - at_knee, 0.0) if np.isfinite(at_knee) else 0.0
        return np.asarray(np.minimum(output, at_knee) / self.gain + over)


@dataclass(frozen=True)
class Masters:
    """One tandem cylinder, or two side by side on a balance bar.

    bores (2,) [m] that feed the front and the rear line: of one tandem cylinder twice the same. bar:
    share [1] of the force that the bar gives to the front cylinder; None for a tandem, whose two chambers
    both hold the full force. strokes (2,) [m]: for a tandem both hold the whole stroke.
    """

    bores: tuple[float, float]
    bar: float | None = None
    strokes: tuple[float, float] = (np.inf, np.inf)

    def pressures(self, force: ArrayLike) -> Array:
        """Pressures [Pa] (..., 2) in the front and the rear cylinder for the force [N] on bar or piston."""
        force = np.asarray(force, dtype=float)
        share = np.array([1.0, 1.0] if self.bar is None else [self.bar, 1.0 - self.bar])
        return np.asarray(force[..., None] * share / area(self.bores))

    def force(self, pressures: ArrayLike) -> Array:
        """Force [N] that gives the front cylinder this pressure [Pa]: the inverse for the front."""
        share = 1.0 if self.bar is None else self.bar
        return np.asarray(np.asarray(pressures, dtype=float) * area(self.bores[0]) / share)

    def strokes_for(self, volumes: ArrayLike) -> Array:
        """Strokes [m] (..., 2) of the two pistons that push out these volumes [m3] (..., 2)."""
        return np.asarray(np.asarray(volumes, dtype=float) / area(self.bores))

    def travel(self, volumes: ArrayLike) -> Array:
        """Way [m] of bar or rod while these volumes [m3] (..., 2) leave, by virtual work.

        A tandem's chambers stand one behind the other, so their strokes add; the middle of a balance
        bar moves by both strokes, each weighed with the share of the force it takes.
        """
        strokes = self.strokes_for(volumes)
        weights = np.array([1.0, 1.0] if self.bar is None else [self.bar, 1.0 - self.bar])
        return np.asarray(strokes @ weights)

    def used(self, volumes: ArrayLike) -> Array:
        """Share [1] of the stroke that is used (...): of the whole tandem, or of the cylinder nearest its end."""
        strokes = self.strokes_for(volumes)
        if self.bar is None:
            return np.asarray(strokes.sum(axis=-1) / self.strokes[0])
        return np.asarray((strokes / np.array(self.strokes)).max(axis=-1))


@dataclass(frozen=True)
class Valve:
    """A valve in the rear line: from the knee on only a part of the rise is passed; slope 0 limits.

    knee [Pa]; slope [1], 0 to 1. Without a valve: knee infinite.
    """

    knee: float = np.inf
    slope: float = 1.0

    def outlet(self, pressure: ArrayLike) -> Array:
        """Pressure [Pa] behind the valve, same shape."""
        pressure = np.asarray(pressure, dtype=float)
        over = np.maximum(pressure - self.knee, 0.0) if np.isfinite(self.knee) else np.zeros_like(pressure)
        return np.asarray(np.minimum(pressure, self.knee) + self.slope * over)

    def inlet(self, outlet: ArrayLike) -> Array:
        """Pressure [Pa] before the valve; infinite where a limiter never gives the outlet asked for."""
        outlet = np.asarray(outlet, dtype=float)
        over = np.maximum(outlet - self.knee, 0.0) if np.isfinite(self.knee) else np.zeros_like(outlet)
        if self.slope == 0.0:
            return np.asarray(np.where(over > 0, np.inf, outlet))
        return np.asarray(np.minimum(outlet, self.knee) + over / self.slope)


def clamp(pressure: ArrayLike, piston_area: ArrayLike, threshold: ArrayLike = 0.0) -> Array:
    """Force [N] of each pad on the rotor; piston_area [m2]: all pistons of one side of the caliper.

    threshold [Pa]: what moves seals and pins before the pads press. A sliding caliper presses both pads
    with the force of its one side, so fixed and sliding calipers obey the same formula.
    """
    return np.asarray(np.maximum(np.asarray(pressure, dtype=float) - threshold, 0.0) * piston_area)


def disc_torque(force: ArrayLike, friction: ArrayLike, radius: ArrayLike) -> Array:
    """Torque [N m] of a disc brake: two faces, friction [1], effective radius [m]."""
    return np.asarray(2.0 * np.asarray(friction, dtype=float) * np.asarray(force) * np.asarray(radius))


def effective_radius(inner: float, outer: float) -> float:
    """Mean radius [m] of a pad that sweeps from inner to outer [m] and has worn in (even wear).

    Source: the usual (inner + outer) / 2 of uniform wear, Shigley, Mechanical Engineering Design, ch. 16,
    from memory. Even pressure would give 2/3 (outer^3 - inner^3) / (outer^2 - inner^2), at most 2 % more
    for the pads of cars.
    """
    return (inner + outer) / 2.0


def running_volume(piston_area: ArrayLike, gap: ArrayLike) -> Array:
    """Fluid [m3] that closes a gap [m] at each of the two pads; fixed and sliding alike."""
    return np.asarray(2.0 * np.asarray(piston_area, dtype=float) * np.asarray(gap))


def drum_torque(cable: ArrayLike, lever: float, factor: float, radius: float) -> Array:
    """Torque [N m] of a drum parking brake.

    cable [N]; lever [1]: of the arm on the shoes; factor [1]: brake factor, friction force at the drum
    over the force on one shoe tip; radius [m] of the drum. Source: Limpert, as above.
    """
    return np.asarray(np.asarray(cable, dtype=float) * lever * factor * radius)
