"""A small car document for tests of files: groups, lists, a union, a side that follows the other."""

from __future__ import annotations

import datetime
import os
from typing import Annotated, Any, Literal

import pytest
import yaml_samples as samples
from hypothesis import strategies as st
from pydantic import Field, field_validator, model_validator

from cornerwright.model.base import Document, Point
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.files import read_document, read_tree
from cornerwright.model.units import Angle, Length, PositiveLength, PositiveRate, Weight, unfit


class Coil(Document):
    rate: PositiveRate
    free: PositiveLength
    block: PositiveLength

    @model_validator(mode="after")
    def _fits(self) -> Coil:
        if self.block >= self.free:
            raise ValueError("block must be shorter than free")
        return self


class Rods(Document):
    kind: Literal["rods"] = "rods"
    rods: list[Point]
    name: str


class Strut(Document):
    kind: Literal["strut"] = "strut"
    top: Point
    lean: Angle = 0.0


class Side(Document):
    stack: Annotated[tuple[Coil, ...], Field(min_length=1, max_length=4)]
    linkage: Annotated[Rods | Strut, Field(discriminator="kind")]
    note: Annotated[str, Field(max_length=20)] | None = None
    turns: Annotated[int, Field(ge=2, le=12)] = 6
    spacers: Annotated[Length, Field(ge=0.001)] = 0.002
    loose: bool = False
    measured: datetime.date | None = None
    named: dict[Annotated[str, Field(pattern=r"^[a-z]+$")], Weight] = Field(default_factory=dict)
    stop: Length | Literal["none"] = "none"
    range: tuple[Length, Length] = (0.0, 0.01)

    @field_validator("turns")
    @classmethod
    def _even(cls, turns: int) -> int:
        if turns % 2:
            raise ValueError("an even number of turns")
        return turns

    @model_validator(mode="after")
    def _in_range(self) -> Side:
        if self.range[0] > self.range[1]:
            raise unfit("a range that falls", "the least first", at=("range", 1))
        return self


class Car(Document):
    name: str
    wheelbase: PositiveLength
    left: Side
    right: Side


def completed(plain: Any) -> Any:
    """Right is as left, member by member, unless given."""
    if isinstance(plain, dict) and isinstance(plain.get("left"), dict):
        right = plain.get("right", {})
        if isinstance(right, dict):
            return {**plain, "right": {**plain["left"], **right}}
    return plain


def left_of(path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    return ("left", *path[1:]) if path[:1] == ("right",) else path


GOOD = samples.GOOD


def read_car(path) -> Car:
    return read_document(path, Car, prepare=completed, aliases=left_of)


def refusal_of(path, read=read_tree) -> tuple[Problem, ...]:
    with pytest.raises(Refusal) as caught:
        read(path)
    problems = caught.value.problems
    for problem in problems:
        assert problem.file == os.fspath(path)
        assert problem.expected
        assert str(problem).isprintable()
    return problems


LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["450 lbf/in", "1 in"])
)
NAMES = st.sampled_from(["name", "wheelbase", "left", "right", "stack", "linkage", "kind", "rods", "top", "turns",
                         "rate", "range", "named", "stop", "note", "x", "y"]) | st.text(max_size=5)  # fmt: skip
TREES = st.recursive(
    LEAVES, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(NAMES, inner, max_size=5), max_leaves=25
)
