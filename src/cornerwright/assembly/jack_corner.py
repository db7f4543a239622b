"""A corner known by its jack table, ready to be varied."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.motion import CornerJet, CornerPartials, Rows
from cornerwright.assembly.slots import Slot
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.mechanics.jack import (
    MARGIN,
    PRIOR_ANGLE,
    PRIOR_LENGTH,
    JackCurve,
    fit_column,
    polynomial_jet,
)
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.linkage import JackTable
from cornerwright.model.parts import CORNERS

Array = NDArray[np.float64]

FITTED = ("spring", "damper", "half_track", "camber", "toe", "caster")
"""Columns of the table, in the order of the arrays here."""

HALF_TRACK = FITTED.index("half_track")
SPRING, DAMPER = FITTED.index("spring"), FITTED.index("damper")
ANGLES = ("camber", "toe", "caster")


class JackCorner:
    """One corner's fitted table, its adjusters' effects and its unknowns."""

    def __init__(self, car: Car, corner: int, table: JackTable, slots: tuple[Slot, ...], unknowns: UnknownList) -> None:
        name = CORNERS[corner]
        part = car.corners[name]
        axle, self.side = divmod(corner, 2)
        self.x = -axle * car.wheelbase
        self.half_track = car.axles[axle].track / 2
        self.measured_at = np.array([slot.adjuster.measured_at for slot in slots])
        fitted = _curves(part, table)
        self.curves: tuple[JackCurve, ...] = tuple(fitted[column] for column in FITTED)
        self.low = min(row.lift for row in table.rows)
        self.high = max(row.lift for row in table.rows)
        # Beyond its own rows a column goes on straight, even where other columns were read.
        self.span = (
            np.array([curve.low for curve in self.curves]),
            np.array([curve.high for curve in self.curves]),
        )
        self.around = part.spring.around_damper
        self.mean = np.stack([curve.coefficients for curve in self.curves])  # (6, 4)
        self.root = np.stack([_root(curve.covariance) for curve in self.curves])  # (6, 4, 4)
        self.where = [unknowns.add(f"{name} jack table, {column.replace('_', ' ')}", name, 4) for column in FITTED]
        self.effect = _effects(slots, corner)  # (6, m)
        self.effect_doubt = car.doubt.effect
        self.effect_unknown = {
            k: unknowns.add(f"{slot.name} effect", slot.place, 1, car.doubt.effect, "share").start
            for k, slot in enumerate(slots)
            if slot.corner == corner and slot.adjuster.effect is not None
        }
        doubt = {"camber": car.doubt.camber, "toe": car.doubt.toe, "caster": car.doubt.caster}
        self.zero_doubt = np.array([doubt.get(column, 0.0) for column in FITTED])
        self.zero_unknown = [
            unknowns.add(f"{name} {column} as built", name, 1, doubt[column], "angle").start
            if column in doubt
            else None
            for column in FITTED
        ]

    def vary(self, settings: Array, unknowns: Array) -> JackCornerMotion:
        """The corner for settings (n|1, m) [m] and unknowns (n|1, p)."""
        n = max(settings.shape[0], unknowns.shape[0])
        drawn = np.stack([unknowns[:, where] for where in self.where], axis=1)
        table = self.mean + np.einsum("cij,ncj->nci", self.root, drawn)
        factor = np.ones((unknowns.shape[0], self.measured_at.size))
        for k, where in self.effect_unknown.items():
            factor[:, k] += self.effect_doubt * unknowns[:, where]
        moved = np.zeros((n, len(FITTED)))
        moved += (factor * (settings - self.measured_at)) @ self.effect.T
        for c, at in enumerate(self.zero_unknown):
            if at is not None:
                moved[:, c] += self.zero_doubt[c] * unknowns[:, at]
        table = np.broadcast_to(table, (n, *self.mean.shape)).copy()
        if self.around:
            # A spring around the damper follows it: only the distance of its seats is its own.
            gap = self.mean[SPRING, 0] - self.mean[DAMPER, 0]
            table[:, SPRING] = table[:, DAMPER]
            table[:, SPRING, 0] += gap
            moved[:, SPRING] = moved[:, DAMPER]
        # Of the half-track only its change counts, and what adjusters do to it.
        table[:, HALF_TRACK, 0] = 0.0
        table[:, :, 0] += moved
        return JackCornerMotion(self, table, factor)


@dataclass(frozen=True)
class JackCornerMotion:
    """A corner known by its jack table, for n variants."""

    corner: JackCorner
    table: Array
    """(n, 6, 4) coefficients of the columns"""
    factor: Array
    """(n|1, m) how much more each adjuster does than the file says"""

    def at(self, lift: Array) -> Mapping[str, CornerJet]:
        """Every column at this lift (n,) [m]."""
        corner = self.corner
        value, first, second = polynomial_jet(self.table, *corner.span, lift[:, None])
        jets = {column: CornerJet(value[:, c], first[:, c], second[:, c]) for c, column in enumerate(FITTED)}
        out = jets.pop("half_track")
        side = 1.0 if corner.side == 0 else -1.0
        jets["y"] = CornerJet(side * (corner.half_track + out.value), side * out.first, side * out.second)
        none = np.zeros(value.shape[0])
        jets["x"] = CornerJet(none + corner.x, none, none)
        return jets

    def partials(self, lift: Array) -> Mapping[str, CornerPartials]:
        """Dependence of the columns on the adjusters, the same at every lift."""
        shape = (lift.shape[0], self.factor.shape[1])
        none = np.zeros(shape)
        value = self.corner.effect[None] * self.factor[:, None, :]
        found = {column: CornerPartials(np.broadcast_to(value[:, c], shape), none) for c, column in enumerate(FITTED)}
        out = found.pop("half_track")
        found["y"] = out if self.corner.side == 0 else CornerPartials(-out.value, none)
        if self.corner.around:
            found["spring"] = found["damper"]
        return found

    def take(self, rows: Rows) -> JackCornerMotion:
        """Only these variants."""
        factor = self.factor if self.factor.shape[0] == 1 else self.factor[rows]
        table = self.table if self.table.shape[0] == 1 else self.table[rows]
        return JackCornerMotion(self.corner, table, factor)

    def inside(self, lift: Array) -> NDArray[np.bool_]:
        """True within the rows of the table and a little beyond."""
        return (lift >= self.corner.low - MARGIN) & (lift <= self.corner.high + MARGIN)

    def reach(self) -> tuple[float, float]:
        """Lowest and highest lift [m] in the rows."""
        return self.corner.low, self.corner.high

    def stops(self) -> tuple[float, float]:
        """A table ends where no more was read: what stops the wheel is not known."""
        return -np.inf, np.inf

    def ends(self) -> tuple[str, str]:
        """The table ends where its rows do."""
        return "the jack table's lowest row", "the jack table's highest row"

    def doubtful(self) -> tuple[str, ...]:
        """Rows that lie far from the curve through the others."""
        return tuple(
            f"jack table row {row + 1}: {column.replace('_', ' ')} lies far from the other rows"
            for column, curve in zip(FITTED, self.corner.curves, strict=True)
            if column != "spring" or not self.corner.around  # there it is the damper's column over again
            for row in np.flatnonzero(curve.outlier)
        )

    def spread(self, lift: Array) -> Mapping[str, Array]:
        """Standard deviation (n,) of the fitted curves at this lift."""
        found = {column: curve.sigma(lift) for column, curve in zip(FITTED, self.corner.curves, strict=True)}
        if self.corner.around:
            found["spring"] = found["damper"]
        found["y"] = found.pop("half_track")
        return found


def _root(covariance: Array) -> Array:
    """A root R with R R' = covariance, also where it is singular."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.clip(values, 0.0, None)))


