"""Laying out why a number is what it is: the number, its equation, what goes into it, how sure it is."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_why import WhyCause, WhyInput, WhyResult


def why(page: Page, result: WhyResult) -> None:
    """The whole answer."""
    place = "" if result.place == "car" else f", {_place(result.place)}"
    page.title(result.car, "why")
    doubt = result.doubt
    sure = f" ± {_number(doubt.sigma)}" if doubt.sigma is not None else ""
    value = "not known for this car" if result.value is None else f"{_number(result.value)}{sure} {result.unit}".strip()
    page.para(f"{result.key}{place}: {value}", style="strong")
    page.para(f"{result.what}.")
    page.para(result.equation, first="equation  ")
    page.para(result.source, first="source    ")
    for head, kind in (("Computed", "computed"), ("From the car file", "car file"), ("Read", "reading")):
        own = [one for one in result.inputs if one.comes_from == kind]
        if own:
            page.head(head)
            page.columns([[one.name, _told(one)] for one in own], align="<~")
    page.head("How sure")
    if doubt.low is not None and doubt.high is not None:
        page.para(f"From {_number(doubt.low)} to {_number(doubt.high)} {result.unit}: {doubt.comes_from}.")
    elif doubt.sigma is not None:
        page.para(f"One standard deviation is {_number(doubt.sigma)} {result.unit}: {doubt.comes_from}.")
    else:
        page.para(f"No standard deviation is computed: {doubt.comes_from}.")
    if doubt.gauge is not None:
        page.para(f"A gauge that reads it scatters by {_number(doubt.gauge)} {result.unit} on top.")
    if doubt.causes:
        page.columns(
            [[f"{_number(one.moves_by)} {result.unit}", _cause(one)] for one in doubt.causes],
            align=">~",
            header=["moves it by", "because of"],
        )
    page.gap()
    page.para(result.caution, style="minor")


def _place(place: str) -> str:
    corner, dot, joint = place.partition(".")
    return place_words(corner) + (f" {joint.replace('_', ' ')}" if dot else "")


def _told(one: WhyInput) -> str:
    value = _number(one.value) if isinstance(one.value, float) else str(one.value)
    return f"{value} {one.unit}".strip()


def _cause(one: WhyCause) -> str:
    sure = f", known to {_number(one.sigma)} {one.sigma_unit}" if one.sigma_unit else ""
    return one.what + sure + ("" if one.share_percent is None else f": {figure(one.share_percent)} % of the variance")


def _number(value: float) -> str:
    """Four figures at the least, and no power of ten for what a workshop reads."""
    size = abs(value)
    return figure(value) if 1e4 <= size < 1e9 else f"{value:.4g}".replace("-", "\N{MINUS SIGN}")
