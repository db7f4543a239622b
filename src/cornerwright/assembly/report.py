"""From arrays back to answers: the one place where results are put into trade units."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.mechanics.springs import ride_frequency
from cornerwright.mechanics.stance import GRAVITY, Stance
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results import (
    CornerScene,
    CornerStanding,
    Finding,
    StandResult,
    TravelResult,
    TravelRow,
)
from cornerwright.model.units import ANGLE, FORCE, LENGTH, RATE, SHARE, WEIGHT, Kind, to_document

Array = NDArray[np.float64]

KINDS: dict[str, Kind] = {
    "height": LENGTH,
    "load": WEIGHT,
    "camber": ANGLE,
    "toe": ANGLE,
    "caster": ANGLE,
    "damper_length": LENGTH,
    "spring_length": LENGTH,
    "stroke_share": SHARE,
    "spring_held": LENGTH,
    "droop_left": LENGTH,
    "bump_left": LENGTH,
    "bind_margin": LENGTH,
    "cross_weight": SHARE,
    "front_share": SHARE,
    "left_share": SHARE,
}
"""What kind of quantity each reading is."""

JSON_STEM = {"damper_length": "damper", "spring_length": "spring", "stroke_share": "stroke"}


def key_of(reading: str) -> str:
    """The JSON key of a reading, with its unit: `camber_deg`, `damper_mm`, `cross_weight_percent`."""
    return JSON_STEM.get(reading, reading) + KINDS[reading].suffix


def shown(value: float, kind: Kind) -> float:
    """A value [SI] in the document unit, without the noise of its last digits."""
    return float(f"{to_document(float(value), kind):.10g}")


def known(value: float, kind: Kind) -> float | None:
    """A value [SI] in the document unit; None where it is not a number."""
    return None if math.isnan(value) else shown(value, kind)


def corner_index(corner: str) -> int:
    """0 to 3. Raises Refusal for a name that is not a corner's."""
    if corner not in CORNERS:
        raise Refusal.of(f"'{corner}'", f"a corner: {', '.join(CORNERS)}")
    return CORNERS.index(corner)


