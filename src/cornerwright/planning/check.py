"""What is wrong with a car as its file describes it, and what to change: springs held, strokes, bind, preload."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.joint_travel import joints_worked
from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.report import linkage_findings, standing
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.mechanics.stance import Stance
from cornerwright.model.adjuster import Adjuster
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results import CheckResult, Finding
from cornerwright.model.units import ANGLE, FORCE, LENGTH, SHARE, to_document
from cornerwright.planning.braking import brake_findings
from cornerwright.planning.findings import finding, verdict, worst_first
from cornerwright.planning.fitment import findings_for_check
from cornerwright.planning.joints import joint_findings
from cornerwright.planning.told_twice import told_twice
from cornerwright.planning.wants import JUST_HELD, THIRD

Array = NDArray[np.float64]

BUSH_TWIST = 0.005
"""Lift from where the bushes were clamped that is worth undoing them for [m] (common practice)."""

BAR_PRELOAD = 0.001
"""Lift difference by which a bar is preloaded that is worth resetting its link for [m]."""

HELD_ENOUGH = 0.01
"""A separate spring squeezed by more than this at full droop wastes the damper's stroke [m]."""


@dataclass(frozen=True)
class _Corner:
    """One corner of the standing car, with everything its rules look at."""

    name: CornerName
    index: int
    part: Corner
    variant: Variant
    stance: Stance
    at: Outputs

    def reading(self, name: str) -> float:
        return float(self.at.corner[name][0, self.index])

    def slope(self, name: str, kind: str) -> float:
        """Change of a reading per metre of this corner's adjuster of a kind; 0 without one."""
        for k, slot in enumerate(self.variant.rig.slots):
            if slot.corner == self.index and slot.adjuster.kind == kind:
                return float(self.at.corner_gradient[name][0, self.index, k])
        return 0.0

    def finding(self, level: str, about: str, says: str, do: str | None = None) -> Finding:
        return finding(level, self.name, about, says, do)


def check(car: Car) -> CheckResult:
    """Everything wrong or doubtful about the car at its present settings, worst first."""
    rig = Rig(car)
    variant = rig.vary()
    stance = variant.stand()
    found = list(linkage_findings(variant, CORNERS))
    if not stance.stands[0]:
        at = outputs(variant, stance, gradients=False)
        result = standing(variant, stance, at)
        found = [*result.findings, *found]
    else:
        at = outputs(variant, stance, gradients=True)
        result = standing(variant, stance, at)
        for i, name in enumerate(CORNERS):
            part = car.corners[name]
            corner = _Corner(name, i, part, variant, stance, at)
            for rule in CORNER_RULES:
                found.extend(rule(corner))
        found.extend(_bars(variant, stance))
        found.extend(findings_for_check(car, variant, stance, at))
        found.extend(brake_findings(car, rig))
    found.extend(told_twice(car))
    found.extend(joint_findings(car, variant))
    return CheckResult.model_validate(
        {"car": car.name, "verdict": verdict(found), "findings": worst_first(found), "stand": result}
    )


def _wheel_carries(corner: _Corner) -> Iterator[Finding]:
    if corner.stance.load[0, corner.index] <= 0:
        yield corner.finding(
            "limit",
            "stance",
            "the wheel hangs in the air",
            "check perch settings and spring lengths left against right",
        )


def _travel_ends(corner: _Corner) -> Iterator[Finding]:
    if not np.isfinite(corner.reading("droop_left")):
        yield corner.finding(
            "warning",
            "linkage",
            "no end of droop was found: the damper's length hardly changes with lift",
            "check the damper column of the jack table",
        )
        return
    for name, way in (("droop_left", "droop"), ("bump_left", "bump")):
        left = corner.reading(name)
        if left <= 0:
            yield corner.finding(
                "limit",
                "damper",
                f"no {way} travel is left at ride height",
                _damper_advice(corner, 0.5),
            )


def _spring_held(corner: _Corner) -> Iterator[Finding]:
    held = corner.reading("spring_held")
    if not np.isfinite(held):
        return
    if held < -1e-6:
        yield corner.finding(
            "limit",
            "spring",
            f"the spring is loose by {_mm(-held)} at full droop",
            _held_advice(corner, held),
        )
    elif not corner.part.spring.around_damper and held > HELD_ENOUGH:
        yield corner.finding(
            "note",
            "spring",
            f"the spring is still squeezed by {_mm(held)} at full droop",
            _held_advice(corner, held),
        )


