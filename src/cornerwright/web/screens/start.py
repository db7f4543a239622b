"""Start: a new car step by step, each with a drawing of what to measure, each answer on the disk as it is typed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from fastapi import Response
from fastapi.responses import RedirectResponse
from nicegui import ui

from cornerwright.drawing.how_to import how_to
from cornerwright.model.errors import Refusal
from cornerwright.planning.starting.asked import Question, Remark, Step
from cornerwright.planning.starting.axle_steps import MOST_ROWS, row_questions
from cornerwright.planning.starting.car_steps import USUAL
from cornerwright.planning.starting.jack_rows import ratio, rows
from cornerwright.planning.starting.papers import guesses
from cornerwright.planning.starting.steps import missing, notes
from cornerwright.web.beginning import Beginning
from cornerwright.web.desk import Desk
from cornerwright.web.look import on_screen
from cornerwright.web.screens.fields import TYPING, fill, sent, tell_field, trouble
from cornerwright.web.screens.frame import (
    Tap,
    Words,
    aside,
    box,
    link,
    picture,
    say,
    screen,
    when_changed,
)

NUMBERED = ("rows", "stop")
"""Drawings of steps whose rows are numbered."""

Of = Callable[[], Beginning]
Opened = Callable[[Desk], None]


def register_root() -> None:
    """While there is no car, the root is the way to its beginning."""

    @ui.page("/")
    def root() -> Response:
        return RedirectResponse("/start")


def register_another(desk: Desk) -> None:
    """From a car that is open: another one, entered beside it."""
    held: list[Beginning] = []

    def beginning() -> Beginning:
        if not held or held[0].written is not None:
            for old in held:
                old.close()
            folder = desk.papers.folder
            held[:] = [Beginning(folder, folder / "another.entered.jsonl")]
            desk.beside.append(held[0])
        return held[0]

    register(beginning, lambda _: None)


def register(of: Of, opened: Opened) -> None:
    """The steps and their list."""

    @ui.page("/start")
    def start_page() -> Response:
        return RedirectResponse(f"/start/{of().at}")

    @ui.page("/start/all")
    def all_page() -> None:
        begun = of()
        begun.look_at("all")
        last = begun.steps[-1].name
        with screen("All steps", "/start/all", _name(begun), _ways(f"/start/{last}", "", begun)):
            _All(begun, opened)

    @ui.page("/start/{step}")
    def step_page(step: str) -> Response | None:
        begun = of()
        names = [one.name for one in begun.steps]
        if step not in names:
            return RedirectResponse("/start/all")
        begun.look_at(step)
        k = names.index(step)
        found = begun.steps[k]
        place = f"{found.place.capitalize()}: {found.title.lower()}" if found.place else found.title
        ways = _ways(f"/start/{step}/back" if k else "", f"/start/{step}/next", begun)
        with screen(place, f"/start/{step}", _name(begun), ways):
            _Asking(begun, step, k, len(names))
        return None

    @ui.page("/start/{step}/{way}")
    def beside_page(step: str, way: str) -> Response:
        """The step before or after, as the answers have it when it is asked for: a tick may have brought new ones."""
        names = [one.name for one in of().steps]
        k = names.index(step) + (1 if way == "next" else -1) if step in names else len(names)
        return RedirectResponse(f"/start/{names[k] if 0 <= k < len(names) else 'all'}")


def _name(begun: Beginning) -> str:
    return begun.given.text("name") or ("another car" if begun.beside else "a new car")


def _ways(before: str, after: str, begun: Beginning) -> tuple[tuple[str, str], ...]:
    """The bar at the bottom."""
    ways = [("/start/all", "All steps")]
    if before:
        ways.insert(0, (before, "Back"))
    if after:
        ways.append((after, "Next"))
    if begun.beside:
        ways.append(("/more", "Leave"))
    return tuple(ways)


class _Asking:
    """One phone's view of a step."""

    def __init__(self, begun: Beginning, step: str, number: int, count: int) -> None:
        self.begun, self.step_name = begun, step
        self.troubles: dict[str, Words] = {}
        self.shown: dict[str, str] = {}
        self.more_rows = 0
        self.left_out: dict[str, Words] = {}
        self.taps: dict[tuple[str, str], Words] = {}
        self.marks: dict[str, Words] = {}
        step_now = self.step
        with box("wide"):
            with box():
                Words("p", f"step {number + 1} of {count}", "soft")
                picture(on_screen(how_to(step_now.figure).svg()))
                for words in step_now.says:
                    Words("p", words)
                if step_now.cautions:
                    with box("caution").props('role="note"').style("margin-bottom:12px"):
                        for words in step_now.cautions:
                            Words("p", words)
            with box():
                self.held = box()
                self._build()
                with box("row").style("margin-top:14px"):
                    link("Next", f"/start/{step}/next", "tap first")
                    if step_now.may_skip:
                        Words("p", f"May be left out. {step_now.may_skip}", "soft")
        when_changed(lambda: begun.stamp, self._refresh)

    @property
    def step(self) -> Step:
        """As the answers have it now."""
        return next((one for one in self.begun.steps if one.name == self.step_name), self.begun.steps[0])

    # ------------------------------------------------------------------ building

    def _build(self) -> None:
        step = self.step
        self.shape = self._shape(step)
        self.troubles, self.shown, self.left_out, self.taps = {}, {}, {}, {}
        self.held.clear()
        with self.held:
            for one in step.questions:
                self._question(one)
            self.told = box().props('aria-live="polite"')
            for k, row in enumerate(self._rows(step), start=1):
                self._row(k, row, step)
            if step.figure == "rows" and len(self._rows(step)) < MOST_ROWS:
                Tap("Another row", self._another_row)
            # Within: what was tapped may be one of those that are gone.
            self._tell(step, self.begun.remarks(step))
            fill(dict(self.shown))

    def _rows(self, step: Step) -> tuple[tuple[Question, ...], ...]:
        """Rows of its table, those asked for on this phone too."""
        if step.figure != "rows":
            return step.rows
        count = min(MOST_ROWS, len(step.rows) + self.more_rows)
        return tuple(row_questions(step.place, k, self.begun.given) for k in range(1, count + 1))

    def _another_row(self) -> None:
        self.more_rows += 1
        self._build()

    def _shape(self, step: Step) -> tuple[object, ...]:
        """Another one: other questions."""
        rows = tuple(one.words for one in step.rows[0]) if step.rows else ()
        return (tuple((one.name, one.words, one.how) for one in step.questions), rows)

    def _question(self, one: Question) -> None:
        with box("plate"):
            if one.choices:
                self._choice(one)
            elif one.tick:
                self._tick(one)
            else:
                self._field(one, f"{one.words}, {one.unit}" if one.unit else one.words, one.words)

    def _choice(self, one: Question) -> None:
        Words("p", one.words).style("font-weight:650")
        if one.how:
            Words("p", one.how, "soft")
        with box("row").props(f'role="group" aria-label="{one.words}"'):
            for answer, words in one.choices:
                tap = Tap(words, partial(self._chosen, one.name, answer))
                self.taps[one.name, answer] = tap.mark(f"{one.name}={answer}")

    def _tick(self, one: Question) -> None:
        tap = Words("button", "", "tap tick").props('type="button" role="checkbox"')
        tap.style("justify-content:flex-start")
        tap.props(f'aria-label="{one.words}"').mark(one.name)
        self.taps[one.name, "yes"] = tap
        with tap:
            self.marks[one.name] = Words("span", "", "box").props('aria-hidden="true"')
            Words("span", one.words)
        tap.on("click", lambda: self._chosen(one.name, "" if self.begun.given.ticked(one.name) else "yes"))

    def _row(self, k: int, row: tuple[Question, ...], step: Step) -> None:
        with box("plate", "section").props(f'aria-label="row {k}"'):
            if step.figure in NUMBERED:
                Words("h2", f"Row {k}").style("margin:0 0 4px!important")
            with box("grid2"):
                for one in row:
                    name = f"row {k}, {one.words}" if step.figure in NUMBERED else _row_name(one, row)
                    with box():
                        self._field(one, f"{one.words}, {one.unit}", name, how=k == 1 or step.figure not in NUMBERED)

    def _field(self, one: Question, label: str, name: str, how: bool = True) -> None:
        head = Words("label", label)
        if how and one.how:
            Words("p", one.how, "soft")
        field = f"start.{one.name}"
        box_of = ui.element("input").classes("field")
        box_of.props(
            f'id="{field}" inputmode="text" autocomplete="off" enterkeyhint="next" data-field="{field}" maxlength="60"'
        )
        box_of.props(f'aria-label="{name} in {one.unit}"' if one.unit else f'aria-label="{name}"').mark(field)
        head.props(f'for="{field}"')
        box_of.on("input", lambda event, name=one.name: self._typed(name, event.args), js_handler=sent(field),
                  throttle=TYPING)  # fmt: skip
        self.troubles[one.name] = trouble()
        if one.guess is not None:
            self.left_out[one.name] = Words("p", _guess_words(one), "soft")
        self.shown[field] = self.begun.given.text(one.name)

    # ------------------------------------------------------------------ answers

    @property
    def who(self) -> str:
        """Who enters."""
        return self.begun.ledger.get("who") or ""

    def _typed(self, name: str, sent: Any) -> None:
        text = str(sent or "")
        try:
            self.begun.enter(name, text, self.who)
        except (Refusal, ValueError) as error:
            say(f"Not stored: {error}")
            return
        self.shown[f"start.{name}"] = text.strip()
        tell_field("cwKept", f"start.{name}", text)
        step = self.step
        self._tell(step, self.begun.remarks(step))

    def _chosen(self, name: str, answer: str) -> None:
        try:
            self.begun.enter(name, answer, self.who)
        except (Refusal, ValueError) as error:
            say(f"Not stored: {error}")
            return
        self._changed()

    def _changed(self) -> None:
        """Show what was chosen; anew only where it brings other questions, so that no quick tap is lost."""
        step = self.step
        if self._shape(step) != self.shape:
            self._build()
        else:
            self._tell(step, self.begun.remarks(step))

    def _show_taps(self, step: Step) -> None:
        given = self.begun.given
        for one in step.questions:
            if one.tick:
                on = given.ticked(one.name)
                self.taps[one.name, "yes"].props(f'aria-checked="{"true" if on else "false"}"')
                self.marks[one.name].set_text("✓" if on else "")
            elif one.choices:
                chosen = given.choice(one.name, one.choices[0][0])
                for answer, _ in one.choices:
                    tap, on = self.taps[one.name, answer], answer == chosen
                    tap.props(f'aria-pressed="{"true" if on else "false"}"')
                    tap.classes(add="first") if on else tap.classes(remove="first")

    def _refresh(self) -> None:
        """Show what other phones have entered."""
        if self.begun.written is not None:
            ui.navigate.to("/start/all" if self.begun.beside else "/")
            return
        step = self.step
        if self._shape(step) != self.shape:
            self._build()
            return
        given = self.begun.given
        for field in self.shown:
            text = given.text(field.removeprefix("start."))
            if self.shown[field] != text:
                self.shown[field] = text
                tell_field("cwShow", field, text)
        self._tell(step, self.begun.remarks(step))

    def _tell(self, step: Step, found: dict[str, Remark]) -> None:
        """What is chosen; what is doubtful, at its field; what a table tells already; guesses as they are now."""
        self._show_taps(step)
        for name, place in self.troubles.items():
            remark = found.get(name)
            words = "" if remark is None else remark.says
            if place.text == words:
                continue
            place.set_text(words)
            wrong = remark is not None and remark.level == "wrong"
            place.style(f"color:var(--{'out' if wrong else 'stale'})")
            tell_field("cwWrong", f"start.{name}", wrong)
        for one in step.every:
            if one.name in self.left_out:
                self.left_out[one.name].set_text(_guess_words(one))
        if step.figure == "rows":
            self.told.clear()
            with self.told:
                _table_words(step.place, self.begun)


