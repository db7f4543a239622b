"""What all searches of one plan share, and what one search finds: the moves, and the cars they may lead to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.mechanics.stance import GRAVITY, Stance
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Gauges, Reading
from cornerwright.model.target import Targets
from cornerwright.planning.learn import Belief
from cornerwright.planning.margins import kept_off
from cornerwright.planning.observe import Key, gauge_scatter, pick, settling, zeros
from cornerwright.planning.search import Found, Task, let_go, search, step_bounds
from cornerwright.planning.shortfall import Shortfall, shortfalls
from cornerwright.planning.trim import Trim, trimmed, trims_of
from cornerwright.planning.wants import Limit, Want

Array = NDArray[np.float64]
Some = NDArray[np.bool_]

DRAWS = 256
"""Cars drawn from what is known, to say how sure a prediction is."""

FEWER = 128
"""Cars drawn to weigh the moves by: a standard deviation from so many is known to a sixteenth."""

USUAL_SIGMA = 0.5
"""Doubt of a reading, in tolerances, before anything was drawn: enough to find roughly where the moves lead."""

SEED = 20
"""Of the draws: the same files give the same plan, digit for digit."""


@dataclass(frozen=True)
class Sought:
    """One car as it is believed to be, and what is wanted of it."""

    rig: Rig
    belief: Belief
    reading: Reading | None
    gauges: Gauges
    targets: Targets
    wants: tuple[Want, ...]
    limits: tuple[Limit, ...]
    read_between: bool
    """True: angles are set by the gauge at their stages."""
    cars: Array
    """(DRAWS, p) cars that file and readings could mean"""

    @property
    def car(self) -> Car:
        """As its file has it, at the settings it was read at."""
        return self.rig.car

    @cached_property
    def loose(self) -> Loose:
        """The state it is set right in: bars with an adjustable link unhooked, bushes slack."""
        return loose_for(self.car)

    @cached_property
    def links(self) -> Some:
        """(m,) adjusters that are bars' links: set last, by hand."""
        return np.array([slot.adjuster.kind == "bar_link" for slot in self.rig.slots], dtype=bool)

    @cached_property
    def bounds(self) -> tuple[Array, Array]:
        """Least and greatest steps (m,) of every adjuster."""
        return step_bounds(self.rig)

    def scatter(self, keys: tuple[Key, ...]) -> Array:
        """Scatter (r,) of the gauges behind these readings."""
        return gauge_scatter(self.gauges, keys, self.car.mass.total * GRAVITY)

    def drawn(self, settings: Array, keys: tuple[Key, ...], count: int = DRAWS) -> Array:
        """(count, r) readings, without gauge scatter, of cars that file and readings allow at these settings.

        What is aimed at is the car, not the gauge: a gauge's zero error counts as doubt here, not as a shift.
        """
        draws = self.cars[:count]
        variant = self.rig.vary(settings, draws, loose=self.loose)
        shown = pick(outputs(variant, variant.stand(), gradients=False), keys)
        return shown + zeros(self.rig, keys, draws - self.belief.mean)

    def at(self, settings: Array, *, gradients: bool) -> tuple[Stance, Outputs]:
        """The believed car standing at these settings, bars unhooked."""
        variant = self.rig.vary(settings, self.belief.mean, loose=self.loose)
        stance = variant.stand()
        return stance, outputs(variant, stance, gradients=gradients)

    def trims(self, at: Outputs) -> tuple[Trim, ...]:
        """Angles that are set by the gauge."""
        if not self.read_between:
            return ()
        wanted = {want.key for want in self.wants if not want.usual}
        return trims_of(self.rig, at, wanted)

    def settling(self, settings: Array, keys: tuple[Key, ...]) -> Array:
        """(r, 4) what the readings after the pass move when friction holds a wheel off its rest."""
        return settling(self.rig, settings, self.belief.mean[None], self.loose, keys, self.gauges.friction)

    def settled(self, draws: Array, keys: tuple[Key, ...], at: Outputs) -> Array:
        """(k, r) readings of drawn cars when the stages were done as the plan says, before they are read again."""
        trims = self.trims(at)
        return trimmed(self.rig, trims, draws, keys, at, pick(at, keys)[0], self.scatter(keys))

    def sigma(self, settings: Array, keys: tuple[Key, ...]) -> Array:
        """(r,) standard deviation of each reading as the gauge will show it after the pass."""
        _, at = self.at(settings, gradients=self.read_between)
        spread = np.nanvar(self.settled(self.drawn(settings, keys, FEWER), keys, at), axis=0)
        friction = (self.settling(settings, keys) ** 2).sum(axis=1)
        return np.asarray(np.sqrt(spread + self.scatter(keys) ** 2 + friction))


@dataclass(frozen=True)
class Chosen:
    """The moves that one search found, on the believed car."""

    sought: Sought
    task: Task
    found: Found
    steps: Array
    """(m,) bars' links included"""
    settings: Array
    at: Outputs
    """bars unhooked, with gradients"""
    final: Outputs
    """as it will be read, bars joined"""
    stance: Stance
    short: tuple[Shortfall, ...]
    broken: tuple[Limit, ...]

    @property
    def rank(self) -> tuple[int, int, float]:
        """Less is better: limits broken, targets missed, cost."""
        return len(self.broken), len(self.short), self.found.cost


