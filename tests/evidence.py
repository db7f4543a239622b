"""What the tests in `tests/outside` hold against something outside the project, and the page made of it.

A test module names its sources as `Outside` objects; their methods compare, assert, and note a row. The rows
travel with pytest's own reports (also from worker processes), and `tests/outside/conftest.py` joins them.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np
import pytest

Mark = Literal["standard", "textbook", "open data set", "reference library", "common practice", "second road"]
MARKS: tuple[Mark, ...] = get_args(Mark)
METHODS = ("agrees", "apart", "same", "holds", "refuses")


@dataclass(frozen=True)
class Row:
    """One check, or many of one kind: then the one that used most of what is allowed."""

    subject: str
    what: str
    source: str
    mark: str
    memory: bool
    unit: str
    theirs: str
    ours: str
    difference: str
    allowed: str
    share: float  # of the allowance; 0 where there is none
    case: str  # which of the cases is shown
    test: str
    cases: int = 1

    @property
    def key(self) -> tuple[str, str, str]:
        """What makes it one line of the page."""
        return self.subject, self.what, self.source


@dataclass
class Record:
    """The rows of the test that runs now."""

    test: str = ""
    case: str = ""
    rows: dict[tuple[str, str, str], Row] = field(default_factory=dict)

    def begin(self, test: str, case: str) -> None:
        """Forget the test before."""
        self.test, self.case, self.rows = test, case, {}

    def note(self, row: Row) -> None:
        """Add a row, or count it to its like."""
        self.rows[row.key] = joined(self.rows[row.key], row) if row.key in self.rows else row


RECORD = Record()


def joined(one: Row, other: Row) -> Row:
    """The worse of two rows of one kind; of equal ones that of the first case."""
    worse = max(one, other, key=lambda row: row.share)
    return replace(worse, cases=one.cases + other.cases)


def number(value: float, digits: int = 6) -> str:
    """A number as the page shows it."""
    text = f"{value:.{digits}g}"
    return "0" if float(text) == 0 else text


def used(off: float, allowed: float) -> float:
    """Share of what is allowed; below a millionth it is rounding, which depends on the machine."""
    return float(off / allowed) if off > 1e-6 * allowed else 0.0


def gap(off: float, allowed: float) -> str:
    """A difference, rounding left out."""
    return number(off, 2) if used(off, allowed) else "0"


@dataclass(frozen=True)
class Outside:
    """Something outside the project. `memory`: its values were not read from it for this test."""

    subject: str
    source: str
    mark: Mark
    memory: bool = False

    def _row(self, what: str, unit: str, theirs: str, ours: str, case: str, **rest: Any) -> None:
        shown = ", ".join(one for one in (RECORD.case, case) if one)
        RECORD.note(
            Row(self.subject, what, self.source, self.mark, self.memory, unit, theirs, ours,
                case=shown, test=RECORD.test, **rest)
        )  # fmt: skip

    def agrees(
        self,
        what: str,
        theirs: Any,
        ours: Any,
        unit: str = "",
        *,
        abs: float | None = None,
        rel: float | None = None,
        case: str = "",
    ) -> None:
        """Assert that numbers agree and note the one furthest off.

        Allowed is the greater of `abs` and `rel` times theirs; if neither is given, 1e-6 of theirs or 1e-12.
        """
        wanted, found = np.asarray(theirs, float), np.asarray(ours, float)
        assert wanted.ndim == 0 or wanted.shape == found.shape, f"{what}: {found.shape}, not {wanted.shape}"
        assert found.size, f"{what}: nothing to compare"
        wanted = np.broadcast_to(wanted, found.shape).ravel()
        found = found.ravel()
        if abs is None and rel is None:
            abs, rel = 1e-12, 1e-6
        allowed = np.maximum((rel or 0.0) * np.abs(wanted), abs or 0.0)
        with np.errstate(invalid="ignore"):
            off = np.where(wanted == found, 0.0, np.abs(found - wanted))
        within = off <= allowed
        worst = int(np.argmax(np.where(within, off / np.where(allowed > 0, allowed, 1.0), np.inf)))
        where = f"{what}, {case or 'value'} {worst + 1} of {found.size}"
        told = f"ours {found[worst]!r}, theirs {wanted[worst]!r}, off {off[worst]:.3g}, allowed {allowed[worst]:.3g}"
        assert within.all(), f"{where}: {told} [{unit}] ({self.source})"
        self._row(
            what, unit, number(wanted[worst]), number(found[worst]), case,
            difference=gap(off[worst], allowed[worst]), allowed=number(allowed[worst], 2),
            share=used(off[worst], allowed[worst]), cases=found.size,
        )  # fmt: skip

    def apart(self, what: str, most: float, unit: str, allowed: float, cases: int, *, case: str = "") -> None:
        """Assert that the worst of many differences is small enough, and note it."""
        assert most <= allowed, f"{what}: {most:.3g} apart, allowed {allowed:.3g} [{unit}] ({self.source})"
        self._row(
            what, unit, "many", "many", case,
            difference=gap(most, allowed), allowed=number(allowed, 2), share=used(most, allowed), cases=cases,
        )  # fmt: skip

    def same(self, what: str, theirs: Any, ours: Any, *, case: str = "") -> None:
        """Assert that two answers that are no measured numbers are equal, and note it."""
        assert ours == theirs, f"{what}: ours {ours!r}, theirs {theirs!r} ({self.source})"
        self._row(what, "", str(theirs), str(ours), case, difference="none", allowed="none", share=0.0)

    def holds(
        self,
        what: str,
        ours: Any,
        unit: str = "",
        *,
        at_least: float = -np.inf,
        at_most: float = np.inf,
        case: str = "",
    ) -> None:
        """Assert that numbers lie between bounds, and note the one nearest to a bound."""
        found = np.asarray(ours, float).ravel()
        assert found.size, f"{what}: nothing to compare"
        inside = (found >= at_least) & (found <= at_most)
        assert inside.all(), f"{what}: {found[~inside]!r}, not from {at_least} to {at_most} [{unit}] ({self.source})"
        near = found[int(np.argmin(np.minimum(found - at_least, at_most - found)))]
        bounds = f"{number(at_least)} to {number(at_most)}"
        if np.isinf(at_least):
            bounds = f"at most {number(at_most)}"
        elif np.isinf(at_most):
            bounds = f"at least {number(at_least)}"
        self._row(
            what, unit, bounds, number(near, 3), case, difference="inside", allowed="bound", share=0.0, cases=found.size
        )

    def refuses(self, what: str, call: Any, words: str) -> None:
        """Assert that a call is refused with a ValueError of these words, and note it."""
        with pytest.raises(ValueError, match=re.escape(words)):
            call()
        self._row(what, "", "none", "refused", "", difference="none", allowed="none", share=0.0)


# ------------------------------------------------------------------- what the modules say they check


def told_rows(module: Path, names: dict[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Key of each row that a module can make, from its text; `names` are its own globals.

    A row's first argument is a text written out, so that the page can be held against the tests without a run.
    """
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
            owner = node.func.value
            source = names.get(owner.id) if isinstance(owner, ast.Name) else None
            if isinstance(source, Outside):
                first = node.args[0]
                assert isinstance(first, ast.Constant), f"{module.name}:{node.lineno}: write out what is compared"
                yield source.subject, str(first.value), source.source


