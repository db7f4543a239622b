"""Linkages: how a wheel held by rods, struts, arms and hinges may move.

One rigid carrier and its constraints for every kind of suspension (`kinds.build`); closed by
Newton's method along the branch of the reference pose (`answer.solve`); what it says there, with
exact derivatives by lift, adjuster and rack (`answer.answer`); how far it goes and what stops it
(`limits.limits`). Body axes of ISO 8855, SI units.
"""

from __future__ import annotations

from cornerwright.mechanics.linkage.answer import (
    CLOSED,
    OUT_OF_REACH,
    SINGULAR,
    Answer,
    Column,
    Pose,
    answer,
    answer_at,
    first_order,
    places,
    solve,
)
from cornerwright.mechanics.linkage.kinds import (
    AXLES,
    KINDS,
    WheelAt,
    axle_points,
    build,
    mirrored_points,
)
from cornerwright.mechanics.linkage.layout import (
    BODY,
    CARRIER,
    LEFT_HALF,
    RIGHT_HALF,
    Arm,
    Guide,
    Hinge,
    Joint,
    Line,
    Link,
    Pin,
    Rocker,
    Rod,
    Slider,
)
from cornerwright.mechanics.linkage.limits import Limits, limits
from cornerwright.mechanics.linkage.mechanism import Adjusters, Mechanism
from cornerwright.mechanics.linkage.outputs import columns_of

__all__ = [
    "AXLES",
    "BODY",
    "CARRIER",
    "CLOSED",
    "KINDS",
    "LEFT_HALF",
    "OUT_OF_REACH",
    "RIGHT_HALF",
    "SINGULAR",
    "Adjusters",
    "Answer",
    "Arm",
    "Column",
    "Guide",
    "Hinge",
    "Joint",
    "Limits",
    "Line",
    "Link",
    "Mechanism",
    "Pin",
    "Pose",
    "Rocker",
    "Rod",
    "Slider",
    "WheelAt",
    "answer",
    "answer_at",
    "axle_points",
    "build",
    "columns_of",
    "first_order",
    "limits",
    "mirrored_points",
    "places",
    "solve",
]
