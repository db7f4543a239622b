"""Parts on the shelf: what may be fitted where turning alone cannot do it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.parts import Name
from cornerwright.model.units import PositiveLength, PositiveRate


class ShelfSpring(Document):
    """A pair of springs that could be fitted to an axle in place of those there."""

    name: Name
    fits: Literal["front", "rear"]
    rate: PositiveRate
    free_length: PositiveLength
    block_length: PositiveLength
    """Length with all coils touching [m]."""
    replaces: Name | None = None
    """Name of the spring in the stack that it takes the place of; None: the longest one."""
    minutes: Annotated[float, Field(gt=0, le=600)] = 45.0
    """Work of fitting one corner [minutes]; our own rough figure."""

    @model_validator(mode="after")
    def _can_be_squeezed(self) -> ShelfSpring:
        if self.block_length >= self.free_length:
            raise ValueError("block_length must be shorter than free_length")
        return self


class Shelf(Document):
    """Parts that are there to be fitted. Spacers and shims: list their `sizes` at the adjuster that they set."""

    springs: Annotated[tuple[ShelfSpring, ...], Field(max_length=20)] = ()

    @model_validator(mode="after")
    def _names_differ(self) -> Shelf:
        names = [(spring.fits, spring.name) for spring in self.springs]
        if len(set(names)) < len(names):
            raise ValueError("two springs on the shelf for one axle need different names")
        return self
