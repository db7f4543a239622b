"""Brakes: which axle locks first, pedal, heat, wear, hoses; what was measured, bled and bedded in as entries."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import partial

from nicegui import ui

from cornerwright.book.moments import shown as moment_words
from cornerwright.drawing.lettering import place_words
from cornerwright.model.results_brakes import BrakesResult, WearRow
from cornerwright.planning.brake_sheet import MEASURES, ServiceLine, done_body, service_sheet, worn_body
from cornerwright.planning.braking import brakes
from cornerwright.web.bookwork import record_of
from cornerwright.web.desk import Desk
from cornerwright.web.screens.forms import Form, no_book, once
from cornerwright.web.screens.frame import Tap, Words, box, screen, table, worked_out
from cornerwright.web.screens.jobs import finding
from cornerwright.web.screens.why import why_these

ADDS = "when the brakes were bled and bedded in, and how pads and discs wear"
LOADS = {"light": "driver alone", "driven": "as driven", "full": "full"}


def register(desk: Desk) -> None:
    """The page of the brakes."""

    @ui.page("/brakes")
    def brakes_page() -> None:
        with screen("Brakes", "/more", desk.state.car.name):
            if desk.papers.book is None:
                no_book(desk, ADDS)
            written = box().props('aria-live="polite"')

            def show(found: tuple[BrakesResult | None, tuple[ServiceLine, ...]]) -> None:
                told, service = found
                if service:
                    _service(desk, service, written, anew)
                if told is None:
                    Words("p", "The car file has no brakes: see `brakes` in the files.", "soft")
                else:
                    _told(desk, told, written)

            anew = worked_out(lambda: _answers(desk), show, "Working out balance and heat…")


def _answers(desk: Desk) -> tuple[BrakesResult | None, tuple[ServiceLine, ...]]:
    """The brakes of the car file, and what the book has of their service; none without a book."""
    car, record, jobs = desk.state.car, record_of(desk), desk.jobs()
    told = None if car.brakes is None else brakes(car)
    return told, () if record is None or jobs is None else service_sheet(record, jobs)


def _service(
    desk: Desk, lines: tuple[ServiceLine, ...], written: ui.element, then: Callable[[], Awaitable[None]]
) -> None:
    Words("h2", "Bleeding, bedding, hoses")
    with box("measure"):
        for line in lines:
            tone = "" if line.open is None else "out" if line.open.stops_driving else "stale"
            with box(f"plate {tone or ('right' if line.done else '')}"):
                state = "to be done" if line.open is not None else "done" if line.done else "never told"
                Words("span", state, f"word {tone or ('right' if line.done else 'soft')}")
                Words("span", line.title, "strong lead")
                if line.open is not None and line.open.stops_driving:
                    Words("p", "not to be driven before", "strong")
                if line.open is not None:
                    Words("p", line.open.reason)
                    Words("p", line.open.do, "soft")
                if line.done:
                    Words("p", f"last: {moment_words(line.done)}, #{line.number}", "soft")
                form = Form(desk, f"service.{line.name}")

                async def put(line: ServiceLine = line, form: Form = form) -> None:
                    if await form.put(lambda: [done_body(line)], written, settles=[line.name]) is not None:
                        await then()

                Tap("it was done now", once(put), label=f"{line.title}: done")


def _told(desk: Desk, told: BrakesResult, written: ui.element) -> None:
    for one in told.findings:
        if one.level != "note":
            finding(one)
    _locking(told)
    _pedal(told)
    _heat(told)
    Words("h2", "Wear")
    with box("measure"):
        for row in told.wear:
            _wear(desk, row, written)
    if told.hoses:
        Words("h2", "Hoses through travel and lock")
        table(
            ("corner", "slack, mm", "asked for", "tightest at"),
            [(place_words(one.corner), f"{one.slack_mm:.0f}", f"{one.margin_mm:.0f}", one.longest_at)
             for one in told.hoses],
        )  # fmt: skip
    notes = [one for one in told.findings if one.level == "note"]
    if notes:
        with box("", "details"):
            Words("summary", f"{len(notes)} to know of")
            for one in notes:
                finding(one)
    for caution in told.cautions:
        Words("p", caution, "soft")
    Words("p", told.caution, "soft")


def _locking(told: BrakesResult) -> None:
    Words("h2", "Which axle locks first")
    why_these("brakes")
    rows = [
        (
            f"{one.grip:.2f}",
            one.axle or "none",
            f"{one.rate_g:.2f} g",
            "" if one.foot_n is None else f"{one.foot_n:.0f}",
        )
        for one in told.locking
    ]
    table(("road's grip", "locks first", "at", "foot, N"), rows)
    for one in told.balances:
        Words("p", f"{LOADS[one.load]}: {one.locks_first} first"
              + "".join(f"; from {cross.rate_g:.2f} g the {cross.first}" for cross in one.crossovers))  # fmt: skip


def _pedal(told: BrakesResult) -> None:
    pedal = told.pedal
    Words("h2", "Pedal")
    facts = [
        ("foot", "no foot reaches it" if pedal.foot_n is None else f"{pedal.foot_n:.0f} N for {pedal.rate_g:.2f} g"),
        ("way of the foot", "" if pedal.travel_mm is None else f"{pedal.travel_mm:.0f} of {pedal.floor_mm:.0f} mm"),
        ("pads knocked back", "" if pedal.travel_knocked_back_mm is None else f"{pedal.travel_knocked_back_mm:.0f} mm"),
        ("stroke used", "" if pedal.stroke_used_percent is None else f"{pedal.stroke_used_percent:.0f} %"),
    ]
    with box("four"):
        for words, value in facts:
            if value:
                with box("fact"):
                    Words("b", value)
                    Words("span", words)


def _heat(told: BrakesResult) -> None:
    heat = told.heat
    Words("h2", "Heat")
    Words("p", f"{heat.what}, {heat.ambient_degc:.0f} °C outside", "soft")
    table(
        ("corner", "disc, °C", "may be", "pad may be", "fluid"),
        [(place_words(corner), f"{peak:.0f}", f"{heat.rotor_limit_degc[corner]:.0f}",
          f"{heat.pad_limit_degc[corner]:.0f}", f"{heat.fluid_peak_degc[corner]:.0f}")
         for corner, peak in heat.rotor_peak_degc.items()],
    )  # fmt: skip
    Words("p", f"The fluid boils at {heat.boiling_degc:.0f} °C, as it is counted with.", "soft")


def _wear(desk: Desk, row: WearRow, written: ui.element) -> None:
    with box("plate"):
        Words("div", place_words(row.corner), "strong")
        pad = "pad not measured" if row.pad_mm is None else f"pad {row.pad_mm:.1f} mm"
        left = "" if row.pad_life_percent is None else f", {row.pad_life_percent:.0f} % left"
        Words("div", f"{pad} (least {row.pad_least_mm:.1f}){left}")
        disc = "disc not measured" if row.rotor_mm is None else f"disc {row.rotor_mm:.2f} mm"
        Words("div", f"{disc} (least {row.rotor_least_mm:.2f})")
        if desk.papers.book is None:
            return
        held = box()
        Tap("measured again", partial(_measured, desk, row.corner, held, written),
            label=f"{place_words(row.corner)}: measured again")  # fmt: skip


def _measured(desk: Desk, corner: str, held: ui.element, written: ui.element) -> None:
    held.clear()
    form = Form(desk, f"worn.{corner}")
    with held:
        for name, words, unit in MEASURES:
            form.text(name, f"{words}, {unit}", most=20)
        form.who()

        async def put() -> None:
            given = {name: form[name] for name, _, _ in MEASURES}
            if await form.put(lambda: [worn_body(corner, given)], written) is not None:
                held.clear()

        Tap("write it down", once(put), first=True, label=f"write down {place_words(corner)}")
    form.filled()
