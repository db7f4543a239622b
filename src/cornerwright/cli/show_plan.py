"""Laying out a plan: what to turn in working order, what the gauges will show, what falls short."""

from __future__ import annotations

from collections.abc import Mapping

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import cautions, good_to_know, label, number, wrong
from cornerwright.drawing.lettering import (
    counted,
    figure,
    mixed,
    place_words,
    reading_words,
)
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_plan import ByGauge, Move, PlanResult, PredictedReading

BOX = "[ ]"


def plan(page: Page, result: PlanResult) -> None:
    """The whole plan."""
    page.title(result.car, "plan")
    page.para(_verdict(result), style="strong")
    page.para(_effort(result))
    if result.moves:
        page.para("Read the cautions at the end before you begin.")
    wrong(page, result.findings)
    if result.stages:
        page.head("What to turn, in this order")
        stages(page, result)
    if result.alternatives:
        other_ways(page, result)
    if result.predicted:
        predicted(page, result.predicted)
    if result.tight:
        page.head("What holds the chance down")
        page.columns(
            [
                [
                    place_words(one.corner),
                    label(one.reading),
                    f"inside in {_percent(one.chance)}",
                    f"half as wide again: {_percent(one.chance_if_wider)} for all at once",
                ]
                for one in result.tight
            ],
            align="<<<~",
        )
    if result.short_of:
        page.head("What falls short")
        for one in result.short_of:
            wanted = _range(one.reading, one.low, one.high)
            page.para(
                f"{place_words(one.corner)}, {label(one.reading)}: "
                f"{number(one.reading, one.predicted)}, wanted {wanted}",
                first="- ",
                indent=2,
                style="strong",
            )
            page.para(one.why, first="why: ", indent=4)
            page.para(one.needs, first="needs: ", indent=4)
    good_to_know(page, result.findings)
    cautions(page, (*result.cautions, result.caution), loud=True)


def _verdict(result: PlanResult) -> str:
    short = len(result.short_of)
    return {
        "reaches all targets": "All targets can be reached.",
        "falls short": f"Falls short of {short} target{'' if short == 1 else 's'}; see below.",
        "breaks a hard limit": "No moves keep every hard limit: do not drive the car like this.",
        "no plan": "No plan: see what is wrong.",
    }[result.verdict]


def _effort(result: PlanResult) -> str:
    count = len(result.moves)
    moves = "Nothing to turn" if count == 0 else f"{count} move{'' if count == 1 else 's'}"
    work = f", about {duration(result.minutes)} of work" if count else ""
    chance = ""
    if result.chance is not None:
        chance = f" Chance that everything wanted is right after this pass: {_percent(result.chance)}"
        if result.chance_unread is not None and result.moves:
            chance += f" ({_percent(result.chance_unread)} if nothing is read on the way)"
        chance += "."
    return f"{moves}{work}.{chance}"


