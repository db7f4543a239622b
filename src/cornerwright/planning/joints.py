"""The joints of a car, each with its numbers and what is wrong with it; or one question about one joint."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from cornerwright.assembly.joint_answer import answer_of, shown
from cornerwright.assembly.joint_travel import greatest_angles
from cornerwright.assembly.joints import facts_of, frame_of, rod_end_left
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.assembly.wheel_stack import frame_of_wheel, moments, spacer_of, stack_answer, stack_of
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.errors import Refusal
from cornerwright.model.joint import Joint
from cornerwright.model.parts import CornerName
from cornerwright.model.problems import problems_from
from cornerwright.model.results import Finding
from cornerwright.model.results_joint import JointAnswer, JointsResult
from cornerwright.model.tree import Node, Tree
from cornerwright.model.units import ANGLE, LENGTH
from cornerwright.planning import cautions, joint_rules
from cornerwright.planning.findings import verdict, worst_first
from cornerwright.planning.joint_rules import About

WHEEL = "fastening"
"""Name of a wheel's joint, after its corner."""


def joints(car: Car, name: str | None = None) -> JointsResult:
    """Every joint of the car, or the one of this name (`front_left.fastening`). Raises Refusal."""
    if name is None:
        return _result(car.name, list(joint_answers(car)))
    wanted = name.strip().lower().replace("-", "_").replace(" ", "_")
    known = joint_names(car)
    if wanted not in known:
        listed = ", ".join(known) or "none: the file lists no joints"
        raise Refusal.of(f"'{name}'", f"a joint of this car: {listed}", field="NAME")
    return _result(car.name, list(joint_answers(car, wanted)))


def joint_names(car: Car) -> list[str]:
    """Full names of a car's joints, in the order of `joint_answers`."""
    found = []
    for name, corner in car.corners.items():
        found += [] if corner.fastening is None else [f"{name}.{WHEEL}"]
        found += [f"{name}.{key}" for key in corner.joints]
    for end, axle in zip(("front", "rear"), car.axles, strict=True):
        found += [f"{end}.{key}" for key in axle.joints]
    return found


def joint(document: Joint | Mapping[str, Any] | None = None, **fields: Any) -> JointsResult:
    """One question about one joint, from its document or its fields in document units. Raises Refusal.

    As in `joint(thread="M12x1.5", property_class="10.9", tightening={"torque": 110})`; without `kind` it is a
    bolt that is screwed into a part.
    """
    if isinstance(document, Joint):
        one = document
    else:
        tree = {"kind": "screw", **(document or {}), **fields}
        try:
            one = Joint.model_validate(tree)
        except ValidationError as error:
            nowhere = Tree(None, Node({}, 1))
            raise Refusal(replace(told, line=None) for told in problems_from(error, nowhere, Joint)) from None
    return _result(None, [_joint_answer(one, "joint", "joint", None, "", {})])


def _result(car: str | None, answers: list[JointAnswer]) -> JointsResult:
    told = verdict(finding for one in answers for finding in one.findings)
    return JointsResult.model_validate(
        {"car": car, "verdict": told, "joints": tuple(answers), "cautions": cautions.for_joints(answers)}
    )


def joint_findings(car: Car, variant: Variant | None = None) -> list[Finding]:
    """What is wrong with the joints of a car, for `check`: notes that only say what is not known are left out."""
    found = [finding for one in joint_answers(car, variant=variant) for finding in one.findings]
    return [one for one in found if one.level != "note" or one.about in ("joint", "slip", "spigot")]


