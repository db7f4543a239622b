"""The window of travel: where each wheel's droop and bump end, what ends them, and what adjusters do to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Variant
from cornerwright.mechanics.jets import Jet, Kinematics

Array = NDArray[np.float64]

CLOSE = 1e-9  # [m] of damper or spring length: an end is found
LONGEST = 0.03  # [m] of lift per step of the search
FARTHEST = 0.5  # [m] of lift: no wheel travels this far
STEPS = 60


@dataclass(frozen=True)
class End:
    """The lift at which a length reaches an end, for n cars."""

    lift: Array
    """(n, 4) [m]; nan where the length never gets there."""
    gradient: Array | None
    """(n, 4, m) per metre of each adjuster."""


@dataclass(frozen=True)
class Window:
    """Ends of travel of the four wheels, for n cars."""

    droop: End
    """Damper pulled right out."""
    bump: End
    """Damper at full bump: stop squeezed as far as its curve goes, or metal."""
    bind: End
    """Every coil of the spring stack touching."""
    touch: End
    """Bump stop first touched."""
    held: Array
    """(n, 4) [m] how far the spring is squeezed at full droop; negative: loose."""
    held_gradient: Array | None


def window(variant: Variant, *, gradients: bool = True) -> Window:
    """Ends of travel of every corner of the variants.

    Both wheels of an axle go to their end together, so that an axle which couples them is right
    too. No numbers (nan) for an end that is not found within half a metre.
    """
    rig, inputs = variant.rig, variant.inputs
    ends = {}
    for name, length in (("droop", rig.open), ("bump", rig.bump_length), ("touch", rig.stop_touch)):
        goal = length + inputs.body_offset
        ends[name] = _end(variant, "damper", goal, rig.body_acts if gradients else None)
    bind = _end(
        variant,
        "spring",
        rig.bind_length + inputs.seat_offset,
        rig.seat_acts if gradients else None,
    )
    kin = inputs.kinematics(_finite(ends["droop"].lift))
    held = np.where(
        np.isnan(ends["droop"].lift),
        np.nan,
        rig.free_length - (kin.spring.value - inputs.seat_offset),
    )
    held_gradient = None
    if gradients and ends["droop"].gradient is not None:
        part = variant.linkage_partials(_finite(ends["droop"].lift)).get("spring")
        own = rig.seat_acts - (0.0 if part is None else part.value)
        held_gradient = own - np.einsum("nij,njm->nim", kin.spring.first, ends["droop"].gradient)
    return Window(ends["droop"], ends["bump"], bind, ends["touch"], held, held_gradient)


def _end(variant: Variant, column: str, goal: Array, acts: Array | None) -> End:
    """Lifts at which the spring or damper distance equals the goal (n, 4)."""
    kinematics = variant.inputs.kinematics
    start = np.zeros((variant.count, 4))
    lift = start
    settled = np.zeros(start.shape, dtype=bool)
    for _ in range(STEPS):
        jet = _jet(kinematics(lift), column)
        off = jet.value - goal
        settled = np.abs(off) < CLOSE
        if settled.all():
            break
        step = _solved(jet.first, -off)
        lift = np.clip(lift + np.clip(step, -LONGEST, LONGEST), -FARTHEST, FARTHEST)
    found = np.where(settled & (np.abs(lift) < FARTHEST), lift, np.nan)
    if acts is None:
        return End(found, None)
    jet = _jet(kinematics(lift), column)
    part = variant.linkage_partials(lift).get(column)
    rise = acts - (0.0 if part is None else part.value)
    rise = np.broadcast_to(rise, (lift.shape[0], *rise.shape[-2:]))
    gradient = np.stack(
        [_solved(jet.first, rise[:, :, k]) for k in range(rise.shape[2])], axis=2
    ) if rise.shape[2] else np.zeros(rise.shape)
    return End(found, np.where(np.isnan(found)[:, :, None], np.nan, gradient))


def _jet(kin: Kinematics, column: str) -> Jet:
    return kin.spring if column == "spring" else kin.damper


def _solved(first: Array, right: Array) -> Array:
    """Solve first @ step = right (n, 4), axle by axle; a length that does not move gives no step."""
    firm = np.where(np.abs(first) < 1e-6, 0.0, first)
    step = np.zeros_like(right)
    for own in (slice(0, 2), slice(2, 4)):
        block = firm[:, own, own]
        det = block[:, 0, 0] * block[:, 1, 1] - block[:, 0, 1] * block[:, 1, 0]
        safe = np.where(np.abs(det) < 1e-9, np.inf, det)
        r = right[:, own]
        step[:, own] = np.stack(
            [
                (block[:, 1, 1] * r[:, 0] - block[:, 0, 1] * r[:, 1]) / safe,
                (block[:, 0, 0] * r[:, 1] - block[:, 1, 0] * r[:, 0]) / safe,
            ],
            axis=1,
        )
    return step


def _finite(lift: Array) -> Array:
    return np.nan_to_num(lift)
