"""Laying out what a wheel does through its travel: how far it goes and why, then rows by lift."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import findings, number
from cornerwright.drawing.lettering import DEGREE, figure, place_words, reading_words
from cornerwright.model.results import TravelLimit, TravelResult, TravelRow

Column = tuple[str, str, int, float]
"""Field of a row, head of the column, decimals, factor."""

LIFT = "lift mm"

WHEEL: tuple[Column, ...] = (
    ("camber_deg", f"camber {DEGREE}", 2, 1.0),
    ("toe_deg", f"toe {DEGREE}", 2, 1.0),
    ("caster_deg", f"caster {DEGREE}", 2, 1.0),
    ("kingpin_deg", f"kingpin {DEGREE}", 2, 1.0),
    ("scrub_mm", "scrub mm", 1, 1.0),
    ("trail_mm", "trail mm", 1, 1.0),
    ("half_track_mm", "track mm", 1, 1.0),
)
SPRING: tuple[Column, ...] = (
    ("damper_mm", "damper mm", 1, 1.0),
    ("spring_mm", "spring mm", 1, 1.0),
    ("damper_ratio", "d. ratio", 3, 1.0),
    ("spring_ratio", "s. ratio", 3, 1.0),
    ("rocker_deg", f"rocker {DEGREE}", 1, 1.0),
    ("shaft_plunge_mm", "shaft mm", 1, 1.0),
)
BODY: tuple[Column, ...] = (
    ("bump_steer_deg_per_mm", f"bump st. {DEGREE}", 3, 10.0),
    ("roll_centre_mm", "roll c. mm", 0, 1.0),
    ("anti_dive_percent", "a-dive %", 0, 1.0),
    ("anti_lift_percent", "a-lift %", 0, 1.0),
    ("anti_squat_percent", "a-squat %", 0, 1.0),
    ("brake_path_deg", f"brake p. {DEGREE}", 1, 1.0),
    ("drive_path_deg", f"drive p. {DEGREE}", 1, 1.0),
)

LEGEND = (
    "Track: change of half-track, outboard positive. Ratio: length change per lift of damper and spring.",
    "Bump st.: change of toe in 10 mm of lift. Roll c.: height over the ground. Brake p., drive p.: path of "
    "contact and wheel centre from the side, forward as the wheel rises positive. A-dive, a-lift, a-squat: "
    "share of the load transfer that the linkage carries past the springs.",
)

ARMS = {"front": "front leg", "rear": "rear leg"}


def travel(page: Page, result: TravelResult) -> None:
    """What a wheel does, one lift a row."""
    page.title(f"{result.car}, {place_words(result.corner)}", "travel")
    for words in _reach(result):
        page.para(words)
    findings(page, result.findings)
    table = result.kind == "jack_table"
    groups = list(_groups(result.rows))
    straight = min(groups, key=lambda group: abs(group[0].steer_mm or 0.0), default=())
    first = (*WHEEL, *SPRING) if table else WHEEL
    for rows in groups:
        if all(row.ends == "rack" for row in rows):
            continue
        rack = rows[0].steer_mm
        page.head("The wheel" if rack is None else f"The wheel, rack at {_mm(rack, signed=True)} mm")
        _table(page, result, rows, first)
    if not table:
        aside = "" if straight[0].steer_mm is None else f", rack at {_mm(straight[0].steer_mm, signed=True)} mm"
        page.head(f"Spring and damper{aside}")
        _table(page, result, straight, SPRING)
        page.head(f"What the body feels{aside}")
        _table(page, result, straight, BODY)
    page.gap()
    for words in LEGEND[: 1 if table else 2]:
        page.para(words, style="minor")
    if any(_past_damper(result, row) for row in result.rows if row.inside):
        page.para("*: beyond the end of the damper's stroke.", style="minor")
    for words in (*_joints(result), *_doubt(result), *(f"Assumed: {words}." for words in result.assumed)):
        page.para(words, style="minor")


def _reach(result: TravelResult) -> Iterator[str]:
    """How far the wheel goes, and what ends it."""
    if result.kind == "jack_table":
        low, high = figure(result.lowest_mm, 0), figure(result.highest_mm, 0)
        yield f"Measured from {low} to {high} mm of lift."
    other = {
        "together": "",
        "opposite": " The other wheel of the axle goes the other way.",
        "held": f" The other wheel of the axle stays at {_mm(result.rows[0].other_lift_mm or 0.0)} mm.",
    }[result.motion]
    for one in result.limits:
        place = "" if one.steer_mm is None else f", rack at {_mm(one.steer_mm, signed=True)} mm,"
        yield f"The linkage by itself{place} {_limits(result.kind, one)}.{other}"
    ends = (
        ("the damper is right out at", result.damper_out_mm),
        ("full bump is at", result.full_bump_mm),
        ("the coils touch at", result.coil_bind_mm),
    )
    told = [f"{words} {figure(lift, 0)} mm" for words, lift in ends if lift is not None]
    if told:
        yield f"Both wheels together: {', '.join(told)}."


def _limits(kind: str, one: TravelLimit) -> str:
    if one.ends_below == "rack":
        return "is not led there: that is beyond the rack's travel"
    if one.lowest_mm is None or one.highest_mm is None:
        return "cannot be put together"
    low = f"{figure(one.lowest_mm, 0)} mm ({_end(kind, one.ends_below)})"
    high = f"{figure(one.highest_mm, 0)} mm ({_end(kind, one.ends_above)})"
    return f"reaches from {low} to {high}"


def _end(kind: str, member: str | None) -> str:
    return "no end found" if member is None else f"ended by {member_words(kind, member)}"


def member_words(kind: str, member: str) -> str:
    """A member of a linkage as it is spoken of."""
    known = {
        "tie": "the tie rod",
        "strut": "the strut",
        "pivots": "the pivots",
        "arm_bush": "the trailing arm's bush",
    }
    if member in known:
        return known[member]
    if kind in ("double_wishbone", "strut"):
        arm, _, leg = member.partition("_")
        if leg in ARMS:
            return f"the {arm} arm's {ARMS[leg]}"
    words = place_words(member)
    return f"the {words}" if words.endswith(("rod", "pivot", "bush")) else f"the rod '{words}'"


def _groups(rows: Sequence[TravelRow]) -> Iterator[tuple[TravelRow, ...]]:
    """Rows of one place of the rack after the other."""
    for place in dict.fromkeys(row.steer_mm for row in rows):
        yield tuple(row for row in rows if row.steer_mm == place)


def _table(page: Page, result: TravelResult, rows: Sequence[TravelRow], columns: Sequence[Column]) -> None:
    shown = [column for column in columns if any(getattr(row, column[0]) is not None for row in rows)]
    whole = all(abs(row.lift_mm - round(row.lift_mm)) < 1e-6 for row in rows)
    past = [row.inside and _past_damper(result, row) for row in rows]
    cells: list[list[Cell]] = []
    for row, marked in zip(rows, past, strict=True):
        lift = figure(row.lift_mm, 0 if whole else 1) + ("*" if marked else " " if any(past) else "")
        if row.inside:
            cells.append([lift, *(_cell(row, column) for column in shown)])
        else:
            cells.append([lift, ("beyond", "minor"), *[""] * max(0, len(shown) - 1)])
    heads = [LIFT + (" " if any(past) else ""), *(column[1] for column in shown)]
    if len(heads) == 1:
        heads.append("")
    page.columns(cells, align=">" * len(heads), header=heads, gap=1)


def _cell(row: TravelRow, column: Column) -> str:
    value = getattr(row, column[0])
    return "-" if value is None else figure(value * column[3], column[2])


def _past_damper(result: TravelResult, row: TravelRow) -> bool:
    """Whether the damper stops the wheel before this row; a table says nothing beyond its own rows."""
    if result.kind == "jack_table" or result.motion != "together":
        return False
    low, high = result.damper_out_mm, result.full_bump_mm
    return (low is not None and row.lift_mm < low - 1e-6) or (high is not None and row.lift_mm > high + 1e-6)


def _joints(result: TravelResult) -> Iterator[str]:
    most: dict[str, float] = {}
    for row in result.rows:
        for joint, angle in row.joints_deg.items():
            most[joint] = max(most.get(joint, 0.0), angle)
    if most:
        told = ", ".join(f"{place_words(joint)} {figure(angle, 0)}{DEGREE}" for joint, angle in most.items())
        yield f"Joints turn, at the most of these rows, by: {told}. Compare with what their makers allow."


def _doubt(result: TravelResult) -> Iterator[str]:
    """Worst uncertainty of what the tables show."""
    shown = [column[0] for column in (*WHEEL, *SPRING, *BODY)]
    worst: dict[str, float] = {}
    for row in result.rows:
        for key, sd in row.sigma.items():
            worst[key] = max(worst.get(key, 0.0), sd)
    told = []
    for key in shown:
        if worst.get(key, 0.0) > 0.0 and not key.startswith(("damper_ratio", "spring_ratio", "bump_steer")):
            words, unit = reading_words(key)
            gap = "" if unit == DEGREE else " "
            told.append(f"{words} {number(key, worst[key])}{gap}{unit}")
    if told:
        source = "the table's scatter" if result.kind == "jack_table" else "the points' doubt alone"
        yield f"Good to, by {source}, 1 sigma at the worst of these rows: {', '.join(told)}."


def _mm(value: float, *, signed: bool = False) -> str:
    return figure(value, 0 if abs(value - round(value)) < 1e-6 else 1, signed)
