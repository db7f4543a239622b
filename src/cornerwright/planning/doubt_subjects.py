"""The figures whose doubt is asked for, of one car that the file could mean or of many at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.brake_inputs import Parts, frictions, loading_of, parts_of, system_of
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import KINDS
from cornerwright.assembly.ride_inputs import RideInputs, ride_inputs
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.assembly.turn_inputs import Driven, turn_inputs
from cornerwright.mechanics import road as roads
from cornerwright.mechanics.cornering import balance
from cornerwright.mechanics.ride import longest_step
from cornerwright.mechanics.ride_measures import load_variation, weighted_rms
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.units import ANGLE, FORCE, LENGTH, SHARE, STANDARD_GRAVITY, Kind, to_document
from cornerwright.planning.brake_balance import TYPE_0_RATE, front_share
from cornerwright.planning.doubt_unknowns import Things
from cornerwright.planning.ride import ROW, RUN_IN, STEP, stretches
from cornerwright.planning.ride_told import count_events

Array = NDArray[np.float64]

TURN_STEP = 1.0
"""[m/s2] in which a circle is driven faster: the limit is found as closely, in fewer turns."""
BRAKED = 0.8
"""Deceleration [g] at which the balance of the brakes is told: a dry road's."""
PARTS = 2
"""Stretches of the road that one car drives."""


@dataclass(frozen=True)
class Case:
    """What the cars are put to. radius [m]; speed [m/s], seconds of a road of a class of ISO 8608, its number."""

    radius: float = 30.0
    driven: Driven = "rear"
    on: roads.RoadClass = "C"
    speed: float = 60.0 / 3.6
    seconds: float = 16.0
    road: int = 1


@dataclass(frozen=True)
class Figure:
    """One figure: where, what, its kind [SI] and the unit it is told in."""

    place: str
    name: str
    kind: Kind | None
    unit: str

    @property
    def key(self) -> str:
        """Name of its column in a table."""
        return f"{self.place}.{self.name}"

    def told(self, value: float) -> float:
        """The value in the unit it is told in."""
        return float(value) if self.kind is None else to_document(float(value), self.kind)


def _figure(place: str, name: str, kind: Kind) -> Figure:
    return Figure(place, name, kind, kind.unit)


STAND = (
    *(
        _figure(place, name, KINDS[name])
        for name in ("height", "load", "camber", "toe", "stroke_share", "spring_held", "droop_left", "bump_left")
        for place in CORNERS
    ),
    _figure("car", "cross_weight", KINDS["cross_weight"]),
)
CORNER = (
    Figure("car", "understeer", ANGLE, "deg/g"),
    Figure("car", "cornering_limit", None, "g"),
    Figure("car", "front_grip_used_less_rear", SHARE, "%"),
    Figure("car", "roll", ANGLE, "deg/g"),
    Figure("car", "front_load_transfer", SHARE, "%"),
)
ROAD = (
    Figure("car", "comfort", None, "m/s2"),
    *(
        one
        for place in CORNERS
        for one in (
            _figure(place, "stroke_used", SHARE),
            _figure(place, "least_stroke_left", LENGTH),
            Figure(place, "stop_touched", None, "per min"),
            Figure(place, "bottoms", None, "per min"),
            Figure(place, "tops", None, "per min"),
            _figure(place, "load_variation", SHARE),
        )
    ),
)
BRAKES = (
    _figure("car", "front_brake_share", SHARE),
    _figure("car", "rear_grip_over_front", SHARE),
    _figure("car", "pedal_force", FORCE),
)
FIGURES = {"stand": STAND, "corner": CORNER, "road": ROAD, "brakes": BRAKES}
"""Figures of each subject; `front_grip_used_less_rear` at the limit, above zero: the front gives up first.
`rear_grip_over_front`, at 0.8 g: above 100 % the rear locks first; `pedal_force` at 0.66 g."""

Read = Callable[[Array], Array]
"""Figures (n, k) [SI] of cars (n, size); nan where a car has none."""


def reader(car: Car, rig: Rig, things: Things, subject: str, case: Case) -> Read:
    """How the figures of a subject are read. Raises Refusal where the car as it is written has none."""
    makers = {"stand": _stand, "corner": _corner, "road": _road, "brakes": _brakes}
    return makers[subject](car, rig, things, case)


def _stand(_car: Car, rig: Rig, things: Things, _case: Case) -> Read:
    return lambda numbers: stood(rig.vary(unknowns=numbers[:, : things.of_rig]))


def stood(variant: Variant) -> Array:
    """Figures (n, k) [SI] of `STAND` of cars at rest; nan where one does not stand."""
    found = outputs(variant, variant.stand(), gradients=False)
    corners = [found.corner[name] for name in dict.fromkeys(one.name for one in STAND if one.place != "car")]
    return np.concatenate([*corners, found.car["cross_weight"][:, None]], axis=1)


def _each(one_car: Callable[[Array], Array], k: int) -> Read:
    """Cars one after the other; a car that cannot be computed has no figures."""

    def read(numbers: Array) -> Array:
        found = np.full((numbers.shape[0], k), np.nan)
        for row, z in enumerate(numbers):
            try:
                found[row] = one_car(z)
            except (Refusal, ValueError):
                continue
        return found

    return read


