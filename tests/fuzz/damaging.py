"""Good files, damaged: their structure as plain values, their YAML, their text and their bytes.

Every strategy starts from a real file, so that what comes out is nearly good and reaches far into the program.
"""

from __future__ import annotations

import copy
import json
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from hypothesis import strategies as st

Plain = Any
Path = tuple[Any, ...]


# ------------------------------------------------------------------ values that fit nowhere

NUMBERS: tuple[Plain, ...] = (
    0, -1, 1, -0.0, 1e-3, 1e-12, 1e-300, 5e-324, 1e12, -1e12, 1e300, -1e300, 1e999, -1e999, math.nan, 10**40, 2**63,
    10**299, 0.1, 1000, 45, 90, 180, -90,
)  # fmt: skip
TEXTS: tuple[Plain, ...] = (
    "", " ", "0", "-1", "1e5", "1e999", "12 mm", "-12 mm", "1/0", "1/3", "3 1/2 in", "1 furlong", "5 kg", "50 %",
    "450 lbf/in",
    "5' 6\"", "5° 30'", "½ in", "²", "٣", "12,5", "1_000", "0x10", "nan", "inf", "-inf", "yes", "null", "2026-13-45",
    "2026-04-11", "9999-12-31T23:59:59Z", "0001-01-01T00:00:00+14:00", "x" * 300, "é", "\u202e", "\u2028", "\x7f",
    "\ud800", "\0",
    "9" * 400, "../../etc/passwd", "front_left", "front", "car", "M12x1.5", "M0x0", "M12x99", "10.9", "0.0", "99.99",
    "185/60R14 82H", "0/0R0", "DOT 4", "3 turn", "1e3 notch", "-2 flat", "mm", "deg", "strut", "jack_table", "rods",
)  # fmt: skip
ODD: tuple[Plain, ...] = (
    None, True, False, [], {}, [[]], [{}], {"": ""}, {"kind": "strut"}, {"kind": None}, [0, 0, 0], [1, 2], ["a"],
    {"x": 1, "y": 2, "z": 3}, {"at_least": 1}, {"aim": 1, "within": 0}, [None], [True, False],
)  # fmt: skip

VALUES = (
    st.sampled_from(NUMBERS)
    | st.sampled_from(TEXTS)
    | st.sampled_from(ODD)
    | st.floats()
    | st.integers()
    | st.text(max_size=12)
    | st.builds(lambda number, unit: f"{number} {unit}", st.floats(-1e6, 1e6), st.sampled_from(
        ("mm", "in", "m", "N/mm", "lbf/in", "kg", "lb", "deg", "rad", "%", "N", "bar", "psi", "degC", "°F", "km",
        "turn")))
)  # fmt: skip


def deep(levels: int, kind: str) -> Plain:
    """Groups or lists, one inside the other."""
    inner: Plain = 1
    for _ in range(levels):
        inner = [inner] if kind == "list" else {"a": inner}
    return inner


# ------------------------------------------------------------------ where


def paths_in(plain: Plain, under: Path = ()) -> list[Path]:
    """Every path into the value, itself not."""
    found: list[Path] = []
    if isinstance(plain, dict):
        steps: Any = plain.items()
    elif isinstance(plain, list):
        steps = enumerate(plain)
    else:
        return found
    for step, inner in steps:
        found.append((*under, step))
        found += paths_in(inner, (*under, step))
    return found


def at(plain: Plain, path: Path) -> Plain:
    """The value at a path."""
    for step in path:
        plain = plain[step]
    return plain


def _number(value: Plain) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


# ------------------------------------------------------------------ damage to structure

FACTORS = (-1.0, 0.0, 1e-9, 1e-3, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 1e3, 1e9)
GENTLE = (-1.0, 0.0, 0.01, 0.2, 0.5, 0.8, 0.95, 1.05, 1.3, 2.0, 5.0, 100.0)


@dataclass(frozen=True)
class Damage:
    """One thing done to one place."""

    where: int
    """Which of the paths, counted round."""
    how: str
    value: Plain = None
    other: int = 0
    factor: float = 1.0


HARSH_WAYS = ("put", "put", "drop", "scale", "swap", "graft", "extra", "repeat", "wrap", "deep", "text", "shorten")
GENTLE_WAYS = ("scale", "scale", "scale", "drop", "swap", "repeat", "shorten", "number")

DAMAGES = st.builds(
    Damage,
    where=st.integers(0, 1_000_000),
    how=st.sampled_from(HARSH_WAYS),
    value=VALUES,
    other=st.integers(0, 1_000_000),
    factor=st.sampled_from(FACTORS),
)
GENTLE_DAMAGES = st.builds(
    Damage,
    where=st.integers(0, 1_000_000),
    how=st.sampled_from(GENTLE_WAYS),
    value=st.sampled_from((0, 1, 5, 20, 90, 0.001, -3)),
    other=st.integers(0, 1_000_000),
    factor=st.sampled_from(GENTLE) | st.floats(0.7, 1.4),
)


