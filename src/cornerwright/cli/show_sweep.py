"""Laying out a sweep: how far each figure goes, and at which settings."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.drawing.doubt_words import DECIMALS, figure_name
from cornerwright.drawing.lettering import figure
from cornerwright.model.results_sweep import SweepResult, SweptFigure

LONGEST = 24
"""Rows that are shown of a sweep over one adjuster."""


def sweep(page: Page, result: SweepResult) -> None:
    """The whole answer."""
    page.title(result.car, "at many settings")
    lost = f"; at {result.lost} of them the car gives no figure" if result.lost else ""
    turned = ", ".join(f"{one.name} at {len(one.settings_mm)} settings" for one in result.over)
    page.para(f"{result.points} settings: {turned}{lost}.", style="strong")
    most = _most_moved(result.figures)
    page.head("How far each figure goes, where it goes furthest")
    rows = []
    for one in most:
        digits = DECIMALS.get(one.unit, 2)
        ends = [
            f"{figure(value, digits)} at {', '.join(figure(mm, 2) for mm in at)}"
            for value, at in ((one.least, one.least_at_mm), (one.greatest, one.greatest_at_mm))
        ]
        rows.append([figure_name(one.reading, one.place), one.unit, *ends])
    page.columns(rows, align="<<>>", header=["", "", "least, at mm", "greatest, at mm"])
    if len(result.over) == 1 and result.points <= LONGEST:
        _rows(page, result, most)
    page.gap()
    page.para("All rows: --json. Every other adjuster stays as the car file has it.", style="minor")
    page.para(result.caution, style="minor")


def _rows(page: Page, result: SweepResult, most: list[SweptFigure]) -> None:
    """A row a setting, of the figures that move most."""
    chosen = [one for one in most if one.greatest > one.least][:3]
    at = [result.figures.index(one) + 1 for one in chosen]
    page.head(f"{result.over[0].name}, mm")
    page.columns(
        [
            [figure(row[0] or 0.0, 2), *(_cell(row[k], one) for k, one in zip(at, chosen, strict=True))]
            for row in result.rows
        ],
        align=">" * (1 + len(chosen)),
        header=["mm", *(f"{figure_name(one.reading, one.place)} {one.unit}" for one in chosen)],
    )


def _cell(value: float | None, one: SweptFigure) -> str:
    return "-" if value is None else figure(value, DECIMALS.get(one.unit, 2))


def _most_moved(figures: tuple[SweptFigure, ...]) -> list[SweptFigure]:
    """Of each figure the place where it goes furthest."""
    found: dict[str, SweptFigure] = {}
    for one in figures:
        kept = found.get(one.reading)
        if kept is None or one.greatest - one.least > kept.greatest - kept.least:
            found[one.reading] = one
    return list(found.values())
