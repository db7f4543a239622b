"""Validation errors in plain words, each at its line of the file."""

from __future__ import annotations

import datetime
import difflib
import enum
import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from cornerwright.model.base import POINT_WORDS, Point
from cornerwright.model.errors import Problem
from cornerwright.model.tree import Path, Tree, dotted, in_order
from cornerwright.model.units import Kind, Quantity, describe, to_document

Aliases = Callable[[Path], Path]


def problems_from(
    error: ValidationError,
    tree: Tree,
    model: type[BaseModel],
    aliases: Aliases | None = None,
) -> list[Problem]:
    """Every error as a Problem with file, line, field, found and expected, in the file's order.

    aliases says where the value at a path was taken from when the file does not hold that path
    itself (a right corner completed from the left). Where the same problem stands at both paths,
    it is told once, at the place that is written.
    """
    told: dict[tuple[Path, str], _Told] = {}
    errors = error.errors(include_url=False)
    for one in errors:
        if one["type"] == "too_short" and _is_enough(one, errors):
            continue
        told_now = _tell(one, model)
        key = (told_now.path, told_now.found)
        before = told.get(key)
        # A union reports one error for each thing it would have taken.
        if before is not None and told_now.expected not in before.expected:
            told_now = replace(told_now, expected=f"{before.expected}, or {told_now.expected}")
        elif before is not None:
            continue
        told[key] = told_now
    return in_order([_placed(one, tree, aliases) for one in _once(list(told.values()), tree, aliases)])


@dataclass(frozen=True)
class _Told:
    path: Path
    found: str
    expected: str


def _once(told: list[_Told], tree: Tree, aliases: Aliases | None) -> list[_Told]:
    if aliases is None:
        return told
    known = set(told)
    return [
        one
        for one in told
        if (source := aliases(one.path)) == one.path
        or len(tree.nearest(one.path)) >= len(tree.nearest(source))
        or replace(one, path=source) not in known
    ]


def _placed(one: _Told, tree: Tree, aliases: Aliases | None) -> Problem:
    places = [one.path] if aliases is None else [one.path, aliases(one.path)]
    nearest = max(places, key=lambda path: len(tree.nearest(path)))
    return Problem(tree.file, tree.line_of(nearest), dotted(one.path), one.found, one.expected)


# ------------------------------------------------------------------ where it is in the model


@dataclass(frozen=True)
class _Spot:
    """What the model expects at a place: an annotation and its marks; None where not known."""

    annotation: Any = None
    marks: tuple[Any, ...] = ()

    @classmethod
    def of(cls, field: FieldInfo) -> _Spot:
        return cls(field.annotation, tuple(field.metadata))

    def bare(self) -> _Spot:
        """Return the same without Annotated and without '| None'."""
        annotation, marks = self.annotation, self.marks
        while True:
            if get_origin(annotation) is Annotated:
                annotation, *more = get_args(annotation)
                marks = (*marks, *more)
            elif _is_union(annotation) and len(members := _members(annotation)) == 1:
                annotation = members[0]
            else:
                return _Spot(annotation, marks)


def _is_union(annotation: Any) -> bool:
    return get_origin(annotation) in (Union, types.UnionType)


def _members(annotation: Any) -> list[Any]:
    """What a union may hold, unions within it taken apart, None left out."""
    found: list[Any] = []
    for member in get_args(annotation):
        inner = _Spot(member).bare().annotation
        if _is_union(inner):
            found.extend(_members(inner))
        elif member is not type(None):
            found.append(member)
    return found


