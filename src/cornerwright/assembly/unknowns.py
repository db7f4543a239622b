"""What is not known for sure about a car: standard normal numbers, each with a name."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Unknown:
    """A block of unknowns: how many standard normal numbers, and what they stand for."""

    label: str
    place: str
    """Corner, axle or `car`."""
    where: slice
    scale: float = 1.0
    """One standard deviation before anything is read, in the unit of `kind`; a share where `relative`."""
    kind: str = ""
    """What kind of quantity it is: `length`, `angle`, `share`, ...; empty: a number of no meaning by itself."""
    relative: bool = False
    """True: the quantity itself is what the file says times exp(scale z)."""


@dataclass
class UnknownList:
    """Unknowns of one car in a fixed order, gathered while the car is turned into arrays."""

    blocks: list[Unknown] = field(default_factory=list)
    size: int = 0

    def add(
        self, label: str, place: str, count: int, scale: float = 1.0, kind: str = "", *, relative: bool = False
    ) -> slice:
        """Reserve `count` standard normal numbers; returns their place in every unknowns vector."""
        where = slice(self.size, self.size + count)
        self.blocks.append(Unknown(label, place, where, scale, kind, relative))
        self.size += count
        return where

    def nominal(self) -> Array:
        """(1, p): the car as the file says it is."""
        return np.zeros((1, self.size))

    def draw(self, count: int, seed: int) -> Array:
        """(count, p) cars that the file could mean."""
        return np.random.default_rng(seed).standard_normal((count, self.size))
