"""Texts for the tests of files: a good one, bad ones with what must be said, and pieces to mix."""

from __future__ import annotations

import math
from typing import Any

GOOD = """\
# invented
name: Sample   # as measured
wheelbase: 2395 mm # tape

left:
  stack:
    - rate: 450 lbf/in # main
      free: 180
      block: 62 mm
    - {rate: 4, free: 60, block: 13}
  linkage:
    kind: strut
    top: [0, 550, 700]
  note: soft
  spacers: 2
  named: {scale: 312.5}
  stop: none
  range: [0, 10 mm]
right:
  turns: 8
"""

# id, text, line, field, found
BAD: list[tuple[str, str | bytes, int | None, str, str]] = [
    ("empty", "", None, "", "an empty file"),
    ("only comments", "# a\n\n# b\n", None, "", "an empty file"),
    ("only a start", "---\n", None, "", "an empty file"),
    ("only null", "~\n", None, "", "an empty file"),
    ("list at the top", "# x\n- 1\n- 2\n", 2, "", "a list of 2 at the top"),
    ("text at the top", "hello\n", 1, "", "the text 'hello' at the top"),
    ("not utf-8", b"a: 1\nb: \xff\n", 2, "", "another encoding"),
    ("utf-16", "a: 1\n".encode("utf-16"), 1, "", "another encoding"),
    ("binary", b"\x89PNG\r\n\x1a\n\x00\x00", None, "", "a binary file"),
    ("late binary", "a: 1\n" * 2000 + "\0", None, "", "a binary file"),
    ("control character", "a: 1\nb: \x01\n", 2, "", "a control character"),
    ("tab", "a:\n  b: 1\n\tc: 2\n", 3, "", "a tab at the start"),
    ("two colons", "a: 1\nb: c: d\n", 2, "", "a colon that does not fit"),
    ("no colon", "a: 1\nb\nc: 2\n", 2, "", "a line without its colon"),
    ("last line without colon", "a: 1\nbcd\n", 2, "", "a line without its colon"),
    ("does not line up", "a:\n    b: 1\n  c: 2\n", 3, "", "does not line up"),
    ("open quote", "a: 1\nb: 'x\n", 3, "", "inside a quoted text"),
    ("open list", "a: 1\nb: [1, 2\n", 3, "", "not YAML"),
    ("percent", "a: %x\n", 1, "", "not YAML"),
    ("bad escape", 'a: "\\q"\n', 1, "", "not YAML"),
    ("character number out of range", 'a: "\\U00FFFFFF"\n', None, "", "cannot be read"),
    ("half a character", 'a: "\\ud800"\n', 1, "a", "half a character"),
    ("duplicate", "a:\n  b: 1\n  c: 2\n  b: 3\n", 4, "a.b", "the name 'b' twice"),
    ("duplicate in braces", "a: {b: 1, b: 2}\n", 1, "a.b", "the name 'b' twice"),
    ("second document", "a: 1\n---\nb: 2\n", 2, "", "a second document"),
    ("number as name", "a:\n  1: x\n", 2, "a", "1 as a name"),
    ("true as name", "true: x\n", 1, "", "true (yes or no) as a name"),
    ("null as name", "~: x\n", 1, "", "nothing as a name"),
    ("list as name", "? [a, b]\n: 1\n", 1, "", "a group or list as a name"),
    ("group as name", "{a: 1}: 1\n", 1, "", "a group or list as a name"),
    ("alias to a list as name", "a: &x [1]\n*x : 1\n", 2, "", "a group or list as a name"),
    ("python tag", "a: !!python/object/apply:os.system ['true']\n", 1, "a", "the tag '!!python/object/apply"),
    ("plain tag", "a: !!str 5\n", 1, "a", "the tag '!!str'"),
    ("own tag", "a:\n  - 1\n  - !mine {b: 1}\n", 3, "a[1]", "the tag '!mine'"),
    ("bare tag", "a: ! 5\n", 1, "a", "the tag '!'"),
    ("merge", "a: &x {b: 1}\nc:\n  <<: *x\n", 3, "c", "a merge"),
    ("alias to itself", "a: &x\n  b: *x\n", 2, "a.b", "inside its own anchor"),
    ("alias to nothing", "a: *x\n", 1, "a", "an alias to nothing"),
    ("yaml 1.1", "%YAML 1.1\n---\na: yes\n", 2, "", "a % directive"),
    ("tag directive", "%TAG ! tag:x\n---\na: 1\n", 2, "", "a % directive"),
    ("deep brackets", "a: " + "[" * 100_000, 1, "a" + "[0]" * 49, "nested too deep"),
    ("deep braces", "{" * 100_000, 1, "", "a group or list as a name"),
    ("deep blocks", "".join(" " * i + "a:\n" for i in range(200)), 51, ".".join("a" * 50), "too deep"),
    ("huge number", "a: " + "9" * 5000 + "\n", 1, "a", "a number of 5000 digits"),
    ("huge hexadecimal", "a: 0x" + "f" * 5000 + "\n", 1, "a", "a number of 5002 digits"),
    (
        "billion laughs",
        "a: &a [1, 1, 1, 1, 1, 1, 1, 1, 1]\n"
        + "".join(
            f"{one}: &{one} [{', '.join([f'*{before}'] * 9)}]\n"
            for before, one in zip("abcdefgh", "bcdefghi", strict=True)
        ),
        6,
        "f[1]",
        "too much",
    ),
    ("too many", "a: [" + "1," * 200_001 + "]\n", 1, "a[199997]", "too much"),
]  # fmt: skip

