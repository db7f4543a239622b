"""A corner: moved through its travel and lock, from behind or turned in three dimensions."""

from __future__ import annotations

import json
from html import escape
from pathlib import Path
from typing import Any

from nicegui import ui

from cornerwright.drawing.lettering import figure, place_words
from cornerwright.drawing.wheel_pose import WIDTH, pose_scale, wheel_pose
from cornerwright.drawing.wheel_scene import said
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.web.desk import Desk
from cornerwright.web.following import STEP, Follower, Shown, Told
from cornerwright.web.look import TARGET
from cornerwright.web.screens.frame import Words, box, link, picture, refused, screen, table, worked_out
from cornerwright.web.screens.trying import Trying

SCRIPTS = ("corner.js", "solid.js")
FACTS = (
    ("bump travel", "bump"), ("droop travel", "droop"), ("bump stop", "stop"),
    ("camber", "camber"), ("toe", "toe"), ("caster", "caster"),
    ("damper", "damper"), ("spring", "spring"),
)  # fmt: skip
"""What is said beside the drawing, and the name of its text."""

UNITS = {"lift": "mm from rest", "rack": "mm of the rack", "turn": "degrees"}


def register(desk: Desk) -> None:
    """The page of each corner."""
    _ = ui.scene  # three.js is then among what the browser may ask this machine for
    own = Path(__file__).parent
    script = "<script>" + "".join((own / name).read_text(encoding="utf-8") for name in SCRIPTS) + "</script>"
    sheet = (own / "corner.css").read_text(encoding="utf-8").replace("TARGET", f"{TARGET}px")

    @ui.page("/corner/{name}")
    def corner_page(name: str) -> None:
        if name not in CORNERS:
            with screen("No such corner", "", desk.state.car.name):
                refused(Refusal.of(f"'{name[:40]}'", f"a corner: {', '.join(CORNERS)}"))
            return
        with screen(place_words(name).capitalize(), "/", desk.state.car.name):
            ui.add_head_html(f"<style>{sheet}</style>{script}")
            with box("corners", "nav").props('aria-label="Corners"'):
                for other in CORNERS:
                    one = link(place_words(other), f"/corner/{other}", "tap here" if other == name else "tap")
                    if other == name:
                        one.props('aria-current="page"')

            def ahead() -> str:
                """What is kept once it is worked out; the layout then only looks it up."""
                desk.places(name).at(0.0)
                desk.what_if({})
                return name

            def lay_out(name: str) -> None:
                with box("wide"):
                    with box():
                        Moving(desk, name)
                    with box():
                        Trying(desk, name)

            worked_out(ahead, lay_out, "Looking at the car…")


