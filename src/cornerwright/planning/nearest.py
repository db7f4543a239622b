"""Whether a wheel is clear of what stands around it at one place of its travel, and what to measure to know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cornerwright.model.results_pose import CornerPose, NearBy

TO_MEASURE = {
    "room": (
        "Nothing around this wheel is measured, so no clearance is told. Measure, at the reference pose, the arch "
        "lip, the inner arch, strut or damper, spring seat, arm, hose and caliper, and write them under room in the "
        "car file."
    ),
    "tyre": (
        "The tyre's width or the rim's diameter is not known, so no clearance is told. Write the tyre's marking as on "
        "its wall (such as 185/60R14 82H), or its width and the rim."
    ),
}
"""What is to be measured, by what is missing."""

Level = Literal["limit", "warning", "right", "unknown"]


@dataclass(frozen=True)
class Nearness:
    """How one obstacle is judged at a pose."""

    level: Level
    obstacle: str
    clearance_mm: float


def judged(one: NearBy, gap_mm: float | None) -> Nearness:
    """Touched: a limit. Nearer than the gap that is wanted: a warning."""
    level: Level = "right"
    if one.clearance_mm < 0:
        level = "limit"
    elif gap_mm is not None and one.clearance_mm < gap_mm:
        level = "warning"
    return Nearness(level, one.obstacle, one.clearance_mm)


def nearest_of(pose: CornerPose) -> Nearness | None:
    """The least clearance at this pose, of the tyre or of the wheel's inside; None where it cannot be told."""
    return judged(pose.near[0], pose.gap_mm) if pose.near else None


def to_measure(pose: CornerPose) -> str | None:
    """What to measure so that clearances can be told; None where they are."""
    return None if pose.not_measured is None else TO_MEASURE[pose.not_measured]
