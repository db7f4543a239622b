"""The list of open jobs in working order: what must come first, and what is done while the car stands one way."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Literal

from cornerwright.model.entry import PLACES
from cornerwright.model.record import Record
from cornerwright.model.results_book import Costs, Job, JobsResult, Standing, Visit
from cornerwright.planning.knock_events import touches
from cornerwright.planning.knock_on import Known, open_jobs
from cornerwright.planning.trade_rules import EVENTS, SHIFTS, Rule, Shift

RULES: Mapping[str, Rule] = {rule.name: rule for rule in (*SHIFTS, *EVENTS)}

FINDING_PHASE, LATER_PHASE, JOINT_PHASE = 5, 10, 35
"""Where what was written down stands in the usual order of work."""

RIDE_JOINT_PHASE = 62
"""A joint that is clamped at ride height comes with the bushes."""


def job_list(record: Record, known: Known, book: str) -> JobsResult:
    """Every open job, in working order. known: see `open_jobs`."""
    found = open_jobs(record, known)
    now = [job for job in found if job.waits is None]
    after = {job.name: _after(job, now) for job in now}
    visits = _visits(now, after)
    by_name = {job.name: job for job in found}
    waiting = sorted((job for job in found if job.waits is not None), key=_place_in_order)
    ordered = [by_name[name].model_copy(update={"after": after[name]}) for visit in visits for name in visit.jobs]
    return JobsResult(
        book=book,
        car=record.name,
        at=record.moment,
        stops_driving=tuple(job.name for job in (*ordered, *waiting) if job.stops_driving),
        visits=visits,
        waiting=tuple(job.name for job in waiting),
        jobs=(*ordered, *waiting),
        costs=costs_of(record, found),
    )


def only_these(result: JobsResult, names: Collection[str]) -> JobsResult:
    """Only these jobs, in the order of the whole list."""
    visits = [
        visit.model_copy(update={"jobs": tuple(name for name in visit.jobs if name in names)})
        for visit in result.visits
    ]
    return result.model_copy(
        update={
            "jobs": tuple(job for job in result.jobs if job.name in names),
            "visits": tuple(visit for visit in visits if visit.jobs),
            "waiting": tuple(name for name in result.waiting if name in names),
        }
    )


def settled_by(job: Job) -> Literal["reading", "joint", "done"]:
    """What kind of entry closes it: what is read is read, a joint is tightened, all else is done."""
    rule = _rule(job)
    if isinstance(rule, Shift) and rule.reading is not None:
        return "reading"
    return "joint" if job.name.startswith("joint@") else "done"


def settles_in_passing(name: str) -> bool:
    """Whether a job of the trade's rules may be done before it is asked for."""
    rule, _, place = name.partition("@")
    return rule in RULES and place in PLACES


def costs_of(record: Record, jobs: Sequence[Job]) -> Costs:
    """What the build has cost so far, and what the open jobs still need."""
    return Costs(
        currency=record.currency,
        spent=record.cents / 100,
        hours=round(record.hours, 2),
        open_price=round(sum(job.price or 0.0 for job in jobs), 2),
        open_hours=round(sum(job.minutes or 0.0 for job in jobs) / 60, 2),
    )


def _rule(job: Job) -> Rule | None:
    return RULES.get(job.name.partition("@")[0])


def _place_in_order(job: Job) -> tuple[int, str]:
    rule = _rule(job)
    if rule is not None:
        return (rule.phase, job.name)
    if job.name.startswith("joint@"):
        return (RIDE_JOINT_PHASE if job.stands == "on_wheels" else JOINT_PHASE, job.name)
    if job.name.startswith("later_"):
        return (LATER_PHASE, job.name)
    return (FINDING_PHASE, job.name)


def _after(job: Job, jobs: Sequence[Job]) -> tuple[str, ...]:
    """Open jobs that come before this one.

    What stops the car being driven and is mended on a raised car comes before the readings of its place: it may move
    them.
    """
    rule = _rule(job)
    found = []
    for other in jobs:
        if other is job or not touches(other.place, job.place):
            continue
        asked = rule is not None and other.name.partition("@")[0] in rule.after
        repair = _rule(other) is None and other.stops_driving and other.stands == "raised"
        clamp = job.name.startswith("joint@") and job.stands == "on_wheels" and other.name.startswith("height@")
        if asked or clamp or (repair and _rule(job) is not None and job.stands == "on_wheels"):
            found.append(other.name)
    return tuple(found)


def _visits(jobs: Sequence[Job], after: Mapping[str, tuple[str, ...]]) -> tuple[Visit, ...]:
    """Jobs in as few changes between raised and on its wheels as taking all that can be taken gives."""
    tries = [_taken(jobs, after, first) for first in ("raised", "on_wheels")]
    return min(tries, key=len)


def _taken(jobs: Sequence[Job], after: Mapping[str, tuple[str, ...]], first: str) -> tuple[Visit, ...]:
    waiting = sorted(jobs, key=_place_in_order)
    done: set[str] = set()
    visits: list[Visit] = []
    stands: Standing = "raised" if first == "raised" else "on_wheels"
    idle = 0
    while waiting:
        taken: list[str] = []
        while True:
            ready = (
                job
                for job in waiting
                if job.stands in (stands, "either") and all(one in done for one in after[job.name])
            )
            job = next(ready, None)
            if job is None:
                break
            waiting.remove(job)
            taken.append(job.name)
            done.add(job.name)
        if taken:
            visits.append(Visit(stands=stands, jobs=tuple(taken)))
        idle = 0 if taken else idle + 1
        if idle == 2:  # two rules that wait for each other: never leave a job out
            done |= {job.name for job in waiting}
        stands = "on_wheels" if stands == "raised" else "raised"
    return tuple(visits)
