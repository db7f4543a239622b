"""Why a number on a screen or a card is what it is."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable
from typing import Any

from pydantic import BaseModel

from cornerwright.assembly.report import corner_index
from cornerwright.assembly.travel import travel
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.reading import Reading, Readings
from cornerwright.model.results_why import WhyDoubt, WhyInput, WhyResult
from cornerwright.planning.braking import brakes
from cornerwright.planning.cornering import corner as turn
from cornerwright.planning.drawn import NOT_VARIED, drawn_cars
from cornerwright.planning.fitment import fit
from cornerwright.planning.joints import WHEEL, joints
from cornerwright.planning.ride import road
from cornerwright.planning.why.by_pads import by_pads
from cornerwright.planning.why.car_fields import fields_of
from cornerwright.planning.why.explained import Explained, unit_of
from cornerwright.planning.why.of_brakes import PADS
from cornerwright.planning.why.of_stand import CAR
from cornerwright.planning.why.registry import Found, find
from cornerwright.planning.why.standing import Standing

NOT_COMPUTED = "not computed"
DRAWN = ("travel", "fit", "brakes", "road", "corner")
"""Answers whose numbers may be taken of many cars; those of the car at rest have their doubt by derivatives."""
LEAST_CARS, USUAL_CARS, MOST_CARS = 8, 24, 1000


def why(
    car: Car,
    key: str,
    corner: str | None = None,
    readings: Readings | Reading | None = None,
    joint: str | None = None,
    *,
    cars: int = 0,
    random: int = 1,
    progress: Callable[[float, str], None] = lambda _share, _words: None,
) -> WhyResult:
    """What a number is, its equation and source, what goes into it for this car, and how sure it is.

    key: as in the JSON of a command, with the command before it where two have it (`joint.torque_nm`), with a number
    where there are several (`brakes.rows[2].foot_n`); `road` and `corner` as without options. corner: where
    the number belongs to one. readings: the car as they say it is, for numbers of the car at rest. joint: full name
    of one (`front_left.lower_arm`); without it the corner's wheel. cars: of how many cars that the file could mean,
    drawn from `random`, the standard deviation is taken where none is computed with the number (`DRAWN`); 0: of none.
    Raises Refusal, also for what the car file does not say enough for.
    """
    if cars and not LEAST_CARS <= cars <= MOST_CARS:
        raise Refusal.of(f"{cars} cars", f"{LEAST_CARS} to {MOST_CARS}", field="--cars")
    found = find(key)
    place: CornerName | None = None if corner is None else CORNERS[corner_index(corner)]
    if found.answer == "stand":
        return _of_stand(car, found, place, readings)
    if found.answer in ("plan", "learn", "doubt"):
        return _without_value(car, found)
    name, root, unfolded = _answer(car, found, place, joint)
    parts = found.key.split(".")
    scopes, value, path = _walk(root, parts, found.at, name, unfolded)
    number = _number(value)
    sure = _doubt(found.explained, scopes)
    if cars and number is not None and sure.sigma is None and found.answer in DRAWN:
        sure = _drawn(car, found, place, cars, random, progress)
    return WhyResult(
        car=car.name,
        answer=found.answer,
        key=path,
        place=name,
        what=found.explained.what,
        value=number,
        unit=unit_of(found.key),
        equation=found.explained.equation,
        source=found.explained.source,
        inputs=(*_values_of(value, unit_of(found.key)), *_inputs(found.explained, scopes, car, place)),
        doubt=sure if cars else _by_pads(car, found, parts) or sure,
    )


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def _drawn(
    car: Car,
    found: Found,
    corner: CornerName | None,
    cars: int,
    random: int,
    progress: Callable[[float, str], None],
) -> WhyDoubt:
    """The scatter of the number over cars that the file could mean."""
    values = []
    for k, one in enumerate(drawn_cars(car, cars, random)):
        progress(k / cars, f"car {k + 1} of {cars} that the file could mean")
        try:
            if one is not None:
                name, root, unfolded = _answer(one, found, corner, None)
                values.append(_number(_walk(root, found.key.split("."), found.at, name, unfolded)[1]))
        except (Refusal, ValueError, ArithmeticError):
            continue  # told by how many are left
    known = [one for one in values if one is not None]
    if len(known) < LEAST_CARS:
        return WhyDoubt(comes_from=f"only {len(known)} of {cars} cars that the file could mean have this number")
    words = (
        f"scatter of {len(known)} of {cars} cars that the file could mean, itself known to "
        f"{50 * math.sqrt(2.0 / (len(known) - 1)):.0f} %"
    )
    if found.answer == "road":
        words += f"; not varied: {NOT_VARIED}"
    return WhyDoubt(sigma=statistics.stdev(known), comes_from=words)


def _by_pads(car: Car, found: Found, parts: list[str]) -> WhyDoubt | None:
    """The range that the pads' friction makes, of numbers of the brakes that go with it."""
    if found.answer != "brakes" or found.explained.doubt != PADS:
        return None
    ends = by_pads(car, parts, found.at)
    return None if ends is None else WhyDoubt(low=ends[0], high=ends[1], comes_from=PADS)


