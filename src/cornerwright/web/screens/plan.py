"""Plan: the moves in order as cards to tick, what the gauges will show, what was learned."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from nicegui import ui

from cornerwright.drawing.lettering import counted, figure, place_words, reading_words
from cornerwright.model.errors import Refusal
from cornerwright.model.results_plan import Alternative, Move, PlanResult, Stage
from cornerwright.planning.alternatives import Way
from cornerwright.web.desk import Desk
from cornerwright.web.overview import value_words, where_words
from cornerwright.web.screens.frame import Tap, Words, box, link, say, screen, table, when_changed
from cornerwright.web.screens.learned import learned
from cornerwright.web.screens.why import why_these
from cornerwright.web.screens.working import Working


def register(desk: Desk) -> None:
    """The page of the plan."""

    @ui.page("/plan")
    def plan_page() -> None:
        with screen("Plan", "/plan", desk.state.car.name):
            _Planning(desk)


class _Planning:
    """One phone's view of the plan."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.planned: PlanResult | None = None
        self.working = Working[PlanResult](
            lambda _: self._show(),
            ("Work out what to turn", desk.make_plan),
            ("Look for other ways too", partial(desk.make_plan, other_ways=True)),
        )
        self.held = box()
        self._show()
        when_changed(lambda: desk.stamp, self._show)

    async def _pick(self, way: Way) -> None:
        await self.working.begin(partial(self.desk.make_plan, way=way))

    def _show(self) -> None:
        """Show the plan anew where it is another one; else the ticks only, so that no card moves under a finger."""
        planned = self.desk.plan()
        if planned is not None and planned is self.planned:
            self._mark(planned)
            return
        self.planned = planned
        self.cards: dict[int, _Card] = {}
        self.held.clear()
        with self.held:
            if planned is None:
                Words("p", "No plan yet. It starts from the last round of readings.")
                link("Read the car first", "/measure")
                learned(self.desk)
                return
            self.count = _verdict(planned)
            link("Work card (PDF)", "/plan.pdf").props('target="_blank"')
            self._ways(planned)
            for part in planned.parts:
                with box("plate next"):
                    Words("div", f"{place_words(part.place)}: {part.part}", "strong")
                    Words("p", f"out {part.takes_out}, in {part.puts_in}; about {part.minutes:.0f} min")
            for stage in planned.stages:
                self._stage(planned, stage)
            self.then = link("All is turned: read the car again", "/measure", "tap first")
            _foretold(planned)
            _cautions(planned)
        self._mark(planned)

    def _mark(self, planned: PlanResult) -> None:
        made = self.desk.ticked()
        for number, card in self.cards.items():
            card.show(number in made)
        self.count.set_text(f"{len(made)} of {len(planned.moves)} moves made; about {planned.minutes:.0f} min in all")
        self.then.set_visibility(bool(planned.moves) and len(made) == len(planned.moves))

    def _ways(self, planned: PlanResult) -> None:
        """Other ways to the same targets, to pick from."""
        found = self.desk.ways()
        if found is None:
            return
        Words("h2", "Ways to the same targets")
        if not found.alternatives:
            Words("p", "No other way differs from this one.", "soft")
            return
        with box("measure"):
            self._way("best chance", found, planned.way is None, self._best)
            for one in found.alternatives:
                self._way(one.name, one, planned.way == one.name, partial(self._pick, one.name))

    def _way(self, name: str, one: PlanResult | Alternative, followed: bool, then: Callable[[], Any]) -> None:
        with box(f"plate {'next' if followed else ''}").mark(f"way-{name}"):
            if followed:
                Words("span", "followed", "word next")
            Words("span", name, "strong lead" if followed else "strong")
            chance = "" if one.chance is None else f"{one.chance:.0%} chance; "
            Words("p", f"{chance}about {one.minutes:.0f} min, {len(one.moves)} moves; {one.verdict}")
            for short in one.short_of:
                what = reading_words(short.reading)[0]
                Words(
                    "p", f"{place_words(short.corner)}: {what} comes to {value_words(short.predicted, short.reading)}"
                )
            if not followed:
                Tap("follow this one", then, label=f"follow this one: {name}")

    def _best(self) -> None:
        try:
            self.desk.best_way()
        except Refusal as refusal:
            say(str(refusal))
        self._show()

    def _stage(self, planned: PlanResult, stage: Stage) -> None:
        with box("", "section"):
            Words("h2", stage.title)
            for task in stage.tasks:
                Words("p", task, "soft")
            for number, move in enumerate(planned.moves):
                if move.stage != stage.name:
                    continue
                self.cards[number] = _Card(move, number, self._tick)
            for gauge in stage.by_gauge:
                words, unit = reading_words(gauge.reading)
                Words(
                    "p",
                    f"{place_words(gauge.corner)}: turn on until {words} shows {figure(gauge.shows, 2)}{unit} "
                    f"± {figure(gauge.leave_within, 2)}; 1 {gauge.unit} is {figure(gauge.per_unit, 2, signed=True)}",
                )
            if stage.check:
                Words("p", f"Then: {stage.check}")

    def _tick(self, number: int) -> None:
        try:
            self.desk.tick(number, number not in self.desk.ticked(), self.desk.ledger.get("who") or "")
        except Refusal as refusal:
            say(str(refusal))
        self._show()