def _held_advice(corner: _Corner, held: float) -> str:
    """The damper length at which a separate spring is just held; else what part would hold it."""
    aim = JUST_HELD / 2
    body = corner.part.adjuster_of("body")
    slope = corner.slope("spring_held", "body")
    if not corner.part.spring.around_damper and abs(slope) > 1e-3:
        change = (aim - held) / slope
        if body is not None and _within(body, change):
            return f"{_turned(body, change)}: the spring is then just held at full droop"
        way = "shorter" if change < 0 else "longer"
        damper = f"a damper about {_mm(abs(change))} {way} when open"
        return damper if held > aim else f"{damper}, or a helper spring with {_mm(aim - held)} more travel"
    if held < 0:
        return f"a helper spring with at least {_mm(-held)} of travel, or a droop limit to the same end"
    return "a shorter damper would end the droop where the spring is just held"


def _no_bind(corner: _Corner) -> Iterator[Finding]:
    margin = corner.reading("bind_margin")
    if np.isfinite(margin) and margin < -1e-6:
        yield corner.finding(
            "limit",
            "spring",
            f"the spring binds {_mm(-margin)} of wheel travel before the bump stop ends it",
            "a spring with a shorter block length, a longer bump stop or packers under it",
        )


def _middle_third(corner: _Corner) -> Iterator[Finding]:
    share = corner.reading("stroke_share")
    if not np.isfinite(share) or THIRD <= share <= 1 - THIRD:
        return
    side = "bump" if share < THIRD else "droop"
    left = share if share < THIRD else 1 - share
    yield corner.finding(
        "warning",
        "damper",
        f"less than a third of the stroke is left towards {side} ({to_document(left, SHARE):.0f} %) at ride height",
        _damper_advice(corner, THIRD if share < THIRD else 1 - THIRD),
    )


def _damper_advice(corner: _Corner, aim: float) -> str:
    """How much longer or shorter the damper must be to stand at this share of its stroke, height kept."""
    stroke = corner.part.damper.open - corner.part.damper.closed
    change = (corner.reading("stroke_share") - aim) * stroke
    part = f"a damper about {_mm(abs(change))} {'longer' if change > 0 else 'shorter'} between its eyes"
    body, perch = corner.part.adjuster_of("body"), corner.part.adjuster_of("perch")
    if body is None:
        return part
    # Whole steps, the last one taken in full: one fewer would leave the rod short of the mark.
    change = float(np.copysign(np.ceil(abs(change) / body.step_travel - 1e-6) * body.step_travel, change))
    if not _within(body, change):
        return part
    if corner.part.spring.around_damper:
        if perch is None or not _within(perch, -change):
            return part
        return f"{_turned(body, change)}, and {_turned(perch, -change)} to keep the height"
    held = corner.reading("spring_held") + corner.slope("spring_held", "body") * change
    if held < -1e-6:
        return f"{_turned(body, change)}, with a helper spring: without it the spring is loose by {_mm(-held)} in droop"
    return _turned(body, change)


def _within(adjuster: Adjuster, change: float) -> bool:
    """Whether the adjuster's range leaves room for this change [m]."""
    low, high = adjuster.range
    return low - 1e-9 <= adjuster.setting + change <= high + 1e-9


