"""The starter files: a car, its readings, its targets, each value with how to measure it.

The files are also where those words are kept: whoever asks for a value says what stands beside it there.
"""

from __future__ import annotations

import re
from functools import cache
from importlib import resources

_LINE = re.compile(r"(?P<indent> *)(?P<item>- )?(?P<key>[a-z_]+):(?P<rest>.*)")
_COMMENT = re.compile(r"(?:^|\s)#\s?(?P<words>.*)$")

AROUND = ("head", "front_around", "rear_around")
APART = ("head", "front_apart", "rear_apart")


def template(name: str) -> str:
    """Text of one of the starter's pieces."""
    return (resources.files("cornerwright.model") / "templates" / f"{name}.yaml").read_text(encoding="utf-8")


def said(field: str, pieces: tuple[str, ...] = AROUND) -> str:
    """What the starter file says beside this field, as in `front.left.damper.open`: how to measure it.

    Raises KeyError where it says nothing.
    """
    for name in pieces:
        if field in (found := _beside(name)):
            return found[field]
    raise KeyError(field)


@cache
def _beside(name: str) -> dict[str, str]:
    """Comments at the end of lines, by dotted field; places in lists are left out."""
    found: dict[str, str] = {}
    path: list[tuple[int, str]] = []
    for line in template(name).splitlines():
        match = _LINE.fullmatch(line)
        if match is None:
            continue
        depth = len(match["indent"]) + len(match["item"] or "")
        while path and path[-1][0] >= depth:
            path.pop()
        path.append((depth, match["key"]))
        comment = _COMMENT.search(match["rest"])
        if comment is not None:
            found[".".join(key for _, key in path)] = comment["words"].strip()
    return found