def damage(plain: Plain, one: Damage, under: Path = ()) -> None:
    """Do it in place; where it makes no sense there, nothing is done."""
    paths = paths_in(at(plain, under), under)
    if not paths:
        return
    path = paths[one.where % len(paths)]
    other = at(plain, paths[one.other % len(paths)])
    holder, step = at(plain, path[:-1]), path[-1]

    WAYS[one.how](holder, step, holder[step], other, one)


def _scaled(value: Plain, factor: float) -> Plain:
    if isinstance(value, bool):
        return not value
    if _number(value):
        return value * factor
    if isinstance(value, str):
        number, blank, unit = value.partition(" ")
        try:
            return f"{float(number) * factor!r}{blank}{unit}"
        except ValueError:
            return value
    if isinstance(value, list):
        return [_scaled(item, factor) for item in value]
    return value


def _extra(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
    # A copy of its own: a later damage may reach into it, and the value serves other examples too.
    value = copy.deepcopy(one.value)
    if isinstance(here, dict):
        here[value if isinstance(value, str) else "more"] = value
    elif isinstance(here, list):
        here.insert(one.other % (len(here) + 1), value)


def _repeat(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
    if isinstance(here, list) and here:
        here += copy.deepcopy(here[: 1 + one.other % len(here)]) * (1 + one.other % 3)


def _shorten(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
    if isinstance(here, list):
        del here[one.other % (len(here) + 1) :]


def _swap(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
    if type(here) is type(other) or one.factor < 0:
        holder[step] = copy.deepcopy(other)


def _number_put(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
    if _number(here):
        holder[step] = one.value


def _text(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
    if _number(here):
        holder[step] = f"{here}{one.value if isinstance(one.value, str) else ' mm'}"


def _put(value: Callable[[Plain, Plain, Damage], Plain]) -> Way:
    def put(holder: Plain, step: Any, here: Plain, other: Plain, one: Damage) -> None:
        holder[step] = value(here, other, one)

    return put


Way = Callable[[Any, Any, Any, Any, Damage], None]
WAYS: dict[str, Way] = {
    "put": _put(lambda here, other, one: copy.deepcopy(one.value)),
    "scale": _put(lambda here, other, one: _scaled(here, one.factor)),
    "graft": _put(lambda here, other, one: copy.deepcopy(other)),
    "wrap": _put(lambda here, other, one: [here] if one.factor < 1 else {"a": here}),
    "deep": _put(lambda here, other, one: deep(one.other % 70, "list" if one.factor < 1 else "group")),
    "drop": lambda holder, step, here, other, one: holder.pop(step),
    "extra": _extra,
    "repeat": _repeat,
    "shorten": _shorten,
    "swap": _swap,
    "number": _number_put,
    "text": _text,
}
"""What may be done to the member `step` of its holder, which is `here`; `other` stands elsewhere."""


def damaged(base: Callable[[], Plain], *parts: Path, harsh: bool = True, most: int = 4) -> st.SearchStrategy[Plain]:
    """The base with up to so many damages; parts: places that are damaged as often as all the rest."""
    spots = st.sampled_from(((), *parts))
    ways = DAMAGES if harsh else GENTLE_DAMAGES

    def apply(damages: list[tuple[Path, Damage]]) -> Plain:
        plain = copy.deepcopy(base())
        for under, one in damages:
            try:
                damage(plain, one, under)
            except (KeyError, IndexError, TypeError):
                continue  # an earlier damage took the place away
        return plain

    return st.lists(st.tuples(spots, ways), min_size=1, max_size=most).map(apply)


# ------------------------------------------------------------------ damage to YAML


@dataclass
class Dressed:
    """What YAML can say and plain values cannot, at the places of a tree."""

    tags: dict[int, str] = field(default_factory=dict)
    anchors: dict[int, str] = field(default_factory=dict)
    aliases: dict[int, str] = field(default_factory=dict)
    merges: dict[int, str] = field(default_factory=dict)
    doubles: set[int] = field(default_factory=set)


TAGS = ("!!str", "!!float", "!!int", "!!binary", "!!set", "!!python/object/apply:os.system", "!mine", "!", "!<tag:x>")
PLACES = st.integers(0, 400)
ANCHORS = st.sampled_from(("a", "b"))
DRESSED = st.builds(
    Dressed,
    tags=st.dictionaries(PLACES, st.sampled_from(TAGS), max_size=1),
    anchors=st.dictionaries(PLACES, ANCHORS, max_size=2),
    aliases=st.dictionaries(PLACES, ANCHORS, max_size=2),
    merges=st.dictionaries(PLACES, ANCHORS, max_size=1),
    doubles=st.sets(PLACES, max_size=1),
)
PLAINLY = Dressed()


def yaml_of(plain: Plain, dressed: Dressed = PLAINLY) -> str:
    """The value as YAML, one entry to a line, with the dress at the places counted from the start."""
    count = iter(range(10**9))

    def say(value: Plain, indent: int) -> str:
        place = next(count)
        if place in dressed.aliases:
            return f"*{dressed.aliases[place]}"
        front = f"{dressed.tags[place]} " if place in dressed.tags else ""
        front += f"&{dressed.anchors[place]} " if place in dressed.anchors else ""
        return front + body(value, indent, place)

    def body(value: Plain, indent: int, place: int) -> str:
        blank = "\n" + " " * (indent + 1)
        if isinstance(value, dict):
            entries = [f"{_scalar(name)}: {say(inner, indent + 1)}" for name, inner in value.items()]
            if place in dressed.merges:
                entries.append(f"<<: *{dressed.merges[place]}")
            if place in dressed.doubles and entries:
                entries.append(entries[0])
            return "{" + ("," + blank).join(entries) + "}"
        if isinstance(value, list):
            return "[" + ("," + blank).join(say(inner, indent + 1) for inner in value) + "]"
        return _scalar(value)

    return say(plain, 0) + "\n"


def _scalar(value: Plain) -> str:
    if isinstance(value, float) and not math.isfinite(value):
        return ".nan" if math.isnan(value) else ".inf" if value > 0 else "-.inf"
    return json.dumps(value)


# ------------------------------------------------------------------ damage to text and bytes

PIECES = (
    "\n", "\r\n", "\r", " ", "  ", "\t", ":", ": ", "- ", "[", "]", "{", "}", ",", "#", "'", '"', "&a ", "*a",
    "<<: *a", "!!float ",
    "!x ", "---\n", "...\n", "%YAML 1.1\n", "|\n", ">-\n", "? ", "\0", "\x01", "\x85", "\u2028", "\ufeff", "é",
    "mm", "1e9",
    "-", ".", "0", "null", ";", "\x1c", "\x0b", "\x0c", "=", "a: &a [*a, *a]\n", "\\", "\\ud800",
)  # fmt: skip
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-be", "utf-32", "latin-1", "cp1252", "cp037", "utf-7")


def _edited(text: str, edits: list[tuple[int, int, str, str]]) -> str:
    for where, length, how, piece in edits:
        start = where % (len(text) + 1)
        span = text[start : start + length]
        if how == "cut":
            text = text[:start] + text[start + length :]
        elif how == "repeat":
            text = text[:start] + span + text[start:]
        elif how == "insert":
            text = text[:start] + piece + text[start:]
        elif how == "replace":
            text = text[:start] + piece + text[start + len(piece) :]
        elif how == "end":
            text = text[:start]
        elif how == "lines":
            lines = text.split("\n")
            lines[where % len(lines)], lines[length % len(lines)] = (
                lines[length % len(lines)],
                lines[where % len(lines)],
            )
            text = "\n".join(lines)
    return text


EDITS = st.lists(
    st.tuples(
        st.integers(0, 1_000_000),
        st.integers(1, 60),
        st.sampled_from(("cut", "repeat", "insert", "replace", "lines", "insert", "end")),
        st.sampled_from(PIECES),
    ),
    min_size=1,
    max_size=5,
)


def text_damaged(base: Callable[[], str]) -> st.SearchStrategy[bytes]:
    """The text with pieces cut, repeated, put in; in its own or another encoding."""
    encodings = st.sampled_from(ENCODINGS) | st.just("utf-8")
    return st.builds(lambda edits, encoding: _edited(base(), edits).encode(encoding, "ignore"), EDITS, encodings)


def bytes_damaged(base: Callable[[], bytes]) -> st.SearchStrategy[bytes]:
    """The bytes cut short, with bits turned, spans taken out or repeated, something after the end."""

    def apply(edits: list[tuple[int, int, str]], tail: bytes) -> bytes:
        content = bytearray(base())
        for where, length, how in edits:
            start = where % (len(content) + 1)
            if how == "turn" and start < len(content):
                content[start] ^= 1 << length % 8
            elif how == "cut":
                del content[start : start + length]
            elif how == "repeat":
                content[start:start] = content[start : start + length]
            elif how == "end":
                del content[start:]
            elif how == "zero":
                content[start : start + length] = bytes(len(content[start : start + length]))
            elif how == "ones":
                content[start : start + length] = b"\xff" * len(content[start : start + length])
        return bytes(content) + tail

    edits = st.lists(
        st.tuples(
            st.integers(0, 10_000_000),
            st.integers(1, 200),
            st.sampled_from(("turn", "turn", "cut", "repeat", "end", "zero", "ones")),
        ),
        min_size=1,
        max_size=6,
    )
    return st.builds(apply, edits, st.just(b"") | st.binary(max_size=20))


RAW = st.binary(max_size=400) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass"))
"""Anything at all."""
