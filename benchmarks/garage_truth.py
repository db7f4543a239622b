"""The hidden car: what it truly does, and what gauges show of it.

What it shares with the planner: the statics of a car on springs and tyres (`mechanics`) and the motion of its
linkage, solved for the true points and settings each time, without any linearisation. What the planner does not
know and its model cannot say:

- every point, rate, length, mass and zero is off from the file (drawn; `Doubt` in the file says how far, so that the
  planner knows the spread but not the values);
- threads lead a little more or less than their pitch;
- camber and toe give with the load on the wheel (bushes and bearings), which the planner's model has not;
- friction: each time the car is put down and rolled, each corner settles off its true rest, held by a force that
  the scales see too. `true` readings are those of a car without friction, its bars joined as it will be driven.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from garage_cars import STATE
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.report import KINDS
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import CornerReadings, Gauges, Reading
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.observe import Key, pick

Array = NDArray[np.float64]

LEAD = 0.005
"""Threads, slides and cams: travel for travel of the file, one standard deviation."""

GIVE = {"camber": np.radians(0.04) / 1e3, "toe": np.radians(0.02) / 1e3}
"""Change of the angle with the wheel's load [rad/N], one standard deviation."""

FRICTION = (0.5e-3, 1.0e-3)
"""Half-width [m] of the band in which a corner settles, itself drawn for each car."""

AVERAGED = 3
"""Readings that are averaged, the car rolled and bounced between them."""

GAUGE = {
    "height": 0.5e-3,
    "load": 5.0,
    "camber": np.radians(0.03),
    "toe": np.radians(0.015),
    "caster": np.radians(0.08),
    "damper_length": 1e-3,
    "spring_length": 1e-3,
    "spring_held": 0.5e-3,
}
"""Scatter of one reading of each gauge [SI]: rule, shop scales, digital gauge, strings."""

TOLD_FRICTION = 0.75e-3 / np.sqrt(3)
"""What the planner is told of friction: one standard deviation of a settling, as rolling and reading again shows."""

LIMITS = ("spring_held", "bind_margin", "droop_left", "bump_left")
READ = tuple(name for name in GAUGE if name in CornerReadings.model_fields)


def stated_scatter(averaged: int = AVERAGED, scale: float = 1.0) -> dict[str, float]:
    """Scatter of the averaged readings that the planner is told [SI]."""
    return {name: float(max(scale, 0.02) * GAUGE[name] / np.sqrt(averaged)) for name in GAUGE}


@dataclass(frozen=True)
class Seen:
    """One round of readings of the hidden car."""

    true: dict[Key, float]
    gauge: dict[Key, float]
    reading: Reading
    broken: tuple[str, ...]
    """Hard limits that the car truly breaks, `front_left.spring_held`..."""


