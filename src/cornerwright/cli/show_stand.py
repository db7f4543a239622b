"""Laying out what the car is at rest, and what is wrong with it as its file describes it: findings first."""

from __future__ import annotations

from collections.abc import Callable

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import LEVELS, findings, good_to_know, number, small_print, wrong
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.model.results import CheckResult, CornerStanding, StandResult


def check(page: Page, result: CheckResult) -> None:
    """What is wrong with the car as its file describes it."""
    page.title(result.car, "check")
    counts = {level: sum(one.level == level for one in result.findings) for level in LEVELS}
    said = {
        "good": "Nothing wrong found.",
        "warnings": f"No hard limit is broken; {_count(counts['warning'], 'warning')}.",
        "breaks a hard limit": f"Breaks {_count(counts['limit'], 'hard limit')}.",
    }
    page.para(said[result.verdict], style="strong")
    wrong(page, result.findings)
    good_to_know(page, result.findings)
    standing(page, result.stand)
    small_print(page, result.caution)


def stand(page: Page, result: StandResult) -> None:
    """The car at rest."""
    page.title(result.car, "at rest")
    if result.verdict != "stands":
        page.para(f"The car does not stand: {result.verdict}.", style="strong")
    findings(page, result.findings)
    standing(page, result)
    small_print(page, result.caution)


CORNER_ROWS: tuple[tuple[str, Callable[[CornerStanding], str]], ...] = (
    ("height, mm", lambda c: figure(c.height_mm, 1)),
    ("load, kg", lambda c: figure(c.load_kg, 1)),
    ("camber, °", lambda c: figure(c.camber_deg, 2)),
    ("toe, °", lambda c: figure(c.toe_deg, 2)),
    ("caster, °", lambda c: number("caster_deg", c.caster_deg)),
    ("droop travel, mm", lambda c: number("x_mm", c.droop_left_mm)),
    ("bump travel, mm", lambda c: number("x_mm", c.bump_left_mm)),
    ("to the bump stop, mm", lambda c: number("x_mm", c.stop_gap_mm)),
    ("spring held by, mm", lambda c: number("x_mm", c.spring_held_mm)),
    ("spring, mm", lambda c: figure(c.spring_mm, 1)),
    ("damper, mm", lambda c: figure(c.damper_mm, 1)),
    ("rod stands at, %", lambda c: figure(c.stroke_percent, 0)),
    ("ride, Hz", lambda c: number("x_hz", c.ride_frequency_hz)),
)
"""What is shown of a corner at rest. The rod: 0 % closed, 100 % open."""


def standing(page: Page, result: StandResult) -> None:
    """The four corners side by side, then the car as a whole."""
    if not result.corners:
        return
    page.head("At rest")
    names = tuple(result.corners)
    rows: list[list[Cell]] = [[title, *(value(result.corners[name]) for name in names)] for title, value in CORNER_ROWS]
    page.columns(rows, align="<" + ">" * len(names), header=["", *map(place_words, names)])
    ends: dict[str, list[str]] = {}
    for name, corner in result.corners.items():
        told = f"droop ends at: {corner.droop_end}; bump ends at: {corner.bump_end}"
        ends.setdefault(told, []).append(place_words(name))
    for told, places in ends.items():
        page.para(f"{', '.join(places)}: {told}", indent=2, style="minor")
    page.gap()
    whole = (
        ("total", result.total_kg, " kg"),
        ("front", result.front_percent, " %"),
        ("left", result.left_percent, " %"),
        ("cross weight", result.cross_weight_percent, " %"),
    )
    shares = [f"{word} {figure(value, 1)}{unit}" for word, value, unit in whole if value is not None]
    page.para(", ".join(shares), indent=2)


def _count(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
