"""Corners as drawings need them: at rest, and through their travel."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.point_scene import Picture, pictures
from cornerwright.assembly.point_travel import Asked, quantities_of, side_of
from cornerwright.assembly.report import corner_index, corner_standing, shown
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.assembly.window import window
from cornerwright.mechanics.stance import Stance
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import CornerScene, TravelScene, WheelPose
from cornerwright.model.units import ANGLE, LENGTH

Array = NDArray[np.float64]
Points = dict[str, tuple[float, float, float]]

KEPT = 0.999
"""Share of a linkage's own reach that is drawn: at its very end it locks."""


def corner_scene(car: Car, corner: str) -> CornerScene:
    """All that the drawing of this corner at rest needs. Raises Refusal if the car does not stand."""
    which = corner_index(corner)
    variant = Rig(car).vary()
    stance = variant.stand()
    if not stance.stands[0]:
        raise Refusal.of("a car that does not stand on its springs", "a car that stands")
    at = outputs(variant, stance, gradients=False)
    return scene_of(variant, stance, at, which, "at rest, as the car file has it")


def scene_of(variant: Variant, stance: Stance, at: Outputs, i: int, what: str) -> CornerScene:
    """Corner i of the first car of the batch as a drawing needs it."""
    corner = _corner(variant, i)
    own = corner_standing(variant, stance, at, i)
    side = _side(i)
    stop = corner.damper.bump_stop
    body = variant.inputs.body_offset[0, i]
    point = corner.height_point
    points, lines = _at_rest(variant, stance, i)
    return CornerScene(
        car=variant.rig.car.name,
        corner=CORNERS[i],
        what=what,
        side="left" if i % 2 == 0 else "right",
        kind=kind_of(variant.rig.car, i),
        wheel_y_mm=shown(side * stance.kinematics.y.value[0, i], LENGTH),
        wheel_z_mm=shown(stance.centre_z[0, i], LENGTH),
        tyre_radius_mm=shown(corner.tyre.free_radius, LENGTH),
        loaded_radius_mm=shown(stance.centre_z[0, i], LENGTH),
        tyre_width_mm=None if corner.tyre.width is None else shown(corner.tyre.width, LENGTH),
        camber_deg=own.camber_deg,
        toe_deg=own.toe_deg,
        height_mm=own.height_mm,
        height_what=point.what,
        height_y_mm=shown(side * point.at.y, LENGTH),
        lift_mm=own.lift_mm,
        droop_left_mm=own.droop_left_mm,
        bump_left_mm=own.bump_left_mm,
        droop_end=own.droop_end,
        bump_end=own.bump_end,
        around_damper=corner.spring.around_damper,
        damper_mm=own.damper_mm,
        damper_open_mm=shown(corner.damper.open + body, LENGTH),
        damper_closed_mm=shown(corner.damper.closed + body, LENGTH),
        stop_length_mm=None if stop is None else shown(stop.length, LENGTH),
        spring_mm=own.spring_mm,
        spring_free_mm=shown(variant.rig.free_length[i], LENGTH),
        spring_bind_mm=shown(variant.rig.bind_length[i], LENGTH),
        spring_load_n=own.spring_load_n,
        load_n=own.load_n,
        points=points,
        lines=lines,
    )


def travel_scene(car: Car, corner: str) -> TravelScene:
    """All that the views of this corner at droop, at rest and at bump need, the body held still.

    Droop and bump are where the damper ends, or before that the linkage or what was measured; both
    wheels of the axle go there together. A car that does not stand is drawn at its reference pose
    instead. Raises Refusal for an unknown corner.
    """
    which = corner_index(corner)
    variant = Rig(car).vary()
    lifts = _three_lifts(variant, which)
    part = _corner(variant, which)
    drawn = side_of(variant, which)
    if drawn is None:
        kin = variant.inputs.kinematics(np.repeat(lifts[:, None], 4, axis=1))
        values = {name: getattr(kin, name).value[:, which] for name in ("camber", "toe", "damper")}
        centres = np.stack(
            [kin.x.value[:, which], kin.y.value[:, which], part.wheel.height + lifts],
            axis=1,
        )
        each = [Picture({"wheel": centre}) for centre in centres]
    else:
        asked = Asked.grid(which, lifts, np.zeros(1), (1.0, 1.0), 0.0)
        values = {name: value[0] for name, value in quantities_of(variant, asked)[0].items()}
        each = pictures(drawn, lifts, lifts)
    names: tuple[str, ...] = ("droop", "ride", "bump")
    return TravelScene(
        car=car.name,
        corner=corner,
        side="left" if which % 2 == 0 else "right",
        kind=kind_of(car, which),
        tyre_radius_mm=shown(part.tyre.free_radius, LENGTH),
        tyre_width_mm=None if part.tyre.width is None else shown(part.tyre.width, LENGTH),
        poses=tuple(
            WheelPose.model_validate(
                {
                    "name": name,
                    "lift_mm": shown(lifts[k], LENGTH),
                    "camber_deg": shown(values["camber"][k], ANGLE),
                    "toe_deg": shown(values["toe"][k], ANGLE),
                    "damper_mm": shown(values["damper"][k], LENGTH),
                    "points": _outboard(each[k].points, which),
                }
            )
            for k, name in enumerate(names)
        ),
        lines=tuple(each[0].lines),
    )


def kind_of(car: Car, which: int) -> str:
    """Kind of the linkage that holds this corner."""
    linkage = car.corners[CORNERS[which]].linkage or car.axles[which // 2].linkage
    assert linkage is not None  # the validator holds one of the two
    return linkage.kind


def _corner(variant: Variant, which: int) -> Corner:
    return variant.rig.car.corners[CORNERS[which]]


def _side(which: int) -> float:
    return 1.0 if which % 2 == 0 else -1.0


def _three_lifts(variant: Variant, which: int) -> Array:
    """Lifts (3,) [m]: full droop, at rest, full bump."""
    ends = window(variant, gradients=False)
    low, high = (float(part[which % 2]) for part in variant.motions[which // 2].reach())
    if side_of(variant, which) is not None:
        low, high = KEPT * low, KEPT * high
    droop = np.fmax(ends.droop.lift[0, which], low)
    bump = np.fmin(ends.bump.lift[0, which], high)
    stance = variant.stand()
    ride = stance.q[0, 3 + which] if stance.stands[0] else 0.0
    return np.array([droop, np.clip(ride, droop, bump), bump])


def _at_rest(variant: Variant, stance: Stance, i: int) -> tuple[Points, tuple[tuple[str, str, str], ...]]:
    """Points over the ground and lines of corner i as the first car stands; none with a jack table."""
    side = side_of(variant, i)
    if side is None:
        return {}, ()
    lifts = stance.q[:1, 3:]
    picture = pictures(side, lifts[:, i], lifts[:, i ^ 1])[0]
    heave, pitch, roll = stance.q[0, :3]
    up = np.array([-np.sin(pitch), np.cos(pitch) * np.sin(roll), np.cos(pitch) * np.cos(roll)])
    standing = {name: np.array([at[0], at[1], heave + up @ at]) for name, at in picture.points.items()}
    return _outboard(standing, i), tuple(picture.lines)


def _outboard(points: dict[str, Array], which: int) -> Points:
    """Points [mm], y from the centre plane outboard."""
    side = _side(which)
    return {
        name: (shown(at[0], LENGTH), shown(side * at[1], LENGTH), shown(at[2], LENGTH)) for name, at in points.items()
    }