def _of_stand(car: Car, found: Found, corner: CornerName | None, readings: Readings | Reading | None) -> WhyResult:
    of_car = found.key in CAR or found.key == "cg_height_mm"
    if not of_car and corner is None:
        raise _no_corner(found.key)
    corner = None if of_car else corner
    at_rest = Standing.of(car, readings)
    value = at_rest.value(found.key, corner)
    explained = found.explained
    if value is None or explained.doubt:
        doubt = WhyDoubt(comes_from=explained.doubt or "not known for this car")
    else:
        doubt = at_rest.doubt(found.key, corner)
    return WhyResult(
        car=car.name,
        answer="stand",
        key=found.key,
        place=corner or "car",
        what=explained.what,
        value=value,
        unit=unit_of(found.key),
        equation=explained.equation,
        source=explained.source,
        inputs=at_rest.inputs(explained, found.key, corner),
        doubt=doubt,
    )


def _without_value(car: Car, found: Found) -> WhyResult:
    """A number that only its own command computes: it needs targets, readings or many cars."""
    return WhyResult(
        car=car.name,
        answer=found.answer,
        key=found.key,
        place="car",
        what=found.explained.what,
        value=None,
        unit=unit_of(found.key),
        equation=found.explained.equation,
        source=found.explained.source,
        doubt=WhyDoubt(comes_from=found.explained.doubt or f"see cornerwright {found.answer}"),
    )


def _answer(car: Car, found: Found, corner: CornerName | None, joint: str | None) -> tuple[str, BaseModel, str | None]:
    """Place, the part of the answer that the key begins in, and the corner by which its lists are searched."""
    if found.answer in ("brakes", "road", "corner"):
        if corner is None and found.key.startswith("corners."):
            raise _no_corner(found.key)
        whole: BaseModel = (
            brakes(car) if found.answer == "brakes" else road(car) if found.answer == "road" else turn(car)
        )
        return corner or "car", whole, corner
    if found.answer == "joint":
        if joint is None and corner is None:
            raise Refusal.of("no joint", "the name of a joint, or a corner for its wheel", field="--joint")
        name = joint or f"{corner}.{WHEEL}"
        return name, joints(car, name).joints[0], None
    if corner is None:
        raise _no_corner(found.key)
    if found.answer == "fit":
        told = fit(car, corner).corners
        if corner not in told:
            raise Refusal.of("a car file that says nothing of this wheel's fit", "rim, hub or room in the car file")
        return corner, told[corner], None
    at_rest = Standing.of(car, None).value("lift_mm", corner)
    return corner, travel(car, corner, [(at_rest or 0.0) / 1000.0]), None


