"""The one place where readings as the hands took them become plain readings, each with the scatter it carries.

Gauges speak of the car as it stood: on its floor, with what was aboard. The plain readings are those of the same car
on a level floor with what its file counts in: each value read is changed by what the model of the car says the
difference makes, and its scatter grows by how well floor, ballast and the car's rates are known. Values that share a
raw reading (two wheels on one string) share its error; their scatter is kept value by value, the sharing is not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Rig
from cornerwright.assembly.taken_pass import Pass, refused
from cornerwright.assembly.taken_weights import other_heights, raised_axle, to_level_floor, weigh
from cornerwright.mechanics.carried import Carried
from cornerwright.mechanics.gauges import (
    camber_from_gaps,
    camber_of_offset,
    caster_exact,
    set_back,
    steering_axis,
    string_angle,
    string_angle_at_hubs,
    thrust_angle,
    toe_from_string,
    toe_of_length,
    total_toe,
)
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.reading import Reading
from cornerwright.model.results import Finding
from cornerwright.model.taken import CasterSweep, CornerTaken, RimGaps, StringLine, Taken

Array = NDArray[np.float64]

USUAL_KINGPIN = math.radians(12.0)
KINGPIN_SPREAD = math.radians(4.0)
"""Steering axis inclination where none is known, and how far cars differ in it (common practice)."""

USUAL_WHEELBASE = 2.5
"""[m], for how far a string may be out of line where nothing says how long it was."""


@dataclass(frozen=True)
class Alignment:
    """What the toe of an axle's wheels and the wheelbases mean together; None where not read."""

    front_total: Carried | None = None
    """[rad]"""
    rear_total: Carried | None = None
    front_heading: Carried | None = None
    """Way the front wheels point together, positive left [rad]."""
    thrust: Carried | None = None
    """Way the rear wheels point together, positive left [rad]."""
    set_back: Carried | None = None
    """How far the right front wheel stands behind the left one [m]."""


@dataclass(frozen=True)
class Converted:
    """Plain readings, and what else the raw ones said."""

    reading: Reading
    """`taken` is None."""
    alignment: Alignment = Alignment()
    kingpin: dict[CornerName, Carried] = field(default_factory=dict)
    """Steering axis inclination [rad], where the caster sweep and the camber straight ahead tell it."""
    notes: tuple[Finding, ...] = ()


def as_readings(reading: Reading, rig: Rig | None = None) -> Reading:
    """Plain readings of this pass; a pass without `taken` is returned as it is.

    Without a car (rig) floor and ballast stay uncorrected, and what needs its wheelbase or height points is refused.
    Raises Refusal, by field, for readings that do not fit together.
    """
    return reading if reading.taken is None else convert(reading, rig).reading


def convert(reading: Reading, rig: Rig | None = None) -> Converted:
    """Plain readings of this pass with what else follows from it: alignment, kingpin, notes. Raises Refusal."""
    if reading.taken is None:
        return Converted(reading, _alignment(Pass(reading, Taken(), rig)))
    work = Pass(reading, reading.taken, rig)
    for corner, raw in reading.taken.corners.items():
        _angles(work, corner, raw)
        weigh(work, corner, raw)
    other_heights(work)
    raised_axle(work)
    to_level_floor(work)
    return Converted(work.plain(), _alignment(work), work.kingpin, tuple(work.notes))


# ------------------------------------------------------------------ angles


def _angles(work: Pass, corner: CornerName, raw: CornerTaken) -> None:
    """Camber first, since toe away from the hub's height needs it, and caster needs both."""
    tools, at = work.taken.gauges, f"taken.{corner}"
    rim = {"diameter": tools.diameter}
    gap = tools.gap
    try:
        if (over := raw.camber_over) is not None:
            at = f"taken.{corner}.camber_over"
            found = camber_of_offset(over.length, over.diameter, scatter={"offset": math.sqrt(2) * gap, **rim})
            work.put(corner, "camber", found.value, found.sigma)
        if (plumb := raw.camber_plumb) is not None:
            at = f"taken.{corner}.camber_plumb"
            scatter = {"top_gap": gap, "bottom_gap": gap, "lean": tools.lean, **rim}
            found = camber_from_gaps(plumb.top_gap, plumb.bottom_gap, plumb.diameter, lean=plumb.lean, scatter=scatter)
            work.put(corner, "camber", found.value, found.sigma)
        if (over := raw.toe_over) is not None:
            at = f"taken.{corner}.toe_over"
            found = toe_of_length(over.length, over.diameter, scatter={"length": math.sqrt(2) * gap, **rim})
            work.put(corner, "toe", found.value, found.sigma)
        if raw.toe_strings is not None:
            at = f"taken.{corner}.toe_strings"
            found = _toe(work, corner, raw.toe_strings)
            work.put(corner, "toe", found.value, found.sigma)
        if raw.caster_sweep is not None:
            at = f"taken.{corner}.caster_sweep"
            found = _caster(work, corner, raw.caster_sweep)
            work.put(corner, "caster", found.value, found.sigma)
    except ValueError as error:
        raise refused(error, at) from None


