"""Joints and wheel fastenings from documents to numbers: what each is screwed into, its clamp, what is left of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from cornerwright.mechanics import bolting, stripping, threads
from cornerwright.mechanics.strength import BODIES, NUT_STRENGTH, Body, Strength, bolt_strength
from cornerwright.model.adjuster import Adjuster
from cornerwright.model.fastening import Tightening
from cornerwright.model.joint import Joint
from cornerwright.model.thread import Thread
from cornerwright.model.units import STRESS, to_document

USUAL_NUT = 0.8
"""Height of a usual nut's thread, over the diameter (about ISO 4032, from memory)."""


@dataclass(frozen=True)
class Frame:
    """One joint as numbers, before anything is computed. Lengths [m], stresses [Pa], forces [N]."""

    thread: Thread
    property_class: str | None
    tightening: Tightening
    tolerance: tuple[str, str] | None
    engagement: float | None
    body: Body
    inner_strength: float
    least_engagement: float
    """That the trade or the maker asks for."""
    arm: float
    """Of the friction under head or nut."""
    bearing: float
    hole: float
    grip: float | None
    plain: float
    clamped: Body
    nut: bool
    """A nut on the other end; false: a threaded part."""
    faces: int
    face_friction: float
    shear: float
    axial: float
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Facts:
    """What follows from a frame. Lengths [m], stresses [Pa], forces [N], torques [N m]."""

    frame: Frame
    area: float
    strength: Strength | None
    limits: threads.Limits | None
    equal: float | None
    full: float | None
    strip: stripping.Stripping | None
    alpha: float
    torques: tuple[float, float, float] | None
    """Using 90 % of the yield stress at the least, mean and greatest friction."""
    clamp_90: float | None
    torque: float | None
    torque_from: str | None
    band: bolting.Band | None
    share: float | None
    """Of the yield stress, at the middle clamp and friction."""
    share_high: float | None
    settles: float | None
    loss: float | None
    left: float | None
    slip: float | None
    pressure: float | None
    assumed: tuple[str, ...] = field(default=())

    @property
    def proof(self) -> float | None:
        """Proof load [N]."""
        return None if self.strength is None else self.strength.proof * self.area

    @property
    def breaking(self) -> float | None:
        """Least breaking load [N]."""
        return None if self.strength is None else self.strength.tensile * self.area


def frame_of(joint: Joint) -> Frame:
    """A joint's document as numbers, the usual filled in where nothing was given."""
    assumed: list[str] = []
    diameter = joint.thread.diameter
    usual_bearing, usual_hole = bolting.usual_head(diameter)
    bearing, hole = joint.bearing or usual_bearing, joint.hole or usual_hole
    hole = min(hole, 0.98 * bearing)
    if joint.bearing is None and joint.kind != "rod_end":
        assumed.append("a hexagon head or nut of the usual size")
    with_nut = joint.kind in ("bolt", "stud")
    body, inner = _thread_body(joint, with_nut, assumed)
    least = joint.rod_end.least_in if joint.rod_end is not None else None
    if least is None:
        least = diameter * (max(1.5, body.diameters) if joint.rod_end is not None else body.diameters)
        if with_nut:
            # A nut is as high as its standard makes it: 0.8 d holds the bolt that its class is meant for.
            least = USUAL_NUT * diameter
    load = joint.load
    return Frame(
        thread=joint.thread,
        property_class=joint.property_class,
        tightening=joint.tightening,
        tolerance=joint.tolerance,
        engagement=_engagement(joint, with_nut, assumed),
        body=body,
        inner_strength=inner,
        least_engagement=least,
        arm=bolting.flat_seat(bearing, hole).arm,
        bearing=bearing,
        hole=hole,
        grip=joint.grip,
        plain=joint.plain,
        clamped=BODIES[joint.clamped],
        nut=with_nut,
        faces=joint.faces,
        face_friction=joint.face_friction,
        shear=0.0 if load is None else load.shear,
        axial=0.0 if load is None else load.axial,
        assumed=tuple(assumed),
    )


