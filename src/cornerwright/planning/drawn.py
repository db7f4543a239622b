"""Cars that the file could mean, as documents: for answers that take a whole car."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.rig import Rig
from cornerwright.model.brake_parts import Pad
from cornerwright.model.car import Axle, Car
from cornerwright.model.corner import Corner
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, Damper
from cornerwright.model.tyre_grip import TyreGrip
from cornerwright.planning.doubt_unknowns import SUBJECTS, Things, things_of
from cornerwright.planning.taught import car_at

Array = NDArray[np.float64]

NOT_VARIED = "tyre damping, and radii of gyration that the car file does not give"
"""Unknowns without a field in the car file: no document can say another value of them."""


def drawn_cars(car: Car, rows: int, random: int = 1) -> Iterator[Car | None]:
    """So many cars, each with every unknown of the file drawn anew from its doubt; None: no car can be so."""
    rig = Rig(car)
    things = things_of(rig, SUBJECTS)
    for z in things.draw(random, 0, "first", rows):
        try:
            yield drawn_car(rig, things, z)
        except (Refusal, ValueError):
            yield None


def drawn_car(rig: Rig, things: Things, z: Array) -> Car:
    """The car with its unknowns at z (size,), standard deviations each. Raises Refusal, ValueError: no such car."""
    stood = car_at(rig, z[: things.of_rig])
    doubt = rig.car.doubt

    def factor(label: str, scale: float) -> float:
        return float(np.exp(scale * z[things.column(label)]))

    axles: dict[str, Axle] = {}
    for a, end in enumerate(("front", "rear")):
        rubs = factor(f"{end} pad friction", doubt.pad_friction)
        grips = factor(f"{end} tyre grip", doubt.tyre_grip)
        stiff = factor(f"{end} tyre cornering stiffness", doubt.tyre_stiffness)
        sides: dict[str, Corner] = {}
        for s, side in enumerate(("left", "right")):
            corner: Corner = getattr(stood.axles[a], side)
            damps = factor(f"{CORNERS[2 * a + s]} damper force", doubt.damper_force)
            update: dict[str, object] = {
                "damper": _stiffer(corner.damper, damps),
                "tyre": corner.tyre.model_copy(update={"grip": _grippier(corner.tyre.grip, grips, stiff)}),
            }
            if corner.brake is not None:
                update["brake"] = corner.brake.model_copy(update={"pad": _rubbing(corner.brake.pad, rubs)})
            sides[side] = corner.model_copy(update=update)
        axles[end] = stood.axles[a].model_copy(update=sides)
    turned = {
        f"{way}_radius": own * factor(f"radius of gyration in {way}", doubt.gyration)
        for way in ("pitch", "roll")
        if (own := getattr(stood.mass, f"{way}_radius")) is not None
    }
    return stood.model_copy(update={**axles, "mass": stood.mass.model_copy(update=turned)})


def _stiffer(damper: Damper, factor: float) -> Damper:
    if damper.curve is None:
        return damper
    rows = (row.model_copy(update={"bump": factor * row.bump, "rebound": factor * row.rebound}) for row in damper.curve)
    return damper.model_copy(update={"curve": tuple(rows)})


def _grippier(grip: TyreGrip | None, holds: float, stiff: float) -> TyreGrip:
    own = TyreGrip.invented() if grip is None else grip
    return own.model_copy(update={"grip": own.grip * holds, "stiffness": own.stiffness * stiff})


def _rubbing(pad: Pad, factor: float) -> Pad:
    update: dict[str, object] = {
        name: factor * own
        for name in ("friction", "least_friction", "most_friction")
        if (own := getattr(pad, name)) is not None
    }
    rows = (row.model_copy(update={"friction": factor * row.friction}) for row in pad.curve)
    return pad.model_copy(update={**update, "curve": tuple(rows)})