def duration(minutes: float) -> str:
    """Work in hours and minutes, rounded to five."""
    whole = round(minutes / 5) * 5 if minutes >= 10 else round(minutes)
    hours, rest = divmod(whole, 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def stages(page: Page, result: PlanResult) -> None:
    """Each stage: what to do, which adjuster by how much, what to see before going on."""
    before: dict[str, dict[str, str]] = {}
    for turn, stage in enumerate(result.stages, start=1):
        if turn > 1:
            page.gap()
        page.para(stage.title, first=f"{turn}. ", style="strong")
        for task in stage.tasks:
            page.para(task, first="- ", indent=3)
        moves = [move for move in result.moves if move.stage == stage.name]
        if moves:
            page.columns([move_row(move) for move in moves], align="<<<<~", indent=3, gap=1)
        if stage.check:
            page.para(stage.check, first="then: ", indent=3)
        if stage.by_gauge:
            page.para("Turn on until the gauge shows:", indent=3, style="minor")
            page.columns([_gauge_row(one) for one in stage.by_gauge], align="<<>~", indent=5, gap=1)
        after = {
            place: {key: number(key, value) for key, value in values.items()}
            for place, values in stage.predicted.items()
        }
        if after:
            _changes(page, before, after)
            before = after


def move_row(move: Move) -> list[Cell]:
    """A line of a job: box, place, adjuster, how far, which way."""
    kind = "" if move.kind in move.adjuster else f" ({move.kind})"
    return [
        BOX,
        place_words(move.corner),
        f"{place_words(move.adjuster)}{kind}",
        (counted(abs(move.amount), move.unit, signed=False), "strong"),
        f"{move.do}, {_span(move)}",
    ]


def _gauge_row(one: ByGauge) -> list[Cell]:
    """What the gauge must show, and what one unit of the adjuster does to it."""
    per = number(one.reading, one.per_unit)
    sign = "+" if one.per_unit > 0 else ""
    return [
        place_words(one.corner),
        label(one.reading),
        (number(one.reading, one.shows), "strong"),
        f"± {number(one.reading, one.leave_within)}, by the {place_words(one.adjuster)}: 1 {one.unit} is {sign}{per}",
    ]


def other_ways(page: Page, result: PlanResult) -> None:
    """Other plans for the same targets beside this one."""
    page.head("Other ways")
    short = len(result.short_of)
    rows: list[list[Cell]] = [_way_row("this plan", result.chance, result.minutes, len(result.moves), short)]
    rows += [
        _way_row(one.name, one.chance, one.minutes, len(one.moves), len(one.short_of)) for one in result.alternatives
    ]
    page.columns(rows, align="<>>>>", header=["", "moves", "work", "targets missed", "chance"])
    page.para("The moves of each are in --json.", indent=2, style="minor")


def _way_row(name: str, chance: float | None, minutes: float, moves: int, short: int) -> list[Cell]:
    return [name, str(moves), duration(minutes), str(short), "-" if chance is None else _percent(chance)]


def _span(move: Move) -> str:
    """From where to where: threads by the length that shows, notches and shims by their count."""
    if move.unit in ("turn", "flat", "mm"):
        return f"from {figure(move.from_mm, 1)} to {figure(move.to_mm, 1)} mm"
    start, end = mixed(move.from_, signed=False), mixed(move.to, signed=False)
    return f"from {move.unit} {start} to {end}"


def _changes(page: Page, before: Mapping[str, Mapping[str, str]], after: Mapping[str, Mapping[str, str]]) -> None:
    """What the gauges show after a stage, as far as the stage has changed it."""
    changed = [
        key
        for key in dict.fromkeys(key for values in after.values() for key in values)
        if any(values.get(key) != before.get(place, {}).get(key) for place, values in after.items())
    ]
    if not changed:
        page.para("The gauges show the same as before.", indent=3, style="minor")
        return
    page.para("The gauges then show:", indent=3, style="minor")
    corners = {place: values for place, values in after.items() if place in CORNERS}
    keys = [key for key in changed if any(key in values for values in corners.values())]
    rows: list[list[Cell]] = [
        [place_words(place), *(values.get(key, "-") for key in keys)] for place, values in corners.items()
    ]
    if keys:
        header = ["", *(" ".join(reading_words(key)) for key in keys)]
        page.columns(rows, align="<" + ">" * len(keys), header=header, indent=5)
    for place, values in after.items():
        for key in changed:
            if place not in CORNERS and key in values:
                words, unit = reading_words(key)
                page.para(f"{words} {values[key]} {unit}", indent=5)


ROOM = ("droop_left_mm", "bump_left_mm", "spring_held_mm", "stroke_percent")
"""Readings that no gauge shows; with the wanted ones only where something is wanted of them."""


def predicted(page: Page, readings: Mapping[str, Mapping[str, PredictedReading]]) -> None:
    """Now, then, how sure, what is wanted; what will be outside is marked in words."""
    rows: list[list[Cell]] = []
    computed = False
    for place, values in readings.items():
        shown = {key: one for key, one in values.items() if one.was_read or one.inside is not None}
        if shown:
            rows.append([(place_words(place), "strong"), *[""] * 6])
            rows += [_reading_row(key, one) for key, one in shown.items()]
            computed |= any(not one.was_read for one in shown.values())
    header = ["", "now", "then", "±", "wanted", "chance", ""]
    if rows:
        page.head("What the gauges will show")
        page.columns(rows, align="<>>>>><", header=header)
    if computed:
        page.para("(in brackets: computed, it was not read)", indent=2, style="minor")
    corners = {place: values for place, values in readings.items() if place in CORNERS}
    keys = [key for key in ROOM if any(key in values for values in corners.values())]
    if keys:
        page.head("Room left after the moves")
        table: list[list[Cell]] = [
            [place_words(place), *(_room(key, values.get(key)) for key in keys)] for place, values in corners.items()
        ]
        header = ["", *(" ".join(reading_words(key)) for key in keys)]
        page.columns(table, align="<" + ">" * len(keys), header=header)
        page.para("Stroke: where the damper's rod stands, 0 % closed, 100 % open.", indent=2, style="minor")


def _room(key: str, one: PredictedReading | None) -> str:
    return "-" if one is None else f"{number(key, one.value)} ± {number(key, one.sigma)}"


def _reading_row(key: str, one: PredictedReading) -> list[Cell]:
    now = number(key, one.now)
    mark: Cell = ""
    if one.inside is not None:
        mark = "" if one.inside else ("OUT", "limit" if one.hard else "warning")
    return [
        f"  {label(key)}",
        now if one.was_read or one.now is None else f"({now})",
        (number(key, one.value), "strong"),
        number(key, one.sigma),
        _range(key, one.low, one.high) + (" hard" if one.hard else ""),
        "" if one.chance is None else _percent(one.chance),
        mark,
    ]


def _range(key: str, low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f"{number(key, low)} to {number(key, high)}"
    if low is not None:
        return f"from {number(key, low)}"
    return "" if high is None else f"up to {number(key, high)}"


def _percent(share: float) -> str:
    """A chance; never rounded to certainty."""
    if share >= 0.995:
        return "over 99 %"
    return "below 1 %" if share < 0.005 else f"{figure(100 * share, 0)} %"
