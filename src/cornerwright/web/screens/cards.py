"""What is served beside the screens: photos, work cards as PDF, and the page that a card's code opens."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import Request, Response
from nicegui import app, ui

from cornerwright.book.photos import kind_of
from cornerwright.model.errors import Refusal
from cornerwright.paper.code import card_link, read_link
from cornerwright.planning.job_list import only_these
from cornerwright.planning.scene import scene_after
from cornerwright.web.desk import Desk
from cornerwright.web.screens import photo_tray
from cornerwright.web.screens.forms import no_book
from cornerwright.web.screens.frame import Words, link, screen, worked_out
from cornerwright.web.screens.jobs import ADDS, Jobs


def register(desk: Desk) -> None:
    """Photos, papers, and the page of one card."""

    @app.get("/photo/{digest}")
    def photo(digest: str) -> Response:
        found = desk.photo(digest)
        if found is None:
            return Response(status_code=404)
        kind = {"jpg": "jpeg"}.get(kind_of(found) or "", kind_of(found))
        return Response(found, media_type="application/octet-stream" if kind is None else f"image/{kind}")

    photo_tray.register()

    @app.get("/jobs.pdf")
    def jobs_card(request: Request, jobs: str = "") -> Response:
        names = tuple(name for name in jobs.split(",") if name)
        return _paper(lambda: _jobs_card(desk, names, desk.address or str(request.base_url)), "jobs.pdf")

    @app.get("/plan.pdf")
    def plan_card() -> Response:
        return _paper(lambda: _plan_card(desk), "plan.pdf")

    @ui.page("/book/{book_id}/card")
    def card_page(request: Request, book_id: str) -> None:
        with screen("Work card", "/jobs", desk.state.car.name):
            book = desk.papers.book
            if book is None:
                no_book(desk, ADDS)
                return
            address = f"{request.url.path}?{request.url.query}"

            def names() -> tuple[str, ...]:
                of, found = read_link(address)
                if of != book.id:
                    raise Refusal.of("a card of another car's book", f"one of {desk.state.car.name}")
                return found

            def show(found: tuple[str, ...]) -> None:
                Words("p", "The jobs of this card, as they are now.", "soft")
                Jobs(desk, found or None)

            worked_out(names, show)
            link("All that is open", "/jobs")


def _paper(work: Callable[[], bytes], name: str) -> Response:
    try:
        content = work()
    except Refusal as refusal:
        return Response(str(refusal), status_code=409, media_type="text/plain; charset=utf-8")
    return Response(
        content, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{name}"'}
    )


def _jobs_card(desk: Desk, names: tuple[str, ...], address: str) -> bytes:
    # Imported here: setting a page loads much.
    from cornerwright.paper.job_card import job_card  # noqa: PLC0415

    book, told = desk.papers.book, desk.jobs()
    if book is None or told is None:
        raise Refusal.of("a car file without a book", "a book: it knows the jobs")
    if names:
        told = only_these(told, names)
    if not told.jobs:
        raise Refusal.of("no open jobs", "something to put on a card")
    link = card_link(book.id, [job.name for job in told.jobs] if names else [], address)
    return job_card(told.model_copy(update={"link": link}))


def _plan_card(desk: Desk) -> bytes:
    from cornerwright.paper.card import work_card  # noqa: PLC0415
    from cornerwright.paper.press import DoesNotFitError  # noqa: PLC0415

    planned, state = desk.plan(), desk.state
    if planned is None or planned.verdict == "no plan":
        raise Refusal.of("no plan", "a plan: work it out first")
    try:
        return work_card(planned, scene_after(state.car, state.readings, planned, "front_left"))
    except DoesNotFitError:
        found = f"a plan of {len(planned.moves)} moves, too many for one readable page"
        raise Refusal.of(found, "the moves from the screen") from None
