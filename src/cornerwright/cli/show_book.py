"""Laying out what a book says: what stops the car being driven first, then what to do, then the rest."""

from __future__ import annotations

from cornerwright.book.moments import shown
from cornerwright.cli.page import Cell, Page
from cornerwright.cli.show import label, number, small_print
from cornerwright.drawing.lettering import place_words
from cornerwright.model.results_book import (
    AddResult,
    BookJointsResult,
    BookResult,
    CarNow,
    Costs,
    DiffResult,
    HandOverResult,
    Job,
    JobsResult,
    LogResult,
    VerifyResult,
)

STANDS = {"raised": "raised, wheels hanging", "on_wheels": "on its wheels", "either": "either way"}


def moved(page: Page, result: BookResult) -> None:
    """A book that was made, exported or imported."""
    page.title(result.book, result.did)
    page.para(f"{result.entries} entries, {result.photos} photos" + (f"; {result.file}" if result.file else ""))
    if result.digest:
        page.para(f"digest {result.digest}", style="minor")


def verified(page: Page, result: VerifyResult) -> None:
    """Whether the book is whole."""
    page.title(result.book, "verify")
    if result.verdict == "whole":
        page.para(
            f"Whole: {result.entries} entries and {result.photos} photos are as they were written.", style="strong"
        )
    else:
        page.para("DAMAGED: restore it from its last export or backup.", style="limit")
        page.columns([[one] for one in result.troubles], align="~")
    if result.unnamed_photos:
        page.para(f"{result.unnamed_photos} photos that no entry names: harmless.")
    page.para(f"digest {result.digest}", style="minor")


def added(page: Page, result: AddResult) -> None:
    """What was written and what it made stale."""
    numbers = [f"#{one}" for one in result.written]
    said = numbers[0] if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
    page.title(result.car, "book")
    page.para(f"Written: {said}.")
    if result.settled:
        page.para(f"No longer open: {', '.join(result.settled)}.")
    if result.stale:
        page.head("Stale now")
        for job in result.stale:
            _job(page, job, "- ")


def _job(page: Page, job: Job, first: str) -> None:
    style = "limit" if job.stops_driving else "strong"
    mark = "STOPS DRIVING  " if job.stops_driving else ""
    page.para(f"{mark}{job.title}   {job.name}", first=first, indent=2, style=style)
    page.para(job.reason, indent=2 + len(first))
    page.para(job.do, first="do: ", indent=2 + len(first))
    if job.after:
        page.para(f"after {', '.join(job.after)}", indent=2 + len(first), style="minor")


def cost_line(costs: Costs) -> str:
    """What the build has cost and what is still needed, in one line."""
    unit = f" {costs.currency}" if costs.currency else ""
    return (
        f"So far {costs.spent:.2f}{unit} and {costs.hours:g} h; the open jobs need about "
        f"{costs.open_hours:g} h and {costs.open_price:.2f}{unit} more."
    )


def jobs(page: Page, result: JobsResult) -> None:
    """The list in working order."""
    page.title(result.car, "jobs")
    if not result.jobs:
        page.para("Nothing is open.", style="strong")
    elif result.stops_driving:
        count = len(result.stops_driving)
        page.para(
            f"NOT TO BE DRIVEN before {'this is' if count == 1 else 'these are'} done: "
            f"{', '.join(result.stops_driving)}.",
            style="limit",
        )
    else:
        page.para("Nothing in this list stops the car being driven.", style="strong")
    page.para(cost_line(result.costs))
    by_name = {job.name: job for job in result.jobs}
    for number_, visit in enumerate(result.visits, 1):
        page.head(f"{number_}. {STANDS[visit.stands].capitalize()}")
        for name in visit.jobs:
            _job(page, by_name[name], "[ ] ")
    if result.waiting:
        page.head("Not yet")
        for name in result.waiting:
            job = by_name[name]
            _job(page, job, "[ ] ")
            page.para(f"waits: {job.waits}", indent=6, style="minor")
    if result.written:
        page.gap()
        page.para(f"Work card: {result.written}")
    small_print(page, result.caution)