# id, text in GOOD, put in its place, line, field, found, part of expected
BAD_VALUES: list[tuple[str, str, str, int, str, str, str]] = [
    ("yes for a length", "2395 mm", "yes", 3, "wheelbase", "the text 'yes'", "a length above 0 such as"),
    ("true for a length", "2395 mm", "true", 3, "wheelbase", "true (yes or no)", "a length"),
    ("date for a length", "2395 mm", "2024-05-31", 3, "wheelbase", "the date 2024-05-31", "a length"),
    ("not a number", "2395 mm", ".nan", 3, "wheelbase", "nan", "a finite number"),
    ("infinity", "2395 mm", "-.inf", 3, "wheelbase", "-inf", "a finite number"),
    ("beyond a float", "2395 mm", "1e999", 3, "wheelbase", "inf", "a finite number"),
    ("nothing", "2395 mm", "", 3, "wheelbase", "nothing", "a length"),
    ("list", "2395 mm", "[1, 2]", 3, "wheelbase", "a list of 2", "a length"),
    ("negative", "2395 mm", "-1", 3, "wheelbase", "-1", "above 0"),
    ("wrong kind", "2395 mm", "2395 kg", 3, "wheelbase", "the text '2395 kg'", "a length above 0 such as 412"),
    ("pounds per inch", "450 lbf/in", "450 lb/in", 7, "left.stack[0].rate", "the text '450 lb/in'", "write lbf/in"),
    ("missing at the top", "wheelbase: 2395 mm", "# none", 2, "wheelbase", "nothing", "a length above 0 such as"),
    ("missing deep", "free: 180", "# none", 7, "left.stack[0].free", "nothing", "a length above 0"),
    ("missing tag", "kind: strut", "lean: 1", 11, "left.linkage.kind", "nothing", "one of 'rods', 'strut'"),
    ("unknown tag", "kind: strut", "kind: struts", 12, "left.linkage.kind", "the text 'struts'", "'rods', 'strut'"),
    ("missing in a union", "top: [0, 550, 700]", "lean: 1", 11, "left.linkage.top", "nothing", "a point [x, y, z]"),
    ("unknown in a union", "kind: strut", "kind: strut\n    tip: 1", 13, "left.linkage.tip", "the unknown name 'tip'",
     "did you mean 'top'?"),
    ("unknown", "spacers: 2", "spacrs: 2", 15, "left.spacrs", "the unknown name 'spacrs'", "did you mean 'spacers'?"),
    ("near nothing", "spacers: 2", "qqq: 2", 15, "left.qqq", "the unknown name 'qqq'", "one of stack, linkage"),
    ("coordinate", "[0, 550, 700]", "[0, 550 kg, 700]", 13, "left.linkage.top[1]", "the text '550 kg'", "a length"),
    ("coordinates", "[0, 550, 700]", "[0, 550]", 13, "left.linkage.top", "a list of 2", "a point [x, y, z]"),
    ("whole number", "turns: 8", "turns: 8.5", 20, "right.turns", "8.5", "a whole number"),
    ("too many turns", "turns: 8", "turns: 99", 20, "right.turns", "99", "a whole number of at most 12"),
    ("odd", "turns: 8", "turns: 7", 20, "right.turns", "7", "an even number of turns"),
    ("limit in mm", "spacers: 2", "spacers: 0.5", 15, "left.spacers", "0.5", "a length of at least 1 mm such as 412"),
    ("long text", "note: soft", "note: " + "x" * 30, 14, "left.note", "the text '" + "x" * 30 + "'",
     "a text of at most 20 characters"),
    ("number for a text", "note: soft", "note: 5", 14, "left.note", "5", "a text"),
    ("number for a name", "name: Sample", "name: 5", 2, "name", "5", "a text"),
    ("name's form", "{scale: 312.5}", "{Scale: 1}", 16, "left.named.Scale", "the name 'Scale'", "of the form"),
    ("weight", "312.5}", "312.5 mm}", 16, "left.named.scale", "the text '312.5 mm'", "a weight as a scale shows it"),
    ("union of two", "stop: none", "stop: never", 17, "left.stop", "the text 'never'", "'none'"),
    ("two and no more", "[0, 10 mm]", "[0, 10, 20]", 18, "left.range", "a list of 3", "a list of 2"),
    ("place in two", "[0, 10 mm]", "[0, x]", 18, "left.range[1]", "the text 'x'", "a length such as"),
    ("two that do not fit", "[0, 10 mm]", "[20, 10]", 18, "left.range[1]", "a range that falls", "the least first"),
    ("lengths that do not fit", "block: 62 mm", "block: 200", 7, "left.stack[0]", "", "block must be shorter"),
    ("group for a list", "stack:\n    - rate: 450 lbf/in # main\n      free: 180\n      block: 62 mm\n    - {",
     "stack:\n   {",     6, "left.stack", "a group of names and values", "a list"),
    ("text for a group", "{rate: 4, free: 60, block: 13}", "soft", 10, "left.stack[1]", "the text 'soft'",
     "a group with rate, free, block"),
    ("text for a switch", "spacers: 2", "loose: maybe", 15, "left.loose", "the text 'maybe'", "true or false"),
    ("date", "spacers: 2", "measured: 2024-13-45", 15, "left.measured", "the date 2024-13-45", "a date such as"),
]  # fmt: skip

