"""What a linkage of points says of one wheel, solved exactly at the poses asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.point_motion import PointAxleMotion, PointCornerMotion, PointMotion
from cornerwright.assembly.rig import Variant
from cornerwright.mechanics.linkage import Answer, Column, Mechanism, answer, columns_of, places
from cornerwright.mechanics.roll_centre import Contact, roll_centre

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

DRAWS = 64
"""Cars that are solved to see what doubt about the points does, or as many as there are coordinates."""

SEED = 20

LIFTS_DRAWN, STEERS_DRAWN = 17, 7
"""Doubt is worked out at so many lifts and places of the rack at the most, and read between them."""

FARTHEST = 10.0
"""A roll centre further to the side than this [m] says nothing."""

SELF = ("camber", "toe", "caster", "kingpin", "scrub", "trail", "x", "y", "damper", "brake_path", "drive_path")
"""Quantities that are columns of the linkage as they are."""


@dataclass(frozen=True)
class Asked:
    """Poses of one corner: lifts of its own wheel and the other, and travel of the rack (k,) [m].

    along: how the own and the other wheel go as the own one is lifted.
    """

    which: int
    lift: Array
    other: Array
    steer: Array
    along: tuple[float, float] = (1.0, 1.0)

    @classmethod
    def grid(cls, which: int, lifts: Array, steers: Array, along: tuple[float, float], held: float) -> Asked:
        """Every lift at every place of the rack, one place after the other.

        held [m]: lift of the other wheel where it does not go along.
        """
        lift, steer = np.tile(lifts, steers.size), np.repeat(steers, lifts.size)
        other = np.full(lift.size, held) if along[1] == 0.0 else along[1] * lift
        return cls(which, lift, other, steer, along)

    def of_other_wheel(self) -> Asked:
        """The same poses seen from the other wheel of the axle."""
        return replace(self, which=self.which ^ 1, lift=self.other, other=self.lift)

    def with_reference(self) -> Asked:
        """The same with one more pose: no lift, rack in the middle."""
        return replace(
            self,
            lift=np.append(self.lift, 0.0),
            other=np.append(self.other, 0.0),
            steer=np.append(self.steer, 0.0),
        )


@dataclass(frozen=True)
class Side:
    """A corner's own mechanism and its wheel's number in it."""

    motion: PointMotion
    wheel: int
    sign: float

    @property
    def mechanism(self) -> Mechanism:
        """Of all variants."""
        return self.motion.mechanism

    @property
    def tied(self) -> bool:
        """Whether the linkage holds the axle's other wheel too."""
        return self.mechanism.wheels == 2

    @property
    def prefix(self) -> str:
        """What the names of this corner's own points begin with."""
        return ("left_", "right_")[self.wheel] if self.tied else ""


