"""The trade's rules for a joint: enough thread, the right clamp, nothing that bottoms, slips or strips."""

from __future__ import annotations

from collections.abc import Iterator

from cornerwright.assembly.joints import USUAL_NUT, Facts
from cornerwright.assembly.wheel_stack import EPSILON, Stack, seat_words, seats_match
from cornerwright.model.fastening import Tightening
from cornerwright.model.joint import Joint, RodEnd
from cornerwright.model.results import Finding
from cornerwright.model.thread import Thread
from cornerwright.model.units import ANGLE, FORCE, LENGTH, SHARE, STRESS, TORQUE, to_document
from cornerwright.planning.findings import finding

UNDER_CLAMPED = 0.3
"""Share of the yield stress at the middle clamp below which a torque is doubted (ours)."""

SAFE_SLIP = 1.2
"""Friction over load that is asked for at the least clamp (common practice)."""

LITTLE_SPIGOT = 0.003
"""A wheel that sits less than this on its spigot is told [m] (common practice, no source)."""

LEAST_FRICTION = 0.08
"""Friction below which there must be a lubricant."""


class About:
    """One joint that findings are made of."""

    def __init__(self, place: str, words: str) -> None:
        self.place = place
        self.words = words

    def __call__(self, level: str, about: str, says: str, do: str | None = None) -> Finding:
        """Return a finding about this joint."""
        return finding(level, self.place, about, f"{self.words}: {says}" if self.words else says, do)


def mm(length: float) -> str:
    """A length as the hand reads it."""
    return f"{to_document(length, LENGTH):.1f} mm"


def turns(length: float, thread: Thread) -> str:
    """A length of thread, in mm and in turns."""
    return f"{mm(length)} ({length / thread.pitch:.1f} turns)"


def kilo(force: float) -> str:
    """A force in kN."""
    return f"{to_document(force, FORCE) / 1000.0:.1f} kN"


def newton_metres(torque: float) -> str:
    """A torque."""
    return f"{to_document(torque, TORQUE):.0f} N·m"


def degrees(angle: float) -> str:
    """An angle."""
    return f"{to_document(angle, ANGLE):.1f} deg"


def percent(share: float) -> str:
    """A share."""
    return f"{to_document(share, SHARE):.0f} %"


# ------------------------------------------------------------------- thread


def enough_thread(tell: About, facts: Facts) -> Iterator[Finding]:
    """Engagement against what the trade and the strength ask for."""
    frame = facts.frame
    engagement, least = frame.engagement, frame.least_engagement
    if engagement is None:
        yield tell(
            "note",
            "thread",
            "how far the thread is in is not known",
            "count the turns from where it bites until it is down, and give engagement: turns times pitch",
        )
        return
    thread = frame.thread
    if engagement < least - EPSILON:
        hard = facts.equal is None or engagement < facts.equal - EPSILON
        asks = (
            f"{turns(least, thread)} are asked for"
            if frame.nut
            else (f"{turns(least, thread)} are asked for in {frame.body.words}")
        )
        yield tell(
            "limit" if hard else "warning",
            "thread",
            f"only {turns(engagement, thread)} of {thread.text} are in; {asks}",
            f"a longer bolt or stud, by at least {mm(least - engagement)}, or an insert as strong as the bolt",
        )
    elif facts.equal is not None and engagement < facts.equal - EPSILON and facts.strip is not None:
        part = "the nut's or hole's thread" if facts.strip.inner_first else "the bolt's own thread"
        yield tell(
            "note",
            "thread",
            f"when overloaded {part} tears out before the bolt breaks; {mm(facts.equal)} of thread would hold it",
            "no need where the maker's torque is kept; else more thread, or a thread insert",
        )


def stripping_holds(tell: About, facts: Facts) -> Iterator[Finding]:
    """The clamp, as high as it may turn out, against what tears the threads out."""
    strip, band = facts.strip, facts.band
    if strip is None or band is None:
        return
    load = band.high + facts.frame.axial
    if strip.load < load:
        weak = f"the thread in {facts.frame.body.words}" if strip.inner_first else "the bolt's thread"
        if strip.inner_first and facts.frame.nut:
            weak = "the nut's thread"
        yield tell(
            "limit" if strip.load < band.middle + facts.frame.axial else "warning",
            "thread",
            f"{weak} tears out at {kilo(strip.load)}; {newton_metres(facts.torque or 0.0)} may pull up to {kilo(load)}",
            "more thread, a thread insert, or ask the maker again for this torque",
        )


