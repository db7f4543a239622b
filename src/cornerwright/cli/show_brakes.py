"""Laying out the brakes: what is wrong first, then order of locking, pedal, heat, wear, hoses, changes."""

from __future__ import annotations

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import cautions, good_to_know, small_print, wrong
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_brakes import BrakesResult, HeatRun, LoadBalance

LOADS = {"light": "lightest", "driven": "as driven", "full": "full"}
VERDICTS = {
    "good": "Nothing wrong found with the brakes as the file describes them.",
    "warnings": "No hard limit is broken; see the warnings.",
    "breaks a hard limit": "BREAKS A HARD LIMIT: do not drive the car like this.",
}
ROWS_SHOWN = (0.2, 0.4, 0.6, 0.8, 1.0)


def brakes(page: Page, result: BrakesResult) -> None:
    """The whole answer."""
    page.title(result.car, "brakes")
    page.para(VERDICTS[result.verdict], style="strong")
    wrong(page, result.findings)
    _balance(page, result)
    if result.wanted is not None:
        _wanted(page, result)
    _pedal(page, result)
    _heat(page, result.heat)
    _wear(page, result)
    _hoses(page, result)
    good_to_know(page, result.findings)
    page.head("Service, in this order")
    for k, card in enumerate(result.cards):
        page.para(f"{card.title} ({len(card.steps)} steps)", first=f"{k + 1}. ", indent=2)
    page.para("--card FILE prints them, a page each, with boxes to tick.", indent=2, style="minor")
    cautions(page, result.cautions)
    small_print(page, result.caution, result.assumed)


def _balance(page: Page, result: BrakesResult) -> None:
    page.head("Which axle locks first")
    rows: list[list[Cell]] = [_balance_row(one) for one in result.balances]
    page.columns(
        rows,
        align="<>>><~",
        header=["car", "kg", "front %", "CG mm", "first", "then"],
    )
    shown = [row for row in result.rows if any(abs(row.rate_g - z) < 1e-6 for z in ROWS_SHOWN)]
    wet = "wet" if result.wet else "dry"
    page.gap()
    page.para(f"Car {LOADS[result.load]}, pads {wet}:", indent=2)
    page.columns(
        [
            [
                figure(row.rate_g, 1),
                figure(row.foot_n),
                figure(row.front_bar, 1),
                figure(row.rear_bar, 1),
                figure(row.front_percent, 1),
                figure(row.front_grip, 2),
                "-" if row.rear_grip is None else figure(row.rear_grip, 2),
            ]
            for row in shown
        ],
        align=">" * 7,
        header=["g", "foot N", "front bar", "rear bar", "force front %", "grip front", "grip rear"],
    )
    for one in result.locking:
        where = "no wheel locks" if one.axle is None else f"{one.axle} locks first, at {figure(one.rate_g, 2)} g"
        foot = "" if one.foot_n is None else f", {figure(one.foot_n)} N on the pedal"
        page.para(f"road with grip {figure(one.grip, 1)}: {where}{foot}", indent=2)
    if result.rear_first_at_worst_g is not None:
        at = figure(result.rear_first_at_worst_g, 2)
        page.para(f"front pads at their least friction, rear at their most: rear first from {at} g", indent=2)


def _balance_row(one: LoadBalance) -> list[Cell]:
    then = [f"{cross.first} first from {figure(cross.rate_g, 2)} g" for cross in one.crossovers]
    kept = one.rate_kept and one.order_kept
    rules = "inside UN R13-H Annex 5" if kept else "OUTSIDE UN R13-H Annex 5"
    return [
        LOADS[one.load],
        figure(one.total_kg),
        figure(one.front_percent, 1),
        figure(one.cg_height_mm),
        one.locks_first,
        "; ".join([*then, rules]),
    ]


def _wanted(page: Page, result: BrakesResult) -> None:
    wanted = result.wanted
    assert wanted is not None  # the caller has asked
    page.head("What to change")
    page.para(
        f"Wanted: {figure(wanted.front_percent, 1)} % of the force in front at {wanted.rate_g:g} g ({wanted.reason}); "
        f"now {figure(wanted.now_percent, 1)} %.",
        indent=2,
    )
    if not wanted.changes:
        page.para("Nothing here can be set, and the shelf holds no part that would change it.", indent=2)
        return
    page.columns(
        [
            [
                figure(one.front_percent, 1),
                "never" if one.rear_first_from_g is None else figure(one.rear_first_from_g, 2),
                "-" if one.foot_n is None else figure(one.foot_n),
                one.what + ("" if one.order_kept else " (NOT safe in every state of load)"),
            ]
            for one in wanted.changes
        ],
        align=">>>~",
        header=["front %", "rear from g", "foot N", "by"],
    )


