"""Angles set by the gauge at their own stage: what that does to what is left in doubt.

Camber, caster and toe are read with the car on its wheels while they are set (common practice): the hand turns until
the gauge shows what the plan says for that stage. What is left is the gauge's scatter and the step of the adjuster,
not what was unknown of the linkage. Heights and loads are not set so: each perch moves all of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs
from cornerwright.assembly.rig import Rig
from cornerwright.model.parts import CORNERS
from cornerwright.planning.observe import Key, pick_gradient
from cornerwright.planning.order import StageName, stage_of

Array = NDArray[np.float64]

SET_BY_GAUGE: dict[StageName, tuple[str, ...]] = {"camber": ("caster", "camber"), "toe": ("toe",)}
"""Readings that are set by the gauge in each stage, in the order they are set."""


@dataclass(frozen=True)
class Trim:
    """One reading that is set by the gauge, and the adjuster that sets it."""

    key: Key
    stage: StageName
    adjuster: int
    per_travel: float
    """Change of the reading per metre of the adjuster [SI/m]."""

    def leave(self, rig: Rig, spread: float, scatter: float) -> float:
        """How far off the gauge may be without anything being turned [SI].

        Half a step, and more where the gauge knows little beside what is known already: of a reading off by x the
        share spread^2 / (spread^2 + scatter^2) is believed. spread: of the drawn cars; scatter: of the gauge.
        """
        step = abs(self.per_travel) * rig.slots[self.adjuster].adjuster.step_travel
        return 0.5 * step * (1.0 + (scatter / max(spread, 1e-12)) ** 2)


def trims_of(rig: Rig, at: Outputs, wanted: set[Key]) -> tuple[Trim, ...]:
    """Wanted angles that an adjuster of their own sets, in working order. at: the believed car with gradients."""
    found = []
    stage = {k: stage_of(rig, slot, k, at) for k, slot in enumerate(rig.slots)}
    taken: set[int] = set()
    for name, readings in SET_BY_GAUGE.items():
        for reading in readings:
            for c, corner in enumerate(CORNERS):
                own = [
                    k
                    for k, slot in enumerate(rig.slots)
                    if stage[k] == name and slot.corner == c and k not in taken and not slot.adjuster.sizes
                ]
                if (corner, reading) not in wanted or not own:
                    continue
                gain = at.corner_gradient[reading][0, c]
                best = max(own, key=lambda k: abs(gain[k]))
                asked = [k for k in own if rig.slots[k].adjuster.sets == reading]
                best = asked[0] if len(asked) == 1 else best
                if np.isfinite(gain[best]) and _worth(rig, best, float(gain[best])):
                    taken.add(best)
                    found.append(Trim((corner, reading), name, best, float(gain[best])))
    return tuple(found)


LEAST = np.radians(0.1)
"""An adjuster that moves an angle by less than this over its whole range does not set it [rad]."""


def _worth(rig: Rig, k: int, gain: float) -> bool:
    low, high = rig.slots[k].adjuster.range
    return bool(abs(gain) * (high - low) > LEAST)


def trimmed(
    rig: Rig, trims: tuple[Trim, ...], draws: Array, keys: tuple[Key, ...], at: Outputs, aim: Array, scatter: Array
) -> tuple[Array, Array]:
    """Readings (k, q) of drawn cars after their angles were set by the gauge, without the scatter of reading again.

    Also how far off each gauge may be without anything being turned (t,) [SI].

    draws (k, q): as the moves leave them; aim (q,): the believed car's; scatter (q,) of the gauges. Every other
    reading goes along with what is turned, by the slopes of the believed car.
    """
    if not trims:
        return draws, np.zeros(0)
    rng = np.random.default_rng(draws.shape[0])
    place = {key: column for column, key in enumerate(keys)}
    gain = pick_gradient(at, keys)[0]
    found, leaves = draws.copy(), []
    for trim in trims:
        column = place[trim.key]
        step = rig.slots[trim.adjuster].adjuster.step_travel
        shown = found[:, column] + scatter[column] * rng.standard_normal(draws.shape[0])
        off = aim[column] - shown
        leave = trim.leave(rig, float(np.nanstd(found[:, column])), float(scatter[column]))
        leaves.append(leave)
        travel = np.where(np.abs(off) > leave, np.round(off / trim.per_travel / step) * step, 0.0)
        along = np.nan_to_num(gain[:, trim.adjuster])
        # What turning truly does is in doubt where the file says it; points say it themselves.
        tabled = rig.slots[trim.adjuster].adjuster.effect is not None
        doubt = 1.0 + (rig.car.doubt.effect if tabled else 0.0) * rng.standard_normal(draws.shape[0])
        found = found + np.outer(travel * doubt, along)
    return found, np.array(leaves)
