"""From arrays back to answers: the one place where results are put into trade units."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.assembly.window import window
from cornerwright.mechanics.jets import Jet
from cornerwright.mechanics.springs import ride_frequency
from cornerwright.mechanics.stance import GRAVITY, Stance
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results import CornerStanding, Finding, StandResult
from cornerwright.model.units import ANGLE, FORCE, LENGTH, RATE, SHARE, WEIGHT, Kind, to_document

Array = NDArray[np.float64]

KINDS: dict[str, Kind] = {
    "height": LENGTH,
    "load": WEIGHT,
    "camber": ANGLE,
    "toe": ANGLE,
    "caster": ANGLE,
    "half_track": LENGTH,
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
    "cg_height": LENGTH,
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


def linkage_findings(variant: Variant, corners: Iterable[CornerName]) -> list[Finding]:
    """Rows of jack tables that lie far from the curve through the others; linkages that end before dampers."""
    found = []
    for corner in corners:
        which = CORNERS.index(corner)
        found += _linkage_ends(variant, which)
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


def _linkage_ends(variant: Variant, which: int) -> list[Finding]:
    """Ends of travel that a linkage of points meets before its damper does."""
    motion, side = variant.motions[which // 2], which % 2
    members = motion.ends(side)
    if list(variant.rig.car.corners.values())[which].table is not None or not any(members):
        return []
    ends = window(variant, gradients=False)
    low, high = (float(part[side]) for part in motion.reach())
    found = (
        (low, members[0], bool(ends.linkage_droop[0, which]), "droop", "the damper is pulled right out"),
        (high, members[1], bool(ends.linkage_bump[0, which]), "bump", "full bump of the damper"),
    )
    return [
        Finding(
            level="warning",
            place=CORNERS[which],
            about="linkage",
            says=f"the linkage ends at {shown(lift, LENGTH):.0f} mm of lift in {way}, before {event}: "
            f"{member.replace('_', ' ')} holds it",
            do="measure its points again; if they are right, limit the damper's travel: a linkage that is "
            "pulled to its end breaks joints",
        )
        for lift, member, too_soon, way, event in found
        if member and too_soon
    ]


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
    corners = {corner: corner_standing(variant, stance, at, i) for i, corner in enumerate(CORNERS)}
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


def wheel_rates(variant: Variant, stance: Stance) -> Array:
    """Wheel rate (n, 4) [N/m] of every corner: both wheels of the axle in step.

    That is what a bump across the road, and the ride frequency, see.
    """

    def in_step(kinematics: Jet) -> tuple[Array, Array]:
        first = [kinematics.first[:, i, i // 2 * 2 : i // 2 * 2 + 2].sum(axis=1) for i in range(4)]
        second = [
            kinematics.second[:, i, i // 2 * 2 : i // 2 * 2 + 2, i // 2 * 2 : i // 2 * 2 + 2].sum(axis=(1, 2))
            for i in range(4)
        ]
        return np.stack(first, axis=1), np.stack(second, axis=1)

    ratio, bend = in_step(stance.kinematics.spring)
    damper_ratio, damper_bend = in_step(stance.kinematics.damper)
    return np.asarray(
        stance.spring_rate * ratio**2
        - stance.spring_force * bend
        + stance.damper_rate * damper_ratio**2
        - stance.damper_force * damper_bend
        + variant.inputs.bush_rate
    )


def wheel_rate(variant: Variant, stance: Stance, i: int) -> float:
    """Wheel rate [N/m] of corner i of the first car."""
    return float(wheel_rates(variant, stance)[0, i])


def corner_standing(variant: Variant, stance: Stance, at: Outputs, i: int) -> CornerStanding:
    """Corner i of the first car of the batch at rest."""
    lift = stance.q[0, 3 + i]
    rate = wheel_rate(variant, stance, i)
    carried = stance.load[0, i] / GRAVITY - variant.inputs.unsprung_mass[0, i]
    frequency = None
    if rate > 0 and carried > 0:
        tyre = variant.inputs.tyre_rate[0, i]
        frequency = float(ride_frequency(rate * tyre / (rate + tyre), carried))
    ends = at.window
    binds = bool(ends.bind.lift[0, i] < ends.bump.lift[0, i])
    corner = list(variant.rig.car.corners.values())[i]
    stop = corner.damper.bump_stop is not None
    members = variant.motions[i // 2].ends(i % 2)
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
        droop_end=f"the linkage, {members[0]}" if ends.linkage_droop[0, i] else "damper pulled right out",
        bump_end=_bump_end(binds, bool(ends.linkage_bump[0, i]), members[1], stop),
        spring_held_mm=known(at.corner["spring_held"][0, i], LENGTH),
        stroke_percent=shown(at.corner["stroke_share"][0, i], SHARE),
        ride_frequency_hz=frequency,
        wheel_rate_n_per_mm=shown(rate, RATE) if rate > 0 else None,
    )


def _bump_end(binds: bool, by_linkage: bool, member: str, stop: bool) -> str:
    if binds:
        return "coil bind"
    if by_linkage:
        return f"the linkage, {member}"
    return "bump stop" if stop else "damper, metal to metal"


def stand(car: Car) -> StandResult:
    """The car at rest on level ground at its present settings."""
    variant = Rig(car).vary()
    stance = variant.stand()
    return standing(variant, stance, outputs(variant, stance, gradients=False))
