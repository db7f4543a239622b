"""Cars for the virtual garage: what the planner is told, and what is wanted. All numbers are invented.

`car_file(kind)` is a car of an example or of two of the tests' suspensions, with adjusters that have range enough
and the steps that hands can set; `targets_for` what is wanted of it; `start_settings` how far out of adjustment it
comes in.
"""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.car import Car
from cornerwright.model.carfile import load_car
from cornerwright.model.parts import CORNERS
from cornerwright.model.target import Targets
from cornerwright.model.units import ANGLE, LENGTH, to_document
from cornerwright.planning.observe import Key, pick, pick_gradient

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

import cars as test_cars  # noqa: E402  (the tests' cars lie outside the package)

Array = NDArray[np.float64]
Tree = dict[str, Any]

KINDS = (
    "tarn_fell",
    "double_wishbone+five_link",
    "strut+semi_trailing_arm",
    "double_wishbone_push_rod+trailing_arm_three_link",
    "strut+rods",
    "double_wishbone+live_axle_four_link",
    "strut+twist_beam",
    "double_wishbone_push_rod+five_link",
    "strut+live_axle_panhard",
    "double_wishbone+semi_trailing_arm",
)
"""`front+rear`, or the name of an example. Cars are taken from these in turn."""

HALF_RANGE = {"perch": 45.0, "body": 40.0, "rod": 25.0, "plate": 25.0, "cam": 16.0, "shim": 12.0, "bar_link": 25.0}
"""Least travel [mm] that every adjuster is given each way: the job here is the aim, not worn-out ranges."""

STEPS = {
    "perch": ("turn", 2.0, 0.25),
    "body": ("turn", 1.5, 0.25),
    "rod": ("flat", 1.5, 0.5),
    "plate": ("mm", 1.0, 0.5),
    "cam": ("notch", 0.4, 1.0),
    "shim": ("shim", 0.5, 1.0),
    "bar_link": ("turn", 1.25, 0.5),
}
"""Unit, pitch [mm] and smallest step that the hand sets: half a flat of a rod, a shim of half a millimetre."""

MARKS = 1.0
"""How far each height mark may be from where the file has it [mm], one standard deviation.

They are measured on the body with a rule. Were they 3 mm off, a stiff body could not bring all four within 2 mm in
one car of five: their twist has a standard deviation of half of one mark's.
"""

LIVE = test_cars.AXLE_KINDS
HEIGHT_ERROR = 15e-3
ANGLES = {"camber": np.radians(0.7), "toe": np.radians(0.4), "caster": np.radians(1.0)}
"""Errors that cars come in with, uniform each way, by the file's own reckoning [SI]."""

CROSS_ERROR = 0.02
TOLERANCES = {"height": 2e-3, "camber": np.radians(0.1), "toe": np.radians(0.05), "caster": np.radians(0.25)}
STATE = Loose(bushes=True)
"""How cars are judged: bars joined, bushes slack (they are clamped at the height that was set)."""


@cache
def car_file(kind: str) -> Car:
    """The car as its file has it, adjusters where the linkage was measured."""
    if kind in ("tarn_fell", "skerry_nine"):
        tree = load_car(ROOT / "examples" / kind / "car.yaml").to_document()
    else:
        front, rear = kind.split("+")
        tree = test_cars.tree_of_kind(rear)
        tree["front"] = test_cars.tree_of_kind(front)["front"]
        if rear == "rods":
            # The pillar's slide hardly leans the wheel; both lower rods together do.
            for side in ("left", "right"):
                fitted = tree["rear"][side]["adjusters"]
                del fitted["pillar_slide"]
                fitted["lower_rods"] = _screw("rod", acts_on=["lower_front", "lower_rear"], sets="camber")
        tree["name"] = f"Garage car, {kind.replace('_', ' ').replace('+', ' and ')}"
        for end in ("front", "rear"):
            for side in ("left", "right"):
                corner = tree[end][side]
                _add_helper(corner["spring"])
                if not corner["spring"]["around_damper"] and "body" not in corner["adjusters"]:
                    corner["adjusters"]["body"] = _screw("body")
    for one in _adjusters(tree):
        _give_room(one)
    tree["doubt"] = {**tree.get("doubt", {}), "height_point": MARKS}
    car = Car.model_validate(tree)
    for _ in range(3):
        car = _with_springs_that_suit(car)
    return car


