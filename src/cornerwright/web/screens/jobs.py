"""Jobs: what is open, in working order; without a book, what is wrong with the car as described."""

from __future__ import annotations

from nicegui import ui

from cornerwright.drawing.lettering import place_words
from cornerwright.model.results import CheckResult, Finding
from cornerwright.model.results_book import Job, JobsResult
from cornerwright.web.desk import Desk
from cornerwright.web.overview import job_words
from cornerwright.web.screens.frame import Words, aside, box, screen, when_changed

STANDS = {"raised": "Car raised", "on_wheels": "Car on its wheels", "either": "Either way"}


def register(desk: Desk) -> None:
    """The page of open jobs."""

    @ui.page("/jobs")
    def jobs_page() -> None:
        with screen("Jobs", "/jobs", desk.state.car.name):
            held = box()
            with held:
                Words("p", "Looking…", "soft")

            async def show() -> None:
                jobs = await aside(desk.jobs)
                told = None if jobs is not None else await aside(desk.checked)
                held.clear()
                with held:
                    if jobs is not None:
                        _jobs(jobs)
                    elif told is not None:
                        _check(told)

            ui.timer(0, show, once=True)
            when_changed(lambda: desk.state.stamp, show)


def _jobs(told: JobsResult) -> None:
    by_name = {job.name: job for job in told.jobs}
    if not told.jobs:
        Words("p", "Nothing is open.")
    for visit in told.visits:
        Words("h2", STANDS[visit.stands])
        for name in visit.jobs:
            _job(by_name[name])
    if told.waiting:
        Words("h2", "Waiting")
        for name in told.waiting:
            _job(by_name[name])


def _job(job: Job) -> None:
    with box("plate " + ("out" if job.stops_driving else "stale")):
        if job.stops_driving:
            Words("span", "not to be driven", "word out")
        Words("div", job_words(job)).style("font-weight:700")
        Words("p", job.do)
        Words("p", f"Because: {job.reason}", "soft")
        Words("p", job.rule, "soft")
        if job.waits:
            Words("p", f"Waits: {job.waits}")


def _check(told: CheckResult) -> None:
    Words("p", "A car file has no record of jobs; this is what is wrong with the car as it is described. "
          "A book keeps what each change makes stale.", "soft")  # fmt: skip
    if not told.findings:
        Words("p", "Nothing is wrong with it.")
    for one in told.findings:
        finding(one)


def finding(one: Finding) -> None:
    """One thing that is wrong or worth knowing."""
    tone = {"limit": "out", "warning": "stale", "note": ""}[one.level]
    with box(f"plate {tone}"):
        if one.level == "limit":
            Words("span", "hard limit", "word out")
        Words("div", f"{place_words(one.place)}, {one.about}").style("font-weight:700")
        Words("p", one.says)
        if one.do:
            Words("p", one.do, "soft")
