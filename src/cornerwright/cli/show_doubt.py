"""Laying out doubt: what to measure better, first; a difference, where one is asked for; how sure each figure is."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.drawing.doubt_words import DECIMALS, figure_name, least_sure, measure_first, spread_words
from cornerwright.drawing.lettering import figure
from cornerwright.model.results_doubt import Compared, DoubtResult

SHOWN = 8


def doubt(page: Page, result: DoubtResult) -> None:
    """The whole answer."""
    page.title(result.car, "how sure it is")
    if result.verdict == "too few stand":
        page.para(
            f"Only {result.rows} cars of each sample give figures, of those that the file could mean: nothing can be "
            "said.",
            style="strong",
        )
        page.para(result.caution, style="minor")
        return
    if result.measure:
        page.para(measure_first(result.measure), style="strong")
    if result.against is not None:
        _difference(page, result)
    page.head("What matters")
    page.columns(
        [
            [one.what, f"{figure(one.share_percent)} ±{figure(one.scatter_percent)}", one.most_on]
            for one in result.measure[:SHOWN]
        ],
        align="<>~",
        header=["not known for sure", "% of doubt", "most on"],
    )
    hints = [(one.what, one.how) for one in result.measure[:3] if one.how is not None]
    if hints:
        page.head("How to measure better")
        page.columns([[what, how] for what, how in hints], align="<~")
    page.head("How sure each figure is, the least sure corner of each")
    rows = []
    for one in least_sure(result.readings):
        causes = ", ".join(f"{cause.what} {figure(cause.total_percent)} %" for cause in one.causes[:2])
        rows.append(
            [
                figure_name(one.reading, one.place),
                spread_words(one),
                causes or "the same in all",
            ]
        )
    page.columns(rows, align="<>~", header=["", "9 cars of 10", "mostly because of"])
    page.gap()
    lost = f"; {result.lost} rows left out, a car of theirs gives no figures" if result.lost else ""
    page.para(
        f"{result.cars} cars drawn from the file's doubt (number {result.random}), {result.rows} a sample{lost}. "
        "Shares are total Sobol' indices: they may add to more than 100 %. What the gauges add is not in here.",
        style="minor",
    )
    page.para(result.caution, style="minor")


def _difference(page: Page, result: DoubtResult) -> None:
    page.head(f"The difference: {result.against} less {result.car}")
    if not result.compared:
        page.para("Too few pairs of cars give figures to compare.")
        return
    rows = []
    for one in _told_apart(result.compared):
        digits = DECIMALS.get(one.unit, 2)
        rows.append(
            [
                figure_name(one.reading, one.place),
                f"{figure(one.difference, digits, True)} {one.unit}",
                f"{figure(one.low, digits, True)} to {figure(one.high, digits, True)}",
                one.says,
            ]
        )
    page.columns(rows, align="<>><", header=["", "mean", "9 pairs of 10", ""])
    page.para("Each pair of cars is drawn from the same numbers: what both do not know alike cancels.", style="minor")


def _told_apart(compared: tuple[Compared, ...]) -> list[Compared]:
    """Of each reading the corner where it differs most, against how far pairs scatter; first those that are sure."""
    found: dict[str, Compared] = {}
    for one in compared:
        if one.difference == 0.0 and one.low == one.high:
            continue
        if one.reading not in found or _sure(one) > _sure(found[one.reading]):
            found[one.reading] = one
    return sorted(found.values(), key=lambda one: (one.says == "not sure", -_sure(one)))


def _sure(one: Compared) -> float:
    return abs(one.difference) / max(one.high - one.low, 1e-9)
