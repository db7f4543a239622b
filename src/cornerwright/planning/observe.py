"""Readings as numbers beside what the model says they should be."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import Outputs, outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.parts import CORNERS, CornerName
from cornerwright.model.reading import Gauges, Reading

Array = NDArray[np.float64]

Key = tuple[CornerName | None, str]
"""Corner (None: the whole car) and the name of the reading."""


@dataclass(frozen=True)
class Observations:
    """One pass of readings as arrays."""

    keys: tuple[Key, ...]
    value: Array
    """(r,) SI"""
    scatter: Array
    """(r,) standard deviation of one reading, SI"""


def observations(reading: Reading) -> Observations:
    """Everything that was read in this pass, its readings as taken turned into plain ones before."""
    if reading.taken is not None:
        raise ValueError("readings as taken must be converted first, by assembly.taken.as_readings")
    keys: list[Key] = []
    value: list[float] = []
    scatter: list[float] = []
    for corner in CORNERS:
        read = reading.corners[corner]
        for name, number in read.taken().items():
            keys.append((corner, name))
            value.append(number)
            scatter.append(getattr(read.scatter, name, None) or getattr(reading.gauges, name))
    if reading.cg_height is not None:
        keys.append((None, "cg_height"))
        value.append(reading.cg_height)
        scatter.append(reading.gauges.cg_height)
    return Observations(tuple(keys), np.array(value), np.array(scatter))


def gauge_scatter(gauges: Gauges, keys: tuple[Key, ...], weight: float) -> Array:
    """Scatter (r,) of the gauge behind each key; zero for what no gauge reads but the model computes.

    weight [N] of the car turns the scatter of the scales into that of the cross weight: each scale's
    part in the share is 1/2 of its reading over the weight, four of them add as squares.
    """
    shares = ("cross_weight", "front_share", "left_share")
    found = [gauges.load / weight if name in shares else getattr(gauges, name, 0.0) for _, name in keys]
    return np.array(found, dtype=float)


def zeros(rig: Rig, keys: tuple[Key, ...], unknowns: Array) -> Array:
    """(n, r): what the gauges' zero errors add to these readings, for unknowns (n, p)."""
    found = np.zeros((unknowns.shape[0], len(keys)))
    for column, (_, name) in enumerate(keys):
        where = rig.gauge_zeros.get(name)
        if where is not None:
            found[:, column] = rig.gauge_zero_scale[name] * unknowns[:, where.start]
    return found


def settling(rig: Rig, settings: Array, unknowns: Array, loose: Loose, keys: tuple[Key, ...], friction: float) -> Array:
    """(r, 4): what these readings move when friction holds each wheel off its rest by one standard deviation."""
    if friction == 0.0:
        return np.zeros((len(keys), 4))
    settle = np.concatenate([np.zeros((1, 4)), friction * np.eye(4)])
    variant = rig.vary(settings, np.broadcast_to(unknowns, (5, unknowns.shape[-1])), loose=loose, settle=settle)
    shown = pick(outputs(variant, variant.stand(), gradients=False), keys)
    return np.asarray((shown[1:] - shown[:1]).T)


def pick(at: Outputs, keys: tuple[Key, ...]) -> Array:
    """(n, r): the model's values of these readings."""
    columns = []
    for corner, name in keys:
        if corner is None:
            columns.append(at.car[name])
        else:
            columns.append(at.corner[name][:, CORNERS.index(corner)])
    return np.stack(columns, axis=1) if columns else np.zeros((at.count, 0))


def pick_gradient(at: Outputs, keys: tuple[Key, ...]) -> Array:
    """(n, r, m): derivatives of these readings by the adjusters' travels."""
    rows = []
    for corner, name in keys:
        if corner is None:
            rows.append(at.car_gradient[name])
        else:
            rows.append(at.corner_gradient[name][:, CORNERS.index(corner)])
    return np.stack(rows, axis=1)