def _joints_within(corner: _Corner) -> Iterator[Finding]:
    """Angles of ball joints and rod ends, and the plunge of a drive shaft, from full droop to full bump and lock."""
    limits, shaft = corner.part.joint_limits, corner.part.drive_shaft
    if not limits and (shaft is None or shaft.plunge is None):
        return
    worked = joints_worked(corner.variant, corner.name)
    for name, limit in limits.items():
        if name not in worked.angles:
            yield corner.finding(
                "warning",
                "joints",
                f"joint_limits names '{name}', which is no joint here",
                f"one of {', '.join(sorted(worked.angles))}",
            )
            continue
        most = worked.greatest(name)
        if most.value > limit:
            yield corner.finding(
                "limit",
                "joints",
                f"{name.replace('_', ' ')} turns {to_document(most.value, ANGLE):.1f} deg at "
                f"{to_document(most.lift, LENGTH):.0f} mm of lift; "
                f"its maker allows {to_document(limit, ANGLE):.1f} deg",
                "set its housing for the middle of the travel, shorten the travel, or fit a joint that turns further",
            )
    plunge = worked.greatest_plunge()
    room = None if shaft is None else shaft.plunge
    if plunge is not None and room is not None and abs(plunge.value) > room:
        yield corner.finding(
            "limit",
            "drive shaft",
            f"the drive shaft moves {to_document(plunge.value, LENGTH):+.1f} mm in its joints at "
            f"{to_document(plunge.lift, LENGTH):.0f} mm of lift; there is room for "
            f"{to_document(room, LENGTH):.1f} mm",
            "another shaft length, or less travel",
        )


def _inside_the_rows(corner: _Corner) -> Iterator[Finding]:
    if corner.part.table is None:
        return  # a linkage of points is known as far as it goes
    own = slice(corner.index // 2 * 2, corner.index // 2 * 2 + 2)
    motion = corner.variant.motions[corner.index // 2]
    side = corner.index % 2
    lift = corner.stance.q[:, 3:][:, own]
    if not motion.inside(lift)[0, side]:
        yield corner.finding(
            "warning",
            "linkage",
            "the car stands outside the lifts that were measured",
            "add rows to the jack table that reach this lift",
        )
        return
    ends = corner.at.window
    for end, way in ((ends.droop, "droop"), (ends.bump, "bump")):
        lifts = end.lift[:, own]
        if np.isfinite(lifts[0, side]) and not motion.inside(np.nan_to_num(lifts))[0, side]:
            yield corner.finding(
                "note",
                "linkage",
                f"full {way} lies outside the lifts that were measured: its end is a guess",
                f"add rows to the jack table towards {way}",
            )


def _bushes_at_height(corner: _Corner) -> Iterator[Finding]:
    bushes = corner.part.bushes
    if bushes is None:
        return
    twist = float(corner.stance.q[0, 3 + corner.index]) - bushes.clamped_at
    if abs(twist) > BUSH_TWIST:
        yield corner.finding(
            "warning",
            "bushes",
            f"the rubber bushes were clamped {_mm(abs(twist))} from this height and push the wheel "
            f"with {to_document(abs(twist) * bushes.rate, FORCE):.0f} N",
            "slacken and tighten them with the car on its wheels at ride height",
        )


def _bars(variant: Variant, stance: Stance) -> Iterator[Finding]:
    for axle, place in enumerate(("front", "rear")):
        rate = float(variant.inputs.bar_rate[0, axle])
        if rate == 0:
            continue
        left, right = stance.q[0, 3 + 2 * axle], stance.q[0, 4 + 2 * axle]
        preload = float(left - right - variant.inputs.bar_offset[0, axle])
        if abs(preload) > BAR_PRELOAD:
            yield Finding(
                level="note",
                place=place,
                about="bar",
                says=f"the anti-roll bar is preloaded with {to_document(abs(preload) * rate, FORCE):.0f} N "
                "at the wheels on level ground",
                do="set its link so that the bolt slides in by hand, driver aboard",
            )


CORNER_RULES: tuple[Callable[[_Corner], Iterator[Finding]], ...] = (
    _wheel_carries,
    _travel_ends,
    _spring_held,
    _no_bind,
    _middle_third,
    _joints_within,
    _inside_the_rows,
    _bushes_at_height,
)


def _mm(length: float) -> str:
    return f"{to_document(length, LENGTH):.1f} mm"


def _turned(adjuster: Adjuster, change: float) -> str:
    """A change [m] of an adjuster as the hand feels it, to the nearest step."""
    steps = round(change / adjuster.step_travel)
    amount = Fraction(abs(steps) * adjuster.step).limit_denominator(16)
    many = "" if amount == 1 else "s"
    unit = adjuster.unit if adjuster.unit == "mm" else f"{adjuster.unit}{many}"
    return f"turn the {adjuster.kind} {float(amount):g} {unit}: {adjuster.words(change)}"
