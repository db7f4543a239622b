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

from cornerwright.assembly.level_floor import changes_to_level, pads_of
from cornerwright.assembly.rig import Rig
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
from cornerwright.model.reading import CORNER_READINGS, CornerScatter, Reading
from cornerwright.model.results import Finding
from cornerwright.model.taken import CasterSweep, CornerTaken, RimGaps, StringLine, Taken
from cornerwright.model.units import ANGLE, LENGTH, STANDARD_GRAVITY, WEIGHT, to_document

Array = NDArray[np.float64]

USUAL_KINGPIN = math.radians(12.0)
KINGPIN_SPREAD = math.radians(4.0)
"""Steering axis inclination where none is known, and how far cars differ in it (common practice)."""

USUAL_WHEELBASE = 2.5
"""[m], for how far a string may be out of line where nothing says how long it was."""

ROLL_SHARE = 0.5
"""Front share of the roll stiffness where the car cannot be stood on its wheels."""


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
        return Converted(reading, _alignment(_Work(reading, Taken(), rig)))
    work = _Work(reading, reading.taken, rig)
    for corner, raw in reading.taken.corners.items():
        _angles(work, corner, raw)
        _scale(work, corner, raw)
    _other_heights(work)
    _raised(work)
    _to_level_floor(work)
    return Converted(work.plain(), _alignment(work), work.kingpin, tuple(work.notes))


class _Work:
    """A pass while it is converted: values and their standard deviations by corner and reading."""

    def __init__(self, reading: Reading, taken: Taken, rig: Rig | None) -> None:
        self.reading, self.taken, self.rig = reading, taken, rig
        self.value: dict[CornerName, dict[str, float]] = {c: one.taken() for c, one in reading.corners.items()}
        self.sigma: dict[CornerName, dict[str, float]] = {
            corner: {name: self._plain_sigma(corner, name) for name in one} for corner, one in self.value.items()
        }
        self.cg: float | None = reading.cg_height
        self.cg_sigma: float = reading.gauges.cg_height
        self.kingpin: dict[CornerName, Carried] = {}
        self.notes: list[Finding] = []

    def _plain_sigma(self, corner: CornerName, name: str) -> float:
        own = getattr(self.reading.corners[corner].scatter, name, None)
        return float(own or getattr(self.reading.gauges, name))

    def put(self, corner: CornerName, name: str, value: float, sigma: float) -> None:
        self.value[corner][name], self.sigma[corner][name] = value, sigma

    def note(self, place: str, about: str, says: str, do: str | None = None, *, warn: bool = False) -> None:
        self.notes.append(Finding(level="warning" if warn else "note", place=place, about=about, says=says, do=do))

    def plain(self) -> Reading:
        update: dict[str, object] = {"taken": None, "cg_height": self.cg}
        if self.cg is not None:
            update["gauges"] = self.reading.gauges.model_copy(update={"cg_height": self.cg_sigma})
        for corner, values in self.value.items():
            own = {
                name: sigma
                for name, sigma in self.sigma[corner].items()
                if not math.isclose(sigma, getattr(self.reading.gauges, name), rel_tol=1e-12)
            }
            scatter = CornerScatter().model_copy(update=own) if own else None
            update[corner] = self.reading.corners[corner].model_copy(update={**values, "scatter": scatter})
        return self.reading.model_copy(update=update)


def _refused(error: ValueError, at: str) -> Refusal:
    return Refusal.of("", str(error), field=at)


# ------------------------------------------------------------------ angles


def _angles(work: _Work, corner: CornerName, raw: CornerTaken) -> None:
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
        raise _refused(error, at) from None


def _toe(work: _Work, corner: CornerName, gaps: RimGaps) -> Carried:
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


def _string(work: _Work, corner: CornerName) -> tuple[float, float]:
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


def _caster(work: _Work, corner: CornerName, sweep: CasterSweep) -> Carried:
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


def _alignment(work: _Work) -> Alignment:
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


# ------------------------------------------------------------------ weights and heights


def _scale(work: _Work, corner: CornerName, raw: CornerTaken) -> None:
    if raw.scale is None:
        return
    load, sigma = mean_of_scale(raw.scale.shows, raw.scale.zero, work.reading.gauges.load)
    if load < 0:
        raise Refusal.of("a scale that shows less than when empty", "a load above zero", field=f"taken.{corner}.scale")
    work.put(corner, "load", load, sigma)


def _other_heights(work: _Work) -> None:
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
        raise _refused(error, f"taken.{next(iter(raw))}.height_to") from None
    spread = np.array([sigma[corner] for corner in order])
    for corner in raw:
        height, slope = height_elsewhere(found, where, level, order.index(corner), points[corner])
        below = floor_under(points[corner], car.wheelbase, tracks) @ pads
        work.put(corner, "height", float(height - below), float(np.sqrt((slope**2) @ spread**2)))


def _raised(work: _Work) -> None:
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
        raise _refused(error, at) from None
    if not 0 < found.value < 3:
        words = f"a centre of gravity at {to_document(found.value, LENGTH):.0f} mm"
        raise Refusal.of(words, "loads on the axle that stayed down, growing with the lift", field=at)
    work.cg, work.cg_sigma = found.value, found.sigma


# ------------------------------------------------------------------ floor and ballast


def _to_level_floor(work: _Work) -> None:
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


def _by_levers(work: _Work, rig: Rig) -> None:
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
