"""A linkage with its numbers: reference points, wheels and adjusters, for n variants at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.closure import Frame, frame_of
from cornerwright.mechanics.linkage.layout import Guide, Layout, Rod
from cornerwright.mechanics.linkage.reference import Reference, Rows
from cornerwright.mechanics.linkage.structure import Structure, structure_of

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Adjusters:
    """How m adjusters change the parts of a linkage, per unit of each one's travel.

    point_shift (P, 3, m) [m/m]: displacement of a point, in the axes of its own member, which are
    the body's axes at the reference pose; the rows follow `Structure.names`, so a pinned point's
    place on the body and on the carrier are moved apart. length_change (R, m) [m/m]: of the rods in
    the order of `Layout.rods`. camber_change, toe_change (w, m) [rad/m]: of the wheel against
    what carries it.
    """

    names: tuple[str, ...]
    point_shift: Array
    length_change: Array
    camber_change: Array
    toe_change: Array


@dataclass(frozen=True)
class Mechanism:
    """A linkage of n variants, body axes of ISO 8855.

    points (n|1, G, 3) [m]: the given points at the reference pose, in the order of
    `layout.points`; camber, toe, radius (n|1, w) [rad, rad, m] of the wheels at the reference.
    steer_axis (P, 3) [m/m]: displacement of the points per metre of rack travel.
    """

    layout: Layout
    points: Array
    camber: Array
    toe: Array
    radius: Array
    steer_axis: Array | None = None
    adjusters: Adjusters | None = None
    compiled: Structure | None = field(default=None, repr=False)

    @cached_property
    def structure(self) -> Structure:
        """The layout as index arrays."""
        return self.compiled if self.compiled is not None else structure_of(self.layout)

    @property
    def variants(self) -> int:
        """Number of variants in the batch."""
        return max(len(a) for a in (self.points, self.camber, self.toe, self.radius))

    @property
    def wheels(self) -> int:
        """One for a corner, two for an axle; as many lifts drive it."""
        return len(self.layout.wheels)

    @property
    def adjuster_count(self) -> int:
        """Number of adjusters."""
        return 0 if self.adjusters is None else len(self.adjusters.names)

    @property
    def steers(self) -> bool:
        """True when a rack moves some of its points."""
        return self.steer_axis is not None

    def take(self, rows: Rows) -> Mechanism:
        """Only these variants; what has one variant for all stays as it is."""

        def some(a: Array) -> Array:
            return a if a.shape[0] == 1 else a[rows]

        return replace(
            self,
            points=some(self.points),
            camber=some(self.camber),
            toe=some(self.toe),
            radius=some(self.radius),
            compiled=self.structure,
        )

    def vary(
        self,
        points: Array | None = None,
        camber: Array | None = None,
        toe: Array | None = None,
        radius: Array | None = None,
    ) -> Mechanism:
        """The same layout and adjusters with other numbers; shapes as for the class."""
        return replace(
            self,
            points=self.points if points is None else points,
            camber=self.camber if camber is None else camber,
            toe=self.toe if toe is None else toe,
            radius=self.radius if radius is None else radius,
            compiled=self.structure,
        )

    def stacked(self, *others: Mechanism) -> Mechanism:
        """Variants of this and others of the same layout, one after another, to be solved at once.

        A right corner joins a left one as its mirror image, with y turned about and side +1: of the
        columns only y and contact_y then change sign, and a rack along y travels the other way.
        ValueError when the layouts, racks or adjusters differ.
        """
        for other in others:
            if other.layout != self.layout:
                raise ValueError("only linkages of one layout can be stacked")
            if not _alike(self.steer_axis, other.steer_axis):
                raise ValueError("only linkages with the same rack can be stacked")
            mine, theirs = self.adjusters, other.adjusters
            same = (mine is None) == (theirs is None)
            if mine is not None and theirs is not None:
                same = mine.names == theirs.names and all(
                    _alike(getattr(mine, name), getattr(theirs, name))
                    for name in ("point_shift", "length_change", "camber_change", "toe_change")
                )
            if not same:
                raise ValueError("only linkages with the same adjusters can be stacked")
        every = (self, *others)

        def whole(name: str) -> Array:
            parts = [np.broadcast_to(a, (m.variants, *a.shape[1:])) for m in every for a in [getattr(m, name)]]
            return np.concatenate(parts)

        return self.vary(whole("points"), whole("camber"), whole("toe"), whole("radius"))

    def mirrored(self) -> Mechanism:
        """The other side of the car: y turned about, sides changed; names and travels stay."""
        over = np.array([1.0, -1.0, 1.0])
        twist = self.layout.twist
        layout = replace(
            self.layout,
            wheels=tuple(replace(wheel, side=-wheel.side) for wheel in self.layout.wheels),
            joints=tuple(
                replace(
                    joint,
                    direction=None if joint.direction is None else _flip(joint.direction),
                    housing=None if joint.housing is None else _flip(joint.housing),
                )
                for joint in self.layout.joints
            ),
            constraints=tuple(
                replace(one, direction=_flip(one.direction)) if isinstance(one, Guide) else one
                for one in self.layout.constraints
            ),
            twist=None if twist is None else replace(twist, direction=_flip(twist.direction)),
        )
        adjusters = self.adjusters
        if adjusters is not None:
            shift = adjusters.point_shift * over[:, None]
            adjusters = replace(adjusters, point_shift=shift)
        axis = None if self.steer_axis is None else self.steer_axis * over
        return replace(
            self,
            layout=layout,
            points=self.points * over,
            steer_axis=axis,
            adjusters=adjusters,
            compiled=None,
        )

    def with_adjusters(
        self,
        names: Sequence[str],
        *,
        points: Sequence[tuple[str, str, Sequence[float]]] = (),
        lengths: Sequence[tuple[str, str, float]] = (),
        wheels: Sequence[tuple[str, int, float, float]] = (),
    ) -> Mechanism:
        """The mechanism with these adjusters in place of any it had.

        points: (adjuster, point, displacement (3,) per unit of travel); lengths: (adjuster, rod,
        change per unit); wheels: (adjuster, wheel, change of camber, of toe [rad/m]). An adjuster
        may have several entries of any sort.
        """
        structure, rods = self.structure, self.layout.rods
        m = len(names)
        column = {name: k for k, name in enumerate(names)}
        shift = np.zeros((len(structure.names), 3, m))
        change = np.zeros((len(rods), m))
        camber, toe = np.zeros((self.wheels, m)), np.zeros((self.wheels, m))
        for name, point, move in points:
            shift[structure.index(point), :, column[name]] += np.asarray(move, dtype=float)
        for name, rod, grows in lengths:
            if rod not in rods:
                raise ValueError(f"no rod {rod!r}; there are {', '.join(rods)}")
            change[rods.index(rod), column[name]] += grows
        for name, wheel, lean, turn in wheels:
            camber[wheel, column[name]] += lean
            toe[wheel, column[name]] += turn
        adjusters = Adjusters(tuple(names), shift, change, camber, toe)
        return replace(self, adjusters=adjusters, compiled=structure)

    @cached_property
    def frame(self) -> Frame:
        """What the equations need, the reference pose's own state included."""
        return frame_of(self.structure, self.reference)

    @cached_property
    def reference(self) -> Reference:
        """The numbers in the order the mechanics want them."""
        return _reference(self)


