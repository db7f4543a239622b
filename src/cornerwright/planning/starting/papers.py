"""Answers become a car file, a first pass of readings and a targets file: values as typed, guesses marked as such."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from cornerwright.model.car import Car
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.files import validated
from cornerwright.model.mirror import with_right_corners
from cornerwright.model.parts import CORNERS
from cornerwright.model.reader import read_text
from cornerwright.model.reading import Readings
from cornerwright.model.starter import said
from cornerwright.model.target import Targets
from cornerwright.model.units import SHARE, WEIGHT, to_document
from cornerwright.planning.starting.asked import ENDS, Given, Question, typed
from cornerwright.planning.starting.axle_sheet import axle_sheet
from cornerwright.planning.starting.car_steps import WITHIN
from cornerwright.planning.starting.sheet import Sheet
from cornerwright.planning.starting.steps import missing, steps

CAR_HEAD = """A car for Cornerwright, entered step by step in the app.

Bare numbers are mm, N/mm, kg, deg, N and %. Any other unit may be written: '16 1/4 in', '450 lbf/in', 1°30'.
"A guess" stands beside each value that was not measured: measure it when you can, and write it here.
The left corner is given, the right one is its mirror but for what stands under `right`.

The reference pose is the car as it stood when it was measured: level floor, tyres at pressure, driver's weight in
the seat, rolled back and forth. Lift is counted from there, up (bump) positive.

Raised car: on stands, on firm ground, chocked; never under a jack alone. A compressed spring can kill.
Torques, thread engagement and wear limits come from the makers of your car and its parts, not from here."""

READINGS_HEAD = (
    """What was read on the car, one entry a pass, the last one last. The first is from the day it was entered."""
)

TARGETS_HEAD = """What is wanted. {aim: 630, within: 2} or {at_least: ..., at_most: ...}.
`hard: true` stands for what no plan may break. Height is that of the car file's height_point over the floor.
`front` and `rear` speak for both sides; front_left, front_right, rear_left, rear_right for one, and go before."""


@dataclass(frozen=True)
class Guess:
    """A value that was not measured."""

    step: str
    words: str
    value: str
    """As it stands in the file, with its unit."""
    doubt: str


@dataclass(frozen=True)
class Started:
    """A new car's papers, not yet on any disk."""

    car: Car
    readings: Readings | None
    targets: Targets | None
    car_text: str
    readings_text: str | None
    targets_text: str | None
    guesses: tuple[Guess, ...]


class Filling:
    """Takes each value, as typed or as guessed, and remembers what was guessed."""

    def __init__(self, given: Given) -> None:
        self.given = given
        self.guesses: list[Guess] = []
        self._questions: dict[str, tuple[str, Question]] = {
            one.name: (step.name, one) for step in steps(given) for one in step.every
        }

    def value(self, name: str, said_there: str = "") -> tuple[Any, str]:
        """A value as a file holds it and what stands beside it; None where there is none."""
        text = self.given.text(name)
        if text:
            return typed(text), said_there
        step, one = self._questions[name]
        if one.guess is None:
            return None, ""
        self.guessed(step, one.words, f"{one.guess} {one.unit}".strip(), one.doubt)
        return typed(one.guess), f"a guess, {one.doubt}: {said_there}" if said_there else f"a guess, {one.doubt}"

    def guessed(self, step: str, words: str, value: str, doubt: str) -> None:
        """Say that a value was guessed."""
        self.guesses.append(Guess(step, words, value, doubt))


def guesses(given: Given) -> tuple[Guess, ...]:
    """What would be guessed as things are."""
    filling = Filling(given)
    _fill_mass(filling)
    for end in ENDS:
        axle_sheet(end, filling)
    return tuple(filling.guesses)


def papers(given: Given, day: date, who: str = "") -> Started:
    """The car of these answers, its first pass and its targets. Raises Refusal with everything that is missing."""
    lacking = missing(given)
    if lacking:
        raise Refusal(Problem(None, None, gap.step, "", f"{gap.says} is missing") for gap in lacking)
    filling = Filling(given)
    car_text = _car(filling)
    readings_text, targets_text = _readings(given, day, who), _targets(given)
    return Started(
        validated(read_text(car_text, "car.yaml"), Car, with_right_corners),
        None if readings_text is None else validated(read_text(readings_text, "readings.yaml"), Readings),
        None if targets_text is None else validated(read_text(targets_text, "targets.yaml"), Targets),
        car_text,
        readings_text,
        targets_text,
        tuple(filling.guesses),
    )