def _curves(corner: Corner, table: JackTable) -> dict[str, JackCurve]:
    """The fitted columns of one corner's table."""
    lift = np.array([row.lift for row in table.rows])
    scatter = {"camber": table.scatter.camber, "toe": table.scatter.toe, "caster": table.scatter.caster}
    values = {name: np.array([np.nan if one is None else one for one in table.readings(name)]) for name in FITTED}
    if corner.spring.around_damper:
        # One length read tells the other: the seats keep their distance from the eyes.
        gap = float(np.nanmean(values["damper"] - values["spring"]))
        both = np.where(np.isnan(values["damper"]), values["spring"] + gap, values["damper"])
        values["damper"], values["spring"] = both, both - gap
    curves: dict[str, JackCurve] = {}
    for name, value in values.items():
        read = ~np.isnan(value)
        if read.sum() < 2:
            curves[name] = _flat(name, value[read], lift, scatter.get(name, 0.0))
            continue
        prior = PRIOR_ANGLE if name in scatter else PRIOR_LENGTH
        curves[name] = fit_column(lift, value, scatter.get(name, table.scatter.length), prior)
    return curves


def _flat(name: str, read: Array, lift: Array, scatter: float) -> JackCurve:
    """A column read once or not at all: constant; caster not read stays unknown (nan)."""
    unknown = np.nan if name == "caster" else 0.0
    covariance = np.zeros((4, 4))
    covariance[0, 0] = scatter**2 if read.size else 0.0
    return JackCurve(
        coefficients=np.array([float(read[0]) if read.size else unknown, 0.0, 0.0, 0.0]),
        covariance=covariance,
        low=float(lift.min()),
        high=float(lift.max()),
        residuals=np.zeros(lift.shape),
        outlier=np.zeros(lift.shape, dtype=bool),
    )


def _effects(slots: tuple[Slot, ...], corner: int) -> Array:
    """(6, m) change of each column per metre of travel, from what the file says of one unit."""
    effects = np.zeros((len(FITTED), len(slots)))
    for k, slot in enumerate(slots):
        effect = slot.adjuster.effect
        if slot.corner == corner and effect is not None:
            for c, column in enumerate(FITTED):
                effects[c, k] = getattr(effect, column) / slot.adjuster.unit_travel
    return effects
