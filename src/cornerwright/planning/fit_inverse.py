"""Which spacer and camber put a tyre at a wanted distance from the arch lip without coming near anything else.

Every spacer of the shelf goes with every camber that the corner's own adjuster reaches in whole steps, by what that
adjuster really does to the linkage. The pairs are ranked by how near the wanted distance they come, then by how
little the camber moves; in that order their envelopes are worked out until one keeps the gap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.at_hand import most_steps, reached
from cornerwright.assembly.fit_report import SIZE
from cornerwright.assembly.report import shown
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.wheel_fit import WheelFit, profile_of
from cornerwright.assembly.wheel_stack import stack_of
from cornerwright.mechanics.tyre_profile import Profile
from cornerwright.mechanics.wheel_place import stud_length
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results_fit import Inverse, Suggestion
from cornerwright.model.units import ANGLE, LENGTH

Array = NDArray[np.float64]

HIT = 1e-3
"""A lip distance this near [m] the wanted one is it: tape and plumb line are no better."""

CAMBER_PRICE = 0.5e-3 / np.radians(1.0)
"""Lip distance [m] given up for a camber that stays 1 rad nearer to where it is; our own weight."""

MISS_PRICE = 0.1
"""What a miss counts that no tape can tell."""

MOVE_PRICE = 0.2e-3
"""What it costs [m] to touch the camber at all."""

MOST_CAMBERS = 25
LOOKED_AT = 40
"""Pairs whose envelopes are worked out, roughly, before giving up."""

ROUGH = (15, 7)
OTHERS = 4

SHELF = (0.0, 0.003, 0.005, 0.008, 0.010, 0.012, 0.015, 0.020, 0.025)
"""Thicknesses [m] that are usually to be had; 0: none."""


@dataclass(frozen=True)
class Wanted:
    """What is asked for: lip distance [m], least gap [m], spacers to be had [m], camber allowed [rad]."""

    lip_distance: float
    gap: float | None = None
    """None: the room's own."""
    shelf: tuple[float, ...] = SHELF
    camber: tuple[float, float] | None = None
    engagement: float | None = None
    """Thread in the nut [m], for the length of the studs; None: what the corner's fastening needs, if it has one."""


@dataclass
class _Pair:
    spacer: float
    camber: float
    settings: Array
    steps: tuple[tuple[str, float], ...]
    distance: float
    cost: float
    least: float = field(default=np.nan)
    nearest: str = ""


def inverse(car: Car, corner: CornerName, wanted: Wanted) -> Inverse:
    """The spacer and camber for one corner. Raises Refusal where its tyre, room or lip is not given."""
    part = car.corners[corner]
    profile, room, which = profile_of(part), part.room, CORNERS.index(corner)
    if profile is None or room is None or room.lip is None:
        raise Refusal.of(
            f"{corner.replace('_', ' ')} without " + ("the tyre's size" if profile is None else "room with its lip"),
            "a corner with a tyre's marking or width, and a room that names its lip",
        )
    if not wanted.shelf or min(wanted.shelf) < 0:
        raise Refusal.of("no spacer to choose from", "thicknesses of 0 or more", field="shelf")
    gap = room.gap if wanted.gap is None else wanted.gap
    now = 0.0 if part.wheel.spacer is None else part.wheel.spacer.thickness
    rig = Rig(car)
    pairs = sorted(_pairs(rig, which, profile, wanted, now), key=lambda one: one.cost)
    if not pairs:
        raise Refusal.of(
            "no camber that the adjusters reach within what is allowed", "a wider range of camber", field="camber"
        )
    good: list[_Pair] = []
    seen: list[_Pair] = []
    for pair in pairs[:LOOKED_AT]:
        _look(rig, which, profile, pair, now, ROUGH)
        seen.append(pair)
        if pair.least < gap:
            continue
        _look(rig, which, profile, pair, now, SIZE)
        if pair.least >= gap:
            good.append(pair)
        if len(good) > OTHERS:
            break
    ranked = good or sorted(seen, key=lambda one: -one.least)
    best = ranked[0]
    if not good:
        _look(rig, which, profile, best, now, SIZE)
    verdict = "none keeps the gap"
    if good:
        verdict = "found" if abs(best.distance - wanted.lip_distance) <= HIT else "nearest only"
    pad = None if part.wheel.rim is None else part.wheel.rim.pad
    told = [_suggestion(car, corner, one, gap, pad, wanted.engagement) for one in ranked[: OTHERS + 1]]
    return Inverse.model_validate(
        {
            "wanted_mm": shown(wanted.lip_distance, LENGTH),
            "gap_mm": shown(gap, LENGTH),
            "verdict": verdict,
            "best": told[0],
            "others": tuple(told[1:]),
        }
    )


