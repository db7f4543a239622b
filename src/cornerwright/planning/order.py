"""The working order: what is set first, because what comes later does not disturb it (common practice)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.slots import Slot
from cornerwright.planning.wants import TOLERANCE

Array = NDArray[np.float64]

StageName = Literal["prepare", "parts", "heights", "dampers", "camber", "toe", "bushes", "bars", "finish"]


@dataclass(frozen=True)
class StageText:
    """A stage of the work in words."""

    name: StageName
    title: str
    tasks: tuple[str, ...]
    check: str | None


STAGES: tuple[StageText, ...] = (
    StageText(
        "prepare",
        "Before you turn anything",
        (
            "Unhook one link of each anti-roll bar that has an adjustable link.",
            "Slacken the pivot bolts of rubber-bushed arms; keep the nuts on.",
            "Tyres at pressure, driver's ballast and fuel aboard, steering straight.",
        ),
        None,
    ),
    StageText("parts", "Parts from the shelf", (), None),
    StageText(
        "heights",
        "Heights and corner weights",
        ("Turn the perches with the wheel hanging and the spring unloaded.",),
        "Wheels down, roll the car back and forth, bounce it, read heights and scales.",
    ),
    StageText(
        "dampers",
        "Damper length",
        ("Set each damper's length; tighten its lock rings.",),
        "Wheel hanging: the spring must still be held.",
    ),
    StageText(
        "camber",
        "Camber and caster",
        ("Set plates, arms and cams that lean the wheel.",),
        "Roll the car, read camber and caster.",
    ),
    StageText(
        "toe",
        "Toe",
        ("Set toe last of the angles: everything before has moved it.",),
        "Roll the car, read toe at all four wheels.",
    ),
    StageText(
        "bushes",
        "Clamp the bushes",
        ("With the car on its wheels at this height, tighten the rubber-bushed pivot bolts to the maker's torque.",),
        None,
    ),
    StageText(
        "bars",
        "Anti-roll bars",
        ("Set each link so that its bolt slides in by hand, then tighten it.",),
        None,
    ),
    StageText(
        "finish",
        "Read again",
        (
            "Read everything once more and write it down.",
            "Every lock ring and lock nut tight; look over hoses, cables and headlamp aim: the height has changed.",
        ),
        None,
    ),
)

ANGLE_STAGES: dict[str, StageName] = {"camber": "camber", "caster": "camber", "toe": "toe"}
PURPOSE_STAGES: dict[str, StageName] = {
    "height": "heights",
    "damper": "dampers",
    "camber": "camber",
    "caster": "camber",
    "toe": "toe",
    "bar": "bars",
}


def stage_of(rig: Rig, slot: Slot, index: int, at: Outputs) -> StageName:
    """The stage in which an adjuster is turned.

    A body whose spring rides on it moves the height too, so it is set together with the perches. What turns
    angles goes by the angle it moves most, in tolerances, unless the file says what it `sets`.
    """
    adjuster = slot.adjuster
    if adjuster.sets is not None:
        return PURPOSE_STAGES[adjuster.sets]
    if adjuster.kind == "perch":
        return "heights"
    if adjuster.kind == "bar_link" or slot.corner is None:
        return "bars"
    if adjuster.kind == "body":
        around = list(rig.car.corners.values())[slot.corner].spring.around_damper
        return "heights" if around else "dampers"
    moved = {
        angle: abs(float(np.nan_to_num(at.corner_gradient[angle][0, slot.corner, index]))) / TOLERANCE[angle]
        for angle in ANGLE_STAGES
    }
    return ANGLE_STAGES[max(moved, key=lambda angle: moved[angle])]
