"""The car on a circle: does it push or slide, how far does it roll, which wheel lifts, what does sliding take."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.lock import SteeringLock, steering_lock
from cornerwright.assembly.report import shown
from cornerwright.assembly.turn_inputs import Driven, turn_inputs
from cornerwright.mechanics.cornering import Balance, Turn, TurnCar, balance, sliding
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import Finding
from cornerwright.model.results_corner import CornerResult, LockTold, Slide, TurnRow
from cornerwright.model.units import ANGLE, LENGTH, SHARE, SPEED, STANDARD_GRAVITY, WEIGHT, to_document

SHOWN = tuple(0.05 * k for k in range(1, 50))
"""Lateral accelerations that are told [g]."""
SLIPS = (10.0, 20.0, 30.0, 40.0)
"""Slips of the body in a slide that are looked for [deg]."""
STEP = 0.1
"""From turn to turn [m/s2]."""
LEAST_RADIUS, MOST_RADIUS = 5.0, 1000.0

ASSUMED = (
    "Steady turns to the left on a level, dry, even road. Brush formula for the tyres; the limit is as good as the "
    "tyres' figures, and comparing two set-ups is better than either figure by itself.",
    "Roll on the real springs, bump stops and droop ends, each axle carrying what it carries at rest: no jacking by "
    "side forces; roll centres as at rest. No bend of bushes, no downforce, no load fore and aft. The wheels of a "
    "driven axle share its drive as they share its load.",
    "Steady slides are equilibria of the same car, after Hindiyeh and Gerdes (2009) and Velenis and others (2011).",
)


def corner(car: Car, radius: float = 30.0, driven: Driven = "rear", *, lock: bool = True) -> CornerResult:
    """Turn this car on a circle of this radius [m], faster until it ends.

    lock: hold the steer that this takes against how far the wheels steer, and against what a tyre touches then.
    Raises Refusal for a radius outside 5 to 1000 m, or a car that does not stand or corner.
    """
    if not LEAST_RADIUS <= radius <= MOST_RADIUS:
        raise Refusal.of(f"{radius:g} m", f"a radius from {LEAST_RADIUS:g} to {MOST_RADIUS:g} m")
    inputs = turn_inputs(car, driven)
    try:
        found = balance(inputs.car, radius, STEP)
    except ValueError as error:
        raise Refusal.of(f"no steady turn: {error}", "tyres and springs that hold the car on a circle") from None
    verdict = _verdict(found)
    lifts = {}
    for axle, end in enumerate(("front", "rear")):
        first = next((one for one in found.turns if one.lifted[axle]), None)
        if first is not None:
            lifts[end] = _g(first.lateral)
    transfer = _transfer(found.limit)
    far = steering_lock(inputs.variant, (inputs.rest + found.limit.lift)[:2]) if lock else None
    slides = _slides(inputs.car, found, radius, far) if driven == "rear" else ()
    stops = _reached(found, lambda one: one.lift >= inputs.touch)
    hangs = _reached(found, lambda one: one.lift <= inputs.droop)
    early = found.turns[min(4, len(found.turns) - 1)]
    return CornerResult(
        car=car.name,
        radius_m=radius,
        driven=driven,
        verdict=verdict,
        understeer_deg_per_g=round(to_document(found.understeer * STANDARD_GRAVITY, ANGLE), 4),
        limit=_row(found.limit),
        roll_deg_per_g=round(to_document(early.roll / early.lateral * STANDARD_GRAVITY, ANGLE), 4),
        front_transfer_percent=round(to_document(transfer, SHARE), 2),
        front_transfer_slow_percent=round(to_document(_transfer(early), SHARE), 2),
        roll_centre_mm={
            end: shown(round(float(height), 5), LENGTH)
            for end, height in zip(("front", "rear"), inputs.car.roll_centre, strict=True)
        },
        lifts_from_g=lifts,
        rows=tuple(_row(one) for one in _at(found)),
        slides=slides,
        lock=None if far is None else _lock_told(far),
        stops_from_g=stops,
        droop_from_g=hangs,
        findings=(
            *_findings(found, lifts),
            *_of_travel(stops, hangs),
            *(_of_lock(found.limit, slides, far) if lock else ()),
        ),
        assumed=(*ASSUMED, *(f"Not in the file and guessed: {one}." for one in inputs.guessed)),
    )


def _verdict(found: Balance) -> Literal["pushes", "slides at the rear", "neutral", "turns over"]:
    if found.ended == "turns over":
        return "turns over"
    if found.pushes is None:
        return "neutral"
    return "pushes" if found.pushes else "slides at the rear"


def _at(found: Balance) -> list[Turn]:
    """The turn nearest to each acceleration that is told, and all close to the limit."""
    rows = []
    for g in SHOWN:
        if g * STANDARD_GRAVITY < found.limit.lateral:
            rows.append(min(found.turns, key=lambda one: abs(one.lateral - g * STANDARD_GRAVITY)))
    near = [one for one in found.turns if one.lateral > found.limit.lateral - 0.05 * STANDARD_GRAVITY]
    told = {one.lateral: one for one in (*rows, *near)}
    return [told[lateral] for lateral in sorted(told)]


def _g(lateral: float) -> float:
    return round(lateral / STANDARD_GRAVITY, 4)


def _transfer(one: Turn) -> float:
    """Front share [1] of the load that has gone over."""
    over = one.load[[1, 3]] - one.load[[0, 2]]
    return float(over[0] / over.sum())


def _row(one: Turn) -> TurnRow:
    return TurnRow(
        lateral_g=_g(one.lateral),
        speed_km_per_h=round(to_document(one.speed, SPEED), 2),
        steer_deg=round(to_document(one.steer, ANGLE), 3),
        slip_deg=round(to_document(one.slip, ANGLE), 3),
        roll_deg=round(to_document(one.roll, ANGLE), 3),
        front_used_percent=round(to_document(float(one.used[0]), SHARE), 2),
        rear_used_percent=round(to_document(float(one.used[1]), SHARE), 2),
        load_kg={name: round(to_document(float(one.load[c]), WEIGHT), 2) for c, name in enumerate(CORNERS)},
        lift_mm={name: round(to_document(float(one.lift[c]), LENGTH), 2) for c, name in enumerate(CORNERS)},
        camber_deg={name: round(to_document(float(one.camber[c]), ANGLE), 3) for c, name in enumerate(CORNERS)},
        power_kw=round(one.power / 1e3, 3),
    )


def _reached(found: Balance, there: Callable[[Turn], NDArray[np.bool_]]) -> dict[str, float]:
    """Corners (and from which acceleration [g]) where something comes to be in the turns."""
    rows: dict[str, float] = {}
    for one in found.turns:
        for c in np.flatnonzero(there(one)):
            rows.setdefault(CORNERS[c], _g(one.lateral))
    return rows


def _lock_told(far: SteeringLock) -> LockTold:
    def told(angle: float | None) -> float | None:
        return None if angle is None else round(to_document(angle, ANGLE), 2)

    return LockTold(
        left_deg=round(to_document(far.left, ANGLE), 2),
        right_deg=round(to_document(far.right, ANGLE), 2),
        rubs_left_deg=told(far.rubs_left),
        rubs_right_deg=told(far.rubs_right),
        clearance_known=far.known,
        ended_by=far.by,
    )


def _slides(car: TurnCar, found: Balance, radius: float, far: SteeringLock | None) -> tuple[Slide, ...]:
    """Slides at rising slip, each begun from the one before; what is not found is left out."""
    weight = car.mass * STANDARD_GRAVITY
    starts = [
        np.array([share * found.limit.speed, steer, drive * weight])
        for share in (0.98, 0.9)
        for steer in (0.0, -0.2, -0.4)
        for drive in (0.2, 0.35)
    ]
    rows: list[Slide] = []
    for slip in SLIPS:
        for start in starts:
            one = sliding(car, radius, -float(np.radians(slip)), start)
            if one.verdict == "turns" and one.drive > 0.0 and one.used[1] > 0.95:
                rows.append(
                    Slide(
                        slip_deg=-slip,
                        speed_km_per_h=round(to_document(one.speed, SPEED), 2),
                        steer_deg=round(to_document(one.steer, ANGLE), 2),
                        power_kw=round(one.power / 1e3, 2),
                        within_lock=None if far is None else bool(-far.free[1] <= one.steer <= far.free[0]),
                    )
                )
                starts.insert(0, np.array([one.speed, one.steer, one.drive]))
                break
    return tuple(rows)


def _findings(found: Balance, lifts: dict[str, float]) -> list[Finding]:
    rows = []
    if found.ended == "turns over":
        says = "both inside wheels leave the ground before the tyres slide: the car turns over"
        do = "lower the car, widen its track, or take tyres with less grip"
        rows.append(Finding(level="warning", place="car", about="cornering", says=says, do=do))
    elif found.pushes is False:
        says = "the rear gives up its grip first: the car spins if nothing is done"
        do = "less roll stiffness at the rear or more in front, by bars first"
        rows.append(Finding(level="warning", place="rear", about="cornering", says=says, do=do))
    for end, at in lifts.items():
        says = f"the inside wheel leaves the ground from {at:.2f} g on"
        rows.append(Finding(level="note", place=end, about="cornering", says=says))
    outer = to_document(float(found.limit.camber[1]), ANGLE)
    if outer > 0.5:
        says = f"at the limit the outer front wheel leans out by {outer:.1f} deg to the road: it runs on its shoulder"
        rows.append(Finding(level="note", place="front", about="camber", says=says, do="more negative camber"))
    return rows


def _of_travel(stops: dict[str, float], hangs: dict[str, float]) -> list[Finding]:
    rows = []
    for name, at in stops.items():
        says = f"roll reaches the bump stop from {at:.2f} g on: this end then stiffens and takes more of the load"
        rows.append(Finding(level="note", place=name, about="bump", says=says))
    for name, at in hangs.items():
        says = f"roll takes the inside wheel to full droop at {at:.2f} g"
        do = "more droop travel, or less roll: the damper must not hold the wheel up"
        rows.append(Finding(level="warning", place=name, about="droop", says=says, do=do))
    return rows


def _of_lock(limit: Turn, slides: tuple[Slide, ...], far: SteeringLock | None) -> list[Finding]:
    """What the steering must reach, against what there is."""
    if far is None:
        says = "how far the wheels steer is not in the file: whether the lock is enough is not known"
        do = "give the rack's travel (linkage of points) or lock under room (jack table)"
        return [Finding(level="note", place="front", about="lock", says=says, do=do)]
    rows = []
    left, right = far.free
    if limit.steer > left:
        says = f"the limit takes {to_document(limit.steer, ANGLE):.0f} deg of lock, there are {_deg(left)}"
        rows.append(
            Finding(level="warning", place="front", about="lock", says=says, do="a larger circle, or more lock")
        )
    for one, way in ((far.rubs_left, "the turn"), (far.rubs_right, "opposite lock")):
        if one is not None:
            says = f"a tyre touches from {_deg(one)} of lock into {way} on, at the lifts of the limit"
            do = "cornerwright fit shows where; spacer, camber, or a lock stop"
            rows.append(Finding(level="warning", place="front", about="lock", says=says, do=do))
    beyond = next((one for one in slides if one.within_lock is False), None)
    if beyond is not None:
        says = (
            f"a slide of {-beyond.slip_deg:.0f} deg takes {abs(beyond.steer_deg):.0f} deg of opposite lock, there are "
            f"{_deg(right)}: the car would spin"
        )
        rows.append(Finding(level="note", place="front", about="lock", says=says, do="slide less, or make more lock"))
    if not far.known:
        says = "no room was measured around a front wheel: whether a tyre touches on lock is not known"
        rows.append(Finding(level="note", place="front", about="lock", says=says, do="give room at the front corners"))
    return rows


def _deg(angle: float) -> str:
    return f"{to_document(angle, ANGLE):.0f} deg"
