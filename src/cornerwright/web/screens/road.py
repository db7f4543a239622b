"""Road: will it bottom where I drive, will it push or slide; the answer first, then why."""

from __future__ import annotations

from collections.abc import Sequence

from nicegui import ui

from cornerwright.drawing.corner_charts import answer as circle_answer
from cornerwright.drawing.corner_charts import corner_charts
from cornerwright.drawing.doubt_words import figure_name, least_sure, measure_first, spread_words
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.drawing.road_charts import answer as road_answer
from cornerwright.drawing.road_charts import road_charts
from cornerwright.model.results import Finding
from cornerwright.model.results_corner import CornerResult
from cornerwright.model.results_doubt import DoubtResult
from cornerwright.model.results_road import RoadResult
from cornerwright.web.desk import Desk
from cornerwright.web.look import on_screen
from cornerwright.web.road_work import AXLE, CLASS, OF, RADIUS, SPEED_WISH, RoadWork, Wish
from cornerwright.web.screens.fields import TYPING, VALUE, select, tell_field, trouble
from cornerwright.web.screens.frame import Words, box, picture, screen, table
from cornerwright.web.screens.jobs import finding
from cornerwright.web.screens.why import why_these
from cornerwright.web.screens.working import answered

PHONE = 92.0
"""Width of a chart whose lettering is read on a phone [mm of paper]."""


def register(desk: Desk) -> None:
    """The page of the road."""
    work = RoadWork(desk)

    @ui.page("/road")
    def road_page() -> None:
        with screen("On the road", "/more", desk.state.car.name):
            Words("p", "The car as your passes have taught it, as it is turned now.", "soft")
            with box("wide"):
                with box("", "section").props('aria-label="Road"'):
                    _road(work)
                with box("", "section").props('aria-label="Cornering"'):
                    _circle(work)
            with box("", "section").props('aria-label="Doubt"'):
                _doubt(work)


def _road(work: RoadWork) -> None:
    Words("h2", "Will it bottom?")
    for wish in (CLASS, SPEED_WISH):
        _field(work, wish)
    answered(_tell_road, work.last_road(), ("Drive a minute of it", work.road))


def _tell_road(found: RoadResult) -> None:
    tone = "right" if found.verdict == "keeps its travel" else "out"
    with box(f"plate {tone}"):
        Words("span", found.verdict, f"word {tone}")
        Words("p", road_answer(found))
        if found.weighted_m_per_s2 is not None:
            Words("p", f"{figure(found.weighted_m_per_s2, 2)} m/s² weighted: {found.feel} (ISO 2631-1)", "soft")
    _findings(found.findings)
    if found.corners:
        table(
            ("", "stroke used, mm", "bottoms/min", "load ±%"),
            [
                (
                    place_words(name),
                    f"{figure(one.least_mm)} to {figure(one.most_mm)} of {figure(one.stroke_mm)}",
                    figure(one.bottoms_per_minute),
                    "-" if one.load_variation_percent is None else figure(one.load_variation_percent),
                )
                for name, one in found.corners.items()
            ],
        )
    why_these("road")
    picture(on_screen(road_charts(found, PHONE).svg()), "picture chart")
    for words in found.cautions:
        Words("p", words)
    _small(found.assumed)


def _circle(work: RoadWork) -> None:
    Words("h2", "Will it push or slide?")
    for wish in (RADIUS, AXLE):
        _field(work, wish)
    answered(_tell_circle, work.last_circle(), ("Turn faster and faster", work.circle))


def _tell_circle(found: CornerResult) -> None:
    tone = {"turns over": "out", "slides at the rear": "stale"}.get(found.verdict, "right")
    with box(f"plate {tone}"):
        Words("span", found.verdict, f"word {tone}")
        Words("p", circle_answer(found))
        Words(
            "p",
            f"It rolls {figure(found.roll_deg_per_g, 1)}° per g; slow, it asks for "
            f"{figure(found.understeer_deg_per_g, 2, True)}° of steer per g; the front takes "
            f"{figure(found.front_transfer_percent)} % of what goes over.",
            "soft",
        )
    _findings(found.findings)
    why_these("corner")
    picture(on_screen(corner_charts(found, PHONE).svg()), "picture chart")
    if found.slides:
        Words("h2", "Held in a slide by the driver")
        Words("p", "On closed ground only. Such a turn does not hold itself: lift off, and the car spins.")
        table(
            ("slip°", "km/h", "steer°", "kW"),
            [
                (figure(one.slip_deg), figure(one.speed_km_per_h), figure(one.steer_deg, 1),
                 figure(one.power_kw))
                for one in found.slides
            ],
        )  # fmt: skip
    _small(found.assumed)


def _doubt(work: RoadWork) -> None:
    Words("h2", "How sure is that?")
    _field(work, OF)
    answered(_tell_doubt, work.last_doubt(), ("Draw cars that the file could mean", work.doubt))


def _tell_doubt(found: DoubtResult) -> None:
    if not found.measure:
        Words("p", "Too few of the cars that the file could mean give figures.", "word out")
        return
    with box("plate next"):
        Words("p", measure_first(found.measure))
        for one in found.measure[:1]:
            if one.how is not None:
                Words("p", one.how, "soft")
    table(
        ("", "9 cars of 10", "mostly because of"),
        [
            (
                figure_name(one.reading, one.place),
                spread_words(one),
                ", ".join(f"{cause.what} {figure(cause.total_percent)} %" for cause in one.causes[:2]),
            )
            for one in least_sure(found.readings)
        ],
    )
    Words("p", f"{found.cars} cars drawn; shares are total Sobol' indices.", "soft")


def _field(work: RoadWork, wish: Wish) -> None:
    """A field, kept as it is typed."""
    name = wish.name.replace(".", "-")
    Words("label", wish.words).props(f'for="{name}"')

    def typed(text: str) -> None:
        wrong = work.enter(wish, text[:40])
        told.set_text(wrong or "")
        tell_field("cwWrong", wish.name, bool(wrong))

    now = work.wished(wish)
    if wish.among:
        select(name, {choice: choice for choice in wish.among}, now, typed)
    else:
        one = (
            ui.element("input")
            .classes("field")
            .props(f'id="{name}" inputmode="decimal" autocomplete="off" maxlength="12" data-field="{wish.name}"')
        )
        one.props["value"] = now
        one.on("input", lambda event: typed(str(event.args or "")), js_handler=VALUE, throttle=TYPING)
    told = trouble()


def _findings(found: Sequence[Finding]) -> None:
    for one in found:
        if one.level != "note":
            finding(one)


def _small(assumed: Sequence[str]) -> None:
    for words in assumed:
        Words("p", words, "soft")
