"""How near a wheel that is moved by hand comes to everything measured around it, at the place where it is now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Variant
from cornerwright.assembly.wheel_fit import Piece, WheelFit, profile_of
from cornerwright.assembly.wheel_poses import PoseGrid, Turned, across_of, leading, pose_grid
from cornerwright.mechanics.envelope import Contact, Element, Poses, contact_at, every_pair
from cornerwright.mechanics.tyre_profile import Profile
from cornerwright.model.corner import Corner
from cornerwright.model.parts import CORNERS
from cornerwright.model.room import Obstacle

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Beside:
    """One obstacle as it stands at a pose of the wheel.

    clearance [m], below zero within the tyre; corners (k, 3) [m], body axes, of its middle lines; surface (3,) [m]: the
    place on it that is nearest; body (3,) [m]: the place on the tyre or wheel that is nearest to it.
    """

    name: str
    obstacle: Obstacle
    clearance: float
    corners: Array
    surface: Array
    body: Array
    exact: bool = True
    """False: the clearance is read from a table, to a mm or so, and the two places are none."""


@dataclass(frozen=True)
class Stood:
    """The wheel as it stands at a pose: centre (3,) [m] and unit axis (3,), outboard; obstacles, nearest first."""

    centre: Array
    axis: Array
    beside: tuple[Beside, ...]


class Surroundings:
    """One wheel and what is measured around it."""

    def __init__(self, variant: Variant, which: int) -> None:
        """which: corner 0 to 3 of the first variant."""
        self.variant, self.which = variant, which
        self.corner: Corner = variant.rig.car.corners[CORNERS[which]]
        self.profile: Profile | None = profile_of(self.corner)
        self.across = across_of(variant, which, 2)
        self._fit: WheelFit | None = None
        if self.profile is not None and self.corner.room is not None:
            self._fit = WheelFit(variant, which, self.profile, (1, 1))

    @property
    def missing(self) -> str | None:
        """What must be known before clearances can be told: `tyre` (its width or marking, and the rim) or `room`."""
        if self.corner.room is None:
            return "room"
        return "tyre" if self.profile is None else None

    @property
    def turns(self) -> tuple[float, float] | None:
        """Ends [rad] of the turn about the steering axis, positive to the left; None where a rack steers, or nothing.

        Only of a wheel whose linkage is a jack table: its room says how far it steers.
        """
        what, ends = self.across
        return (float(ends[0]), float(ends[-1])) if what == "turn" else None

    def at(self, lift: float, rack: float = 0.0, turn: float = 0.0) -> Stood | None:
        """The wheel at this lift [m], rack [m] and turn [rad]; None where the linkage does not go.

        Where one axle holds both wheels the other one goes along.
        """
        what = self.across[0]
        place = {"rack": rack, "turn": turn, "other wheel": lift, "straight ahead": 0.0}[what]
        grid = pose_grid(self.variant, self.which, np.array([lift]), what, np.array([place]))
        centre, axis = grid.poses.centre[0], grid.poses.axis[0]
        if not (np.isfinite(centre).all() and np.isfinite(axis).all()):
            return None
        found: tuple[Beside, ...] = ()
        if self._fit is not None:
            found = tuple(
                sorted(
                    (*self._moving(self._fit, grid), *self._carried(self._fit, grid.poses)),
                    key=lambda one: one.clearance,
                )
            )
        return Stood(centre, axis, found)

    # ------------------------------------------------------------------ for a table of poses

    @property
    def _free(self) -> list[Piece]:
        """Pieces of the obstacles that the wheel moves against."""
        return [] if self._fit is None else [one for one in self._fit.pieces if one.obstacle.on != "carrier"]

    @property
    def plain(self) -> bool:
        """Whether all that the wheel moves against is held against its outside."""
        return not any(one.obstacle.inside for one in self._free)

    def rough(self, lifts: Array, across: Array) -> Array:
        """Clearances (l, s, m) [m] of the m pieces that the wheel moves against, each exact where it is worked out."""
        if self._fit is None or not self._free:
            return np.zeros((lifts.size, across.size, 0))
        grids = [self._grid(lift, across) for lift in lifts]
        rows = []
        for grid in grids:
            elements = [Element(self._fit.carried(grid.arms, one), one.obstacle.radius) for one in self._free]
            rows.append(every_pair(self._fit.profile, grid.poses, elements)[0])
        return np.array(rows)

    def many(self, lift: Array, rack: Array, turn: Array) -> tuple[Poses, dict[str, Turned]]:
        """The wheel at many places (k,) of lift and rack [m] and turn [rad], and the arms that carry obstacles."""
        place = {"rack": rack, "turn": turn}.get(self.across[0], np.zeros(lift.size))
        grids = [self._grid(one, place[lift == one]) for one in dict.fromkeys(lift.tolist())]
        carrying = {one.obstacle.on for one in self._free}
        arms = {
            name: Turned(np.concatenate([grid.arms[name].turn for grid in grids]), arm.base)
            for name, arm in grids[0].arms.items()
            if name in carrying
        }
        centre, axis = (np.concatenate([getattr(grid.poses, what) for grid in grids]) for what in ("centre", "axis"))
        return Poses(centre, axis), arms

    def _grid(self, lift: float, across: Array) -> PoseGrid:
        what = self.across[0]
        if what == "other wheel":
            across = np.array([lift])
        elif what == "straight ahead":
            across = np.zeros(1)
        return pose_grid(self.variant, self.which, np.array([lift]), what, across)

    def read(self, poses: Poses, arms: Mapping[str, Turned], roughly: Array, gap: float, slack: float) -> Stood:
        """The wheel (1, 3) among obstacles whose clearances (m,) [m] are known roughly.

        Those that may be the nearest, or nearer than `gap` [m], are worked out exactly.
        """
        if self._fit is None:
            return Stood(poses.centre[0], poses.axis[0], ())
        held = self._carried(self._fit, poses)
        pieces = self._free
        least = min([float(roughly.min(initial=np.inf)), *(one.clearance for one in held)])
        close = np.flatnonzero(roughly <= max(least, gap) + slack)
        told = roughly.copy()
        elements = [Element(self._fit.carried(arms, pieces[k]), pieces[k].obstacle.radius) for k in close]
        exact, places = every_pair(self._fit.profile, poses, elements)
        told[close] = exact[0]
        at = dict(zip(close.tolist(), places[0], strict=True))
        found = held
        for name in dict.fromkeys(piece.name for piece in pieces):
            own = [k for k, piece in enumerate(pieces) if piece.name == name]
            best = min(own, key=lambda k: told[k])
            piece = pieces[best]
            corners = np.array(piece.obstacle.points)
            arm = arms.get(piece.obstacle.on)
            corners = corners if arm is None else arm.moved(corners)[0]
            if best in at:
                contact = contact_at(self._fit.profile, poses, 0, at[best], float(told[best]))
                found.append(_beside(name, piece.obstacle, contact, corners))
            else:
                found.append(
                    Beside(name, piece.obstacle, float(told[best]), corners, corners[0], poses.centre[0], False)
                )
        return Stood(poses.centre[0], poses.axis[0], tuple(sorted(found, key=lambda one: one.clearance)))

    # ------------------------------------------------------------------ exactly

    def _moving(self, fit: WheelFit, grid: PoseGrid) -> list[Beside]:
        """What the wheel moves against."""
        told, pieces = fit.clear(grid, carried=False)
        best: dict[str, Contact] = {}
        for contact, piece in zip(told.each, pieces, strict=True):
            if contact is not None and (piece.name not in best or contact.clearance < best[piece.name].clearance):
                best[piece.name] = contact
        assert self.corner.room is not None  # there is a fit
        found = []
        for name, contact in best.items():
            one = self.corner.room.obstacles[name]
            arm = grid.arms.get(one.on)
            corners = np.array(one.points)
            found.append(_beside(name, one, contact, corners if arm is None else arm.moved(corners)[0]))
        return found

    @cached_property
    def _still(self) -> list[Beside]:
        """What goes with the wheel, at the reference pose."""
        assert self._fit is not None  # the caller has asked
        what = self.across[0]
        grid = pose_grid(self.variant, self.which, np.zeros(1), what, np.zeros(1))
        own = self._fit.clear(_at_reference(grid))
        found: dict[str, Beside] = {}
        for contact, piece in zip(own[0].each, own[1], strict=True):
            if contact is None or piece.obstacle.on != "carrier":
                continue
            known = found.get(piece.name)
            if known is None or contact.clearance < known.clearance:
                found[piece.name] = _beside(piece.name, piece.obstacle, contact, np.array(piece.obstacle.points))
        return list(found.values())

    def _carried(self, fit: WheelFit, poses: Poses) -> list[Beside]:
        """What goes with the wheel: its clearance stays; its place goes along, save a turn about its axis."""
        built = fit.built
        turn = leading(built.axis[0], poses.axis[:1])[0]

        def moved(points: Array) -> Array:
            return np.asarray((points - built.centre[0]) @ turn.T + poses.centre[0])

        return [
            replace(one, corners=moved(one.corners), surface=moved(one.surface), body=moved(one.body))
            for one in self._still
        ]


def _at_reference(grid: PoseGrid) -> PoseGrid:
    return PoseGrid(grid.lifts, grid.across, grid.what, grid.reference, grid.reference)


def _beside(name: str, obstacle: Obstacle, contact: Contact, corners: Array) -> Beside:
    return Beside(name, obstacle, contact.clearance, corners, surface_of(contact, obstacle.radius), contact.body)


def surface_of(contact: Contact, radius: float) -> Array:
    """The place (3,) [m] on the obstacle's own surface, out of its middle towards the tyre."""
    way = contact.body - contact.place
    length = float(np.linalg.norm(way))
    share = min(1.0, radius / length) if length > 0 and contact.clearance > 0 else 0.0
    return np.asarray(contact.place + share * way)
