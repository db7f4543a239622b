"""Adjusters tried on paper and judged: which hard limits the car would break, and whether its wheels stay clear."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from threading import Lock

import numpy as np

from cornerwright.assembly.outputs import Outputs
from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.what_if import Trial
from cornerwright.assembly.wheel_fit import WheelFit, profile_of
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results_pose import Broken, ClearanceTried, WhatIf
from cornerwright.model.target import Targets
from cornerwright.model.units import LENGTH
from cornerwright.planning.observe import pick
from cornerwright.planning.wants import TOLERANCE, Limit, limits_of

SIZE = (13, 7)
"""Lifts and places across at which a wheel is looked at while adjusters are tried."""

NEAR = 1e-6
"""A limit broken by less than this [SI] is held."""


HARDLY = 0.05
"""A reading that moves by less than this share of its tolerance hardly moves."""


def moved_most(told: WhatIf, corner: str, most: int) -> tuple[str, ...]:
    """Readings of a corner (or `car`) that move most, in their own tolerances, first.

    Those that hardly move are left out.
    """
    by: dict[str, float] = {}
    for one in told.readings:
        if one.corner != corner:
            continue
        name = next((name for name in TOLERANCE if key_of(name) == one.reading), None)
        scale = 1.0 if name is None else shown(TOLERANCE[name], KINDS[name])
        share = abs(one.after - one.before) / scale
        if share > HARDLY:
            by[one.reading] = share
    return tuple(sorted(by, key=lambda key: -by[key])[:most])


class Trying:
    """A car whose settings are tried. Use it from any thread."""

    def __init__(self, trial: Trial, targets: Targets | None) -> None:
        self.trial = trial
        self._limits = limits_of(targets or Targets.model_validate({"format": "cornerwright targets 1"}))
        self._clear: dict[int, tuple[float, str] | None] = {}
        self._lock = Lock()

    def of(self, settings: Mapping[str, float]) -> WhatIf:
        """What the readings become at these settings [m] by full name, and which limits they break.

        Raises Refusal as `Trial.of` does.
        """
        tested = self.trial.at(settings)
        told = self.trial.told(settings, tested)
        if tested.outputs is None:
            return told
        return told.model_copy(
            update={
                "breaks": tuple(self._broken(tested.outputs)),
                "clearances": tuple(self._clearances(settings, tested.variant)),
            }
        )

    @cached_property
    def _before(self) -> dict[Limit, float]:
        return {limit: self._over(limit, self.trial.before) for limit in self._limits}

    def _over(self, limit: Limit, at: Outputs) -> float:
        """How far a limit is broken [SI]; below zero: held; nan: not known."""
        return float(-limit.sign * (pick(at, (limit.key,))[0, 0] - limit.edge))

    def _broken(self, at: Outputs) -> list[Broken]:
        found = []
        for limit in self._limits:
            over = self._over(limit, at)
            if not over > NEAR:
                continue
            corner, name = limit.key
            unit = key_of(name).removeprefix(f"{name}_")
            words = {"mm": "mm", "kg": "kg", "deg": "°", "percent": "%"}.get(unit, unit)
            found.append(
                Broken(
                    corner=corner or "car",
                    says=limit.says,
                    by=f"{shown(over, KINDS[name]):.3g} {words}".replace(" °", "°"),
                    already=bool(self._before[limit] > NEAR),
                )
            )
        return found

    def _clearances(self, settings: Mapping[str, float], variant: Variant) -> list[ClearanceTried]:
        turned = {slot.corner for slot in self.trial.rig.slots if slot.name in settings and slot.corner is not None}
        found = []
        for which in sorted(turned):
            after = self._least(variant, which)
            with self._lock:
                if which not in self._clear:
                    self._clear[which] = self._least(self.trial.variant, which)
                before = self._clear[which]
            room = variant.rig.car.corners[CORNERS[which]].room
            if after is None or before is None or room is None:
                continue
            found.append(
                ClearanceTried(
                    corner=CORNERS[which],
                    before_mm=shown(before[0], LENGTH),
                    after_mm=shown(after[0], LENGTH),
                    obstacle=after[1],
                    gap_mm=shown(room.gap, LENGTH),
                )
            )
        return found

    @staticmethod
    def _least(variant: Variant, which: int) -> tuple[float, str] | None:
        """Least clearance [m] over travel and lock, and to what; None where it cannot be told."""
        name: CornerName = CORNERS[which]
        part = variant.rig.car.corners[name]
        profile = profile_of(part)
        if profile is None or part.room is None:
            return None
        told, pieces = WheelFit(variant, which, profile, SIZE).over_all
        each = [(one.clearance, piece.name) for one, piece in zip(told, pieces, strict=True) if one is not None]
        return min(each) if each and np.isfinite(min(each)[0]) else None