# ------------------------------------------------------------------- clamp


def clamp_is_right(tell: About, facts: Facts) -> Iterator[Finding]:
    """The maker's torque against our check, and what too little friction would do."""
    frame, share, share_high = facts.frame, facts.share, facts.share_high
    if facts.torque_from != "maker":
        ours = (
            ""
            if facts.torque is None
            else (
                f"; by our check {newton_metres(facts.torque)} is safe for the bolt at this friction, no value to use"
            )
        )
        yield tell("note", "torque", f"no maker's torque is given{ours}", "look it up and write it in the file")
        return
    if facts.strength is None or share is None or share_high is None or facts.torques is None or facts.torque is None:
        yield tell(
            "note",
            "torque",
            "without the bolt's class its clamp cannot be held against its strength",
            "read the class on its head and write it in the file",
        )
        return
    ours = f"{newton_metres(min(facts.torques))} to {newton_metres(max(facts.torques))}"
    given = newton_metres(facts.torque)
    friction = frame.tightening.friction
    assumed = f"friction {friction[0]:.2f} to {friction[1]:.2f}"
    doubt = "the maker's torque goes before; look it up again, and the thread and the class on the bolt's head"
    stretched = frame.tightening.method in ("angle", "yield")
    if stretched:
        return
    if share > 1.0:
        yield tell(
            "warning",
            "torque",
            f"{given} disagrees with our check: {frame.thread.text} of class {frame.property_class} would yield "
            f"({percent(share)} of its yield stress at mean friction; 90 % are used at {ours}, {assumed})",
            doubt,
        )
    elif share < UNDER_CLAMPED:
        yield tell(
            "warning",
            "torque",
            f"{given} disagrees with our check: it uses {percent(share)} of the yield stress of {frame.thread.text} of "
            f"class {frame.property_class}, so the clamp is low (90 % are used at {ours}, {assumed})",
            doubt,
        )
    elif share_high > 1.0:
        yield tell(
            "note",
            "torque",
            f"with {given} the bolt would yield if its thread were as slippery as {friction[0]:.2f}",
            "no oil or grease on thread or seat unless the maker asks for it",
        )


def pressure_holds(tell: About, facts: Facts) -> Iterator[Finding]:
    """Pressure under head or nut."""
    pressure, body = facts.pressure, facts.frame.clamped
    if pressure is not None and pressure > body.bearing:
        yield tell(
            "note",
            "clamp",
            f"the head or nut presses with {to_document(pressure, STRESS):.0f} MPa on {body.words}, which gives way at "
            f"about {to_document(body.bearing, STRESS):.0f} MPa",
            "a hard washer or a flanged head, as the maker has it",
        )


def nothing_slips(tell: About, facts: Facts, joint: Joint) -> Iterator[Finding]:
    """What friction holds against what pulls across the bolt."""
    slides = joint.slot != "round"
    hole = {"round": "", "slotted": "in its slot ", "eccentric": "on its eccentric "}[joint.slot]
    if facts.frame.shear <= 0:
        if slides:
            yield tell(
                "note",
                "slip",
                f"only the clamp holds it {hole}against sliding; the load across it is not given",
                "give load.shear to have it checked; mark the setting with paint and look again after the first drive",
            )
        return
    if facts.slip is None or facts.left is None:
        return
    told = (
        f"friction may hold no more than {kilo(facts.left * facts.frame.face_friction * facts.frame.faces)} against "
        f"{kilo(facts.frame.shear)} across the bolt"
    )
    if facts.slip < 1.0:
        level = "limit" if slides else "warning"
        after = f"it can slide {hole}and the setting is lost" if slides else "it works in its hole"
        yield tell(level, "slip", f"{told}: {after}", "clean, dry, unpainted faces; more faces, or a stronger bolt")
    elif facts.slip < SAFE_SLIP and slides:
        yield tell("warning", "slip", f"{told}: little is left", "clean, dry, unpainted faces")


# ------------------------------------------------------------------- state


