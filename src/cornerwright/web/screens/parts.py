"""Parts: what is fitted where, with its facts and since when; a part fitted or swapped, and what that makes stale."""

from __future__ import annotations

from functools import partial
from itertools import groupby

from nicegui import ui

from cornerwright.book.moments import shown as moment_words
from cornerwright.drawing.lettering import place_words
from cornerwright.planning.cautions import RAISED, SPRINGS
from cornerwright.planning.part_sheet import Fitting, PartLine, find_part, new_body, part_sheet, swap_bodies
from cornerwright.web.bookwork import record_of
from cornerwright.web.desk import Desk
from cornerwright.web.overview import where_words
from cornerwright.web.screens.forms import Form, no_book, once
from cornerwright.web.screens.frame import Tap, Words, box, link, screen, worked_out

ADDS = "when each part went on, what it cost, where the old one is kept, and what each swap makes stale"

OTHER = (
    "For what the car file has no fields for: an arm, a ball joint, a brake line. The words of its name decide which "
    "rules of the trade apply. Springs, dampers, wheels, tyres and brakes: from the list."
)


def register(desk: Desk) -> None:
    """The list, the page of one part, and the page of another one."""

    @ui.page("/parts")
    def parts_page() -> None:
        with screen("Parts", "/more", desk.state.car.name):
            if desk.papers.book is None:
                no_book(desk, ADDS)
            else:
                with box("row"):
                    link("Another part was fitted", "/parts/other")
                    link("Joints and their fasteners", "/joints")

            def show(told: tuple[PartLine, ...]) -> None:
                _list(told)
                _kept(desk)

            worked_out(lambda: _sheet(desk), show, stamp=lambda: desk.state.stamp)

    @ui.page("/part/{key}")
    def part_page(key: str) -> None:
        with screen("Part", "/more", desk.state.car.name):
            worked_out(lambda: find_part(_sheet(desk), key), partial(_One, desk), "Looking…")
            link("All parts", "/parts")

    @ui.page("/parts/other")
    def other_page() -> None:
        with screen("A part was fitted", "/more", desk.state.car.name):
            if desk.papers.book is None:
                no_book(desk, ADDS)
                return
            _other(desk)


def _sheet(desk: Desk) -> tuple[PartLine, ...]:
    state = desk.state
    return part_sheet(state.car, state.record)


def _since(line: PartLine) -> str:
    if not line.since:
        return ""
    if line.number is None:
        return f"on the car when the book began, {moment_words(line.since)[:10]}"
    return f"fitted {moment_words(line.since)[:10]}, #{line.number}"


def _facts(line: PartLine) -> str:
    return "; ".join(
        f"{one.fact.words} {one.text}{' ' + one.fact.unit if one.fact.unit and one.plain else ''}"
        for one in line.facts
        if one.text
    )


def _list(told: tuple[PartLine, ...]) -> None:
    for place, lines in groupby(told, lambda line: line.place):
        with box("", "section").props(f'aria-label="{place_words(place)}"'):
            Words("h2", where_words(place))
            with box("measure"):
                for line in lines:
                    label = f"{place_words(line.place)}, {line.title}"
                    with link("", f"/part/{line.key}", "plate", label):
                        Words("div", line.title, "strong")
                        Words("div", _facts(line))
                        Words("div", _since(line), "soft")


def _kept(desk: Desk) -> None:
    record = record_of(desk)
    if record is None or not record.kept:
        return
    Words("h2", "Kept for later")
    for one in record.kept.values():
        Words("p", f"{place_words(one['place'])}: {one['part']}, {one['where']}")


class _One:
    """One part on one phone."""

    def __init__(self, desk: Desk, line: PartLine) -> None:
        self.desk, self.line = desk, line
        Words("h2", f"{where_words(line.place)}: {line.title}")
        with box("plate"):
            Words("p", _facts(line))
            Words("p", _since(line), "soft")
            more = [f"price {line.price:.2f}"] if line.price is not None else []
            more += [f"from {line.source}"] if line.source else []
            more += ["used"] if line.used else []
            if more:
                Words("p", ", ".join(more), "soft")
        if desk.papers.book is None:
            no_book(desk, ADDS)
            return
        if line.sort.key in ("spring", "damper"):
            Words("p", SPRINGS, "strong")
        Words("p", RAISED, "soft")
        self.form = form = Form(desk, f"part.{line.key}")
        self.told = box().props('aria-live="polite"')
        Words("h2", "Fit another")
        with box("plate"):
            form.text("part", "what goes on", hint="its maker's name for it, as on the box", most=120)
            form.check("both", "on both sides of the axle", True)
            for one in line.facts:
                if one.plain:
                    unit = f", {one.fact.unit}" if one.fact.unit else ""
                    form.text(f"value.{one.field}", f"{one.fact.words}{unit}", one.text, most=60)
            form.text("price", "price", most=20)
            form.text("source", "from where", most=120)
            form.check("used", "it is a used part")
            form.text("kept", "the old one is kept at", hint="leave empty if it is gone", most=120)
            form.who()
            form.photo()
        with box("row"):
            Tap("It is fitted: write it down", once(self._put), first=True)
        form.filled()

    async def _put(self) -> None:
        form = self.form
        record = record_of(self.desk)
        assert record is not None  # without a book there is no form
        fitting = _fitting(form)
        await form.put(lambda: swap_bodies(self.line, record, fitting), self.told)


def _fitting(form: Form) -> Fitting:
    return Fitting(
        part=form["part"],
        both=bool(form["both"]),
        values=form.texts("value."),
        price=form["price"],
        source=form["source"],
        used=bool(form["used"]),
        kept=form["kept"],
    )


def _other(desk: Desk) -> None:
    Words("p", OTHER, "soft")
    link("The list", "/parts")
    form = Form(desk, "part.other")
    told = box().props('aria-live="polite"')
    with box("plate"):
        form.text("part", "what went on", hint="as in lower ball joint, brake hose, tie rod", most=120)
        form.place("front_left")
        form.text("price", "price", most=20)
        form.text("source", "from where", most=120)
        form.check("used", "it is a used part")
        form.who()
        form.photo()

    async def put() -> None:
        await form.put(lambda: [new_body(form["part"], form["place"], _fitting(form))], told)

    with box("row"):
        Tap("It is fitted: write it down", once(put), first=True)
    form.filled()