class _Card:
    """One move, to be ticked off."""

    def __init__(self, move: Move, number: int, then: Callable[[int], None]) -> None:
        name = f"{place_words(move.corner)} {move.adjuster.replace('_', ' ')}"
        amount = counted(move.amount, move.unit, signed=False)
        self.card = box("plate tick next", "button").props('type="button" role="checkbox"').mark(f"move-{number}")
        self.card.props(f'aria-label="{name}, {amount}, {move.do}"')
        self.card.on("click", lambda: then(number))
        with self.card:
            self.sign = Words("span", "", "box").props('aria-hidden="true"')
            with box():
                Words("div", name)
                Words("div", amount, "big")
                Words("div", move.do)
                before, after = figure(move.from_mm, 1), figure(move.to_mm, 1)
                Words("div", f"from {before} to {after} mm; about {move.minutes:.0f} min", "soft")
        self.show(False)

    def show(self, made: bool) -> None:
        """Whether it is made."""
        self.sign.set_text("✓" if made else "")
        self.card.props(f'aria-checked="{"true" if made else "false"}"')
        new, old = ("right done", "next") if made else ("next", "right done")
        self.card.classes(add=new, remove=old)


def _verdict(planned: PlanResult) -> Words:
    """What the plan comes to; the place of the count of moves made."""
    tone = "right" if planned.verdict == "reaches all targets" else "out"
    with box(f"plate {tone}"):
        Words("span", planned.verdict, f"word {tone}")
        if planned.chance is not None:
            Words("p", f"{planned.chance:.0%}", "big")
            Words("p", "chance that everything wanted is right after this pass")
        count = Words("p", "", "soft").props('role="status"')
    for short in planned.short_of:
        with box("plate out"):
            place, words = place_words(short.corner), reading_words(short.reading)[0]
            Words("p", f"{place}: {words} comes to {value_words(short.predicted, short.reading)}")
            Words("p", f"{short.why}; {short.needs}")
    for one in planned.findings:
        if one.level != "note":
            with box("plate stale"):
                Words("p", f"{place_words(one.place)}: {one.says}")
                if one.do:
                    Words("p", one.do, "soft")
    return count


def _foretold(planned: PlanResult) -> None:
    if not planned.predicted:
        return
    Words("h2", "What the gauges will show")
    why_these("stand")
    for place, own in planned.predicted.items():
        rows = {key: one for key, one in own.items() if one.low is not None or one.high is not None}
        if not rows:
            continue
        Words("h2", where_words(place)).style("font-size:17px")
        table(
            ("", "now", "then", "chance"),
            [
                (
                    reading_words(key)[0],
                    "" if one.now is None else value_words(one.now, key),
                    value_words(one.value, key),
                    "" if one.chance is None else f"{one.chance:.0%}",
                )
                for key, one in rows.items()
            ],
        )


def _cautions(planned: PlanResult) -> None:
    if planned.cautions:
        Words("h2", "Before you begin")
        for words in planned.cautions:
            with box("plate stale"):
                Words("p", words)