class Moving:
    """The wheel on its way."""

    def __init__(self, desk: Desk, name: str) -> None:
        self.desk, self.name = desk, name
        places = desk.places(name)
        shown = places.at(0.0)
        self.follower = Follower(places, shown)
        self.lift, self.across = 0.0, 0.0
        self.stamp = desk.known()
        Words("h2", "Move the wheel", "unseen")
        with box("pose") as self.pose:
            self._pictures(shown)
            self._handles(shown)
            self._taps(shown)
            self._facts(shown)
            Words("p", "", "spoken unseen").props('role="status"')
        self.pose.mark("pose")
        self.pose.on("ask", self._asked, js_handler="(e) => emit(e.detail)")
        start = json.dumps(shown.handles)
        ui.timer(0.05, lambda: ui.run_javascript(f"Object.assign(cwCorner.at,{start})"), once=True)

    # ------------------------------------------------------------------ what is there

    def _pictures(self, shown: Shown) -> None:
        pose, what = shown.pose, self.follower.places.across
        page = wheel_pose(pose, pose)
        wide = WIDTH * pose_scale(pose)
        with box("picture framed").style(f"--shape:{page.width / page.height:.4f}") as frame:
            picture(shown.picture, "drawing")
            grip = box(f"grip {pose.side}").props(
                f'aria-hidden="true" data-wide="{wide:.1f}" data-across="{"" if what is None else what[0]}" '
                f'data-aside="{0 if what is None else 1.6 * (what[2] - what[1]):.1f}"'
            )
            for event in ("pointerdown", "pointermove"):
                grip.on(event, js_handler="(e) => cwCorner.drag(e)")
            middle, reach = self.follower.places.middle
            about = ",".join(f"{part:.1f}" for part in middle)
            side = 1 if pose.side == "left" else -1
            with box("solid").props(f'data-side="{side}" data-middle="{about}" data-reach="{reach:.1f}"'):
                ui.element("canvas").props(f'tabindex="0" role="img" aria-label="{escape(said(pose))}"')
                with box("views"):
                    for words in ("behind", "outside", "above"):
                        Words("button", words, "tap").props(
                            f'type="button" data-from="{words}" aria-label="seen from {words}"'
                        )
        frame.mark("picture")

    def _handles(self, shown: Shown) -> None:
        sweep, what = shown.pose.sweep, self.follower.places.across
        low, high = sweep.lowest_mm - sweep.rest_mm, sweep.highest_mm - sweep.rest_mm
        self._slider("lift", "travel", "Wheel up and down, mm from rest", low, high)
        if what is not None:
            unit = "mm of the rack" if what[0] == "rack" else "degrees"
            self._slider(what[0], "lock", f"Lock, {unit}, left is plus", what[1], what[2])

    def _slider(self, name: str, short: str, words: str, low: float, high: float) -> None:
        with box("slider"):
            Words("span", short).props('aria-hidden="true"')
            found = ui.element("input").props(
                f'type="range" min="{low:.2f}" max="{high:.2f}" step="{STEP}" value="0" aria-label="{words}" '
                f'data-handle="{name}" data-unit="{UNITS[name]}"'
            )
            found.on("input", js_handler="(e) => cwCorner.slide(e.target)")

    def _taps(self, shown: Shown) -> None:
        sweep = shown.pose.sweep
        ways = [("droop", "full droop", sweep.lowest_mm), ("rest", "as the car stands", sweep.rest_mm),
                ("bump", "full bump", sweep.highest_mm)]  # fmt: skip
        with box("ways"):
            for words, label, lift in ways:
                tap = Words("button", words, "tap").props(f'type="button" aria-label="wheel to {label}"')
                tap.on("click", js_handler=f"() => cwCorner.to({lift - sweep.rest_mm:.3f})")
            if self.follower.places.across is not None:
                tap = Words("button", "ahead", "tap").props('type="button" aria-label="wheels straight ahead"')
                tap.on("click", js_handler="() => cwCorner.to(0, 0)")
            for view, words, label in (
                ("drawing", "flat", "drawing from behind"),
                ("solid", "3-D", "view in three dimensions, to be turned"),
            ):
                tap = Words("button", words, "tap view").props(
                    f'type="button" data-view="{view}" aria-label="{label}" '
                    f'aria-pressed="{"true" if view == "drawing" else "false"}"'
                )
                tap.on("click", js_handler=f"() => cwCorner.look({'true' if view == 'solid' else 'false'})")

    def _facts(self, shown: Shown) -> None:
        texts = shown.texts
        missing = self.follower.places.missing
        with box("fact nearest"):
            Words("span", "nearest", "soft")
            self._text("b", "near", texts)
            self._text("span", "near_to", texts)
        with box("facts"):
            for words, name in FACTS:
                with box(f"fact {name}"):
                    if name == "toe":
                        self._text("span", "toe_way", texts, "said soft")
                    else:
                        Words("span", words, "soft")
                    self._text("b", name, texts)
        self._text("p", "note", texts)
        if missing is not None:
            Words("p", missing, "soft")
            return
        with box("more", "details"):
            Words("summary", f"every clearance here, {figure(shown.pose.gap_mm or 0.0, 0)} mm wanted")
            names = [(f"near{k}_name", f"near{k}") for k in range(len(shown.pose.near))]
            cells = table((), [[(texts[name][0], "said") for name in row] for row in names])
            for row, made in zip(names, cells, strict=True):
                for name, cell in zip(row, made, strict=True):
                    self._follows(cell, name, texts)

    def _text(self, tag: str, name: str, texts: dict[str, Told], look: str = "said") -> None:
        self._follows(Words(tag, texts[name][0], look), name, texts)

    @staticmethod
    def _follows(words: Words, name: str, texts: dict[str, Told]) -> None:
        """Let it be found by its name when the corner is moved."""
        words.props(f'data-t="{name}" data-level="{texts[name][1]}"')

    # ------------------------------------------------------------------ what is asked

    def _asked(self, event: Any) -> None:
        """Go to where the finger is."""
        asked = event.args if isinstance(event.args, dict) else {}
        if self.desk.known() is not self.stamp:
            ui.navigate.reload()  # the car has been read or turned meanwhile: all of it is to be shown anew
            return
        self.lift = _number(asked.get("lift"), self.lift)
        what = self.follower.places.across
        if what is not None:
            self.across = _number(asked.get(what[0]), self.across)
        if "solid" in asked:
            self.follower.turn_about(bool(asked["solid"]))
        told = self.follower.move(self.lift, self.across)
        told["n"] = int(_number(asked.get("n"), 0.0))
        ui.run_javascript(f"cwCorner.answer({json.dumps(told, separators=(',', ':'))})")


def _number(value: Any, otherwise: float) -> float:
    """A number from a browser, whatever it sent."""
    try:
        number = float(value)
    except (TypeError, ValueError):
        return otherwise
    return number if abs(number) < 1e6 else otherwise
