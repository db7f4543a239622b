"""What the program answers about brakes: the document behind `cornerwright brakes --json`.

Like `results`: at the edge, in trade units, each key with its unit; decelerations `_g` are in units of gravity.
"""

from __future__ import annotations

from typing import Literal

from cornerwright.model.results import CAUTION, Finding, Result


class Crossover(Result):
    """From this deceleration on the other axle locks first."""

    rate_g: float
    first: Literal["front", "rear"]


class LoadBalance(Result):
    """Balance of the car in one state of load, dry pads as their makers give them."""

    load: Literal["light", "driven", "full"]
    total_kg: float
    front_percent: float
    """Of the weight, at rest."""
    cg_height_mm: float
    locks_first: Literal["front", "rear"]
    """At the least deceleration."""
    crossovers: tuple[Crossover, ...]
    rate_kept: bool
    """z >= 0.1 + 0.7 (k - 0.2), UN Regulation No. 13-H, Annex 5."""
    order_kept: bool
    """The rear axle uses no more grip than the front from 0.15 to 0.8 g, as above."""
    least_margin: float | None
    """Grip left to the limit where it is least; below zero: over it. None: the brakes never use a grip of 0.2."""
    least_margin_at_g: float | None
    rear_over_from_g: float | None
    """Least deceleration from 0.15 to 0.8 g at which the rear uses more grip."""


class BalanceRow(Result):
    """One force of the foot, and what it does."""

    rate_g: float
    foot_n: float
    front_bar: float
    rear_bar: float
    front_n: float
    rear_n: float
    ideal_front_n: float
    ideal_rear_n: float
    front_grip: float
    """Adhesion that the front axle uses."""
    rear_grip: float | None
    """None where the rear axle carries nothing."""
    front_percent: float
    """Of the brake force."""


class Locking(Result):
    """Where the first wheels lock on a road of this grip."""

    grip: float
    axle: Literal["front", "rear"] | None
    """None: no foot locks a wheel."""
    rate_g: float
    foot_n: float | None


class PedalAnswer(Result):
    """What the foot feels."""

    rate_g: float
    """At which the rest is told: that of the type-0 test."""
    foot_n: float | None
    """None: no foot reaches it."""
    travel_mm: float | None
    knocked_back_mm: float
    """Taken for the pads standing off further than usual, each."""
    travel_knocked_back_mm: float | None
    floor_mm: float
    stroke_used_percent: float | None
    """Of the master cylinder, or of the one nearest its end, pads knocked back."""
    knee_foot_n: float | None
    """Foot force at which the servo's help is used up."""
    failed_rates_g: tuple[float, float]
    """Deceleration at 500 N on the pedal with the first, with the second circuit failed, on a grip of
    0.8; split front and rear, the first feeds the front."""


class HandAnswer(Result):
    """A hand-operated hydraulic circuit."""

    hand_n: float
    pressure_bar: float
    force_n: float
    """At the rear wheels."""
    locks_on_grip: float | None
    """Grip up to which it locks the rear wheels of the rolling car; None: any."""
    stroke_used_percent: float


class ParkingAnswer(Result):
    """The parking brake."""

    hand_n: float
    force_n: float
    """At the road."""
    holds_percent: float | None
    """Slope; None: any."""
    grip_facing_up: float | None
    """Grip that the braked wheels need on a slope of 20 %; None: none is enough."""
    grip_facing_down: float | None


class BrakeStopRow(Result):
    """One stop of a run."""

    number: int
    begins_s: float
    from_km_per_h: float
    to_km_per_h: float
    rate_g: float
    foot_n: float | None
    """With the friction at these temperatures."""
    rotor_degc: dict[str, float]
    """Hottest of the whole rotor up to the next stop, by corner."""
    surface_degc: dict[str, float]
    """Hottest of the rubbed face during the stop."""
    fluid_degc: dict[str, float]
    """At the caliper, when the stop ends."""


class HeatSample(Result):
    """Temperatures at one time of a run."""

    time_s: float
    speed_km_per_h: float
    rotor_degc: dict[str, float]
    fluid_degc: dict[str, float]


class HeatRun(Result):
    """What a run does to the brakes."""

    what: str
    ambient_degc: float
    energy_kj: float
    """Put into the four brakes."""
    imbalance: float
    """Greatest part of that energy that the sums miss."""
    rotor_peak_degc: dict[str, float]
    surface_peak_degc: dict[str, float]
    fluid_peak_degc: dict[str, float]
    pad_limit_degc: dict[str, float]
    rotor_limit_degc: dict[str, float]
    boiling_degc: float
    """Of the fluid, as it is counted with."""
    stops: tuple[BrakeStopRow, ...]
    samples: tuple[HeatSample, ...]


class WearRow(Result):
    """Wear of one corner's brake."""

    corner: str
    rotor_mm: float | None
    rotor_least_mm: float
    rotor_life_percent: float | None
    """Left between a new one and its least thickness."""
    pad_mm: float | None
    pad_least_mm: float
    pad_life_percent: float | None
    pad_life_km: float | None
    """Left, if it goes on wearing as it did."""
    runout_mm: float | None
    runout_most_mm: float
    variation_mm: float | None
    variation_most_mm: float


class HoseRow(Result):
    """One brake hose through travel and lock."""

    corner: str
    known_by: Literal["points", "jack_table"]
    covers: str
    """What of the wheel's motion was looked at."""
    free_length_mm: float
    longest_mm: float
    """Greatest distance of its ends."""
    longest_at: str
    slack_mm: float
    margin_mm: float
    shortest_mm: float
    shortest_at: str
    bend_radius_mm: float | None
    """Of an even arc where its ends are nearest; None: straight there."""
    bend_least_mm: float


class Change(Result):
    """One way to the wanted balance."""

    what: str
    parts: int
    """New parts it needs; 0: a setting alone."""
    front_percent: float
    """Of the brake force, then, at the deceleration asked for."""
    off_percent: float
    """From what is wanted."""
    rear_first_from_g: float | None
    """Deceleration from which the rear locks first then, car as driven; None: never."""
    order_kept: bool
    """In every state of load."""
    foot_n: float | None
    """Then, for the type-0 deceleration."""
    stroke_used_percent: float | None


class Wanted(Result):
    """A wanted balance and the ways there."""

    front_percent: float
    rate_g: float
    now_percent: float
    reason: str
    changes: tuple[Change, ...]


class ServiceStep(Result):
    """One thing to do."""

    says: str
    write: tuple[str, ...] = ()
    """What to write down."""


class ServiceCard(Result):
    """One page for the floor."""

    key: str
    title: str
    cautions: tuple[str, ...]
    steps: tuple[ServiceStep, ...]
    table_head: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()


class BrakesResult(Result):
    """The brakes of the car."""

    car: str
    verdict: Literal["good", "warnings", "breaks a hard limit"]
    load: Literal["light", "driven", "full"]
    """State of load that the rows, the pedal and the run are told for."""
    wet: bool
    findings: tuple[Finding, ...] = ()
    balances: tuple[LoadBalance, ...]
    rows: tuple[BalanceRow, ...]
    rear_first_at_worst_g: float | None
    """Deceleration from which the rear locks first, front pads at their least friction and rear at their most."""
    locking: tuple[Locking, ...]
    pedal: PedalAnswer
    hand: HandAnswer | None = None
    parking: ParkingAnswer | None = None
    heat: HeatRun
    wear: tuple[WearRow, ...] = ()
    hoses: tuple[HoseRow, ...] = ()
    wanted: Wanted | None = None
    cards: tuple[ServiceCard, ...] = ()
    assumed: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    caution: str = CAUTION
