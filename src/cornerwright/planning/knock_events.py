"""Knock-on of what happened: events that the trade answers with a job, joints left open, findings, jobs put off."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from cornerwright.model.entry import day_of
from cornerwright.model.record import Record
from cornerwright.model.results_book import Figure, Job
from cornerwright.planning.knock_words import listed
from cornerwright.planning.trade_rules import (
    FINGER,
    JOINT_SOURCE,
    NEW_BOLT,
    RIDE,
    WHEEL_JOINTS,
    Event,
)


def touches(part: str, place: str) -> bool:
    """Whether a part at one place concerns another."""
    return "car" in (part, place) or part.startswith(place) or place.startswith(part)


def happened(record: Record, kinds: Mapping[str, str], rule: Event, place: str) -> Job | None:
    """The job of a rule at a place, if something of its sort has happened since it was done.

    kinds: kind of every adjuster by its full name.
    """
    names = (f"{rule.name}@{place}", f"{rule.name}@car")
    settled = [record.settled[name] for name in names if name in record.settled]
    step = max((mark["step"] for mark in settled), default=0)
    since = [one for one in record.touched.values() if one["mark"]["step"] > step and _is_of(kinds, rule, one)]
    if rule.after_km is not None:
        since += _wheel_joints(record, step)
    since = [one for one in since if touches(one["place"], place)]
    if not since:
        return None
    driven = round(record.km - min(one["mark"]["km"] for one in since), 1)
    words = sorted({_thing(one) for one in since})
    figures = [Figure(place=place, key="driven_km", was=0.0, now=driven, shift=driven, tolerance=rule.after_km)]
    if rule.on == "moved":
        figures = [Figure(place=place, key="moved_count", was=0.0, now=float(len(since)), shift=float(len(since)))]
    waits, stops = None, rule.stops_driving
    says = f"{listed(words)} {_did(since)} (#{max(one['mark']['number'] for one in since)})"
    if rule.after_km is not None:
        due = driven >= rule.after_km
        waits = None if due else f"when {rule.after_km:.0f} km have been driven since; {driven:.0f} km so far"
        stops = due
        says += f"; driven {driven:.0f} km since, due at {rule.after_km:.0f} km"
    elif rule.name == "bed_in":
        waits = None if driven > 0 else "when the car may be driven"
        says += f"; driven {driven:.0f} km since"
    elif rule.on == "moved":
        says += f": {len(since)} adjuster{'' if len(since) == 1 else 's'} since the job was last done"
    else:
        says += f"; driven {driven:.0f} km since"
    return Job(
        name=f"{rule.name}@{place}",
        title=rule.title if place == "car" else f"{rule.title}, {place}",
        place=place,
        do=rule.do,
        reason=f"{says}.",
        rule=rule.why,
        source=rule.source,
        figures=tuple(figures),
        stops_driving=stops,
        stands=rule.stands,
        waits=waits,
        minutes=rule.minutes,
        entries=tuple(sorted({one["mark"]["number"] for one in since})),
    )


def _thing(one: Mapping[str, Any]) -> str:
    words = str(one["words"]).replace("_", " ").replace(".", " ")
    place = str(one["place"]).replace("_", " ")
    return words if one["kind"] in ("moved", "tightened") or place == "car" else f"{place} {words}"


def _did(since: list[Any]) -> str:
    kinds = {one["kind"] for one in since}
    return "moved" if kinds == {"moved"} else "tightened" if kinds == {"tightened"} else "fitted"


def _is_of(kinds: Mapping[str, str], rule: Event, one: Mapping[str, Any]) -> bool:
    if one["kind"] != rule.on:
        return False
    if rule.on == "moved":
        return re.fullmatch(rule.words, kinds.get(one["words"], "")) is not None
    return re.search(rule.words, one["words"].lower()) is not None


def _wheel_joints(record: Record, step: int) -> list[Any]:
    """Wheel nuts tightened with the car standing as it may: they too are tightened again after the first drive."""
    return [
        {"kind": "tightened", "words": joint, "place": one.get("place", "car"), "mark": one["mark"]}
        for joint, one in record.joints.items()
        if one["state"] == "tight" and one["mark"]["step"] > step and re.search(WHEEL_JOINTS, joint.lower())
    ]


# ---------------------------------------------------------------------- written down


def written_down(record: Record) -> list[Job]:
    """Joints left open, findings, and jobs that were put off."""
    found = [job for joint, one in record.joints.items() for job in _joint(joint, one)]
    found += [_finding(name, one) for name, one in record.findings.items()]
    return found + [_put_off(name, one) for name, one in record.put_off.items() if one.get("of") is None]


def as_put_off(record: Record, job: Job) -> Job:
    """The job as it waits, where it was put off and rests on something that was there by then.

    What stops the car being driven stops it still.
    """
    one = record.put_off.get(job.name)
    if one is None or one.get("of") is None:
        return job
    mark = one["mark"]
    if job.entries and min(job.entries) > mark["number"]:
        return job  # done since, and stale again
    says = f"{job.reason} Put off {day_of(mark['moment'])} (#{mark['number']}){_come(one)}."
    return job.model_copy(update={"reason": says, "waits": _waits(one) or job.waits})


def waits_for(record: Record, job: str) -> str | None:
    """What a job that was put off waits for, in its own words; None: it waits for nothing that can be told."""
    one = record.put_off.get(job)
    return None if one is None else _waits(one)


def _waits(one: Mapping[str, Any]) -> str | None:
    """What it waits for still."""
    until = one.get("until")
    return None if until is None or one.get("come") else str(until)


def _come(one: Mapping[str, Any]) -> str:
    """That what it waited for has come."""
    come = one.get("come")
    return (
        ""
        if come is None
        else f"; {one.get('until') or 'what it waited for'}: told on {day_of(come['moment'])} "
        f"(#{come['number']}) that it has come"
    )


def joint_open(one: Mapping[str, Any]) -> str | None:
    """What is still to be done about a joint, in words."""
    if one["state"] != "tight":
        says = "finger tight" if one["state"] == "finger_tight" else "loose"
        return f"{says}: to be tightened" + (" at ride height" if one.get("clamp_at") == "ride_height" else "")
    if one.get("new_bolt_each_time") and one.get("bolt") == "reused":
        return "needs a new bolt or nut"
    if one.get("clamp_at") == "ride_height" and one.get("stood") == "hanging":
        return "tightened hanging: to be clamped again at ride height"
    return None


def joint_job(joint: str) -> str:
    """Name of the job about a joint."""
    return f"joint@{re.sub(r'[^a-z0-9]+', '_', joint.lower()).strip('_')[:50] or 'unnamed'}"


def _joint(joint: str, one: Mapping[str, Any]) -> list[Job]:
    says = joint_open(one)
    if says is None:
        return []
    ride = one.get("clamp_at") == "ride_height"
    loose = one["state"] != "tight"
    new = not loose and "new bolt" in says
    do = "Fit a new bolt or nut and tighten it" if new else "Tighten it"
    do += " with the car on its wheels at ride height" if ride else ""
    torque = one.get("torque")
    before = "" if torque is None else f"; last tightened to {torque:.4g} N·m"
    return [
        Job(
            name=joint_job(joint),
            title=joint,
            place=one.get("place", "car"),
            do=f"{do}, to the maker's value; write down value, tool and how the car stood (book add joint).",
            reason=f"{says} (#{one['mark']['number']}, {day_of(one['mark']['moment'])}){before}.",
            rule=FINGER if loose else NEW_BOLT if new else RIDE,
            source=JOINT_SOURCE,
            figures=()
            if torque is None
            else (Figure(place=one.get("place", "car"), key="torque_nm", was=None, now=torque, shift=None),),
            stops_driving=loose or new,
            stands="on_wheels" if ride else "either",
            minutes=5,
            entries=(one["mark"]["number"],),
        )
    ]


def _finding(name: str, one: Mapping[str, Any]) -> Job:
    place = one["place"]
    return Job(
        name=name,
        title=f"{one['what'].capitalize()}, {place.replace('_', ' ')}",
        place=place,
        do="Look into it, mend it, and settle it with the entry that says how.",
        reason=f"{one['says']} (#{one['mark']['number']}, {day_of(one['mark']['moment'])}).",
        rule="what was found is not forgotten until it is settled",
        source="the entry",
        stops_driving=bool(one.get("stops_driving")),
        stands="raised",
        entries=(one["mark"]["number"],),
    )


def _put_off(name: str, one: Mapping[str, Any]) -> Job:
    hours = one.get("hours")
    return Job(
        name=name,
        title=one["job"],
        place=one.get("place", "car"),
        do=one["job"],
        reason=f"put off {day_of(one['mark']['moment'])} (#{one['mark']['number']}){_come(one)}.",
        rule="what was put off is not forgotten until it is settled",
        source="the entry",
        stops_driving=bool(one.get("stops_driving")),
        stands=one.get("stands", "either"),
        waits=_waits(one),
        minutes=None if hours is None else 60 * hours,
        price=one.get("price"),
        entries=(one["mark"]["number"],),
    )
