"""A layout turned into index arrays, once, so that the mechanics never look up a name in a loop.

Equations stand in three groups, because each group has one formula (see `closure`): rods, those
along a direction fixed in the body, and those along a direction fixed in the carrier.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.layout import (
    BODY,
    CARRIER,
    LEFT_HALF,
    RIGHT_HALF,
    Guide,
    Hinge,
    Layout,
    Line,
    Pin,
    Rod,
    Slider,
)

Array = NDArray[np.float64]
Index = NDArray[np.intp]

HALVES = {CARRIER: 0.0, LEFT_HALF: 0.5, RIGHT_HALF: -0.5}
"""Share of the twist that turns each part of the carrier."""

AXES = np.eye(3)


@dataclass(frozen=True)
class Direction:
    """Where an equation's direction comes from.

    fixed: given in numbers; else one of the two normals (0, 1) of the line through two points,
    `follows` saying whether it turns with the points when adjusters move them.
    """

    fixed: tuple[float, float, float] | None = None
    line: tuple[int, int] | None = None
    normal: int = 0
    follows: bool = False


@dataclass(frozen=True)
class Structure:
    """Index arrays of a layout; P points, E simple equations, C equations after summing."""

    layout: Layout
    names: tuple[str, ...]  # P
    members: tuple[str, ...]  # P
    source: Index  # (P,) which given point
    share: Array  # (P,) share of the twist
    held: Index  # (E,) point on the carrier
    anchor: Index  # (E,) point on the body
    rods: int  # the first equations are rods
    across: int  # how many follow along directions fixed in the body; the rest in the carrier
    directions: tuple[Direction, ...]  # of the equations after the rods
    summed: Array | None  # (C, E), or None when every equation stands alone
    owners: tuple[str, ...]  # (C,) name of the constraint; "" for the drive of a wheel
    centres: Index  # (w,) wheel centres
    marks: Index  # (w,) the same places fixed in the body: lift is measured from them

    def index(self, name: str) -> int:
        """Row of a point; ValueError with the nearest names when there is none."""
        try:
            return self.names.index(name)
        except ValueError:
            raise ValueError(f"no point {name!r}; there are {', '.join(self.names)}") from None

    @property
    def coordinates(self) -> int:
        """Number of unknowns, six or seven."""
        return 6 if self.layout.twist is None else 7


def total(structure: Structure, a: Array, axis: int) -> Array:
    """Add the simple equations that make one, along an axis of E."""
    if structure.summed is None:
        return a
    return np.moveaxis(np.tensordot(structure.summed, a, axes=(1, axis)), 0, axis)


@dataclass
class _Row:
    """One simple equation being collected."""

    owner: str
    held: str
    anchor: str
    group: int  # 0 rod, 1 body direction, 2 carrier direction
    direction: Direction | None
    total: int  # rows with the same total are added


def structure_of(layout: Layout) -> Structure:
    """Compile a layout. Raises ValueError for names that do not exist."""
    given = [name for name, _ in layout.points]
    names = list(given)
    members = [member for _, member in layout.points]
    source = list(range(len(given)))
    marks = tuple((f"{wheel.centre}.mark", BODY, wheel.centre) for wheel in layout.wheels)
    for name, member, origin in (*layout.twins, *marks):
        names.append(name)
        members.append(member)
        source.append(_find(given, origin))

    _check_names(layout, names)
    rows = _rows(layout, names)
    order = sorted(range(len(rows)), key=lambda i: rows[i].group)
    rows = [rows[i] for i in order]
    totals = list(dict.fromkeys(row.total for row in rows))
    summed = None
    if len(totals) != len(rows):
        summed = np.zeros((len(totals), len(rows)))
        for i, row in enumerate(rows):
            summed[totals.index(row.total), i] = 1.0
    owner_of = {row.total: row.owner for row in rows}
    return Structure(
        layout=layout,
        names=tuple(names),
        members=tuple(members),
        source=np.array(source, dtype=np.intp),
        share=np.array([HALVES.get(member, 0.0) for member in members]),
        held=np.array([_find(names, row.held) for row in rows], dtype=np.intp),
        anchor=np.array([_find(names, row.anchor) for row in rows], dtype=np.intp),
        rods=sum(row.group == 0 for row in rows),
        across=sum(row.group == 1 for row in rows),
        directions=tuple(row.direction for row in rows if row.direction is not None),
        summed=summed,
        owners=tuple(owner_of[total] for total in totals),
        centres=np.array([_find(names, wheel.centre) for wheel in layout.wheels], dtype=np.intp),
        marks=np.array([_find(names, mark) for mark, _, _ in marks], dtype=np.intp),
    )


def _check_names(layout: Layout, names: list[str]) -> None:
    """Refuse what names a point, a member or a wheel that does not exist."""
    used = [name for arm in layout.arms for name in (*arm.axis, arm.ball)]
    used += [name for one in layout.rockers for name in (*one.axis, one.drive, one.eye)]
    used += [name for link in layout.links for name in (link.start, link.end)]
    used += [name for wheel in layout.wheels for name in (wheel.axis or ()) if wheel.axis != "steer"]
    used += [layout.twist.point] if layout.twist is not None else []
    for name in used:
        _find(names, name)
    members = [BODY, *HALVES, *(one.name for one in layout.constraints)]
    members += [one.name for one in layout.arms] + [one.name for one in layout.links]
    members += [name for one in layout.rockers for name in (one.name, one.rod)]
    for joint in layout.joints:
        for member in joint.members:
            if member not in members:
                raise ValueError(f"joint {joint.name}: no member {member!r}")
    at_wheels = [(link.name, link.wheel) for link in layout.links]
    at_wheels += [(joint.name, joint.wheel) for joint in layout.joints]
    for name, wheel_number in at_wheels:
        if not 0 <= wheel_number < len(layout.wheels):
            raise ValueError(f"{name}: found wheel {wheel_number} of {len(layout.wheels)}")


def _find(names: list[str], name: str) -> int:
    if name not in names:
        raise ValueError(f"no point {name!r}; there are {', '.join(names)}")
    return names.index(name)


def _rows(layout: Layout, names: list[str]) -> list[_Row]:
    rows: list[_Row] = []

    def add(owner: str, held: str, anchor: str, group: int, direction: Direction | None, total: int) -> None:
        rows.append(_Row(owner, held, anchor, group, direction, total))

    def fixed(axis: Array) -> Direction:
        return Direction(fixed=(float(axis[0]), float(axis[1]), float(axis[2])))

    def across(owner: str, ends: tuple[str, str], line: tuple[str, str], group: int, first: int, follows: bool) -> None:
        """Two equations square to the line through two points."""
        rows_of = (_find(names, line[0]), _find(names, line[1]))
        for j in range(2):
            where = Direction(line=rows_of, normal=j, follows=follows)
            add(owner, *ends, group, where, first + j)

    for one in layout.constraints:
        start = len(rows)
        match one:
            case Rod():
                add(one.name, one.carrier, one.body, 0, None, start)
            case Pin(carrier=held, body=anchor) | Hinge(carrier=(held, _), body=(anchor, _)):
                for j in range(3):
                    add(one.name, held, anchor, 1, fixed(AXES[j]), start + j)
                if isinstance(one, Hinge):
                    # The far bush is free along the axis, so the pair fixes the turning exactly
                    # even when an adjuster moves one of the two.
                    across(one.name, (one.carrier[1], one.body[1]), one.body, 1, start + 3, False)
            case Slider():
                across(one.name, (one.carrier, one.along[0]), one.along, 1, start, True)
            case Line():
                across(one.name, (one.along[0], one.body), one.along, 2, start, True)
            case Guide():
                for held, anchor in zip(one.carrier, one.body, strict=True):
                    add(one.name, held, anchor, 1, Direction(fixed=one.direction), start)
    for wheel in layout.wheels:
        add("", wheel.centre, f"{wheel.centre}.mark", 1, fixed(AXES[2]), len(rows))
    return rows
