"""A file as a tree of plain values that knows its lines, and paths into it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.units import describe

MOST_PROBLEMS = 200  # more would not be read; a file with one slip repeated can hold very many

Path = tuple[str | int, ...]


@dataclass(slots=True)
class Node:
    """A value with the line it starts on; children of a group keep the line of their name."""

    value: Any  # scalar, or dict[str, tuple[int, Node]], or list[Node]
    line: int
    size: int = 1
    height: int = 0  # groups and lists one inside the other, from here down


@dataclass(frozen=True)
class Layout:
    """How a file is indented, kept when it is written again."""

    mapping: int = 2
    dash: int = 2
    item: int = 4
    explicit_start: bool = False


@dataclass(frozen=True)
class Tree:
    """What a file says, before anything is asked of it."""

    file: str | None
    root: Node
    layout: Layout = Layout()

    @property
    def plain(self) -> Any:
        """Fresh dicts, lists, texts, numbers, booleans and None."""
        return _plain(self.root)

    def nearest(self, path: Path) -> Path:
        """Return the longest beginning of the path that stands in the file."""
        return path[: sum(1 for _ in self._walk(path))]

    def line_of(self, path: Path) -> int:
        """Line of the value at this path, or of the nearest thing that holds it."""
        line = self.root.line
        for line in self._walk(path):  # noqa: B007  (the last line is wanted)
            pass
        return line

    def _walk(self, path: Path) -> Iterator[int]:
        node = self.root
        for step in path:
            value = node.value
            if isinstance(value, dict) and step in value:
                line, node = value[step]
            elif isinstance(value, list) and isinstance(step, int) and 0 <= step < len(value):
                node = value[step]
                line = node.line
            else:
                return
            yield line


def _plain(node: Node) -> Any:
    if isinstance(node.value, dict):
        return {name: _plain(child) for name, (_, child) in node.value.items()}
    if isinstance(node.value, list):
        return [_plain(child) for child in node.value]
    return node.value


def dotted(path: Path) -> str:
    """Return the path as written for people: front.left.spring.stack[0].rate."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            name = "".join(sign if sign.isprintable() else "?" for sign in step[:60])
            text += f".{name}" if text else name
    return text


def path_of(text: str) -> Path:
    """Inverse of dotted(); raises Refusal for a text that is no such path."""
    path: list[str | int] = []
    for part in text.split("."):
        match = re.fullmatch(r"([^\[\]]+)((?:\[[0-9]{1,6}\])*)", part)
        if match is None:
            raise Refusal.of(describe(text), "a field such as front.left.spring.stack[0].rate")
        path.append(match[1])
        path.extend(int(place) for place in re.findall(r"[0-9]+", match[2]))
    return tuple(path)


def in_order(problems: Sequence[Problem]) -> list[Problem]:
    """Return the problems in the order of the file; past a few hundred, only their number."""
    ordered = sorted(problems, key=lambda problem: problem.line or 0)
    if len(ordered) <= MOST_PROBLEMS:
        return ordered
    rest = f"{len(ordered) - MOST_PROBLEMS} more problems"
    more = Problem(ordered[0].file, None, "", rest, "none: mend the ones above first")
    return [*ordered[:MOST_PROBLEMS], more]