def _guess_words(one: Question) -> str:
    unit = f" {one.unit}" if one.unit not in ("", "°") else one.unit
    told = one.doubt if one.doubt == USUAL else f"a guess, {one.doubt}"
    return f"left out: {one.guess}{unit}, {told}"


def _row_name(one: Question, row: tuple[Question, ...]) -> str:
    """What a reader says for a field that is named only beside its neighbour."""
    return one.words if one is row[0] else f"{row[0].words}, {one.words}"


def _table_words(end: str, begun: Beginning) -> None:
    """Lifts of the rows, and how far spring and damper move with the wheel."""
    given = begun.given
    lifts = ", ".join(f"{row.lift:+.0f}" for row in rows(end, given))
    Words("p", f"lifts so far: {lifts} mm" if lifts else "no row with its lift yet", "soft")
    for name in ("damper", "spring"):
        found = ratio(end, name, given)
        if found is not None:
            Words("p", f"{name}: {abs(found):.2f} mm {'shorter' if found < 0 else 'longer'} for 1 mm up", "soft")


class _All:
    """All steps, what is missing, what would be guessed, and the papers."""

    def __init__(self, begun: Beginning, opened: Opened) -> None:
        self.begun, self.opened = begun, opened
        self.held = box()
        self._build()
        when_changed(lambda: begun.stamp, self._changed)

    def _changed(self) -> None:
        if self.begun.written is not None and not self.begun.beside:
            ui.navigate.to("/")
            return
        self._build()

    def _build(self) -> None:
        self.held.clear()
        with self.held:
            if self.begun.written is not None:
                self._done()
                return
            given = self.begun.given
            lacking = missing(given)
            self._write(len(lacking))
            Words("h2", "Steps")
            for k, step in enumerate(self.begun.steps, start=1):
                gaps = [gap.says for gap in lacking if gap.step == step.name]
                asks = self.begun.remarks(step)
                any_there = any(given.text(one.name) for one in step.every)
                _card(k, step, gaps, list(asks.values()), any_there)
            found, told = guesses(given), notes(given)
            if found or told:
                Words("h2", "Guessed or left out")
                Words("p", "It stands in the car file as a guess, with how far it may be off.", "soft")
            for one in found:
                with box("plate stale"):
                    Words("p", f"{one.step.replace('-', ' ')}, {one.words}: {one.value}; {one.doubt}")
            for gap in told:
                with box("plate"):
                    Words("p", gap.says)

    def _write(self, lacking: int) -> None:
        with box("plate " + ("stale" if lacking else "right")).props('role="status"'):
            Words("span", f"{lacking} missing" if lacking else "all there", "word " + ("stale" if lacking else "right"))
            Words("p", "What is missing is told at its step below." if lacking else
                  f"The papers go into {self.begun.place.name}/: car.yaml, readings.yaml, targets.yaml.")  # fmt: skip
            with box("row"):
                for words, book in (("Write the car", False), ("Write it with a book", True)):
                    tap = Tap(words, partial(self._written, book), first=not book and not lacking)
                    tap.able(not lacking)

    async def _written(self, book: bool) -> None:
        try:
            await aside(self.begun.write, book, self.begun.ledger.get("who") or "")
            self.begun.open(self.opened)
        except Refusal as refusal:
            say("; ".join(str(one) for one in refusal.problems))
            return
        if self.begun.beside:
            self._build()
            return
        ui.navigate.to("/")

    def _done(self) -> None:
        with box("plate right").props('role="status"'):
            Words("span", "written", "word right")
            Words("p", f"The new car lies in {self.begun.written}. Open it with: cornerwright app {self.begun.written}")
        link("Back to this car", "/")


def _card(k: int, step: Step, gaps: list[str], asks: list[Remark], there: bool) -> None:
    wrong = any(one.level == "wrong" for one in asks)
    if wrong:
        tone, word = "out", "wrong"
    elif asks:
        tone, word = "stale", "look again"
    elif gaps:
        tone, word = ("stale", "missing") if there else ("next", "to do")
    else:
        tone, word = ("right", "there") if there else ("soft", "may stay empty")
    place = f"{step.place} " if step.place else ""
    with link("", f"/start/{step.name}", f"plate {tone}").props(f'aria-label="step {k}: {place}{step.title}"'):
        with box().style("display:flex;gap:8px;align-items:flex-start;justify-content:space-between"):
            Words("span", f"{k} · {place}{step.title.lower()}").style("font-weight:650")
            Words("span", word, f"word {tone}").style("flex:none")
        for says in [*gaps[:3], *(one.says for one in asks[:2])]:
            Words("p", says, "soft")
        if len(gaps) > 3:
            Words("p", f"and {len(gaps) - 3} more", "soft")
