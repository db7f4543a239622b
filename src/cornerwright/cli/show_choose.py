"""Laying out the choice of parts: what meets the wishes, what each gives up and costs, what to turn then."""

from __future__ import annotations

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import cautions, wrong
from cornerwright.cli.show_plan import BOX, duration, move_row
from cornerwright.drawing.choice_charts import TITLES, answer
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_choose import Choice, ChooseResult

SHORT = {
    "front_frequency_hz": "front Hz",
    "rear_frequency_hz": "rear Hz",
    "roll_deg_per_g": "roll°/g",
    "front_transfer_percent": "front%",
    "understeer_deg_per_g": "under°/g",
    "limit_push_percent": "push%",
    "stroke_used_percent": "stroke%",
}
"""Heads of the table; damping stands with each choice."""


def choose(page: Page, result: ChooseResult, letter: str | None) -> None:
    """The whole answer; letter: the choice that is shown with all its moves."""
    page.title(result.car, "choice of parts")
    page.para(answer(result), style="strong")
    page.para(
        f"{result.tried} sets of parts weighed, {result.within_limits} within the car's hard limits, "
        f"{len(result.choices)} told here that no other beats in everything."
        + (f" {result.more} more like them: --most." if result.more else "")
    )
    wrong(page, result.findings)
    if result.choices:
        _table(page, result)
        page.head("The choices")
        for one in result.choices:
            _choice(page, result, one)
    if result.in_the_way:
        page.head("What stands in the way")
        for way in result.in_the_way:
            page.para(f"{_wish(way.wish)}: {way.says}.", first="- ", indent=2)
    if result.left_out:
        page.head("Left out: they break a hard limit of the car")
        page.columns([[place_words(one.place), str(one.count), one.why] for one in result.left_out], align="<>~")
    taken = next((one for one in result.choices if one.letter == letter), None)
    if taken is not None:
        _taken(page, taken)
    cautions(page, (*result.cautions, result.caution), loud=True)
    page.gap()
    for words in result.assumed:
        page.para(words, style="minor")


def _wish(key: str) -> str:
    return TITLES[key][0].split(",")[0] if key in TITLES else place_words(key)


def _table(page: Page, result: ChooseResult) -> None:
    keys = [key for key in SHORT if any(key in one.figures for one in result.choices)]
    page.head("Side by side (* outside what is wanted)")
    rows: list[list[Cell]] = [
        [one.letter, _price(one), *(_cell(one, key) for key in keys), duration(one.minutes)] for one in result.choices
    ]
    page.columns(
        rows,
        align=">" * (len(keys) + 3),
        header=["", result.currency, *(SHORT[key] for key in keys), "work"],
        gap=1,
    )


def _price(one: Choice) -> str:
    return figure(one.price) + ("+?" if one.unpriced else "") + ("*" if one.price_outside else " ")


def _cell(one: Choice, key: str) -> str:
    told = one.figures[key]
    if told.value is None:
        return "- "
    return figure(told.value, TITLES[key][1]) + ("*" if told.outside else " ")


def _choice(page: Page, result: ChooseResult, one: Choice) -> None:
    cost = f"{figure(one.price)} {result.currency}" + (", not all prices known" if one.unpriced else "")
    page.para(f"{cost}; gives up {one.gives_up}.", first=f"{one.letter}  ", indent=2, style="strong")
    for part in one.parts:
        page.para(f"{part.place} {part.part}: {part.puts_in} for {part.takes_out}", first="- ", indent=5)
    if not one.parts:
        page.para("the parts that are on the car", first="- ", indent=5)
    damping = [one.figures[f"{end}_damping_percent"].value for end in ("front", "rear")]
    shown = " / ".join("-" if value is None else figure(value) for value in damping)
    page.para(
        f"{len(one.plan.moves)} moves; {one.plan.verdict}; damping front / rear {shown} % of critical",
        first="- ",
        indent=5,
    )
    for short in one.plan.short_of:
        page.para(f"{place_words(short.corner)} {place_words(short.reading)}: {short.needs}", first="- ", indent=5)


def _taken(page: Page, one: Choice) -> None:
    page.head(f"To turn with the parts of {one.letter} in")
    for part in one.parts:
        page.para(f"{place_words(part.place)}, both sides: {part.puts_in}", first=f"{BOX} ", indent=3)
    page.columns([move_row(move) for move in one.plan.moves], align="<<<<~", indent=3, gap=1)
    page.para(
        "In stages, with what the gauges show after each: write the car with --write and ask plan for it.",
        indent=3,
        style="minor",
    )
