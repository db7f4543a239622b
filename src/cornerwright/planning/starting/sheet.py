"""A YAML file as it is put together: values as they were typed, each with what is to be said beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from cornerwright.model.content import dump, fresh
from cornerwright.model.tree import Layout

COLUMN = 34
"""Where words beside a value begin, if the value leaves room."""


class Sheet:
    """A group of values; what is None is left out."""

    def __init__(self) -> None:
        self._map = CommentedMap()

    def put(self, key: str, value: Any, says: str = "") -> Sheet:
        """A value, a group or a list, with words beside it."""
        if value is None or (isinstance(value, Sheet) and not value._map):
            return self
        self._map[key] = value._map if isinstance(value, Sheet) else fresh(value)
        if says:
            self._map.yaml_add_eol_comment(says, key, column=COLUMN)
        return self

    def rows(self, key: str, rows: list[dict[str, Any]], says: str = "") -> Sheet:
        """A list with each of its groups on one line."""
        listed = CommentedSeq()
        for row in rows:
            line = CommentedMap((name, fresh(value)) for name, value in row.items())
            line.fa.set_flow_style()
            listed.append(line)
        self._map[key] = listed
        if says:
            self._map.yaml_add_eol_comment(says, key, column=COLUMN)
        return self

    def listed(self, key: str, sheets: list[Sheet], says: str = "") -> Sheet:
        """A list of groups."""
        self._map[key] = CommentedSeq([one._map for one in sheets])
        if says:
            self._map.yaml_add_eol_comment(says, key, column=COLUMN)
        return self

    def flat(self, key: str, value: Mapping[str, Any], says: str = "") -> Sheet:
        """A group on one line."""
        line = CommentedMap((name, fresh(one)) for name, one in value.items())
        line.fa.set_flow_style()
        self._map[key] = line
        if says:
            self._map.yaml_add_eol_comment(says, key, column=COLUMN)
        return self

    def text(self, head: str) -> str:
        """The file, these lines on top as comments."""
        lines = "".join(f"# {line}".rstrip() + "\n" for line in head.strip().splitlines())
        return lines + dump(self._map, Layout())
