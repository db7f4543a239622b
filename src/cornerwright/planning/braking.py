"""The brakes of a car: everything that is asked of them in one answer, and what is wrong with them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cornerwright.assembly.brake_inputs import (
    LOAD_CASES,
    LoadCase,
    Parts,
    frictions,
    loading_of,
    parts_of,
    system_of,
)
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.braking import LEAST_PEDAL, MOST_PEDAL, ORDER, PARKING_GRADE, SECONDARY
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.lap import Lap
from cornerwright.model.results import Finding
from cornerwright.model.results_brakes import (
    BrakesResult,
    HandAnswer,
    HeatRun,
    LoadBalance,
    ParkingAnswer,
    PedalAnswer,
)
from cornerwright.model.units import SHARE, STANDARD_GRAVITY, to_document
from cornerwright.planning.brake_balance import (
    balance_rows,
    hand_answer,
    load_balances,
    locking,
    parking_answer,
    pedal_answer,
    worst_rear_first,
)
from cornerwright.planning.brake_change import RATE, order_broken, wanted_changes
from cornerwright.planning.brake_heat import Stops, bedding, lap_run, stops_run
from cornerwright.planning.brake_wear import wear_findings, wear_rows
from cornerwright.planning.findings import finding, verdict, worst_first
from cornerwright.planning.hose import hose_findings, hose_rows
from cornerwright.planning.service import service_cards
from cornerwright.planning.service_road import bedding_short
from cornerwright.planning.service_words import DUST, FLUID, HOT, LAW, LICENSED, MANUAL, RAISED

LONG_PEDAL = 0.75
"""Share of the way to the floor that the foot may use with pads knocked back (common practice)."""
LONG_STROKE = 85.0
"""Share [%] of a cylinder's stroke that may be used (common practice)."""
NEAR_BOILING = 20.0
"""How near [K] the fluid may come to boiling before it is worth a word (our own rough figure)."""
OLD_FLUID = 24.0
"""Months after which fluid is changed (common practice; the maker's interval goes before)."""

CAUTIONS = (MANUAL, LICENSED, RAISED, DUST, FLUID, HOT, LAW)

ASSUMED = (
    "Balance: wheels of one axle alike, no rise or fall of the body, no downforce, no help from the engine.",
    "Heat: all of it goes into the rotors, their specific heat that of a cool rotor; cooling by formulas for a "
    "rotor in free air. Rotors are good to about 20 %, the fluid's temperature is rougher: check with "
    "temperature paint.",
    "Limits of UN Regulation No. 13-H as remembered, not a test by its rules: what counts is the text in force "
    "where the car is used.",
)


