"""Measure: values in the order one walks round the car, each on the disk as it is typed."""

from __future__ import annotations

from functools import partial
from itertools import groupby
from typing import Any

from nicegui import ui

from cornerwright.assembly.report import key_of
from cornerwright.drawing.lettering import place_words
from cornerwright.model.errors import Refusal
from cornerwright.web.desk import Desk
from cornerwright.web.overview import value_words
from cornerwright.web.rounds import Field, Round, enter, keep, read_again, the_round
from cornerwright.web.screens.fields import TYPING, fill, sent, tell_field, trouble
from cornerwright.web.screens.forms import once
from cornerwright.web.screens.frame import Tap, Words, aside, box, say, screen, when_changed, worked_out
from cornerwright.web.screens.why import why_these


def register(desk: Desk) -> None:
    """The page of a round of readings."""

    @ui.page("/measure")
    def measure_page() -> None:
        with screen("Measure", "/measure", desk.state.car.name):
            worked_out(lambda: the_round(desk), partial(_Measuring, desk), "Looking at the car…")


class _Measuring:
    """One phone's view of the round."""

    def __init__(self, desk: Desk, told: Round) -> None:
        self.desk = desk
        self.troubles: dict[str, Words] = {}
        self.shown: dict[str, str] = {}
        Words("p", "Wheels on level ground, rolled and bounced. Walk round from the left front wheel backwards; leave "
              "out what you cannot read. A bare number is in the unit shown; 24 1/8 in works too.", "soft")  # fmt: skip
        with box("row"):
            self.who = ui.element("input").classes("field").props('aria-label="Who reads" placeholder="who reads"')
            self.who.style("max-width:260px;font-size:18px")
            self.who.props('maxlength="40" data-field="who"')
            self.who.on("input", self._named, js_handler=sent("who"), throttle=TYPING)
        self.doubts = box().props('aria-live="assertive"')
        for corner, fields in groupby(told.fields, lambda one: one.corner):
            with box("", "section").props(f'aria-label="{place_words(corner)}"'):
                Words("h2", place_words(corner))
                why_these("stand", corner)
                with box("measure"):
                    for field in fields:
                        self._field(field)
        with box("row").style("margin-top:14px"):
            Tap("Keep this round", once(self._keep), first=True)
            self.count = Words("p", "", "soft")
        self._told(told)
        # What was entered while the page was worked out is in the ledger only.
        self.shown = {name: desk.ledger.get(name) or "" for name in self.shown}
        fill({"who": desk.ledger.get("who") or "", **self.shown})
        # Apart, so that what other phones enter is shown while a look is at work; each look sees all there is by then.
        when_changed(lambda: desk.stamp, self._entered)
        when_changed(lambda: desk.stamp, self._look)

    def _field(self, field: Field) -> None:
        words = field.reading.replace("_", " ")
        with box("plate"):
            label = Words("label", f"{words}, {field.unit}")
            Words("p", field.how, "soft")
            one = ui.element("input").classes("field")
            one.props(
                f'id="{field.name}" inputmode="text" autocomplete="off" enterkeyhint="next" data-field="{field.name}" '
                'maxlength="40"'
            )
            one.props(f'aria-label="{place_words(field.corner)} {words} in {field.unit}"').mark(field.name)
            label.props(f'for="{field.name}"')
            one.on(
                "input",
                lambda event, corner=field.corner, reading=field.reading: self._typed(corner, reading, event.args),
                js_handler=sent(field.name),
                throttle=TYPING,
            )
            self.troubles[field.name] = trouble(field.trouble or "")
            key = key_of(field.reading)
            with box("row"):
                if field.last is not None:
                    Words("span", f"last {value_words(field.last, key)}", "soft")
                if field.predicted is not None:
                    Words("span", f"expected {value_words(field.predicted, key)}", "soft")
            self.shown[field.name] = field.text

    @property
    def name(self) -> str:
        """Who reads."""
        return self.desk.ledger.get("who") or ""

    def _named(self, event: Any) -> None:
        text = str(event.args or "").strip()[:40]
        self.desk.ledger.put("who", text or None)
        tell_field("cwKept", "who", str(event.args or ""))

    def _typed(self, corner: str, reading: str, sent: Any) -> None:
        text = str(sent or "")[:100]
        name = f"read.{corner}.{reading}"
        try:
            wrong = enter(self.desk, corner, reading, text, self.name)
        except Refusal as refusal:
            say(f"Not stored: {refusal}")
            return
        self.shown[name] = text.strip()
        self._trouble(name, wrong)
        tell_field("cwKept", name, text)

    def _trouble(self, name: str, wrong: str | None) -> None:
        self.troubles[name].set_text(wrong or "")
        tell_field("cwWrong", name, bool(wrong))

    def _entered(self) -> None:
        """Show what other phones have entered."""
        for name, shown in self.shown.items():
            text = self.desk.ledger.get(name) or ""
            if shown != text:
                self.shown[name] = text
                tell_field("cwShow", name, text)

    async def _look(self) -> None:
        """Work out what is doubtful now, and show it."""
        try:
            told: Round | None = await aside(the_round, self.desk)
        except Refusal as refusal:
            say(str(refusal))
            return
        if told is None:
            return  # the server is ending
        for field in told.fields:
            place = self.troubles.get(field.name)
            if place is not None and place.text != (field.trouble or ""):
                self._trouble(field.name, field.trouble)
        self._told(told)

    def _told(self, told: Round) -> None:
        self.count.set_text(f"{told.entered} of {len(told.fields)} entered; each is stored as you type")
        self.doubts.clear()
        with self.doubts:
            for one in told.doubts:
                with box("plate stale"):
                    Words("span", "read again", "word stale")
                    Words("p", f"{place_words(one.place)}: {one.says}")
                    if one.do:
                        Words("p", one.do.split(" If it is right, name it")[0])
                    if one.reading is not None:
                        Tap("I read it again: it is right", partial(self._again, one.reading))

    def _again(self, reading: str) -> None:
        read_again(self.desk, reading, self.name)

    async def _keep(self) -> None:
        try:
            await aside(keep, self.desk, self.name)
        except Refusal as refusal:
            say("; ".join(str(one) for one in refusal.problems))
            return
        ui.navigate.to("/plan")
