"""Reading what stands on the command line, and naming what is wrong with it."""

from __future__ import annotations

import contextlib
import math
from difflib import get_close_matches
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.units import LENGTH, Kind, from_document, parse, to_document

if TYPE_CHECKING:
    from cornerwright.assembly.turn_inputs import Driven
    from cornerwright.mechanics.road import RoadClass
    from cornerwright.model.car import Car

MOST_LIFTS = 2001
SPEEDS = (5.0, 300.0)
"""At which a car is driven over a road [km/h]."""
CLASSES: tuple[RoadClass, ...] = ("A", "B", "C", "D", "E", "F", "G", "H")
DRIVEN: tuple[Driven, ...] = ("front", "rear", "both")

RACK_WORDS = "rack travels in mm, positive to the left: from:to:step as in -60:60:20, or single ones as in -40,0,40"

LIFT_WORDS = "lifts in mm: from:to:step as in -80:80:20, or single ones as in -40,0,25"


def did_you_mean(word: str, known: tuple[str, ...] | list[str]) -> str:
    """Words to append to what was expected: the nearest known word, or nothing."""
    near = get_close_matches(word.lower().replace("-", "_"), known, n=1, cutoff=0.6)
    return f"; did you mean {near[0]}?" if near else ""


def one_of(word: str, known: tuple[str, ...], field: str) -> str:
    """The word if it is known. Raises Refusal with the nearest known one."""
    plain = word.strip().lower().replace("-", "_").replace(" ", "_")
    if plain in known:
        return plain
    listed = ", ".join(known[:-1]) + f" or {known[-1]}"
    raise Refusal.of(f"'{word}'", listed + did_you_mean(word, known), field=field)


def read_corner(word: str) -> CornerName:
    """Corner of this name; hyphens and blanks are taken for underlines. Raises Refusal."""
    found = one_of(word, CORNERS, "--corner")
    return next(corner for corner in CORNERS if corner == found)


def read_lifts(text: str, field: str = "--lift", words: str = LIFT_WORDS) -> list[float]:
    """Lifts [m], or other lengths, from `from:to:step` (both ends included) or `a,b,c`. Raises Refusal."""
    try:
        lifts = _ladder(text) if ":" in text else _list(text)
    except Refusal as refusal:
        # The found part alone ("an empty text") would not show what was typed.
        found = "; ".join(problem.found for problem in refusal.problems)
        where = f"'{text}'" if text in found else f"'{text}' ({found})"
        raise Refusal.of(where, words, field=field) from None
    check_count(len(lifts), field)
    return lifts


def check_count(count: int, field: str) -> None:
    """Refuse more rows than anyone reads."""
    if count > MOST_LIFTS:
        raise Refusal.of(f"{count} rows", f"{MOST_LIFTS} at most", field=field)


def bare(text: str) -> str | float:
    """A bare number, which is in the document's unit; else the text with its unit."""
    with contextlib.suppress(ValueError):
        return float(text)
    return text.strip()


def read_quantity(text: str, kind: Kind, field: str) -> float:
    """One quantity [SI]. Raises Refusal."""
    try:
        return parse(bare(text), kind)
    except Refusal as refusal:
        one = refusal.problems[0]
        raise Refusal.of(one.found, one.expected, field=field) from None


def read_limited(text: str, kind: Kind, field: str, limits: tuple[float, float]) -> float:
    """One quantity [SI], inside limits given in its document unit. Raises Refusal."""
    value = read_quantity(text, kind, field)
    shown = to_document(value, kind)
    if not limits[0] <= shown <= limits[1]:
        raise Refusal.of(f"{shown:g} {kind.unit}", f"{limits[0]:g} to {limits[1]:g} {kind.unit}", field=field)
    return value


def read_length(text: str, field: str) -> float:
    """One length [m]. Raises Refusal."""
    return read_quantity(text, LENGTH, field)


def read_road_class(text: str) -> RoadClass:
    """Class of a road by ISO 8608, in any case of letter. Raises Refusal."""
    plain = text.strip().upper()
    for one in CLASSES:
        if one == plain:
            return one
    raise Refusal.of(f"'{text}'", f"a class of road: {', '.join(CLASSES)}", field="--class")


def read_driven(text: str) -> Driven:
    """Which axle is driven. Raises Refusal."""
    found = one_of(text, DRIVEN, "--driven")
    return next(one for one in DRIVEN if one == found)


def check_radius(radius: float) -> None:
    """Refuse a circle [m] that no car turns on or that is a straight. Raises Refusal."""
    if not 5.0 <= radius <= 1000.0:
        raise Refusal.of(f"{radius:g}", "a radius from 5 to 1000 m", field="--radius")


def check_random(number: int) -> None:
    """Refuse a number that nothing can be drawn from. Raises Refusal."""
    if number < 0:
        raise Refusal.of(f"{number}", "a whole number from 0 on", field="--random")


