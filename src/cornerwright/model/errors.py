"""What is wrong with a file, and the one exception that says so."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, where it stands and what was expected there.

    field is dotted, with list positions in brackets counted from 0, as in
    front.left.spring.stack[0].rate; it is empty where the whole file is meant. found is empty where
    no single value is at fault, as when two lengths do not fit each other.
    """

    file: str | None
    line: int | None
    field: str
    found: str
    expected: str

    def __str__(self) -> str:
        where = [part for part in (self._place(), self.field) if part]
        said = f"found {self.found}, expected {self.expected}" if self.found else self.expected
        # One line that a terminal only shows: what was found may hold anything.
        return "".join(sign if sign.isprintable() else "?" for sign in ": ".join([*where, said]))

    def _place(self) -> str:
        if self.file is None:
            return "" if self.line is None else f"line {self.line}"
        return self.file if self.line is None else f"{self.file}:{self.line}"


class Refusal(Exception):  # noqa: N818  (a refusal is an answer, not a fault of the program)
    """The input cannot be used. Carries every problem found, in the order of the file."""

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        if not self.problems:
            raise ValueError("a refusal needs at least one problem")
        super().__init__(self.problems)

    @classmethod
    def of(
        cls,
        found: str,
        expected: str,
        *,
        field: str = "",
        file: str | None = None,
        line: int | None = None,
    ) -> Refusal:
        """Refusal with a single problem."""
        return cls(Problem(file, line, field, found, expected))

    def within(self, file: str | None = None, field: str = "") -> Refusal:
        """Return the same refusal, seen from a file or from a field that encloses this one."""
        return Refusal(
            replace(
                problem,
                file=problem.file if problem.file is not None else file,
                field=_joined(field, problem.field),
            )
            for problem in self.problems
        )

    def __str__(self) -> str:
        return "\n".join(str(problem) for problem in self.problems)


def _joined(outer: str, inner: str) -> str:
    if not outer or not inner or inner.startswith("["):
        return outer + inner
    return f"{outer}.{inner}"
