"""Running `cornerwright joint`: joints of a car, or a single question; its section drawn."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import cornerwright
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.results_joint import JointsResult


@dataclass(frozen=True)
class Asked:
    """What stands on the command line about one joint."""

    thread: str | None
    marking: str | None
    torque: str | None
    into: str | None
    engagement: str | None
    length: str | None
    grip: str | None
    depth: str | None
    method: str | None
    friction: str | None
    shear: str | None
    axial: str | None

    @property
    def given(self) -> dict[str, str]:
        """Options that were given, by their names."""
        return {_option(name): value for name, value in asdict(self).items() if value is not None}


def _option(name: str) -> str:
    return "--class" if name == "marking" else f"--{name}"


FIELDS = {
    "thread": "--thread",
    "property_class": "--class",
    "into": "--into",
    "engagement": "--engagement",
    "length": "--length",
    "grip": "--grip",
    "depth": "--depth",
    "tightening.torque": "--torque",
    "tightening.method": "--method",
    "tightening.friction": "--friction",
    "load.shear": "--shear",
    "load.axial": "--axial",
}
"""Where a joint's document holds what an option says."""


def run(car: Path | None, name: str | None, asked: Asked, svg: Path | None, png: Path | None) -> JointsResult:
    """The answer, its section drawn if wished. Raises Refusal, OSError."""
    if car is None and asked.thread is None:
        raise Refusal.of("neither a car nor --thread", "a car file, or --thread for a single question", field="CAR")
    if car is not None and asked.given:
        options = ", ".join(asked.given)
        raise Refusal.of(f"a car and {options}", "a car, or a single question with --thread and no car", field="CAR")
    if car is None:
        if svg is not None or png is not None:
            raise Refusal.of("no car", "a car and the name of a wheel's joint, for its section", field="--svg")
        return _single(asked)
    check_outputs({"--svg": svg, "--png": png}, {"CAR": car})
    result = cornerwright.joints(cornerwright.load_car(car), name)
    if svg is not None or png is not None:
        _draw(result, name, svg, png)
    return result


def _single(asked: Asked) -> JointsResult:
    tree: dict[str, Any] = {"kind": "bolt" if asked.into == "nut" else "screw"}
    values: dict[str, Any] = dict(asked.given)
    if asked.into == "nut":
        del values["--into"]
    if asked.friction is not None:
        values["--friction"] = _friction(asked.friction)
    for field, option in FIELDS.items():
        if option in values:
            group, _, member = field.rpartition(".")
            (tree.setdefault(group, {}) if group else tree)[member] = values[option]
    try:
        return cornerwright.joint(tree)
    except Refusal as refusal:
        raise Refusal(_named(one) for one in refusal.problems) from None


def _named(problem: Problem) -> Problem:
    return replace(problem, field=FIELDS.get(re.sub(r"\[.*", "", problem.field), problem.field))


def _friction(text: str) -> Any:
    """A class stays a text; one number, or two with a colon between."""
    try:
        both = [float(part) for part in text.split(":")]
    except ValueError:
        return text
    return both[0] if len(both) == 1 else both


def _draw(result: JointsResult, name: str | None, svg: Path | None, png: Path | None) -> None:
    one = result.joints[0] if name is not None and len(result.joints) == 1 else None
    if one is None or one.wheel is None:
        found = "no name of a joint" if name is None else f"'{name}', which is no wheel's joint"
        raise Refusal.of(found, "a wheel's joint such as front_left.fastening", field="--svg" if svg else "--png")
    from cornerwright.drawing.joint_section import wheel_section

    write_drawing(lambda: wheel_section(one, result.car or ""), svg, png)