def brakes(
    car: Car,
    load: str = "driven",
    *,
    wet: bool = False,
    run: Stops | Lap | None = None,
    laps: int = 1,
    front_share: float | None = None,
    rate: float = RATE,
    ambient: float = 20.0,
) -> BrakesResult:
    """All about the brakes of this car.

    load: `light`, `driven` or `full`; wet: pads and rotors wet; run: what heats them, stops or a lap `laps`
    times over, without it ten stops from 100 km/h. front_share [1]: wanted share of the brake force in front at
    the deceleration `rate` [g]; ambient [degC]. Raises Refusal for a car without brakes, an unknown load, a
    share that is not between 0 and 1, a deceleration that is not above zero, stops that do not slow the car.
    """
    parts = parts_of(car)
    case = _case(load)
    _check(run, laps, rate)
    if front_share is not None and not 0.0 < front_share < 1.0:
        raise Refusal.of(f"{to_document(front_share, SHARE):g} %", "a front share between 0 and 100 %")
    loading = loading_of(car, case)
    friction = frictions(parts, wet=wet)
    system = system_of(parts, friction)
    balances = load_balances(parts)  # first: it refuses brakes that do nothing at all
    heat = _heated(parts, run, laps, case, ambient, wet=wet)
    wear, hoses = wear_rows(parts), hose_rows(car)
    parking = parking_answer(parts, loading, friction)
    schedule = bedding(parts, case, ambient)
    pedal, hand = pedal_answer(parts, system, loading), hand_answer(parts, loading, friction)
    found = [
        *_balance_findings(parts, balances, case),
        *_pedal_findings(pedal),
        *_hand_findings(hand, parking),
        *_heat_findings(parts, heat),
        *_fluid_findings(parts),
        *wear_findings(wear),
        *hose_findings(hoses),
    ]
    for axle in bedding_short(schedule):
        says = "the bedding schedule does not bring these pads to the temperature that their maker asks"
        found.append(finding("note", axle, "bedding", says, "firmer stops on closed ground, as their maker describes"))
    ask = front_share is not None or order_broken(parts)
    return BrakesResult(
        car=car.name,
        verdict=verdict(found),
        load=case,
        wet=wet,
        findings=worst_first(found),
        balances=balances,
        rows=balance_rows(system, loading),
        rear_first_at_worst_g=worst_rear_first(parts, case, wet=wet),
        locking=locking(system, loading),
        pedal=pedal,
        hand=hand,
        parking=parking,
        heat=heat,
        wear=wear,
        hoses=hoses,
        wanted=wanted_changes(parts, case, front_share, rate) if ask else None,
        cards=service_cards(parts, wear, hoses, schedule, parking),
        assumed=ASSUMED,
        cautions=CAUTIONS,
    )


def brake_findings(car: Car, rig: Rig | None = None) -> tuple[Finding, ...]:
    """What is wrong with the brakes of the car as driven, dry, after ten stops; none for a car without brakes.

    rig: of this car, where there is one already.
    """
    if car.brakes is None:
        return ()
    parts = parts_of(car)
    loading, system = loading_of(car), system_of(parts)
    hand = hand_answer(parts, loading, system.friction)
    parking = parking_answer(parts, loading, system.friction)
    return (
        *_balance_findings(parts, load_balances(parts), "driven"),
        *_pedal_findings(pedal_answer(parts, system, loading)),
        *_hand_findings(hand, parking),
        *_heat_findings(parts, stops_run(parts, Stops())),
        *_fluid_findings(parts),
        *wear_findings(wear_rows(parts)),
        *hose_findings(hose_rows(car, rig)),
    )


def _case(load: str) -> LoadCase:
    if load not in LOAD_CASES:
        raise Refusal.of(f"'{load}'", f"{', '.join(LOAD_CASES[:-1])} or {LOAD_CASES[-1]}", field="load")
    return load


def _check(run: Stops | Lap | None, laps: int, rate: float) -> None:
    if not 0.0 < rate < math.inf:
        raise Refusal.of(f"{rate:g} g", "a deceleration above zero", field="rate")
    if isinstance(run, Lap) and laps < 1:
        raise Refusal.of(f"{laps} laps", "at least one", field="laps")
    if isinstance(run, Stops) and not (run.count >= 1 and run.rate > 0.0 and 0.0 <= run.slow < run.fast):
        raise Refusal.of(run.words(), "at least one stop to a lower speed, a deceleration above zero", field="run")


def _heated(parts: Parts, what: Stops | Lap | None, laps: int, case: LoadCase, ambient: float, *, wet: bool) -> HeatRun:
    if isinstance(what, Lap):
        return lap_run(parts, what, laps, case, ambient, wet=wet)
    return stops_run(parts, Stops() if what is None else what, case, ambient, wet=wet)


# ------------------------------------------------------------------ rules


