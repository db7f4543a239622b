"""Loads, heights and the centre of gravity of a pass as taken; what floor and ballast did to all its readings."""

from __future__ import annotations

import math

import numpy as np

from cornerwright.assembly.level_floor import changes_to_level, pads_of
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.taken_pass import Pass, refused
from cornerwright.mechanics.weighing import (
    attitude,
    ballast_by_levers,
    cg_height,
    floor_under,
    height_elsewhere,
    mean_of_scale,
)
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.reading import CORNER_READINGS
from cornerwright.model.taken import CornerTaken
from cornerwright.model.units import ANGLE, LENGTH, STANDARD_GRAVITY, WEIGHT, to_document

ROLL_SHARE = 0.5
"""Front share of the roll stiffness where the car cannot be stood on its wheels."""


def weigh(work: Pass, corner: CornerName, raw: CornerTaken) -> None:
    """Load from what the scale showed, its zero taken off."""
    if raw.scale is None:
        return
    load, sigma = mean_of_scale(raw.scale.shows, raw.scale.zero, work.reading.gauges.load)
    if load < 0:
        raise Refusal.of("a scale that shows less than when empty", "a load above zero", field=f"taken.{corner}.scale")
    work.put(corner, "load", load, sigma)


def other_heights(work: Pass) -> None:
    """Heights of points other than the car file's, brought to the height points by the body's own stance."""
    raw = {corner: one.height_to for corner, one in work.taken.corners.items() if one.height_to is not None}
    if not raw:
        return
    if work.rig is None:
        raise Refusal.of("a height of another point", "a car, whose height points it is brought to", field="taken")
    car, points = work.rig.car, dict(zip(CORNERS, work.rig.height_points, strict=True))
    pads, tracks = pads_of(work.taken), (car.front.track, car.rear.track)
    places = {corner: points[corner] for corner in CORNERS if "height" in work.value[corner]}
    read = {corner: work.value[corner]["height"] for corner in places}
    sigma = {corner: work.sigma[corner]["height"] for corner in places}
    for corner, one in raw.items():
        places[corner], read[corner] = np.array(one.at), one.height
        # The file does not say how well this point's place on the body is known: as well as its own points.
        sigma[corner] = math.hypot(work.reading.gauges.height, car.doubt.height_point)
    order = list(places)
    where = np.array([places[corner] for corner in order])
    floor = np.array([floor_under(place, car.wheelbase, tracks) @ pads for place in where])
    level = np.array([read[corner] for corner in order]) + floor
    try:
        found = attitude(where, level)
    except ValueError as error:
        raise refused(error, f"taken.{next(iter(raw))}.height_to") from None
    spread = np.array([sigma[corner] for corner in order])
    for corner in raw:
        height, slope = height_elsewhere(found, where, level, order.index(corner), points[corner])
        below = floor_under(points[corner], car.wheelbase, tracks) @ pads
        work.put(corner, "height", float(height - below), float(np.sqrt((slope**2) @ spread**2)))


