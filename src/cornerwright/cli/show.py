"""Laying out what the car is and does: findings first, numbers after."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cornerwright.cli.page import Cell, Page
from cornerwright.drawing.lettering import DECIMALS, figure, place_words, reading_words
from cornerwright.model.results import CheckResult, CornerStanding, Finding, StandResult

LEVELS = {"limit": "LIMIT", "warning": "warning", "note": "note"}


def number(key: str, value: float | None, *, signed: bool = False) -> str:
    """A reading with the decimals of its unit; a dash where it is not known."""
    if value is None:
        return "-"
    return figure(value, DECIMALS[reading_words(key)[1]], signed)


def label(key: str) -> str:
    """A reading's name with its unit."""
    words, unit = reading_words(key)
    return f"{words}, {unit}" if unit else words


def findings(page: Page, found: Sequence[Finding], *, head: str = "What is wrong") -> None:
    """Broken limits, then warnings, then notes, each with what to do about it."""
    if not found:
        return
    page.head(head)
    for level, word in LEVELS.items():
        style = level if level in ("limit", "warning") else ""
        for (about, says, do), places in _gathered(found, level).items():
            where = f"{', '.join(map(place_words, places))}; {about}"
            page.columns([[(word, style), f"{where}: {says}"]], align="<~")
            if do:
                page.para(do, indent=4 + len(word), first="do: ")


def _gathered(found: Sequence[Finding], level: str) -> dict[tuple[str, str, str], list[str]]:
    """Places of each finding of this level that reads the same at several of them."""
    places: dict[tuple[str, str, str], list[str]] = {}
    for one in found:
        if one.level == level:
            places.setdefault((one.about, one.says, one.do or ""), []).append(one.place)
    return places


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
    findings(page, [one for one in result.findings if one.level != "note"])
    findings(page, [one for one in result.findings if one.level == "note"], head="Good to know")
    standing(page, result.stand)
    page.gap()
    page.para(result.caution, style="minor")


def stand(page: Page, result: StandResult) -> None:
    """The car at rest."""
    page.title(result.car, "at rest")
    if result.verdict != "stands":
        page.para(f"The car does not stand: {result.verdict}.", style="strong")
    findings(page, result.findings)
    standing(page, result)
    page.gap()
    page.para(result.caution, style="minor")


CORNER_ROWS: tuple[tuple[str, Callable[[CornerStanding], str]], ...] = (
    ("height, mm", lambda c: figure(c.height_mm, 1)),
    ("load, kg", lambda c: figure(c.load_kg, 1)),
    ("camber, °", lambda c: figure(c.camber_deg, 2)),
    ("toe, °", lambda c: figure(c.toe_deg, 2)),
    ("caster, °", lambda c: number("caster_deg", c.caster_deg)),
    ("droop left, mm", lambda c: number("x_mm", c.droop_left_mm)),
    ("bump left, mm", lambda c: number("x_mm", c.bump_left_mm)),
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
