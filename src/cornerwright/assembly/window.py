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
STILL = 1e-6  # length change per lift (or a product of two) that is none


@dataclass(frozen=True)
class End:
    """The lift at which a length reaches an end, for n cars."""

    lift: Array
    """(n, 4) [m]; nan where the length never gets there."""
    gradient: Array
    """(n, 4, m) per metre of each adjuster; (n, 4, 0) where not asked for."""


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
    linkage_droop: NDArray[np.bool_]
    """(n, 4) True where the linkage itself ends the droop before the damper does."""
    linkage_bump: NDArray[np.bool_]
    """(n, 4) likewise in bump."""
    held: Array
    """(n, 4) [m] how far the spring is squeezed at full droop; negative: loose."""
    held_gradient: Array


def window(variant: Variant, *, gradients: bool = True) -> Window:
    """Ends of travel of every corner of the variants.

    Both wheels of an axle go to their end together, so that an axle which couples them is right
    too. No numbers (nan) for an end that is not found within half a metre.
    """
    rig, inputs = variant.rig, variant.inputs
    m = len(rig.slots) if gradients else 0
    body, seat = rig.body_acts[:, :m], rig.seat_acts[:, :m]
    droop, bump, touch, bind = _ends(
        variant,
        ("damper", rig.open + inputs.body_offset, body),
        ("damper", rig.bump_length + inputs.body_offset, body),
        ("damper", rig.stop_touch + inputs.body_offset, body),
        ("spring", rig.bind_length + inputs.seat_offset, seat),
    )
    low, high = (np.concatenate(stops) for stops in zip(*(one.stops() for one in variant.motions), strict=True))
    droop, linkage_droop = _not_past(droop, low, -1.0)
    bump, linkage_bump = _not_past(bump, high, 1.0)
    at = np.nan_to_num(droop.lift)
    kin = inputs.kinematics(at)
    held = np.where(np.isnan(droop.lift), np.nan, rig.free_length - (kin.spring.value - inputs.seat_offset))
    rise = seat - _own_change(variant, "spring", at, m)
    held_gradient = rise - np.einsum("nij,njm->nim", kin.spring.first, droop.gradient)
    return Window(droop, bump, bind, touch, linkage_droop, linkage_bump, held, held_gradient)


def _not_past(end: End, stop: Array, way: float) -> tuple[End, NDArray[np.bool_]]:
    """The end of travel, or the linkage's own stop (4,) [m] where that comes first; stops stay where they are."""
    there = np.isfinite(stop)
    first = there & (np.isnan(end.lift) | (way * end.lift > way * stop))
    lift = np.where(first, stop, end.lift)
    return End(lift, np.where(first[:, :, None], 0.0, end.gradient)), first


def _ends(variant: Variant, *wanted: tuple[str, Array, Array]) -> list[End]:
    """Lifts at which the spring or damper distance equals the goal (n, 4); acts (4, m) move the goal.

    wanted: e of these, looked for side by side as e * n cars, each one from where the car was measured.
    """
    e, n = len(wanted), variant.count
    rows = np.tile(np.arange(n), e)
    kinematics = variant.linkages_of(rows)
    goal = np.concatenate([np.broadcast_to(goal, (n, 4)) for _, goal, _ in wanted])
    lift = np.zeros((e * n, 4))
    settled = np.zeros(lift.shape, dtype=bool)
    for _ in range(STEPS):
        value, first = _lengths(kinematics(lift), wanted)
        off = value - goal
        settled = np.abs(off) < CLOSE
        if settled.all():
            break
        step = _solved(first, -off[:, :, None])[:, :, 0]
        lift = np.clip(lift + np.clip(step, -LONGEST, LONGEST), -FARTHEST, FARTHEST)
    found = np.where(settled & (np.abs(lift) < FARTHEST), lift, np.nan)
    m = wanted[0][2].shape[1]
    gradient = np.zeros((*lift.shape, m))
    if m:
        own = variant.linkage_partials(lift, rows)
        rise = np.concatenate(
            [
                acts - (own[column].value[n * k : n * (k + 1)] if column in own else 0.0)
                for k, (column, _, acts) in enumerate(wanted)
            ]
        )
        gradient = _solved(_lengths(kinematics(lift), wanted)[1], rise)
        gradient = np.where(np.isnan(found)[:, :, None], np.nan, gradient)
    return [End(found[n * k : n * (k + 1)], gradient[n * k : n * (k + 1)]) for k in range(e)]


def _lengths(kin: Kinematics, wanted: tuple[tuple[str, Array, Array], ...]) -> tuple[Array, Array]:
    """Length (e * n, 4) and its slope (e * n, 4, 4) of the column that each end is one of."""
    n = kin.spring.value.shape[0] // len(wanted)
    jets = [(_jet(kin, column), slice(n * k, n * (k + 1))) for k, (column, _, _) in enumerate(wanted)]
    return (
        np.concatenate([jet.value[part] for jet, part in jets]),
        np.concatenate([jet.first[part] for jet, part in jets]),
    )


def _own_change(variant: Variant, column: str, lift: Array, m: int) -> Array:
    """Change (n, 4, m) of a length by the adjusters themselves, wheels held."""
    part = variant.linkage_partials(lift).get(column) if m else None
    return np.zeros((lift.shape[0], 4, m)) if part is None else part.value


def _jet(kin: Kinematics, column: str) -> Jet:
    return kin.spring if column == "spring" else kin.damper


def _solved(first: Array, right: Array) -> Array:
    """Solve first @ step = right (n, 4, m), axle by axle; a length that does not move gives no step.

    Nor does it hold up the other wheel of its axle.
    """
    firm = np.where(np.abs(first) < STILL, 0.0, first)
    still = (firm == 0.0).all(axis=2)
    firm = firm + still[:, :, None] * np.eye(4)
    right = np.where(still[:, :, None], 0.0, right)
    step = np.zeros_like(right)
    for a, b in ((0, 1), (2, 3)):
        aa, ab, ba, bb = firm[:, a, a], firm[:, a, b], firm[:, b, a], firm[:, b, b]
        det = aa * bb - ab * ba
        over = (1.0 / np.where(np.abs(det) < STILL, np.inf, det))[:, None]
        step[:, a] = (bb[:, None] * right[:, a] - ab[:, None] * right[:, b]) * over
        step[:, b] = (aa[:, None] * right[:, b] - ba[:, None] * right[:, a]) * over
    return step
