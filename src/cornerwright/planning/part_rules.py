"""Parts before they are bought or bolted on: do they fit this car, what is missing, are they on the right side.

Rules of what a part fits are the makers' own words, `saloon 1971-1979 front left`. Understood in them are years, ends
and sides of the car, `not`, and the car's own body style; where other words stand the reader must judge, and is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from cornerwright.model.car import Car
from cornerwright.model.part_facts import Need, PartFacts
from cornerwright.model.parts import CornerName
from cornerwright.model.results import Finding
from cornerwright.model.results_fit import CornerFit
from cornerwright.model.units import LENGTH, to_document
from cornerwright.planning.findings import finding

STYLES = frozenset(
    {"saloon", "sedan", "coupe", "coupé", "estate", "tourer", "wagon", "convertible", "roadster", "hatchback", "van"}
)
ENDS = frozenset({"front", "rear"})
SIDES = frozenset({"left", "right"})
EMPTY = frozenset({"axle", "side", "only", "and", "the", "models", "model", "all", "years", "year"})
"""Words that decide nothing."""

YEARS = re.compile(r"(?:(?P<from>from|since|until|to)\s+)?(?P<first>\d{4})(?:\s*(?:-|–|to|until)\s*(?P<last>\d{4})?)?")
SPAN = "\0"
"""Stands for years among the words of a rule, so that `not` speaks of them too."""

TURNS_BACK = {"left": "clockwise", "right": "counterclockwise"}
"""The way vanes run from the middle out, seen from outboard, so that the turning disc throws air outward.

