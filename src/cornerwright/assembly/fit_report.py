"""One corner's wheel, tyre and clearances put into trade units."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.nearness import surface_of
from cornerwright.assembly.outputs import Outputs
from cornerwright.assembly.point_travel import Asked, quantities_of, side_of
from cornerwright.assembly.report import known, shown, wheel_rate
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.wheel_fit import TREAD_SHARE, WheelFit, profile_of, section_of
from cornerwright.assembly.wheel_poses import PoseGrid
from cornerwright.mechanics import tyres
from cornerwright.mechanics import wheel_place as place
from cornerwright.mechanics.envelope import Poses
from cornerwright.mechanics.stance import GRAVITY, Stance
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.parts import CORNERS, CornerName, Wheel
from cornerwright.model.results_fit import (
    ClearanceMap,
    ClearanceRow,
    CornerFit,
    ObstacleShape,
    Spot,
    TyreFit,
    WheelStand,
)
from cornerwright.model.results_fit import WheelFit as WheelResult
from cornerwright.model.tyre_marking import TyreMarking
from cornerwright.model.units import ANGLE, LENGTH, MASS, RATE, SHARE, SPEED, TORQUE

Array = NDArray[np.float64]

SIZE = (41, 21)
"""Lifts and places across at which a wheel is looked at."""


@dataclass(frozen=True)
class FitCorner:
    """One corner of a standing car, and what its rules look at."""

    name: CornerName
    which: int
    variant: Variant
    stance: Stance
    at: Outputs
    size: tuple[int, int] = SIZE

    @property
    def car(self) -> Car:
        """The car."""
        return self.variant.rig.car

    @property
    def part(self) -> Corner:
        """The corner's document."""
        return self.car.corners[self.name]

    @cached_property
    def wheel(self) -> WheelFit | None:
        """Its envelope; None where its tyre or its room is not known."""
        profile = profile_of(self.part)
        if profile is None or self.part.room is None:
            return None
        return WheelFit(self.variant, self.which, profile, self.size)

    @property
    def load(self) -> float | None:
        """Load [N] on the tyre at rest; None where the car does not stand."""
        return float(self.stance.load[0, self.which]) if self.stance.stands[0] else None

    @property
    def load_needed(self) -> float | None:
        """Mass [kg] that the tyre must carry: half the axle's greatest, else what stands on it."""
        most = self.car.axles[self.which // 2].most_load
        if most is not None:
            return most / 2
        return None if self.load is None else self.load / GRAVITY

    @property
    def load_allowed(self) -> float | None:
        """Mass [kg] by the load index at the car's top speed; None where it is not marked."""
        marking = self.part.tyre.marking
        if marking is None or marking.load_index is None:
            return None
        most = tyres.load_of_index(marking.load_index)
        speed, symbol = self.car.top_speed, marking.speed_symbol
        return most if speed is None or symbol is None else most * tyres.load_share(symbol, speed)

    @property
    def rim_range(self) -> tuple[float, float] | None:
        """Rim widths [m] that the tyre may go on: its maker's, else the usual ones; None without a marking."""
        tyre = self.part.tyre
        if tyre.rims is not None:
            return tyre.rims
        return None if tyre.marking is None else tyres.rim_range(tyre.marking.width, tyre.marking.aspect)

    @cached_property
    def centring(self) -> place.Centring | None:
        """What centres the wheel; None where hub or rim is not given."""
        wheel = self.part.wheel
        if wheel.hub is None or wheel.rim is None:
            return None
        hub, rim, spacer = wheel.hub, wheel.rim, wheel.spacer
        bore = rim.bore if rim.ring is None else rim.ring.inner
        left = hub.spigot_height - (0.0 if spacer is None else spacer.thickness)
        own = place.centring(bore, hub.spigot, left, rim.seat)
        if spacer is None or spacer.spigot is None or own.by == "spigot":
            return own
        assert spacer.spigot_height is not None  # the document holds the two together
        on_spacer = place.centring(bore, spacer.spigot, spacer.spigot_height, rim.seat)
        if on_spacer.by == "spigot":
            return place.Centring("spacer", on_spacer.play, on_spacer.held)
        return on_spacer

    @property
    def spacer_play(self) -> float | None:
        """Play [m] of the spacer's bore on the hub's spigot; None without a spacer."""
        wheel = self.part.wheel
        if wheel.spacer is None or wheel.hub is None:
            return None
        bore = wheel.spacer.bore if wheel.spacer.ring is None else wheel.spacer.ring.inner
        return bore - wheel.hub.spigot

    @cached_property
    def steering(self) -> tuple[float, float] | None:
        """Kingpin offset at the ground [m] and kingpin inclination [rad] at no lift; None where not known."""
        side = side_of(self.variant, self.which)
        if side is not None:
            values, _ = quantities_of(self.variant, Asked(self.which, np.zeros(1), np.zeros(1), np.zeros(1)))
            scrub, kingpin = float(values["scrub"][0, 0]), float(values["kingpin"][0, 0])
            return None if np.isnan(scrub) else (scrub, kingpin)
        room = self.part.room
        if room is None or room.lock is None:
            return None
        sign = 1.0 if self.which % 2 == 0 else -1.0
        lower, upper = room.lock.steering_axis
        inward = sign * (lower.y - upper.y) / (upper.z - lower.z)
        motion = self.variant.motions[self.which // 2]
        jets = motion.at(np.zeros((1, 2)))
        camber = float(jets["camber"].value[0, self.which % 2])
        radius = self.part.tyre.free_radius
        height = self.part.wheel.height - radius * np.cos(camber)
        contact = sign * float(jets["y"].value[0, self.which % 2]) - radius * np.sin(camber)
        axis = sign * lower.y + inward * (lower.z - height)
        return float(contact - axis), float(np.arctan(inward))


def corner_fit(corner: FitCorner) -> CornerFit:
    """Everything there is to say of one corner."""
    tyre, wheel = _tyre(corner), _wheel(corner)
    fit = corner.wheel
    if fit is None:
        return CornerFit(tyre=tyre, wheel=wheel)
    nearest, chance = fit.nearest()
    grid = fit.grid
    rows = tuple(
        ClearanceRow(
            obstacle=one.name,
            on=one.obstacle.on,
            against="inside of the wheel" if one.obstacle.inside else "tyre",
            clearance_mm=shown(one.contact.clearance, LENGTH),
            sigma_mm=shown(one.sigma, LENGTH),
            chance=float(f"{one.chance:.6g}"),
            lift_mm=shown(one.lift, LENGTH),
            across=_across(grid, one.across),
            at_mm=_spot(surface_of(one.contact, one.obstacle.radius)),
            tyre_mm=_spot(one.contact.body),
            at_rest_mm=shown(one.rest, LENGTH),
        )
        for one in nearest
    )
    low, high = fit.travel
    stands = [("rest", grid.reference, 0, 0.0, 0.0)]
    moving = [one for one in nearest if one.obstacle.on != "carrier" and not one.obstacle.inside]
    if moving:
        first = moving[0]
        stands.append(("nearest", grid.poses, first.contact.pose, first.lift, first.across))
    return CornerFit(
        tyre=tyre,
        wheel=wheel,
        across_what=grid.what,
        clearances=rows,
        map=_map(fit) if moving else None,
        least_mm=rows[0].clearance_mm if rows else None,
        lip_distance_mm=_maybe(fit.lip_distance()),
        lift_to_contact_mm=_maybe(fit.lift_to_contact()),
        full_droop_mm=shown(low, LENGTH),
        full_bump_mm=shown(high, LENGTH),
        chance_of_rubbing=float(f"{chance:.6g}"),
        outline_mm=tuple((shown(a, LENGTH), shown(r, LENGTH)) for a, r in fit.profile.outline.corners),
        obstacles=_shapes(corner.part),
        poses=tuple(_stand(*one, grid) for one in stands),
    )


def _tyre(corner: FitCorner) -> TyreFit:
    tyre = corner.part.tyre
    marking, section, rims = tyre.marking, section_of(corner.part), corner.rim_range
    diameter: tuple[float | None, float | None, float | None] = (None, None, None)
    if marking is not None:
        whole = _diameter(marking)
        diameter = (whole, *tyres.diameter_range(whole, marking.rim_code))
    allowed = corner.load_allowed
    source: Literal["file", "marking"] | None = None
    if section is not None:
        source = "file" if tyre.width is not None else "marking"
    symbol = None if marking is None else marking.speed_symbol
    load, needed = corner.load, corner.load_needed
    loaded = None if load is None else tyres.loaded_radius(tyre.free_radius, tyre.rate, load)
    return TyreFit(
        marking=None if marking is None else marking.text,
        section_width_mm=_maybe(section),
        section_from=source,
        tread_width_mm=_maybe(tyre.tread_width or (None if section is None else TREAD_SHARE * section)),
        tread_guessed=tyre.tread_width is None,
        overall_diameter_mm=_maybe(diameter[0]),
        diameter_low_mm=_maybe(diameter[1]),
        diameter_high_mm=_maybe(diameter[2]),
        free_radius_mm=shown(tyre.free_radius, LENGTH),
        loaded_radius_mm=_maybe(loaded),
        rim_low_mm=None if rims is None else shown(rims[0], LENGTH),
        rim_high_mm=None if rims is None else shown(rims[1], LENGTH),
        load_kg=None if load is None else shown(load / GRAVITY, MASS),
        load_needed_kg=None if needed is None else shown(needed, MASS),
        load_allowed_kg=None if allowed is None else shown(allowed, MASS),
        speed_km_per_h=None if symbol is None else shown(tyres.speed_of_symbol(symbol), SPEED),
    )


def _diameter(marking: TyreMarking) -> float:
    return tyres.overall_diameter(marking.width, marking.aspect, marking.rim_code, marking.diameter)


def _wheel(corner: FitCorner) -> WheelResult | None:
    wheel = corner.part.wheel
    rim, spacer = wheel.rim, wheel.spacer
    if rim is None:
        return None
    thick = 0.0 if spacer is None else spacer.thickness
    section = section_of(corner.part)
    faces = (None, None) if section is None else place.faces(rim.inset, thick, section)
    centred = corner.centring
    steering, old = corner.steering, wheel.instead_of
    numbers: dict[str, float | None] = {}
    camber, gain, bend = _camber(corner)
    load, hub = corner.load, wheel.hub
    moment = None
    if load is not None and hub is not None and hub.bearing_depth is not None:
        moment = place.bearing_moment(load, hub.bearing_depth, rim.inset, thick)
    rate = _rate(corner)
    numbers["wheel_rate_n_per_mm"] = None if rate is None else known(rate, RATE)
    if old is not None:
        out = place.outward(rim.inset, thick, old.inset, old.spacer)
        taller = corner.part.tyre.free_radius - _diameter(old.tyre) / 2
        numbers["further_out_mm"] = shown(out, LENGTH)
        other = corner.car.corners[CORNERS[corner.which ^ 1]].wheel
        numbers["track_change_mm"] = _maybe(_both_out(out, other))
        if steering is not None:
            numbers["scrub_change_mm"] = shown(place.scrub_change(out, taller, camber, steering[1]), LENGTH)
        if moment is not None and load is not None:
            numbers["bearing_moment_change_nm"] = shown(load * out, TORQUE)
        if rate is not None:
            force = _spring_force(corner)
            before = place.moved_rate(rate, force, -out, camber, gain, bend)
            numbers["wheel_rate_change_percent"] = shown(rate / before - 1.0, SHARE)
    return WheelResult.model_validate(
        {
            "inset_mm": shown(rim.inset, LENGTH),
            "spacer_mm": shown(thick, LENGTH),
            "effective_inset_mm": shown(place.effective_inset(rim.inset, thick), LENGTH),
            "inner_face_mm": _maybe(faces[0]),
            "outer_face_mm": _maybe(faces[1]),
            "centred_by": None if centred is None else centred.by,
            "spigot_play_mm": None if centred is None else shown(centred.play, LENGTH),
            "spigot_held_mm": None if centred is None else shown(max(0.0, centred.held), LENGTH),
            "scrub_mm": None if steering is None else shown(steering[0], LENGTH),
            "bearing_moment_nm": None if moment is None else shown(moment, TORQUE),
            "studs_mm": None if rim.pad is None else shown(place.stud_length(thick, rim.pad, 0.0), LENGTH),
            **numbers,
        }
    )


def _both_out(out: float, other: Wheel) -> float | None:
    """How much wider the axle is with what its other wheel says of itself."""
    rim, old, spacer = other.rim, other.instead_of, other.spacer
    if rim is None or old is None:
        return None
    return out + place.outward(rim.inset, 0.0 if spacer is None else spacer.thickness, old.inset, old.spacer)


def _camber(corner: FitCorner) -> tuple[float, float, float]:
    """Camber [rad], its gain [rad/m] and the gain's own [rad/m2] along the own lift, at rest."""
    axle, side = divmod(corner.which, 2)
    lifts = corner.stance.q[:1, 3 + 2 * axle : 5 + 2 * axle] if corner.stance.stands[0] else np.zeros((1, 2))
    motion = corner.variant.motions[axle]
    jet = motion.at(lifts if corner.variant.count == 1 else np.repeat(lifts, corner.variant.count, axis=0))["camber"]
    return float(jet.value[0, side]), float(jet.first[0, side, side]), float(jet.second[0, side, side, side])


def _rate(corner: FitCorner) -> float | None:
    """Wheel rate [N/m] at rest."""
    if not corner.stance.stands[0]:
        return None
    value = wheel_rate(corner.variant, corner.stance, corner.which)
    return value if np.isfinite(value) and value > 0 else None


def _spring_force(corner: FitCorner) -> float:
    """What the springs press on the wheel [N]: the load less the wheel's own weight."""
    return (corner.load or 0.0) - corner.part.unsprung_mass * GRAVITY


def _map(fit: WheelFit) -> ClearanceMap:
    told, pieces = fit.moving
    grid = fit.grid
    shape = (grid.lifts.size, grid.across.size)
    least, nearest = told.least.reshape(shape), told.nearest.reshape(shape)
    return ClearanceMap(
        lifts_mm=tuple(shown(one, LENGTH) for one in grid.lifts),
        across=tuple(_across(grid, one) for one in grid.across),
        clearance_mm=tuple(tuple(_maybe(one) for one in row) for row in least),
        obstacle=tuple(tuple(pieces[one].name if one >= 0 else None for one in row) for row in nearest),
    )


def _across(grid: PoseGrid, value: float) -> float:
    return shown(value, ANGLE if grid.what == "turn" else LENGTH)


def _shapes(part: Corner) -> tuple[ObstacleShape, ...]:
    obstacles = {} if part.room is None else part.room.obstacles
    return tuple(
        ObstacleShape(
            name=name,
            on=one.on,
            form="point" if one.at is not None else "edge" if one.edge is not None else "patch",
            inside=one.inside,
            radius_mm=shown(one.radius, LENGTH),
            points_mm=tuple(_spot(np.array(point)) for point in one.points),
        )
        for name, one in obstacles.items()
    )


def _stand(name: str, poses: Poses, k: int, lift: float, across: float, grid: PoseGrid) -> WheelStand:
    return WheelStand.model_validate(
        {
            "name": name,
            "lift_mm": shown(lift, LENGTH),
            "across": _across(grid, across),
            "centre_mm": _spot(poses.centre[k]),
            "axis": tuple(float(f"{one:.9g}") for one in poses.axis[k]),
        }
    )


def _spot(point: Array) -> Spot:
    x, y, z = (shown(one, LENGTH) for one in point)
    return x, y, z


def _maybe(value: float | None) -> float | None:
    return None if value is None else known(value, LENGTH)