def _car(filling: Filling) -> str:
    given = filling.given
    sheet = Sheet().put("format", "cornerwright car 1").put("name", given.text("name"))
    sheet.put("body_style", given.text("body_style") or None)
    year = typed(given.text("year"))
    sheet.put("year", int(year) if isinstance(year, float) else None)
    sheet.put("wheelbase", *filling.value("wheelbase", said("wheelbase")))
    mass, doubt = _fill_mass(filling)
    sheet.put("mass", mass, said("mass"))
    for end in ENDS:
        axle = axle_sheet(end, filling)
        sheet.put(end, axle)
    sheet.flat("doubt", {**doubt, "tyre_rate": "15 %"} if _tyre_guessed(given) else doubt,
               "standard deviations: of the whole, of its shares, of what was guessed")  # fmt: skip
    if filling.guesses:
        sheet.put("note", "Guesses, not measured: " + "; ".join(f"{one.step.replace('-', ' ')}: {one.words}"
                                                                for one in filling.guesses)[:3900])  # fmt: skip
    return sheet.text(CAR_HEAD)


def _tyre_guessed(given: Given) -> bool:
    return any(not given.text(f"{end}.tyre_rate") for end in ENDS)


def _fill_mass(filling: Filling) -> tuple[Sheet, dict[str, Any]]:
    """Total and shares by scales, by axles or by estimate; and their doubt."""
    given = filling.given
    sheet = Sheet()
    doubt: dict[str, Any] = {}
    match given.choice("weigh", "corners"):
        case "corners":
            loads = [given.si(f"load.{corner}", WEIGHT) or 0.0 for corner in CORNERS]
            whole = sum(loads)
            sheet.put("total", _rounded(whole, WEIGHT), "four scales, added up")
            if whole > 0:
                sheet.put("front", _percent((loads[0] + loads[1]) / whole), said("mass.front"))
                sheet.put("left", _percent((loads[0] + loads[2]) / whole), said("mass.left"))
            doubt = {"total_mass": "1 %", "weight_share": "0.5 %"}
        case "axles":
            loads = [given.si(f"load.{end}", WEIGHT) or 0.0 for end in ENDS]
            whole = sum(loads)
            sheet.put("total", _rounded(whole, WEIGHT), "both axles, added up")
            if whole > 0:
                sheet.put("front", _percent(loads[0] / whole), "the front axle over the total")
            sheet.put("left", *filling.value("left_share", said("mass.left")))
            doubt = {"total_mass": "2 %", "weight_share": "2 %"}
        case _:
            sheet.put("total", typed(given.text("total")), "an estimate")
            sheet.put("front", *filling.value("front_share", said("mass.front")))
            sheet.put("left", *filling.value("left_share", said("mass.left")))
            doubt = {"total_mass": filling.value("total_doubt")[0], "weight_share": "3 %"}
    sheet.put("cg_height", *filling.value("cg_height", said("mass.cg_height")))
    return sheet, {**doubt, "cg_height": "30 mm"}


def _rounded(value: float, kind: Any) -> float:
    return round(to_document(value, kind), 2)


def _percent(share: float) -> str:
    return f"{to_document(share, SHARE):.2f} %"


def _readings(given: Given, day: date, who: str) -> str | None:
    """The heights and loads of the day: a first pass. Heights to the hub stay out: they are read to the floor."""
    to_floor = given.choice("height_to", "floor") == "floor"
    scales = given.choice("weigh", "corners") == "corners"
    corners = {}
    for corner in CORNERS:
        read: dict[str, Any] = {}
        if to_floor and given.text(f"height.{corner}"):
            read["height"] = typed(given.text(f"height.{corner}"))
        if scales:
            read["load"] = typed(given.text(f"load.{corner}"))
        if read:
            corners[corner] = read
    if not corners:
        return None
    one = Sheet().put("when", day.isoformat()).put("who", who or None)
    one.flat("state", {"bars": "connected", "bushes": "clamped"}, "or loose: what was undone while you read")
    for corner, read in corners.items():
        one.flat(corner, read)
    return (
        Sheet().put("format", "cornerwright readings 1").put("car", given.text("name")).listed("passes", [one])
        .text(READINGS_HEAD)
    )  # fmt: skip


def _targets(given: Given) -> str | None:
    """What is wanted; None where nothing is."""
    sheet = Sheet().put("format", "cornerwright targets 1").put("name", "as entered at the start")
    any_wanted = False
    for end in ENDS:
        group = Sheet()
        for name in ("height", "camber", "toe", "caster"):
            text = given.text(f"want.{end}.{name}")
            if text:
                group.flat(name, _aim(given, f"want.{end}.{name}", name))
                any_wanted = True
        sheet.put(end, group)
    if given.text("want.cross"):
        sheet.put("car", Sheet().flat("cross_weight", _aim(given, "want.cross", "cross")))
        any_wanted = True
    return sheet.text(TARGETS_HEAD) if any_wanted else None


def _aim(given: Given, name: str, what: str) -> dict[str, Any]:
    return {"aim": typed(given.text(name)), "within": typed(given.text(f"{name}.within") or WITHIN[what])}
