"""What the pages of several commands share: numbers and their names, findings, cautions, the foot."""

from __future__ import annotations

from collections.abc import Sequence

from cornerwright.cli.page import Page
from cornerwright.drawing.lettering import DECIMALS, figure, place_words, reading_words
from cornerwright.model.results import Finding

LEVELS = {"limit": "LIMIT", "warning": "warning", "note": "note"}


def number(key: str, value: float | None, *, signed: bool = False) -> str:
    """A reading with the decimals of its unit; a dash where it is not known."""
    if value is None:
        return "-"
    return figure(value, DECIMALS[reading_words(key)[1]], signed)


def label(key: str) -> str:
    """A reading's name with its unit."""
    words, unit = reading_words(key)
    return f"{words}, {unit}" if unit else words


def findings(page: Page, found: Sequence[Finding], *, head: str = "What is wrong") -> None:
    """Broken limits, then warnings, then notes, each with what to do about it."""
    if not found:
        return
    page.head(head)
    for level, word in LEVELS.items():
        style = level if level in ("limit", "warning") else ""
        for (about, says, do), places in _gathered(found, level).items():
            where = f"{', '.join(map(place_words, places))}; {about}"
            page.columns([[(word, style), f"{where}: {says}"]], align="<~")
            if do:
                page.para(do, indent=4 + len(word), first="do: ")


def wrong(page: Page, found: Sequence[Finding]) -> None:
    """Broken limits and warnings."""
    findings(page, [one for one in found if one.level != "note"])


def good_to_know(page: Page, found: Sequence[Finding]) -> None:
    """Notes, which stand after the numbers."""
    findings(page, [one for one in found if one.level == "note"], head="Good to know")


def cautions(page: Page, words: Sequence[str], *, loud: bool = False) -> None:
    """What can hurt, under a head of its own; loud: with the sign of a page that is worked from."""
    page.head("Cautions")
    for one in words:
        page.para(one, first="! " if loud else "- ", indent=2 if loud else 0)


def small_print(page: Page, caution: str, assumed: Sequence[str] = ()) -> None:
    """The foot of a page: what was assumed, and what the numbers are not."""
    page.gap()
    for words in (*assumed, caution):
        page.para(words, style="minor")


def _gathered(found: Sequence[Finding], level: str) -> dict[tuple[str, str, str], list[str]]:
    """Places of each finding of this level that reads the same at several of them."""
    places: dict[tuple[str, str, str], list[str]] = {}
    for one in found:
        if one.level == level:
            places.setdefault((one.about, one.says, one.do or ""), []).append(one.place)
    return places