def travel(car: Car, corner: str, lifts: ArrayLike) -> TravelResult:
    """What the wheel of this corner does at these lifts (k,) [m], the other wheel of the axle going with it.

    Raises Refusal for an unknown corner or lifts that are not finite.
    """
    which = corner_index(corner)
    lift = np.atleast_1d(np.asarray(lifts, dtype=float))
    if not np.isfinite(lift).all() or lift.ndim != 1 or lift.size == 0:
        raise Refusal.of("lifts that are not finite numbers", "a list of lifts")
    variant = Rig(car).vary()
    kin = variant.inputs.kinematics(np.repeat(lift[:, None], 4, axis=1))
    reference = variant.inputs.kinematics(np.zeros((1, 4)))
    own = slice(which // 2 * 2, which // 2 * 2 + 2)
    motion = variant.motions[which // 2]
    pair = np.repeat(lift[:, None], 2, axis=1)
    inside = motion.inside(pair)[:, which % 2]
    spread = {name: sd[:, which % 2] for name, sd in motion.spread(pair).items()}
    side = 1.0 if which % 2 == 0 else -1.0
    rows = []
    for k, one in enumerate(lift):
        if not inside[k]:
            rows.append(TravelRow(lift_mm=shown(one, LENGTH), inside=False))
            continue
        spring = kin.spring.value[k, which] - variant.inputs.seat_offset[0, which]
        rows.append(
            TravelRow(
                lift_mm=shown(one, LENGTH),
                inside=True,
                camber_deg=shown(kin.camber.value[k, which], ANGLE),
                toe_deg=shown(kin.toe.value[k, which], ANGLE),
                caster_deg=known(kin.caster.value[k, which], ANGLE),
                wheel_x_mm=shown(kin.x.value[k, which], LENGTH),
                wheel_y_mm=shown(kin.y.value[k, which], LENGTH),
                half_track_mm=shown(side * (kin.y.value[k, which] - reference.y.value[0, which]), LENGTH),
                damper_mm=shown(kin.damper.value[k, which], LENGTH),
                spring_mm=shown(spring, LENGTH),
                damper_ratio=float(kin.damper.first[k, which, own].sum()),
                spring_ratio=float(kin.spring.first[k, which, own].sum()),
                sigma=_sigma(spread, k),
            )
        )
    low, high = motion.reach()
    return TravelResult(
        car=car.name,
        corner=corner,
        lowest_mm=shown(low[which % 2], LENGTH),
        highest_mm=shown(high[which % 2], LENGTH),
        rows=tuple(rows),
        findings=tuple(linkage_findings(variant, [CORNERS[which]])),
    )


def _sigma(spread: dict[str, Array], k: int) -> dict[str, float]:
    keys = {
        "camber": ("camber_deg", ANGLE),
        "toe": ("toe_deg", ANGLE),
        "caster": ("caster_deg", ANGLE),
        "y": ("half_track_mm", LENGTH),
        "damper": ("damper_mm", LENGTH),
        "spring": ("spring_mm", LENGTH),
    }
    return {
        key: shown(spread[name][k], kind)
        for name, (key, kind) in keys.items()
        if name in spread and spread[name][k] > 0
    }


def linkage_findings(variant: Variant, corners: Iterable[CornerName]) -> list[Finding]:
    """Rows of jack tables that lie far from the curve through the others."""
    found = []
    for corner in corners:
        which = CORNERS.index(corner)
        for says in variant.motions[which // 2].doubtful(which % 2):
            found.append(
                Finding(
                    level="warning",
                    place=corner,
                    about="linkage",
                    says=says,
                    do="read that row again: a slip of the tape or the pen?",
                )
            )
    return found


def standing(variant: Variant, stance: Stance, at: Outputs) -> StandResult:
    """One car (the first of the batch) at rest, in trade units."""
    name = variant.rig.car.name
    verdict = str(stance.verdict[0])
    if verdict != "stands":
        return StandResult(
            car=name,
            verdict="falls" if verdict == "falls" else "stalled",
            residual_n=float(stance.residual[0]),
            findings=(
                Finding(
                    level="limit",
                    place="car",
                    about="stance",
                    says="no rest was found: the car does not stand on these springs",
                    do="check the springs' rates and lengths, the masses and the perch settings",
                ),
            ),
        )
    corners = {corner: _corner(variant, stance, at, i) for i, corner in enumerate(CORNERS)}
    return StandResult(
        car=name,
        verdict="stands",
        residual_n=float(stance.residual[0]),
        corners=corners,
        total_kg=shown(stance.load[0].sum(), WEIGHT),
        front_percent=shown(at.car["front_share"][0], SHARE),
        left_percent=shown(at.car["left_share"][0], SHARE),
        cross_weight_percent=shown(at.car["cross_weight"][0], SHARE),
        pitch_deg=shown(stance.q[0, 1], ANGLE),
        roll_deg=shown(stance.q[0, 2], ANGLE),
    )


def _corner(variant: Variant, stance: Stance, at: Outputs, i: int) -> CornerStanding:
    lift = stance.q[0, 3 + i]
    own = slice(i // 2 * 2, i // 2 * 2 + 2)
    # Both wheels of the axle in step: what a bump across the road, and the ride frequency, see.
    ratio = stance.kinematics.spring.first[0, i, own].sum()
    bend = stance.kinematics.spring.second[0, i, own, own].sum()
    damper_ratio = stance.kinematics.damper.first[0, i, own].sum()
    damper_bend = stance.kinematics.damper.second[0, i, own, own].sum()
    rate = (
        stance.spring_rate[0, i] * ratio**2
        - stance.spring_force[0, i] * bend
        + stance.damper_rate[0, i] * damper_ratio**2
        - stance.damper_force[0, i] * damper_bend
        + variant.inputs.bush_rate[0, i]
    )
    carried = stance.load[0, i] / GRAVITY - variant.inputs.unsprung_mass[0, i]
    frequency = None
    if rate > 0 and carried > 0:
        tyre = variant.inputs.tyre_rate[0, i]
        frequency = float(ride_frequency(rate * tyre / (rate + tyre), carried))
    ends = at.window
    binds = bool(ends.bind.lift[0, i] < ends.bump.lift[0, i])
    corner = list(variant.rig.car.corners.values())[i]
    stop = corner.damper.bump_stop is not None
    return CornerStanding(
        load_n=shown(stance.load[0, i], FORCE),
        load_kg=shown(stance.load[0, i], WEIGHT),
        lift_mm=shown(lift, LENGTH),
        height_mm=shown(at.corner["height"][0, i], LENGTH),
        camber_deg=shown(at.corner["camber"][0, i], ANGLE),
        toe_deg=shown(at.corner["toe"][0, i], ANGLE),
        caster_deg=known(at.corner["caster"][0, i], ANGLE),
        damper_mm=shown(at.corner["damper_length"][0, i], LENGTH),
        spring_mm=shown(at.corner["spring_length"][0, i], LENGTH),
        spring_load_n=shown(stance.spring_force[0, i], FORCE),
        droop_left_mm=known(at.corner["droop_left"][0, i], LENGTH),
        bump_left_mm=known(at.corner["bump_left"][0, i], LENGTH),
        stop_gap_mm=known(ends.touch.lift[0, i] - lift, LENGTH) if stop else None,
        droop_end="damper pulled right out",
        bump_end="coil bind" if binds else ("bump stop" if stop else "damper, metal to metal"),
        spring_held_mm=known(at.corner["spring_held"][0, i], LENGTH),
        stroke_percent=shown(at.corner["stroke_share"][0, i], SHARE),
        ride_frequency_hz=frequency,
        wheel_rate_n_per_mm=shown(rate, RATE) if rate > 0 else None,
    )


def stand(car: Car) -> StandResult:
    """The car at rest on level ground at its present settings."""
    variant = Rig(car).vary()
    stance = variant.stand()
    return standing(variant, stance, outputs(variant, stance, gradients=False))


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
    corner = list(variant.rig.car.corners.values())[i]
    own = _corner(variant, stance, at, i)
    side = 1.0 if i % 2 == 0 else -1.0
    stop = corner.damper.bump_stop
    body = variant.inputs.body_offset[0, i]
    point = corner.height_point
    return CornerScene(
        car=variant.rig.car.name,
        corner=CORNERS[i],
        what=what,
        side="left" if i % 2 == 0 else "right",
        kind=corner.linkage.kind,
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
    )