def _balance_findings(parts: Parts, balances: tuple[LoadBalance, ...], case: LoadCase) -> Iterator[Finding]:
    broken = [one for one in balances if one.rear_over_from_g is not None]
    if broken:
        worst = min(broken, key=lambda one: one.rear_over_from_g or 0.0)
        yield finding(
            "warning" if parts.brakes.anti_lock else "limit",
            "car",
            "brake balance",
            f"the rear wheels lock first from {worst.rear_over_from_g:.2f} g with the car {_loaded(worst.load)}"
            + ("; the anti-lock must hold them" if parts.brakes.anti_lock else ": it will spin"),
            _advice(parts, case),
        )
    short = [one for one in balances if not one.rate_kept]
    if short:
        worst = min(short, key=lambda one: one.least_margin or 0.0)
        yield finding(
            "warning",
            "car",
            "brake balance",
            f"one axle does too much of the work with the car {_loaded(worst.load)}: at "
            f"{worst.least_margin_at_g or 0.0:.2f} g "
            f"it uses {-(worst.least_margin or 0.0):.2f} more grip than UN R13-H Annex 5 allows",
            _advice(parts, case),
        )
    if broken:
        return
    early = worst_rear_first(parts, case, wet=False)
    if early is not None and early < ORDER[1]:
        yield finding(
            "note",
            "car",
            "brake balance",
            "with front pads at their least friction and rear pads at their most the rear locks first "
            f"from {early:.2f} g",
            "front and rear pads of one make, bedded alike; try the order of locking on closed ground",
        )
    later = [(one.load, c.rate_g) for one in balances for c in one.crossovers if c.first == "rear" and c.rate_g < 1.0]
    if later:
        load, at = min(later, key=lambda one: one[1])
        yield finding(
            "note",
            "car",
            "brake balance",
            f"from {at:.2f} g on the rear locks first with the car {_loaded(load)}: more than most dry roads hold, "
            "less than soft tyres do",
            "more front share where the tyres hold that much",
        )


def _loaded(load: str) -> str:
    return {"light": "at its lightest", "driven": "as driven", "full": "fully loaded"}[load]


def _advice(parts: Parts, case: LoadCase) -> str:
    wanted = wanted_changes(parts, case, None)
    best = next((one for one in wanted.changes if one.order_kept), None)
    if best is None:
        return (
            f"about {wanted.front_percent:.0f} % of the force in front at {wanted.rate_g:g} g: other calipers or pads"
        )
    return f"{best.what}: {best.front_percent:.0f} % of the force in front at {wanted.rate_g:g} g"


def _pedal_findings(told: PedalAnswer) -> Iterator[Finding]:
    if told.foot_n is None or told.foot_n > MOST_PEDAL:
        force = "no foot" if told.foot_n is None else f"{told.foot_n:.0f} N"
        yield finding(
            "limit",
            "car",
            "pedal",
            f"{told.rate_g:.2f} g takes {force} on the pedal; {MOST_PEDAL:.0f} N is the most that is asked of a foot",
            "a smaller master cylinder, a longer pedal, larger pistons, pads with more friction, or a servo",
        )
    elif told.foot_n < LEAST_PEDAL:
        yield finding(
            "note",
            "car",
            "pedal",
            f"{told.rate_g:.2f} g takes only {told.foot_n:.0f} N on the pedal: hard to measure out",
            "a larger master cylinder, or less help from the servo",
        )
    if told.travel_knocked_back_mm is not None and told.travel_knocked_back_mm > LONG_PEDAL * told.floor_mm:
        past = told.travel_knocked_back_mm > told.floor_mm
        yield finding(
            "limit" if past else "warning",
            "car",
            "pedal",
            f"with pads knocked back {told.knocked_back_mm:.1f} mm the pedal goes "
            f"{told.travel_knocked_back_mm:.0f} mm, "
            f"of {told.floor_mm:.0f} mm to the floor",
            "a larger master cylinder, stiffer hoses, less runout",
        )
    if told.stroke_used_percent is not None and told.stroke_used_percent > LONG_STROKE:
        yield finding(
            "limit" if told.stroke_used_percent > 100.0 else "warning",
            "car",
            "master cylinder",
            f"{told.stroke_used_percent:.0f} % of its stroke is used with pads knocked back",
            "a cylinder with a larger bore or a longer stroke",
        )
    for k, alone in enumerate(told.failed_rates_g):
        if alone * STANDARD_GRAVITY < SECONDARY:
            yield finding(
                "warning",
                "car",
                "failed circuit",
                f"with the {('first', 'second')[k]} circuit failed the car slows by {alone:.2f} g at "
                f"{MOST_PEDAL:.0f} N; "
                f"{SECONDARY / STANDARD_GRAVITY:.2f} g is asked for",
                "more rear force, or circuits split diagonally",
            )