PIECES = [
    "a", "b: ", "a: ", "- ", "\n", "\n  ", "\n    ", " ", "[", "]", "{", "}", ", ", ": ", "? ", "&x ", "*x",
    "<<: ", "!t ", "!!str ", "'", '"', "|\n", ">-\n", "# c\n", "---\n", "...\n", "%YAML 1.2\n", "1", "1.5",
    "true", "null", "~", "2024-05-31", "\t", "é", "\\", "1e5", "0x1F", "1_0", ".inf", "x y", "@", "`", "\r\n",
    "=", "12:30:00", "-", "\u2028", "\ufeff", "\x85", "yes", "left: ", "a: 1\n", "b:\n  - 1\n",
    "c: {d: [1, 2]}\n", "e: 'f' # g\n", "h: |\n  i\n",
]  # fmt: skip


def savable(value: Any) -> Any:
    """Return the tree with its texts and names made such that a file can hold them."""
    if isinstance(value, dict):
        return {savable(name): savable(item) for name, item in value.items()}
    if isinstance(value, list):
        return [savable(item) for item in value]
    return value.encode("utf-8", "replace").decode() if isinstance(value, str) else value


def same(one: Any, other: Any) -> bool:
    """Equal in value and kind, not-a-number equal to itself."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[name], other[name]) for name in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) and isinstance(other, float) and math.isnan(one):
        return math.isnan(other)
    return one == other and isinstance(one, bool) == isinstance(other, bool)