def state_is_right(tell: About, tight: Tightening, torque: float | None) -> Iterator[Finding]:
    """Loose joints, bolts that may not be used again, lubricants, the way of tightening, retorque."""
    if tight.stands == "loose":
        value = "" if torque is None or tight.torque is None else f" to {newton_metres(torque)}"
        yield tell("limit", "joint", "it stands loose", f"tighten it{value} before the car moves")
    if tight.renew and tight.fitted == "reused":
        mark = f"; a new one is told by: {tight.mark}" if tight.mark else ""
        yield tell(
            "limit",
            "joint",
            "the maker asks for a new bolt or nut at every fitting; this one has been used before",
            f"fit a new one{mark}",
        )
    elif tight.renew and tight.fitted == "not_known":
        mark = f" ({tight.mark})" if tight.mark else ""
        yield tell(
            "warning",
            "joint",
            "the maker asks for a new bolt or nut at every fitting; whether this one is new is not known",
            f"look for the mark of a new one{mark}; if in doubt, renew it",
        )
    elif tight.method in ("angle", "yield") and tight.fitted != "new":
        yield tell(
            "warning",
            "joint",
            "a bolt tightened by angle or to its yield has stretched: no second use unless its maker allows it",
            "ask the maker; if in doubt, renew it",
        )
    if tight.method == "impact":
        yield tell(
            "warning",
            "torque",
            "an impact wrench leaves the clamp between a least and four times as much",
            "final tightening with a torque wrench",
        )
    least = min(tight.friction[0], (tight.head_friction or tight.friction)[0])
    if least < LEAST_FRICTION and not tight.lubricated:
        yield tell(
            "warning",
            "torque",
            f"a friction of {least:.2f} takes a lubricant, and lubricated is false",
            "no lubricant unless the maker asks for it; if it does, write lubricated: true",
        )
    if tight.retorque_km is not None and not tight.retorqued:
        yield tell(
            "note",
            "joint",
            f"to be checked again after {tight.retorque_km:g} km",
            "to the maker's torque; then write retorqued: true",
        )


# ------------------------------------------------------------------- kinds


def fits_its_hole(tell: About, joint: Joint) -> Iterator[Finding]:
    """A bolt that bottoms before it clamps, or whose plain part does."""
    if joint.length is None or joint.grip is None:
        return
    into = joint.length - joint.grip
    if joint.kind == "screw" and joint.depth is not None and joint.blind and into > joint.depth + EPSILON:
        yield tell(
            "limit",
            "thread",
            f"the bolt bottoms: it reaches {mm(into)} into a hole with {mm(joint.depth)} of thread, so its torque "
            "clamps nothing",
            f"a bolt at least {mm(into - joint.depth)} shorter, or a washer as thick",
        )
    if joint.plain > joint.grip + EPSILON:
        what = "nut" if joint.kind in ("bolt", "stud") else "hole"
        yield tell(
            "limit",
            "thread",
            f"the plain part of the bolt is {mm(joint.plain)}, more than the {mm(joint.grip)} it clamps: it meets the "
            f"{what} before anything is clamped",
            "a bolt with more thread, or washers",
        )
    if joint.kind in ("bolt", "stud"):
        out = into - (joint.nut or USUAL_NUT * joint.thread.diameter)
        if out < joint.thread.pitch - EPSILON and out >= -EPSILON:
            yield tell("note", "thread", "less than one turn stands out of the nut", "a longer bolt: one turn or more")


def rod_end_holds(
    tell: About, joint: Joint, end: RodEnd, now: float, least: float, needed: float, angle: float | None
) -> Iterator[Finding]:
    """Thread left in now and at the end of the range, lock nuts, angle."""
    thread = joint.thread
    if now < needed - EPSILON:
        yield tell(
            "limit",
            "thread",
            f"at this setting {turns(now, thread)} of thread are left in; {turns(needed, thread)} are asked for",
            f"screw it in by {turns(needed - now, thread)}, or fit a longer rod",
        )
    elif least < needed - EPSILON:
        yield tell(
            "note",
            "thread",
            f"the far end of its range leaves {turns(max(0.0, least), thread)} of thread; {turns(needed, thread)} are "
            "asked for",
            "make the range of the adjuster smaller",
        )
    nuts = "both lock nuts" if end.both_ends else "the lock nut"
    missing = end.lock_nuts == "none" or (end.both_ends and end.lock_nuts == "one")
    if missing:
        yield tell(
            "limit",
            "joint",
            f"not {'both lock nuts are' if end.both_ends else 'even one lock nut is'} tight",
            f"tighten {nuts} with the joint held in the middle of its travel",
        )
    elif end.lock_nuts == "not_known":
        yield tell("note", "joint", f"whether {nuts} {'are' if end.both_ends else 'is'} tight is not known", "look")
    if end.most_angle is not None and angle is not None and angle > end.most_angle:
        yield tell(
            "limit",
            "joint",
            f"it turns {degrees(angle)}; its maker allows {degrees(end.most_angle)}",
            "set its housing for the middle of the travel, taper spacers, or a joint that turns further",
        )