def _corner(car: Car, rig: Rig, things: Things, case: Case) -> Read:
    doubt = car.doubt
    grip = [things.column(f"{end} tyre grip") for end in ("front", "rear")]
    stiff = [things.column(f"{end} tyre cornering stiffness") for end in ("front", "rear")]

    def one_car(z: Array) -> Array:
        given = turn_inputs(car, case.driven, rig, z[None, : things.of_rig]).car
        tyres = replace(
            given.tyres,
            grip=given.tyres.grip * np.exp(doubt.tyre_grip * z[grip]).repeat(2),
            stiffness=given.tyres.stiffness * np.exp(doubt.tyre_stiffness * z[stiff]).repeat(2),
        )
        found = balance(replace(given, tyres=tyres), case.radius, TURN_STEP)
        early, limit = found.turns[min(1, len(found.turns) - 1)], found.limit
        over = limit.load[[1, 3]] - limit.load[[0, 2]]
        return np.array(
            [
                found.understeer * STANDARD_GRAVITY,
                limit.lateral / STANDARD_GRAVITY,
                limit.used[0] - limit.used[1],
                early.roll / early.lateral * STANDARD_GRAVITY,
                over[0] / over.sum(),
            ]
        )

    return _each(one_car, len(CORNER))


def _road(car: Car, rig: Rig, things: Things, case: Case) -> Read:
    doubt = car.doubt
    dampers = [things.column(f"{name} damper force") for name in CORNERS]
    tyre = things.column("tyre damping")
    gyration = [things.column(f"radius of gyration in {way}") for way in ("pitch", "roll")]
    length = max(case.speed * (case.seconds + RUN_IN) + car.wheelbase + 1.0, 1.05 / roads.LONGEST)
    apart = (car.front.track + car.rear.track) / 2.0
    made = np.random.default_rng(case.road)
    tracks = roads.tracks(length, ROW, apart, roads.CLASS_MEAN[case.on], made)

    def one_car(z: Array) -> Array:
        given = ride_inputs(car, rig, z[None, : things.of_rig])
        turns = np.exp(2.0 * doubt.gyration * z[gyration])
        ride_car = replace(
            given.car,
            damper_force=given.car.damper_force * np.exp(doubt.damper_force * z[dampers])[:, None],
            tyre_damping=given.car.tyre_damping * np.exp(doubt.tyre_damping * z[tyre]),
            pitch_inertia=given.car.pitch_inertia * turns[0],
            roll_inertia=given.car.roll_inertia * turns[1],
        )
        return _driven(replace(given, car=ride_car), tracks, case, car.wheelbase)

    return _each(one_car, len(ROAD))


def _driven(inputs: RideInputs, tracks: Array, case: Case, wheelbase: float) -> Array:
    step = min(STEP, longest_step(inputs.car))
    (run,) = stretches(inputs, tracks, ROW, case.speed, case.seconds, step, wheelbase, np.ones(1), PARTS)
    if not (run.ride.verdict == "done").all():
        return np.full(len(ROAD), np.nan)
    late = slice(run.first, None)
    shaken = weighted_rms(run.ride.acceleration[:, late, 0], run.ride.step)
    damper = run.ride.damper_length[:, late]
    least, most = damper.min(axis=(0, 1)), damper.max(axis=(0, 1))
    counts = count_events(inputs, run)
    columns = (
        (most - least) / (inputs.open - inputs.closed),
        least - inputs.closed,
        counts["stop"],
        counts["bottoms"],
        counts["tops"],
        load_variation(run.ride.load[:, late]),
    )
    return np.concatenate([[float(np.sqrt((shaken**2).mean()))], np.stack(columns, axis=1).ravel()])


def _brakes(car: Car, _rig: Rig, things: Things, _case: Case) -> Read:
    parts = parts_of(car)
    doubt, mass = car.doubt, car.mass
    pads = [things.column(f"{end} pad friction") for end in ("front", "rear")]
    total, front, height = (
        things.column(name) for name in ("total mass", "front share of the weight", "height of the centre of gravity")
    )

    def one_car(z: Array) -> Array:
        changed = {
            "total": mass.total * float(np.exp(doubt.total_mass * z[total])),
            "front": mass.front + doubt.weight_share * float(z[front]),
            "cg_height": mass.cg_height + doubt.cg_height * float(z[height]),
        }
        other = Parts(car.model_copy(update={"mass": mass.model_copy(update=changed)}), parts.brakes, parts.corners)
        rubs = frictions(parts) * np.exp(doubt.pad_friction * z[pads]).repeat(2)
        system, loading = system_of(other, rubs), loading_of(other.car)
        share = front_share(system, loading, BRAKED)
        used = loading.adhesion_used(np.array([share, 1.0 - share]) * BRAKED * loading.weight)
        return np.array([share, used[1] / used[0], system.foot_for(TYPE_0_RATE * loading.weight)])

    return _each(one_car, len(BRAKES))
