"""A corner that follows a finger: each place is worked out once for all screens, and a screen is sent what changes.

One place is one answer: the drawing, the figures beside it, the solid parts. Places are half millimetres of lift from
rest and of the rack, and half degrees of turn, so that many fingers on one car ask for the same ones.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field
from functools import cached_property
from threading import Lock
from typing import Any

from cornerwright.assembly.posing import Poser
from cornerwright.drawing.changes import changes
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.drawing.svg import Drawing, Shape
from cornerwright.drawing.wheel_pose import wheel_pose
from cornerwright.drawing.wheel_scene import Part, reach, said, wheel_scene
from cornerwright.model.results_pose import CornerPose
from cornerwright.planning.nearest import judged, nearest_of, to_measure
from cornerwright.web.look import SIGNS, on_screen

STEP = 0.5
"""Of lift and rack [mm] and of turn [deg] between two places."""

KEPT = 6000
"""Answers that are kept of one car: every lift of four corners, and the lock at some of them."""

SPRING = {"held": "held", "loose": "loose", "bound": "coils bound"}
STOP = {"clear": "clear", "touched": "touched", "none": "none"}
ALARMED = {"loose", "bound"}

Told = tuple[str, str]
"""A text, and how it is judged: `limit`, `warning`, `right` or nothing."""


@dataclass(frozen=True)
class Shown:
    """A corner at one place, ready to be shown."""

    pose: CornerPose
    drawing: Drawing

    @cached_property
    def shapes(self) -> list[Shape]:
        """Of the drawing, in the colours of the screen."""
        return [
            (tag, {name: f"{_screen(value)}" for name, value in look.items()}, text)
            for tag, look, text in self.drawing.shapes()
        ]

    @cached_property
    def picture(self) -> str:
        """The whole drawing."""
        return on_screen(self.drawing.svg())

    @cached_property
    def texts(self) -> dict[str, Told]:
        """Every text beside the drawing, by the name of its place."""
        return facts(self.pose)

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """The solid parts."""
        return wheel_scene(self.pose)

    @cached_property
    def form(self) -> list[list[Any]]:
        """What the solid parts are, without their places."""
        return [[one.kind, one.look, one.name, list(one.size)] for one in self.parts]

    @cached_property
    def places(self) -> list[list[float]]:
        """Where the solid parts are: mm to a tenth, directions to a ten-thousandth."""
        return [
            [round(x, 4 if one.kind in ("tyre", "hub") and k > 2 else 1) for k, x in enumerate(one.places)]
            for one in self.parts
        ]

    @property
    def handles(self) -> dict[str, float]:
        """Where the sliders stand."""
        pose = self.pose
        found = {"lift": round(pose.lift_mm - pose.sweep.rest_mm, 2)}
        if pose.sweep.rack_mm is not None:
            found["rack"] = round(pose.rack_mm, 2)
        elif pose.sweep.turn_deg is not None:
            found["turn"] = round(pose.turn_deg, 2)
        return found


def _screen(value: str) -> str:
    return SIGNS.get(value, value)


def facts(pose: CornerPose) -> dict[str, Told]:
    """Stroke, spring, alignment and clearances at a pose, each with how it is judged."""
    near = nearest_of(pose)
    if near is None:
        nearest: Told = ("not known", "")
        name = ""
    else:
        touched = near.clearance_mm < 0
        nearest = (f"{'touches by ' if touched else ''}{figure(abs(near.clearance_mm), 1)} mm", near.level)
        name = f"{'' if touched else 'to '}{place_words(near.obstacle)}"
    sweep = pose.sweep
    measured = (sweep.lowest_is == "measured" and pose.lift_mm <= sweep.lowest_mm + 1e-6) or (
        sweep.highest_is == "measured" and pose.lift_mm >= sweep.highest_mm - 1e-6
    )
    note: Told = ("", "")
    if not pose.inside:
        note = "The linkage does not go there.", "limit"
    elif measured:
        note = "Measured only to here; the wheel goes further.", ""
    found: dict[str, Told] = {
        "near": nearest,
        "near_to": (name, ""),
        "bump": (f"{figure(pose.bump_left_mm, 0)} mm", "limit" if pose.bump_left_mm < 0 else ""),
        "droop": (f"{figure(pose.droop_left_mm, 0)} mm", "limit" if pose.droop_left_mm < 0 else ""),
        "stop": (STOP[pose.stop], "warning" if pose.stop == "touched" else ""),
        "camber": (f"{figure(pose.camber_deg, 2)}°", ""),
        "toe": (f"{figure(abs(pose.toe_deg), 2)}°", ""),
        "toe_way": ("toe-in" if pose.toe_deg >= 0 else "toe-out", ""),
        "caster": ("not read" if pose.caster_deg is None else f"{figure(pose.caster_deg, 2)}°", ""),
        "damper": (f"{figure(pose.damper_mm, 0)} mm", ""),
        "spring": (
            f"{SPRING[pose.spring_state]}, {figure(pose.spring_load_n, 0)} N",
            "limit" if pose.spring_state in ALARMED else "",
        ),
        "note": note,
    }
    for k, one in enumerate(pose.near):
        inside = ", inside the wheel" if one.against != "tyre" else ""
        found[f"near{k}_name"] = (f"{place_words(one.obstacle)}{inside}", "")
        found[f"near{k}"] = (f"{figure(one.clearance_mm, 1 if one.exact else 0)} mm", judged(one, pose.gap_mm).level)
    return found


class Places:
    """The places of one corner of a car, each worked out once. Use it from any thread."""

    def __init__(self, poser: Poser) -> None:
        self.poser = poser
        self.rest = poser.at(poser.sweep.rest_mm)
        self._kept: OrderedDict[tuple[int, int], Shown] = OrderedDict()
        self._lock = Lock()

    @property
    def missing(self) -> str | None:
        """What to measure so that clearances can be told; None where they are."""
        return to_measure(self.rest)

    @property
    def middle(self) -> tuple[tuple[float, float, float], float]:
        """What the solid view turns about [mm], and how much of it is seen [mm]."""
        return reach(self.rest)

    @property
    def across(self) -> tuple[str, float, float] | None:
        """What steers the wheel (`rack` [mm] or `turn` [deg]) and its ends; None: nothing."""
        sweep = self.rest.sweep
        if sweep.rack_mm is not None:
            return "rack", -sweep.rack_mm, sweep.rack_mm
        return None if sweep.turn_deg is None else ("turn", *sweep.turn_deg)

    def at(self, lift: float, across: float = 0.0) -> Shown:
        """The corner at this lift [mm from rest] and rack [mm] or turn [deg], to the nearest place or its own end."""
        sweep = self.rest.sweep
        what = self.across
        low, high = sweep.lowest_mm - sweep.rest_mm, sweep.highest_mm - sweep.rest_mm
        key = round(min(max(lift, low), high) / STEP), 0
        if what is not None:
            key = key[0], round(min(max(across, what[1]), what[2]) / STEP)
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
                return found
        # A step that lies past an end is taken at the end.
        aside = {} if what is None else {f"{what[0]}_{'mm' if what[0] == 'rack' else 'deg'}": key[1] * STEP}
        pose = self.poser.soon(sweep.rest_mm + _to_end(key[0] * STEP, low, high), **aside)
        made = Shown(pose, wheel_pose(pose, self.rest))
        with self._lock:
            self._kept[key] = made
            while len(self._kept) > KEPT // 4:
                self._kept.popitem(last=False)
        return made

    def words(self, shown: Shown, solid: bool) -> str:
        """The picture in words, for those who do not see it."""
        return said(shown.pose) if solid else shown.drawing.title


def _to_end(lift: float, low: float, high: float) -> float:
    """A lift less than a step from an end is the end."""
    if high - lift < STEP:
        return high
    return low if lift - low < STEP else lift


@dataclass
class Follower:
    """One screen that follows one corner: what it has been sent."""

    places: Places
    shown: Shown
    solid: bool = False
    _form: list[list[Any]] | None = field(default=None, repr=False)

    def move(self, lift: float, across: float) -> dict[str, Any]:
        """Go there; returns what the screen must be told: only what is not on it yet."""
        before, now = self.shown, self.places.at(lift, across)
        self.shown = now
        told: dict[str, Any] = {"v": now.handles, "l": self.places.words(now, self.solid)}
        if now is not before:
            told["d"] = changes(before.shapes, now.shapes)
            was = before.texts
            told["t"] = [[name, *one] for name, one in now.texts.items() if was.get(name) != one]
        if self.solid and (now is not before or self._form is None):
            if now.form != self._form:
                told["f"] = self._form = now.form
            told["b"] = now.places
        return told

    def turn_about(self, solid: bool) -> None:
        """Whether the solid view is looked at."""
        self.solid = solid
        self._form = None
