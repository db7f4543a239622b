"""Choose: which springs, bars and dampers to buy; a picture of choices, and what each gives up, costs and takes."""

from __future__ import annotations

from functools import partial

from nicegui import ui

from cornerwright.drawing.choice_charts import TITLES, answer
from cornerwright.drawing.lettering import counted, figure, place_words
from cornerwright.model.results_choose import Choice, ChooseResult
from cornerwright.web.choice_work import ChoiceWork
from cornerwright.web.desk import Desk
from cornerwright.web.screens.frame import Words, box, picture, screen
from cornerwright.web.screens.working import answered

PHONE = 92.0
"""Width of a chart whose lettering is read on a phone [mm of paper]."""
TONES = {"meets all wishes": "right", "gives something up": "stale", "nothing fits": "out"}


def register(desk: Desk) -> None:
    """The page of the choice."""
    work = ChoiceWork(desk)

    @ui.page("/choose")
    def choose_page() -> None:
        with screen("Choose parts", "/more", desk.state.car.name):
            _choosing(work)


def _choosing(work: ChoiceWork) -> None:
    names = " or ".join(path.name for path in work.places)
    Words("p", f"From the shelf beside the car ({names}), for the wishes under `ride` in its targets.", "soft")
    answered(partial(_answer, work), work.last(), ("Weigh the shelf", work.choose))


def _answer(work: ChoiceWork, found: ChooseResult) -> None:
    with box(f"plate {TONES[found.verdict]}"):
        Words("span", found.verdict, f"word {TONES[found.verdict]}")
        Words("p", answer(found))
        Words("p", f"{found.tried} sets of parts weighed, {found.within_limits} within hard limits.", "soft")
    with box("wide"):
        with box():
            picture(work.picture(found, PHONE), "picture chart")
        with box():
            for one in found.choices:
                _choice(found, one)
    for way in found.in_the_way:
        title = TITLES[way.wish][0].split(",")[0] if way.wish in TITLES else place_words(way.wish)
        Words("p", f"{title}: {way.says}.")
    for out in found.left_out:
        Words("p", f"Left out, {place_words(out.place)}: {out.count}, {out.why}", "soft")
    for words in (*found.cautions, *found.assumed):
        Words("p", words, "soft")


def _choice(found: ChooseResult, one: Choice) -> None:
    with box(f"plate {'right' if one.meets_all else 'stale'}"):
        unpriced = ", not all prices known" if one.unpriced else ""
        Words("p", f"{one.letter}: {figure(one.price)} {found.currency}{unpriced}", "big")
        Words("p", f"gives up {one.gives_up}")
        for part in one.parts:
            Words("p", f"{part.place} {part.part}: {part.puts_in} for {part.takes_out}")
        if not one.parts:
            Words("p", "the parts that are on the car")
        hours = one.minutes / 60.0
        work = f"{figure(hours, 1)} h of work" if hours >= 1.0 else f"{figure(one.minutes)} min of work"
        with box("", "details"):
            Words("summary", f"{len(one.plan.moves)} moves; {work}; {one.plan.verdict}").style(
                "min-height:48px;display:flex;align-items:center;font-weight:700"
            )
            for move in one.plan.moves:
                name = f"{place_words(move.corner)} {place_words(move.adjuster)}"
                Words("p", f"{name}: {counted(move.amount, move.unit)}, {move.do}")
            for short in one.plan.short_of:
                Words("p", f"{place_words(short.corner)} {place_words(short.reading)}: {short.needs}")
