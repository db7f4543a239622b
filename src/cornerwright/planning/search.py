"""The search for a plan: linearise, choose whole steps, verify on the full model, and again."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.mechanics.stance import Stance
from cornerwright.planning.choose import (
    HARD,
    WORK,
    Wanted,
    choose_steps,
    edge_cost,
    judged_sigma,
    polished,
)
from cornerwright.planning.observe import pick, pick_gradient
from cornerwright.planning.wants import Limit, Want

Array = NDArray[np.float64]

ROUNDS = 8
"""Linearisations at most; a plan seldom needs more than three."""

AGREED = 0.05
"""Linear and full model agree when no wanted reading differs by more than this share of its tolerance."""

NEAR_ENOUGH = 0.06
"""The program may stop at a plan that costs this much more than the best: it is polished afterwards."""

TIGHTEST_GAP, LOOSEST_GAP = 0.001, 0.1

HOPELESS = 0.02
"""How much a target counts that was let go of because no move reaches it."""

LETTING_GO = 3
"""Targets let go of at most."""

KEEP_OFF = 1.1
"""How much further than it was overrun a limit is pulled in before the next round."""


@dataclass(frozen=True)
class Found:
    """The best whole steps found, verified on the full model."""

    steps: Array
    """(m,)"""
    settings: Array
    """(m,) [m]"""
    cost: float
    broken: tuple[Limit, ...]
    """Limits that the full model breaks at these settings."""
    rounds: int
    solved: bool
    """False: the car did not stand, or the program gave no answer."""


@dataclass(frozen=True)
class Task:
    """What to search: a believed car, what is wanted of it, which adjusters may be turned."""

    rig: Rig
    unknowns: Array
    """(p,) the believed car"""
    loose: Loose
    wants: tuple[Want, ...]
    limits: tuple[Limit, ...]
    sigma: Array
    """(r,) standard deviation of each wanted reading as the gauge will show it"""
    lowest: Array
    highest: Array
    work: float = 1.0
    """How much the minutes of work count beside the chance of being inside."""

    @property
    def step_travel(self) -> Array:
        """Travel (m,) of one step of each adjuster [m]."""
        return np.array([slot.adjuster.step_travel for slot in self.rig.slots], dtype=float)

    @property
    def minutes(self) -> Array:
        """Work (m,) of touching each adjuster, as it counts here."""
        return self.work * np.array([slot.adjuster.work for slot in self.rig.slots], dtype=float)

    @cached_property
    def sizes(self) -> dict[int, Array]:
        """Steps to each size on the shelf, of adjusters that have such a list, inside their bounds."""
        found = {}
        for k, slot in enumerate(self.rig.slots):
            own = slot.adjuster.sizes
            if own:
                steps = (np.array(sorted({*own, slot.adjuster.setting})) - slot.adjuster.setting) / self.step_travel[k]
                found[k] = steps[(steps >= self.lowest[k] - 1e-9) & (steps <= self.highest[k] + 1e-9)]
        return found

    @cached_property
    def same_corner(self) -> NDArray[np.intp]:
        """(q, 2) pairs of adjusters of one corner."""
        places = [slot.corner for slot in self.rig.slots]
        pairs = [
            (a, b)
            for a, b in combinations(range(len(places)), 2)
            if places[a] is not None and places[a] == places[b] and {a, b}.isdisjoint(self.sizes)
        ]
        return np.array(pairs, dtype=np.intp).reshape(-1, 2)

    def settings(self, steps: Array) -> Array:
        """Settings (m,) [m] after these steps."""
        return np.asarray(self.rig.settings + steps * self.step_travel)

    def at(self, settings: Array, *, gradients: bool) -> tuple[Stance, Outputs]:
        """The believed car standing with these settings."""
        variant = self.rig.vary(settings, self.unknowns, loose=self.loose)
        stance = variant.stand()
        return stance, outputs(variant, stance, gradients=gradients)


def step_bounds(rig: Rig) -> tuple[Array, Array]:
    """Least and greatest whole steps (m,) that each adjuster's range leaves."""
    low, high = [], []
    for slot in rig.slots:
        adjuster, step = slot.adjuster, slot.adjuster.step_travel
        low.append(min(0, int(np.ceil((adjuster.range[0] - adjuster.setting) / step - 1e-6))))
        high.append(max(0, int(np.floor((adjuster.range[1] - adjuster.setting) / step + 1e-6))))
    return np.array(low), np.array(high)


