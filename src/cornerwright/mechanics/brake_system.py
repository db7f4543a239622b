"""The whole service brake: foot to brake force at each wheel, and the foot's travel.

Places of the last axis: lines are front, rear; wheels are front left, front right, rear left, rear right.
The parts' own formulas are in `hydraulics`. Proof: tests/outside/test_brake_statics.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from cornerwright.mechanics.hydraulics import Booster, Masters, Valve, clamp, disc_torque, running_volume

Array = NDArray[np.float64]

LINE_OF_WHEEL = np.array([0, 0, 1, 1])
BULK_MODULUS = 1.5e9
"""Of brake fluid [Pa], from memory: 1 to 2 GPa, less with air in it."""
HARDEST = 4000.0
"""No foot presses harder [N]."""


@dataclass(frozen=True)
class System:
    """A service brake as numbers."""

    pedal_ratio: float
    booster: Booster
    masters: Masters
    valve: Valve
    piston_area: Array
    """(4,) [m2] of one side"""
    threshold: Array
    """(4,) [Pa]"""
    friction: Array
    """(4,) [1]"""
    radius: Array
    """(4,) effective [m]"""
    tyre: Array
    """(4,) loaded radius [m]"""
    gap: Array
    """(4,) at each pad [m]"""
    swell: Array
    """(4,) of caliper and hose [m3/Pa]"""
    fluid: float
    """[m3]"""
    free_play: float
    """Of the foot [m]."""

    def pressures(self, foot: ArrayLike) -> Array:
        """Pressures [Pa] (..., 2) at the front and rear calipers for a force [N] of the foot."""
        push = np.asarray(foot, dtype=float) * self.pedal_ratio
        lines = self.masters.pressures(self.booster.output(push))
        return np.stack([lines[..., 0], self.valve.outlet(lines[..., 1])], axis=-1)

    def wheel_forces(self, foot: ArrayLike) -> Array:
        """Brake forces [N] (..., 4) at the road, wheels still turning."""
        pads = clamp(self.pressures(foot)[..., LINE_OF_WHEEL], self.piston_area, self.threshold)
        return np.asarray(disc_torque(pads, self.friction, self.radius) / self.tyre)

    def axle_forces(self, foot: ArrayLike) -> Array:
        """Brake forces [N] (..., 2) of the axles."""
        wheels = self.wheel_forces(foot)
        return np.stack([wheels[..., :2].sum(axis=-1), wheels[..., 2:].sum(axis=-1)], axis=-1)

    def foot_for(self, force: float) -> float:
        """Force of the foot [N] for this brake force [N] of the whole car; inf where no foot gives it."""
        if force <= 0.0:
            return 0.0
        if self.axle_forces(HARDEST).sum() < force:
            return float("inf")
        return float(brentq(lambda foot: self.axle_forces(foot).sum() - force, 0.0, HARDEST, xtol=1e-10))

    def volumes(self, foot: float, gap_more: ArrayLike = 0.0) -> Array:
        """Fluid [m3] (2,) that front and rear line take up; gap_more [m]: knock-back at each pad, (4,) or one."""
        pressures = self.pressures(foot)
        wheels = running_volume(self.piston_area, self.gap + np.asarray(gap_more))
        wheels = wheels + self.swell * pressures[LINE_OF_WHEEL]
        lines = np.array([wheels[:2].sum(), wheels[2:].sum()])
        return np.asarray(lines + self.fluid / 2.0 * pressures / BULK_MODULUS)

    def travel(self, foot: float, gap_more: ArrayLike = 0.0) -> float:
        """Way of the foot [m] at this force, free play included."""
        return float(self.masters.travel(self.volumes(foot, gap_more)) * self.pedal_ratio + self.free_play)


def circuits_failed(system: System, foot: float, diagonal: bool) -> Array:
    """Brake force [N] (2,) that is left at this foot force when the first, or the second, circuit fails.

    Split front and rear: the rear axle alone, the front axle alone; diagonal: one front and the other rear
    wheel. The chamber that holds keeps its pressure: a tandem's pistons bear on each other, and a balance
    bar that comes to its stop passes on at least its share.
    """
    wheels = system.wheel_forces(foot)
    if diagonal:
        return np.array([wheels[1] + wheels[2], wheels[0] + wheels[3]])
    return np.array([wheels[2:].sum(), wheels[:2].sum()])