def nut_tensile(property_class: str | None) -> float:
    """Strength of the thread of a nut that suits a bolt of this class [Pa]; 800 MPa where nothing is known."""
    for bolt, strength in NUT_STRENGTH.values():
        if bolt == property_class:
            return strength
    if property_class in ("grade 8",):
        return NUT_STRENGTH[10][1]
    return NUT_STRENGTH[8][1]


def _thread_body(joint: Joint, with_nut: bool, assumed: list[str]) -> tuple[Body, float]:
    body = BODIES["steel"] if with_nut else BODIES[joint.into]
    if joint.strength is not None:
        return body, joint.strength
    if with_nut:
        if joint.nut_class is not None:
            return body, NUT_STRENGTH[joint.nut_class][1]
        assumed.append("a nut of the class that suits the bolt")
        return body, nut_tensile(joint.property_class)
    assumed.append(f"a common strength of {body.words}")
    return body, body.tensile


def _engagement(joint: Joint, with_nut: bool, assumed: list[str]) -> float | None:
    if joint.rod_end is not None:
        return joint.rod_end.thread_in
    if joint.engagement is not None:
        return joint.engagement
    nut = joint.nut
    if with_nut and nut is None:
        nut = USUAL_NUT * joint.thread.diameter
        assumed.append("a nut with 0.8 d of thread")
    room = nut if with_nut else joint.depth
    if joint.length is None or joint.grip is None:
        return nut if with_nut and joint.length is None else None
    # Thread begins where the plain part ends, or at the face of nut or hole.
    reach = joint.length - max(joint.grip, joint.plain)
    return max(0.0, reach if room is None else min(reach, joint.grip + room - max(joint.grip, joint.plain)))


def rod_end_left(joint: Joint, adjuster: Adjuster | None) -> tuple[float, float]:
    """Thread in the rod [m] at the adjuster's present setting, and where its range leaves the least.

    A rod that is longer by a travel has that much less thread in; with a thread at both ends, half of it each.
    """
    end = joint.rod_end
    assert end is not None  # a rod_end has its group, the document holds it to that
    if adjuster is None:
        return end.thread_in, end.thread_in
    share = 0.5 if end.both_ends else 1.0
    left = end.thread_in - share * (adjuster.setting - adjuster.measured_at)
    return left, end.thread_in - share * (adjuster.range[1] - adjuster.measured_at)


def facts_of(frame: Frame) -> Facts:
    """Everything that follows from a frame; None where the class, the engagement or the grip is not known."""
    thread, tight = frame.thread, frame.tightening
    assumed = list(frame.assumed)
    area = float(threads.stress_area(thread.diameter, thread.pitch, thread.form))
    strength = None
    if frame.property_class is not None:
        strength = bolt_strength(frame.property_class, thread.diameter)
    try:
        limits = threads.limits(thread.diameter, thread.pitch, thread.form, frame.tolerance)
    except (ValueError, IndexError):
        limits = None
        assumed.append("no tolerances are known for this thread: stripping was not computed")
    equal = full = strip = None
    if limits is not None:
        outer = BODIES["steel"].tensile if strength is None else strength.tensile
        inner = frame.inner_strength
        if strength is None:
            assumed.append(f"a bolt that breaks at {to_document(outer, STRESS):.0f} MPa, its class not being known")
        equal = stripping.equal_engagement(area, limits, thread.pitch, outer, inner)
        wall = 1.6 * thread.diameter if frame.nut else None
        full = stripping.needed_engagement(area, limits, thread.pitch, outer, inner, wall)
        if frame.engagement is not None:
            strip = stripping.stripping(limits, thread.pitch, frame.engagement, outer, inner)
    facts = Facts(
        frame=frame,
        area=area,
        strength=strength,
        limits=limits,
        equal=None if strength is None else equal,
        full=None if strength is None else full,
        strip=strip,
        alpha=max(bolting.ALPHA[tight.method]),
        torques=None,
        clamp_90=None,
        torque=tight.torque,
        torque_from=None if tight.torque is None else "maker",
        band=None,
        share=None,
        share_high=None,
        settles=None,
        loss=None,
        left=None,
        slip=None,
        pressure=None,
        assumed=tuple(assumed),
    )
    return _settled(_tightened(facts))