def _toe(work: Pass, corner: CornerName, gaps: RimGaps) -> Carried:
    tools = work.taken.gauges
    string, string_sigma = _string(work, corner)
    off_hub = gaps.front_height != 0.0 or gaps.rear_height != 0.0
    camber = work.value[corner].get("camber")
    if off_hub and gaps.front_height != gaps.rear_height and camber is None:
        raise ValueError("gaps taken at unlike heights need the camber of this wheel too")
    scatter = {"front_gap": tools.gap, "rear_gap": tools.gap, "diameter": tools.diameter, "string": string_sigma}
    if camber is not None:
        scatter["camber"] = work.sigma[corner]["camber"]
    return toe_from_string(
        gaps.front_gap,
        gaps.rear_gap,
        gaps.diameter,
        string=string,
        camber=camber or 0.0,
        front_height=gaps.front_height,
        rear_height=gaps.rear_height,
        scatter=scatter,
    )


def _string(work: Pass, corner: CornerName) -> tuple[float, float]:
    """Angle of the string beside this wheel to the centre line, and its standard deviation [rad]."""
    strings, sigma = work.taken.strings, work.taken.gauges.string
    wheelbase = None if work.rig is None else work.rig.car.wheelbase
    if strings is None:
        return 0.0, math.sqrt(2) * sigma / (wheelbase or USUAL_WHEELBASE)
    apart = strings.apart or wheelbase
    if apart is None:
        raise Refusal.of("nothing", "how far apart the strings were measured, or a car", field="taken.strings.apart")
    line: StringLine = strings.left if corner.endswith("left") else strings.right
    if line.front is not None and line.rear is not None:
        found = string_angle(line.front, line.rear, apart, scatter={"front": sigma, "rear": sigma})
    else:
        assert line.front_hub_gap is not None  # the documents hold one of the two pairs, and the hubs with this one
        assert line.rear_hub_gap is not None
        assert strings.front_hubs is not None
        assert strings.rear_hubs is not None
        found = string_angle_at_hubs(
            line.front_hub_gap,
            line.rear_hub_gap,
            strings.front_hubs,
            strings.rear_hubs,
            apart,
            scatter=dict.fromkeys(("front_gap", "rear_gap", "front_hubs", "rear_hubs"), sigma),
        )
    return found.value, found.sigma


def _caster(work: Pass, corner: CornerName, sweep: CasterSweep) -> Carried:
    tools, read = work.taken.gauges, work.reading.gauges
    left_wheel = corner.endswith("left")
    out, back = (sweep.left, sweep.right) if left_wheel else (sweep.right, sweep.left)
    toe, camber = work.value[corner].get("toe", 0.0), work.value[corner].get("camber")
    scatter = {
        "camber_out": read.camber,
        "camber_in": read.camber,
        "steer_out": tools.steer,
        "steer_in": tools.steer,
        "toe": work.sigma[corner].get("toe", read.toe),
    }
    if sweep.kingpin is None and camber is not None:
        scatter["camber"] = work.sigma[corner]["camber"]
        caster, work.kingpin[corner] = steering_axis(
            out.camber, back.camber, camber, out.steer, back.steer, toe=toe, scatter=scatter
        )
        return caster
    scatter["kingpin"] = KINGPIN_SPREAD if sweep.kingpin is None else tools.kingpin
    if sweep.kingpin is None:
        work.note(
            corner,
            "caster",
            "neither the camber straight ahead nor the kingpin inclination was read: 12° was taken for the kingpin",
            "read the camber straight ahead too",
        )
    kingpin = USUAL_KINGPIN if sweep.kingpin is None else sweep.kingpin
    return caster_exact(out.camber, back.camber, out.steer, back.steer, kingpin=kingpin, toe=toe, scatter=scatter)


def _alignment(work: Pass) -> Alignment:
    toe = {
        corner: Carried(values["toe"], {"toe": 1.0}, {"toe": work.sigma[corner]["toe"]})
        for corner, values in work.value.items()
        if "toe" in values
    }
    front, rear = (
        (toe[left], toe[right]) if left in toe and right in toe else None for left, right in (CORNERS[:2], CORNERS[2:])
    )
    bases = work.taken.wheelbases
    sigma = dict.fromkeys(("wheelbase_left", "wheelbase_right"), work.taken.gauges.string)
    return Alignment(
        front_total=None if front is None else total_toe(*front),
        rear_total=None if rear is None else total_toe(*rear),
        front_heading=None if front is None else thrust_angle(*front),
        thrust=None if rear is None else thrust_angle(*rear),
        set_back=None if bases is None else set_back(bases.left, bases.right, scatter=sigma),
    )