Driving on, a left wheel seen from outboard turns counterclockwise, and the vanes must lean back against that, as
those of a centrifugal fan do: common practice, no source.
"""


def part_findings(car: Car, told: Mapping[CornerName, CornerFit]) -> list[Finding]:
    """Everything about every part in the car file."""
    found: list[Finding] = []
    for part in car.parts:
        for rule in (_fits, _hand, _vanes):
            found.extend(rule(car, part))
        for need in part.needs:
            found.extend(_need(car, part, need, told))
    return found


def _say(part: PartFacts, level: str, says: str, do: str) -> Finding:
    return finding(level, part.at, "part", f"{part.name}: {says}", do)


def _end_and_side(part: PartFacts) -> tuple[str | None, str | None]:
    words = part.at.split("_")
    end = words[0] if words[0] in ENDS else None
    return end, words[1] if len(words) == 2 else None


# ------------------------------------------------------------------ what it fits


def judge(rule: str, car: Car, part: PartFacts) -> tuple[bool | None, tuple[str, ...]]:
    """Whether a rule holds: True, False, or None where that cannot be told; and the words that are not understood.

    Every word counts: all of them must hold. A word after `not` must not.
    """
    text = rule.lower().replace(SPAN, " ")
    end, side = _end_and_side(part)
    verdict: bool | None = True
    unknown: list[str] = []

    def add(holds: bool | None) -> None:
        nonlocal verdict
        if holds is False or verdict is False:
            verdict = False
        elif holds is None:
            verdict = None

    years = YEARS.finditer(text)
    turned = False
    for word in re.findall(rf"[a-zà-ÿ0-9/]+|{SPAN}", YEARS.sub(f" {SPAN} ", text)):
        if word == "not":
            turned = True
            continue
        holds: bool | None
        if word in EMPTY:
            continue
        if word == SPAN:
            span = next(years)
            holds = None if car.year is None else _in_years(span, car.year)
        elif word in ENDS or word in SIDES:
            where = end if word in ENDS else side
            holds = None if where is None else word == where
        elif car.body_style is not None and word in car.body_style.lower().split():
            holds = True
        elif word in STYLES:
            holds = None if car.body_style is None else False
        else:
            unknown.append(word)
            holds = None
        add(holds if holds is None or not turned else not holds)
        turned = False
    return verdict, tuple(unknown)


def _in_years(match: re.Match[str], year: int) -> bool:
    first, last, way = int(match["first"]), match["last"], match["from"]
    if last is not None:
        return first <= year <= int(last)
    if way in ("until", "to"):
        return year <= first
    open_ended = way in ("from", "since") or match[0].rstrip() != match["first"]
    return year >= first if open_ended else year == first


def _fits(car: Car, part: PartFacts) -> Iterator[Finding]:
    if not part.fits:
        return
    judged = [judge(rule, car, part) for rule in part.fits]
    if any(holds for holds, _ in judged):
        return
    rules = "; ".join(part.fits)
    if all(holds is False for holds, _ in judged):
        what = " ".join(str(one) for one in (car.body_style, car.year, part.at.replace("_", " ")) if one is not None)
        yield _say(part, "limit", f"it fits {rules}; this is: {what}", "ask its maker before you buy it or bolt it on")
        return
    unknown = sorted({word for holds, words in judged if holds is None for word in words})
    missing = [name for name, known in (("body_style", car.body_style), ("year", car.year)) if known is None]
    if unknown:
        reason = f"what is meant by {', '.join(unknown)} you must judge"
    elif missing:
        reason = f"the car file does not say its {' and '.join(missing)}"
    else:
        reason = f"where it goes is given as {part.at}, not to the side and end"
    yield _say(part, "note", f"it fits {rules}: {reason}", "read its maker's list with the car's papers at hand")


# ------------------------------------------------------------------ which way round


def _hand(car: Car, part: PartFacts) -> Iterator[Finding]:
    _, side = _end_and_side(part)
    if part.hand is None:
        return
    if side is None:
        yield _say(
            part,
            "note",
            f"it is made for the {part.hand} side; where it goes is {part.at}",
            "say which corner it is on",
        )
    elif part.hand != side:
        yield _say(
            part,
            "limit",
            f"it is made for the {part.hand} side and is on the {side}",
            "change it over with the part of the other side",
        )


def _vanes(car: Car, part: PartFacts) -> Iterator[Finding]:
    _, side = _end_and_side(part)
    if part.vanes in (None, "straight") or side is None:
        return
    if part.vanes != TURNS_BACK[side]:
        yield _say(
            part,
            "limit",
            f"its vanes run {part.vanes} from the middle out, seen from outboard; on the {side} side they must run "
            f"{TURNS_BACK[side]}, or the disc draws air in instead of throwing it out",
            "change the discs over; the vanes inside count, not the pattern of holes or grooves",
        )
    elif part.holes not in (None, "straight", part.vanes):
        yield _say(
            part,
            "note",
            f"its vanes are right for the {side} side although its holes or grooves run the other way",
            "leave it: the vanes count, not the pattern of holes",
        )


# ------------------------------------------------------------------ what it needs


def _need(car: Car, part: PartFacts, need: Need, told: Mapping[CornerName, CornerFit]) -> Iterator[Finding]:
    what = need.says or {"ring": "a centring ring", "studs": "longer studs", "clearance": "more room"}.get(
        need.what, ""
    )
    if need.size is not None:
        what += f" ({to_document(need.size, LENGTH):.4g} mm)"
    do = "get it before the part is bolted on"
    if need.met is not None:
        if not need.met:
            yield _say(part, "warning", f"it needs {what}, which is missing", do)
        return
    there = _places(car, part)
    if need.what == "ring":
        bare = [name for name in there if not _has_ring(car, name, need.size)]
        if bare:
            yield _say(part, "warning", f"it needs {what}: there is none at {_list(bare)}", do)
    elif need.what == "clearance" and need.size is not None:
        size = to_document(need.size, LENGTH)
        least = {name: told[name].least_mm for name in there if name in told}
        short = [name for name, one in least.items() if one is not None and one < size]
        if short:
            worst = min(value for name in short if (value := least[name]) is not None)
            yield _say(
                part, "warning", f"it needs {what}: {worst:.1f} mm are left at {_list(short)}", "see the clearances"
            )
        elif not any(one is not None for one in least.values()):
            yield _say(
                part, "note", f"it needs {what}: no clearance is known there", "measure the room around the wheel"
            )
    else:
        yield _say(
            part, "note", f"it needs {what}: the file does not say whether it is there", "write met: true or false"
        )


def _places(car: Car, part: PartFacts) -> list[CornerName]:
    return [name for name in car.corners if part.at in ("car", name) or name.startswith(f"{part.at}_")]


def _has_ring(car: Car, name: CornerName, size: float | None) -> bool:
    wheel = car.corners[name].wheel
    rings = [part.ring for part in (wheel.rim, wheel.spacer) if part is not None and part.ring is not None]
    return any(size is None or abs(ring.outer - size) < 0.5e-3 for ring in rings)


def _list(names: list[CornerName]) -> str:
    return ", ".join(name.replace("_", " ") for name in names)
