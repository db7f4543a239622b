"""The balance of a car's brakes: curves, which axle locks first, what the foot feels, what the hand holds."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.brake_inputs import (
    LOAD_CASES,
    LoadCase,
    Parts,
    frictions,
    loading_of,
    piston_area,
    system_of,
    tyre_radii,
)
from cornerwright.mechanics.brake_system import HARDEST, System, circuits_failed
from cornerwright.mechanics.braking import (
    MOST_HAND,
    MOST_PEDAL,
    PARKING_GRADE,
    TYPE_0,
    Loading,
    annex_five,
    holding_grade,
    lock_order,
    parking_grip,
    rear_first_from,
)
from cornerwright.mechanics.hydraulics import area, clamp, disc_torque, drum_torque, running_volume
from cornerwright.model.brake_parts import DrumInHat
from cornerwright.model.errors import Refusal
from cornerwright.model.results_brakes import (
    BalanceRow,
    HandAnswer,
    LoadBalance,
    Locking,
    ParkingAnswer,
    PedalAnswer,
)
from cornerwright.model.units import (
    FORCE,
    LENGTH,
    MASS,
    PRESSURE,
    SHARE,
    STANDARD_GRAVITY,
    to_document,
)

Array = NDArray[np.float64]

MOST_RATE = 1.2
"""Deceleration [g] to which curves are drawn: more than road tyres hold."""
SAMPLES = 600
TYPE_0_RATE = TYPE_0 / STANDARD_GRAVITY
KNOCK_BACK = 0.0003
"""How far each pad may stand off after a hard corner or on a rotor at its runout limit [m] (common practice)."""
GRIPS = (0.3, 0.5, 0.8, 1.0)
"""Roads that locking is told for: ice cold and wet, wet, dry, dry with soft tyres (our own steps)."""
DRY = 0.8
"""Grip of a dry road that a failed circuit is judged on (the regulation's own range ends there)."""
ENDS = ("front", "rear")


def finite(value: float) -> float | None:
    """The number, None where it is not one."""
    return float(value) if np.isfinite(value) else None


def curves(system: System, loading: Loading) -> tuple[Array, Array, Array]:
    """Feet [N] (n,), decelerations [g] (n,) and axle forces [N] (n, 2), up to where curves end.

    Raises Refusal for brakes that never slow the car.
    """
    most = min(system.foot_for(MOST_RATE * loading.weight), HARDEST)
    foot = np.linspace(0.0, most, SAMPLES + 1)[1:]
    forces = system.axle_forces(foot)
    rate = loading.rate(forces)
    pressing = rate > 1e-6
    if not pressing.any():
        raise Refusal.of(
            "brakes that no foot makes slow the car", "pistons, friction, thresholds that do", field="brakes"
        )
    return foot[pressing], rate[pressing], forces[pressing]


def load_balances(parts: Parts) -> tuple[LoadBalance, ...]:
    """Every state of load, dry."""
    return tuple(load_balance(parts, system_of(parts), case) for case in LOAD_CASES)


def load_balance(parts: Parts, system: System, case: LoadCase) -> LoadBalance:
    """One state of load with this system."""
    loading = loading_of(parts.car, case)
    _, rate, forces = curves(system, loading)
    used = loading.adhesion_used(forces)
    first, crossings = lock_order(rate, used)
    rules = annex_five(rate, used)
    return LoadBalance.model_validate(
        {
            "load": case,
            "total_kg": to_document(loading.weight / STANDARD_GRAVITY, MASS),
            "front_percent": to_document(loading.front, SHARE),
            "cg_height_mm": to_document(loading.cg_height, LENGTH),
            "locks_first": ENDS[first],
            "crossovers": tuple({"rate_g": one.z, "first": ENDS[one.first]} for one in crossings),
            "rate_kept": rules.rate_kept,
            "order_kept": rules.order_kept,
            "least_margin": finite(rules.margin),
            "least_margin_at_g": rules.worst_rate if np.isfinite(rules.margin) else None,
            "rear_over_from_g": rules.rear_over_from,
        }
    )


def rear_first(parts: Parts, system: System, case: LoadCase) -> float | None:
    """Deceleration [g] from which the rear locks first; None: never on these curves."""
    loading = loading_of(parts.car, case)
    _, rate, forces = curves(system, loading)
    return rear_first_from(rate, loading.adhesion_used(forces))


def worst_rear_first(parts: Parts, case: LoadCase, *, wet: bool) -> float | None:
    """The same with front pads at their least friction and rear pads at their most."""
    return rear_first(parts, system_of(parts, frictions(parts, spread=("least", "most"), wet=wet)), case)


def balance_rows(system: System, loading: Loading) -> tuple[BalanceRow, ...]:
    """The curves at even steps of deceleration."""
    foot, rate, _ = curves(system, loading)
    wanted = np.arange(0.05, min(MOST_RATE, float(rate[-1])) + 1e-9, 0.05)
    rows = []
    for z in wanted:
        at = float(np.interp(z, rate, foot))
        front, rear = (float(one) for one in system.axle_forces(at))
        pressures = system.pressures(at)
        used = loading.adhesion_used(np.array([front, rear]))
        ideal = loading.ideal(z)
        rows.append(
            BalanceRow(
                rate_g=float(z),
                foot_n=to_document(at, FORCE),
                front_bar=to_document(float(pressures[0]), PRESSURE),
                rear_bar=to_document(float(pressures[1]), PRESSURE),
                front_n=to_document(front, FORCE),
                rear_n=to_document(rear, FORCE),
                ideal_front_n=to_document(float(ideal[0]), FORCE),
                ideal_rear_n=to_document(float(ideal[1]), FORCE),
                front_grip=float(used[0]),
                rear_grip=finite(used[1]),
                front_percent=to_document(front / (front + rear), SHARE),
            )
        )
    return tuple(rows)


def front_share(system: System, loading: Loading, rate: float) -> float:
    """Share [1] of the brake force in front at this deceleration [g]; nan where no foot reaches it."""
    foot = system.foot_for(rate * loading.weight)
    if not np.isfinite(foot):
        return float("nan")
    front, rear = system.axle_forces(foot)
    return float(front / (front + rear))


def locking(system: System, loading: Loading) -> tuple[Locking, ...]:
    """Which axle locks first on roads of these grips, at what deceleration."""
    foot, rate, forces = curves(system, loading)
    used = loading.adhesion_used(forces)
    found = []
    for grip in GRIPS:
        over = np.flatnonzero(used.max(axis=1) >= grip)
        if not over.size:
            found.append(Locking(grip=grip, axle=None, rate_g=float(rate[-1]), foot_n=None))
            continue
        k = int(over[0])
        axle = int(np.argmax(used[k]))
        at, worst = slice(max(k - 1, 0), k + 1), used[:, axle]
        z, pressed = (float(np.interp(grip, worst[at], one[at])) for one in (rate, foot))
        found.append(
            Locking.model_validate(
                {"grip": grip, "axle": ENDS[axle], "rate_g": z, "foot_n": to_document(pressed, FORCE)}
            )
        )
    return tuple(found)


def pedal_answer(parts: Parts, system: System, loading: Loading) -> PedalAnswer:
    """Force and travel of the foot at the type-0 deceleration, and what one circuit gives alone."""
    foot = system.foot_for(TYPE_0_RATE * loading.weight)
    servo = parts.brakes.servo
    diagonal = parts.brakes.split == "diagonal"
    failed = circuits_failed(system, MOST_PEDAL, diagonal) / loading.weight
    # Half of the grip is a diagonal's: load transfer takes from its rear wheel what it gives to its front one.
    most = [DRY / 2] * 2 if diagonal else [loading.alone(1, DRY), loading.alone(0, DRY)]
    failed = np.minimum(failed, most)
    travel = knocked = used = None
    if np.isfinite(foot):
        travel = to_document(system.travel(foot), LENGTH)
        knocked = to_document(system.travel(foot, KNOCK_BACK), LENGTH)
        used = to_document(float(system.masters.used(system.volumes(foot, KNOCK_BACK))), SHARE)
    return PedalAnswer(
        rate_g=TYPE_0_RATE,
        foot_n=finite(foot),
        travel_mm=travel,
        knocked_back_mm=to_document(KNOCK_BACK, LENGTH),
        travel_knocked_back_mm=knocked,
        floor_mm=to_document(parts.brakes.pedal.travel, LENGTH),
        stroke_used_percent=used,
        knee_foot_n=None if servo is None else to_document(servo.knee / system.pedal_ratio, FORCE),
        failed_rates_g=(float(failed[0]), float(failed[1])),
    )


def hand_answer(parts: Parts, loading: Loading, friction: Array) -> HandAnswer | None:
    """What the hand-operated hydraulic circuit does at the hand force of the parking brake, or 400 N."""
    circuit = parts.brakes.hand_circuit
    if circuit is None:
        return None
    hand = MOST_HAND if parts.brakes.parking is None else parts.brakes.parking.hand_force
    pressure = hand * circuit.ratio / float(area(circuit.bore))
    rear, tyres = parts.corners[2:], tyre_radii(parts.car)[2:]
    calipers = [one.caliper if one.hand_caliper is None else one.hand_caliper for one in rear]
    areas = np.array([piston_area(one) for one in calipers])
    pads = clamp(pressure, areas, np.array([one.threshold for one in calipers]))
    forces = disc_torque(pads, friction[2:], np.array([one.radius for one in rear])) / tyres
    force = float(forces.sum())
    volume = running_volume(areas, np.array([one.running_gap for one in calipers])).sum()
    volume += pressure * sum(one.swell for one in calipers)
    volume += pressure * sum(one.hose.swell for one in rear if one.hose is not None)
    # Rear wheels alone: f2 = T2 / (P2 - z h/E P) with z = T2 / P, solved for the grip at which they lock.
    load = float(loading.axle_loads(force / loading.weight)[1])
    return HandAnswer(
        hand_n=to_document(hand, FORCE),
        pressure_bar=to_document(pressure, PRESSURE),
        force_n=to_document(force, FORCE),
        locks_on_grip=force / load if load > 0 else None,
        stroke_used_percent=to_document(float(volume / area(circuit.bore) / circuit.stroke), SHARE),
    )


def parking_answer(parts: Parts, loading: Loading, friction: Array) -> ParkingAnswer | None:
    """What the parking brake holds."""
    lever = parts.brakes.parking
    if lever is None:
        return None
    fitted = [(k, one) for k, one in enumerate(parts.corners) if one.parking is not None]
    cable = lever.hand_force * lever.ratio * lever.efficiency / len(fitted)
    tyres = tyre_radii(parts.car)
    force = 0.0
    for k, one in fitted:
        unit = one.parking
        if isinstance(unit, DrumInHat):
            torque = float(drum_torque(cable, unit.lever, unit.factor, unit.radius))
        elif unit is not None:
            own = float(friction[k]) if unit.friction is None else unit.friction
            torque = float(disc_torque(cable * unit.gain, own, one.radius))
        else:
            continue
        force += torque / float(tyres[k])
    rear = all(k >= 2 for k, _ in fitted)
    grips = [parking_grip(PARKING_GRADE, loading, up) if rear else None for up in (True, False)]
    holds = float(holding_grade(force, loading.weight))
    return ParkingAnswer(
        hand_n=to_document(lever.hand_force, FORCE),
        force_n=to_document(force, FORCE),
        holds_percent=None if not np.isfinite(holds) else to_document(holds, SHARE),
        grip_facing_up=grips[0],
        grip_facing_down=grips[1],
    )
