"""What is known of a part before it is bought or bolted on: what it fits, what it needs, which way round it goes."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.units import PositiveLength

Words = Annotated[str, Field(min_length=1, max_length=300)]
Place = Literal["front_left", "front_right", "rear_left", "rear_right", "front", "rear", "car"]
Sweep = Literal["clockwise", "counterclockwise", "straight"]


class Need(Document):
    """One thing that a part needs besides itself."""

    what: Literal["ring", "studs", "clearance", "other"]
    """ring: a centring ring of this outer diameter; studs: this long beyond the hub's face; clearance: so much room
    between tyre and obstacles through all travel."""
    size: PositiveLength | None = None
    says: Words | None = None
    """In words: for `other`, or what there is to know of it."""
    met: bool | None = None
    """Whether it is there; None: not said, so it is looked for in the car file."""

    @model_validator(mode="after")
    def _says_what(self) -> Need:
        if self.what == "other" and self.says is None:
            raise ValueError("a need of what: other says in words what it is")
        if self.what in ("studs", "clearance") and self.size is None and self.met is None:
            raise ValueError(f"a need of {self.what} gives its size")
        return self


class PartFacts(Document):
    """One part, where it is or will be, and what its maker says of it."""

    name: Words
    at: Place
    fits: Annotated[tuple[Words, ...], Field(max_length=40)] = ()
    """Rules in words; one of them must hold: `saloon 1971-1979 front`, `estate from 1975`, `left`, `not coupe`."""
    needs: Annotated[tuple[Need, ...], Field(max_length=40)] = ()
    hand: Literal["left", "right"] | None = None
    """Side of the car that it is made for; None: either."""
    vanes: Sweep | None = None
    """A vaned brake disc seen from outboard: the way its vanes run from the middle out, inside the disc."""
    holes: Sweep | None = None
    """The way the pattern of holes or grooves runs from the middle out; it does not decide the side."""