def wheel_holds(tell: About, facts: Facts, stack: Stack, holds: tuple[float, float] | None) -> Iterator[Finding]:
    """Seat, stud, nut, spigot and the friction between hub and wheel."""
    part, thread = stack.part, stack.part.thread
    what = "stud" if part.held_by == "stud" else "wheel bolt"
    if not seats_match(part.wheel_seat, part.nut_seat):
        yield tell(
            "limit",
            "seat",
            f"wrong seat: a {seat_words(part.nut_seat)} under the {'nut' if part.held_by == 'stud' else 'head'}, "
            f"a {seat_words(part.wheel_seat)} in the wheel: they touch on a line, come loose and ruin the wheel",
            "nuts or bolts with the seat that the wheel's maker asks for",
        )
    if stack.engagement < stack.least - EPSILON:
        short = stack.needed - part.length
        nut = 0.0 if part.nut_thread is None else part.nut_thread + part.nut_behind
        told = f"only {turns(stack.engagement, thread)} of thread are in; {turns(stack.least, thread)} are asked for"
        if part.held_by == "stud" and nut < stack.least - EPSILON:
            yield tell(
                "limit",
                "thread",
                f"the nut is too short: it has {turns(nut, thread)} of thread; "
                f"{turns(stack.least, thread)} are asked for",
                "nuts with more thread",
            )
        if short > EPSILON:
            over = f"a spacer of {mm(stack.spacer)} and a wheel pad of {mm(part.pad)}"
            yield tell(
                "limit",
                "stud" if part.held_by == "stud" else "bolt",
                f"the {what} is too short for {over}: {told}",
                f"{what}s of at least {mm(stack.needed)}: {mm(short)} longer",
            )
        elif part.held_by == "bolt" and part.flange < stack.least - EPSILON:
            yield tell("limit", "thread", f"the hub's flange is too thin: {told}", "ask the hub's maker")
    if stack.runs_out:
        yield tell(
            "limit",
            "thread",
            f"the plain part of the {what} ({mm(part.plain)}) meets the {'nut' if part.held_by == 'stud' else 'hub'} "
            "before the wheel is clamped",
            f"{what}s with more thread",
        )
    if stack.bottoms is not None and stack.bottoms > EPSILON:
        against = "the closed nut" if part.held_by == "stud" else "what is behind the hub"
        yield tell(
            "limit",
            "stud" if part.held_by == "stud" else "bolt",
            f"the {what} bottoms against {against}, {mm(stack.bottoms)} before the wheel is clamped",
            f"{what}s at least {mm(stack.bottoms)} shorter" + (", or open nuts" if part.held_by == "stud" else ""),
        )
    elif part.held_by == "bolt" and part.hub_room is None and -stack.tip > part.flange + EPSILON:
        yield tell(
            "note",
            "bolt",
            f"the bolt stands {mm(-stack.tip - part.flange)} out of the flange behind",
            "turn the hub by hand: it must clear caliper bracket, sensor and handbrake; then give hub_room",
        )
    yield from _spigot(tell, stack)
    if holds is not None and holds[0] < holds[1]:
        yield tell(
            "warning",
            "slip",
            f"at the middle clamp friction holds {newton_metres(holds[0])} about the axle; the tyre can ask for "
            f"{newton_metres(holds[1])} at the standing load",
            "clean, flat, unpainted faces of hub, spacer and wheel; more clamp only as the maker allows",
        )


def _spigot(tell: About, stack: Stack) -> Iterator[Finding]:
    left = stack.spigot_left
    if stack.centred_by == "seats":
        yield tell(
            "warning",
            "spigot",
            "no spigot centres the wheel: it hangs on its studs, and the seats alone must centre it",
            "a spacer with its own spigot, or a centring ring that reaches into the wheel",
        )
    elif left is not None and left < LITTLE_SPIGOT:
        yield tell(
            "note",
            "spigot",
            f"the wheel sits only {mm(left)} on the spigot",
            "tighten crosswise with the wheel hanging free, in two steps",
        )
