"""History: entries with photos, something written down, and two moments side by side."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from urllib.parse import quote

from nicegui import ui

from cornerwright.book.book import Line
from cornerwright.book.moments import shown as moment_words
from cornerwright.model.errors import Refusal
from cornerwright.planning.telling import by_group, entry_words
from cornerwright.web.bookwork import Compared, Photo, compared
from cornerwright.web.desk import Desk
from cornerwright.web.screens.fields import select
from cornerwright.web.screens.forms import PLACE_WORDS, Form, no_book, once
from cornerwright.web.screens.frame import Tap, Words, box, link, screen, table, worked_out

LAST = 40
"""Entries on one page."""
MOMENTS = 300
"""Entries that two moments are chosen from; older ones by their day or number."""
ADDS = "everything that happened to the car, with photos, and the car as it was at any moment"
FOUND = ("rust", "play", "stiff", "crack", "wear", "leak", "damage", "other")
KINDS = {"note": "a note", "finding": "something found on the car", "put_off": "a job for later", "drive": "a drive"}


def register(desk: Desk) -> None:
    """The list, the page to write on, and the page of two moments."""

    @ui.page("/history")
    def history_page(before: int = 0) -> None:
        with screen("History", "/more", desk.state.car.name):
            book = desk.papers.book
            if book is None:
                no_book(desk, ADDS)
                return
            with box("row"):
                link("Write something down", "/history/write", "tap first")
                link("Compare two moments", "/history/compare")
            worked_out(lambda: book.log(last=LAST, before=before or None), _lines, stamp=lambda: desk.state.stamp)

    @ui.page("/history/write")
    def write_page() -> None:
        with screen("Write it down", "/more", desk.state.car.name):
            if desk.papers.book is None:
                no_book(desk, ADDS)
                return
            _Writing(desk)

    @ui.page("/history/compare")
    def compare_page(since: str = "", until: str = "") -> None:
        with screen("Two moments", "/more", desk.state.car.name):
            book = desk.papers.book
            if book is None:
                no_book(desk, ADDS)
                return
            worked_out(lambda: book.log(last=MOMENTS), partial(_compare, desk, since[:60], until[:60]), "Looking…")


def _lines(lines: Sequence[Line]) -> None:
    """The last one first."""
    for line in reversed(lines):
        _line(line)
    if lines and lines[0].number > 1:
        link("Older ones", f"/history?before={lines[0].number}")


def _line(line: Line) -> None:
    struck = line.corrected_by is not None
    with box("plate"):
        who = line.plain.get("who")
        Words("div", f"#{line.number} · {moment_words(line.moment)}{f' · {who}' if who else ''}", "soft")
        Words("div", entry_words(line.plain)).style("text-decoration:line-through" if struck else "")
        for digest in line.plain.get("photos", ()):
            _picture(digest, f"photo of entry {line.number}")
        if struck:
            Words("div", f"corrected by #{line.corrected_by}", "soft")
        link("compare with now", f"/history/compare?since={quote(f'#{line.number}')}").props(
            f'aria-label="compare entry {line.number} with now"'
        )


def _picture(digest: str, says: str) -> None:
    """A photo of the book, large when it is tapped."""
    with link("", f"/photo/{digest}", "shot", f"{says}, large").props('target="_blank"'):
        box("", "img").props(f'src="/photo/{digest}" alt="{says}" loading="lazy"')


class _Writing:
    """A note, something found, a job for later, a drive."""

    def __init__(self, desk: Desk) -> None:
        self.form = form = Form(desk, "write")
        self.told = box().props('aria-live="polite"')
        with box("plate"):
            form.choice("kind", "what", KINDS, "note")
            form.text("says", "in words", hint="what it is; of a drive the distance, as in 12 km", most=1000)
            form.place()
            form.choice("what", "of what is found", {one: one for one in FOUND}, "other")
            form.text("until", "a job for later: until what", most=200)
            form.check("stops", "the car is not to be driven until it is done")
            form.who()
            form.photo()

        async def put() -> None:
            await form.put(lambda: [self._body()], self.told)

        with box("row"):
            Tap("Write it down", once(put), first=True)
        link("History", "/history")
        form.filled()

    def _body(self) -> dict[str, object]:
        form = self.form
        kind, says, place = form["kind"] or "note", form["says"].strip(), form["place"] or "car"
        if not says and form.photos:
            says = "a photo"
        if not says:
            raise Refusal.of("nothing", "what it is, in a few words", field="in words")
        stops = bool(form["stops"])
        if kind == "drive":
            return {"kind": "drive", "distance": says}
        if kind == "finding":
            what = form["what"] or "other"
            return {"kind": "finding", "what": what, "place": place, "says": says, "stops_driving": stops}
        if kind == "put_off":
            until = {"until": form["until"].strip()} if form["until"].strip() else {}
            return {"kind": "put_off", "job": says, "place": place, "stops_driving": stops, **until}
        return {"kind": "note", "says": says if place == "car" else f"{PLACE_WORDS[place]}: {says}"}


def _compare(desk: Desk, since: str, until: str, lines: Sequence[Line]) -> None:
    days = list(dict.fromkeys(moment_words(line.moment)[:10] for line in reversed(lines)))
    moments = {day: f"end of {day}" for day in days}
    moments |= {f"#{line.number}": _short(line) for line in reversed(lines)}
    since = since or (days[1] if len(days) > 1 else "#1")
    chosen = {"since": since, "until": until or "now"}
    with box("plate"):
        for field, words in (("since", "from"), ("until", "to")):
            options = {"now": "now"} | moments
            if chosen[field] not in options:
                options[chosen[field]] = chosen[field]
            _pick(field, words, options, chosen)

        def look() -> None:
            ui.navigate.to(f"/history/compare?since={quote(chosen['since'])}&until={quote(chosen['until'])}")

        Tap("Compare", look, first=True)
    worked_out(lambda: compared(desk, since, chosen["until"]), _differs, "Comparing…")


def _pick(field: str, words: str, options: dict[str, str], chosen: dict[str, str]) -> None:
    Words("label", words).props(f'for="{field}"')
    select(field, options, chosen[field], partial(chosen.__setitem__, field))


def _short(line: Line) -> str:
    says = entry_words(line.plain)
    return f"#{line.number} · {moment_words(line.moment)} · {says[:60]}{'…' if len(says) > 60 else ''}"


def _differs(found: Compared) -> None:
    told = found.told
    Words("p", f"{moment_words(told.since)} to {moment_words(told.until)}: {told.entries} entries between them", "soft")
    if not told.changes:
        Words("p", "Nothing differs.")
    for title, changes in by_group(told.changes).items():
        Words("h2", title)
        table(
            ("", "then", "later"),
            [(_plain(one.what, title), one.before or "–", one.after or "–") for one in changes],
        )
    if not found.photos:
        return
    Words("h2", "Photos")
    for place, was, now in found.photos:
        Words("h2", PLACE_WORDS.get(place, place)).style("font-size:17px")
        with box("grid2"):
            _shot(was, "then")
            if was is not None and now is not None and was.digest == now.digest:
                with box("plate"):
                    Words("p", "no newer one since", "soft")
            else:
                _shot(now, "later")


def _plain(name: str, title: str) -> str:
    words = name.replace("_", " ")
    return words.replace(".", " ") if title == "Settings" else words


def _shot(photo: Photo | None, words: str) -> None:
    with box("plate"):
        Words("div", words, "strong")
        if photo is None:
            Words("p", "none yet", "soft")
            return
        _picture(photo.digest, f"{words}, photo of entry {photo.number}")
        Words("p", f"#{photo.number} · {moment_words(photo.moment)}", "soft")
        Words("p", photo.says)