def raised_axle(work: Pass) -> None:
    """Height of the centre of gravity from loads with an axle raised."""
    raised = work.taken.raised
    if raised is None:
        return
    at = "taken.raised"
    if work.rig is None:
        raise Refusal.of("loads with an axle raised", "a car, for its wheelbase", field=at)
    loads = [work.value[corner].get("load") for corner in CORNERS]
    known = [one for one in loads if one is not None]
    down = slice(0, 2) if raised.axle == "rear" else slice(2, 4)
    if len(known) < 4 and (raised.level is None or raised.total is None):
        raise Refusal.of("no loads in this pass", "level and total here, or the loads of all four wheels", field=at)
    level = sum(known[down]) if raised.level is None else raised.level
    total = sum(known) if raised.total is None else raised.total
    radii = (raised.front_radius, raised.rear_radius)
    grounded, lifted = radii if raised.axle == "rear" else radii[::-1]
    scale, tools = work.reading.gauges.load, work.taken.gauges
    steps = range(len(raised.steps))
    scatter = {
        "level": math.sqrt(2) * scale,
        "total": 2 * scale,
        "grounded_radius": tools.radius,
        "lifted_radius": tools.radius,
        **{f"load_{k}": math.sqrt(2) * scale for k in steps},
        **{f"lift_{k}": tools.lift for k in steps},
    }
    try:
        found = cg_height(
            total,
            level,
            [step.lift for step in raised.steps],
            [step.load for step in raised.steps],
            wheelbase=work.rig.car.wheelbase,
            grounded_radius=grounded,
            lifted_radius=lifted,
            scatter=scatter,
        )
    except ValueError as error:
        raise refused(error, at) from None
    if not 0 < found.value < 3:
        words = f"a centre of gravity at {to_document(found.value, LENGTH):.0f} mm"
        raise Refusal.of(words, "loads on the axle that stayed down, growing with the lift", field=at)
    work.cg, work.cg_sigma = found.value, found.sigma


# ------------------------------------------------------------------ floor and ballast


def to_level_floor(work: Pass) -> None:
    """Change every value by what the floor and what was aboard make of it."""
    taken = work.taken
    if taken.floor is None and not taken.missing and not taken.extra:
        return
    if work.rig is None:
        work.note("car", "floor", "uneven floor and ballast are not corrected: that needs a car", warn=True)
        return
    change = changes_to_level(work.reading, taken, work.rig)
    if change is None:
        _by_levers(work, work.rig)
        return
    largest: dict[str, float] = {}
    for name in CORNER_READINGS:
        by, spread = change[name]
        for i, corner in enumerate(CORNERS):
            if name in work.value[corner] and np.isfinite(by[i]):
                value, sigma = work.value[corner][name], work.sigma[corner][name]
                work.put(corner, name, value + float(by[i]), math.hypot(sigma, float(spread[i])))
                largest[name] = max(largest.get(name, 0.0), abs(float(by[i])))
    if work.cg is not None:
        by, spread = change["cg_height"]
        work.cg, work.cg_sigma = work.cg + float(by[0]), math.hypot(work.cg_sigma, float(spread[0]))
    words = [
        f"{name.replace('_', ' ')} up to {to_document(largest[name], kind):.{digits}f} {kind.unit}"
        for name, kind, digits in (("load", WEIGHT, 1), ("height", LENGTH, 1), ("camber", ANGLE, 2))
        if name in largest
    ]
    if words:
        says = f"readings are corrected for the floor and for what was aboard: {', '.join(words)}"
        work.note("car", "floor", says, "see measuring: a level floor needs no correction")


def _by_levers(work: Pass, rig: Rig) -> None:
    """Loads alone, by levers: the car of the file does not stand, so its springs say nothing."""
    work.note(
        "car",
        "floor",
        "the car of the file does not stand on its wheels: ballast is corrected in the loads only, by levers, "
        "an uneven floor not at all",
        "run `check`",
        warn=True,
    )
    if any("load" not in values for values in work.value.values()):
        return
    car, tools = rig.car, work.taken.gauges
    scatter = {"weight": work.reading.gauges.load, "x": tools.place, "y": tools.place, "roll_share": 0.15}
    for sign, group in ((1.0, work.taken.missing), (-1.0, work.taken.extra)):
        for one in group:
            changes = ballast_by_levers(
                one.mass * STANDARD_GRAVITY,
                one.at.x,
                one.at.y,
                wheelbase=car.wheelbase,
                tracks=(car.front.track, car.rear.track),
                roll_share=ROLL_SHARE,
                scatter=scatter,
            )
            for corner, change in zip(CORNERS, changes, strict=True):
                value, sigma = work.value[corner]["load"], work.sigma[corner]["load"]
                work.put(corner, "load", value + sign * change.value, math.hypot(sigma, change.sigma))