def read_picture(path: Path | None, field: str) -> str | None:
    """Format of a picture by the ending of its name: `svg` or `png`. Raises Refusal for another."""
    if path is None:
        return None
    ending = path.suffix.lower().lstrip(".")
    if ending not in ("svg", "png"):
        raise Refusal.of(f"{path}", "a file whose name ends in .svg or .png", field=field)
    return ending


def _list(text: str) -> list[float]:
    return [parse(part.strip(), LENGTH) for part in text.split(",")]


def _ladder(text: str) -> list[float]:
    parts = text.split(":")
    if len(parts) != 3:
        raise Refusal.of(f"{len(parts)} parts", "three")
    first, last, step = (parse(part.strip(), LENGTH) for part in parts)
    if step == 0 or (last - first) * step < 0:
        raise Refusal.of("a step that does not lead from the first to the last", "another")
    count = math.floor((last - first) / step + 1e-9) + 1
    if count > MOST_LIFTS:
        raise Refusal.of(f"{count} lifts, {MOST_LIFTS} are allowed", "fewer")
    # Whole steps counted in mm: 0.02 m added four times is not 0.08 m.
    start, stride = to_document(first, LENGTH), to_document(step, LENGTH)
    return [from_document(start + k * stride, LENGTH) for k in range(count)]


def even_lifts(lowest: float, highest: float, about: int = 10) -> list[float]:
    """About so many lifts [m]: lowest and highest [mm] and round millimetres between them."""
    span = max(highest - lowest, 1e-6)
    strides = [size * 10.0**power for power in range(-3, 4) for size in (1, 2, 5)]
    stride = next((one for one in strides if span / one <= about), strides[-1])
    first = math.ceil(lowest / stride - 1e-9)
    last = math.floor(highest / stride + 1e-9)
    between = {k * stride for k in range(first, last + 1)}
    return [from_document(lift, LENGTH) for lift in sorted({lowest, highest} | between)]


def finer(lifts: list[float], least: int = 33) -> list[float]:
    """The lifts [m] with others between them, at least so many over the whole, so that a chart's lines are curves."""
    ordered = sorted(set(lifts))
    if len(ordered) < 2:
        return ordered
    stride = (ordered[-1] - ordered[0]) / (least - 1)
    parts = [max(1, math.ceil((high - low) / stride - 1e-9)) for low, high in pairwise(ordered)]
    steps = zip(pairwise(ordered), parts, strict=True)
    return [low + (high - low) * k / n for (low, high), n in steps for k in range(n)] + [ordered[-1]]


def refusal_of_usage(error: Any) -> Refusal:
    """Refusal from the command line library's usage error, in our words.

    Known by name, not by class: typer brings its own copy of the library in some versions.
    """
    kind = type(error).__name__
    context = getattr(error, "ctx", None)
    path = getattr(context, "command_path", "cornerwright")
    see = f"see {path} --help"
    if kind in ("NoSuchOption", "BadOptionUsage"):
        option = str(error.option_name)
        if kind == "BadOptionUsage":
            return Refusal.of("an option used wrongly", f"{_plain(error)}; {see}", field=option)
        names = [name for one in _parameters(context) for name in one.opts]
        return Refusal.of(
            f"the unknown option {option}",
            f"an option of {path}{did_you_mean_option(option, names)}; {see}",
        )
    parameter = getattr(error, "param", None)
    if parameter is not None:
        field = parameter.opts[0] if parameter.opts[0].startswith("-") else parameter.name.upper()
        wanted = (getattr(parameter, "help", None) or "a value").rstrip(".")
        found = "nothing" if kind == "MissingParameter" else str(error.message).rstrip(".")
        return Refusal.of(found, f"{wanted[0].lower()}{wanted[1:]}; {see}", field=field)
    return Refusal(Problem(None, None, "", _plain(error), see))


def did_you_mean_option(option: str, known: list[str]) -> str:
    """Like did_you_mean, for options with their dashes."""
    near = get_close_matches(option, known, n=1, cutoff=0.5)
    return f"; did you mean {near[0]}?" if near else ""


def _parameters(context: Any) -> list[Any]:
    return [] if context is None else list(context.command.params)


def _plain(error: Any) -> str:
    words = " ".join(str(error.format_message()).split()).rstrip(".")
    return words[:1].lower() + words[1:]


def read_setting(car: Car, text: str, field: str = "--set") -> tuple[str, float]:
    """An adjuster's full name and its travel [m] from `front_left.perch=24`. Raises Refusal."""
    name, sign, value = text.partition("=")
    if not sign or not value.strip():
        raise Refusal.of(f"'{text}'", "an adjuster and its setting, such as front_left.perch=24", field=field)
    adjusters = car.adjusters()
    name = name.strip().replace("-", "_")
    if name not in adjusters:
        known = ", ".join(adjusters) or "none"
        raise Refusal.of(f"'{name}'", f"one of {known}{did_you_mean(name, tuple(adjusters))}", field=field)
    try:
        return name, adjusters[name].travel_of(bare(value))
    except Refusal as refusal:
        one = refusal.problems[0]
        raise Refusal.of(f"{name} at {value.strip()}", one.expected, field=field) from None
