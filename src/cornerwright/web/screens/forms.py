"""Forms of the book: fields that are on the disk as they are typed, photos, and what an entry made stale."""

from __future__ import annotations

import re
import secrets
from collections.abc import Awaitable, Callable, Mapping, Sequence
from typing import Any

from nicegui import ui

from cornerwright.model.entry import PLACES
from cornerwright.model.errors import Refusal
from cornerwright.model.results_book import AddResult, Job
from cornerwright.web.bookwork import Body, write
from cornerwright.web.desk import Desk
from cornerwright.web.overview import job_words, where_words
from cornerwright.web.screens.fields import CHECKED, TYPING, fill, select, sent, tell_field
from cornerwright.web.screens.frame import Tap, Words, aside, box, link, refused, say
from cornerwright.web.screens.photo_tray import PhotoTray

PLACE_WORDS = {place: where_words(place) for place in PLACES}


class Form:
    """Fields of an entry to be. What is typed outlives the app; what is written is written once."""

    def __init__(self, desk: Desk, name: str) -> None:
        self.desk = desk
        self.name = re.sub(r"[^a-z0-9_.]+", "_", name.lower())[:70]
        self.photos: list[bytes] = []
        self._written = False
        self._values: dict[str, str] = {}
        self._defaults: dict[str, str] = {}

    @property
    def key(self) -> str:
        """Of this filling-in: the same until it is written, over reloads too."""
        found = self.desk.ledger.get(self._field("key"))
        if found is None:
            found = secrets.token_hex(8)
            self.desk.ledger.put(self._field("key"), found)
        return found

    def __getitem__(self, field: str) -> str:
        """What stands in a field."""
        return self._values.get(field, "")

    def texts(self, start: str) -> dict[str, str]:
        """Fields whose name begins so, by the rest."""
        return {name.removeprefix(start): value for name, value in self._values.items() if name.startswith(start)}

    def _field(self, field: str) -> str:
        return f"form.{self.name}.{field}"

    def _begin(self, field: str, default: str) -> str:
        kept = self.desk.ledger.get(self._field(field))
        self._defaults[field] = default
        self._values[field] = default if kept is None else kept
        return self._values[field]

    def _typed(self, field: str, text: str, most: int) -> None:
        text = text[:most]
        self._values[field] = text
        try:
            self.desk.ledger.put(self._field(field), None if text == self._defaults[field] else text)
        except Refusal as refusal:
            say(f"Not stored: {refusal}")
            return
        tell_field("cwKept", self._field(field), text)

    def text(self, field: str, label: str, value: str = "", hint: str = "", most: int = 300) -> ui.element:
        """A field for a text or a number."""
        name = self._field(field)
        words = Words("label", label)
        if hint:
            Words("p", hint, "soft")
        one = ui.element("input").classes("field").mark(f"{self.name}.{field}")
        one.props(f'id="{name}" data-field="{name}" autocomplete="off" maxlength="{most}"')
        one.props["value"] = self._begin(field, value)
        one.props["aria-label"] = label
        words.props(f'for="{name}"')
        one.on("input", lambda event: self._typed(field, str(event.args or ""), most), js_handler=sent(name),
               throttle=TYPING)  # fmt: skip
        return one

    def choice(self, field: str, label: str, options: Mapping[str, str], value: str = "") -> ui.element:
        """One of a few."""
        name = self._field(field)
        Words("label", label).props(f'for="{name}"')
        chosen = self._begin(field, value)
        one = select(name, options, chosen, lambda text: self._typed(field, text, 200)).mark(f"{self.name}.{field}")
        one.props["aria-label"] = label
        return one

    def check(self, field: str, label: str, value: bool = False) -> None:
        """Yes or no."""
        name = self._field(field)
        begun = self._begin(field, "yes" if value else "")
        with box("check", "label").props(f'for="{name}"'):
            one = ui.element("input").props(f'type="checkbox" id="{name}"').mark(f"{self.name}.{field}")
            one.props["aria-label"] = label
            if begun:
                one.props("checked")
            Words("span", label)
        one.on("change", lambda event: self._typed(field, "yes" if event.args else "", 3), js_handler=CHECKED)

    def place(self, value: str = "car") -> None:
        """Where on the car."""
        self.choice("place", "where", PLACE_WORDS, value)

    def who(self) -> None:
        """Who it was: one name for the whole app."""
        words = Words("label", "who")
        one = ui.element("input").classes("field").props('id="who" data-field="who" maxlength="40" aria-label="who"')
        one.props["value"] = self.desk.ledger.get("who") or ""
        words.props('for="who"')

        def named(event: Any) -> None:
            self.desk.ledger.put("who", str(event.args or "").strip()[:40] or None)
            tell_field("cwKept", "who", str(event.args or ""))

        one.on("input", named, js_handler=sent("who"), throttle=TYPING)

    def photo(self) -> None:
        """A photo from the camera or the phone's own, several if wanted."""
        PhotoTray(self.photos)

    def filled(self) -> None:
        """To be called once the fields are there: what a phone typed that nobody heard is stored."""
        names = {self._field(field): text for field, text in self._values.items() if text or self._defaults[field]}
        fill({"who": self.desk.ledger.get("who") or "", **names})

    def forget(self) -> None:
        """It is written: the next one begins empty."""
        self.photos.clear()
        self.desk.ledger.clear(f"form.{self.name}.")

    async def put(
        self,
        bodies: Callable[[], Sequence[Body]],
        told: ui.element,
        *,
        settles: Sequence[str] = (),
        ready: Sequence[str] = (),
        note: str = "",
    ) -> AddResult | None:
        """Write what the fields say, and show what it made stale in `told`; None: refused, with words there."""
        told.clear()
        into_view(told)
        try:
            if self._written:  # its fields still show what was written: a finger that taps again means no second one
                raise Refusal.of("what is written down already", "the form opened anew for another one")
            result = await aside(
                lambda: write(self.desk, bodies(), key=self.key, who=self.desk.ledger.get("who") or "", note=note,
                              photos=tuple(self.photos), settles=settles, ready=ready)
            )  # fmt: skip
        except Refusal as refusal:
            with told:
                refused(refusal)
            return None
        self.forget()
        self._written = True
        with told:
            added(result)
        into_view(told)
        return result


