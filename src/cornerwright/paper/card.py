"""The work card: one page for the floor, and the sheet of one corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from cornerwright.drawing.above import Look, car_from_above, stage_numbers
from cornerwright.drawing.corner import corner_from_behind
from cornerwright.drawing.lettering import (
    DECIMALS,
    DEGREE,
    PLACES,
    POINT,
    figure,
    place_words,
    reading_words,
)
from cornerwright.model.results import CAUTION, CornerScene
from cornerwright.model.results_plan import PlanResult, PredictedReading, Stage
from cornerwright.paper.press import press

WIDTH = 190.0
"""A4 less its margins [mm]."""
VERDICTS = {
    "reaches all targets": ("Reaches all targets.", False),
    "falls short": ("Falls short of a target: see below.", True),
    "breaks a hard limit": ("BREAKS A HARD LIMIT: do not drive the car like this.", True),
    "no plan": ("NO PLAN COULD BE MADE: turn nothing; see below.", True),
}
NO_MOVES = {
    "reaches all targets": "Nothing to turn: read again to confirm.",
    "falls short": "No move brings it nearer.",
    "breaks a hard limit": "No move takes it away.",
    "no plan": "",
}
MOST_TROUBLES = 6
"""At the last level no more troubles than these are printed; the card says how many it left out."""


@dataclass(frozen=True)
class Level:
    """One try at fitting the page. Sizes in points, boxes in mm."""

    text: float
    table: float
    small: float
    tick: float
    row: float
    write: float
    gap: float = 1.8
    settings: bool = True
    lines: int = 3
    corner: bool = False
    inline: bool = False
    """Tasks follow each other on a line instead of standing each on its own."""
    only_wanted: bool = False
    last: bool = False


LEVELS = (
    Level(11, 10.5, 9, 5.5, 9.0, 7.5, corner=True),
    Level(11, 10.5, 9, 5.5, 9.0, 7.5),
    Level(10, 9.5, 8.5, 5.0, 8.0, 7.0),
    Level(9, 9, 8, 4.5, 7.5, 6.5),
    Level(8.5, 8.5, 8, 4.3, 7.0, 6.0, settings=False),
    Level(8, 8, 8, 4.2, 6.6, 6.0, settings=False),
    Level(8, 8, 8, 4.2, 6.2, 5.0, 1.2, settings=False, lines=2, inline=True),
    Level(8, 8, 8, 4.2, 6.0, 5.0, 1.0, settings=False, lines=2, inline=True, only_wanted=True),
    Level(8, 8, 8, 4.2, 6.0, 5.0, 1.0, settings=False, lines=1, inline=True, only_wanted=True, last=True),
)
"""How the card is made to fit, in this order: the corner's picture goes first; then everything gets
smaller, down to 8 points; then the settings, the list form of the tasks, the readings of which nothing
is wanted, and last the longest words and the least troubles are left out. Moves, amounts, tasks, limits
and cautions are never left out: a plan that still does not fit is refused."""


def work_card(plan: PlanResult, scene: CornerScene | None = None) -> bytes:
    """The plan as one A4 page (PDF).

    scene: a corner to draw as well, where the page has room for it; `corner_sheet` gives it a page of
    its own. Raises DoesNotFitError for a plan that needs more than a page at 8 points.
    """
    pictures: list[str] = []
    levels = [_level(plan, scene, level, pictures) for level in LEVELS if scene is not None or not level.corner]
    says, alarm = VERDICTS[plan.verdict]
    data = {
        "title": f"Work card: {plan.car}",
        "car": plan.car,
        "subtitle": _subtitle(plan),
        "verdict": {
            "says": says,
            "alarm": alarm,
            "more": NO_MOVES[plan.verdict] if not plan.moves else "",
        },
        "cautions": _halves([(words, len(words)) for words in plan.cautions]),
        "stages": _halves([(_stage(plan, stage), _weight(stage)) for stage in plan.stages]),
        "places": [place_words(place) for place in PLACES],
        "whole": [
            _row_name(key) | {"cell": _cell(key, reading)} for key, reading in plan.predicted.get("car", {}).items()
        ],
        "legend": "now → predicted, ± 2 sigma, [wanted]; (now) computed, ? not known; write into the box.",
        "pictures": pictures,
        "above_says": f"{plan.car} from above with its moves",
        "corner_says": "" if scene is None else f"{place_words(scene.corner)} from behind",
        "levels": levels,
        "caution": plan.caution,
    }
    return press("card.typ", data)


def corner_sheet(scene: CornerScene) -> bytes:
    """One corner at one pose as one A4 page (PDF)."""
    drawing = corner_from_behind(scene, WIDTH)
    data = {
        "title": f"{scene.car}: {place_words(scene.corner)}",
        "car": scene.car,
        "picture": drawing.svg(),
        "says": drawing.title,
        "caution": CAUTION,
    }
    return press("sheet.typ", data)


def _level(plan: PlanResult, scene: CornerScene | None, level: Level, pictures: list[str]) -> dict[str, Any]:
    """One level's sizes and rows; its pictures are appended and called by number."""
    look = Look(level.text * POINT, level.settings, level.lines)
    above = corner = None
    if plan.moves:
        pictures.append(car_from_above(plan, WIDTH, look).svg())
        above = len(pictures) - 1
    if level.corner and scene is not None:
        pictures.append(corner_from_behind(scene, WIDTH, 80.0).svg())
        corner = len(pictures) - 1
    rows = _rows(plan, level.only_wanted)
    left = [row["name"] for row in _rows(plan, False) if row not in rows]
    return {
        "text": level.text,
        "table": level.table,
        "small": level.small,
        "tick": level.tick,
        "row": level.row,
        "write": level.write,
        "gap": level.gap,
        "inline": level.inline,
        "above": above,
        "corner": corner,
        "rows": rows,
        "left_out": f" Nothing wanted of: {', '.join(left)}." if left else "",
        "troubles": _troubles(plan, MOST_TROUBLES if level.last else None),
    }


