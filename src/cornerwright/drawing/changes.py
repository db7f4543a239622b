"""What changes from one drawing to the next, so that a screen need not be sent a whole picture for every move."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import NamedTuple

from cornerwright.drawing.svg import Shape


class Change(NamedTuple):
    """What becomes of one shape, by its number in the order of writing."""

    number: int
    look: dict[str, str | None]
    """Attributes that change; None: gone."""
    text: str | None
    """Its new text; None: the same."""
    kind: str | None
    """None: the shape stays; empty: it goes; else another of this kind stands in its place, or is added at the end."""


def changes(before: Sequence[Shape], after: Sequence[Shape]) -> list[Change]:
    """What to do, in this order, to make the one drawing of the other."""
    found: list[Change] = []
    gone: list[Change] = []
    for number, (old, new) in enumerate(zip_longest(before, after)):
        if new is None:
            gone.append(Change(number, {}, None, ""))
        elif old is None or old[0] != new[0]:
            found.append(Change(number, dict(new[1]), new[2], new[0]))
        elif old != new:
            look: dict[str, str | None] = {name: value for name, value in new[1].items() if old[1].get(name) != value}
            look |= dict.fromkeys(old[1].keys() - new[1].keys())
            found.append(Change(number, look, None if old[2] == new[2] else new[2], None))
    return [*found, *reversed(gone)]