def side_of(variant: Variant, which: int) -> Side | None:
    """Corner 0 to 3 where its linkage is known by points; None where it has a jack table."""
    axle = variant.motions[which // 2]
    sign = 1.0 if which % 2 == 0 else -1.0
    if isinstance(axle, PointAxleMotion):
        return Side(axle, which % 2, sign)
    one = getattr(axle, "both", (None, None))[which % 2]
    return Side(one, 0, sign) if isinstance(one, PointCornerMotion) else None


@dataclass(frozen=True)
class Solved:
    """A corner's linkage closed at k poses for each of its n variants, variant by variant (n * k)."""

    side: Side
    asked: Asked
    mechanism: Mechanism
    found: Answer

    @property
    def closed(self) -> Flags:
        """(n * k,) where there are numbers."""
        return self.found.pose.closed

    def slope(self, column: Column) -> Array:
        """Change (n * k,) of a column of the own wheel per metre of lift, along the motion asked for."""
        first = column.first[:, self.side.wheel]
        if not self.side.tied:
            return first[:, 0]
        own, other = self.asked.along
        return own * first[:, self.side.wheel] + other * first[:, 1 - self.side.wheel]

    def contact(self) -> Contact:
        """The own contact and its path: under its own lift, or as a tied axle rolls."""
        wheel = self.side.wheel
        way = np.ones(1)
        if self.side.tied:
            way = np.array([-1.0, -1.0])
            way[wheel] = 1.0
        columns, mechanism = self.found.columns, self.mechanism
        camber = columns["camber"].value[:, wheel]
        lean = columns["camber"].first[:, wheel] @ way
        radius = mechanism.radius[:, wheel]
        centre = mechanism.points[:, mechanism.structure.index(mechanism.layout.wheels[wheel].centre), 2]
        lift = np.tile(self.asked.lift, camber.size // self.asked.lift.size)
        return Contact(
            y=columns["contact_y"].value[:, wheel],
            z=centre + lift - radius * np.cos(camber),
            dy=columns["contact_y"].first[:, wheel] @ way,
            dz=1.0 + radius * np.sin(camber) * lean,
        )


def solved(side: Side, asked: Asked, start: Solved | None = None) -> Solved:
    """Close the linkage of every variant at these poses; start: the same poses of a like linkage."""
    variants, mechanism = side.motion.variants, side.mechanism
    n, k = variants.numbers.size, asked.lift.size
    each = variants.each(np.repeat(variants.numbers, k))
    lifts = np.tile(asked.lift, n)[:, None]
    if side.tied:
        pair = (asked.lift, asked.other) if side.wheel == 0 else (asked.other, asked.lift)
        lifts = np.tile(np.stack(pair, axis=1), (n, 1))
    found = answer(
        each.mechanism,
        lifts,
        np.tile(asked.steer, n) if mechanism.steers else 0.0,
        each.travel,
        columns=[name for name in columns_of(mechanism.layout) if name not in ("contact_x", "roll_centre")],
        sensitivities=False,
        start=None if start is None else start.found.pose.take(np.tile(np.arange(k), n)),
    )
    return Solved(side, asked, each.mechanism, found)


def quantities(own: Solved, other: Solved | None, seat_offset: Array) -> dict[str, Array]:
    """Every quantity of the own wheel [SI], (n * k,) each.

    The last of the k poses is the reference, from which the half-track counts. other: the axle's
    other wheel at the same poses; without it, its mirror image. seat_offset (n|1,) [m].
    """
    side, asked = own.side, own.asked
    columns, wheel = own.found.columns, side.wheel
    k = asked.lift.size
    values: dict[str, Array] = {name: columns[name].value[:, wheel] for name in SELF}
    y = values["y"].reshape(-1, k)
    values["half_track"] = (side.sign * (y - y[:, -1:])).ravel()
    gap = side.motion.linkage.gaps[wheel]
    spring = columns["damper" if gap is not None else "spring"]
    offset = np.broadcast_to(seat_offset, (y.shape[0],)).repeat(k)
    values["spring"] = spring.value[:, wheel] - (gap or 0.0) - offset
    values["damper_ratio"] = own.slope(columns["damper"])
    values["spring_ratio"] = own.slope(spring)
    values["bump_steer"] = own.slope(columns["toe"])
    contact = own.contact()
    place, height = roll_centre(contact, contact.mirrored() if other is None else other.contact())
    near = np.abs(place) < FARTHEST
    values["roll_centre"], values["roll_centre_y"] = (np.where(near, part, np.nan) for part in (height, place))
    if any(rocker.name == f"{side.prefix}rocker" for rocker in own.mechanism.layout.rockers):
        values["rocker"] = _rocker_turn(own)
    shaft = columns.get(f"{side.prefix}drive_shaft")
    if shaft is not None:
        length = shaft.value[:, wheel].reshape(-1, k)
        values["shaft_plunge"] = (length - length[:, -1:]).ravel()
    return {name: np.where(own.closed, value, np.nan) for name, value in (values | _joints(own)).items()}


def _joints(own: Solved) -> dict[str, Array]:
    """Angle used at each joint of this corner, by `joint NAME`."""
    not_ours = {"left_": "right_", "right_": "left_", "": "/"}[own.side.prefix]
    found = {}
    for joint in own.mechanism.layout.joints:
        if not joint.name.startswith(not_ours):
            name = joint.name.removesuffix(".angle").removeprefix(own.side.prefix)
            found[f"joint {name}"] = own.found[joint.name].value[:, joint.wheel]
    return found


def _rocker_turn(own: Solved) -> Array:
    """Turn [rad] of the rocker about its axis, first point to second, from the reference pose."""
    prefix, structure = own.side.prefix, own.mechanism.structure
    names = [f"{prefix}rocker_axis_first", f"{prefix}rocker_axis_second", f"{prefix}push_rod_inner"]
    now = places(own.mechanism, own.found.pose, names)
    before = own.mechanism.points[:, [structure.index(name) for name in names]]
    along = now[:, 1] - now[:, 0]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    arms = []
    for at in (before, now):
        arm = at[:, 2] - at[:, 0]
        arms.append(arm - np.sum(arm * along, axis=1, keepdims=True) * along)
    over = np.sum(np.cross(arms[0], arms[1]) * along, axis=1)
    return np.asarray(np.arctan2(over, np.sum(arms[0] * arms[1], axis=1)))


Solutions = tuple[Solved, Solved | None]
"""Of the own and the other wheel; None where the other one has a jack table."""


def quantities_of(
    variant: Variant, asked: Asked, nominal: Solutions | None = None
) -> tuple[dict[str, Array], Solutions]:
    """Every quantity (n, k) of the variants at these poses, and what was solved for it.

    nan where a pose cannot be reached. nominal: the same poses of the car of the file, to start from.
    """
    side = side_of(variant, asked.which)
    assert side is not None  # the caller has asked
    far_side = side if side.tied else side_of(variant, asked.which ^ 1)
    whole = asked.with_reference()
    own = solved(side, whole, None if nominal is None else nominal[0])
    other: Solved | None = None
    if side.tied:
        twin = replace(side, wheel=1 - side.wheel, sign=-side.sign)
        other = Solved(twin, whole.of_other_wheel(), own.mechanism, own.found)
    elif far_side is not None:
        other = solved(far_side, whole.of_other_wheel(), None if nominal is None else nominal[1])
    values = quantities(own, other, variant.inputs.seat_offset[:, asked.which])
    k = whole.lift.size
    return {name: value.reshape(-1, k)[:, :-1] for name, value in values.items()}, (own, other)


def doubts(
    variant: Variant, which: int, lifts: Array, steers: Array, along: tuple[float, float], held: float
) -> Mapping[str, Array]:
    """Standard deviation of each quantity (s, k) that comes from the doubt about the points alone.

    At places of the rack (s,) and lifts (k,); the rest as for `Asked.grid`. Cars whose points are off
    are solved exactly. Their errors are drawn and then made uncorrelated with unit variance, so that
    whatever goes evenly with the points comes out as by linear propagation. nan where more than half
    of the cars do not reach.
    """
    few, places_drawn = _some(lifts, LIFTS_DRAWN), _some(steers, STEERS_DRAWN)
    asked = Asked.grid(which, few, places_drawn, along, held)
    nominal = quantities_of(variant, asked)[1]
    drawn = variant.rig.vary(unknowns=_drawn(variant, which))
    values, _ = quantities_of(drawn, asked, nominal)
    found = {}
    for name, value in values.items():
        known = np.isfinite(value)
        enough = known.sum(axis=0) > value.shape[0] / 2
        mean = np.where(known, value, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
        off = np.where(known, value - mean, 0.0)
        sd = np.sqrt((off**2).sum(axis=0) / np.maximum(known.sum(axis=0) - 1, 1))
        table = np.where(enough, sd, np.nan).reshape(places_drawn.size, few.size)
        table = np.stack([np.interp(lifts, few, row) for row in table])
        found[name] = np.stack([np.interp(steers, places_drawn, column) for column in table.T], axis=1)
    return found


def _some(values: Array, most: int) -> Array:
    """These values in order, or so many spread over them."""
    every = np.unique(values)
    if every.size <= most:
        return every
    picked: Array = every[np.unique(np.linspace(0, every.size - 1, most).round().astype(np.intp))]
    return picked


def _drawn(variant: Variant, which: int) -> Array:
    """Unknowns (n, p) of cars whose points of this axle are off, all else as the file has it."""
    columns: dict[int, int] = {}
    count = 0
    for side in (side_of(variant, which), side_of(variant, which ^ 1)):
        if side is None:
            continue
        linkage = side.motion.linkage
        for part in linkage.points.values():
            for axis in range(3):
                if part.start + axis not in columns:
                    columns[part.start + axis] = count
                    count += 1
    n = max(DRAWS, count + 2)
    normals = np.random.default_rng(SEED).standard_normal((n, count))
    even = np.linalg.qr(normals - normals.mean(axis=0))[0] * np.sqrt(n - 1)
    unknowns = np.zeros((n, variant.rig.unknowns.size))
    for column, source in columns.items():
        unknowns[:, column] = even[:, source]
    return unknowns
