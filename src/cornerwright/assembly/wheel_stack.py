"""A wheel on its hub: where nut, stud, spacer and spigot come to lie, and the fastening as a joint."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cornerwright.assembly.joints import Frame, nut_tensile
from cornerwright.assembly.rig import usual_load
from cornerwright.mechanics import bolting
from cornerwright.mechanics.strength import BODIES
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.fastening import Seat, WheelFastening
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.results_joint import WheelStack
from cornerwright.model.units import ANGLE, LENGTH, TORQUE, to_document

SEAT_OVER_THREAD = 1.45
"""Mean diameter of a seat over the thread's, where it was not given (common practice, no source)."""

SEAT_WIDTH = 0.35
"""Width of the bearing ring of a seat over the thread's diameter, for pressure and stiffness (ours)."""

ANGLE_SLACK = math.radians(1.0)
RADIUS_SLACK = 0.0005

EPSILON = 1e-7
"""Lengths nearer than this are equal [m]."""


@dataclass(frozen=True)
class Stack:
    """Places along the stud from the hub's face, outwards positive [m]."""

    part: WheelFastening
    spacer: float
    tip: float
    engagement: float
    nut_from: float
    nut_to: float
    end: float | None
    least: float
    """Engagement that the trade asks for."""
    needed: float
    """Length of stud or bolt that gives it."""
    seat_diameter: float
    spigot_left: float | None
    centred_by: str
    runs_out: bool
    """Nut or bolt meets the plain part before it clamps."""
    bottoms: float | None
    """How far the tip would go beyond where it meets something; None: not known."""

    @property
    def seat(self) -> float:
        """Middle of the seat from the hub's face."""
        return self.spacer + self.part.pad


def spacer_of(corner: Corner) -> float:
    """Thickness of the spacer that is fitted [m]: an adjuster's setting, else the wheel's, else the fastening's."""
    adjuster = corner.adjuster_of("spacer")
    if adjuster is not None:
        return adjuster.setting
    if corner.wheel.spacer is not None:
        return corner.wheel.spacer.thickness
    return 0.0 if corner.fastening is None else corner.fastening.spacer or 0.0


def stack_of(part: WheelFastening, spacer: float) -> Stack:
    """Where everything lies with a spacer of this thickness [m]."""
    seat = spacer + part.pad
    diameter = part.thread.diameter
    end = bottoms = None
    if part.held_by == "stud":
        assert part.nut_thread is not None  # the document asks for it
        tip, begin = part.length, part.plain
        nut_from, nut_to = seat - part.nut_behind, seat + part.nut_thread
        least = BODIES["steel"].diameters * diameter
        needed = nut_from + least
        runs_out = begin > nut_from + EPSILON
        engagement = min(tip, nut_to) - max(begin, nut_from)
        if part.nut_room is not None:
            end = seat + part.nut_room
            bottoms = tip - end
    else:
        tip = seat - part.length
        nut_from, nut_to = 0.0, -part.flange
        least = BODIES[part.hub].diameters * diameter
        needed = seat + least
        runs_out = part.plain > seat + EPSILON
        engagement = min(-tip, part.flange) - max(0.0, part.plain - seat)
        if part.hub_room is not None:
            end = -part.hub_room
            bottoms = end - tip
    left, centred = _spigot(part, spacer)
    return Stack(
        part=part,
        spacer=spacer,
        tip=tip,
        engagement=max(0.0, engagement),
        nut_from=nut_from,
        nut_to=nut_to,
        end=end,
        least=least,
        needed=needed,
        seat_diameter=_seat_diameter(part),
        spigot_left=left,
        centred_by=centred,
        runs_out=runs_out,
        bottoms=bottoms,
    )


def _spigot(part: WheelFastening, spacer: float) -> tuple[float | None, str]:
    """How far the wheel sits on a spigot [m], and what centres it."""
    if spacer > EPSILON and part.spacer_spigot is not None:
        left = part.spacer_spigot - part.bore_chamfer
        return max(0.0, left), "spacer" if left > EPSILON else "seats"
    if part.spigot is None:
        return None, "not known"
    left = part.spigot - spacer - part.bore_chamfer
    return max(0.0, left), "hub" if left > EPSILON else "seats"


def _seat_diameter(part: WheelFastening) -> float:
    return part.nut_seat.diameter or part.wheel_seat.diameter or SEAT_OVER_THREAD * part.thread.diameter


def seats_match(wheel: Seat, nut: Seat) -> bool:
    """Whether a nut's seat is the wheel's: form, angle within 1 deg, radius within 0.5 mm."""
    if wheel.form != nut.form:
        return False
    if wheel.angle is not None and nut.angle is not None:
        return abs(wheel.angle - nut.angle) <= ANGLE_SLACK
    if wheel.radius is not None and nut.radius is not None:
        return abs(wheel.radius - nut.radius) <= RADIUS_SLACK
    return True