def _no_corner(key: str) -> Refusal:
    return Refusal.of("no corner", f"one of {', '.join(CORNERS)}: each has its own {key}", field="--corner")


def _walk(
    root: BaseModel, parts: list[str], at: tuple[int | None, ...], place: str, corner: str | None
) -> tuple[list[dict[str, Any]], Any, str]:
    """The values around the number, nearest first, the number itself, and its path with the numbers of its lists."""
    node: Any = root
    scopes: list[dict[str, Any]] = []
    path: list[str] = []
    for depth, part in enumerate(parts):
        if node is None:
            return scopes, None, ".".join([*path, *parts[depth:]])
        scopes.insert(0, node.model_dump())
        node = getattr(node, part)
        if isinstance(node, dict) and corner in node and isinstance(node[corner], BaseModel):
            node = node[corner]
        if isinstance(node, tuple) and (at[depth] is not None or any(isinstance(one, BaseModel) for one in node)):
            asked = at[depth]
            which = _which(node, corner, scopes) if asked is None else asked
            if which >= len(node):
                raise Refusal.of(f"number {which} of {len(node)} {part}", f"0 to {len(node) - 1}", field="KEY")
            node = node[which]
            path.append(f"{part}[{which}]")
            continue
        if isinstance(node, tuple) and not node:
            node = None
        path.append(part)
    if isinstance(node, dict) and place in node:
        node = node[place]
    return scopes, node, ".".join(path)


def _which(items: tuple[Any, ...], corner: str | None, scopes: list[dict[str, Any]]) -> int:
    """Which of several, where the question does not say: of this corner, of the load asked for, else the first."""
    for k, one in enumerate(items):
        if corner is not None and getattr(one, "corner", None) == corner:
            return k
        if scopes and getattr(one, "load", None) is not None and one.load == scopes[-1].get("load"):
            return k
    return 0


def _values_of(value: Any, unit: str) -> list[WhyInput]:
    """A number that is really several, as inputs beside it."""
    if isinstance(value, dict):
        return [
            WhyInput(name=str(name), value=float(one), unit=unit, comes_from="computed") for name, one in value.items()
        ]
    if isinstance(value, list | tuple):
        return [WhyInput(name="values", value=str(value)[:160], unit=unit, comes_from="computed")]
    return []


def _inputs(
    explained: Explained, scopes: list[dict[str, Any]], car: Car, corner: CornerName | None
) -> tuple[WhyInput, ...]:
    found = []
    for name in explained.answers:
        value = _in_scopes(scopes, name)
        if value is not None:
            told = float(value) if isinstance(value, int | float) and not isinstance(value, bool) else str(value)
            found.append(WhyInput(name=name, value=told, unit=unit_of(name), comes_from="computed"))
    return (*found, *fields_of(car, explained.file, corner))


def _in_scopes(scopes: list[dict[str, Any]], name: str) -> Any:
    """The value of this name in the nearest part of the answer that has it."""
    for scope in scopes:
        node: Any = scope
        for part in name.split("."):
            node = node[0] if isinstance(node, tuple | list) and node else node
            node = node.get(part) if isinstance(node, dict) else None
        if node is not None:
            return node
    return None


def _doubt(explained: Explained, scopes: list[dict[str, Any]]) -> WhyDoubt:
    if explained.sigma is not None:
        sigma = _in_scopes(scopes[:1], explained.sigma)
        if sigma is not None:
            return WhyDoubt(sigma=float(sigma), comes_from=explained.doubt or "computed with the number")
    if explained.between is not None:
        low, high = (_in_scopes(scopes[:1], name) for name in explained.between)
        if low is not None and high is not None:
            return WhyDoubt(low=low, high=high, comes_from=explained.doubt or " and ".join(explained.between))
    return WhyDoubt(comes_from=explained.doubt or NOT_COMPUTED)