def _pedal(page: Page, result: BrakesResult) -> None:
    told = result.pedal
    page.head("Pedal and hand")
    if told.foot_n is None or told.travel_mm is None or told.travel_knocked_back_mm is None:
        page.para(f"{figure(told.rate_g, 2)} g: no foot reaches it", indent=2)
    else:
        page.para(
            f"{figure(told.rate_g, 2)} g: {figure(told.foot_n)} N, {figure(told.travel_mm)} mm of travel; with pads "
            f"knocked back {figure(told.knocked_back_mm, 1)} mm {figure(told.travel_knocked_back_mm)} mm, of "
            f"{figure(told.floor_mm)} mm to the floor; {figure(told.stroke_used_percent or 0.0)} % of the cylinder "
            "used",
            indent=2,
        )
    if told.knee_foot_n is not None:
        page.para(f"the servo's help ends at {figure(told.knee_foot_n)} N on the pedal", indent=2)
    first, second = (figure(one, 2) for one in told.failed_rates_g)
    page.para(f"first circuit failed: {first} g; second: {second} g (500 N, grip 0.8)", indent=2)
    if result.parking is not None:
        holds = result.parking.holds_percent
        slope = "any slope" if holds is None else f"a slope of {figure(holds)} %"
        page.para(f"parking brake: {figure(result.parking.hand_n)} N at the hand hold {slope}", indent=2)
        if result.parking.grip_facing_down is not None:
            grip = figure(result.parking.grip_facing_down, 2)
            page.para(f"on 20 % facing down its wheels need a grip of {grip}", indent=4)
    if result.hand is not None:
        hand = result.hand
        grip = "any" if hand.locks_on_grip is None else f"up to {figure(hand.locks_on_grip, 1)}"
        page.para(
            f"hand circuit: {figure(hand.hand_n)} N give {figure(hand.pressure_bar)} bar and lock the rear on grip "
            f"{grip}",
            indent=2,
        )


def _heat(page: Page, heat: HeatRun) -> None:
    page.head("Heat")
    page.para(f"{heat.what}; {figure(heat.energy_kj)} kJ, air at {figure(heat.ambient_degc)} °C", indent=2)
    rows: list[list[Cell]] = []
    for title, peaks in (
        ("rotor, °C", heat.rotor_peak_degc),
        ("its face, °C", heat.surface_peak_degc),
        ("pads stand, °C", heat.pad_limit_degc),
        ("fluid, °C", heat.fluid_peak_degc),
    ):
        rows.append([title, *(figure(peaks[name]) for name in CORNERS)])
    page.columns(rows, align="<>>>>", header=["hottest", *map(place_words, CORNERS)])
    page.para(f"the fluid boils at {figure(heat.boiling_degc)} °C, as old as it is", indent=2)
    feet = [stop.foot_n for stop in heat.stops]
    if len(feet) > 1:
        first, last = ("more than a foot gives" if one is None else f"{figure(one)} N" for one in (feet[0], feet[-1]))
        page.para(f"pedal at the first stop {first}, at the last {last}", indent=2)


def _wear(page: Page, result: BrakesResult) -> None:
    if not result.wear:
        return
    page.head("Wear")
    page.columns(
        [
            [
                place_words(row.corner),
                _or_dash(row.rotor_mm, 2),
                figure(row.rotor_least_mm, 2),
                _or_dash(row.rotor_life_percent, 0),
                _or_dash(row.pad_mm, 1),
                figure(row.pad_least_mm, 1),
                _or_dash(row.pad_life_percent, 0),
                "-" if row.pad_life_km is None else f"about {figure(round(row.pad_life_km, -2))}",
            ]
            for row in result.wear
        ],
        align="<" + ">" * 7,
        header=["", "rotor mm", "least", "left %", "pad mm", "least", "left %", "km"],
    )


def _hoses(page: Page, result: BrakesResult) -> None:
    if not result.hoses:
        return
    page.head("Brake hoses")
    page.columns(
        [
            [
                place_words(row.corner),
                figure(row.slack_mm),
                f"at {row.longest_at}; " + ("computed" if row.known_by == "points" else "from a jack table: no lock"),
            ]
            for row in result.hoses
        ],
        align="<>~",
        header=["", "mm to spare", "where least"],
    )


def _or_dash(value: float | None, decimals: int) -> str:
    return "-" if value is None else figure(value, decimals)
