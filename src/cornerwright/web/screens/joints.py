"""Joints: every one by corner with its state and value, and what was done to it as an entry of the book."""

from __future__ import annotations

from functools import partial
from itertools import groupby
from urllib.parse import quote

from nicegui import ui

from cornerwright.book.moments import shown as moment_words
from cornerwright.drawing.lettering import place_words
from cornerwright.model.results_joint import JOINT_CAUTION
from cornerwright.planning.joint_sheet import Did, JointLine, find_joint, joint_body, joint_sheet
from cornerwright.web.desk import Desk
from cornerwright.web.overview import where_words
from cornerwright.web.screens.forms import Form, no_book, once
from cornerwright.web.screens.frame import Tap, Words, box, link, screen, worked_out
from cornerwright.web.screens.jobs import finding
from cornerwright.web.screens.why import why_path

TONES = {"tightened": "right", "snug": "stale", "loose": "out", "never told": ""}
ADDS = "which joint was tightened, to what, with which wrench, when and by whom, and which are not done yet"
STOOD = {"": "not told", "ride_height": "on its wheels, at ride height", "hanging": "wheels hanging"}
BOLT = {"": "not told", "new": "new bolt or nut", "reused": "the old one again"}


def register(desk: Desk) -> None:
    """The list, and the page of one joint."""

    @ui.page("/joints")
    def joints_page() -> None:
        with screen("Joints", "/more", desk.state.car.name):
            if desk.papers.book is None:
                no_book(desk, ADDS)
            Words("p", JOINT_CAUTION, "soft")
            worked_out(lambda: _sheet(desk), _list, "Looking…", lambda: desk.state.stamp)

    @ui.page("/joint")
    def joint_page(name: str = "") -> None:
        with screen("Joint", "/more", desk.state.car.name):
            worked_out(lambda: find_joint(_sheet(desk), name), partial(_One, desk), "Looking…")
            link("All joints", "/joints")


def _sheet(desk: Desk) -> tuple[JointLine, ...]:
    state = desk.state
    return joint_sheet(state.car, state.record)


def joint_path(name: str) -> str:
    """Where one joint is."""
    return f"/joint?name={quote(name)}"


def value_words(line: JointLine) -> str:
    """The torque of its document, and whose it is."""
    if line.value_nm is None:
        return "no value known: ask its maker"
    if line.makers:
        return f"{line.value_nm:.4g} N·m, the maker's"
    return f"{line.value_nm:.4g} N·m by our check: not the maker's, no value to use"


def _list(told: tuple[JointLine, ...]) -> None:
    if not told:
        Words("p", "The car file lists no joints, and the book was told of none.", "soft")
    if told:
        done = sum(line.state == "tightened" for line in told)
        Words("p", f"{done} of {len(told)} tightened, as far as was told", "soft")
    for place, lines in groupby(told, lambda line: line.place):
        with box("", "section").props(f'aria-label="{place_words(place)}"'):
            Words("h2", where_words(place))
            with box("measure"):
                for line in lines:
                    _row(line)


def _row(line: JointLine) -> None:
    tone = TONES[line.state]
    label = f"{place_words(line.place)}, {line.words}: {line.state}"
    with link("", joint_path(line.name), f"plate {tone}", label):
        Words("span", line.state, f"word {tone or 'soft'}")
        Words("span", line.words, "strong lead")
        Words("div", value_words(line))
        _engaged(line)
        if line.told is not None and line.told.open is not None:
            Words("div", line.told.open, "strong")


def _engaged(line: JointLine) -> None:
    one = line.answer
    if one is None:
        return
    inside = "thread in: not known" if one.engagement_mm is None else f"thread in {one.engagement_mm:.1f} mm"
    Words("div", f"{one.thread}; {inside}, {one.needed_mm:.1f} mm needed", "soft")


class _One:
    """One joint on one phone."""

    def __init__(self, desk: Desk, line: JointLine) -> None:
        self.desk, self.line = desk, line
        where = where_words(line.place)
        Words("h2", f"{where}: {line.words}")
        self._state()
        if line.answer is not None:
            for one in line.answer.findings:
                if one.level != "note":
                    finding(one)
        Words("p", JOINT_CAUTION, "soft")
        if desk.papers.book is None:
            no_book(desk, ADDS)
            return
        self.form = form = Form(desk, f"joint.{line.name}")
        self.told = box().props('aria-live="polite"')
        with box("plate"):
            maker = f"{line.value_nm:.4g}" if line.value_nm is not None and line.makers else ""
            hint = "the maker's value is filled in: change it to what the wrench clicked at" if maker else (
                "what the wrench clicked at: the maker's value, not our check"
            )  # fmt: skip
            form.text("torque", "torque, N·m", maker, hint, 20)
            form.text("tool", "wrench", hint="its range, or its name", most=80)
            if line.bush:
                Words("p", "It clamps a rubber bush: final tightening only with the car at ride height.", "strong")
            form.choice("stood", "how the car stood", STOOD)
            form.choice("bolt", "bolt or nut", BOLT)
            if line.renew:
                Words("p", "Its maker asks for a new one each time.", "strong")
            form.text("marked", "marked with", hint="a line of paint across nut and part; leave empty if not", most=80)
            form.who()
            form.photo()
        with box("row"):
            Tap("tightened", once(partial(self._put, "tightened")), first=True)
            Tap("snug, not to torque", once(partial(self._put, "snug")))
            Tap("found loose", once(partial(self._put, "loose")))
            if line.state == "tightened" and line.told_by == "book":
                Tap("marked", once(partial(self._put, "marked")))
        if line.answer is not None:
            with box("row"):
                link("why?", why_path("joint.torque_nm", joint=line.name), label=f"why this torque: {line.words}")
        form.filled()

    def _state(self) -> None:
        line = self.line
        tone = TONES[line.state]
        with box(f"plate {tone}"):
            Words("span", line.state, f"word {tone or 'soft'}")
            if line.told_by == "car file":
                Words("p", "as the car file has it; the book was not told", "soft")
            told = line.told
            if told is not None:
                says = [] if told.torque_nm is None else [f"{told.torque_nm:.4g} N·m"]
                says += [
                    one for one in (told.tool, STOOD.get(told.stood or ""), told.bolt and f"{told.bolt} bolt") if one
                ]
                says += [f"marked: {told.marked}"] if told.marked else []
                Words("p", ", ".join(one for one in says if one != "not told"))
                Words("p", f"#{told.number}, {moment_words(told.when)}", "soft")
                if told.open is not None:
                    Words("p", told.open, "strong")
            Words("p", f"Value: {value_words(line)}")
            _engaged(line)

    async def _put(self, did: Did) -> None:
        form = self.form
        result = await form.put(
            lambda: [
                joint_body(self.line, did, torque=form["torque"], tool=form["tool"], stood=form["stood"],
                           bolt=form["bolt"], marked=form["marked"])
            ],
            self.told,
        )  # fmt: skip
        if result is not None:
            with self.told:
                link("See this joint again", joint_path(self.line.name))
