"""The content of a file as ruamel holds it, with its comments: load, change, dump."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import YAMLError
from ruamel.yaml.resolver import VersionedResolver

from cornerwright.model.errors import Refusal
from cornerwright.model.reader import MOST_DIGITS
from cornerwright.model.tree import Layout, Path, Tree, dotted
from cornerwright.model.units import describe


def bring(content: Any, old: Any, new: Any) -> None:
    """Change the group so that what differs between old and new is as in new, and no more.

    old is what the content means, which may be more than it says: what is filled in by default or
    completed from elsewhere is written down only where it changes.
    """
    for name in old:
        if name not in new:
            content.pop(name, None)
    for name, value in new.items():
        if name in old and same_values(old[name], value):
            continue
        if name in content and name in old:
            _bring_member(content, name, old[name], value)
        elif isinstance(value, dict) and isinstance(old.get(name), dict):
            content[name] = CommentedMap()
            bring(content[name], old[name], value)
        else:
            content[name] = fresh(value)


def _bring_member(content: Any, at: Any, old: Any, new: Any) -> None:
    here = content[at]
    if isinstance(here, dict) and isinstance(old, dict) and isinstance(new, dict):
        bring(here, old, new)
    elif isinstance(here, list) and isinstance(old, list) and isinstance(new, list):
        if len(here) != len(old):
            content[at] = fresh(new)
            return
        del here[len(new) :]
        for place, (before, after) in enumerate(zip(old, new, strict=False)):
            if not same_values(before, after):
                _bring_member(here, place, before, after)
        here.extend(fresh(item) for item in new[len(old) :])
    else:
        content[at] = fresh(new)


def put(content: Any, steps: Path, value: Any) -> None:
    """Set the value at a path; raises Refusal where the content has no such place.

    A group on the way that is missing is made, and so is the next place of a list.
    """
    here = content
    for place, step in enumerate(steps[:-1]):
        _admits(here, step, steps[:place])
        if _is_new(here, step):
            empty = CommentedMap() if isinstance(steps[place + 1], str) else CommentedSeq()
            _add(here, step, empty)
        here = here[step]
    last = steps[-1]
    _admits(here, last, steps[:-1])
    if _is_new(here, last):
        _add(here, last, fresh(value))
    else:
        _bring_member(here, last, _plain_of(here[last]), value)


def _is_new(here: Any, step: str | int) -> bool:
    return step not in here if isinstance(here, dict) else step == len(here)


def _add(here: Any, step: str | int, item: Any) -> None:
    if isinstance(here, dict):
        here[step] = item
    else:
        here.append(item)


def _admits(here: Any, step: str | int, at: Path) -> None:
    """Refuse a step that the thing here cannot take."""
    place = f" at {dotted(at)}" if at else ""
    if isinstance(here, dict) and isinstance(step, str):
        return
    if isinstance(here, list) and isinstance(step, int):
        if step > len(here):
            raise Refusal.of(f"a list of {len(here)}{place}", "a place in the list")
        return
    wanted = "a list" if isinstance(step, int) else "a group of names and values"
    raise Refusal.of(f"{describe(_plain_of(here))}{place}", wanted)


def _plain_of(value: Any) -> Any:
    """Return what a piece of ruamel's content holds, without its dress."""
    if isinstance(value, dict):
        return {str(name): _plain_of(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_plain_of(item) for item in value]
    # ruamel's own boolean (one with an anchor) is an int by class, and prints as a whole number.
    for kind in (bool, int, float, str):
        if isinstance(value, kind):
            return kind(value)
    return value


def holdable(value: Any) -> Any:
    """Return the value if a file can hold it; raises Refusal."""
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, int) and abs(value) < 10**MOST_DIGITS:
        return int(value)
    if isinstance(value, float) and math.isfinite(value):
        return float(value)
    if isinstance(value, list | tuple):
        return [holdable(item) for item in value]
    if isinstance(value, Mapping) and all(isinstance(name, str) for name in value):
        return {name: holdable(item) for name, item in value.items()}
    raise Refusal.of(describe(value), "a number, a text, true or false, a list or a group")


def same_values(one: Any, other: Any) -> bool:
    """Equal in value and in kind: 1 and true are not equal, 1 and 1.0 are."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same_values(one[name], other[name]) for name in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_values, one, other))
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    return bool(one == other)


def fresh(value: Any) -> Any:
    """Content for ruamel: whole floats as whole numbers, short lists of numbers on one line."""
    if isinstance(value, dict):
        return CommentedMap((name, fresh(item)) for name, item in value.items())
    if isinstance(value, list):
        items = CommentedSeq(fresh(item) for item in value)
        if len(items) <= 8 and not any(isinstance(item, dict | list) for item in value):
            items.fa.set_flow_style()
        return items
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)
    return value


class _CoreResolver(VersionedResolver):
    """Resolves what our reader resolves: no dates, no merges."""

    def add_version_implicit_resolver(self, version: Any, tag: Any, regexp: Any, first: Any) -> None:
        if str(tag).rsplit(":", 1)[-1] in ("bool", "float", "int", "null"):
            super().add_version_implicit_resolver(version, tag, regexp, first)


def _keeper(layout: Layout) -> YAML:
    yaml = YAML(typ="rt", pure=True)
    yaml.Resolver = _CoreResolver
    yaml.preserve_quotes = True
    yaml.width = 1_000_000  # never folds a line that its writer left long
    yaml.explicit_start = layout.explicit_start
    yaml.indent(mapping=layout.mapping, sequence=layout.item, offset=layout.dash)
    return yaml


def load(source: str, tree: Tree) -> Any:
    """Content of a text that the tree was read from; raises Refusal."""
    try:
        return _keeper(tree.layout).load(source.replace("\r\n", "\n"))
    except (YAMLError, ValueError, LookupError, TypeError, AttributeError) as error:
        found = f"text that can be read but not kept ({describe(str(error))})"
        raise Refusal.of(found, "plain YAML", file=tree.file) from None


def dump(content: Any, layout: Layout) -> str:
    """YAML text of the content, lines ending in a single newline."""
    stream = io.StringIO()
    _keeper(layout).dump(content, stream)
    return stream.getvalue()


def with_endings_of(source: str, text: str) -> str:
    """Return the text with its lines ended as those of the source are."""
    return text.replace("\n", "\r\n") if "\r\n" in source else text
