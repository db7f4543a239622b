"""Laying out doubt: what to measure better, first; then how sure each reading is."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results_doubt import DoubtResult, ReadingDoubt

SHOWN = 8
DECIMALS = {"mm": 1, "deg": 2, "kg": 1, "%": 1}


def doubt(page: Page, result: DoubtResult) -> None:
    """The whole answer."""
    page.title(result.car, "how sure it is")
    if result.verdict == "too few stand":
        page.para(
            f"Only {result.rows} cars of each sample stand, of those that the file could mean: nothing can be said.",
            style="strong",
        )
        page.para(result.caution, style="minor")
        return
    first = result.measure[0] if result.measure else None
    if first is not None:
        page.para(
            f"Measure this better first: {first.what}. It makes {figure(first.share_percent)} % of the doubt, averaged "
            "over all readings.",
            style="strong",
        )
    page.head("What matters")
    page.columns(
        [[one.what, figure(one.share_percent), one.most_on] for one in result.measure[:SHOWN]],
        align="<>~",
        header=["not known for sure", "% of doubt", "most on"],
    )
    page.head("How sure each reading is, the least sure corner of each")
    rows = []
    for one in _least_sure(result.readings):
        digits = DECIMALS.get(one.unit, 2)
        causes = ", ".join(f"{cause.what} {figure(cause.total_percent)} %" for cause in one.causes[:2])
        rows.append(
            [
                f"{one.reading.replace('_', ' ')}, {place_words(one.place)}",
                f"{figure(one.low, digits)} to {figure(one.high, digits)} {one.unit}",
                causes,
            ]
        )
    page.columns(rows, align="<>~", header=["", "9 cars of 10 read", "mostly because of"])
    page.gap()
    lost = f"; {result.lost} rows left out, a car of theirs does not stand" if result.lost else ""
    page.para(
        f"{result.cars} cars drawn from the file's doubt (number {result.random}), {result.rows} a sample{lost}. "
        "Shares are total Sobol' indices: they may add to more than 100 %. What the gauges add is not in here.",
        style="minor",
    )
    page.para(result.caution, style="minor")


def _least_sure(readings: tuple[ReadingDoubt, ...]) -> list[ReadingDoubt]:
    found: dict[str, ReadingDoubt] = {}
    for one in readings:
        if one.reading not in found or one.sigma > found[one.reading].sigma:
            found[one.reading] = one
    return list(found.values())