def seat_words(seat: Seat) -> str:
    """A seat as the trade calls it."""
    if seat.angle is not None:
        return f"cone {to_document(seat.angle, ANGLE):.3g}°"
    if seat.radius is not None:
        return f"ball R {to_document(seat.radius, LENGTH):.3g} mm"
    return "flat"


def frame_of_wheel(stack: Stack) -> Frame:
    """The fastening as a joint; one stud or bolt of several."""
    part = stack.part
    diameter = part.thread.diameter
    assumed = []
    if part.nut_seat.diameter is None and part.wheel_seat.diameter is None:
        assumed.append(f"a seat that bears at {to_document(stack.seat_diameter, LENGTH):.1f} mm in the middle")
    body = BODIES["steel"] if part.held_by == "stud" else BODIES[part.hub]
    inner = body.tensile
    if part.held_by == "stud":
        inner = part.nut_strength or nut_tensile(part.property_class)
        if part.nut_strength is None:
            assumed.append("a nut of the class that suits the stud")
    seat = part.nut_seat
    if seat.angle is not None:
        ring = bolting.cone_seat(stack.seat_diameter, seat.angle)
    elif seat.radius is not None:
        ring = bolting.ball_seat(stack.seat_diameter, seat.radius)
    else:
        ring = bolting.Seat(stack.seat_diameter)
    half = SEAT_WIDTH * diameter / 2.0
    return Frame(
        thread=part.thread,
        property_class=part.property_class,
        tightening=part.tightening,
        tolerance=None,
        engagement=stack.engagement,
        body=body,
        inner_strength=inner,
        least_engagement=stack.least,
        arm=ring.arm,
        bearing=stack.seat_diameter + 2.0 * half,
        hole=max(stack.seat_diameter - 2.0 * half, 1.02 * diameter),
        grip=stack.seat,
        plain=min(part.plain, stack.seat),
        clamped=BODIES[part.wheel],
        nut=part.held_by == "stud",
        faces=2 if stack.spacer > EPSILON else 1,
        face_friction=part.face_friction,
        shear=0.0,
        axial=0.0,
        assumed=tuple(assumed),
    )


def moments(car: Car, corner: CornerName, stack: Stack, clamp: float) -> tuple[float, float]:
    """What friction holds about the axle at this clamp a stud, and what the tyre can ask for at grip 1 [N m].

    The nuts' seats, which also carry, are left out: they are not there to be leant on.
    """
    part = stack.part
    holds = bolting.ring_moment(clamp, part.count, part.face_friction, part.pitch_circle / 2.0)
    return holds, float(usual_load(car)[CORNERS.index(corner)]) * car.corners[corner].tyre.free_radius


def stack_answer(stack: Stack, holds: tuple[float, float] | None) -> WheelStack:
    """The stack in trade units."""
    part = stack.part

    def mm(length: float) -> float:
        return float(f"{to_document(length, LENGTH):.10g}")

    def maybe(length: float | None) -> float | None:
        return None if length is None else mm(length)

    return WheelStack.model_validate(
        {
            "held_by": part.held_by,
            "count": part.count,
            "pitch_circle_mm": mm(part.pitch_circle),
            "flange_mm": mm(part.flange),
            "spacer_mm": mm(stack.spacer),
            "pad_mm": mm(part.pad),
            "plain_mm": mm(part.plain),
            "tip_mm": mm(stack.tip),
            "nut_from_mm": mm(stack.nut_from),
            "nut_to_mm": mm(stack.nut_to),
            "nut_end_mm": maybe(stack.end),
            "seat_diameter_mm": mm(stack.seat_diameter),
            "wheel_seat": seat_words(part.wheel_seat),
            "nut_seat": seat_words(part.nut_seat),
            "seats_match": seats_match(part.wheel_seat, part.nut_seat),
            "spigot_mm": maybe(part.spigot),
            "spigot_diameter_mm": maybe(part.spigot_diameter),
            "spacer_spigot_mm": maybe(part.spacer_spigot) if stack.spacer > EPSILON else None,
            "bore_chamfer_mm": mm(part.bore_chamfer),
            "spigot_left_mm": maybe(stack.spigot_left),
            "centred_by": stack.centred_by,
            "length_needed_mm": mm(stack.needed),
            "holds_moment_nm": None if holds is None else to_document(holds[0], TORQUE),
            "asked_moment_nm": None if holds is None else to_document(holds[1], TORQUE),
        }
    )
