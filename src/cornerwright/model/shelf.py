"""Parts on the shelf: what may be fitted where turning alone cannot do it, and what `choose` chooses from."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from cornerwright.model.base import Document
from cornerwright.model.parts import Damper, Name
from cornerwright.model.units import PositiveLength, PositiveRate

Price = Annotated[float, Field(ge=0, le=1e7)]
"""In the currency of the shelf."""
Minutes = Annotated[float, Field(gt=0, le=600)]
"""Work of fitting one corner [minutes]; our own rough figures."""


def _rises(rate: float, rate_up_to: float | None) -> None:
    if rate_up_to is not None and rate_up_to <= rate:
        raise ValueError("rate_up_to must be above rate")


class ShelfSpring(Document):
    """A pair of springs that could be fitted to an axle in place of those there."""

    name: Name
    fits: Literal["front", "rear"]
    rate: PositiveRate
    rate_up_to: PositiveRate | None = None
    """Wound to order: any rate from `rate` up to this [N/m]; only `choose` takes such a spring."""
    free_length: PositiveLength
    block_length: PositiveLength
    """Length with all coils touching [m]."""
    replaces: Name | None = None
    """Name of the spring in the stack that it takes the place of; None: the longest one."""
    price: Price | None = None
    """Of the pair."""
    minutes: Minutes = 45.0
    """Work of fitting one corner [minutes]; our own rough figure."""

    @model_validator(mode="after")
    def _can_be_squeezed(self) -> ShelfSpring:
        if self.block_length >= self.free_length:
            raise ValueError("block_length must be shorter than free_length")
        _rises(self.rate, self.rate_up_to)
        return self


class ShelfBar(Document):
    """An anti-roll bar that could be fitted to an axle; its link stays that of the axle."""

    name: Name
    fits: Literal["front", "rear"]
    rate: PositiveRate
    """K [N/m] of lift difference at the wheels."""
    rate_up_to: PositiveRate | None = None
    """Made to order or adjustable: any rate from `rate` up to this [N/m]."""
    price: Price | None = None
    minutes: Minutes = 60.0
    """Work of fitting it, half of the axle [minutes]; our own rough figure."""

    @model_validator(mode="after")
    def _has_a_range(self) -> ShelfBar:
        _rises(self.rate, self.rate_up_to)
        return self


class ShelfDamper(Document):
    """A pair of dampers that could be fitted to an axle, on the mounts that are there."""

    name: Name
    fits: Literal["front", "rear"]
    damper: Damper
    """Its lengths with its body at the adjuster's `measured_at`."""
    price: Price | None = None
    """Of the pair."""
    minutes: Minutes = 45.0
    """Work of fitting one corner [minutes]; our own rough figure."""

    @model_validator(mode="after")
    def _goes_on_the_mounts(self) -> ShelfDamper:
        if self.damper.between is not None:
            raise ValueError("a damper on the shelf goes on the car's own mounts: leave `between` out")
        return self


class Shelf(Document):
    """Parts that are there to be fitted. Spacers and shims: list their `sizes` at the adjuster that they set."""

    springs: Annotated[tuple[ShelfSpring, ...], Field(max_length=20)] = ()
    bars: Annotated[tuple[ShelfBar, ...], Field(max_length=12)] = ()
    dampers: Annotated[tuple[ShelfDamper, ...], Field(max_length=12)] = ()
    currency: Annotated[str, Field(min_length=1, max_length=8)] = "EUR"
    """What the prices are in."""

    @model_validator(mode="after")
    def _names_differ(self) -> Shelf:
        for what, parts in (("springs", self.springs), ("bars", self.bars), ("dampers", self.dampers)):
            names = [(part.fits, part.name) for part in parts]
            if len(set(names)) < len(names):
                raise ValueError(f"two {what} on the shelf for one axle need different names")
        return self


class ShelfFile(Shelf):
    """A shelf in a file of its own, for `choose`, in place of the car's."""

    format: Literal["cornerwright shelf 1"]
    name: Name | None = None
    note: Annotated[str, Field(max_length=4000)] | None = None
    invented: bool = False

    def shelf(self) -> Shelf:
        """As it stands in a car's file."""
        return Shelf.model_construct(springs=self.springs, bars=self.bars, dampers=self.dampers, currency=self.currency)