def into_view(told: ui.element) -> None:
    """Bring what is told to where the eyes are: it may stand far above the finger."""
    ui.run_javascript(f"document.getElementById('{told.html_id}')?.scrollIntoView({{block:'start'}})")


def added(result: AddResult) -> None:
    """What an entry made stale, and what it settled."""
    numbers = ", ".join(f"#{number}" for number in result.written)
    with box("plate right").props('role="status"'):
        Words("span", "written down", "word right")
        Words("p", f"as {numbers}")
        if result.settled:
            Words("p", f"No longer open: {', '.join(result.settled)}")
    if not result.stale:
        Words("p", "It makes nothing stale.", "soft")
        return
    Words("h2", "What it makes stale")
    for job in result.stale:
        stale(job)
    link("All that is open", "/jobs")


def stale(job: Job) -> None:
    """One job that an entry opened."""
    with box("plate " + ("out" if job.stops_driving else "stale")):
        if job.stops_driving:
            Words("span", "not to be driven", "word out")
        Words("div", job_words(job), "strong")
        Words("p", job.reason)


def no_book(desk: Desk, adds: str) -> None:
    """What a book would add here, and one tap to begin it."""
    with box("plate next"):
        Words("span", "no book yet", "word next")
        Words("p", f"A car file alone keeps no record. A book adds: {adds}.")
        Words("p", f"It is made at {desk.papers.book_to_be}, with the targets and every pass read so far; the car file "
              "stays as it is. From then on open the app with the book.", "soft")  # fmt: skip
        told = box()

        async def begin() -> None:
            try:
                where = await aside(desk.begin_book)
            except Refusal as refusal:
                told.clear()
                with told:
                    refused(refusal)
                return
            say(f"The book is at {where}")
            ui.navigate.reload()

        Tap("Begin a book", once(begin), first=True)


def once(work: Callable[[], Awaitable[Any]]) -> Callable[[], Awaitable[None]]:
    """The same, and nothing while it is at work: a second tap of an impatient finger is not heard."""
    busy = [False]

    async def one() -> None:
        if busy[0]:
            return
        busy[0] = True
        try:
            await work()
        finally:
            busy[0] = False

    return one
