"""A work card of open jobs: what to do, why, boxes to tick, places to write, and a code that opens it in the app."""

from __future__ import annotations

from typing import Any

from cornerwright.model.entry import day_of
from cornerwright.model.results_book import Figure, Job, JobsResult
from cornerwright.paper.code import code_svg
from cornerwright.paper.press import press
from cornerwright.planning.cautions import BRAKES, CLAMPS, RAISED, ROAD, SPRINGS, THREADS, WHEELS
from cornerwright.planning.knock_words import in_words, key_words
from cornerwright.planning.service_words import FLUID, LICENSED

VISITS = {
    "raised": "Raised, wheels hanging",
    "on_wheels": "On its wheels, on level ground",
    "either": "Either way",
}
MOST_FIGURES = 8


def job_card(result: JobsResult) -> bytes:
    """The jobs of this list as a card of A4 pages (PDF)."""
    by_name = {job.name: job for job in result.jobs}
    sections = [
        {
            "title": f"{number}. {VISITS[visit.stands]}",
            "jobs": [_job(by_name[name], "") for name in visit.jobs],
        }
        for number, visit in enumerate(result.visits, 1)
    ]
    if result.waiting:
        jobs = [_job(by_name[name], by_name[name].waits or "") for name in result.waiting]
        sections.append({"title": "Not yet", "jobs": jobs})
    stops = [job for job in result.jobs if job.stops_driving]
    link = result.link or ""
    data = {
        "title": f"Work card: {result.car}",
        "car": result.car,
        "subtitle": _subtitle(result),
        "alarm": "NOT TO BE DRIVEN before the jobs marked with a bar are done." if stops else "",
        "cautions": _halves(_cautions(result)),
        "sections": sections,
        "code": code_svg(link) if link else "",
        "link": link if len(link) <= 120 else "",
        "caution": result.caution,
    }
    return press("jobs.typ", data)


def hours_words(minutes: float) -> str:
    """Work in hours and minutes."""
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest} min" if hours else f"{rest} min"


def _halves(words: list[str]) -> list[list[str]]:
    """In two columns of about the same length."""
    total, length, cut = sum(map(len, words)), 0, 0
    while cut < len(words) and 2 * length < total:
        length += len(words[cut])
        cut += 1
    return [words[:cut], words[cut:]]


def _subtitle(result: JobsResult) -> str:
    count = len(result.jobs)
    minutes = sum(job.minutes or 0.0 for job in result.jobs)
    words = [f"Work card, {count} open job{'' if count == 1 else 's'}"]
    if minutes:
        words.append(f"about {hours_words(minutes)}")
    return " · ".join([*words, f"book as of {day_of(result.at)}"])


def _cautions(result: JobsResult) -> list[str]:
    rules = {job.name.partition("@")[0] for job in result.jobs}
    stands = {job.stands for job in result.jobs}
    # Hands go under the car for its lock nuts, however it stands.
    found = [RAISED] if "raised" in stands or "lock_nuts" in rules else []
    if rules & {"damper", "height", "loads"}:
        found.append(SPRINGS)
    if rules & {"bushes", "joint"}:
        found.append(CLAMPS)
    if "lock_nuts" in rules:
        found.append(THREADS)
    if rules & {"hoses", "cables", "bleed", "damper"}:
        found.append(BRAKES)
    if "bleed" in rules:
        found.append(FLUID)
    if rules & {"bleed", "bed_in"}:
        found.append(LICENSED)
    if "wheel_nuts" in rules or "raised" in stands:
        found.append(WHEELS)
    return [*found, ROAD]


def _job(job: Job, waits: str) -> dict[str, Any]:
    return {
        "name": job.name,
        "title": job.title,
        "stops": job.stops_driving,
        "do": job.do,
        "reason": job.reason,
        "waits": waits,
        "after": ", ".join(job.after),
        "figures": [_figure(one) for one in _told(job)][:MOST_FIGURES],
    }


def _told(job: Job) -> list[Figure]:
    """Numbers that went beyond their tolerance; where none did, all that have one."""
    judged = [one for one in job.figures if one.tolerance is not None]
    beyond = [one for one in judged if abs(one.shift or 0.0) > (one.tolerance or 0.0)]
    return beyond or judged


def _figure(figure: Figure) -> dict[str, str]:
    place = "" if figure.place == "car" else figure.place.replace("_", " ")
    return {
        "what": f"{place} {key_words(figure.key)}".strip(),
        "now": in_words(figure, figure.now),
        "shift": in_words(figure, figure.shift, signed=True),
    }
