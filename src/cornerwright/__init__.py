"""Cornerwright: what to turn, how far, in which order, so that four corners of a car work as one.

The names below are the library's edge. Each is imported when it is first used, so that `import cornerwright`
is quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cornerwright.assembly.report import stand
    from cornerwright.assembly.scene import corner_scene, travel_scene
    from cornerwright.assembly.travel import travel
    from cornerwright.book.book import open_book
    from cornerwright.model.carfile import load_car, load_readings, load_shelf, load_targets
    from cornerwright.model.errors import Problem, Refusal
    from cornerwright.planning.braking import brakes
    from cornerwright.planning.check import check
    from cornerwright.planning.cornering import corner
    from cornerwright.planning.doubt import doubt
    from cornerwright.planning.fit_inverse import Wanted
    from cornerwright.planning.fitment import fit
    from cornerwright.planning.joints import joint, joints
    from cornerwright.planning.plan import plan
    from cornerwright.planning.ride import road
    from cornerwright.planning.shelf_choice import choose
    from cornerwright.planning.sweep import Over, sweep
    from cornerwright.planning.why.asking import why

__version__ = "0.1.0"

_EDGE = {
    "load_car": "cornerwright.model.carfile",
    "load_readings": "cornerwright.model.carfile",
    "load_shelf": "cornerwright.model.carfile",
    "load_targets": "cornerwright.model.carfile",
    "open_book": "cornerwright.book.book",
    "Problem": "cornerwright.model.errors",
    "Refusal": "cornerwright.model.errors",
    "travel": "cornerwright.assembly.travel",
    "travel_scene": "cornerwright.assembly.scene",
    "stand": "cornerwright.assembly.report",
    "corner_scene": "cornerwright.assembly.scene",
    "check": "cornerwright.planning.check",
    "choose": "cornerwright.planning.shelf_choice",
    "corner": "cornerwright.planning.cornering",
    "doubt": "cornerwright.planning.doubt",
    "joint": "cornerwright.planning.joints",
    "joints": "cornerwright.planning.joints",
    "fit": "cornerwright.planning.fitment",
    "Wanted": "cornerwright.planning.fit_inverse",
    "brakes": "cornerwright.planning.braking",
    "plan": "cornerwright.planning.plan",
    "road": "cornerwright.planning.ride",
    "sweep": "cornerwright.planning.sweep",
    "Over": "cornerwright.planning.sweep",
    "why": "cornerwright.planning.why.asking",
}

__all__ = [
    "Over",
    "Problem",
    "Refusal",
    "Wanted",
    "__version__",
    "brakes",
    "check",
    "choose",
    "corner",
    "corner_scene",
    "doubt",
    "fit",
    "joint",
    "joints",
    "load_car",
    "load_readings",
    "load_shelf",
    "load_targets",
    "open_book",
    "plan",
    "road",
    "stand",
    "sweep",
    "travel",
    "travel_scene",
    "why",
]


def __getattr__(name: str) -> Any:
    """Import a name of the edge when it is asked for."""
    if name not in _EDGE:
        raise AttributeError(f"module 'cornerwright' has no attribute '{name}'")
    value = getattr(import_module(_EDGE[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Names of the edge."""
    return sorted(__all__)
