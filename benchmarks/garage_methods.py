"""Three ways to set a car right, and the floor: each turns readings and settings into new settings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from garage_cars import STATE, nominal
from garage_truth import HiddenCar, Seen
from numpy.typing import NDArray

import cornerwright as cw
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import KINDS, key_of, shown
from cornerwright.assembly.rig import Loose, Rig, loose_in
from cornerwright.mechanics.stance import Stance
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading, Readings
from cornerwright.model.results_plan import PlanResult
from cornerwright.model.target import Band, Targets
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.observe import Key, pick
from cornerwright.planning.search import Task, let_go, search, step_bounds
from cornerwright.planning.wants import limits_of, wants_of

Array = NDArray[np.float64]

LEARNS_FROM_ALL = "settings" in Reading.model_fields
"""Whether readings say at which settings each pass was read; without it only the last pass can be learned from."""


@dataclass
class Told:
    """What a planner said before the car was moved, to be held against what came of it."""

    verdict: str
    chance: float | None
    expected: dict[Key, tuple[float, float]] = field(default_factory=dict)
    """Value and standard deviation as the gauge will show it, in document units."""


def with_settings(car: Car, settings: Array) -> Car:
    """The file with its adjusters where they stand now."""
    return car.at_settings(dict(zip(car.adjusters(), settings.tolist(), strict=True)))


def _after(car: Car, settings: Array, result: PlanResult) -> Array:
    """Settings when the moves are done, in the order of the car's adjusters."""
    new = settings.copy()
    names = list(car.adjusters())
    for move in result.moves:
        k = names.index(f"{move.corner}.{move.adjuster}")
        new[k] += move.steps * car.adjusters()[names[k]].step_travel
    return new


class Learner:
    """Our planner, learning from what was read; all is turned before anything is read again."""

    name = "planner, nothing read between"
    result: PlanResult

    def __init__(self, car: Car, targets: Targets) -> None:
        self.car, self.targets = car, targets
        self.passes: list[Reading] = []

    def next(self, settings: Array, seen: Seen) -> tuple[Array, Told]:
        """New settings, and what is expected of them."""
        reading = seen.reading
        if LEARNS_FROM_ALL:
            at = dict(zip(self.car.adjusters(), settings, strict=True))
            told = {name: to_document(value, LENGTH) for name, value in at.items()}
            again = type(reading).model_validate({"settings": told})
            reading = reading.model_copy(update={"settings": again.settings})
        self.passes.append(reading)
        readings = Readings(format="cornerwright readings 1", passes=tuple(self.passes))
        self.result = cw.plan(
            with_settings(self.car, settings), readings, self.targets, read_between=isinstance(self, ByGauge)
        )
        return _after(self.car, settings, self.result), _told(self.result)


class ByGauge(Learner):
    """Our planner, done as its stages say: camber, caster and toe set by the gauge when their turn comes."""

    name = "planner"
    STAGES = ("camber", "toe")

    def done(self, settings: Array, result: PlanResult, hidden: HiddenCar, rng: np.random.Generator) -> Array:
        """Settings after the pass: the moves of each stage, then what the gauges ask for more."""
        new, names = settings.copy(), list(self.car.adjusters())
        adjusters = self.car.adjusters()
        for stage in result.stages:
            for move in result.moves:
                if move.stage == stage.name:
                    k = names.index(f"{move.corner}.{move.adjuster}")
                    new[k] += move.steps * adjusters[names[k]].step_travel
            if not stage.by_gauge:
                continue
            shown_now = hidden.read(new, rng, unhooked=True).gauge
            for one in stage.by_gauge:
                key = (one.corner, NAMES[one.reading])
                own = adjusters[f"{one.corner}.{one.adjuster}"]
                off = one.shows - in_document_units(key, shown_now[key])  # type: ignore[index, arg-type]
                steps = round(off / one.per_unit / own.step) if abs(off) > one.leave_within else 0
                new[names.index(f"{one.corner}.{one.adjuster}")] += steps * own.step_travel
        return new