def _is_model(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def _is_enough(short: Any, errors: list[Any]) -> bool:
    """Whether a list said to be too short is so only because of faults in its entries, told by themselves."""
    loc = short["loc"]
    faulty = {one["loc"][len(loc)] for one in errors if len(one["loc"]) > len(loc) and one["loc"][: len(loc)] == loc}
    return bool(short["ctx"]["actual_length"] + len(faulty) >= short["ctx"]["min_length"])


def _follow(loc: Sequence[str | int], model: type[BaseModel]) -> tuple[Path, _Spot, _Spot]:
    """Path in the file, what is expected there, and what is expected of the thing around it.

    Pydantic's location also holds names of union members, which stand in no file.
    """
    path: list[str | int] = []
    spot, around = _Spot(model), _Spot()
    for step in loc:
        spot = spot.bare()
        if _is_union(spot.annotation):
            spot = _member(spot, str(step))
        elif step != "[key]":
            path.append(step)
            around, spot = spot, _inside(spot.annotation, step)
    return tuple(path), spot.bare(), around


def _inside(annotation: Any, step: str | int) -> _Spot:
    if _is_model(annotation):
        field = annotation.model_fields.get(step)
        return _Spot() if field is None else _Spot.of(field)
    origin, inner = get_origin(annotation), get_args(annotation)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return _Spot(inner[1])
    if origin is tuple and isinstance(step, int) and inner[-1] is not Ellipsis:
        return _Spot(inner[step]) if step < len(inner) else _Spot()
    return _Spot(inner[0]) if inner else _Spot()


def _member(union: _Spot, label: str) -> _Spot:
    for member in _members(union.annotation):
        model = _Spot(member).bare().annotation
        if _is_model(model) and (label == model.__name__ or label in _kinds(model)):
            return _Spot(model)
    return _Spot()


def _kinds(model: type[BaseModel], discriminator: str | None = None) -> list[str]:
    """Texts that the discriminator, or any literal field, of the model admits."""
    return [
        str(text)
        for name, field in model.model_fields.items()
        if name == (discriminator or name) and get_origin(field.annotation) is Literal
        for text in get_args(field.annotation)
    ]


# ------------------------------------------------------------------ what to say about it


def _tell(error: Any, model: type[BaseModel]) -> _Told:
    path, spot, around = _follow(error["loc"], model)
    kind, context, value = error["type"], error.get("ctx", {}), error.get("input")
    if kind == "unfit":
        at = tuple(context.get("at", ()))
        told = _Told((*path, *at), context["found"], context["expected"])
    elif kind == "missing":
        told = _Told(path, "nothing", _words(spot) or "a value")
    elif kind == "extra_forbidden":
        told = _Told(path, f"the unknown name '{_name(path)}'", _known_names(path, around))
    elif kind in ("union_tag_not_found", "union_tag_invalid"):
        told = _tell_kind(path, context, value, spot)
    elif kind in ("value_error", "assertion_error"):
        found = "" if isinstance(value, dict | list | tuple | BaseModel) else describe(value)
        told = _Told(path, found, str(context.get("error", error["msg"])))
    elif error["loc"][-1:] == ("[key]",):
        told = _Told(path, f"the name '{_name(path)}'", _expected(error, _Spot()))
    else:
        told = _Told(path, describe(value), _expected(error, spot))
    return told


def _name(path: Path) -> str:
    return dotted((str(path[-1]),)) if path else ""


def _tell_kind(path: Path, context: Mapping[str, Any], value: Any, union: _Spot) -> _Told:
    name = str(context.get("discriminator", "kind")).strip("'")
    given = value.get(name) if isinstance(value, Mapping) else None
    models = [_Spot(member).bare().annotation for member in _members(union.annotation)]
    kinds = [kind for model in models if _is_model(model) for kind in _kinds(model, name)]
    return _Told((*path, name), describe(given), _one_of(kinds) if kinds else "a known kind")


def _known_names(path: Path, around: _Spot) -> str:
    if not _is_model(around.annotation):
        return "no such name"
    known = list(around.annotation.model_fields)
    near = difflib.get_close_matches(str(path[-1]), known, n=1, cutoff=0.5)
    if near:
        return f"a known name: did you mean '{near[0]}'?"
    return f"one of {', '.join(known)}" if known else "no names here"


def _expected(error: Mapping[str, Any], spot: _Spot) -> str:
    context = error.get("ctx", {})
    limit = _limit(error["type"], context, spot)
    quantity = _quantity(spot)
    if limit is not None and quantity is not None:
        return quantity.kind.words(f" {limit}")
    words = _words(spot)
    if limit is not None:
        return f"{words or 'a value'} {limit}"
    message = str(error["msg"])
    plain = message.removeprefix("Input should be ").removeprefix("Value error, ")
    return words or plain[:1].lower() + plain[1:]


_LIMITS = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "of at least"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "of at most"),
    "multiple_of": ("multiple_of", "in steps of"),
}
_COUNTS = {
    "too_short": ("min_length", "with at least", "entries"),
    "too_long": ("max_length", "with at most", "entries"),
    "string_too_short": ("min_length", "of at least", "characters"),
    "string_too_long": ("max_length", "of at most", "characters"),
}


