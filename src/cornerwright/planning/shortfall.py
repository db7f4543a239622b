"""Where no move reaches a target: which one gives, why, and what part would be needed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import ANGLES, Outputs
from cornerwright.assembly.slots import Slot
from cornerwright.model.adjuster import Adjuster
from cornerwright.model.parts import CORNERS
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.observe import Key, pick, pick_gradient
from cornerwright.planning.search import Found, Task, search
from cornerwright.planning.wants import Limit, Want

Array = NDArray[np.float64]

EXTRA_TRAVEL = 0.15
"""How far past its range each adjuster may go in the search for the part that is needed [m]."""

BAR_IN_THE_WAY = (
    "reached with the anti-roll bars unhooked, but a bar's preload moves it when they are joined",
    "a bar link with more range or finer steps",
)

SHARE_OF_A_TOLERANCE = 0.1
"""An adjuster past its range that moves a target by less than this is not why the target is missed."""


@dataclass(frozen=True)
class Shortfall:
    """A wanted range that the plan does not reach."""

    want: Want
    predicted: float
    why: str
    needs: str


def shortfalls(task: Task, found: Found, at: Outputs, final: Outputs) -> tuple[Shortfall, ...]:
    """Every asked-for range that the plan misses, with its reason and the part that would reach it.

    at: the car as it was searched, bars loose, with gradients; final: as it will be read, bars joined.
    """
    keys = tuple(want.key for want in task.wants)
    searched, value = pick(at, keys)[0], pick(final, keys)[0]
    missed = [
        k
        for k, want in enumerate(task.wants)
        if not want.usual and not want.band.low - 1e-12 <= value[k] <= want.band.high + 1e-12
    ]
    if not missed:
        return ()
    gain = pick_gradient(at, keys)[0] * task.step_travel
    wide = _searched_wide(task)
    free = wide
    if not all(_reaches(task, task.wants[k], wide) for k in missed):
        free = _searched_wide(replace(task, limits=()))
    found_shortfalls = []
    for k in missed:
        want = task.wants[k]
        if want.band.low <= searched[k] <= want.band.high:
            why, needs = BAR_IN_THE_WAY
        else:
            why, needs = _reason(task, want, gain[k], at, found, wide, free)
        found_shortfalls.append(Shortfall(want, float(value[k]), why, needs))
    return tuple(found_shortfalls)


def _searched_wide(task: Task) -> Found:
    """The plan if every adjuster had more range."""
    # An adjuster that is held (lowest = highest = 0 by choice) stays held.
    movable = (task.lowest < 0) | (task.highest > 0)
    extra = np.where(movable, np.ceil(EXTRA_TRAVEL / task.step_travel), 0)
    wider = replace(task, lowest=task.lowest - extra, highest=task.highest + extra)
    return search(wider, whole=False, rounds=3)


def _reaches(task: Task, want: Want, found: Found) -> bool:
    if not found.solved:
        return False
    _, at = task.at(found.settings, gradients=False)
    value = pick(at, (want.key,))[0, 0]
    return bool(want.band.low - 1e-9 <= value <= want.band.high + 1e-9)


def _reason(
    task: Task, want: Want, gain: Array, at: Outputs, found: Found, wide: Found, free: Found
) -> tuple[str, str]:
    reading = want.key[1].replace("_", " ")
    strongest = np.abs(_set_by_hand(task, want.key, gain, found)) * np.maximum(task.highest - task.lowest, 1)
    if strongest.max(initial=0.0) < SHARE_OF_A_TOLERANCE * want.scale:
        return (
            f"nothing on this car adjusts the {reading}",
            f"an adjustable part that moves the {reading} (or change the target)",
        )
    if _reaches(task, want, wide):
        return _at_their_ends(task, want, at, found, wide)
    if _reaches(task, want, free):
        return _held_back(task, want, gain, free)
    step = float(np.abs(gain[np.abs(gain) > 0]).min(initial=np.inf))
    if step > (want.band.high - want.band.low):
        return (
            "one step of its adjuster is coarser than the range",
            "finer steps, or a wider tolerance",
        )
    return (
        "it conflicts with other targets: the same adjusters are needed for both",
        "another adjustable part, or a wider tolerance on one of them",
    )


def _held_back(task: Task, want: Want, gain: Array, free: Found) -> tuple[str, str]:
    """The limits that reaching the target would break, and the parts that would keep them."""
    _, at = task.at(free.settings, gradients=False)
    over = {limit: -limit.sign * (pick(at, (limit.key,))[0, 0] - limit.edge) for limit in task.limits}
    broken = {limit: by for limit, by in over.items() if by > 1e-9}
    broken = {limit: by for limit, by in broken.items() if _beside(want.key, limit.key)} or broken
    says = "; ".join(dict.fromkeys(limit.says for limit in broken)) or "a hard limit"
    needs = [_for_limit(limit, by) for limit, by in broken.items()]
    needs += [
        _longer(task.rig.slots[k], by)
        for k, by in _overruns(task, free)
        if abs(gain[k] * by / task.step_travel[k]) > SHARE_OF_A_TOLERANCE * want.scale
    ]
    return f"held back: {says}", "; ".join(dict.fromkeys(needs)) or "other springs or dampers"


def _set_by_hand(task: Task, key: Key, gain: Array, found: Found) -> Array:
    """What one step of each adjuster does (m,); to an angle: with the wheels held.

    Heights move every angle too, but no one would set caster with a perch.
    """
    corner, name = key
    if corner is None or name not in ANGLES or not task.rig.slots:
        return gain
    variant = task.rig.vary(found.settings, task.unknowns, loose=task.loose)
    direct = variant.linkage_partials(variant.stand().q[:, 3:])
    if name not in direct:
        return np.zeros_like(gain)
    return np.asarray(direct[name].value[0, CORNERS.index(corner)] * task.step_travel, dtype=float)


def _at_their_ends(task: Task, want: Want, at: Outputs, found: Found, wide: Found) -> tuple[str, str]:
    """What ends before the target is reached: adjusters that move it, and those that a limit in the way needs."""
    held = [limit for limit in task.limits if _at_edge(limit, at) and _beside(want.key, limit.key)]
    keys = (want.key, *(limit.key for limit in held))
    scales = np.array([want.scale, *(limit.scale for limit in held)])
    moves = np.nan_to_num(pick_gradient(at, keys)[0])
    slots = task.rig.slots
    past = [
        (k, over)
        for k, over in _overruns(task, wide)
        if (np.abs(moves[:, k] * over) > SHARE_OF_A_TOLERANCE * scales).any()
    ]
    corner = want.key[0]
    if corner is not None:
        axle = CORNERS.index(corner) // 2
        past = [one for one in past if slots[one[0]].axle == axle] or past
    says = "; ".join(dict.fromkeys(limit.says for limit in held))
    if not past:
        if held:
            return f"held back: {says}", "finer steps, or a wider tolerance"
        return "whole steps are too coarse to meet all targets at once", "finer steps, or a wider tolerance"
    ended = [k for k, over in past if found.steps[k] == (task.highest if over > 0 else task.lowest)[k]]
    reasons = [f"{', '.join(slots[k].name for k in ended)} at the end of the range"] if ended else []
    reasons += [says] if held else []
    why = "; ".join(reasons) or f"{', '.join(slots[k].name for k, _ in past)} would have to go past the range"
    return why, "; ".join(_longer(slots[k], over) for k, over in past)


def _beside(key: Key, other: Key) -> bool:
    """Whether a limit can be in the way of a reading: on the same axle, or anywhere for the whole car."""
    if key[0] is None or other[0] is None:
        return True
    return CORNERS.index(key[0]) // 2 == CORNERS.index(other[0]) // 2


def _overruns(task: Task, wide: Found) -> list[tuple[int, float]]:
    """Adjusters that the wide search takes past their range, and by how much travel [m]."""
    over = np.maximum(wide.steps - task.highest, 0) + np.minimum(wide.steps - task.lowest, 0)
    order = np.argsort(-np.abs(over * task.step_travel))
    return [(int(k), float(over[k] * task.step_travel[k])) for k in order if over[k] != 0]


def _longer(slot: Slot, travel: float) -> str:
    """The part that gives an adjuster this much more travel [m]."""
    size = f"{abs(to_document(travel, LENGTH)):.1f} mm"
    more = travel > 0
    adjuster: Adjuster = slot.adjuster
    texts = {
        "perch": f"a spring about {size} {'longer' if more else 'shorter'} at the same rate",
        "body": f"a damper about {size} {'longer' if more else 'shorter'} between its eyes",
        "rod": f"a rod with {size} more adjustment {'out' if more else 'in'}",
        "plate": f"{size} more travel of the plate ({adjuster.words(travel)})",
        "cam": f"an adjustable arm or offset bush giving {size} more than the cam",
        "shim": f"{size} more shims" if more else f"{size} of shims fewer than there are",
        "spacer": f"a spacer {size} {'thicker' if more else 'thinner'}",
        "bar_link": f"a link {size} {'longer' if more else 'shorter'}",
    }
    return f"{slot.name}: {texts[adjuster.kind]}"


def _at_edge(limit: Limit, at: Outputs) -> bool:
    value = pick(at, (limit.key,))[0, 0]
    return bool(limit.sign * (value - limit.edge) < limit.scale)


def _for_limit(limit: Limit, short: float) -> str:
    """The part that would keep a limit which is broken by so much [SI] where the targets are reached without it."""
    corner, name = limit.key
    size = f"{to_document(short, LENGTH):.1f} mm"
    place = corner or "car"
    if limit.asked:
        return f"{place}: give way on the {limit.says}"
    if name == "spring_held":
        return f"{place}: a helper spring with at least {size} of travel, or a main spring that much longer and softer"
    if name == "bind_margin":
        return f"{place}: a spring with a shorter block length, or a longer bump stop"
    return f"{place}: a damper with {size} more stroke"
