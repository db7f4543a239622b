"""Laying out why a number is what it is: the number, its equation, what goes into it, how sure it is."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.cli.show import small_print
from cornerwright.drawing.why_words import ORIGINS, cause_words, goes_in, headline, how_sure, number_words, whose
from cornerwright.model.results_why import WhyResult
from cornerwright.planning.why.asking import DRAWN, USUAL_CARS


def why(page: Page, result: WhyResult) -> None:
    """The whole answer."""
    place = "" if result.place == "car" else f", {whose(result.place)}"
    page.title(result.car, "why")
    page.para(f"{result.key}{place}: {headline(result)}", style="strong")
    page.para(f"{result.what}.")
    page.para(result.equation, first="equation  ")
    page.para(result.source, first="source    ")
    for head, kind in ORIGINS:
        own = [one for one in result.inputs if one.comes_from == kind]
        if own:
            page.head(head)
            page.columns([[one.name, goes_in(one)] for one in own], align="<~")
    page.head("How sure")
    page.para(how_sure(result))
    if result.doubt.sigma is None and result.value is not None and result.answer in DRAWN:
        page.para(f"With --cars {USUAL_CARS}: its scatter over as many cars that the file could mean.", style="minor")
    if result.doubt.causes:
        page.columns(
            [[f"{number_words(one.moves_by)} {result.unit}", cause_words(one)] for one in result.doubt.causes],
            align=">~",
            header=["moves it by", "because of"],
        )
    small_print(page, result.caution)
