"""A corner's adjusters turned on paper, as the hand counts them, and what all four corners answer."""

from __future__ import annotations

from functools import partial

from nicegui import ui

from cornerwright.assembly.at_hand import at_hand, most_steps
from cornerwright.drawing.lettering import counted, figure, place_words, reading_words
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results_pose import AtHand, Tried, WhatIf
from cornerwright.planning.trying import moved_most
from cornerwright.web.desk import Desk
from cornerwright.web.overview import value_words, where_words
from cornerwright.web.screens.frame import Cell, Tap, Words, aside, box, refused, table, the_last, when_changed
from cornerwright.web.screens.why import why_these

SHOWN = ("height_mm", "load_kg", "camber_deg", "toe_deg", "caster_deg", "spring_held_mm", "droop_left_mm",
         "bump_left_mm")  # fmt: skip
MOST = 3
"""Readings told of a corner before the rest."""

OFF = {"wheel_on": "wheel stays on", "wheel_off": "wheel comes off", "arm_off": "arm comes off"}


def hand_words(count: float, hand: AtHand, signed: bool = False) -> str:
    """A count of an adjuster's unit; many flats in turns too."""
    words = counted(count, hand.unit, signed=signed)
    per_turn = hand.step * hand.stride if hand.unit == "flat" and hand.stride and hand.stride_unit == "turn" else 0.0
    if per_turn and abs(count) >= per_turn:
        words += f" ({counted(count / per_turn, 'turn', signed=signed)})"
    return words


class Trying:
    """Adjusters turned on paper."""

    def __init__(self, desk: Desk, name: str) -> None:
        self.desk, self.name = desk, name
        self.steps: dict[str, int] = {}
        self._ask = the_last(self._work)
        self.rows: dict[str, _Row] = {}
        Words("h2", "What if I turn…")
        Words("p", "Nothing is written down. All four corners answer. Hold a button to go on.", "soft")
        adjusters = desk.adjusters(name)
        for full in adjusters:
            self.rows[full] = _Row(self, full, at_hand(full, adjusters[full]), first=not self.rows)
        if not adjusters:
            Words("p", "Nothing of this corner is adjusted.", "soft")
        self.answer = box("answer").props('aria-live="polite"')
        self._tell(self.desk.what_if({}))
        when_changed(lambda: self.desk.stamp, self._again)

    def turn(self, full: str, by: int) -> None:
        """Try so many smallest steps more, as far as the adjuster goes."""
        low, high = most_steps(self.desk.adjusters(self.name)[full])
        count = min(max(self.steps.get(full, 0) + by, low), high)
        if count == self.steps.get(full, 0):
            return
        self.steps[full] = count
        self._count(full)
        self._ask()

    async def _work(self) -> None:
        steps = {full: count for full, count in self.steps.items() if count}
        try:
            told: WhatIf | None = await aside(self.desk.what_if, steps)
        except Refusal as refusal:
            self.answer.clear()
            with self.answer:
                refused(refusal)
            return
        if told is not None:  # the server is ending
            self._tell(told)

    def _reset(self) -> None:
        turned = [full for full, count in self.steps.items() if count]
        self.steps.clear()
        for full in turned:
            self._count(full)
        self._ask()

    def _again(self) -> None:
        if self.desk.adjusters(self.name).keys() != self.rows.keys():
            ui.navigate.reload()  # the car has been described anew, with other adjusters
            return
        for full in self.rows:
            self._count(full)
        self._ask()

    def _count(self, full: str) -> None:
        adjuster = self.desk.adjusters(self.name)[full]
        low, high = most_steps(adjuster)
        self.steps[full] = min(max(self.steps.get(full, 0), low), high)
        self.rows[full].show(at_hand(full, adjuster, self.steps[full]))

    # ------------------------------------------------------------------ the answer

    def _tell(self, told: WhatIf) -> None:
        self.answer.clear()
        with self.answer:
            if told.verdict != "stands":
                Words("p", "The car does not stand like this.", "word out")
                return
            tried = any(self.steps.values())
            self._limits(told, tried)
            with box("row"):
                Words("h2", "All four corners")
                if tried:
                    Tap("all back", self._reset)
            with box("grid2"):
                for corner in CORNERS:
                    self._corner(told, corner, tried)
            self._corner(told, "car", tried)
            for one in told.clearances:
                near = f"{place_words(one.corner)}, least clearance over all travel and lock: "
                same = abs(one.after_mm - one.before_mm) < 0.05
                after = "the same" if same else f"then {figure(one.after_mm, 1)} mm"
                Words("p", f"{near}{figure(one.before_mm, 1)} mm, {after} ({place_words(one.obstacle)})")
            with box("more", "details"):
                Words("summary", "every reading, now and then")
                why_these("stand", self.name)
                for place in (self.name, *(one for one in CORNERS if one != self.name), "car"):
                    rows = [one for one in told.readings if one.corner == place and _worth_telling(one)]
                    if rows:
                        Words("h3", where_words(place))
                        table(("", "now", "then", "wanted"), map(_row_of, rows))

    @staticmethod
    def _limits(told: WhatIf, tried: bool) -> None:
        for one in told.breaks:
            with box("plate out").props('role="alert"' if tried and not one.already else ""):
                Words("b", "hard limit: " if one.already else "this breaks a hard limit: ", "out-text")
                already = ", as it stands now too" if one.already else ""
                Words("span", f"{place_words(one.corner)}: {one.says} ({one.by} over{already})")
        for clear in told.clearances:
            if clear.after_mm < clear.gap_mm - 1e-9:
                touches = clear.after_mm < 0
                with box("plate out" if touches else "plate stale").props('role="alert"'):
                    words = "this touches: " if touches else "nearer than wanted: "
                    Words("b", words, "out-text" if touches else "stale-text")
                    how = f"by {figure(-clear.after_mm, 1)} mm" if touches else f"to {figure(clear.after_mm, 1)} mm"
                    Words("span", f"{place_words(clear.corner)}, {place_words(clear.obstacle)}, {how}")

    def _corner(self, told: WhatIf, corner: str, tried: bool) -> None:
        """What changes most at one corner."""
        readings = {one.reading: one for one in told.readings if one.corner == corner}
        most = moved_most(told, corner, MOST)
        if corner == "car" and not most:
            return
        with box("plate answer-of"):
            Words("b", where_words(corner))
            if not tried:
                keys = [key for key in SHOWN[:4] if key in readings]
                for key in keys:
                    _line(reading_words(key)[0], value_words(readings[key].before, key), readings[key])
                return
            if not most:
                Words("p", "stays as it is", "soft")
            for key in most:
                one = readings[key]
                by = one.after - one.before
                sign = "+" if by > 0 else "−"
                _line(f"{reading_words(key)[0]} {sign}{value_words(abs(by), key)}", value_words(one.after, key), one)


