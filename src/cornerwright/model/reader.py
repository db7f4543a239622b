"""YAML text to a tree.

The text is read from the parser's events, one by one, so that a hostile file is refused before it
can do harm: nothing is constructed from tags, aliases are counted before they are expanded, and
depth is checked as it grows. Scalars are those of YAML 1.2's core schema: yes, no, on and off are
texts, and so are dates.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)
from ruamel.yaml.reader import ReaderError

from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.tree import MOST_PROBLEMS, Layout, Node, Path, Tree, dotted, in_order
from cornerwright.model.units import describe

DEEPEST = 50
MOST_NODES = 200_000
MOST_DIGITS = 300  # a longer whole number is not a measure of anything; a float ends near 1e308


def read_text(text: str, file: str | None = None) -> Tree:
    """Tree of a YAML text whose top level is a group of names; raises Refusal."""
    if "\0" in text:
        raise Refusal.of("a binary file", "a text file in YAML", file=file)
    builder = _Builder(text, file)
    builder.read()
    if builder.problems:
        raise Refusal(in_order(builder.problems))
    root = builder.root
    if root is None or root.value is None:
        raise Refusal.of("an empty file", "names with their values", file=file)
    if not isinstance(root.value, dict):
        found = f"{describe(Tree(file, root).plain)} at the top"
        raise Refusal.of(found, "names with their values", file=file, line=root.line)
    return Tree(file, root, builder.layout())


_NO_NAME = object()


@dataclass(slots=True)
class _Open:
    """A group or list whose end has not been read yet."""

    node: Node
    column: int
    flow: bool
    anchor: str | None
    name: Any = _NO_NAME  # of the group's entry being read
    name_line: int = 0


class _Builder:
    def __init__(self, text: str, file: str | None) -> None:
        self.text = text
        self.file = file
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self._stack: list[_Open] = []
        self._anchors: dict[str, Node] = {}
        self._nodes = 0
        self._documents = 0
        self._explicit_start = False
        self._mapping: int | None = None
        self._sequence: tuple[int, int] | None = None

    def layout(self) -> Layout:
        """Return the file's indentation; ours where the file shows none."""
        plain = Layout()
        dash, item = self._sequence or (plain.dash, plain.item)
        return Layout(self._mapping or plain.mapping, dash, item, self._explicit_start)

    def read(self) -> None:
        """Read all events; raises Refusal where reading cannot go on."""
        try:
            for event in YAML(typ="safe", pure=True).parse(self.text):
                self._take(event)
        except YAMLError as error:
            raise Refusal(in_order([*self.problems, self._syntax(error)])) from None
        except (ValueError, OverflowError, LookupError, TypeError, AssertionError) as error:
            # The parser's own slips on hostile text, such as a character number out of range.
            found = f"text that cannot be read as YAML ({describe(str(error))})"
            raise Refusal.of(found, "valid YAML", file=self.file) from None

    # ------------------------------------------------------------------ events

    def _take(self, event: Any) -> None:
        if isinstance(event, DocumentStartEvent):
            self._start_document(event)
        elif isinstance(event, AliasEvent):
            self._alias(event)
        elif isinstance(event, ScalarEvent):
            self._scalar(event)
        elif isinstance(event, MappingStartEvent | SequenceStartEvent):
            self._open(event)
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            self._close()

    def _start_document(self, event: Any) -> None:
        self._documents += 1
        line = _line(event)
        if self._documents > 1:
            raise self._stop(line, "a second document (---)", "one document in a file")
        self._explicit_start = bool(event.explicit)
        if event.tags or event.version not in (None, (1, 2)):
            self._problem(line, "a % directive", "no directives: plain YAML 1.2")

    def _alias(self, event: Any) -> None:
        line = _line(event)
        name = describe(event.anchor)
        if any(one.anchor == event.anchor for one in self._stack):
            raise self._stop(line, f"an alias inside its own anchor: {name}", "plain values")
        node = self._anchors.get(event.anchor)
        if node is None:
            raise self._stop(line, f"an alias to nothing: {name}", "a name defined above with &")
        if isinstance(node.value, dict | list) and self._name_is_due():
            self._problem(line, "a group or list as a name", "a text as a name")
        self._count(node.size, node.height, line)
        self._place(node, line)

    def _scalar(self, event: Any) -> None:
        line = _line(event)
        self._count(1, 0, line)
        if event.tag is not None:
            self._refuse_tag(event.tag, line)
        plain = event.style is None and event.tag is None
        node = Node(self._value(event.value, plain, line), line)
        if event.anchor is not None:
            self._anchors[event.anchor] = node
        if plain and event.value == "<<" and self._name_is_due():
            self._problem(line, "a merge (<<)", "the values themselves, written out")
        self._place(node, line)

    def _open(self, event: Any) -> None:
        line = _line(event)
        self._count(1, 1, line)
        if event.tag is not None:
            self._refuse_tag(event.tag, line)
        if self._name_is_due():
            raise self._stop(line, "a group or list as a name", "a text as a name")
        empty: Any = {} if isinstance(event, MappingStartEvent) else []
        column = event.start_mark.column
        self._note_layout(event, column)
        node = Node(empty, line, height=1)
        self._stack.append(_Open(node, column, bool(event.flow_style), event.anchor))

    def _close(self) -> None:
        done = self._stack.pop()
        if done.anchor is not None:
            self._anchors[done.anchor] = done.node
        self._place(done.node, done.node.line)

    # ------------------------------------------------------------------ placing

    def _name_is_due(self) -> bool:
        if not self._stack:
            return False
        last = self._stack[-1]
        return isinstance(last.node.value, dict) and last.name is _NO_NAME

    def _place(self, node: Node, line: int) -> None:
        if not self._stack:
            self.root = node
            return
        parent = self._stack[-1]
        if isinstance(parent.node.value, list):
            parent.node.value.append(node)
        elif parent.name is _NO_NAME:
            parent.name, parent.name_line = self._name(node, line), line
            return
        else:
            parent.node.value[parent.name] = (parent.name_line, node)
            parent.name = _NO_NAME
        parent.node.size += node.size
        parent.node.height = max(parent.node.height, node.height + 1)

    def _name(self, node: Node, line: int) -> str:
        """Text that names an entry; a bad one is a problem, and reading goes on with a stand-in."""
        name = node.value
        if not isinstance(name, str):
            if not isinstance(name, dict | list):
                self._problem(line, f"{describe(name)} as a name", "a text as a name")
            return f"?{line}"
        here = self._stack[-1].node.value
        if name in here:
            found = f"the name {describe(name).removeprefix('the text ')} twice"
            self._problem(line, found, f"each name once (first on line {here[name][0]})", name)
        return name

    def _value(self, text: str, plain: bool, line: int) -> Any:
        if any("\ud800" <= sign <= "\udfff" for sign in text):
            self._problem(line, "half a character (a lone surrogate)", "text that can be saved")
            return ""
        if not plain:
            return text
        try:
            return plain_value(text)
        except ValueError:
            found = f"a number of {len(text)} digits"
            self._problem(line, found, f"a number of at most {MOST_DIGITS} digits")
            return 0

    def _note_layout(self, event: Any, column: int) -> None:
        """Learn the indentation from the first places that show it."""
        if not self._stack or self._stack[-1].flow or event.flow_style:
            return
        above = self._stack[-1]
        if isinstance(above.node.value, dict):
            if isinstance(event, SequenceStartEvent):
                dash = column - above.column
                if self._sequence is None and dash >= 0:
                    self._sequence = (dash, dash + 2)
            elif self._mapping is None and column > above.column:
                self._mapping = column - above.column

    # ------------------------------------------------------------------ problems

    def _count(self, nodes: int, height: int, line: int) -> None:
        self._nodes += nodes
        if self._nodes > MOST_NODES:
            raise self._stop(line, "too much", f"at most {MOST_NODES} values, aliases written out")
        if len(self._stack) + height > DEEPEST:
            found = "groups and lists nested too deep"
            raise self._stop(line, found, f"at most {DEEPEST} one inside the other")

    def _refuse_tag(self, tag: str, line: int) -> None:
        shown = describe(tag.replace("tag:yaml.org,2002:", "!!")).removeprefix("the text ")
        self._problem(line, f"the tag {shown}", "plain values without tags")

    def _problem(self, line: int, found: str, expected: str, name: str | None = None) -> None:
        problem = Problem(self.file, line, dotted(self._path(name)), found, expected)
        self.problems.append(problem)
        if len(self.problems) > MOST_PROBLEMS:
            raise Refusal(in_order(self.problems))

    def _stop(self, line: int, found: str, expected: str) -> Refusal:
        problem = Problem(self.file, line, dotted(self._path()), found, expected)
        return Refusal(in_order([*self.problems, problem]))

    def _path(self, name: str | None = None) -> Path:
        path: list[str | int] = []
        for one in self._stack:
            if isinstance(one.node.value, list):
                path.append(len(one.node.value))
            elif one.name is not _NO_NAME:
                path.append(one.name)
        return tuple(path) if name is None else (*path, name)

    def _syntax(self, error: YAMLError) -> Problem:
        if isinstance(error, ReaderError):
            line = self.text.count("\n", 0, error.position) + 1
            found = "a control character"
            return Problem(self.file, line, "", found, "text that can be printed")
        problem, mark = "", None
        if isinstance(error, MarkedYAMLError):
            problem = str(error.problem or "")
            marks = [error.problem_mark, error.context_mark]
            if problem == "could not find expected ':'":
                marks.reverse()  # the parser looked for it from the context on
            mark = marks[0] or marks[1]
        line_text = "" if mark is None else _nth_line(self.text, mark.line)
        found, expected = _syntax_words(problem, line_text)
        return Problem(self.file, None if mark is None else mark.line + 1, "", found, expected)


