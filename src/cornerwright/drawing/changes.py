"""What changes from one drawing to the next, so that a screen need not be sent a whole picture for every move."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.drawing.svg import Shape

Change = tuple[int, dict[str, str | None], str | None]
"""Number of a shape in the order of writing, its attributes that change (None: gone), its new text (None: the same)."""


def changes(before: Sequence[Shape], after: Sequence[Shape]) -> list[Change] | None:
    """What to change to make the one drawing of the other; None where the shapes are not of the same kinds in order."""
    if [one[0] for one in before] != [one[0] for one in after]:
        return None
    found: list[Change] = []
    for number, ((_, was, said), (_, now, says)) in enumerate(zip(before, after, strict=True)):
        if was == now and said == says:
            continue
        told: dict[str, str | None] = {name: value for name, value in now.items() if was.get(name) != value}
        told |= dict.fromkeys(was.keys() - now.keys())
        found.append((number, told, None if said == says else says))
    return found