def _alike(a: Array | None, b: Array | None) -> bool:
    return (a is None) == (b is None) and (a is None or b is None or np.array_equal(a, b))


def _flip(direction: tuple[float, float, float]) -> tuple[float, float, float]:
    return direction[0], -direction[1], direction[2]


def _reference(mechanism: Mechanism) -> Reference:
    structure, layout = mechanism.structure, mechanism.layout
    d, m = mechanism.wheels, mechanism.adjuster_count
    k = d + m + mechanism.steers
    absolute = np.moveaxis(mechanism.points[:, structure.source], 0, -1).transpose(1, 0, 2)
    origin = absolute[:, structure.centres[0]]
    points = np.ascontiguousarray(absolute - origin[:, None])

    shift = np.zeros((k, 3, len(structure.names)))
    shift[np.arange(d), 2, structure.marks] = 1.0
    lengthen = np.zeros((k, len(layout.rods)))
    tilt = np.zeros((2, k, d))
    if mechanism.adjusters is not None:
        own = slice(d, d + m)
        shift[own] += mechanism.adjusters.point_shift.transpose(2, 1, 0)
        lengthen[own] = mechanism.adjusters.length_change.T
        tilt[0, own] = mechanism.adjusters.camber_change.T
        tilt[1, own] = mechanism.adjusters.toe_change.T
    if mechanism.steer_axis is not None:
        shift[-1] += mechanism.steer_axis.T

    ends = [(one.carrier, one.body) for one in layout.constraints if isinstance(one, Rod)]
    ends += [(one.drive, one.eye) for one in layout.rockers]
    far = [structure.index(a) for a, _ in ends]
    near = [structure.index(b) for _, b in ends]
    lengths = np.linalg.norm(points[:, far] - points[:, near], axis=0)

    directions, redirect = _directions(structure, points, shift)
    joints = np.concatenate([structure.held, structure.anchor])
    size = float(np.sqrt(np.mean(np.sum(points[:, joints] ** 2, axis=0))))
    axis, centre = np.zeros((3, 1)), np.zeros((3, 1))
    if layout.twist is not None:
        axis = np.array(layout.twist.direction, dtype=float)[:, None]
        axis /= np.linalg.norm(axis)
        centre = points[:, structure.index(layout.twist.point)]
    return Reference(
        origin=origin,
        points=points,
        shift=shift,
        lengths=lengths,
        lengthen=lengthen,
        directions=directions,
        redirect=redirect,
        camber=mechanism.camber.T,
        toe=mechanism.toe.T,
        tilt=tilt,
        radius=mechanism.radius.T,
        twist_axis=axis,
        twist_point=centre,
        size=size,
    )


def _directions(structure: Structure, points: Array, shift: Array) -> tuple[Array, Array]:
    """Directions (3, D, g) of the equations that have one, and their change with the parameters."""
    k, g = shift.shape[0], points.shape[-1]
    count = len(structure.directions)
    directions = np.zeros((3, count, g))
    redirect = np.zeros((k, 3, count, g))
    for i, one in enumerate(structure.directions):
        if one.line is None:
            directions[:, i] = np.array(one.fixed)[:, None]
            continue
        near, far = one.line
        along = points[:, far] - points[:, near]  # (3, g)
        length = np.linalg.norm(along, axis=0)
        if np.any(length == 0.0):
            name = structure.names[near], structure.names[far]
            raise ValueError(f"the points {name[0]} and {name[1]} coincide and give no line")
        along = along / length
        # The axis least aligned with the line gives well-conditioned normals.
        helper = np.eye(3)[np.argmin(np.abs(along), axis=0)].T
        first = np.cross(along, helper, axis=0)
        first /= np.linalg.norm(first, axis=0)
        normal = first if one.normal == 0 else np.cross(along, first, axis=0)
        # e = line x normal is linear in the line, so it follows moved points without error.
        directions[:, i] = np.cross(along, normal, axis=0)
        if one.follows:
            turn = (shift[:, :, far] - shift[:, :, near])[:, :, None] / length  # (k, 3, g)
            redirect[:, :, i] = np.cross(turn, normal[None], axis=1)
    return directions, redirect