def frictions(tightening: Tightening) -> tuple[tuple[float, float], tuple[float, float]]:
    """Friction in the thread and under the head, least and greatest."""
    return tightening.friction, tightening.head_friction or tightening.friction


def _tightened(facts: Facts) -> Facts:
    """Torques and clamp."""
    frame, strength = facts.frame, facts.strength
    thread, tight = frame.thread, frame.tightening
    in_thread, at_head = frictions(tight)
    places = (thread.diameter, thread.pitch)
    mean = sum(in_thread) / 2.0
    torques = clamp_90 = None
    torque, source = facts.torque, facts.torque_from
    if strength is not None:
        pairs = ((in_thread[0], at_head[0]), (mean, sum(at_head) / 2.0), (in_thread[1], at_head[1]))
        clamps = [float(bolting.permitted_clamp(*places, strength.yields, mu, thread.form)) for mu, _ in pairs]
        arms = [float(bolting.torque_per_clamp(*places, mu, head, frame.arm)) for mu, head in pairs]
        torques = (clamps[0] * arms[0], clamps[1] * arms[1], clamps[2] * arms[2])
        clamp_90 = clamps[1]
        if torque is None:
            # The torque that no friction of the range turns into more than 90 % of yield.
            torque, source = min(torques), "ours"
    if torque is None:
        return facts
    if tight.method in ("yield", "angle") and strength is not None and (tight.method == "yield" or tight.angle):
        band = bolting.clamp_at_yield(*places, strength.yields, in_thread, facts.alpha, thread.form)
    else:
        band = bolting.clamp_from_torque(torque, *places, in_thread, at_head, frame.arm, facts.alpha)
    share = share_high = None
    if strength is not None:
        share, share_high = (
            float(bolting.yield_share(clamp, *places, strength.yields, mu, thread.form))
            for clamp, mu in ((band.middle, mean), (band.high, in_thread[0]))
        )
    ring = 0.25 * math.pi * (frame.bearing**2 - frame.hole**2)
    return replace(
        facts,
        torques=torques,
        clamp_90=clamp_90,
        torque=torque,
        torque_from=source,
        band=band,
        share=share,
        share_high=share_high,
        pressure=band.middle / ring if ring > 0 else None,
    )


def _settled(facts: Facts) -> Facts:
    """What settling and load leave of the clamp."""
    frame, band = facts.frame, facts.band
    if band is None:
        return facts
    thread = frame.thread
    settles = bolting.embedding(frame.faces, nut=frame.nut)
    loss, carried = 0.0, frame.axial
    known = None
    if frame.grip is not None and frame.grip > 0:
        of_bolt = bolting.bolt_resilience(
            thread.diameter, thread.pitch, frame.grip, frame.plain, tapped=not frame.nut, form=thread.form
        )
        of_parts = bolting.part_resilience(
            frame.bearing, frame.hole, frame.grip, frame.clamped.modulus, tapped=not frame.nut
        )
        known = bolting.embedding_loss(settles, of_bolt, of_parts)
        loss = known
        # What the bolt does not carry of a pull is taken from the clamp.
        carried = frame.axial * (1.0 - bolting.load_factor(of_bolt, of_parts))
    left = max(0.0, band.low - loss - carried)
    slip = None
    if frame.shear > 0:
        slip = bolting.slip_safety(left, frame.face_friction, frame.faces, frame.shear)
    assumed = facts.assumed if known is not None else (*facts.assumed, "no settling: grip is not given")
    return replace(
        facts, assumed=assumed, settles=settles if known is not None else None, loss=known, left=left, slip=slip
    )
