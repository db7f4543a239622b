"""Why a number on a screen is what it is: its equation, what goes into it, how sure it is."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

from nicegui import ui

from cornerwright.drawing.lettering import place_words
from cornerwright.drawing.why_words import ORIGINS, cause_words, goes_in, headline, how_sure, number_words, whose
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_why import WhyResult
from cornerwright.planning.why.asking import DRAWN, USUAL_CARS, why
from cornerwright.planning.why.registry import TABLES
from cornerwright.web.desk import Desk, Tell
from cornerwright.web.screens.frame import Words, box, link, screen, table, worked_out
from cornerwright.web.screens.working import answered

ASKED = {
    "stand": "the car at rest",
    "travel": "a wheel through its travel",
    "joint": "a joint",
    "fit": "wheel and tyre",
    "brakes": "brakes",
    "road": "the road",
    "corner": "cornering",
}
"""Answers whose numbers have a value without more being told."""
LONGEST = 120


def why_path(key: str, place: str = "", joint: str = "") -> str:
    """Where a number is explained. place: a corner, or `car`."""
    asked = {"key": key, "corner": place if place in CORNERS else "", "joint": joint}
    return "/why?" + urlencode({name: text for name, text in asked.items() if text})


def why_these(answer: str, place: str = "") -> Words:
    """A way from a screen's numbers to what explains them; answer: a name in ASKED."""
    asked = {"of": answer, "corner": place if place in CORNERS else ""}
    words = f"why these numbers: {ASKED[answer]}{f', {place_words(place)}' if asked['corner'] else ''}"
    return link("why?", "/why?" + urlencode({name: text for name, text in asked.items() if text}), "tap", words)


def register(desk: Desk) -> None:
    """The page of one number, and without a number all that can be asked."""

    @ui.page("/why")
    def why_page(key: str = "", corner: str = "", joint: str = "", of: str = "") -> None:
        with screen("Why", "/more", desk.state.car.name):
            if not key:
                _all(corner, of)
                return
            state = desk.state
            asked = (state.car, key[:LONGEST], corner[:LONGEST] or None, state.readings, joint[:LONGEST] or None)

            def show(told: WhyResult) -> None:
                _one(told)
                if told.value is not None and told.doubt.sigma is None and told.answer in DRAWN:
                    of_cars = f"{state.stamp} {key} {corner}"
                    _surer(desk, of_cars, lambda tell: why(*asked, cars=USUAL_CARS, progress=tell))

            worked_out(lambda: why(*asked), show, "Working it out…")
            link("All that can be asked", f"/why?{urlencode({'corner': corner})}")


def _one(told: WhyResult) -> None:
    with box("plate next"):
        Words("p", told.key if told.place == "car" else f"{told.key}, {whose(told.place)}", "soft")
        Words("p", headline(told), "big")
        Words("p", f"{told.what}.")
    Words("h2", "Equation")
    Words("p", told.equation)
    Words("p", f"Source: {told.source}", "soft")
    for head, kind in ORIGINS:
        own = [one for one in told.inputs if one.comes_from == kind]
        if own:
            Words("h2", head)
            table((), [(one.name, goes_in(one)) for one in own], "pairs")
    Words("h2", "How sure")
    Words("p", how_sure(told))
    if told.doubt.causes:
        table(
            (),
            [(cause_words(one), f"{number_words(one.moves_by)} {told.unit}") for one in told.doubt.causes],
            "pairs",
        )


def _surer(desk: Desk, key: str, work: Callable[[Tell], WhyResult]) -> None:
    """Its scatter over whole cars that the file could mean; that takes a while."""

    def show(found: WhyResult) -> None:
        Words("p", f"{headline(found)}. {how_sure(found)}")

    answered(
        show,
        desk.kept.last("how sure", key),
        (f"Draw {USUAL_CARS} cars that the file could mean",
         lambda tell: desk.kept.anew("how sure", key, lambda: work(tell))),
    )  # fmt: skip


def _all(corner: str, of: str) -> None:
    place = corner if corner in CORNERS else CORNERS[0]
    Words(
        "p",
        "Every number can be asked: what it is, its equation and source, what goes into it, how sure it is.",
        "soft",
    )
    with box("row"):
        for name in CORNERS:
            one = link(place_words(name), "/why?" + urlencode({"corner": name, "of": of}))
            if name == place:
                one.props('aria-current="page"')
    for answer, words in ASKED.items():
        with box("plate", "details") as group:
            if answer == of:
                group.props("open")
            Words("summary", words).style("min-height:48px;display:flex;align-items:center;font-weight:700")
            for key, explained in TABLES[answer].items():  # type: ignore[index]  # its keys are answers
                with link("", why_path(f"{answer}.{key}", place), "plate", f"why {key}"):
                    Words("div", key.replace(".", ", ").replace("_", " "), "strong")
                    Words("div", explained.what, "soft")