class HiddenCar:
    """A true car that the file `car` is meant to describe."""

    def __init__(
        self,
        car: Car,
        rng: np.random.Generator,
        *,
        averaged: int = AVERAGED,
        scale: float = 1.0,
        unhooked: bool = False,
    ) -> None:
        self.rig = Rig(car)
        self.state = Loose((unhooked, unhooked), bushes=True)
        self.averaged, self.scale = averaged, scale
        self.unknowns = rng.standard_normal(self.rig.unknowns.size)
        self.lead = 1 + LEAD * rng.standard_normal(len(self.rig.slots))
        self.measured_at = np.array([slot.adjuster.measured_at for slot in self.rig.slots])
        self.give = {name: sd * rng.standard_normal(4) for name, sd in GIVE.items()}
        self.friction = rng.uniform(*FRICTION)
        load = self._rigid(self.rig.settings, np.zeros((1, 4)), STATE).corner["load"][0]
        self.stands = bool(np.isfinite(load).all())
        self.usual_load = load

    def _rigid(self, settings: Array, settle: Array, state: Loose) -> Outputs:
        """Readings of the car at these settings (m,) when it settles so far off (k, 4) [m], without give."""
        travel = self.measured_at + (settings - self.measured_at) * self.lead
        variant = self.rig.vary(travel, self.unknowns, loose=state)
        lifts = np.zeros((1, 4))
        first = np.abs(np.diagonal(variant.inputs.kinematics(lifts).spring.first[0]))
        pushed = settle * first
        inputs = replace(variant.inputs, seat_offset=variant.inputs.seat_offset + pushed)
        settled = replace(variant, inputs=inputs, longer=variant.longer + pushed)
        return outputs(settled, settled.stand(), gradients=False)

    def _given(self, settings: Array, settle: Array, state: Loose) -> Outputs:
        """Readings with what camber and toe give under the loads."""
        at = self._rigid(settings, settle, state)
        for name, by in self.give.items():
            at.corner[name] = at.corner[name] + by * (at.corner["load"] - self.usual_load)
        return at

    def read(self, settings: Array, rng: np.random.Generator, *, unhooked: bool | None = None) -> Seen:
        """True readings at these settings, and what the gauges show on average, the bars unhooked or not."""
        state = self.state if unhooked is None else Loose((unhooked, unhooked), bushes=True)
        settle = np.zeros((self.averaged + 1, 4))
        settle[1:] = self.scale * rng.uniform(-self.friction, self.friction, (self.averaged, 4))
        at = self._given(settings, settle, state)
        keys: list[Key] = [(c, name) for c in CORNERS for name in at.corner]
        keys.append((None, "cross_weight"))
        value = pick(at, tuple(keys))
        joined = at if state == STATE else self._given(settings, settle[:1], STATE)
        gauge = {}
        for key, column in zip(keys, value.T, strict=True):
            if key[1] in GAUGE:
                # Held at droop does not depend on how the car settled.
                base = column[0] if key[1] == "spring_held" else column[1:].mean()
                scatter = self.scale * GAUGE[key[1]] / np.sqrt(self.averaged)
                gauge[key] = float(base + scatter * rng.standard_normal())
        load = np.array([gauge[c, "load"] for c in CORNERS])
        gauge[None, "cross_weight"] = float((load[1] + load[2]) / load.sum())
        for i, corner in enumerate(CORNERS):
            part = self.rig.car.corners[corner].damper
            shift = gauge[corner, "damper_length"] - float(at.corner["damper_length"][0, i])
            gauge[corner, "stroke_share"] = float(at.corner["stroke_share"][0, i] + shift / (part.open - part.closed))
        true = {key: float(row) for key, row in zip(keys, pick(joined, tuple(keys))[0], strict=True)}
        broken = tuple(f"{c}.{name}" for c in CORNERS for name in LIMITS if true[c, name] < 0)
        return Seen(true, gauge, self._document(gauge), broken)

    def _document(self, gauge: dict[Key, float]) -> Reading:
        scatter = stated_scatter(self.averaged, self.scale)
        known = Gauges.model_fields
        tree: dict[str, Any] = {
            "state": {"bars": "loose" if self.state.bars[0] else "connected", "bushes": "loose"},
            "gauges": {
                "friction": to_document(self.scale * TOLD_FRICTION / np.sqrt(self.averaged), LENGTH),
                **{name: _shown(sd, name) for name, sd in scatter.items() if name in known},
            },
        }
        for corner in CORNERS:
            part = self.rig.car.corners[corner]
            names = [name for name in READ if np.isfinite(gauge[corner, name])]
            if part.spring.around_damper:
                names = [name for name in names if name not in ("spring_length", "spring_held")]
            tree[corner] = {name: _shown(gauge[corner, name], name) for name in names}
        return Reading.model_validate(tree)


def _shown(value: float, name: str) -> float:
    """In the unit that a file of readings has without saying so: mm, kg, deg."""
    if name == "load":
        return value / 9.80665
    return float(to_document(value, KINDS[name]))