HELPER = {"name": "helper", "rate": 4, "free_length": 60, "block_length": 12}
"""A spring [N/mm, mm] that lies flat at ride height and keeps the main one in its seats when the wheel hangs."""


MORE_TRAVEL = 10
"""By how much [mm] those main springs are wound with a shorter block, so that they do not bind first."""


def _add_helper(spring: Tree) -> None:
    """Room for a spring around its damper: without a helper it would come loose before the targets are reached."""
    stack = spring["stack"]
    if spring["around_damper"] and len(stack) == 1:
        stack[0]["free_length"] -= HELPER["block_length"]
        stack[0]["block_length"] -= HELPER["block_length"] + MORE_TRAVEL
        stack.append(dict(HELPER))


def _screw(kind: str, **more: Any) -> Tree:
    in_the_middle = {"setting": 0, "measured_at": 0, "range": [-1, 1]}
    return {"kind": kind, "unit": "turn", "pitch": 1.5, "step": 0.25, **in_the_middle, **more}


def _adjusters(tree: Tree) -> list[Tree]:
    found: list[Tree] = []
    for end in ("front", "rear"):
        axle = tree[end]
        for side in ("left", "right"):
            found.extend(axle[side].get("adjusters", {}).values())
        found.extend(axle.get("adjusters", {}).values())
        link = (axle.get("bar") or {}).get("link")
        if link is not None:
            found.append(link)
    return found


def _give_room(one: Tree) -> None:
    """Range each way about where the linkage was measured, and steps fine enough for the tolerances."""
    kind, half = one["kind"], HALF_RANGE[one["kind"]]
    one["setting"] = one["measured_at"]
    if one.get("effect") is None:
        unit, pitch, step = STEPS[kind]
        one |= {"unit": unit, "pitch": pitch, "step": step}
    elif kind == "rod":
        one["step"] = 0.5
    elif kind == "cam":
        # Half notches: washers with as many marks again.
        one["step"] = 0.5
    one["range"] = [one["measured_at"] - half, one["measured_at"] + half]


def _with_springs_that_suit(car: Car) -> Car:
    """The car with separate springs that are just held at full droop when it stands where it was measured.

    The damper is set to the middle of its stroke; one spring rate then does both, and a builder would buy it.
    """
    rig = Rig(car)
    variant = rig.vary(loose=STATE)
    stance = variant.stand()
    at = outputs(variant, stance, gradients=False)
    tree = car.to_document()
    for i, name in enumerate(CORNERS):
        end, side = name.split("_")
        corner = tree[end][side]
        if corner["spring"]["around_damper"]:
            continue
        body = corner["adjusters"]["body"]
        stroke = rig.open[i] - rig.closed[i]
        body["setting"] = float(body["setting"] + 1e3 * (at.corner["stroke_share"][0, i] - 0.5) * stroke)
        squeeze = rig.free_length[i] - stance.spring_length[0, i]
        wanted = squeeze - at.corner["spring_held"][0, i] + 1e-3
        coil = corner["spring"]["stack"][0]
        rate = coil["rate"] * squeeze / wanted
        coil["free_length"] = float(coil["free_length"] + 1e3 * (wanted - squeeze))
        coil["rate"] = float(rate)
    return Car.model_validate(tree)


def wanted_angles(kind: str, corner: str) -> tuple[str, ...]:
    """Angles that the suspension at this corner can be set to."""
    if corner.startswith("front"):
        return ("camber", "toe", "caster")
    rear = kind.rsplit("+", maxsplit=1)[-1]
    return () if rear in LIVE else ("camber", "toe")


def nominal(
    car: Car, *, gradients: bool = False, settings: Array | None = None, state: Loose = STATE
) -> tuple[Rig, Outputs]:
    """The car as its file has it, as it is read."""
    rig = Rig(car)
    variant = rig.vary(settings, loose=state)
    return rig, outputs(variant, variant.stand(), gradients=gradients)