def _pairs(rig: Rig, which: int, profile: Profile, wanted: Wanted, now: float) -> list[_Pair]:
    """Every spacer with every camber, and where it puts the tyre at rest."""
    found = []
    start: float | None = None
    for settings, steps in _cambers(rig, which):
        variant = rig.vary(settings)
        fit = WheelFit(variant, which, profile, (1, 1))
        still = fit.resting
        camber = float(-np.arcsin(still.axis[0, 2]))
        start = camber if start is None else start
        if wanted.camber is not None and not wanted.camber[0] - 1e-9 <= camber <= wanted.camber[1] + 1e-9:
            continue
        for spacer in wanted.shelf:
            fit.out = spacer - now
            distance = fit.lip_distance()
            assert distance is not None  # the room names its lip
            miss = abs(distance - wanted.lip_distance)
            cost = max(0.0, miss - HIT) + MISS_PRICE * miss + CAMBER_PRICE * abs(camber - start)
            cost += MOVE_PRICE if steps else 0.0
            found.append(_Pair(spacer, camber, settings, steps, distance, float(cost)))
    return found


def _cambers(rig: Rig, which: int) -> Sequence[tuple[Array, tuple[tuple[str, float], ...]]]:
    """Settings (1, m) [m] of the car as its camber adjuster goes, where it is now first; and the move in words."""
    here = np.atleast_2d(rig.settings)
    found: list[tuple[Array, tuple[tuple[str, float], ...]]] = [(here, ())]
    for k, slot in enumerate(rig.slots):
        if slot.corner != which or slot.adjuster.sets != "camber":
            continue
        one = slot.adjuster
        low, high = most_steps(one)
        counts = [count for count in range(low, high + 1) if count]
        stride = max(1, int(np.ceil(len(counts) / MOST_CAMBERS)))
        for count in counts:
            if count % stride:
                continue
            travel = reached(one, count) - one.setting
            settings = here.copy()
            settings[0, k] += travel
            found.append((settings, ((slot.name, travel),)))
        break
    return found


def _look(rig: Rig, which: int, profile: Profile, pair: _Pair, now: float, size: tuple[int, int]) -> None:
    """Work out how near the pair ever comes to anything."""
    fit = WheelFit(rig.vary(pair.settings), which, profile, size, pair.spacer - now)
    told, pieces = fit.over_all
    each = [(one.clearance, piece.name) for one, piece in zip(told, pieces, strict=True) if one is not None]
    pair.least, pair.nearest = min(each)


def _stud(part: Corner, spacer: float, pad: float | None, engagement: float | None) -> float | None:
    """Length of stud or bolt [m] with this spacer: by the thread asked for, or by what the fastening needs."""
    if part.fastening is not None and engagement is None:
        return stack_of(part.fastening, spacer).needed
    return None if pad is None or engagement is None else stud_length(spacer, pad, engagement)


def _suggestion(
    car: Car, corner: CornerName, pair: _Pair, gap: float, pad: float | None, engagement: float | None
) -> Suggestion:
    moves = []
    for name, travel in pair.steps:
        adjuster = car.adjusters()[name]
        count = abs(travel) / adjuster.unit_travel
        moves.append(f"{name.split('.')[-1].replace('_', ' ')} {count:g} {adjuster.unit}: {adjuster.words(travel)}")
    stud = _stud(car.corners[corner], pair.spacer, pad, engagement)
    return Suggestion(
        spacer_mm=shown(pair.spacer, LENGTH),
        camber_deg=shown(pair.camber, ANGLE),
        moves=tuple(moves),
        lip_distance_mm=shown(pair.distance, LENGTH),
        least_clearance_mm=shown(pair.least, LENGTH),
        nearest=pair.nearest,
        stud_mm=None if stud is None else shown(stud, LENGTH),
        keeps_gap=bool(pair.least >= gap),
    )
