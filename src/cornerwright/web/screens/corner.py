"""A corner: moved through its travel and lock, its adjusters tried on paper."""

from __future__ import annotations

import asyncio
from functools import partial
from typing import Any

from nicegui import ui

from cornerwright.drawing.lettering import counted, figure, place_words, reading_words
from cornerwright.drawing.wheel_pose import WIDTH, pose_scale
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_pose import CornerPose, Tried
from cornerwright.web.desk import Desk
from cornerwright.web.overview import value_words
from cornerwright.web.screens.frame import Tap, Words, box, link, picture, refused, screen, when_changed

FOLLOW = 0.05
"""Least time between two answers to a finger [s]."""

SPRING = {"held": "spring held", "loose": "spring loose", "bound": "coils bound"}
STOP = {"clear": "stop clear", "touched": "on the bump stop", "none": "no bump stop"}
DRAG = """(e) => {const g=e.currentTarget;
if(e.type==='pointerdown'){g.setPointerCapture(e.pointerId);g._y=e.clientY;emit(['from',0])}
else if(g.hasPointerCapture(e.pointerId)) emit(['by',(g._y-e.clientY)/g.parentElement.clientWidth])}"""
SHOWN = ("height_mm", "load_kg", "camber_deg", "toe_deg", "caster_deg", "spring_held_mm", "droop_left_mm",
         "bump_left_mm")  # fmt: skip


def register(desk: Desk) -> None:
    """The page of each corner."""

    @ui.page("/corner/{name}")
    def corner_page(name: str) -> None:
        if name not in CORNERS:
            with screen("No such corner", "", desk.state.car.name):
                refused(Refusal.of(f"'{name[:40]}'", f"a corner: {', '.join(CORNERS)}"))
            return
        with screen(place_words(name).capitalize(), "/", desk.state.car.name):
            with box("row corners"):
                for other in CORNERS:
                    if other != name:
                        link(place_words(other), f"/corner/{other}")
            try:
                desk.known()
            except Refusal as refusal:
                refused(refusal)
                return
            with box("wide"):
                with box():
                    _Moving(desk, name)
                with box():
                    _Trying(desk, name)


class _Moving:
    """The wheel on its way."""

    def __init__(self, desk: Desk, name: str) -> None:
        self.desk, self.name = desk, name
        self.pose = desk.pose(name)
        self.start = self.pose.lift_mm
        self.wanted: tuple[float, float | None, bool] | None = None
        self.going = False
        sweep = self.pose.sweep
        self.per_width = WIDTH * pose_scale(self.pose)
        Words("h2", "Move the wheel")
        with box("picture") as frame:
            self.drawing = picture(desk.picture(self.pose), "")
            side = "left" if self.pose.side == "left" else "right"
            grip = box(f"grip {side}").props('aria-hidden="true"')
            grip.on("pointerdown", self._drag, js_handler=DRAG)
            grip.on("pointermove", self._drag, js_handler=DRAG, throttle=FOLLOW)
        frame.mark("picture")
        self.lift = self._range(
            "Wheel up and down, mm from rest",
            sweep.lowest_mm - sweep.rest_mm, sweep.highest_mm - sweep.rest_mm, self._lifted,
        )  # fmt: skip
        self.rack = None
        if sweep.rack_mm is not None:
            self.rack = self._range("Lock, mm of the rack (left is plus)", -sweep.rack_mm, sweep.rack_mm, self._steered)
        with box("row"):
            for words, lift in (
                ("full droop", sweep.lowest_mm), ("at rest", sweep.rest_mm), ("full bump", sweep.highest_mm),
            ):  # fmt: skip
                Tap(words, partial(self._to, lift))
        self.facts = box("four").props('aria-live="polite"').style("margin-top:10px")
        self._show()

    def _range(self, words: str, low: float, high: float, then: Any) -> ui.element:
        label = Words("label", words)
        found = ui.element("input").props(
            f'type="range" min="{low:.1f}" max="{high:.1f}" step="0.5" value="0" aria-label="{words}"'
        )
        found.on("input", then, js_handler="(e) => emit(Number(e.target.value))", throttle=FOLLOW)
        label.style("margin-top:8px")
        return found

    async def _lifted(self, event: Any) -> None:
        await self._to(self.pose.sweep.rest_mm + _number(event.args), handle=False)

    async def _steered(self, event: Any) -> None:
        await self._to(self.pose.lift_mm, _number(event.args), handle=False)

    async def _drag(self, event: Any) -> None:
        what, share = event.args
        if what == "from":
            self.start = self.pose.lift_mm
        else:
            await self._to(self.start + _number(share) * self.per_width)

    async def _to(self, lift: float, rack: float | None = None, *, handle: bool = True) -> None:
        """Go there; of several places asked for meanwhile, by a fast finger, only the last is gone to."""
        self.wanted = (lift, rack, handle)
        if self.going:
            return
        self.going = True
        try:
            while self.wanted is not None:
                wanted, self.wanted = self.wanted, None
                self._go(*wanted)
                await asyncio.sleep(0)
        finally:
            self.going = False

    def _go(self, lift: float, rack: float | None, handle: bool) -> None:
        self.pose = self.desk.pose(self.name, lift, self.pose.rack_mm if rack is None else rack)
        if handle:
            value = self.pose.lift_mm - self.pose.sweep.rest_mm
            ui.run_javascript(f"getHtmlElement({self.lift.id}).value={value:.1f}")
        self._show()

    def _show(self) -> None:
        pose = self.pose
        self.drawing.set_content(self.desk.picture(pose))
        self.facts.clear()
        with self.facts:
            for words, value in _facts(pose):
                with box("fact"):
                    Words("span", words, "soft")
                    Words("b", value)
        sweep = pose.sweep
        measured = (sweep.lowest_is == "measured" and pose.lift_mm <= sweep.lowest_mm + 1e-6) or (
            sweep.highest_is == "measured" and pose.lift_mm >= sweep.highest_mm - 1e-6
        )
        if measured:
            with self.facts:
                Words("p", "Measured only to here; the wheel goes further.", "soft")
        if not pose.inside:
            with self.facts:
                Words("p", "The linkage does not go there.", "word out")