def joint_answers(car: Car, only: str | None = None, variant: Variant | None = None) -> Iterator[JointAnswer]:
    """Each joint of each corner, its wheel first, then those of the axles.

    only: the one of this full name; variant: the car as it stands in the file, where it is at hand.
    """
    for name, corner in car.corners.items():
        if corner.fastening is not None and only in (None, f"{name}.{WHEEL}"):
            yield _wheel_answer(car, name, corner)
        turned: Mapping[str, float] | None = None
        for key, one in corner.joints.items():
            if only not in (None, f"{name}.{key}"):
                continue
            if turned is None and one.rod_end is not None and one.rod_end.joint is not None:
                variant = Rig(car).vary() if variant is None else variant
                turned = greatest_angles(variant, name)
            yield _joint_answer(one, f"{name}.{key}", name, corner, _words(key), turned or {})
    for end, axle in zip(("front", "rear"), car.axles, strict=True):
        for key, one in axle.joints.items():
            if only not in (None, f"{end}.{key}"):
                continue
            yield _joint_answer(one, f"{end}.{key}", end, None, _words(key), {})


def _words(key: str) -> str:
    return key.replace("_", " ")


def _joint_answer(
    one: Joint, name: str, place: str, corner: Corner | None, words: str, turned: Mapping[str, float]
) -> JointAnswer:
    frame = frame_of(one)
    tell = About(place, words)
    found: list[Finding] = []
    more: dict[str, Any] = {"what": one.what}
    end = one.rod_end
    if end is not None:
        here = {} if corner is None else corner.adjusters
        adjuster = None if end.adjuster is None else here.get(end.adjuster)
        if end.adjuster is not None and adjuster is None:
            says = f"its adjuster '{end.adjuster}' is not here: the thread left in is that of the file"
            found.append(tell("warning", "joint", says, f"one of: {', '.join(here) or 'none'}"))
        now, least = rod_end_left(one, adjuster)
        frame = replace(frame, engagement=max(0.0, now))
        angle = end.angle if end.angle is not None else turned.get(end.joint or "")
        if end.joint is not None and end.joint not in turned:
            there = ", ".join(sorted(turned)) or "none"
            found.append(tell("warning", "joint", f"'{end.joint}' is no joint here", f"one of: {there}"))
        found += joint_rules.rod_end_holds(tell, one, end, now, least, frame.least_engagement, angle)
        more |= {
            "thread_in_mm": shown(now, LENGTH),
            "thread_in_least_mm": shown(least, LENGTH),
            "angle_deg": shown(angle, ANGLE),
        }
        facts = facts_of(frame)
    else:
        facts = facts_of(frame)
        found += joint_rules.fits_its_hole(tell, one)
        found += joint_rules.enough_thread(tell, facts)
        found += joint_rules.clamp_is_right(tell, facts)
        found += joint_rules.stripping_holds(tell, facts)
        found += joint_rules.nothing_slips(tell, facts, one)
        found += joint_rules.pressure_holds(tell, facts)
        if one.bush:
            found.append(
                tell("note", "joint", "clamps a rubber bush", "final tightening only with the car at ride height")
            )
    found += joint_rules.state_is_right(tell, one.tightening, facts.torque)
    return answer_of(facts, name, place, one.kind, findings=worst_first(found), **more)


def _wheel_answer(car: Car, name: CornerName, corner: Corner) -> JointAnswer:
    part = corner.fastening
    assert part is not None  # asked before
    stack = stack_of(part, spacer_of(corner))
    facts = facts_of(frame_of_wheel(stack))
    tell = About(name, "wheel")
    holds = None if facts.band is None else moments(car, name, stack, facts.band.middle)
    found = [
        *joint_rules.wheel_holds(tell, facts, stack, holds),
        *joint_rules.clamp_is_right(tell, facts),
        *joint_rules.stripping_holds(tell, facts),
        *joint_rules.state_is_right(tell, part.tightening, facts.torque),
    ]
    what = f"wheel, {part.count} {'studs' if part.held_by == 'stud' else 'bolts'}"
    more: dict[str, Any] = {"what": what, "wheel": stack_answer(stack, holds), "findings": worst_first(found)}
    # A seat's ring is not known well enough to tell its pressure.
    return answer_of(replace(facts, pressure=None), f"{name}.{WHEEL}", name, "wheel", **more)
