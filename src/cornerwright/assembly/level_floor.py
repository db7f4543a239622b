"""What an uneven floor and what was aboard make of a car's readings, by the model of the car itself.

A pad of some height under a tyre is, to the car, a tyre of so much more radius; a weight aboard is part of the body.
The car is stood on its wheels both ways, and the difference is taken.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Rig, Variant, loose_in
from cornerwright.mechanics.weighing import floor_under
from cornerwright.model.reading import CORNER_READINGS, Reading
from cornerwright.model.taken import Taken
from cornerwright.model.units import STANDARD_GRAVITY

Array = NDArray[np.float64]


def pads_of(taken: Taken) -> Array:
    """Heights of the floor under the four wheels (4,) [m]."""
    return np.zeros(4) if taken.floor is None else np.array(taken.floor.pads)


def changes_to_level(reading: Reading, taken: Taken, rig: Rig) -> dict[str, tuple[Array, Array]] | None:
    """What to add to each reading (4,) and its standard deviation; None where the car does not stand.

    Row 0 of the batch is the car and the floor as told; each further row moves one thing by its standard deviation.
    """
    tools = taken.gauges
    rates = [place for block in rig.unknowns.blocks if block.label.endswith("rate") for place in _places(block.where)]
    aboard = [(-1.0, one) for one in taken.missing] + [(1.0, one) for one in taken.extra]
    pads_moved = 4 if taken.floor is not None else 0
    rows = 1 + len(rates) + pads_moved + 3 * len(aboard)
    unknowns, pads = np.zeros((rows, rig.unknowns.size)), np.tile(pads_of(taken), (rows, 1))
    unknowns[1 + np.arange(len(rates)), rates] = 1.0
    row = 1 + len(rates)
    for i in range(pads_moved):
        pads[row + i, i] += tools.floor
    row += pads_moved
    weights = np.zeros((rows, len(aboard)))
    places = np.zeros((rows, len(aboard), 3))
    for k, (sign, one) in enumerate(aboard):
        weights[:, k], places[:, k] = sign * one.mass, one.at
        weights[row, k] += sign * reading.gauges.load / STANDARD_GRAVITY
        places[row + 1, k, 0] += tools.place
        places[row + 2, k, 1] += tools.place
        row += 3
    wanted = rig.vary(unknowns=unknowns, loose=loose_in(reading.state))
    inputs = wanted.inputs
    mass = inputs.body_mass + weights.sum(axis=1)
    moment = inputs.body_mass[:, None] * inputs.body_cg + np.einsum("nk,nkc->nc", weights, places)
    as_taken = replace(
        wanted,
        inputs=replace(inputs, tyre_radius=inputs.tyre_radius + pads, body_mass=mass, body_cg=moment / mass[:, None]),
    )
    if not (mass > 0).all():
        return None
    level, there = _shown(wanted, np.zeros_like(pads)), _shown(as_taken, pads)
    if level is None or there is None:
        return None
    found = {}
    for name, at_level in level.items():
        by = at_level - there[name]
        found[name] = (by[0], np.sqrt(((by[1:] - by[0]) ** 2).sum(axis=0)))
    return found


def _places(where: slice) -> range:
    return range(where.start, where.stop)


def _shown(variant: Variant, pads: Array) -> dict[str, Array] | None:
    """What gauges show (n, 4), heights over the floor as it is; None where a car does not stand."""
    stance = variant.stand()
    if not stance.stands.all():
        return None
    at = outputs(variant, stance, gradients=False)
    car = variant.rig.car
    under = floor_under(variant.height_points, car.wheelbase, (car.front.track, car.rear.track))
    shown = {name: at.corner[name] for name in CORNER_READINGS}
    shown["height"] = shown["height"] - np.einsum("ncp,np->nc", under, pads)
    shown["cg_height"] = np.repeat(at.car["cg_height"][:, None], 4, axis=1)
    return shown
