"""What a question is, and what hands have answered so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.units import Kind, describe, parse, to_document

ENDS = ("front", "rear")
MOST_TEXT = 60
"""Signs of one answer."""

MOST = 1e6
"""No number of a car is larger [document unit]."""

STANDS = (
    "The car stands on stands, at its maker's points, on firm level ground, the wheels on the floor chocked. Nobody "
    "reaches under a car that a jack alone holds."
)
SPRINGS = (
    "A compressed spring can kill. Unload it with the wheel hanging before a collar is turned or it is taken out; "
    "where it stays loaded use a proper, undamaged compressor and keep out of its line."
)


@dataclass(frozen=True)
class Question:
    """One value to be entered."""

    name: str
    """As it is kept: `front.damper.open`."""
    words: str
    how: str = ""
    """How to measure it."""
    kind: Kind | None = None
    """Of a quantity; None: words, or a choice."""
    choices: tuple[tuple[str, str], ...] = ()
    """Answer and what is shown for it; the first holds where nothing is answered."""
    tick: bool = False
    """Yes, or nothing."""
    counted: str = ""
    """Unit of the hand that it is counted in: notch, shim; `step`: a plain number of units."""
    guess: str | None = None
    """Taken where nothing is entered, and then marked as a guess."""
    doubt: str = ""
    """How far the guess may be off."""
    needed: bool = False
    """Nothing stands without it."""
    least: float | None = None
    """Usual values lie from here [document unit]..."""
    most: float | None = None
    """...to here; others are questioned."""
    whole: bool = False
    """A whole number, as a year."""

    @property
    def unit(self) -> str:
        """Unit of a bare number, for the eye."""
        if self.counted == "step":
            return ""
        if self.counted:
            return {"notch": "notches"}.get(self.counted, f"{self.counted}s")
        return "" if self.kind is None else {"deg": "°"}.get(self.kind.unit, self.kind.unit)


@dataclass(frozen=True)
class Step:
    """One thing to measure, on one screen."""

    name: str
    """As an address has it: `front-damper`."""
    title: str
    figure: str
    """Name of the drawing that shows what to measure from where to where."""
    says: tuple[str, ...]
    questions: tuple[Question, ...] = ()
    rows: tuple[tuple[Question, ...], ...] = ()
    """Of a table: rows of questions, below the others."""
    cautions: tuple[str, ...] = ()
    place: str = ""
    """`front`, `rear`; empty: the whole car."""
    may_skip: str = ""
    """What it means to leave it all out; empty: the car does not stand without it."""

    @property
    def every(self) -> tuple[Question, ...]:
        """All questions, those of rows too."""
        return (*self.questions, *(one for row in self.rows for one in row))


Level = Literal["wrong", "asks"]


@dataclass(frozen=True)
class Remark:
    """What is to be said about an answer: that it cannot be, or that it is hardly so."""

    name: str
    level: Level
    says: str


@dataclass(frozen=True)
class Gap:
    """Something that is not there yet."""

    step: str
    says: str


def typed(text: str) -> str | float:
    """An answer as a file holds it: a bare number, with a point or the comma of some keyboards, as a number."""
    bare = text.strip().replace("−", "-")
    if bare.count(",") == 1 and "." not in bare:
        bare = bare.replace(",", ".")
    try:
        value = float(bare)
    except ValueError:
        return text.strip()
    return value if value - value == 0 else text.strip()


class Given:
    """Answers, by the names of their questions, as they were typed."""

    def __init__(self, answers: Mapping[str, str]) -> None:
        self._answers = answers

    def text(self, name: str) -> str:
        """As typed; empty: nothing."""
        return self._answers.get(name, "").strip()

    def choice(self, name: str, default: str) -> str:
        """What was chosen."""
        return self.text(name) or default

    def ticked(self, name: str) -> bool:
        """Whether it is there."""
        return self.text(name) == "yes"

    def si(self, name: str, kind: Kind) -> float | None:
        """Value in SI; None where there is none, or none that can be read."""
        text = self.text(name)
        if not text:
            return None
        try:
            found = parse(typed(text), kind)
        except Refusal:
            return None
        return found if abs(to_document(found, kind)) <= MOST else None

    def number(self, name: str, kind: Kind) -> float | None:
        """Value in the document unit of its kind."""
        found = self.si(name, kind)
        return None if found is None else to_document(found, kind)

    def under(self, prefix: str) -> list[str]:
        """Names that begin so and have an answer."""
        return [name for name, text in self._answers.items() if name.startswith(prefix) and text.strip()]


def unreadable(question: Question, text: str) -> str | None:  # noqa: PLR0911  (one for each kind of answer)
    """What is wrong with an answer by itself, in plain words; None: nothing."""
    text = text.strip()
    if not text:
        return None
    if len(text) > MOST_TEXT:
        return f"expected {MOST_TEXT} signs at the most"
    if question.choices:
        known = [one for one, _ in question.choices]
        return None if text in known else f"expected one of: {', '.join(known)}"
    if question.tick:
        return None if text == "yes" else "expected yes, or nothing"
    if question.counted or question.whole:
        value = typed(text)
        if not isinstance(value, float) or abs(value) > MOST or (question.whole and not value.is_integer()):
            return (
                f"found {describe(text)}, expected a {'whole ' if question.whole else ''}number {question.unit}".strip()
            )
        return None
    if question.kind is None:
        return None
    try:
        found = to_document(parse(typed(text), question.kind), question.kind)
    except Refusal as refusal:
        return f"expected {refusal.problems[0].expected}"
    return None if abs(found) <= MOST else f"expected {question.kind.words()}, of a size that a car has"


def corners_of(end: str) -> tuple[str, str]:
    """Left and right corner of an axle."""
    left, right = (name for name in CORNERS if name.startswith(end))
    return left, right
