"""A corner's wheel, tyre and obstacles as arrays, and its envelope."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.point_travel import doubts, side_of
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.wheel_poses import PoseGrid, Turned, across_of, pose_grid, travel_of
from cornerwright.mechanics import tyres
from cornerwright.mechanics.cavity import cavity_clearances
from cornerwright.mechanics.envelope import Clearances, Contact, Element, Poses, clearances
from cornerwright.mechanics.rubbing import chance_of_rubbing, sensitivity
from cornerwright.mechanics.tyre_profile import Profile, tyre_profile
from cornerwright.model.corner import Corner
from cornerwright.model.parts import CORNERS
from cornerwright.model.room import Obstacle
from cornerwright.model.wheel import Rim

Array = NDArray[np.float64]

TREAD_SHARE = 0.82
"""Tread width over section width where it is not given: a guess on the wide side, no source."""

OVERALL_MORE = 0.022
"""Width over the flanges less the marked rim width [m]: common practice, no source."""

WIDTH_SPREAD = (tyres.WIDTH_MOST - 1.0) / 2.0
"""Standard deviation of a section width over its design width: half of the greatest that is allowed (UN R30)."""

HEIGHT_SPREAD = 0.02
"""Likewise of the section height."""

FILE_SPREAD = 1e-3
"""Standard deviation [m] of a width or radius that the file gives."""

HIGH_SHARE = 0.5
"""Places this share of the radius above the wheel's middle count as its upper outer face."""


def section_of(corner: Corner) -> float | None:
    """Section width [m] of a tyre on its rim; the file's own goes before the marking's."""
    tyre, rim = corner.tyre, corner.wheel.rim
    if tyre.width is not None:
        return tyre.width
    if tyre.marking is None:
        return None
    width = tyre.marking.width
    return width if rim is None else tyres.section_width(width, tyre.marking.aspect, rim.width)


def rim_code_of(corner: Corner) -> float | None:
    """Rim diameter in inches, by the marking or the rim."""
    if corner.tyre.marking is not None:
        return corner.tyre.marking.rim_code
    return None if corner.wheel.rim is None else corner.wheel.rim.diameter / tyres.INCH


def profile_of(corner: Corner) -> Profile | None:
    """The tyre on its rim; None where its width or the rim's diameter is not known, or these make no tyre."""
    section, code = section_of(corner), rim_code_of(corner)
    if section is None or code is None:
        return None
    tread = corner.tyre.tread_width or TREAD_SHARE * section
    rim = corner.wheel.rim
    overall = tread if rim is None else rim.overall_width or rim.width + OVERALL_MORE
    seat = tyres.bead_seat_diameter(code) / 2
    try:
        return tyre_profile(section, tread, corner.tyre.free_radius, seat, tyres.FLANGE_J, overall)
    except ValueError:
        return None


def chain_of(rim: Rim) -> Array:
    """The wheel's inner surface (e + 1, 2) [m]: axial place from its centre plane, outboard, and radius."""
    return np.array([(rim.inset - row.depth, row.radius) for row in rim.inside])


@dataclass(frozen=True)
class Piece:
    """A part of an obstacle: a point, one straight of an edge, a patch."""

    name: str
    obstacle: Obstacle
    corners: Array


def _pieces(corner: Corner) -> list[Piece]:
    found = []
    for name, one in ({} if corner.room is None else corner.room.obstacles).items():
        points = np.array(one.points)
        parts = [np.array(pair) for pair in pairwise(points)] if one.edge else [points]
        found += [Piece(name, one, part) for part in parts]
    return found


@dataclass(frozen=True)
class Nearest:
    """How near one obstacle ever comes, and how sure that is."""

    name: str
    obstacle: Obstacle
    contact: Contact
    lift: float
    across: float
    rest: float
    sigma: float
    chance: float


