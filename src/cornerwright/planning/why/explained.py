"""What a number of an answer is: its equation, where that is from, and what goes into it."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import BaseModel


@dataclass(frozen=True)
class Explained:
    """One key of an answer."""

    what: str
    equation: str
    source: str
    answers: tuple[str, ...] = ()
    """Other keys of the same answer that it is computed from: of the same part, or of the parts around it."""
    file: tuple[str, ...] = ()
    """Fields of the car file; `{corner}` and `{axle}` stand for those asked about."""
    doubt: str = ""
    """What is known of its uncertainty where no standard deviation is computed."""
    between: tuple[str, str] | None = None
    """Keys of the same part between which it lies."""
    sigma: str | None = None
    """Key of the same part that holds its standard deviation."""


def of(
    what: str,
    equation: str,
    source: str,
    answers: str = "",
    file: str = "",
    doubt: str = "",
    between: str = "",
    sigma: str | None = None,
) -> Explained:
    """The same with names in one text, blanks between them."""
    ends = between.split()
    pair = (ends[0], ends[1]) if ends else None
    return Explained(what, equation, source, tuple(answers.split()), tuple(file.split()), doubt, pair, sigma)


GIVEN = "as the car file has it"
FILE = "the car file"
LIMPERT = "Limpert, Brake Design and Safety (from memory)"
VDI = "VDI 2230 part 1 (from memory)"
PRACTICE = "common practice, no source"
DEFINED = "definition"


def numbers(model: type[BaseModel], path: str = "") -> Iterator[str]:
    """Path of every number in answers of this kind: `corners.camber_deg`, `rows.foot_n`."""
    for name, field in model.model_fields.items():
        own = f"{path}{name}"
        kinds = list(_inside(field.annotation))
        inner = [one for one in kinds if isinstance(one, type) and issubclass(one, BaseModel)]
        for one in inner:
            yield from numbers(one, f"{own}.")
        if not inner and any(one in (int, float) for one in kinds) and bool not in kinds:
            yield own


def _inside(annotation: object) -> Iterator[object]:
    yield annotation
    if isinstance(annotation, types.UnionType) or typing.get_origin(annotation) is not None:
        for one in typing.get_args(annotation):
            yield from _inside(one)


SUFFIXES = {
    "_n_per_mm": "N/mm",
    "_deg_per_mm": "°/mm",
    "_deg_per_g": "°/g",
    "_km_per_h": "km/h",
    "_m_per_km": "m/km",
    "_m_per_s2": "m/s²",
    "_mm_per_s": "mm/s",
    "_per_minute": "1/min",
    "_mm2": "mm²",
    "_percent": "%",
    "_mpa": "MPa",
    "_degc": "°C",
    "_nm": "N·m",
    "_kg": "kg",
    "_kj": "kJ",
    "_kw": "kW",
    "_km": "km",
    "_hz": "Hz",
    "_bar": "bar",
    "_mm": "mm",
    "_deg": "°",
    "_turns": "turns",
    "_diameters": "diameters",
    "_g": "g",
    "_n": "N",
    "_s": "s",
    "_m": "m",
}
"""Unit by the ending of a key; longer endings first."""


def unit_of(key: str) -> str:
    """Unit of a key of an answer; empty for a number without one."""
    last = key.rpartition(".")[2]
    return next((unit for suffix, unit in SUFFIXES.items() if last.endswith(suffix)), "")
