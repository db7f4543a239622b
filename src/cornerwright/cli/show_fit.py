"""Laying out whether wheels and tyres fit: what is wrong, then wheel, tyre and clearances of each corner."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import good_to_know, wrong
from cornerwright.drawing.lettering import DEGREE, figure, place_words
from cornerwright.model.results_fit import CornerFit, FitResult, Inverse, Suggestion

VERDICTS = {
    "fits": "Everything that is known fits.",
    "warnings": "It goes on, with warnings.",
    "does not fit": "It does not fit.",
    "not enough is known": "Not enough is known: give rim, hub, tyre marking and room in the car file.",
}

CENTRED = {
    "spigot": "the hub's spigot",
    "spacer": "the spacer's spigot",
    "seats": "nuts alone",
    "nothing": "nothing",
    "blocked": "does not go on",
    None: "-",
}

Row = tuple[str, Callable[[CornerFit], str]]


def _of(value: float | None, decimals: int = 0, signed: bool = False) -> str:
    return "-" if value is None else figure(value, decimals, signed)


def _wheel(name: str, decimals: int = 0, signed: bool = False) -> Callable[[CornerFit], str]:
    return lambda one: "-" if one.wheel is None else _of(getattr(one.wheel, name), decimals, signed)


WHEEL: tuple[Row, ...] = (
    ("inset, mm", _wheel("inset_mm")),
    ("spacer, mm", _wheel("spacer_mm")),
    ("effective inset, mm", _wheel("effective_inset_mm")),
    ("inner face, mm", _wheel("inner_face_mm")),
    ("outer face, mm", _wheel("outer_face_mm", 0, True)),
    ("spigot in the bore, mm", _wheel("spigot_held_mm", 1)),
    ("play on it, mm", _wheel("spigot_play_mm", 2)),
    ("further out, mm", _wheel("further_out_mm", 0, True)),
    ("track, mm", _wheel("track_change_mm", 0, True)),
    ("scrub, mm", _wheel("scrub_mm", 0, True)),
    ("scrub changes, mm", _wheel("scrub_change_mm", 1, True)),
    ("bearings, N·m", _wheel("bearing_moment_nm")),
    ("they gain, N·m", _wheel("bearing_moment_change_nm", 0, True)),
    ("wheel rate, N/mm", _wheel("wheel_rate_n_per_mm", 1)),
    ("it changes, %", _wheel("wheel_rate_change_percent", 1, True)),
)
TYRE: tuple[Row, ...] = (
    ("section width, mm", lambda one: _of(one.tyre.section_width_mm)),
    ("diameter, mm", lambda one: _of(one.tyre.overall_diameter_mm)),
    ("free radius, mm", lambda one: _of(one.tyre.free_radius_mm)),
    ("loaded radius, mm", lambda one: _of(one.tyre.loaded_radius_mm)),
    ("load at rest, kg", lambda one: _of(one.tyre.load_kg)),
    ("must carry, kg", lambda one: _of(one.tyre.load_needed_kg)),
    ("may carry, kg", lambda one: _of(one.tyre.load_allowed_kg)),
    ("made for, km/h", lambda one: _of(one.tyre.speed_km_per_h)),
)


def fit(page: Page, result: FitResult) -> None:
    """What is wrong first, then the numbers."""
    page.title(result.car, "fit")
    page.para(VERDICTS[result.verdict], style="strong")
    wrong(page, result.findings)
    good_to_know(page, result.findings)
    names = tuple(result.corners)
    if names:
        heads = ["", *map(place_words, names)]
        _rows(page, result, "Wheel", WHEEL, heads)
        for words in _centring(result):
            page.para(words, indent=2, style="minor")
        _rows(page, result, "Tyre", TYRE, heads)
        for words in _markings(result):
            page.para(words, indent=2, style="minor")
    for name, one in result.corners.items():
        if one.clearances:
            _clearances(page, name, one)
        if one.inverse is not None:
            _inverse(page, name, one.inverse)
    page.gap()
    page.para(
        "Faces of the tyre from the hub's mounting face, outboard positive. Further out, track, scrub, bearings and "
        "rate: against the wheel that was here before.",
        style="minor",
    )
    for words in result.assumed:
        page.para(f"Assumed: {words}.", style="minor")
    page.para(
        "Turn each wheel lock to lock at full droop and full bump and look, before you drive: what was not measured "
        "is not known here. Road law decides how far wheels may stand out.",
        style="minor",
    )
    page.para(result.caution, style="minor")


def _rows(page: Page, result: FitResult, head: str, rows: tuple[Row, ...], heads: list[str]) -> None:
    shown: list[list[Cell]] = []
    for title, value in rows:
        cells = [value(one) for one in result.corners.values()]
        if any(cell != "-" for cell in cells):
            shown.append([title, *cells])
    if shown:
        page.head(head)
        page.columns(shown, align="<" + ">" * (len(heads) - 1), header=heads)


def _centring(result: FitResult) -> Iterator[str]:
    told: dict[str, list[str]] = {}
    for name, one in result.corners.items():
        if one.wheel is not None and one.wheel.centred_by is not None:
            told.setdefault(CENTRED[one.wheel.centred_by], []).append(place_words(name))
    for words, places in told.items():
        yield f"Centred by {words}: {', '.join(places)}."


def _markings(result: FitResult) -> Iterator[str]:
    told: dict[str, list[str]] = {}
    for name, one in result.corners.items():
        if one.tyre.marking is not None:
            told.setdefault(one.tyre.marking, []).append(place_words(name))
    for words, places in told.items():
        yield f"{words}: {', '.join(places)}."


def _clearances(page: Page, name: str, one: CornerFit) -> None:
    across = {"rack": "rack mm", "turn": f"turned {DEGREE}", "other wheel": "other mm"}.get(one.across_what or "", "")
    heads = ["", "least mm", "±", "at rest", "chance", "lift mm", *([across] if across else [])]
    rows: list[list[Cell]] = []
    for row in one.clearances:
        style = "limit" if row.clearance_mm < 0 else ""
        cells: list[Cell] = [
            place_words(row.obstacle),
            (figure(row.clearance_mm, 1), style),
            figure(row.sigma_mm, 1),
            figure(row.at_rest_mm, 1),
            _percent(row.chance),
        ]
        fixed = row.on == "carrier"
        cells.append("always" if fixed else figure(row.lift_mm, 0, signed=True))
        if across:
            cells.append("" if fixed else figure(row.across, 0, signed=True))
        rows.append(cells)
    page.head(f"Clearance, {place_words(name)}")
    page.columns(rows, align="<" + ">" * (len(heads) - 1), header=heads)
    for words in _in_words(one):
        page.para(words, indent=2, style="minor")


def _in_words(one: CornerFit) -> Iterator[str]:
    if one.lip_distance_mm is not None:
        side = "inside" if one.lip_distance_mm >= 0 else "outside"
        yield f"At rest the tyre's outer face lies {figure(abs(one.lip_distance_mm), 0)} mm {side} the lip."
    if one.lift_to_contact_mm is not None:
        yield f"It first touches at {figure(one.lift_to_contact_mm, 0, signed=True)} mm of lift."
    elif one.full_bump_mm is not None:
        yield f"It touches nothing up to full bump at {figure(one.full_bump_mm, 0, signed=True)} mm."
    if one.chance_of_rubbing is not None:
        yield f"Chance that it rubs anywhere: {_percent(one.chance_of_rubbing)}."


def _percent(chance: float) -> str:
    if 0 < chance < 5e-4:
        return "<0.1 %"
    return f"{figure(100 * chance, 0 if chance > 0.1 or chance == 0 else 1)} %"


def _inverse(page: Page, name: str, found: Inverse) -> None:
    wanted = f"{figure(found.wanted_mm, 0)} mm inside the lip, {figure(found.gap_mm, 0)} mm clear of everything"
    page.head(f"To stand {wanted}: {place_words(name)}")
    said = {
        "found": "Found.",
        "nearest only": "Not quite reached: this comes nearest.",
        "none keeps the gap": "Nothing on the shelf keeps the gap: this leaves the most.",
    }
    page.para(said[found.verdict], indent=2, style="strong")
    best = [*([found.best] if found.best else []), *found.others]
    rows: list[list[Cell]] = [_suggested(one) for one in best]
    heads = ["spacer", f"camber {DEGREE}", "lip mm", "least mm", "stud mm", "nearest, and what to turn"]
    page.columns(rows, align=">>>>>~", header=heads)


def _suggested(one: Suggestion) -> list[Cell]:
    turned = "; ".join(one.moves) or "camber as it is"
    return [
        figure(one.spacer_mm, 0 if one.spacer_mm == round(one.spacer_mm) else 1),
        figure(one.camber_deg, 2),
        figure(one.lip_distance_mm, 1),
        figure(one.least_clearance_mm, 1),
        _of(one.stud_mm),
        f"{place_words(one.nearest)}; {turned}",
    ]
