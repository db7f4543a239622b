"""What was learned: predicted against read, what the readings taught, what they cannot see, what to read next."""

from __future__ import annotations

from nicegui import ui

from cornerwright.drawing.lettering import figure, place_words, reading_words
from cornerwright.model.results_plan import LearnResult
from cornerwright.planning.afterwards import Against, against
from cornerwright.planning.lessons import teach
from cornerwright.web.desk import Desk
from cornerwright.web.overview import value_words, where_words
from cornerwright.web.screens.frame import Words, box, link, screen, table, worked_out
from cornerwright.web.screens.jobs import finding

VERDICTS = {
    "not converged": "The readings could not be fitted to the car file.",
    "does not stand": "The car as its file has it does not stand on its springs.",
    "nothing read": "Nothing was read that could teach.",
}


def register(desk: Desk) -> None:
    """The page of what was learned."""

    @ui.page("/learned")
    def learned_page() -> None:
        with screen("What was learned", "/more", desk.state.car.name):
            learned(desk)


def learned(desk: Desk) -> None:
    """All of it, worked out aside."""
    state = desk.state
    readings = state.readings
    if readings is None:
        Words("p", "Nothing was read yet.", "soft")
        link("Read the car", "/measure")
        return

    def show(told: LearnResult) -> None:
        last = desk.last_plan()
        if last is not None:
            _against(last[1], against(last[0], readings.latest))
        _taught(told)

    worked_out(lambda: teach(state.car, readings), show, "Looking at what the readings teach…")


def _against(whole: bool, rows: tuple[Against, ...]) -> None:
    if not rows:
        return
    Words("h2", "Predicted and read")
    if not whole:
        Words("p", "Not every move of the plan was made: what was predicted holds for all of them.", "soft")
    off = sum(not one.explained for one in rows)
    if whole and off:
        with box("plate stale"):
            Words("p", f"{off} of {len(rows)} readings are further off than gauges and model explain: read them again.")
    table(
        ("", "predicted", "read", "off by"),
        [
            (
                f"{place_words(one.corner)} {reading_words(one.key)[0]}",
                f"{value_words(one.predicted, one.key)} ± {figure(one.sigma, 2)}",
                value_words(one.read, one.key) + ("" if one.inside is None else " ✓" if one.inside else " out"),
                value_words(one.off, one.key) + ("" if one.explained else " !"),
            )
            for one in rows
        ],
    )
    Words("p", "✓ as wanted; ! further off than twice the predicted scatter.", "soft")


def _taught(told: LearnResult) -> None:
    Words("h2", "What the readings taught")
    if told.verdict != "fitted":
        with box("plate out"):
            Words("p", VERDICTS.get(told.verdict, told.verdict))
    for one in told.findings:
        finding(one)
    Words("p", f"{told.passes_used} pass{'' if told.passes_used == 1 else 'es'} used", "soft")
    if told.passes_without_settings:
        numbers = ", ".join(str(number) for number in told.passes_without_settings)
        Words("p", f"Pass {numbers} could not teach: the settings it was read at are not told.", "soft")
    if told.learned:
        table(
            ("", "against the file", "doubt left", "before"),
            [
                (_plain(one.what), f"{figure(one.change, 2, signed=True)} {one.unit}", figure(one.sigma, 2),
                 figure(one.sigma_before, 2))
                for one in told.learned
            ],
        )  # fmt: skip
    else:
        Words("p", "Nothing that was not in the file.", "soft")
    if told.more_learned:
        Words("p", f"and {told.more_learned} more", "soft")
    if told.read_next:
        Words("h2", "What to read next")
        for wanted in told.read_next:
            where = where_words(wanted.corner)
            again = "once more" if wanted.again else "not read yet"
            words = wanted.reading.replace("_", " ")
            Words("p", f"{where}: {words} ({again}); takes {wanted.takes_off_percent:.0f} % off the doubt")
    if told.unseen:
        with box("", "details"):
            Words("summary", f"What they cannot see: {len(told.unseen)}")
            Words("p", "; ".join(_plain(one) for one in told.unseen))


def _plain(name: str) -> str:
    return name.replace("_", " ").replace(".", " ")
