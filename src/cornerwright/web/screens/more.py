"""More: the screens that are looked at now and then, and how the screen looks."""

from __future__ import annotations

from functools import partial

from nicegui import ui

from cornerwright.web.desk import Desk
from cornerwright.web.screens.frame import Tap, Words, box, link, screen

WAYS = (
    ("/joints", "Joints", "what is tight, to what, with which wrench; what is not done yet"),
    ("/parts", "Parts", "what is fitted where and since when; fit or swap one"),
    ("/brakes", "Brakes", "which axle locks first, pedal, heat, wear, hoses; bled and bedded in"),
    ("/history", "History", "everything that happened, with photos"),
    ("/history/compare", "Two moments", "what differs between then and now"),
    ("/learned", "What was learned", "predicted against read; what to read next"),
    ("/road", "Road", "will it bottom, will it push or slide, how sure is that"),
    ("/choose", "Choose parts", "which springs, bars and dampers to buy, and what each choice gives up"),
    ("/why", "Why", "any number: its equation and source, what goes into it, how sure it is"),
)


def register(desk: Desk) -> None:
    """The page that leads on."""

    @ui.page("/more")
    def more_page() -> None:
        with screen("More", "/more", desk.state.car.name):
            with box("measure"):
                for path, name, says in WAYS:
                    with link("", path, "plate", name):
                        Words("div", name, "strong")
                        Words("div", says, "soft")
            Words("h2", "Screen")
            with box("row"):
                for words, theme in (("as the phone", ""), ("light", "light"), ("dark", "dark")):
                    Tap(words, partial(_theme, theme))
            Words("h2", "Another car")
            with box("row"):
                link("Begin another car", "/start")


def _theme(theme: str) -> None:
    ui.run_javascript(f"cwTheme('{theme}')")