def seek(sought: Sought, frozen: Some | None = None, work: float = 1.0) -> Chosen | None:
    """The best moves; None where the car stands at no settings that were tried.

    frozen (m,): adjusters that are left alone. work: how much the minutes count beside the chance.
    """
    held = np.zeros(len(sought.rig.slots), dtype=bool) if frozen is None else frozen
    task = task_of(sought, None, held, work)
    rough = search(task, whole=False, rounds=3)
    if rough.solved:
        # Moving adds doubt of its own: how sure a reading is, is judged where the moves lead.
        task = task_of(sought, rough.settings, held, work)
    found = search(task, start=rough.steps)
    if not found.solved:
        return None
    return _chosen(sought, task, let_go(task, found), held)


def task_of(sought: Sought, settings: Array | None, held: Some, work: float = 1.0) -> Task:
    """The search's task; held (m,): adjusters that are left alone.

    How sure each reading is, is judged at these settings; None: taken roughly, as nobody knows yet where to.
    """
    lowest, highest = (np.where(sought.links | held, 0, side) for side in sought.bounds)
    limit_keys = tuple(limit.key for limit in sought.limits)
    keys = (*(want.key for want in sought.wants), *limit_keys)
    if settings is None:
        scales = [*(want.scale for want in sought.wants), *(limit.scale for limit in sought.limits)]
        sigma = USUAL_SIGMA * np.array(scales)
    else:
        sigma = sought.sigma(settings, keys)
    _, now = sought.at(sought.rig.settings, gradients=False)
    count = len(sought.wants)
    kept = kept_off(sought.limits, pick(now, limit_keys)[0], sigma[count:], sought.wants)
    return Task(
        rig=sought.rig,
        unknowns=sought.belief.mean,
        loose=sought.loose,
        wants=(*sought.wants, *(want for want, _ in kept)),
        limits=sought.limits,
        sigma=np.array([*sigma[:count], *(spread for _, spread in kept)]),
        lowest=lowest,
        highest=highest,
        work=work,
    )


def _chosen(sought: Sought, task: Task, found: Found, held: Some) -> Chosen | None:
    steps = found.steps + _link_steps(sought, task, found, held)
    settings = task.settings(steps)
    variant = sought.rig.vary(settings, sought.belief.mean, loose=Loose(bushes=True))
    stance = variant.stand()
    final = outputs(variant, stance, gradients=False)
    if not stance.stands[0]:
        return None
    _, at = task.at(found.settings, gradients=True)
    count = len(sought.wants)
    asked = replace(task, wants=task.wants[:count], sigma=task.sigma[:count])
    short = shortfalls(asked, found, at, final)
    return Chosen(sought, task, found, steps, settings, at, final, stance, short, _broken_limits(task, found, final))


def loose_for(car: Car) -> Loose:
    """The state a car is set right in: bars with an adjustable link unhooked, bushes slack."""
    return Loose((_has_link(car, 0), _has_link(car, 1)), bushes=True)


def _has_link(car: Car, axle: int) -> bool:
    bar = car.axles[axle].bar
    return bar is not None and bar.connected and bar.link is not None


def _link_steps(sought: Sought, task: Task, found: Found, held: Some) -> Array:
    """Steps of the bars' links that leave no preload at the new stance."""
    rig, (lowest, highest) = sought.rig, sought.bounds
    stance, _ = task.at(found.settings, gradients=False)
    lifts = stance.q[0, 3:]
    steps = np.zeros(len(rig.slots))
    for k, slot in enumerate(rig.slots):
        if not sought.links[k] or held[k] or not task.loose.bars[slot.axle]:
            continue
        bar = rig.car.axles[slot.axle].bar
        assert bar is not None  # a link belongs to a bar
        difference = lifts[2 * slot.axle] - lifts[2 * slot.axle + 1]
        goal = slot.adjuster.measured_at + (bar.neutral - difference) / bar.link_ratio
        wanted = round((goal - slot.adjuster.setting) / slot.adjuster.step_travel)
        steps[k] = np.clip(wanted, lowest[k], highest[k])
    return steps


def _broken_limits(task: Task, found: Found, final: Outputs) -> tuple[Limit, ...]:
    """Limits that do not hold, with the bars unhooked or as the car will be read."""
    value = pick(final, tuple(limit.key for limit in task.limits))[0]
    over = [limit.sign * (number - limit.edge) < -1e-9 for limit, number in zip(task.limits, value, strict=True)]
    return tuple(limit for limit, out in zip(task.limits, over, strict=True) if out or limit in found.broken)


def all_keys(at: Outputs) -> tuple[Key, ...]:
    """Every reading there is, of the corners and of the car."""
    corner: list[Key] = [(corner, name) for corner in CORNERS for name in at.corner]
    return (*corner, *((None, name) for name in at.car))
