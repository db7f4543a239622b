"""Findings: how they are made, the order they are told in, and what several of them come to."""

from __future__ import annotations

from collections.abc import Iterable

from cornerwright.model.results import Finding

LEVELS = ("limit", "warning", "note")
"""The worst first."""


def finding(level: str, place: str, about: str, says: str, do: str | None = None) -> Finding:
    """One of them; level: one of `LEVELS`."""
    return Finding.model_validate({"level": level, "place": place, "about": about, "says": says, "do": do})


def worst_first(found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Broken limits, then warnings, then notes; those of one level as they came."""
    return tuple(sorted(found, key=lambda one: LEVELS.index(one.level)))


def worst(found: Iterable[Finding]) -> str | None:
    """The worst level among them; None: nothing was found."""
    levels = {one.level for one in found}
    return next((level for level in LEVELS if level in levels), None)


def verdict(found: Iterable[Finding]) -> str:
    """What they come to for the thing as a whole."""
    return {"limit": "breaks a hard limit", "warning": "warnings"}.get(worst(found) or "", "good")