def _hand_findings(hand: HandAnswer | None, parking: ParkingAnswer | None) -> Iterator[Finding]:
    if parking is not None and parking.holds_percent is not None:
        wanted = to_document(PARKING_GRADE, SHARE)
        if parking.holds_percent < wanted:
            yield finding(
                "warning",
                "car",
                "parking brake",
                f"{parking.hand_n:.0f} N at the hand hold a slope of {parking.holds_percent:.0f} %; "
                f"{wanted:.0f} % is "
                "asked for",
                "cables freed and adjusted, a longer lever, larger shoes or pads of its own",
            )
    if hand is not None and hand.stroke_used_percent > LONG_STROKE:
        yield finding(
            "limit" if hand.stroke_used_percent > 100.0 else "warning",
            "car",
            "hand circuit",
            f"{hand.stroke_used_percent:.0f} % of its cylinder's stroke is used at {hand.hand_n:.0f} N",
            "a larger cylinder, or smaller pistons",
        )
    if hand is not None and parking is None:
        yield finding(
            "warning",
            "car",
            "parking brake",
            "a hand-operated hydraulic circuit is no parking brake: fluid leaks and cools",
            "a parking brake that holds by itself, as the law asks",
        )


def _heat_findings(parts: Parts, heat: HeatRun) -> Iterator[Finding]:
    for corner, fluid in heat.fluid_peak_degc.items():
        if fluid > heat.boiling_degc - NEAR_BOILING:
            boils = fluid > heat.boiling_degc
            yield finding(
                "limit" if boils else "warning",
                corner,
                "brake fluid",
                f"comes to about {fluid:.0f} °C in this run: {heat.what}; it boils at {heat.boiling_degc:.0f} °C",
                "fresh fluid of a higher grade, air to the rotors, heavier rotors, fewer stops",
            )
    for corner, rotor in heat.rotor_peak_degc.items():
        if rotor > heat.rotor_limit_degc[corner]:
            yield finding(
                "warning",
                corner,
                "rotor",
                f"comes to {rotor:.0f} °C in this run: {heat.what}; {heat.rotor_limit_degc[corner]:.0f} "
                "°C is its limit",
                "heavier or vented rotors, air to them, fewer stops",
            )
        elif rotor > heat.pad_limit_degc[corner]:
            yield finding(
                "warning",
                corner,
                "pads",
                f"the rotor comes to {rotor:.0f} °C in this run: {heat.what}; these pads stand "
                f"{heat.pad_limit_degc[corner]:.0f} °C",
                "pads for hotter work, heavier rotors, air to them",
            )
    feet = [stop.foot_n for stop in heat.stops]
    if feet and (feet[-1] is None or feet[-1] > MOST_PEDAL) and feet[0] is not None and feet[0] <= MOST_PEDAL:
        yield finding(
            "warning",
            "car",
            "fade",
            "the pads fade in this run: the last stop takes "
            f"{'more than any foot' if feet[-1] is None else f'{feet[-1]:.0f} N'}",
            "pads whose friction holds when hot",
        )


def _fluid_findings(parts: Parts) -> Iterator[Finding]:
    months = parts.brakes.fluid.months
    if months is None:
        yield finding(
            "note",
            "car",
            "brake fluid",
            "its age is not known: counted with its wet boiling point",
            "change it and write down when",
        )
    elif months >= OLD_FLUID:
        yield finding(
            "warning", "car", "brake fluid", f"is {months:.0f} months old: it has taken up water", "change it"
        )