def search(task: Task, *, whole: bool = True, start: Array | None = None, rounds: int = ROUNDS) -> Found:
    """Steps that give the highest chance for the least work, within the limits.

    Each round linearises at the last answer; what the full model says of every answer decides which is kept.
    whole False: parts of steps are allowed, which is quick and shows what is in reach. start: steps (m,) to
    linearise at first, such as the answer of a search in parts of steps.
    """
    steps = np.zeros(len(task.rig.slots)) if start is None else start
    scale = np.array([limit.scale for limit in task.limits])
    pulled_in = np.zeros(scale.size)
    expected: Array | None = None
    best: Found | None = None
    turn = 0
    for turn in range(1, rounds + 1):
        stance, at = task.at(task.settings(steps), gradients=True)
        if not stance.stands[0]:
            break
        cost, overrun = _judged(task, at, steps)
        is_answer = turn > 1 or start is None  # a start may hold parts of steps
        if is_answer and (best is None or cost < best.cost):
            over = [one for one, by in zip(task.limits, overrun, strict=True) if by > 1e-9]
            best = Found(steps, task.settings(steps), cost, tuple(over), turn, True)
        if turn > 1 and _agrees(task, at, expected) and not (overrun > 1e-9).any():
            break
        if turn > 1:
            # The full model broke a limit that the linear one held: keep off it by as much.
            pulled_in = np.minimum(pulled_in + KEEP_OFF * overrun, 3 * scale)
        linear = _linearised(task, at, steps, pulled_in)
        choice = choose_steps(linear, whole=False)
        if whole and choice.verdict != "no answer":
            # Parts of steps cost the least there is: it tells how near the best whole steps must come.
            gap = float(np.clip(NEAR_ENOUGH / max(choice.cost, 1e-9), TIGHTEST_GAP, LOOSEST_GAP))
            choice = choose_steps(linear, gap=gap)
        if choice.verdict == "no answer":
            break
        steps = polished(linear, choice.steps) if whole else choice.steps
        expected = linear.value + linear.gain @ steps
    if best is None:
        nowhere = np.zeros(len(task.rig.slots))
        return Found(nowhere, task.rig.settings, np.inf, (), turn, False)
    return replace(best, rounds=turn)


def let_go(task: Task, found: Found) -> Found:
    """The plan again with some wants counting for little, if that brings more asked-for targets inside.

    Usual practice gives way first. Then what is out of reach: else one target that no move reaches drags others
    out of their ranges to come a little nearer itself, as when the car is tilted to help a plate at its end. Both
    sides of an axle are let go of together: one is not sacrificed to the other.
    """
    best, missed = found, _missed(task, found)
    given_up = {k for k, want in enumerate(task.wants) if want.usual}
    for turn in range(LETTING_GO + 1):
        if turn > 0:
            if len(missed) < 2 or not missed.keys() - given_up:
                break
            worst = max(missed.keys() - given_up, key=missed.__getitem__)
            given_up |= {k for k in missed if _pair(task.wants[k]) == _pair(task.wants[worst])}
        elif not missed or not given_up:
            continue
        wants = tuple(
            replace(want, weight=want.weight * HOPELESS) if k in given_up else want for k, want in enumerate(task.wants)
        )
        again = search(replace(task, wants=wants), start=best.steps)
        if again.solved and len(again.broken) <= len(best.broken):
            now = _missed(task, again)
            if len(now) < len(missed):
                best, missed = again, now
    return best


