"""What a wheel does through its travel: lifts and places of the rack in, rows in trade units out."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.assembly.point_travel import Asked, Side, doubts, quantities_of, side_of
from cornerwright.assembly.report import corner_index, known, linkage_findings, shown
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.assembly.scene import kind_of
from cornerwright.assembly.travel_limits import Reach, reach_of
from cornerwright.assembly.window import window
from cornerwright.mechanics.anti import carried_past_springs, front_brake_share
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.linkage import TwistBeam
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import TravelLimit, TravelResult, TravelRow
from cornerwright.model.units import ANGLE, ANGLE_PER_LENGTH, LENGTH, SHARE, Kind

Array = NDArray[np.float64]
OtherWheel = Literal["together", "opposite", "held"]

BRAKING = 0.5
"""Deceleration, in units of gravity, at which the brakes are taken to be shared as the wheels are loaded."""

NOTHING = 1e-12
"""A standard deviation [SI] that is rounding alone."""

FIELDS: dict[str, tuple[str, Kind | None]] = {
    "camber": ("camber_deg", ANGLE),
    "toe": ("toe_deg", ANGLE),
    "caster": ("caster_deg", ANGLE),
    "kingpin": ("kingpin_deg", ANGLE),
    "scrub": ("scrub_mm", LENGTH),
    "trail": ("trail_mm", LENGTH),
    "x": ("wheel_x_mm", LENGTH),
    "y": ("wheel_y_mm", LENGTH),
    "half_track": ("half_track_mm", LENGTH),
    "damper": ("damper_mm", LENGTH),
    "spring": ("spring_mm", LENGTH),
    "damper_ratio": ("damper_ratio", None),
    "spring_ratio": ("spring_ratio", None),
    "bump_steer": ("bump_steer_deg_per_mm", ANGLE_PER_LENGTH),
    "roll_centre": ("roll_centre_mm", LENGTH),
    "roll_centre_y": ("roll_centre_y_mm", LENGTH),
    "brake_path": ("brake_path_deg", ANGLE),
    "drive_path": ("drive_path_deg", ANGLE),
    "anti_dive": ("anti_dive_percent", SHARE),
    "anti_lift": ("anti_lift_percent", SHARE),
    "anti_squat": ("anti_squat_percent", SHARE),
    "rocker": ("rocker_deg", ANGLE),
    "shaft_plunge": ("shaft_plunge_mm", LENGTH),
}
"""Fields of a row and their kinds; None: a plain number."""

ALONG: dict[OtherWheel, tuple[float, float]] = {
    "together": (1.0, 1.0),
    "opposite": (1.0, -1.0),
    "held": (1.0, 0.0),
}


def travel(
    car: Car,
    corner: str,
    lifts: ArrayLike,
    steer: ArrayLike | None = None,
    *,
    other: float | None = None,
    opposite: bool = False,
) -> TravelResult:
    """What the wheel of this corner does at these lifts (k,) [m].

    steer: travels (s,) [m] of the rack, positive to the left; there is a row for every lift at every
    place of the rack, one place after the other. The other wheel of the axle goes with this one; other
    holds it at a lift [m], opposite moves it the other way. Where both wheels hang by one linkage that
    changes every number, elsewhere the roll centre alone.

    Raises Refusal for an unknown corner, numbers that are not finite, steering where nothing steers, and
    questions that a jack table cannot answer.
    """
    which = corner_index(corner)
    lift = _numbers(lifts, "lifts")
    motion = _motion(other, opposite)
    variant = Rig(car).vary()
    side = side_of(variant, which)
    if side is None:
        if steer is not None or motion != "together":
            raise Refusal.of(
                "steering, or the other wheel moved by itself, on a corner with a jack table",
                "lifts alone: a jack table holds one wheel, straight ahead",
            )
        return _of_table(car, variant, which, lift)
    racks = None if steer is None else _numbers(steer, "steer")
    if racks is not None and not side.mechanism.steers:
        raise Refusal.of(f"steering at {corner.replace('_', ' ')}", "a corner with tie_inner on an axle with a rack")
    return _of_points(car, variant, side, which, lift, racks, motion, other or 0.0)


def _numbers(values: ArrayLike, what: str) -> Array:
    found = np.atleast_1d(np.asarray(values, dtype=float))
    if not np.isfinite(found).all() or found.ndim != 1 or found.size == 0:
        raise Refusal.of(f"{what} that are not finite numbers", f"a list of {what}")
    return found


def _motion(other: float | None, opposite: bool) -> OtherWheel:
    if other is not None and opposite:
        raise Refusal.of("the other wheel both held and moved", "one of the two")
    if other is not None and not np.isfinite(other):
        raise Refusal.of(f"the lift {other} of the other wheel", "a finite number")
    return "opposite" if opposite else "together" if other is None else "held"


def _whole(
    car: Car,
    variant: Variant,
    which: int,
    motion: OtherWheel,
    reach: tuple[float, float],
    rows: list[TravelRow],
    limits: tuple[TravelLimit, ...] = (),
    assumed: tuple[str, ...] = (),
) -> TravelResult:
    ends = window(variant, gradients=False)
    low, high = (float(part[which % 2]) for part in variant.motions[which // 2].reach())
    # A table's curves go on beyond its rows, a linkage of points does not.
    bounds = (-np.inf, np.inf) if car.corners[CORNERS[which]].table is not None else (low, high)
    return TravelResult(
        car=car.name,
        corner=CORNERS[which],
        kind=kind_of(car, which),
        motion=motion,
        lowest_mm=shown(reach[0], LENGTH),
        highest_mm=shown(reach[1], LENGTH),
        damper_out_mm=None if ends.linkage_droop[0, which] else known(ends.droop.lift[0, which], LENGTH),
        full_bump_mm=None if ends.linkage_bump[0, which] else known(ends.bump.lift[0, which], LENGTH),
        coil_bind_mm=known(_reached(ends.bind.lift[0, which], bounds), LENGTH),
        limits=limits,
        rows=tuple(rows),
        assumed=assumed,
        findings=tuple(linkage_findings(variant, [CORNERS[which]])),
    )


def _reached(lift: float, bounds: tuple[float, float]) -> float:
    """The lift, nan where the linkage does not go."""
    return lift if bounds[0] <= lift <= bounds[1] else np.nan


# ------------------------------------------------------------------ jack tables


def _of_table(car: Car, variant: Variant, which: int, lift: Array) -> TravelResult:
    side = 1.0 if which % 2 == 0 else -1.0
    kin = variant.inputs.kinematics(np.repeat(lift[:, None], 4, axis=1))
    reference = variant.inputs.kinematics(np.zeros((1, 4)))
    motion = variant.motions[which // 2]
    pair = np.repeat(lift[:, None], 2, axis=1)
    values = {name: getattr(kin, name).value[:, which] for name in ("camber", "toe", "caster", "x", "y", "damper")}
    values["half_track"] = side * (values["y"] - reference.y.value[0, which])
    values["spring"] = kin.spring.value[:, which] - variant.inputs.seat_offset[0, which]
    values["damper_ratio"] = kin.damper.first[:, which, which]
    values["spring_ratio"] = kin.spring.first[:, which, which]
    values["bump_steer"] = kin.toe.first[:, which, which]
    spread = {name: sd[:, which % 2] for name, sd in motion.spread(pair).items()}
    sigma = {"half_track" if name == "y" else name: np.where(sd > 0, sd, np.nan) for name, sd in spread.items()}
    inside = motion.inside(pair)[:, which % 2]
    rows = [
        _row(values, sigma, k, lift_mm=shown(one, LENGTH))
        if inside[k]
        else TravelRow(lift_mm=shown(one, LENGTH), inside=False)
        for k, one in enumerate(lift)
    ]
    low, high = motion.reach()
    return _whole(car, variant, which, "together", (low[which % 2], high[which % 2]), rows)


# ----------------------------------------------------------- linkages of points


def _of_points(
    car: Car,
    variant: Variant,
    side: Side,
    which: int,
    lift: Array,
    racks: Array | None,
    motion: OtherWheel,
    held: float,
) -> TravelResult:
    along = ALONG[motion]
    steer = np.zeros(1) if racks is None else racks
    asked = Asked.grid(which, lift, steer, along, held)
    values, _ = quantities_of(variant, asked)
    nominal = {name: value[0] for name, value in values.items()}
    sigma = {name: sd.ravel() for name, sd in doubts(variant, which, lift, steer, along, held).items()}
    nominal |= _antis(car, which, nominal)
    reach = reach_of(side, steer, along, held)
    middle = reach if racks is None else reach_of(side, np.zeros(1), along, held)
    travel_of_rack = _rack_travel(car, which)
    rows = []
    for k in range(asked.lift.size):
        there = {
            "lift_mm": shown(asked.lift[k], LENGTH),
            "steer_mm": None if racks is None else shown(asked.steer[k], LENGTH),
            "other_lift_mm": shown(asked.other[k], LENGTH),
        }
        beyond = abs(asked.steer[k]) > travel_of_rack + 1e-9
        if beyond or np.isnan(nominal["camber"][k]):
            ends = "rack" if beyond else _ending(reach, k // lift.size, asked.lift[k])
            rows.append(TravelRow(**there, inside=False, ends=ends))
        else:
            rows.append(_row(nominal, sigma, k, **there))
    limits = tuple(
        _limit(reach, k, None if racks is None else shown(at, LENGTH), abs(at) > travel_of_rack + 1e-9)
        for k, at in enumerate(steer)
    )
    ends_of_travel = float(middle.lowest[0]), float(middle.highest[0])
    return _whole(car, variant, which, motion, ends_of_travel, rows, limits, _assumed(car, which))


def _limit(reach: Reach, k: int, place: float | None, beyond: bool) -> TravelLimit:
    """Limits at the k-th place of the rack, or that the rack itself does not go there."""
    if beyond:
        return TravelLimit(steer_mm=place, lowest_mm=None, highest_mm=None, ends_below="rack", ends_above="rack")
    return TravelLimit(
        steer_mm=place,
        lowest_mm=known(reach.lowest[k], LENGTH),
        highest_mm=known(reach.highest[k], LENGTH),
        ends_below=reach.below[k] or None,
        ends_above=reach.above[k] or None,
    )


def _ending(reach: Reach, place: int, lift: float) -> str | None:
    """The member that ends the travel on the way to this lift."""
    return (reach.above if lift > 0 else reach.below)[place] or None


def _rack_travel(car: Car, which: int) -> float:
    rack = car.axles[which // 2].rack
    return np.inf if rack is None else rack.travel


def _antis(car: Car, which: int, values: dict[str, Array]) -> dict[str, Array]:
    """Anti-dive in front; anti-lift and anti-squat behind. Along the path of both wheels rising."""
    wheelbase, height = car.wheelbase, car.mass.cg_height
    share = front_brake_share(car.mass.front, BRAKING, wheelbase, height)
    if which < 2:
        return {"anti_dive": carried_past_springs(values["brake_path"], share, wheelbase, height)}
    found = {"anti_lift": carried_past_springs(-values["brake_path"], 1.0 - share, wheelbase, height)}
    linkage = car.axles[1].linkage
    if not isinstance(linkage, TwistBeam):
        # A live axle takes the drive's torque itself, so the contact's path counts as in braking.
        path = values["drive_path" if linkage is None else "brake_path"]
        found["anti_squat"] = carried_past_springs(-path, 1.0, wheelbase, height)
    return found


def _assumed(car: Car, which: int) -> tuple[str, ...]:
    share = front_brake_share(car.mass.front, BRAKING, car.wheelbase, car.mass.cg_height)
    brakes = (
        f"brakes at the wheels, {100 * share:.0f} % of their force in front: as the wheels are loaded at {BRAKING:g} g"
    )
    linkage = car.axles[which // 2].linkage
    if which < 2 or isinstance(linkage, TwistBeam):
        return (brakes,)
    drive = "the drive's torque on the axle" if linkage is not None else "the drive's torque on the body"
    return (brakes, f"anti-squat counts if the rear wheels drive, {drive}")


def _row(values: dict[str, Array], sigma: dict[str, Array], k: int, **there: float | None) -> TravelRow:
    """Row k of the quantities [SI]."""
    numbers: dict[str, float | None] = {}
    joints: dict[str, float] = {}
    doubt: dict[str, float] = {}
    for name, value in values.items():
        is_joint = name.startswith("joint ")
        key, kind = (f"joints_deg.{name[6:]}", ANGLE) if is_joint else FIELDS[name]
        number = _in_trade(value[k], kind)
        if is_joint and number is not None:
            joints[name[6:]] = number
        elif not is_joint:
            numbers[key] = number
        sd = sigma.get(name)
        if number is not None and sd is not None and np.isfinite(sd[k]):
            doubt[key] = _in_trade(sd[k] if sd[k] > NOTHING else 0.0, kind) or 0.0
    return TravelRow.model_validate({**there, "inside": True, **numbers, "joints_deg": joints, "sigma": doubt})


def _in_trade(value: float, kind: Kind | None) -> float | None:
    if kind is not None:
        return known(value, kind)
    return None if np.isnan(value) else float(value)
