"""How far the ends of a brake hose come apart and together through travel and lock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.mechanism import acting_slots, axle_mechanism, corner_mechanism
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.assembly.window import window
from cornerwright.mechanics.linkage import answer
from cornerwright.model.brake_parts import Hose
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.parts import Between, Mount

Array = NDArray[np.float64]

LIFTS, RACKS, OTHERS = 13, 7, 5
"""Lifts from droop to bump, places of the rack, lifts of the other wheel where both are tied."""


@dataclass(frozen=True)
class HoseTravel:
    """Distances of one hose's ends, pose by pose."""

    corner: int
    hose: Hose
    known_by: Literal["points", "jack_table"]
    covers: str
    lift: Array
    """(n,) [m]"""
    steer: Array
    """(n,) [m], positive to the left"""
    distance: Array
    """(n,) [m]; nan where the linkage does not go"""


def hose_travels(car: Car, rig: Rig | None = None, settings: Array | None = None) -> tuple[HoseTravel, ...]:
    """Every hose that the car's file has, from full droop to full bump.

    rig: of this car, where there is one already. settings (m,) [m]: of its adjusters; None: the present ones.
    """
    if not any(corner.brake and corner.brake.hose for corner in car.corners.values()):
        return ()
    rig = Rig(car) if rig is None else rig
    settings = rig.settings if settings is None else settings
    variant = rig.vary(settings)
    ends = window(variant, gradients=False)
    reach = np.array([[motion.reach()[end][side] for motion in variant.motions for side in (0, 1)] for end in (0, 1)])
    low = np.fmax(np.nan_to_num(ends.droop.lift[0], nan=-np.inf), 0.999 * reach[0])
    high = np.fmin(np.nan_to_num(ends.bump.lift[0], nan=np.inf), 0.999 * reach[1])
    found = []
    for k, corner in enumerate(car.corners.values()):
        if corner.brake is None or corner.brake.hose is None:
            continue
        hose, lifts = corner.brake.hose, np.linspace(low[k], high[k], LIFTS)
        if corner.table is not None:
            found.append(_by_table(variant, k, corner, hose, lifts))
        elif car.axles[k // 2].linkage is not None:
            others = np.linspace(low[k ^ 1], high[k ^ 1], OTHERS)
            found.append(_by_axle(rig, settings, k, hose, lifts, others))
        else:
            found.append(_by_corner(rig, settings, k, corner, hose, lifts))
    return tuple(found)


def _ends(hose: Hose) -> Between:
    return Mount(on="body", at=hose.body), Mount(on="carrier", at=hose.carrier)


def _by_corner(rig: Rig, settings: Array, k: int, corner: Corner, hose: Hose, lifts: Array) -> HoseTravel:
    axle = rig.car.axles[k // 2]
    slots = dict(acting_slots(rig.slots, k, k // 2))
    mechanism = corner_mechanism(corner, k % 2, axle.rack, slots, _ends(hose))
    racks = np.zeros(1)
    if mechanism.steers and axle.rack is not None:
        racks = np.linspace(-axle.rack.travel, axle.rack.travel, RACKS)
    lift, steer = np.tile(lifts, racks.size), np.repeat(racks, lifts.size)
    travel = np.array([[settings[m] - slot.adjuster.measured_at for m, slot in slots.items()]])
    told = answer(
        mechanism,
        lift[:, None],
        steer if mechanism.steers else 0.0,
        travel,
        columns=["hose"],
        sensitivities=False,
    )
    covers = "full droop to full bump"
    covers += ", lock to lock" if mechanism.steers else ", computed from the linkage"
    return HoseTravel(k, hose, "points", covers, lift, steer, told["hose"].value[:, 0])


def _by_axle(rig: Rig, settings: Array, k: int, hose: Hose, lifts: Array, others: Array) -> HoseTravel:
    axle = rig.car.axles[k // 2]
    slots = dict(acting_slots(rig.slots, None, k // 2))
    pair: tuple[Between | None, Between | None] = (_ends(hose), None) if k % 2 == 0 else (None, _ends(hose))
    mechanism = axle_mechanism(axle, slots, pair)
    own, other = np.tile(lifts, others.size), np.repeat(others, lifts.size)
    both = np.stack((own, other) if k % 2 == 0 else (other, own), axis=1)
    travel = np.array([[settings[m] - slot.adjuster.measured_at for m, slot in slots.items()]])
    told = answer(mechanism, both, 0.0, travel, columns=["hose"], sensitivities=False)
    covers = "full droop to full bump, the other wheel anywhere between"
    return HoseTravel(k, hose, "points", covers, own, np.zeros(own.size), told["hose"].value[:, k % 2])


def _by_table(variant: Variant, k: int, corner: Corner, hose: Hose, lifts: Array) -> HoseTravel:
    """What a jack table knows: the wheel goes up, in and out, leans and points; turned about its centre."""
    car = variant.rig.car
    kin = variant.inputs.kinematics(np.repeat(lifts[:, None], 4, axis=1))
    still = variant.inputs.kinematics(np.zeros((1, 4)))
    sign = 1.0 if k % 2 == 0 else -1.0
    axle = car.axles[k // 2]
    centre = np.array([-car.wheelbase * (k // 2), sign * axle.track / 2, corner.wheel.height])
    moved = {name: getattr(kin, name).value[:, k] - getattr(still, name).value[0, k] for name in ("camber", "toe", "y")}
    table = corner.table
    has_caster = table is not None and sum(row.caster is not None for row in table.rows) > 1
    lean = kin.caster.value[:, k] - still.caster.value[0, k] if has_caster else np.zeros(lifts.size)
    arm = np.array(hose.carrier) - centre
    # Small turns: top out is about -x on the left, front in about -z, top back about -y.
    turn = np.stack([-sign * moved["camber"], -np.nan_to_num(lean), -sign * moved["toe"]], axis=1)
    shift = np.stack([np.zeros(lifts.size), moved["y"], lifts], axis=1)
    place = centre + shift + arm + np.cross(turn, arm)
    covers = "full droop to full bump, straight ahead, as far as a jack table tells"
    if not has_caster:
        covers += "; how the hub turns in the side view is not in it"
    if k < 2:
        covers += "; lock is not in it"
    distance = np.linalg.norm(place - np.array(hose.body), axis=1)
    return HoseTravel(k, hose, "jack_table", covers, lifts, np.zeros(lifts.size), distance)