def _pair(want: Want) -> tuple[str, str]:
    """The same for left and right of an axle."""
    corner, name = want.key
    return ("car" if corner is None else corner.split("_")[0], name)


def _missed(task: Task, found: Found) -> dict[int, float]:
    """Asked-for ranges that are missed: by how much, in tolerances."""
    _, at = task.at(found.settings, gradients=False)
    value = pick(at, tuple(want.key for want in task.wants))[0]
    off = {
        k: max(want.band.low - value[k], value[k] - want.band.high) / want.scale
        for k, want in enumerate(task.wants)
        if not want.usual
    }
    return {k: by for k, by in off.items() if by > 1e-9}


def _agrees(task: Task, at: Outputs, expected: Array | None) -> bool:
    """Whether the full model shows what the linear one led to expect, within a twentieth of the tolerances."""
    if expected is None:
        return False
    value = pick(at, tuple(want.key for want in task.wants))[0]
    off = np.abs(value - expected) / np.array([want.scale for want in task.wants])
    return bool(off.max(initial=0.0) < AGREED)


def _linearised(task: Task, at: Outputs, steps: Array, pulled_in: Array) -> Wanted:
    """The car as a linear function of steps from its present settings, about the given steps."""
    keys = tuple(want.key for want in task.wants)
    limit_keys = tuple(limit.key for limit in task.limits)
    sign = np.array([limit.sign for limit in task.limits])
    edge = np.array([limit.edge for limit in task.limits])
    travel = task.step_travel
    gain = pick_gradient(at, keys)[0] * travel if keys else np.zeros((0, travel.size))
    hard_gain = sign[:, None] * pick_gradient(at, limit_keys)[0] * travel if limit_keys else np.zeros((0, travel.size))
    value = pick(at, keys)[0] - gain @ steps
    hard = sign * (pick(at, limit_keys)[0] - edge) - hard_gain @ steps - pulled_in
    # A limit whose reading is not known (no end of travel found) cannot guide the choice.
    unknown = np.isnan(hard) | np.isnan(hard_gain).any(axis=1)
    return Wanted(
        value=value,
        gain=gain,
        low=np.array([want.band.low for want in task.wants]),
        high=np.array([want.band.high for want in task.wants]),
        sigma=task.sigma,
        weight=np.array([want.weight for want in task.wants]),
        scale=np.array([want.scale for want in task.wants]),
        hard_value=np.where(unknown, 0.0, hard),
        hard_gain=np.where(unknown[:, None], 0.0, hard_gain),
        hard_scale=np.array([limit.scale for limit in task.limits]),
        lowest=task.lowest,
        highest=task.highest,
        minutes=task.minutes,
        same_corner=task.same_corner,
        sizes=task.sizes,
    )


def _judged(task: Task, at: Outputs, steps: Array) -> tuple[float, Array]:
    """Cost of these steps by the full model, and how far each limit is overrun (h,) [SI]."""
    keys = tuple(want.key for want in task.wants)
    value = pick(at, keys)[0]
    sigma = judged_sigma(task.sigma, np.array([want.scale for want in task.wants]))
    cost = 0.0
    for want, reading, spread in zip(task.wants, value, sigma, strict=True):
        for edge, sign in ((want.band.high, -1.0), (want.band.low, 1.0)):
            if np.isfinite(edge):
                cost += want.weight * float(edge_cost(np.array(sign * (reading - edge) / spread))[0])
    limit_value = pick(at, tuple(limit.key for limit in task.limits))[0]
    overrun = np.array(
        [
            max(0.0, -limit.sign * (reading - limit.edge)) if np.isfinite(reading) else 0.0
            for limit, reading in zip(task.limits, limit_value, strict=True)
        ]
    )
    scale = np.array([limit.scale for limit in task.limits])
    cost += HARD * float((overrun / scale).sum()) + WORK * float(task.minutes[steps != 0].sum())
    return cost, overrun
