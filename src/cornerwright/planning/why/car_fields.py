"""Fields of the car file by their path, as they stand there and with their unit."""

from __future__ import annotations

import typing
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel

from cornerwright.model.car import Car
from cornerwright.model.results_why import WhyInput
from cornerwright.model.units import Quantity

LONGEST = 160
"""Letters of a group of fields that are shown."""


def fields_of(car: Car, paths: tuple[str, ...], corner: str | None) -> Iterator[WhyInput]:
    """The fields that the file has, in document units; groups as one text."""
    document = car.to_document()
    axle, _, side = (corner or "").partition("_")
    for path in " ".join(paths).format(corner=f"{axle}.{side}", axle=axle).split():
        names = path.split(".")
        if "" in names:
            continue  # no corner was asked about
        node: Any = document
        for name in names:
            node = node.get(name) if isinstance(node, dict) else None
        if node is not None:
            yield WhyInput(name=path, value=_told(node), unit=_unit(car, names), comes_from="car file")


def _told(node: Any) -> float | str:
    """A number as it is; a group in words, its long lists counted."""
    if isinstance(node, int | float) and not isinstance(node, bool):
        return float(node)
    text = _words(node)
    return text if len(text) <= LONGEST else text[: LONGEST - 4] + " ..."


def _words(node: Any) -> str:
    if isinstance(node, bool):
        return "yes" if node else "no"
    if isinstance(node, float):
        return f"{node:.6g}"
    if isinstance(node, dict):
        return ", ".join(f"{name} {_inner(one)}" for name, one in node.items() if one is not None)
    if isinstance(node, list):
        long = len(node) > 4 and isinstance(node[0], dict)
        return f"{len(node)} rows" if long else " / ".join(_inner(one) for one in node)
    return str(node)


def _inner(node: Any) -> str:
    return f"({_words(node)})" if isinstance(node, dict) else _words(node)


def _unit(car: BaseModel, names: list[str]) -> str:
    """Unit of the field at this path; empty for groups and plain numbers."""
    node: Any = car
    for name in names[:-1]:
        node = node.get(name) if isinstance(node, dict) else getattr(node, name, None)
    if not isinstance(node, BaseModel) or names[-1] not in type(node).model_fields:
        return ""
    field = type(node).model_fields[names[-1]]
    for one in (*field.metadata, *_inside(field.annotation)):
        if isinstance(one, Quantity):
            return one.kind.unit
    return ""


def _inside(annotation: object) -> Iterator[object]:
    yield annotation
    for one in typing.get_args(annotation):
        yield from _inside(one)
