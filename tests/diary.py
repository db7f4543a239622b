"""Entries for tests: short to write, validated like any other."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from cornerwright.model.entry import CarDescribed, Entry, TargetsSet
from workshop import example_car, example_targets

BEGAN = datetime(2026, 2, 1, 18, 0, tzinfo=UTC)

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc0000003010100"
    "18dd8db00000000049454e44ae426082"
)
"""The smallest PNG that is one: a red dot."""


def at(minutes: float) -> datetime:
    """So long after the book began."""
    return BEGAN + timedelta(minutes=minutes)


def say(kind: str, minutes: float | None = None, *, settles: tuple[str, ...] = (), **body: Any) -> Entry:
    """One entry; without a time it happens now."""
    when = {} if minutes is None else {"when": at(minutes)}
    return Entry.model_validate({"who": "R.", "settles": settles, "body": {"kind": kind, **body}, **when})


def opening(minutes: float = 0) -> list[Entry]:
    """The example car with its targets."""
    described = CarDescribed(kind="car", car=example_car(), currency="EUR")
    wanted = TargetsSet(kind="targets", targets=example_targets())
    return [Entry(when=at(minutes), body=described), Entry(when=at(minutes), body=wanted)]


def moved(adjuster: str, setting: float, minutes: float | None = None) -> Entry:
    """An adjuster turned to a setting [mm]."""
    return say("move", minutes, adjuster=adjuster, setting_to=setting)
