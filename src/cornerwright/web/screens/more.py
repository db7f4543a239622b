"""More: joints, brakes, history, and how the screen looks."""

from __future__ import annotations

from functools import partial

from fastapi import Response
from nicegui import app, ui
from nicegui.events import UploadEventArguments

from cornerwright.book.photos import kind_of
from cornerwright.model.errors import Refusal
from cornerwright.model.results_brakes import BrakesResult
from cornerwright.model.results_joint import JointsResult
from cornerwright.planning.braking import brakes
from cornerwright.planning.joints import joints
from cornerwright.planning.telling import entry_words
from cornerwright.web.desk import Desk
from cornerwright.web.screens.frame import Tap, Words, aside, box, link, say, screen
from cornerwright.web.screens.jobs import finding
from cornerwright.web.snapshots import MOST_BYTES

TYPED = "(e) => emit(e.target.value)"
LAST = 40
"""Entries of the history that are shown."""


def register(desk: Desk) -> None:
    """The page of what is looked up now and then."""

    @app.get("/photo/{digest}")
    def photo(digest: str) -> Response:
        found = desk.photo(digest)
        if found is None:
            return Response(status_code=404)
        kind = {"jpg": "jpeg"}.get(kind_of(found) or "", kind_of(found))
        return Response(found, media_type="application/octet-stream" if kind is None else f"image/{kind}")

    @ui.page("/more")
    def more_page() -> None:
        with screen("More", "/more", desk.state.car.name):
            Words("h2", "Screen")
            with box("row"):
                for words, theme in (("as the phone", ""), ("light", "light"), ("dark", "dark")):
                    Tap(words, partial(_theme, theme))
            Words("h2", "Another car")
            with box("row"):
                link("Begin another car", "/start")
            held = box()
            with held:
                Words("p", "Looking…", "soft")

            async def show() -> None:
                car = desk.state.car
                told = await aside(joints, car)
                braked = None if car.brakes is None else await aside(brakes, car)
                held.clear()
                with held:
                    _joints(told)
                    _brakes(braked)
                    _history(desk)

            ui.timer(0, show, once=True)


def _theme(theme: str) -> None:
    ui.run_javascript(f"cwTheme('{theme}')")


def _joints(told: JointsResult) -> None:
    Words("h2", "Joints")
    if not told.joints:
        Words("p", "The car file lists no joints.", "soft")
    for joint in told.joints:
        for found in joint.findings:
            if found.level != "note":
                finding(found)
    if told.joints:
        with box("", "table"):
            with box("", "thead"), box("", "tr"):
                for words in ("joint", "thread", "in, mm", "needed"):
                    Words("th", words).props('scope="col"')
            with box("", "tbody"):
                for one in told.joints:
                    with box("", "tr"):
                        Words("th", one.name.replace("_", " ").replace(".", ", ")).props('scope="row"')
                        Words("td", one.thread)
                        Words("td", "?" if one.engagement_mm is None else f"{one.engagement_mm:.1f}")
                        Words("td", f"{one.needed_mm:.1f}")


def _brakes(told: BrakesResult | None) -> None:
    Words("h2", "Brakes")
    if told is None:
        Words("p", "The car file has no brakes.", "soft")
        return
    for one in told.findings:
        finding(one)
    for caution in told.cautions:
        Words("p", caution, "soft")


def _history(desk: Desk) -> None:
    Words("h2", "History")
    book = desk.papers.book
    if book is None:
        Words("p", "A car file keeps no history; a book does.", "soft")
        return
    says = ui.element("input").classes("field").props('aria-label="What the photo shows" placeholder="what it shows"')
    words = [""]
    says.props('maxlength="300"').style("font-size:18px")
    says.on("input", lambda event: words.__setitem__(0, str(event.args or "")), js_handler=TYPED, throttle=0.2)

    async def taken(event: UploadEventArguments) -> None:
        try:
            await aside(desk.add_photo, await event.file.read(), words[0], desk.ledger.get("who") or "")
        except Refusal as refusal:
            say(str(refusal))
            return
        ui.navigate.reload()

    photo = ui.upload(
        label="Add a photo", auto_upload=True, max_file_size=MOST_BYTES, max_files=1, on_upload=taken,
        on_rejected=lambda: say("Too large, or no photo."),
    )  # fmt: skip
    photo.props('accept="image/jpeg,image/png,image/webp" capture="environment" aria-label="Add a photo"')
    for line in reversed(book.log(last=LAST)):
        struck = line.corrected_by is not None
        with box("plate"):
            Words("div", f"#{line.number} · {line.moment[:16].replace('T', ' ')}", "soft")
            Words("div", entry_words(line.plain)).style("text-decoration:line-through" if struck else "")
            for digest in line.plain.get("photos", ()):
                box("", "img").props(f'src="/photo/{digest}" alt="photo of entry {line.number}" loading="lazy"').style(
                    "max-width:100%;max-height:320px;display:block;margin-top:6px"
                )
            if struck:
                Words("div", f"corrected by #{line.corrected_by}", "soft")
