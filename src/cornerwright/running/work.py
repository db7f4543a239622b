"""What a block of work is: always the same numbers, whoever does it, in whatever order."""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Mapping
from importlib.metadata import version
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

Table = dict[str, NDArray[Any]]
"""Columns by name, all of one length; numbers only."""


class Work(Protocol):
    """Something that falls into blocks. It can be pickled: it goes to other processes as it is."""

    @property
    def blocks(self) -> int:
        """How many blocks."""

    @property
    def facts(self) -> Mapping[str, Any]:
        """All that its numbers follow from, as JSON: two works with the same facts have the same numbers."""

    def run(self, block: int) -> Table:
        """The rows of one block, from 0; nothing but the facts and the block's number enters."""


def digest_of(facts: Mapping[str, Any]) -> str:
    """One number for all facts (SHA-256, hexadecimal)."""
    text = json.dumps(facts, sort_keys=True, ensure_ascii=True, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def numbers_for(seed: int, block: int, label: str) -> np.random.Generator:
    """Random numbers of one block for one thing: they hang on nothing else, so that two cars can share them.

    A child of the seed's sequence (NumPy's SeedSequence), as `spawn` makes them, named by the block and the label in
    place of a count.
    """
    words = np.frombuffer(hashlib.sha256(label.encode()).digest()[:16], dtype="<u4")
    return np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(block, *(int(word) for word in words))))


def versions() -> dict[str, str]:
    """Of what the numbers hang on: their last digits may differ from one version of a library to the next."""
    # The package itself lies above every layer and is not imported for a number; it is always there.
    mine = str(sys.modules["cornerwright"].__version__)
    return {"cornerwright": mine} | {one: version(one) for one in ("numpy", "scipy", "numba")}


def same_tables(one: Table, other: Table) -> bool:
    """Bit for bit; a number that is none equals itself."""
    return one.keys() == other.keys() and all(
        one[key].dtype == other[key].dtype and one[key].tobytes() == other[key].tobytes() for key in one
    )