def _limit(kind: str, context: Mapping[str, Any], spot: _Spot) -> str | None:
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        limit = context[name]
        quantity = _quantity(spot)
        if quantity is not None:
            # The model's own limits are SI like its attributes; the file's words are not.
            return f"{words} {_in_file(limit, quantity.kind)}"
        return f"{words} {limit:g}" if isinstance(limit, int | float) else f"{words} {limit}"
    if kind in _COUNTS:
        name, words, things = _COUNTS[kind]
        number = context[name]
        return f"{words} {number} {things if number != 1 else _single(things)}"
    if kind == "string_pattern_mismatch":
        return f"of the form {context['pattern']}"
    return None


def _single(things: str) -> str:
    return "entry" if things == "entries" else things.removesuffix("s")


def _in_file(limit: float, kind: Kind) -> str:
    return f"{to_document(limit, kind):.6g} {kind.unit}"


def _quantity(spot: _Spot) -> Quantity | None:
    return next((mark for mark in spot.marks if isinstance(mark, Quantity)), None)


_SIMPLE = {
    bool: "true or false",
    int: "a whole number",
    float: "a number",
    str: "a text",
    datetime.date: "a date such as 2024-05-31",
    datetime.datetime: "a date and time such as 2024-05-31T14:30",
    datetime.time: "a time such as 14:30",
    Point: POINT_WORDS,
}


def _words(spot: _Spot) -> str | None:
    """What the model wants at a place, in words for a car builder."""
    spot = spot.bare()
    annotation = spot.annotation
    quantity = _quantity(spot)
    if quantity is not None:
        return quantity.words()
    if annotation in _SIMPLE:
        return _SIMPLE[annotation]
    if _is_union(annotation):
        each = [_words(_Spot(member)) for member in _members(annotation)]
        return ", or ".join(words for words in each if words) or None
    if get_origin(annotation) is Literal:
        return _one_of(get_args(annotation))
    if isinstance(annotation, type) and issubclass(annotation, enum.Enum):
        return _one_of([member.value for member in annotation])
    return _words_for_many(annotation)


def _one_of(values: Sequence[Any]) -> str:
    texts = [f"'{value}'" if isinstance(value, str) else str(value) for value in values]
    return texts[0] if len(texts) == 1 else f"one of {', '.join(texts)}"


def _words_for_many(annotation: Any) -> str | None:
    if _is_model(annotation):
        needed = [name for name, field in annotation.model_fields.items() if field.is_required()]
        return f"a group with {', '.join(needed)}" if needed else "a group of names and values"
    origin, inner = get_origin(annotation) or annotation, get_args(annotation)
    if not isinstance(origin, type):
        return None
    if issubclass(origin, Mapping):
        return "a group of names and values"
    if issubclass(origin, list | tuple | set | frozenset | Sequence):
        if origin is tuple and inner and inner[-1] is not Ellipsis:
            return f"a list of {len(inner)}"
        return "a list"
    return None