def targets_for(kind: str, rng: np.random.Generator) -> Targets:
    """Round values near where the car of the file stands, left and right the same."""
    car = car_file(kind)
    _, at = nominal(car)
    tree: Tree = {"format": "cornerwright targets 1", "invented": True}
    for end, first in (("front", 0), ("rear", 2)):
        corner = f"{end}_left"
        height = to_document(at.corner["height"][0, first : first + 2].mean(), LENGTH) + rng.uniform(-4, 4)
        entry: Tree = {"height": {"aim": round(height), "within": 2}}
        spread = {"camber": 0.3, "toe": 0.08, "caster": 0.5}
        for name in wanted_angles(kind, corner):
            value = to_document(at.corner[name][0, first], ANGLE) + rng.uniform(-1, 1) * spread[name]
            within = to_document(TOLERANCES[name], ANGLE)
            entry[name] = {"aim": round(value, 2), "within": within}
        part = car.corners[CORNERS[first]]
        if part.adjuster_of("body") is not None:
            entry["stroke_share"] = {"at_least": 100 / 3, "at_most": 200 / 3}
            if not part.spring.around_damper:
                entry["spring_held"] = {"at_least": 0, "at_most": 2}
        tree[end] = entry
    tree["car"] = {"cross_weight": {"aim": 50, "within": 0.5}}
    return Targets.model_validate(tree)


def _plane(rng: np.random.Generator) -> list[float]:
    """Height errors of four corners of a stiff body, none beyond the bound."""
    while True:
        a, b, c = rng.uniform(-HEIGHT_ERROR, HEIGHT_ERROR, 3)
        if abs(b + c - a) <= HEIGHT_ERROR:
            return [float(a), float(b), float(c), float(b + c - a)]


def start_settings(car: Car, targets: Targets, rng: np.random.Generator) -> Array:
    """Settings (m,) [m] in whole steps at which the car of the file misses its targets by the drawn errors."""
    rig = Rig(car)
    keys: list[Key] = []
    aim: list[float] = []
    scale: list[float] = []
    for key, band in targets.bands().items():
        if key[1] == "stroke_share":
            continue
        keys.append(key)
        if key[1] == "spring_held":
            aim.append(rng.uniform(-6e-3, 8e-3))
            scale.append(2e-3)
        elif key[1] == "height":
            aim.append(band.aim)
            scale.append(band.within)
        elif key[1] == "cross_weight":
            aim.append(band.aim + rng.uniform(-1, 1) * CROSS_ERROR)
            scale.append(band.within)
        else:
            aim.append(band.aim + rng.uniform(-1, 1) * ANGLES[key[1]])
            scale.append(band.within)
    low = np.array([slot.adjuster.range[0] for slot in rig.slots])
    high = np.array([slot.adjuster.range[1] for slot in rig.slots])
    movable = np.array([slot.adjuster.kind != "bar_link" for slot in rig.slots])
    step = np.array([slot.adjuster.step_travel for slot in rig.slots])
    settings = rig.settings.copy()
    weight = 1 / np.array(scale)
    heights = [k for k, key in enumerate(keys) if key[1] == "height"]
    for k, off in zip(heights, _plane(rng), strict=True):
        aim[k] += off
    for _ in range(3):
        variant = rig.vary(settings, loose=Loose((True, True), bushes=True))
        at = outputs(variant, variant.stand(), gradients=True)
        gain = pick_gradient(at, tuple(keys))[0] * movable * weight[:, None]
        off = (np.array(aim) - pick(at, tuple(keys))[0]) * weight
        # A little rest for adjusters that share their work, so that none runs off alone.
        change = gain.T @ np.linalg.solve(gain @ gain.T + 0.05 * np.eye(len(keys)), off)
        settings = np.clip(settings + change, low + 0.25 * (high - low), high - 0.25 * (high - low))
    return np.asarray(rig.settings + np.round((settings - rig.settings) / step) * step)