class WheelFit:
    """One corner with everything that its envelope needs."""

    def __init__(self, variant: Variant, which: int, profile: Profile, size: tuple[int, int], out: float = 0.0) -> None:
        """`out` [m]: how much further out than in the file the wheel is to be looked at."""
        self.variant, self.which, self.profile = variant, which, profile
        self.corner: Corner = variant.rig.car.corners[CORNERS[which]]
        self.size, self.out = size, out
        self.pieces = _pieces(self.corner)

    @cached_property
    def travel(self) -> tuple[float, float]:
        """Full droop and full bump [m]."""
        return travel_of(self.variant, self.which)

    @cached_property
    def grid(self) -> PoseGrid:
        """The wheel over lift and lock; no lift is one of the lifts."""
        low, high = self.travel
        lifts = np.linspace(low, high, self.size[0])
        if low < 0.0 < high:
            lifts[np.argmin(np.abs(lifts[1:-1])) + 1] = 0.0
        return pose_grid(self.variant, self.which, lifts, *across_of(self.variant, self.which, self.size[1]))

    def at(self, lifts: Array, across: Array) -> PoseGrid:
        """The wheel at other lifts and places across."""
        return pose_grid(self.variant, self.which, lifts, self.grid.what, across)

    @cached_property
    def built(self) -> Poses:
        """The wheel against its carrier, at no lift, straight ahead: where what goes with the carrier was measured.

        Adjusters stand there as when the linkage was measured: they lead the carrier with its wheel. Counted as they
        stand now are those that may move the wheel against its carrier: spacers, and with a jack table cams and shims,
        which may sit between strut and upright.
        """
        rig, table = self.variant.rig, self.corner.table is not None
        between = ("spacer", "cam", "shim") if table else ("spacer",)
        settings = np.array([slot.adjuster.measured_at for slot in rig.slots])
        settings += [
            float(travel) if slot.adjuster.kind in between else 0.0
            for slot, travel in zip(rig.slots, self.variant.travel[0], strict=True)
        ]
        variant = rig.vary(settings)
        what, _ = across_of(variant, self.which, 1)
        return pose_grid(variant, self.which, np.zeros(1), what, np.zeros(1)).reference

    @staticmethod
    def carried(arms: Mapping[str, Turned], piece: Piece) -> Array:
        """Its corners (k, 3) [m], or (n, k, 3) where it goes with an arm that turns."""
        arm = arms.get(piece.obstacle.on)
        return piece.corners if arm is None else arm.moved(piece.corners)

    def clear(self, grid: PoseGrid, *, carried: bool = True) -> tuple[Clearances, list[Piece]]:
        """Clearances over a grid, and the pieces that they count.

        What moves with the carrier is held against the wheel as it was measured there, to which it stands still; with
        carried False it is left out.
        """
        poses = grid.poses.shifted(self.out)
        least = np.full(poses.centre.shape[0], np.nan)
        nearest = np.full(least.size, -1, dtype=np.intp)
        each: list[Contact | None] = []
        order: list[Piece] = []
        for inside in (False, True):
            for fixed in (False, True) if carried else (False,):
                some = [
                    one
                    for one in self.pieces
                    if one.obstacle.inside == inside and (one.obstacle.on == "carrier") == fixed
                ]
                if not some:
                    continue
                elements = [Element(self.carried(grid.arms, one), one.obstacle.radius) for one in some]
                told = self._told(self.built.shifted(self.out) if fixed else poses, elements, inside)
                value = np.where(np.isnan(poses.centre[:, 0]), np.nan, told.least[0]) if fixed else told.least
                number = np.full(least.size, told.nearest[0]) if fixed else told.nearest
                better = ~(least <= value) & ~np.isnan(value)
                nearest = np.where(better, number + len(order), nearest)
                least = np.where(better, value, least)
                each += told.each
                order += some
        return Clearances(least, nearest, tuple(each)), order

    def _told(self, poses: Poses, elements: Sequence[Element], inside: bool) -> Clearances:
        if not inside:
            return clearances(self.profile, poses, elements)
        rim = self.corner.wheel.rim
        assert rim is not None  # the document holds the two together
        return cavity_clearances(chain_of(rim), poses, elements)

    @cached_property
    def resting(self) -> Poses:
        """The wheel at no lift, straight ahead, where the file has it."""
        what, _ = across_of(self.variant, self.which, 1)
        return pose_grid(self.variant, self.which, np.zeros(1), what, np.zeros(1)).reference

    @cached_property
    def over_all(self) -> tuple[tuple[Contact | None, ...], list[Piece]]:
        """How near each piece ever comes, over lift and lock."""
        moving, some = self.moving
        still = self.clear(replace(self.grid, poses=self.grid.reference, arms={}), carried=True)
        held = [
            (contact, piece)
            for contact, piece in zip(still[0].each, still[1], strict=True)
            if piece.obstacle.on == "carrier"
        ]
        return (*moving.each, *(contact for contact, _ in held)), [*some, *(piece for _, piece in held)]

    @cached_property
    def moving(self) -> tuple[Clearances, list[Piece]]:
        """Over lift and lock, of all that moves against the wheel."""
        return self.clear(self.grid, carried=False)

    def lip_distance(self) -> float | None:
        """How far [m] the lip lies further out than the tyre's upper face, at rest; None without one."""
        room = self.corner.room
        if room is None or room.lip is None:
            return None
        sign = 1.0 if self.which % 2 == 0 else -1.0
        still = self.resting.shifted(self.out)
        place = min(sign * point.y for point in room.obstacles[room.lip].points)
        place -= room.obstacles[room.lip].radius
        distance: float = place - upper_face(self.profile, still.centre[0], still.axis[0], sign)
        return distance

    def lift_to_contact(self) -> float | None:
        """The least lift [m] above rest at which anything is touched, at any lock; None: none up to full bump."""
        least = self.moving[0].least.reshape(self.grid.lifts.size, -1)
        touched = np.flatnonzero((least < 0).any(axis=1) & (self.grid.lifts >= 0))
        if touched.size == 0:
            return None
        row = int(touched[0])
        if row == 0 or self.grid.lifts[row] <= 0:
            return float(self.grid.lifts[row])
        column = int(np.nanargmin(np.nan_to_num(least[row], nan=np.inf)))
        low, high = float(self.grid.lifts[row - 1]), float(self.grid.lifts[row])
        for _ in range(2):
            lifts = np.linspace(low, high, 11)
            told = self.clear(self.at(lifts, self.grid.across[column : column + 1]), carried=False)[0].least
            first = int(np.argmax(told < 0))
            if not told[first] < 0 or first == 0:
                break
            low, high = float(lifts[first - 1]), float(lifts[first])
        return high

    def nearest(self) -> tuple[list[Nearest], float]:
        """Every obstacle, nearest first, and the chance that any is touched."""
        told, pieces = self.over_all
        resting = self._resting()
        worst: dict[str, tuple[Contact, Piece]] = {}
        for contact, piece in zip(told, pieces, strict=True):
            if contact is None:
                continue
            known = worst.get(piece.name)
            if known is None or contact.clearance < known[0].clearance:
                worst[piece.name] = contact, piece
        found, shared, own = [], [], []
        for name, (contact, piece) in worst.items():
            fixed = piece.obstacle.on == "carrier"
            lift, across = (0.0, 0.0) if fixed else self.grid.at(contact.pose)
            rows = self._shared(contact, piece, lift, across)
            alone = piece.obstacle.doubt or self.variant.rig.car.doubt.point
            sigma = float(np.sqrt(np.sum(rows**2) + alone**2))
            clearance = np.array([contact.clearance])
            chance = chance_of_rubbing(clearance, rows[None], np.array([alone]))
            found.append(Nearest(name, piece.obstacle, contact, lift, across, resting.get(name, np.nan), sigma, chance))
            shared.append(rows)
            own.append(alone)
        if not found:
            return [], 0.0
        every = np.array([one.contact.clearance for one in found])
        whole = chance_of_rubbing(every, np.array(shared), np.array(own))
        return sorted(found, key=lambda one: one.contact.clearance), whole

    def _resting(self) -> dict[str, float]:
        """Clearance [m] of each obstacle at rest, straight ahead."""
        told, pieces = self.clear(self.at(np.zeros(1), np.zeros(1)))
        found: dict[str, float] = {}
        for contact, piece in zip(told.each, pieces, strict=True):
            if contact is not None:
                found[piece.name] = min(found.get(piece.name, np.inf), contact.clearance)
        return found

    def _shared(self, contact: Contact, piece: Piece, lift: float, across: float) -> Array:
        """Change of a clearance per standard deviation of tyre width, radius, wheel x, y, z, camber, toe (7,) [m]."""
        if piece.obstacle.inside:
            return np.zeros(7)
        fixed = piece.obstacle.on == "carrier"
        grid = self.grid
        poses = (self.built if fixed else grid.poses).shifted(self.out)
        pose = 0 if fixed else contact.pose
        code = rim_code_of(self.corner)
        assert code is not None  # there is a profile
        seat = tyres.bead_seat_diameter(code) / 2
        slope = sensitivity(self.profile, seat, contact, poses.centre[pose], poses.axis[pose])
        sizes = self.size_spread(seat)
        if fixed:
            return np.asarray(slope * np.array([*sizes, 0.0, 0.0, 0.0, 0.0, 0.0]))
        return np.asarray(slope * np.array([*sizes, *self._place_spread(lift, across)]))

    def size_spread(self, seat: float) -> tuple[float, float]:
        """Standard deviations [m] of section width and free radius."""
        by_marking = self.corner.tyre.width is None
        width = WIDTH_SPREAD * self.profile.section if by_marking else FILE_SPREAD
        return width, min(FILE_SPREAD * 2, HEIGHT_SPREAD * (self.profile.radius - seat))

    def _place_spread(self, lift: float, across: float) -> Array:
        """Standard deviations (5,) of wheel centre x, y, z [m], camber and toe [rad] at a pose."""
        side = side_of(self.variant, self.which)
        wheel = self.which % 2
        if side is None:
            spread = self.variant.motions[self.which // 2].spread(np.full((1, 2), lift))
            told = {name: float(spread[name][0, wheel]) for name in ("y", "camber", "toe")}
            return np.array([0.0, told["y"], 0.0, told["camber"], told["toe"]])
        rack = across if self.grid.what == "rack" else 0.0
        along = (1.0, 0.0) if self.grid.what == "other wheel" else (1.0, 1.0)
        held = across if self.grid.what == "other wheel" else 0.0
        drawn = doubts(self.variant, self.which, np.array([lift]), np.array([rack]), along, held)
        sds = [float(np.nan_to_num(drawn[name][0, 0])) for name in ("x", "y", "camber", "toe")]
        return np.array([sds[0], sds[1], 0.0, sds[2], sds[3]])


def upper_face(profile: Profile, centre: Array, axis: Array, sign: float) -> float:
    """How far out [m] the tyre reaches above the wheel's middle: from the centre plane of the car."""
    # The outermost place of each circle of the outline, going up the wheel: it leans with the camber.
    up = np.array([0.0, 0.0, 1.0]) - axis[2] * axis
    up /= np.linalg.norm(up)
    corners = profile.outline.corners
    high = corners[corners[:, 1] >= HIGH_SHARE * profile.radius]
    places = high[:, :1] * axis + high[:, 1:] * up
    return float(sign * centre[1] + np.max(sign * places[:, 1]))
