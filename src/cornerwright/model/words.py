"""Names of files and answers as they are spoken."""

from __future__ import annotations

SPOKEN = {"bump_left": "bump travel", "droop_left": "droop travel"}
"""Where the name itself would mislead: on a car, left is a side."""


def spoken(name: str) -> str:
    """A corner's, an axle's or a reading's name in words."""
    return SPOKEN.get(name, name.replace("_", " "))