def _line(words: str, value: str, one: Tried) -> None:
    with box("said-line"):
        Words("span", words)
        Words("b", value)
        if one.inside is not None:
            Words("span", "as wanted" if one.inside else "out", "right-text" if one.inside else "out-text")


class _Row:
    """One adjuster: where it stands, what is left of it, its buttons."""

    def __init__(self, of: Trying, full: str, hand: AtHand, first: bool) -> None:
        place, name = full.split(".")
        words = place_words(name)
        if place in ("front", "rear"):
            words += " (of the axle)"
        with box("plate adjuster", "details").props('name="adjuster"') as row:
            if first:
                row.props("open")
            with box("", "summary"):
                Words("b", words)
                self.tried = Words("b", "", "mark-text said")
                self.stands = Words("span", "", "soft said")
            self.does = Words("p", "")
            with box("range").props('aria-hidden="true"'):
                self.pin = box("pin", "i")
            self.left = Words("p", "", "soft")
            stride, step = hand.stride, counted(hand.step, hand.unit, signed=False)
            with box("steps"):
                taps = [(-1, f"−{step}", "one step back"), (1, f"+{step}", "one step on")]
                if stride is not None:
                    count = hand.step * stride if hand.stride_unit == hand.unit else 1.0
                    long = counted(count, hand.stride_unit, signed=False)
                    taps = [(-stride, f"−{long}", f"{long} back"), *taps, (stride, f"+{long}", f"{long} on")]
                for by, short, label in taps:
                    tap = Tap(short, partial(of.turn, full, by), label=f"{words}: {label}")
                    tap.props("data-hold")
                    tap.mark(f"{'on' if by == 1 else 'back' if by == -1 else 'far' if by > 0 else 'far-back'}-{full}")
        self.show(hand)

    def show(self, hand: AtHand) -> None:
        """Tell where it stands with what is tried."""
        self.tried.set_text(hand_words(hand.tried, hand, signed=True) if hand.tried else "")
        self.stands.set_text("" if hand.tried else f"at {hand_words(hand.stands, hand)}")
        self.does.set_text(hand.does or f"{OFF[hand.reach]}; + {hand.plus}, − {hand.minus}")
        self.pin.style(f"left:{100 * hand.share:.1f}%")
        back, on = hand_words(hand.left_back, hand), hand_words(hand.left_on, hand)
        self.left.set_text(f"left: − {back}, + {on}")


def _worth_telling(one: Tried) -> bool:
    return one.reading in SHOWN or one.corner == "car"


def _row_of(one: Tried) -> tuple[Cell, ...]:
    """What it is, now, then, and whether that is wanted."""
    then: Cell = ("same", "soft")
    if abs(one.after - one.before) > 5e-3:
        then = value_words(one.after, one.reading)
    wanted: Cell = ""
    if one.inside is not None:
        wanted = ("inside", "right-text") if one.inside else ("outside", "out-text")
    return reading_words(one.reading)[0], value_words(one.before, one.reading), then, wanted