# ------------------------------------------------------------------- the page

HEAD = """# Evidence

Made by the tests themselves (`make evidence`): every check in `tests/outside` against something outside the project.
Where one line stands for several cases it shows the one that used most of what is allowed; the last column
is the test. Inputs are invented unless the source gives them.

What the marks mean: **standard**, **textbook** (and papers), **open data set**, **reference library** (another
program's solution of the same problem, on our inputs), **common practice** (of the trade; no one source).
**Second road** is the same matter worked out another way in the test: it checks our arithmetic and is no
published value. "From memory" says that the source was not open when the value was written down: the value is only as
good as that. "As public tables (programs, pages) print it" says that what others print of the source was read, and not
the source itself. Open data stand in `tests/outside/data`. None of it is a maker's figure for any car.
"""


def row_text(row: Row) -> str:
    """One line of a table."""
    mark = f"{row.mark}, from memory" if row.memory else row.mark
    share = "" if not row.share else f"{100 * row.share:.0f} %" if row.share >= 0.005 else "< 1 %"
    shown = f" ({row.case})" if row.case and row.cases > 1 else ""
    cells = (
        row.what, row.source, mark, row.unit, row.theirs, row.ours, row.difference, row.allowed, share,
        f"{row.cases}{shown}", f"`{row.test}`",
    )  # fmt: skip
    return "| " + " | ".join(cell.replace("|", "/").replace("\n", " ") for cell in cells) + " |"


def counts(rows: list[Row]) -> Iterator[str]:
    """How many lines and cases each mark has, and how close the closest came."""
    yield "| mark | lines | of these from memory | cases | most of the allowance used |"
    yield "| --- | ---: | ---: | ---: | --- |"
    for mark in MARKS:
        own = [row for row in rows if row.mark == mark]
        memory = sum(row.memory for row in own)
        most = max(own, key=lambda row: row.share, default=None)
        used = f"{100 * most.share:.0f} %: {most.what}" if most and most.share else ""
        yield f"| {mark} | {len(own)} | {memory} | {sum(row.cases for row in own)} | {used} |"


def page(rows: Iterable[Row]) -> str:
    """The page of these rows, in an order that does not depend on the run."""
    every = sorted(joined_rows(rows), key=lambda row: row.key)
    remembered = sorted({row.source for row in every if row.memory})
    parts = [HEAD, *counts(every), "", f"From memory, wholly or in part ({len(remembered)} sources):", ""]
    parts += [f"- {source}" for source in remembered]
    for subject in sorted({row.subject for row in every}):
        parts += ["", f"## {subject[0].upper()}{subject[1:]}", ""]
        parts += ["| what | source | mark | unit | theirs | ours | off by | allowed | used | cases (shown) | test |"]
        parts += ["| --- | --- | --- | --- | ---: | ---: | ---: | ---: | ---: | --- | --- |"]
        parts += [row_text(row) for row in every if row.subject == subject]
    return "\n".join(parts) + "\n"


def joined_rows(rows: Iterable[Row]) -> list[Row]:
    """Rows with those of one kind made one; cases in the order of their names, whatever worker ran them."""
    found: dict[tuple[str, str, str], Row] = {}
    for row in sorted(rows, key=lambda row: (row.test, row.case)):
        found[row.key] = joined(found[row.key], row) if row.key in found else row
    return list(found.values())


def page_rows(text: str) -> set[tuple[str, str, str]]:
    """Keys of the rows on a page."""
    subject, found = "", set()
    for line in text.splitlines():
        if line.startswith("## "):
            subject = line[3].lower() + line[4:]
        elif line.startswith("| ") and subject and not line.startswith(("| what |", "| ---")):
            what, source = line[2:].split(" | ")[:2]
            found.add((subject, what, source))
    return found


def packed(rows: Iterable[Row]) -> str:
    """Rows as a text that a report can carry."""
    return json.dumps([asdict(row) for row in rows])


def unpacked(text: str) -> list[Row]:
    """Rows from a report's text."""
    return [Row(**one) for one in json.loads(text)]