def log(page: Page, result: LogResult) -> None:
    """Entries, oldest of them first."""
    page.title(result.car, "log")
    page.para(f"{len(result.lines)} of {result.entries} entries")
    page.gap()
    rows: list[list[Cell]] = []
    for one in result.lines:
        style = "" if one.corrected_by is None else "minor"
        says = one.says if one.corrected_by is None else f"(corrected by #{one.corrected_by}) {one.says}"
        rows.append([(f"#{one.number}", "strong"), shown(one.when), one.who or "", (says, style)])
    page.columns(rows, align="><<~")


def now(page: Page, result: CarNow) -> None:
    """The car at a moment."""
    page.title(result.car, f"as of {shown(result.at)}")
    page.para(f"{result.entries} entries, {result.driven_km:g} km driven. {cost_line(result.costs)}")
    page.head("Settings")
    page.columns(
        [
            [place_words(one.adjuster.partition(".")[0]), one.adjuster.partition(".")[2].replace("_", " "),
             f"{one.amount:.4g} {one.unit}", f"{one.setting_mm:.2f} mm"]
            for one in result.settings
        ],
        align="<<>>",
    )  # fmt: skip
    if result.read:
        page.head("Readings")
        page.columns(
            [
                [place_words(one.corner), label(one.reading), number(one.reading, one.first),
                 number(one.reading, one.last), f"#{one.number}"]
                for one in result.read
            ],
            align="<<>>>",
            header=("", "", "first", "last", ""),
        )  # fmt: skip
    if result.parts:
        page.head("Parts")
        page.columns(
            [[place_words(one.place), one.part, "" if one.price is None else f"{one.price:.2f}", one.source or ""]
             for one in result.parts],
            align="<<>~",
        )  # fmt: skip
    if result.kept:
        page.head("Kept for later")
        page.columns([[one.part, place_words(one.place), one.kept or ""] for one in result.kept], align="<<~")
    for head, words in (("Findings", result.findings), ("Put off", result.put_off)):
        if words:
            page.head(head)
            page.columns([[one] for one in words], align="~")
    if result.written:
        page.gap()
        page.para(f"Car file: {result.written}")


def diff(page: Page, result: DiffResult) -> None:
    """What changed."""
    page.title(result.car, "diff")
    page.para(f"From {shown(result.since)} to {shown(result.until)}: {result.entries} entries")
    page.gap()
    if not result.changes:
        page.para("Nothing changed.")
        return
    page.columns(
        [[one.what.replace("_", " "), one.before or "-", one.after or "-"] for one in result.changes],
        align="<<~",
        header=("", "before", "after"),
    )


def joints(page: Page, result: BookJointsResult) -> None:
    """Joints, the open ones first."""
    page.title(result.car, "joints")
    if not result.joints:
        page.para("No joints in the book.")
    rows: list[list[Cell]] = []
    for one in result.joints:
        value = "" if one.torque_nm is None else f"{one.torque_nm:.4g} N·m"
        value += "" if one.angle_deg is None else f" + {one.angle_deg:g}°"
        how = [word for word in ((one.stood or "").replace("_", " "), one.tool, one.thread_lock) if word]
        how += [f"{one.bolt} bolt"] if one.bolt else []
        says = (one.open, "warning") if one.open else (", ".join(how), "")
        rows.append([(one.joint, "strong"), place_words(one.place), value, shown(one.when)[:10], says])
    page.columns(rows, align="<<><~")
    small_print(page, result.caution)


def report(page: Page, result: HandOverResult) -> None:
    """Where the report is."""
    page.title(result.car, "report")
    page.para(f"Written: {result.written}; {result.open_jobs} open jobs")
    if result.stops_driving:
        page.para(f"NOT TO BE DRIVEN: {', '.join(result.stops_driving)}", style="limit")
