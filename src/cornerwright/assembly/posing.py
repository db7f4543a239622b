"""A corner moved by hand: its pose at any lift and place of the rack, fast enough to follow a finger."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.nearness import Stood, Surroundings
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.point_scene import pictures
from cornerwright.assembly.point_travel import Asked, quantities_of, side_of
from cornerwright.assembly.pose_table import PoseTable, Read
from cornerwright.assembly.report import known, shown
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.scene import KEPT, kind_of
from cornerwright.assembly.wheel_poses import Turned
from cornerwright.mechanics.heading import to_ground
from cornerwright.mechanics.stance import Stance
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_pose import CornerPose, NearBy, Sweep
from cornerwright.model.units import ANGLE, FORCE, LENGTH, from_document

Array = NDArray[np.float64]


NEEDED = ("camber", "toe", "caster", "x", "y", "damper", "spring")
"""Quantities that a pose is told by."""


@dataclass(frozen=True)
class _Place:
    """Where the corner was put: lift, rack [m], turn [rad]; its quantities [SI]; wheel and obstacles."""

    lift: float
    rack: float
    turn: float
    values: dict[str, float]
    points: dict[str, Array]
    stood: Stood


class Poser:
    """One corner of a car that stands, to be moved. Everything that stays the same is worked out once."""

    def __init__(self, variant: Variant, stance: Stance, which: int) -> None:
        """which: corner 0 to 3 of the first car. Raises Refusal for a car that does not stand."""
        if not stance.stands[0]:
            raise Refusal.of("a car that does not stand on its springs", "a car that stands")
        self.variant, self.which = variant, which
        self._q = stance.q[0]
        self._corner = variant.rig.car.corners[CORNERS[which]]
        self._out = 1.0 if which % 2 == 0 else -1.0
        self._side = side_of(variant, which)
        self._ends = outputs(variant, stance, gradients=False).window
        # What the bushes give under the load at rest is counted wherever the wheel goes.
        more = stance.load[0, which] - variant.rig.usual_load[which]
        self._given = {
            angle: float(np.broadcast_to(variant.compliance[angle], (1, 4))[0, which] * more)
            for angle in ("camber", "toe")
        }
        self._rest = float(stance.q[0, 3 + which])
        low, high = self._reach()
        self._low, self._high = min(low, self._rest), max(high, self._rest)
        self._droop, self._bump = self._true_ends()
        rack = variant.rig.car.axles[which // 2].rack
        steers = self._side is not None and self._side.mechanism.steers and rack is not None
        touch = float(self._ends.touch.lift[0, which])
        stops = self._corner.damper.bump_stop is not None
        self.around = Surroundings(variant, which)
        turns = self.around.turns
        self.sweep = Sweep(
            lowest_mm=shown(self._low, LENGTH),
            highest_mm=shown(self._high, LENGTH),
            rest_mm=shown(self._rest, LENGTH),
            lowest_is="measured" if self._droop < self._low - 1e-9 else "end",
            highest_is="measured" if self._bump > self._high + 1e-9 else "end",
            stop_mm=known(touch, LENGTH) if stops else None,
            rack_mm=shown(rack.travel, LENGTH) if steers and rack is not None else None,
            turn_deg=None if turns is None else (shown(turns[0], ANGLE), shown(turns[1], ANGLE)),
        )

    def _reach(self) -> tuple[float, float]:
        """Lowest and highest lift [m] that the corner goes to."""
        i = self.which
        low, high = (float(part[i % 2]) for part in self.variant.motions[i // 2].reach())
        if self._side is not None:
            low, high = KEPT * low, KEPT * high
        ends = self._ends
        bump = np.fmin(ends.bump.lift[0, i], ends.bind.lift[0, i])
        return float(np.fmax(ends.droop.lift[0, i], low)), float(np.fmin(bump, high))

    def _true_ends(self) -> tuple[float, float]:
        """Lifts [m] where the travel ends, be it beyond what was measured."""
        if self._side is not None:
            return self._low, self._high
        ends, i = self._ends, self.which
        bump = float(np.fmin(ends.bump.lift[0, i], ends.bind.lift[0, i]))
        droop = float(ends.droop.lift[0, i])
        return min(self._low, droop) if np.isfinite(droop) else self._low, (
            max(self._high, bump) if np.isfinite(bump) else self._high
        )

    def at(self, lift_mm: float, rack_mm: float = 0.0, turn_deg: float = 0.0) -> CornerPose:
        """The corner there; a lift, rack or turn beyond its end is taken at its end."""
        lift, rack, turn = self._within(lift_mm, rack_mm, turn_deg)
        place = self._place(lift, rack, turn)
        inside = place is not None
        if place is None:
            place = self._place(self._rest, 0.0, 0.0)
            if place is None:
                raise Refusal.of("a linkage that does not close where the car stands", "points measured again")
        return self._pose(place, inside)

    def soon(self, lift_mm: float, rack_mm: float = 0.0, turn_deg: float = 0.0) -> CornerPose:
        """As `at`, from a table: fast enough for many fingers at once, within a hundredth of a mm and of a degree.

        Clearances that are far from the least one and from what is wanted are told to a mm or so (`exact` False).
        """
        table = self.table
        if table is None:
            return self.at(lift_mm, rack_mm, turn_deg)
        lift, rack, turn = self._within(lift_mm, rack_mm, turn_deg)
        gap = 0.0 if self._corner.room is None else self._corner.room.gap
        read = table.at(lift, rack or turn, gap)
        return self._pose(_Place(lift, rack, turn, read.values, read.points, read.stood), True)

    @cached_property
    def table(self) -> PoseTable | None:
        """Poses over all travel and lock; None where the linkage does not go everywhere, or not smoothly enough."""
        across = self.around.turns or (-self._most_rack, self._most_rack)
        if not self.around.plain or not self._high > self._low:
            return None
        table = PoseTable(self.around, (self._low, self._high), across)
        rows, arms = self._rows(np.array(table.nodes))
        return table if rows and table.fill(rows, arms) else None

    def _rows(self, nodes: Array) -> tuple[list[Read], dict[str, Turned]]:
        """The corner at many places (k, 2) of lift and across at once, without obstacles; none where one is not met."""
        lift, across = nodes.T
        rack, turn = (across, np.zeros(lift.size)) if self._most_rack > 0 else (np.zeros(lift.size), across)
        poses, arms = self.around.many(lift, rack, turn)
        if not np.isfinite(poses.centre).all() or not np.isfinite(poses.axis).all():
            return [], {}
        values = self._many_values(lift, rack)
        if not np.isfinite(values["camber"]).all():
            return [], {}
        turned = turn != 0
        if turned.any():
            values["camber"] = np.where(turned, -np.arcsin(poses.axis[:, 2]), values["camber"])
            values["toe"] = np.where(turned, np.arctan2(poses.axis[:, 0], self._out * poses.axis[:, 1]), values["toe"])
            values["x"], values["y"] = poses.centre[:, 0], poses.centre[:, 1]
        drawn = [{}] * lift.size if self._side is None else [p.points for p in pictures(self._side, lift, lift, rack)]
        rows = [
            Read(
                {name: float(one[k]) for name, one in values.items()},
                drawn[k],
                Stood(poses.centre[k], poses.axis[k], ()),
            )
            for k in range(lift.size)
        ]
        return rows, arms

    @property
    def _most_rack(self) -> float:
        return 0.0 if self.sweep.rack_mm is None else from_document(self.sweep.rack_mm, LENGTH)

    def _within(self, lift_mm: float, rack_mm: float, turn_deg: float) -> tuple[float, float, float]:
        """Lift, rack [m] and turn [rad] inside their ends."""
        lift = float(np.clip(from_document(lift_mm, LENGTH), self._low, self._high))
        rack = float(np.clip(from_document(rack_mm, LENGTH), -self._most_rack, self._most_rack))
        return lift, rack, float(np.clip(from_document(turn_deg, ANGLE), *(self.around.turns or (0.0, 0.0))))

    def _place(self, lift: float, rack: float, turn: float) -> _Place | None:
        """The corner there; None where the linkage does not go."""
        values = self._values(lift, rack)
        stood = self.around.at(lift, rack, turn)
        if values is None or stood is None:
            return None
        if turn:
            flat = self._out * stood.axis[1]
            angles = {"camber": float(-np.arcsin(stood.axis[2])), "toe": float(np.arctan2(stood.axis[0], flat))}
            values = values | angles | {"x": float(stood.centre[0]), "y": float(stood.centre[1])}
        return _Place(lift, rack, turn, values, self._picture(lift, rack), stood)

    def _values(self, lift: float, rack: float) -> dict[str, float] | None:
        """Quantities [SI] of the corner; None where the linkage does not go."""
        found = self._many_values(np.array([lift]), np.array([rack]))
        return {name: float(one[0]) for name, one in found.items()} if np.isfinite(found["camber"][0]) else None

    def _many_values(self, lift: Array, rack: Array) -> dict[str, Array]:
        """Likewise at many lifts and places of the rack (k,) [m]; nan where the linkage does not go."""
        i = self.which
        if self._side is None:
            kin = self.variant.inputs.kinematics(np.repeat(lift[:, None], 4, axis=1))
            found = {name: np.asarray(getattr(kin, name).value[:, i]) for name in NEEDED}
            found["spring"] = found["spring"] - float(self.variant.inputs.seat_offset[0, i])
            return found
        told = quantities_of(self.variant, Asked(i, lift, lift, rack))[0]
        return {name: np.asarray(told[name][0]) for name in NEEDED}

    def _pose(self, place: _Place, inside: bool) -> CornerPose:
        i, car = self.which, self.variant.rig.car
        lift, rack, values, stood = place.lift, place.rack, place.values, place.stood
        corner, ends = self._corner, self._ends
        body = float(self.variant.inputs.body_offset[0, i])
        # Between the seats, perch and all: the length that the law is given in the stance too.
        law = self.variant.inputs.spring_law
        force = float(law.at(np.full((1, 4), values["spring"]))[1][0, i])
        free, bind = float(self.variant.rig.free_length[i]), float(self.variant.rig.bind_length[i])
        state: Literal["held", "loose", "bound"] = "held"
        if values["spring"] >= free:
            state = "loose"
        elif values["spring"] <= bind + 1e-9:
            state = "bound"
        stop: Literal["clear", "touched", "none"] = "none"
        if corner.damper.bump_stop is not None:
            stop = "touched" if lift >= float(ends.touch.lift[0, i]) else "clear"
        centre = np.array([values["x"], values["y"], stood.centre[2]])
        camber, toe, caster = self._to_ground(values)
        points = {name: self._spot(at) for name, at in place.points.items()}
        height = self._over_ground(centre)
        return CornerPose(
            car=car.name,
            corner=CORNERS[i],
            side="left" if i % 2 == 0 else "right",
            kind=kind_of(car, i),
            sweep=self.sweep,
            lift_mm=shown(lift, LENGTH),
            rack_mm=shown(rack, LENGTH),
            turn_deg=shown(place.turn, ANGLE),
            inside=inside,
            tyre_radius_mm=shown(corner.tyre.free_radius, LENGTH),
            tyre_width_mm=None if corner.tyre.width is None else shown(corner.tyre.width, LENGTH),
            wheel_x_mm=shown(values["x"], LENGTH),
            wheel_y_mm=shown(self._out * values["y"], LENGTH),
            wheel_z_mm=shown(height, LENGTH),
            camber_deg=shown(camber, ANGLE),
            toe_deg=shown(toe, ANGLE),
            caster_deg=known(caster, ANGLE),
            damper_mm=shown(values["damper"], LENGTH),
            damper_open_mm=shown(corner.damper.open + body, LENGTH),
            damper_closed_mm=shown(corner.damper.closed + body, LENGTH),
            spring_mm=shown(values["spring"], LENGTH),
            spring_free_mm=shown(free, LENGTH),
            spring_bind_mm=shown(bind, LENGTH),
            spring_load_n=shown(force, FORCE),
            droop_left_mm=shown(lift - self._droop, LENGTH),
            bump_left_mm=shown(self._bump - lift, LENGTH),
            spring_state=state,
            stop=stop,
            points=points,
            lines=self._lines,
            near=self._near(stood),
            gap_mm=None if corner.room is None else shown(corner.room.gap, LENGTH),
            not_measured=self.around.missing,
        )

    def _near(self, stood: Stood) -> tuple[NearBy, ...]:
        found = []
        for one in stood.beside:
            obstacle = one.obstacle
            found.append(
                NearBy(
                    obstacle=one.name,
                    on=obstacle.on,
                    form="point" if obstacle.at is not None else "edge" if obstacle.edge is not None else "patch",
                    against="inside of the wheel" if obstacle.inside else "tyre",
                    clearance_mm=shown(one.clearance, LENGTH),
                    exact=one.exact,
                    radius_mm=shown(obstacle.radius, LENGTH),
                    points_mm=tuple(self._spot(point) for point in one.corners),
                    at_mm=self._spot(one.surface),
                    wheel_mm=self._spot(one.body),
                )
            )
        return tuple(found)

    def _spot(self, at: Array) -> tuple[float, float, float]:
        """A place fixed in body axes [m], as it is shown: y outboard, z over the ground [mm]."""
        return (
            shown(float(at[0]), LENGTH),
            shown(self._out * float(at[1]), LENGTH),
            shown(self._over_ground(at), LENGTH),
        )

    def _to_ground(self, values: dict[str, float]) -> tuple[float, float, float]:
        """Camber, toe and caster [rad] to level ground, the body as it stands."""
        camber_body, toe_body, caster_body = (np.full((1, 4), values[name]) for name in ("camber", "toe", "caster"))
        found = to_ground(camber_body, toe_body, caster_body, self._q[1:2], self._q[2:3])
        camber, toe, caster = (float(part[0, self.which]) for part in (found.camber, found.toe, found.caster))
        return camber + self._given["camber"], toe + self._given["toe"], caster

    def _over_ground(self, at: Array) -> float:
        """Height [m] over the ground of a place fixed in body axes, as the car stands."""
        heave, pitch, roll = self._q[:3]
        up = np.array([-np.sin(pitch), np.cos(pitch) * np.sin(roll), np.cos(pitch) * np.cos(roll)])
        return float(heave + up @ at)

    def _picture(self, lift: float, rack: float) -> dict[str, Array]:
        """Points (3,) [m], body axes, of the corner's picture; none with a jack table."""
        if self._side is None:
            return {}
        here = np.array([lift])
        return pictures(self._side, here, here, np.array([rack]))[0].points

    @cached_property
    def _lines(self) -> tuple[tuple[str, str, str], ...]:
        if self._side is None:
            return ()
        here = np.array([self._rest])
        return tuple(pictures(self._side, here, here)[0].lines)
