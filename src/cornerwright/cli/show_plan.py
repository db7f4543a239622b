"""Laying out a plan: what to turn in working order, what the gauges will show, what falls short."""

from __future__ import annotations

from collections.abc import Mapping

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import findings, label, number
from cornerwright.drawing.lettering import counted, figure, mixed, place_words
from cornerwright.model.results import Move, PlanResult, PredictedReading

BOX = "[ ]"


def plan(page: Page, result: PlanResult) -> None:
    """The whole plan."""
    page.title(result.car, "plan")
    page.para(_verdict(result), style="strong")
    page.para(_effort(result))
    wrong = [one for one in result.findings if one.level != "note"]
    findings(page, wrong)
    if result.stages:
        page.head("What to turn, in this order")
        stages(page, result)
    if result.predicted:
        page.head("What the gauges will show")
        predicted(page, result.predicted)
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
    findings(page, [one for one in result.findings if one.level == "note"], head="Good to know")
    page.head("Cautions")
    for words in result.cautions:
        page.para(words, first="! ", indent=2)
    page.para(result.caution, first="! ", indent=2)


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
    work = f", about {_duration(result.minutes)} of work" if count else ""
    chance = ""
    if result.chance is not None:
        chance = (
            f" Chance that everything wanted is right after this pass: {_percent(result.chance)}."
        )
    return f"{moves}{work}.{chance}"


def _duration(minutes: float) -> str:
    whole = round(minutes / 5) * 5 if minutes >= 10 else round(minutes)
    hours, rest = divmod(whole, 60)
    if hours == 0:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def stages(page: Page, result: PlanResult) -> None:
    """Each stage: what to do, which adjuster by how much, what to see before going on."""
    for turn, stage in enumerate(result.stages, start=1):
        if turn > 1:
            page.gap()
        page.para(stage.title, first=f"{turn}. ", style="strong")
        for task in stage.tasks:
            page.para(task, first="- ", indent=3)
        moves = [move for move in result.moves if move.stage == stage.name]
        if moves:
            page.columns([_move_row(move) for move in moves], align="<<<<~", indent=3, gap=1)
        if stage.check:
            page.para(stage.check, first="then: ", indent=3)
        if stage.predicted:
            page.para("The gauges should then show:", indent=3, style="minor")
            _table(page, stage.predicted)


def _move_row(move: Move) -> list[Cell]:
    name = "" if move.adjuster in move.kind else f" ({move.kind})"
    span = f"{mixed(move.from_, signed=False)} to {mixed(move.to, signed=False)}"
    return [
        BOX,
        place_words(move.corner),
        f"{place_words(move.adjuster)}{name}",
        (counted(move.amount, move.unit), "strong"),
        f"{_without_amount(move)} ({span})",
    ]


def _without_amount(move: Move) -> str:
    """The words for the hand; the amount stands in a column of its own."""
    amount = counted(move.amount, move.unit, signed=False).lstrip("\N{MINUS SIGN}")
    return move.do.removeprefix(amount).lstrip(" ,:")


def _table(page: Page, values: Mapping[str, Mapping[str, float]]) -> None:
    keys = list(dict.fromkeys(key for row in values.values() for key in row))
    rows: list[list[Cell]] = [
        [place_words(place), *(number(key, row.get(key)) for key in keys)]
        for place, row in values.items()
    ]
    page.columns(rows, align="<" + ">" * len(keys), header=["", *map(label, keys)], indent=5)


def predicted(page: Page, readings: Mapping[str, Mapping[str, PredictedReading]]) -> None:
    """Now, then, how sure, what is wanted; what will be outside is marked in words."""
    rows: list[list[Cell]] = []
    places: list[int] = []
    for place, values in readings.items():
        places.append(len(rows))
        rows.append([(place_words(place), "strong"), *[""] * 6])
        rows += [_reading_row(key, one) for key, one in values.items()]
    header = ["", "now", "then", "±", "wanted", "chance", ""]
    page.columns(rows, align="<>>>>><", header=header)
    if any(not one.was_read for values in readings.values() for one in values.values()):
        page.para("(in brackets: computed, it was not read)", indent=2, style="minor")


def _reading_row(key: str, one: PredictedReading) -> list[Cell]:
    now = number(key, one.now)
    mark: Cell = ""
    if one.inside is not None:
        mark = "" if one.inside else ("OUT", "limit" if one.hard else "warning")
    return [
        f"  {label(key)}",
        now if one.was_read or one.now is None else f"({now})",
        (number(key, one.value), "strong"),
        _sigma(key, one.sigma),
        _range(key, one.low, one.high) + (" hard" if one.hard else ""),
        "" if one.chance is None else _percent(one.chance),
        mark,
    ]


def _sigma(key: str, sigma: float) -> str:
    return number(key, sigma) if sigma > 0 else "0"


def _range(key: str, low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f"{number(key, low)} to {number(key, high)}"
    if low is not None:
        return f"from {number(key, low)}"
    return "" if high is None else f"up to {number(key, high)}"


def _percent(share: float) -> str:
    """A chance; never rounded to certainty."""
    if 0.995 <= share:
        return "over 99 %"
    return "below 1 %" if share < 0.005 else f"{figure(100 * share, 0)} %"
