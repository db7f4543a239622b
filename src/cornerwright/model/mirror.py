"""Left is given, right is its mirror: on the plain tree of a car file, before it is validated."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

POINT_KEYS = frozenset({"at", "centre", "inner", "outer", "body", "carrier", "eye", "along"})
"""Keys whose value, where it is a list of three, is a point or a direction in body axes."""

POINT_LISTS = frozenset({"axis", "steering_axis", "edge", "patch"})
"""Keys whose value is a list of points."""

POINT_MAPS = frozenset({"points"})
"""Keys whose value holds points by name."""

Path = tuple[str | int, ...]


def with_right_corners(tree: Any) -> Any:
    """The tree of a car with each axle's right corner completed from its left.

    A member that the file gives for the right side stands as given (its points in body axes, so with negative
    y); every other member is the left one's, points mirrored. Two members of different `kind` are not mixed.
    Anything that is not of this shape is left as it is: validation names it.
    """
    if not isinstance(tree, Mapping):
        return tree
    car = dict(tree)
    for axle_name in ("front", "rear"):
        axle = car.get(axle_name)
        if isinstance(axle, Mapping) and isinstance(axle.get("left"), Mapping):
            given = axle.get("right", {})
            right = _merged(_mirrored(axle["left"]), {} if given is None else given)
            car[axle_name] = {**axle, "right": right}
    return car


def left_of(path: Path) -> Path:
    """Where the member at this path of a right corner comes from when the file gives none there."""
    if len(path) >= 2 and path[0] in ("front", "rear") and path[1] == "right":
        return (path[0], "left", *path[2:])
    return path


def _merged(base: Any, over: Any) -> Any:
    if not (isinstance(base, Mapping) and isinstance(over, Mapping)):
        return over
    if "kind" in base and "kind" in over and base["kind"] != over["kind"]:
        return over
    both = {key: _merged(base[key], over[key]) for key in base if key in over}
    return {**base, **over, **both}


def _mirrored(node: Any) -> Any:
    if isinstance(node, Mapping):
        return {key: _mirrored_member(key, value) for key, value in node.items()}
    if isinstance(node, list | tuple):
        return [_mirrored(item) for item in node]
    return node


def _mirrored_member(key: Any, value: Any) -> Any:
    if key in POINT_KEYS and _is_point(value):
        return _mirrored_point(value)
    if key in POINT_LISTS and isinstance(value, list | tuple):
        return [_mirrored_point(point) for point in value]
    if key in POINT_MAPS and isinstance(value, Mapping):
        return {name: _mirrored_point(point) for name, point in value.items()}
    return _mirrored(value)


def _is_point(value: Any) -> bool:
    if isinstance(value, Mapping):
        return "y" in value
    return isinstance(value, list | tuple) and len(value) == 3


def _mirrored_point(value: Any) -> Any:
    if isinstance(value, Mapping) and "y" in value:
        return {**value, "y": _negated(value["y"])}
    if isinstance(value, list | tuple) and len(value) == 3:
        return [value[0], _negated(value[1]), value[2]]
    return value


def _negated(value: Any) -> Any:
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        return -value
    if isinstance(value, str):
        text = value.strip()
        if text[:1] in ("-", "\N{MINUS SIGN}", "\N{EN DASH}"):
            return text[1:].lstrip()
        return "-" + text.removeprefix("+")
    return value
