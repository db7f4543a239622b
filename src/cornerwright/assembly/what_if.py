"""Adjusters turned on paper: what all four corners answer, before a spanner touches the car."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS, Outputs, outputs
from cornerwright.assembly.report import KINDS, key_of, known, shown
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.mechanics.stance import Stance
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_pose import Tried, WhatIf
from cornerwright.model.target import Targets
from cornerwright.model.units import LENGTH

Array = NDArray[np.float64]

TOLD = (
    "height",
    "load",
    "camber",
    "toe",
    "caster",
    "damper_length",
    "spring_held",
    "droop_left",
    "bump_left",
)
TOLD_OF_CAR = ("cross_weight", "front_share", "left_share")
"""Readings that are told, in the order in which they are asked about."""

assert set(TOLD) <= set(CORNER_OUTPUTS)
assert set(TOLD_OF_CAR) <= set(CAR_OUTPUTS)


@dataclass(frozen=True)
class Tested:
    """The car at settings that are tried: how it stands, and its readings; None where it does not stand."""

    variant: Variant
    stance: Stance
    outputs: Outputs | None


class Trial:
    """A car with its rest worked out once, so that settings can be tried against it.

    unknowns (p,): the car as it was learned; None: as its file has it. settings [m], by full name: where adjusters
    stand that stand elsewhere than the rig has them.
    """

    def __init__(
        self,
        rig: Rig,
        unknowns: Array | None = None,
        targets: Targets | None = None,
        settings: Mapping[str, float] | None = None,
    ) -> None:
        self.rig = rig
        self.unknowns = unknowns
        self._bands = {} if targets is None else targets.bands()
        self._places = {slot.name: k for k, slot in enumerate(rig.slots)}
        self.settings = rig.settings.copy()
        for name, travel in (settings or {}).items():
            self.settings[self._places[name]] = travel
        self.variant = rig.vary(self.settings, unknowns)
        self.stance: Stance = self.variant.stand()
        self.before = outputs(self.variant, self.stance, gradients=False)

    def of(self, settings: Mapping[str, float]) -> WhatIf:
        """What the readings become at these settings [m] by full name; the others stay.

        Raises Refusal for an adjuster that the car does not have or a setting outside its range.
        """
        return self.told(settings, self.at(settings))

    def at(self, settings: Mapping[str, float]) -> Tested:
        """The car at these settings [m] by full name. Raises Refusal as `of` does."""
        wanted = self.settings.copy()
        for name, travel in settings.items():
            if name not in self._places:
                raise Refusal.of(f"'{name}'", f"an adjuster of this car: {', '.join(self._places)}")
            low, high = self.rig.slots[self._places[name]].adjuster.range
            if not low - 1e-9 <= travel <= high + 1e-9:
                span = f"{shown(low, LENGTH):g} to {shown(high, LENGTH):g} mm"
                raise Refusal.of(f"{shown(travel, LENGTH):g} mm", f"a setting of {name} from {span}")
            wanted[self._places[name]] = travel
        variant = self.rig.vary(wanted, self.unknowns)
        stance = variant.stand(self.stance.q if self.stance.stands[0] else None)
        stands = bool(stance.stands[0])
        return Tested(variant, stance, outputs(variant, stance, gradients=False) if stands else None)

    def told(self, settings: Mapping[str, float], tested: Tested) -> WhatIf:
        """The readings of a car at these settings [m] beside those of now."""
        return WhatIf.model_validate(
            {
                "car": self.rig.car.name,
                "verdict": str(tested.stance.verdict[0]),
                "tried": {name: shown(travel, LENGTH) for name, travel in settings.items()},
                "readings": () if tested.outputs is None else tuple(self._answers(tested.outputs)),
            }
        )

    def _answers(self, after: Outputs) -> list[Tried]:
        found = []
        for c, corner in enumerate(CORNERS):
            for name in TOLD:
                pair = float(self.before.corner[name][0, c]), float(after.corner[name][0, c])
                found += self._answer(corner, name, *pair)
        for name in TOLD_OF_CAR:
            found += self._answer("car", name, float(self.before.car[name][0]), float(after.car[name][0]))
        return found

    def _answer(self, place: str, name: str, before: float, after: float) -> list[Tried]:
        kind = KINDS[name]
        was, now = known(before, kind), known(after, kind)
        if was is None or now is None:
            return []
        band = self._bands.get((place, name) if place != "car" else (None, name))  # type: ignore[arg-type]
        ends = {}
        if band is not None:
            ends = {
                "low": shown(band.low, kind) if np.isfinite(band.low) else None,
                "high": shown(band.high, kind) if np.isfinite(band.high) else None,
                "inside": bool(band.low - 1e-12 <= after <= band.high + 1e-12),
            }
        return [Tried.model_validate({"corner": place, "reading": key_of(name), "before": was, "after": now, **ends})]
