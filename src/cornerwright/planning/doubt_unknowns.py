"""What is in doubt about a car, by name and by group, and the numbers it is drawn from.

Each block of unknowns draws its own numbers from the seed, the sample's block and its name. So two cars that have an
unknown of one name share its numbers, whatever else they differ in: common random numbers.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Rig
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.model.parts import CORNERS
from cornerwright.running.work import numbers_for

Array = NDArray[np.float64]

SUBJECTS = ("stand", "corner", "road", "brakes")
"""What doubt is asked for, by the command that gives the figure."""

RUNNING = {
    **{f"{name} damper force": ("road",) for name in CORNERS},
    "tyre damping": ("road",),
    "radius of gyration in pitch": ("road",),
    "radius of gyration in roll": ("road",),
    "front tyre grip": ("corner",),
    "rear tyre grip": ("corner",),
    "front tyre cornering stiffness": ("corner",),
    "rear tyre cornering stiffness": ("corner",),
    "front pad friction": ("brakes",),
    "rear pad friction": ("brakes",),
}
"""Unknowns beyond those of the car at rest, and which subjects they matter to."""

_OWN_WEIGHT = ("total mass", "front share of the weight", "height of the centre of gravity")


@dataclass(frozen=True)
class Things:
    """Unknowns of one car: those of its rig first, then those it has when it runs."""

    labels: tuple[str, ...]
    places: tuple[slice, ...]
    size: int
    of_rig: int
    groups: dict[str, NDArray[np.intp]]
    """Columns by what is measured together: the two sides of an axle, the points of a linkage."""

    def column(self, label: str) -> int:
        """Place of a thing that is one number."""
        return int(self.places[self.labels.index(label)].start)

    def draw(self, seed: int, block: int, sample: str, rows: int) -> Array:
        """Standard normal numbers (rows, size) of one sample's block."""
        out = np.empty((rows, self.size))
        for label, place in zip(self.labels, self.places, strict=True):
            # Rows last, so that a block of more numbers begins with those of one with fewer.
            made = numbers_for(seed, block, f"{sample}: {label}")
            out[:, place] = made.standard_normal((place.stop - place.start, rows)).T
        return out


def things_of(rig: Rig, subjects: Sequence[str]) -> Things:
    """What these subjects hang on; unknowns that do not matter to them are in no group."""
    every = UnknownList(list(rig.unknowns.blocks), rig.unknowns.size)
    for label in RUNNING:
        every.add(label, "car", 1)
    ends = zip(("front", "rear"), rig.car.axles, strict=True)
    missing = {f"{end} bar rate" for end, axle in ends if axle.bar is None or not axle.bar.connected}
    groups: dict[str, list[int]] = {}
    seen: dict[str, int] = {}
    labels = []
    for block in every.blocks:
        number = seen[block.label] = seen.get(block.label, 0) + 1
        labels.append(block.label if number == 1 else f"{block.label} ({number})")
        name = None if block.label in missing else _group(block.label, subjects)
        if name is not None:
            groups.setdefault(name, []).extend(range(block.where.start, block.where.stop))
    return Things(
        labels=tuple(labels),
        places=tuple(block.where for block in every.blocks),
        size=every.size,
        of_rig=rig.unknowns.size,
        groups={name: np.array(columns, dtype=np.intp) for name, columns in groups.items()},
    )


def _group(label: str, subjects: Sequence[str]) -> str | None:
    """The group of a block; None where these subjects do not hang on it. Gauges are not the car's."""
    if label.endswith("gauge zero"):
        return None
    if label in RUNNING:
        wanted = any(one in subjects for one in RUNNING[label])
        return _by_axle(label) if wanted else None
    if "stand" in subjects:
        return _by_axle(label)
    if not {"corner", "road"} & set(subjects):
        return label if label in _OWN_WEIGHT else None
    return _of_a_run(_by_axle(label), subjects)


def _of_a_run(name: str, subjects: Sequence[str]) -> str | None:
    """Fewer, larger groups, for what costs a run on the road or on the circle."""
    if re.search(r" (camber|toe) (as built|compliance)$", name):
        return f"{name.split(maxsplit=1)[0]} camber and toe" if "corner" in subjects else None
    if name.endswith(("height point", "caster as built")):
        return None
    if name == "height of the centre of gravity" and not {"corner", "brakes"} & set(subjects):
        return None
    if re.search(r" (point|jack table|.* effect)\b", name):
        return f"{name.split(maxsplit=1)[0]} linkage"
    return name


def _by_axle(label: str) -> str:
    """The two sides of an axle together, in plain words."""
    return re.sub(r"^(front|rear)_(left|right)[. ]", r"\1 ", label).replace("_", " ")


HOW = {
    "spring rate": "press the spring by a known way on a scale",
    "spring free length": "tape over the loose spring",
    "tyre rate": "height of the rim over the scale at two loads",
    "height point": "tape from the point to the ground, car level",
    "bar rate": "push one wheel up by a known lift, read the force under it",
    "total mass": "four scales",
    "weight": "four scales",
    "centre of gravity": "axle scales with one end raised",
    "jack table": "jack the wheel again in more and smaller steps, and read twice",
    "effect": "turn it by a known way and read again",
    "point": "measure the points again from two sides",
    "linkage": "measure its points or jack table again",
    "as built": "camber and toe gauge on level ground, read twice",
    "camber and toe": "camber and toe gauge on level ground, read twice",
    "compliance": "gauge at two loads on the wheel",
    "damper force": "the damper's sheet from a dynamometer",
    "tyre damping": "hard to measure: know that it is a guess",
    "gyration": "hard to measure: know that it is a guess",
    "tyre grip": "timed circles on a free, closed ground",
    "cornering stiffness": "the tyre maker's figures",
    "pad friction": "the pad maker's sheet, at working heat",
}
"""How a kind of thing is measured better, common practice: docs/measuring.md."""


def how(group: str) -> str | None:
    """How this group is measured better; None where we know no way."""
    return next((words for kind, words in HOW.items() if kind in group), None)