def _subtitle(plan: PlanResult) -> str:
    moves = len(plan.moves)
    words = ["Work card", f"{moves} move{'' if moves == 1 else 's'}"]
    if plan.minutes > 0:
        words.append(f"about {figure(plan.minutes)} minutes")
    if plan.chance is not None:
        shown = min(99, max(1, round(100 * plan.chance)))
        words.append(f"chance that all is inside after this pass: {shown} %")
    return " · ".join(words)


def _troubles(plan: PlanResult, most: int | None) -> list[dict[str, str]]:
    """Targets out of reach, broken limits, warnings; notes stay off the card."""
    found = [
        {"place": "LIMIT " + place_words(one.place), "says": _sentence(one.about, one.says, one.do)}
        for one in plan.findings
        if one.level == "limit"
    ]
    for short in plan.short_of:
        name, unit = reading_words(short.reading)
        decimals = DECIMALS[unit]
        wanted = _wanted(short.low, short.high)
        says = f"{name} {figure(short.predicted, decimals)} {unit} {wanted}"
        words = _sentence(says.strip(), short.why, f"needs {short.needs}")
        found.append({"place": "short: " + place_words(short.corner), "says": words})
    kept = len(found)
    found += [
        {"place": place_words(one.place), "says": _sentence(one.about, one.says, one.do)}
        for one in plan.findings
        if one.level == "warning"
    ]
    if most is not None and len(found) > max(most, kept):
        left = len(found) - max(most, kept)
        found = [*found[: max(most, kept)], {"place": f"{left} more warnings", "says": "in the plan."}]
    return found


def _sentence(about: str, says: str, do: str | None) -> str:
    return f"{about}: {says}" + (f" — {do}" if do else "")


def _stage(plan: PlanResult, stage: Stage) -> dict[str, Any]:
    number = stage_numbers(plan)[stage.name]
    moves = sum(move.stage == stage.name for move in plan.moves)
    plural = "" if moves == 1 else "s"
    return {
        "number": number,
        "title": stage.title,
        "moves": f"{moves} move{plural} marked {number} above" if moves else "",
        "tasks": list(stage.tasks),
        "check": f"See: {stage.check}" if stage.check else "",
        "gauge": _by_gauge(stage),
    }


def _by_gauge(stage: Stage) -> str:
    """What the gauge must show at each corner, and what a unit of the adjuster does to it."""
    found = []
    for one in stage.by_gauge:
        name, unit = reading_words(one.reading)
        decimals = DECIMALS[unit]
        per = figure(one.per_unit, decimals, True)
        found.append(
            f"{place_words(one.corner)} {name} {figure(one.shows, decimals)} ± "
            f"{figure(one.leave_within, decimals)} (1 {one.unit}: {per})"
        )
    return f"Turn on until the gauge shows: {'; '.join(found)}." if found else ""


def _weight(stage: Stage) -> int:
    """Rough number of letters a stage takes, to share the stages out to two columns."""
    return 60 + sum(40 + len(task) for task in stage.tasks) + len(stage.check or "") + len(_by_gauge(stage))


def _halves(items: Sequence[tuple[Any, int]]) -> list[list[Any]]:
    """Items with their weights in two runs of about the same weight, order kept."""
    total = sum(weight for _, weight in items)
    best, cut = float("inf"), 0
    for k in range(len(items) + 1):
        first = sum(weight for _, weight in items[:k])
        if max(first, total - first) <= best:
            best, cut = max(first, total - first), k
    return [[item for item, _ in items[:cut]], [item for item, _ in items[cut:]]] if items else []


def _rows(plan: PlanResult, only_wanted: bool) -> list[dict[str, Any]]:
    """One row a reading, one cell a corner."""
    keys = list(dict.fromkeys(key for place in PLACES for key in plan.predicted.get(place, {})))
    rows = []
    for key in keys:
        readings = [plan.predicted.get(place, {}).get(key) for place in PLACES]
        if only_wanted and all(one is None or one.inside is None for one in readings):
            continue
        cells = [None if one is None else _cell(key, one) for one in readings]
        rows.append(_row_name(key) | {"cells": cells})
    return rows


def _row_name(key: str) -> dict[str, str]:
    name, unit = reading_words(key)
    return {"name": name, "unit": "deg" if unit == DEGREE else unit}


def _cell(key: str, reading: PredictedReading) -> dict[str, Any]:
    decimals = DECIMALS[reading_words(key)[1]]
    now = "?" if reading.now is None else figure(reading.now, decimals)
    wanted = _wanted(reading.low, reading.high)
    return {
        "now": now if reading.was_read or reading.now is None else f"({now})",
        "after": figure(reading.value, decimals),
        "give": figure(2 * reading.sigma, decimals),
        "wanted": f"{wanted} limit" if reading.hard and wanted else wanted,
        "outside": reading.inside is False,
    }


def _wanted(low: float | None, high: float | None) -> str:
    """A wanted range in the fewest letters; empty where nothing is wanted."""
    if low is None and high is None:
        return ""
    if high is None:
        return f"[≥ {_short(low)}]"
    if low is None:
        return f"[≤ {_short(high)}]"
    return f"[{_short(low)} to {_short(high)}]"


def _short(value: float | None) -> str:
    text = figure(value or 0.0, 2)
    return text.rstrip("0").rstrip(".")