class OffsetOnly:
    """Our planner without learning: the file's car, and each reading's distance from it taken as constant."""

    name = "planner, not learning"

    def __init__(self, car: Car, targets: Targets) -> None:
        self.car, self.targets = car, targets

    def next(self, settings: Array, seen: Seen) -> tuple[Array, Told]:
        """New settings, and what is expected of them."""
        bands = self.targets.bands()
        _, at = nominal(self.car, settings=settings, state=loose_in(seen.reading.state))
        model = pick(at, tuple(bands))[0]
        # What the model's reading must be for the gauge to show the aim.
        shifts = {}
        for key, value in zip(bands, model, strict=True):
            off = seen.gauge.get(key, value) - value
            if key[1] == "spring_held" and "spring_held" not in type(seen.reading.front_left).model_fields:
                off = 0.0
            shifts[key] = off
        result = cw.plan(with_settings(self.car, settings), None, shifted(self.targets, shifts), read_between=False)
        return _after(self.car, settings, result), Told(result.verdict, None)


def shifted(targets: Targets, by: dict[Key, float]) -> Targets:
    """Targets that ask for each reading less so much [SI]."""
    tree: dict[str, Any] = {"format": "cornerwright targets 1"}
    for (corner, name), band in targets.bands().items():
        entry = _asked(band, by[corner, name], name)
        tree.setdefault(corner or "car", {})[name] = entry
    return Targets.model_validate(tree)


def _asked(band: Band, by: float, name: str) -> dict[str, float]:
    edges = {"at_least": band.low - by, "at_most": band.high - by}
    return {side: to_document(edge, KINDS[name]) for side, edge in edges.items() if np.isfinite(edge)}


def _told(result: PlanResult) -> Told:
    told = Told(result.verdict, result.chance)
    for place, readings in result.predicted.items():
        for shown_key, one in readings.items():
            name = NAMES.get(shown_key)
            if name is not None:
                told.expected[None if place == "car" else place, name] = (one.value, one.sigma)  # type: ignore[index]
    return told


NAMES = {key_of(name): name for name in KINDS}


class ShopOrder:
    """One adjuster at a time in the usual order, each by its effect in the file, the car read again after each.

    Every adjuster is turned to bring its own reading to its aim, whole steps, if it is more than half a step off;
    cross weight by a quarter of the change at each perch, diagonal against diagonal.
    """

    name = "one at a time"
    ORDER = ("height", "damper", "camber", "caster", "toe", "bar")
    PURPOSE = {"height": "height", "camber": "camber", "caster": "caster", "toe": "toe"}  # noqa: RUF012

    def __init__(self, car: Car, targets: Targets) -> None:
        self.car, self.targets = car, targets
        self.rig, at = nominal(car, gradients=True)
        self.gain = {name: at.corner_gradient[name][0] for name in at.corner_gradient}
        self.cross_gain = at.car_gradient["cross_weight"][0]
        self.bands = targets.bands()
        self.reads = 0
        self.jobs: list[tuple[str, int, Key]] = []
        for k, slot in enumerate(self.rig.slots):
            for purpose, name in self._work(k):
                corner = CORNERS[slot.corner] if slot.corner is not None else None
                if (corner, name) in self.bands:
                    self.jobs.append((purpose, k, (corner, name)))
        self.jobs.sort(key=lambda job: self.ORDER.index(job[0]))

    def _work(self, k: int) -> list[tuple[str, str]]:
        """What this adjuster is for, and the reading that tells."""
        adjuster = self.rig.slots[k].adjuster
        corner = self.rig.slots[k].corner
        if adjuster.kind == "perch":
            return [("height", "height")]
        if adjuster.kind == "body" and corner is not None:
            around = self.car.corners[CORNERS[corner]].spring.around_damper
            return [("damper", "stroke_share" if around else "spring_held")]
        if adjuster.sets in ("camber", "caster", "toe"):
            return [(adjuster.sets, adjuster.sets)]
        return []

    def round(self, settings: Array, hidden: HiddenCar, rng: np.random.Generator) -> Array:
        """Settings after all adjusters were visited once."""
        new = settings.copy()
        seen = hidden.read(new, rng)
        self.reads = 1
        cross_done = False
        for purpose, k, key in self.jobs:
            if purpose != "height" and not cross_done:
                new = self._cross(new, seen)
                seen, cross_done = hidden.read(new, rng), True
                self.reads += 1
            change = self._change(k, key, seen)
            if change:
                new[k] += change
                seen = hidden.read(new, rng)
                self.reads += 1
        return new

    def _change(self, k: int, key: Key, seen: Seen) -> float:
        corner, name = key
        band, value = self.bands[key], seen.gauge[key]
        assert corner is not None  # each adjuster here is a corner's
        if name == "stroke_share" and band.low <= value <= band.high:
            return 0.0
        effect = self.gain[name][CORNERS.index(corner), k]
        slot = self.rig.slots[k]
        step = slot.adjuster.step_travel
        steps = round((band.aim - value) / effect / step)
        low, high = slot.adjuster.range
        return float(np.clip(steps, np.ceil((low - high) / step), np.floor((high - low) / step)) * step)

    def _cross(self, settings: Array, seen: Seen) -> Array:
        band = self.bands[None, "cross_weight"]
        off = band.aim - seen.gauge[None, "cross_weight"]
        if abs(off) < 0.5 * band.within:
            return settings
        perches = [k for purpose, k, _ in self.jobs if purpose == "height"]
        way = np.zeros(len(settings))
        for k in perches:
            corner = self.rig.slots[k].corner
            way[k] = 1.0 if corner in (1, 2) else -1.0
        total = float(self.cross_gain @ way)
        step = np.array([slot.adjuster.step_travel for slot in self.rig.slots])
        return np.asarray(settings + np.round(off / total * way / step) * step)