def _line(event: Any) -> int:
    return int(event.start_mark.line) + 1


def _nth_line(text: str, number: int) -> str:
    lines = text.split("\n")
    return lines[number] if number < len(lines) else ""


_SYNTAX: Mapping[str, tuple[str, str]] = {
    "mapping values are not allowed": (
        "a colon that does not fit here",
        "one 'name: value' to a line, indented like its neighbours (a text holding ': ' in quotes)",
    ),
    "could not find expected ':'": ("a line without its colon", "'name: value'"),
    "expected <block end>": (
        "a line that does not line up with those before",
        "the same indentation as its neighbours",
    ),
    "unexpected end of stream": ("an end of file inside a quoted text", "the closing quote"),
    "but found '<stream end>'": ("an end of file inside a list or group", "the closing bracket"),
}


def _syntax_words(problem: str, line: str) -> tuple[str, str]:
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return "a tab at the start of the line", "spaces: YAML indents with spaces only"
    for part, words in _SYNTAX.items():
        if part in problem:
            return words
    tail = f" ({''.join(sign if sign.isprintable() else '?' for sign in problem)})"
    return f"text that is not YAML{tail if problem else ''}", "valid YAML"


_INTEGER = re.compile(r"[-+]?[0-9]+")
_OTHER_BASE = re.compile(r"0o[0-7]+|0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_WORDS: dict[str, Any] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
    **dict.fromkeys((".inf", ".Inf", ".INF", "+.inf", "+.Inf", "+.INF"), float("inf")),
    **dict.fromkeys(("-.inf", "-.Inf", "-.INF"), float("-inf")),
    **dict.fromkeys((".nan", ".NaN", ".NAN"), float("nan")),
}


def plain_value(text: str) -> Any:
    """Value of an unquoted scalar by the core schema (YAML 1.2.2, section 10.3.2, from memory).

    Raises ValueError for a whole number of more than MOST_DIGITS digits.
    """
    if text in _WORDS:
        return _WORDS[text]
    whole = _INTEGER.fullmatch(text)
    other = None if whole else _OTHER_BASE.fullmatch(text)
    if whole or other:
        if len(text) > MOST_DIGITS:
            raise ValueError("too many digits")
        return int(text, 10 if whole else 0)
    return float(text) if _FLOAT.fullmatch(text) else text