def _number(value: Any) -> float:
    """A number from a browser, whatever it sent."""
    try:
        number = float(value)
    except (TypeError, ValueError):
        return 0.0
    return number if abs(number) < 1e6 else 0.0


def _facts(pose: CornerPose) -> list[tuple[str, str]]:
    found = [
        ("bump left", f"{figure(pose.bump_left_mm, 0)} mm"),
        ("droop left", f"{figure(pose.droop_left_mm, 0)} mm"),
        ("camber", f"{figure(pose.camber_deg, 2)}°"),
        ("toe-in" if pose.toe_deg >= 0 else "toe-out", f"{figure(abs(pose.toe_deg), 2)}°"),
        ("damper", f"{figure(pose.damper_mm, 0)} mm"),
        (SPRING[pose.spring_state], f"{figure(pose.spring_load_n, 0)} N"),
    ]
    if pose.caster_deg is not None:
        found.append(("caster", f"{figure(pose.caster_deg, 2)}°"))
    return [*found, ("bump stop", STOP[pose.stop])]


class _Trying:
    """Adjusters turned on paper."""

    def __init__(self, desk: Desk, name: str) -> None:
        self.desk, self.name = desk, name
        self.steps: dict[str, int] = {}
        Words("h2", "What if I turn…")
        Words("p", "Nothing is written down. All four corners answer.", "soft")
        self.said: dict[str, Words] = {}
        for full in desk.adjusters(name):
            words = full.split(".")[1].replace("_", " ")
            with box("plate"), box("row").style("justify-content:space-between"):
                with box():
                    Words("b", words)
                    self.said[full] = Words("p", "", "soft")
                with box("row"):
                    Tap("−", partial(self._turn, full, -1), label=f"{words}: one step back")
                    Tap("+", partial(self._turn, full, 1), label=f"{words}: one step on").mark(f"on-{full}")
        with box("row"):
            Tap("all back", self._reset)
        self.answer = box().props('aria-live="polite"')
        self._show()
        when_changed(lambda: self.desk.stamp, self._show)

    def _reset(self) -> None:
        self.steps.clear()
        self._show()

    def _turn(self, full: str, by: int) -> None:
        before = dict(self.steps)
        self.steps[full] = self.steps.get(full, 0) + by
        try:
            self._show()
        except Refusal as refusal:
            self.steps = before
            self._show()
            with self.answer:
                refused(refusal)

    def _show(self) -> None:
        if self.desk.adjusters(self.name).keys() != self.said.keys():
            ui.navigate.reload()  # the car has been described anew, with other adjusters
            return
        told = self.desk.what_if({full: count for full, count in self.steps.items() if count})
        for full, adjuster in self.desk.adjusters(self.name).items():
            count = self.steps.get(full, 0)
            stands = f"stands at {counted(adjuster.setting / adjuster.unit_travel, adjuster.unit, signed=False)}"
            if count:
                way = adjuster.words(count * adjuster.step_travel)
                self.said[full].set_text(f"{counted(count * adjuster.step, adjuster.unit)}: {way}")
            else:
                self.said[full].set_text(stands)
        self.answer.clear()
        with self.answer:
            if told.verdict != "stands":
                Words("p", "The car does not stand like this.", "word out")
            for corner in (self.name, *(one for one in CORNERS if one != self.name), "car"):
                rows = [one for one in told.readings if one.corner == corner and _worth_telling(one)]
                if rows:
                    Words("h2", "whole car" if corner == "car" else place_words(corner))
                    _table(rows)


def _worth_telling(one: Tried) -> bool:
    return one.reading in SHOWN or one.corner == "car"


def _table(rows: list[Tried]) -> None:
    with box("", "table"):
        with box("", "thead"), box("", "tr"):
            for words in ("", "now", "then", "wanted"):
                Words("th", words).props('scope="col"')
        with box("", "tbody"):
            for one in rows:
                with box("", "tr"):
                    Words("th", reading_words(one.reading)[0]).props('scope="row"')
                    Words("td", value_words(one.before, one.reading))
                    changed = abs(one.after - one.before) > 5e-3
                    Words("td", value_words(one.after, one.reading) if changed else "same", "" if changed else "soft")
                    wanted = ""
                    if one.inside is not None:
                        wanted = "inside" if one.inside else "outside"
                    Words("td", wanted, "" if one.inside is None else "right" if one.inside else "out").style(
                        f"color:var(--{'right' if one.inside else 'out'});font-weight:700" if wanted else ""
                    )
