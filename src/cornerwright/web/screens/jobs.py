"""Jobs: what is open, in working order, each done, put off or taken back; of a car file, what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from urllib.parse import quote

from nicegui import ui

from cornerwright.book.moments import shown as moment_words
from cornerwright.drawing.lettering import place_words
from cornerwright.model.errors import Refusal
from cornerwright.model.results import CheckResult, Finding
from cornerwright.model.results_book import AddResult, Job, JobsResult
from cornerwright.planning.job_list import settled_by
from cornerwright.planning.knock_events import waits_for
from cornerwright.web.bookwork import Lately, lately, take_back, write
from cornerwright.web.desk import Desk
from cornerwright.web.overview import job_words
from cornerwright.web.screens.forms import Form, added, into_view, no_book, once
from cornerwright.web.screens.frame import Tap, Words, aside, box, link, refused, screen, when_changed, worked_out

STANDS = {"raised": "Car raised", "on_wheels": "Car on its wheels", "either": "Either way"}
ADDS = "what each change makes stale, in working order with its reason, what was put off and what was done"


def register(desk: Desk) -> None:
    """The page of open jobs."""

    @ui.page("/jobs")
    def jobs_page() -> None:
        with screen("Jobs", "/jobs", desk.state.car.name):
            if desk.papers.book is None:
                no_book(desk, ADDS)
            Jobs(desk)


_Found = tuple[int, tuple[JobsResult, tuple[Lately, ...]] | CheckResult]
"""Forms opened when it was asked for; the jobs, or without a book what is wrong with the car."""


class Jobs:
    """One phone's view of the jobs."""

    def __init__(self, desk: Desk, only: tuple[str, ...] | None = None) -> None:
        """only: names of the jobs to show; None: all that are open."""
        self.desk, self.only = desk, only
        self.busy: set[str] = set()
        """Jobs whose form is open: then the list does not change under the finger."""
        self.opened = 0
        """Forms opened so far."""
        self.anew = box()
        self.told = box().props('aria-live="polite"')
        self.show = worked_out(self._found, self._shown, "Looking…", wanted=self._wanted)
        when_changed(lambda: desk.state.stamp, self._changed)

    async def _changed(self) -> None:
        if not self.busy:
            await self.show()
            return
        self._offer()

    def _offer(self) -> None:
        self.anew.clear()
        with self.anew:
            Tap("The list has changed: show it", self.show)

    def _found(self) -> _Found:
        opened, jobs = self.opened, self.desk.jobs()
        return opened, (self.desk.checked() if jobs is None else (jobs, lately(self.desk)))

    def _wanted(self, found: _Found) -> bool:
        """Not where a form was opened since the list was asked for: it stays under the finger."""
        if found[0] == self.opened:
            return True
        self._offer()
        return False

    def _shown(self, found: _Found) -> None:
        self.busy.clear()
        self.anew.clear()
        told = found[1]
        if isinstance(told, CheckResult):
            _check(told)
            return
        jobs, lately_done = told
        self._list(jobs)
        if self.only is None:
            self._lately(lately_done)

    def _list(self, told: JobsResult) -> None:
        by_name = {job.name: job for job in told.jobs if self.only is None or job.name in self.only}
        if not by_name:
            Words("p", "Nothing is open." if self.only is None else "Nothing of this card is open any more.")
        if self.only is not None:
            gone = [name for name in self.only if name not in by_name]
            if gone and by_name:
                Words("p", f"Done since the card was printed: {', '.join(gone)}", "soft")
        stops = [name for name in told.stops_driving if name in by_name]
        if stops:
            with box("plate out").props('role="status"'):
                Words("span", "not to be driven", "word out")
                Words("p", f"before {len(stops)} of these {'is' if len(stops) == 1 else 'are'} done")
        if by_name:
            names = ",".join(by_name) if self.only is not None else ""
            with box("row"):
                link("Work card (PDF)", f"/jobs.pdf?jobs={quote(names)}").props('target="_blank"')
        for visit in told.visits:
            jobs = [by_name[name] for name in visit.jobs if name in by_name]
            if jobs:
                Words("h2", STANDS[visit.stands])
            for job in jobs:
                self._job(job)
        waiting = [by_name[name] for name in told.waiting if name in by_name]
        if waiting:
            Words("h2", "Waiting")
        for job in waiting:
            self._job(job)

    def _job(self, job: Job) -> None:
        with box("plate " + ("out" if job.stops_driving else "stale")).mark(f"job-{job.name}"):
            if job.stops_driving:
                Words("span", "not to be driven", "word out")
            Words("div", job_words(job), "strong")
            Words("p", job.do)
            Words("p", f"Because: {job.reason}", "soft")
            Words("p", job.rule, "soft")
            if job.after:
                Words("p", f"After: {', '.join(job.after)}", "soft")
            if job.waits:
                Words("p", f"Waits: {job.waits}", "strong")
            held = box()
            with box("row"):
                self._taps(job, held)

    def _taps(self, job: Job, held: ui.element) -> None:
        name = job_words(job)
        way = settled_by(job)
        record = self.desk.state.record
        put_off = {} if record is None else record.put_off
        if way == "reading":
            link("read it", "/measure").props(f'aria-label="read it: {name}"')
        elif way == "joint":
            link("tighten it", f"/joint?name={quote(job.title)}").props(f'aria-label="tighten it: {name}"')
        Tap("done", partial(self._done, job, held), first=way == "done", label=f"done: {name}")
        if job.name in put_off:
            if record is not None and waits_for(record, job.name) is not None:
                Tap("it has come", once(partial(self._come, job)), label=f"it has come: {name}")
            number = put_off[job.name]["mark"]["number"]
            Tap("take back: not put off", once(partial(self._back, number)), label=f"take back: {name}")
        else:
            Tap("put off", partial(self._put_off, job, held), label=f"put off: {name}")

    def _begin(self, job: Job) -> None:
        self.busy.add(job.name)
        self.opened += 1

    def _done(self, job: Job, held: ui.element) -> None:
        self._begin(job)
        held.clear()
        form = Form(self.desk, f"done.{job.name}")
        with held:
            form.text("note", "anything worth adding", most=300)
            form.text("hours", "hours", most=10)
            form.text("price", "price of what it took", most=20)
            form.who()
            form.photo()

            async def put() -> None:
                body = {"kind": "done", "job": job.title, "place": job.place}
                body |= {name: text.replace(",", ".") for name in ("hours", "price") if (text := form[name].strip())}
                if await form.put(lambda: [body], self.told, settles=[job.name], note=form["note"]) is not None:
                    await self.show()

            Tap("It is done: write it down", once(put), first=True)
        form.filled()

    def _put_off(self, job: Job, held: ui.element) -> None:
        self._begin(job)
        held.clear()
        form = Form(self.desk, f"later.{job.name}")
        with held:
            form.text("until", "until what", hint="as in: when the rods have come", most=200)
            form.who()
            wrong = box()

            async def put() -> None:
                until = form["until"].strip()
                wrong.clear()
                if not until:
                    with wrong:
                        refused(Refusal.of("nothing", "what it waits for, in a few words", field="until what"))
                    return
                body = {"kind": "put_off", "job": job.title, "place": job.place, "of": job.name, "until": until}
                if await form.put(lambda: [body], self.told) is not None:
                    await self.show()

            Tap("Put it off", once(put), first=True)
            if job.stops_driving:
                Words("p", "Put off, it stops the car being driven all the same.", "strong")
        form.filled()

    async def _come(self, job: Job) -> None:
        record = self.desk.state.record
        says = "it has come" if record is None else f"{record.put_off[job.name].get('until') or 'it'}: it has come"
        await self._write({"kind": "note", "says": says}, ready=(job.name,))

    async def _write(self, body: dict[str, str], ready: tuple[str, ...]) -> None:
        who = self.desk.ledger.get("who") or ""
        await self._told(lambda: write(self.desk, [body], who=who, ready=ready))

    async def _back(self, number: int) -> None:
        who = self.desk.ledger.get("who") or ""
        await self._told(lambda: take_back(self.desk, number, who))

    async def _told(self, work: Callable[[], AddResult]) -> None:
        """Write, say what came of it where the eyes are, and show the list anew."""
        self.told.clear()
        try:
            result = await aside(work)
        except Refusal as refusal:
            with self.told:
                refused(refusal)
            return
        with self.told:
            added(result)
        into_view(self.told)
        await self.show()

    def _lately(self, found: tuple[Lately, ...]) -> None:
        with box("row").style("margin-top:12px"):
            link("Write down something found, or a job for later", "/history/write")
        if not found:
            return
        Words("h2", "Done or put off lately")
        for one in found:
            with box("plate"):
                Words("div", f"#{one.number} · {moment_words(one.moment)}", "soft")
                Words("div", one.says)
                Tap("take back", once(partial(self._back, one.number)), label=f"take back #{one.number}")


def _check(told: CheckResult) -> None:
    Words("p", "This is what is wrong with the car as its file describes it.", "soft")
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
        Words("div", f"{place_words(one.place)}, {one.about}", "strong")
        Words("p", one.says)
        if one.do:
            Words("p", one.do, "soft")