def links_by_hand(settings: Array, hidden: HiddenCar) -> Array:
    """Settings with each bar's link so long that its bolt slides in: no preload, to the nearest step.

    So every plan tells the hands to do it, whatever number of turns it foresaw.
    """
    new = settings.copy()
    stance = _unhooked(hidden, settings)
    for k, slot in enumerate(hidden.rig.slots):
        if slot.adjuster.kind == "bar_link":
            bar = hidden.rig.car.axles[slot.axle].bar
            assert bar is not None  # a link belongs to a bar
            lifts = stance.q[0, 3 + 2 * slot.axle : 5 + 2 * slot.axle]
            goal = slot.adjuster.measured_at + (bar.neutral - (lifts[0] - lifts[1])) / bar.link_ratio
            step = slot.adjuster.step_travel
            new[k] = settings[k] + round((goal - settings[k]) / step) * step
    return new


def _unhooked(hidden: HiddenCar, settings: Array) -> Stance:
    travel = hidden.measured_at + (settings - hidden.measured_at) * hidden.lead
    return hidden.rig.vary(travel, hidden.unknowns, loose=Loose((True, True), bushes=True)).stand()


def known_exactly(car: Car, targets: Targets, hidden: HiddenCar, settings: Array, sigma: dict[str, float]) -> Array:
    """Settings that our search finds when it is told the true car: what steps and leads alone leave open.

    The search knows every unknown of the model, and how far camber and toe stand off by their give; it does not
    know the leads' errors, nor how the give changes with the loads.
    """
    now = with_settings(car, settings)
    rig = Rig(now)
    seen = hidden.read(settings, np.random.default_rng(0)).true
    variant = rig.vary(unknowns=hidden.unknowns, loose=STATE)
    at = outputs(variant, variant.stand(), gradients=False)
    bands = targets.bands()
    model = pick(at, tuple(bands))[0]
    ours = shifted(targets, {key: seen[key] - value for key, value in zip(bands, model, strict=True)})
    wants = wants_of(ours, rig)
    lowest, highest = step_bounds(rig)
    links = np.array([slot.adjuster.kind == "bar_link" for slot in rig.slots], dtype=bool)
    has = [axle.bar is not None and axle.bar.connected and axle.bar.link is not None for axle in car.axles]
    weight = car.mass.total * 9.80665
    spread = [
        sigma["load"] / weight if want.key[0] is None else sigma.get(want.key[1], 0.1 * want.scale) for want in wants
    ]
    task = Task(
        rig,
        hidden.unknowns,
        Loose((has[0], has[1]), bushes=True),
        wants,
        limits_of(ours),
        np.array(spread),
        np.where(links, 0, lowest),
        np.where(links, 0, highest),
    )
    rough = search(task, whole=False, rounds=3)
    found = let_go(task, search(task, start=rough.steps))
    return links_by_hand(task.settings(found.steps), hidden)


Method = Callable[[Car, Targets], Any]


def in_document_units(key: Key, value: float) -> float:
    """As a plan prints it."""
    return float(shown(value, KINDS[key[1]]))
