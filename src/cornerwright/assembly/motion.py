"""How the two wheels of an axle move: one interface for every kind of linkage."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

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
from cornerwright.mechanics.jets import Jet, Kinematics
from cornerwright.model.car import Car, Corner
from cornerwright.model.linkage import JackTable

Array = NDArray[np.float64]

COLUMNS = ("spring", "damper", "x", "y", "camber", "toe", "caster")
"""What every linkage says of a corner, in the order of `Kinematics`."""


@dataclass(frozen=True)
class AxleJet:
    """One quantity at the two wheels of an axle and how it goes with the two lifts."""

    value: Array  # (n, 2)
    first: Array  # (n, 2, 2)
    second: Array  # (n, 2, 2, 2)


@dataclass(frozen=True)
class AxlePartials:
    """How one quantity depends on the car's m adjusters at fixed lifts."""

    value: Array  # (n, 2, m)  d value_i / d a
    lift: Array  # (n, 2, 2, m)  d2 value_i / d lift_j d a


class AxleMotion(Protocol):
    """The two wheels of an axle, for n variants of the car."""

    def at(self, lifts: Array) -> Mapping[str, AxleJet]:
        """Every column at these lifts (n, 2) [m]."""

    def partials(self, lifts: Array) -> Mapping[str, AxlePartials]:
        """Dependence of the columns on the adjusters; columns that depend on none may be left out."""

    def take(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> AxleMotion:
        """Only these variants."""

    def inside(self, lifts: Array) -> NDArray[np.bool_]:
        """(n, 2): True where the lift lies in what the linkage can reach and was measured over."""

    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m] of the two wheels that was measured or can be reached."""

    def doubtful(self, side: int) -> tuple[str, ...]:
        """What in the linkage's own readings looks like a slip, in words, for side 0 or 1."""

    def spread(self, lifts: Array) -> Mapping[str, Array]:
        """Standard deviation (n, 2) of each column that comes from measuring the linkage itself."""


def joined(front: Mapping[str, AxleJet], rear: Mapping[str, AxleJet]) -> Kinematics:
    """The two axles as one set of four corners."""

    def jet(column: str) -> Jet:
        a, b = front[column], rear[column]
        n = max(a.value.shape[0], b.value.shape[0])
        value = np.empty((n, 4))
        first = np.zeros((n, 4, 4))
        second = np.zeros((n, 4, 4, 4))
        value[:, :2], value[:, 2:] = a.value, b.value
        first[:, :2, :2], first[:, 2:, 2:] = a.first, b.first
        second[:, :2, :2, :2], second[:, 2:, 2:, 2:] = a.second, b.second
        return Jet(value, first, second)

    return Kinematics(**{column: jet(column) for column in COLUMNS})


MotionBuilder = Callable[[Array, Array], AxleMotion]
"""(settings (n|1, m) [m], unknowns (n|1, p)) -> the axle of these variants."""


class JackAxle:
    """Two corners known by their jack tables, ready to be varied."""

    def __init__(self, car: Car, axle: int, slots: tuple[Slot, ...], unknowns: UnknownList) -> None:
        both = (car.axles[axle].left, car.axles[axle].right)
        self.axle = axle
        self.slots = slots
        self.x = -axle * car.wheelbase
        self.half_track = car.axles[axle].track / 2
        self.measured_at = np.array([slot.adjuster.measured_at for slot in slots])
        curves = [_curves(corner, corner.linkage) for corner in both]
        place = car.axle_corners(axle)
        self.mean: dict[str, Array] = {}
        self.root: dict[str, Array] = {}
        self.where: dict[str, list[slice]] = {}
        self.span: dict[str, tuple[Array, Array]] = {}
        self.low = np.array([min(row.lift for row in corner.linkage.rows) for corner in both])
        self.high = np.array([max(row.lift for row in corner.linkage.rows) for corner in both])
        for column in ("spring", "damper", "half_track", "camber", "toe", "caster"):
            pair = [one[column] for one in curves]
            self.mean[column] = np.stack([curve.coefficients for curve in pair])
            self.root[column] = np.stack([_root(curve.covariance) for curve in pair])
            # Beyond its own rows a column goes on straight, even where other columns were read.
            self.span[column] = (np.array([curve.low for curve in pair]), np.array([curve.high for curve in pair]))
            self.where[column] = [
                unknowns.add(f"{name} jack table, {column.replace('_', ' ')}", name, 4) for name in place
            ]
        # A spring around the damper follows the damper's curve: only the distance of its seats is its own.
        self.around = np.array([corner.spring.around_damper for corner in both])
        self.curves = curves
        self.effect = _effects(slots, axle)
        self.effect_unknown = {
            k: unknowns.add(f"{slot.name} effect", slot.place, 1)
            for k, slot in enumerate(slots)
            if slot.axle == axle and slot.corner is not None and slot.adjuster.effect is not None
        }
        self.effect_doubt = car.doubt.effect
        self.zero_doubt = {
            "camber": car.doubt.camber,
            "toe": car.doubt.toe,
            "caster": car.doubt.caster,
        }
        self.zero_unknown = {
            column: [unknowns.add(f"{name} {column} as built", name, 1) for name in place] for column in self.zero_doubt
        }

    def vary(self, settings: Array, unknowns: Array) -> JackAxleMotion:
        """The axle for settings (n|1, m) [m] and unknowns (n|1, p)."""
        n = max(settings.shape[0], unknowns.shape[0])
        travel = settings - self.measured_at
        coefficients: dict[str, Array] = {}
        for column, mean in self.mean.items():
            drawn = np.stack([unknowns[:, where] for where in self.where[column]], axis=1)
            coefficients[column] = mean + np.einsum("sij,nsj->nsi", self.root[column], drawn)
        factor = np.ones((unknowns.shape[0], len(self.slots)))
        for k, where in self.effect_unknown.items():
            factor[:, k] += self.effect_doubt * unknowns[:, where.start]
        moved = {
            column: np.einsum("sm,nm->ns", per_travel, factor * travel) for column, per_travel in self.effect.items()
        }
        for column, doubt in self.zero_doubt.items():
            places = [where.start for where in self.zero_unknown[column]]
            moved[column] = moved[column] + doubt * unknowns[:, places]
        for column, shift in moved.items():
            table = np.broadcast_to(coefficients[column], (n, 2, 4)).copy()
            table[:, :, 0] += shift
            coefficients[column] = table
        coefficients["half_track"] = coefficients["half_track"] - _at_zero(
            coefficients["half_track"], moved["half_track"]
        )
        damper = np.broadcast_to(coefficients["damper"], coefficients["spring"].shape).copy()
        damper[:, :, 0] += self.mean["spring"][:, 0] - self.mean["damper"][:, 0]
        coefficients["spring"] = np.where(self.around[None, :, None], damper, coefficients["spring"])
        return JackAxleMotion(self, coefficients, factor)


def _at_zero(table: Array, keep: Array) -> Array:
    """What to take off the half-track table so that only its change with lift, and moves, count."""
    off = np.zeros_like(table)
    off[:, :, 0] = table[:, :, 0] - keep
    return off


class JackAxleMotion:
    """An axle known by its jack tables, for n variants."""

    def __init__(self, axle: JackAxle, coefficients: dict[str, Array], factor: Array) -> None:
        self._axle = axle
        self._coefficients = coefficients
        self._factor = factor

    def at(self, lifts: Array) -> Mapping[str, AxleJet]:
        """Every column at these lifts (n, 2) [m]."""
        axle = self._axle
        jets: dict[str, AxleJet] = {}
        for column, table in self._coefficients.items():
            value, first, second = polynomial_jet(table, *axle.span[column], lifts)
            jets[column] = AxleJet(value, _diagonal(first), _diagonal_twice(second))
        out = jets.pop("half_track")
        side = np.array([1.0, -1.0])
        jets["y"] = AxleJet(
            side * (axle.half_track + out.value),
            side[:, None] * out.first,
            side[:, None, None] * out.second,
        )
        shape = out.value.shape
        jets["x"] = AxleJet(np.full(shape, axle.x), np.zeros((*shape, 2)), np.zeros((*shape, 2, 2)))
        return jets

    def partials(self, lifts: Array) -> Mapping[str, AxlePartials]:
        """Dependence of the columns on the adjusters (constant over lift for a jack table)."""
        n = lifts.shape[0]
        found: dict[str, AxlePartials] = {}
        for column, per_travel in self._axle.effect.items():
            value = np.broadcast_to(per_travel[None] * self._factor[:, None, :], (n, *per_travel.shape))
            lift = np.zeros((n, 2, 2, per_travel.shape[1]))
            if column == "half_track":
                value = np.array([1.0, -1.0])[:, None] * value
                found["y"] = AxlePartials(value, lift)
            else:
                found[column] = AxlePartials(value, lift)
        damper = found["damper"].value
        spring = np.where(self._axle.around[None, :, None], damper, found["spring"].value)
        found["spring"] = AxlePartials(spring, found["spring"].lift)
        return found

    def take(self, rows: NDArray[np.bool_] | NDArray[np.intp]) -> JackAxleMotion:
        """Only these variants."""
        factor = self._factor if self._factor.shape[0] == 1 else self._factor[rows]
        tables = {column: table if table.shape[0] == 1 else table[rows] for column, table in self._coefficients.items()}
        return JackAxleMotion(self._axle, tables, factor)

    def inside(self, lifts: Array) -> NDArray[np.bool_]:
        """True within the rows of the table and 10 mm beyond."""
        return (lifts >= self._axle.low - MARGIN) & (lifts <= self._axle.high + MARGIN)

    def reach(self) -> tuple[Array, Array]:
        """Lowest and highest lift (2,) [m] in the rows."""
        return self._axle.low, self._axle.high

    def doubtful(self, side: int) -> tuple[str, ...]:
        """Rows that lie far from the curve through the others."""
        found = []
        for column, curve in self._axle.curves[side].items():
            if column == "spring" and self._axle.around[side]:
                continue  # it is the damper's column over again
            for row in np.flatnonzero(curve.outlier):
                found.append(f"jack table row {row + 1}: {column.replace('_', ' ')} lies far from the other rows")
        return tuple(found)

    def spread(self, lifts: Array) -> Mapping[str, Array]:
        """Standard deviation (n, 2) of the fitted curves at these lifts."""
        found: dict[str, Array] = {}
        for column in self._axle.mean:
            curves = [one[column] for one in self._axle.curves]
            found[column] = np.stack([curve.sigma(lifts[:, side]) for side, curve in enumerate(curves)], axis=1)
        found["spring"] = np.where(self._axle.around, found["damper"], found["spring"])
        found["y"] = found.pop("half_track")
        return found


def _diagonal(first: Array) -> Array:
    full = np.zeros((*first.shape, 2))
    full[:, 0, 0], full[:, 1, 1] = first[:, 0], first[:, 1]
    return full


def _diagonal_twice(second: Array) -> Array:
    full = np.zeros((*second.shape, 2, 2))
    full[:, 0, 0, 0], full[:, 1, 1, 1] = second[:, 0], second[:, 1]
    return full


def _root(covariance: Array) -> Array:
    """A root R with R R' = covariance, also where it is singular."""
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.clip(values, 0.0, None)))


def _curves(corner: Corner, table: JackTable) -> dict[str, JackCurve]:
    """The fitted columns of one corner's table."""
    lift = np.array([row.lift for row in table.rows])
    scatter = {
        "camber": table.scatter.camber,
        "toe": table.scatter.toe,
        "caster": table.scatter.caster,
    }

    def column(name: str) -> Array:
        return np.array([np.nan if one is None else one for one in table.readings(name)])

    values = {name: column(name) for name in ("spring", "damper", "half_track", *scatter)}
    if corner.spring.around_damper:
        # One length read tells the other: the seats keep their distance from the eyes.
        gap = float(np.nanmean(values["damper"] - values["spring"]))
        both = np.where(np.isnan(values["damper"]), values["spring"] + gap, values["damper"])
        values["damper"], values["spring"] = both, both - gap
    curves: dict[str, JackCurve] = {}
    for name, value in values.items():
        prior = PRIOR_ANGLE if name in scatter else PRIOR_LENGTH
        read = ~np.isnan(value)
        if read.sum() < 2:
            curves[name] = _flat(name, value[read], lift, scatter.get(name, 0.0))
            continue
        spread = scatter.get(name, table.scatter.length)
        curves[name] = fit_column(lift, value, spread, prior)
    return curves


def _flat(name: str, read: Array, lift: Array, scatter: float) -> JackCurve:
    """A column read once or not at all: constant; caster not read stays unknown (nan)."""
    unknown = np.nan if name == "caster" else 0.0
    constant = float(read[0]) if read.size else unknown
    covariance = np.zeros((4, 4))
    covariance[0, 0] = scatter**2 if read.size else 0.0
    return JackCurve(
        coefficients=np.array([constant, 0.0, 0.0, 0.0]),
        covariance=covariance,
        low=float(lift.min()),
        high=float(lift.max()),
        residuals=np.zeros(lift.shape),
        outlier=np.zeros(lift.shape, dtype=bool),
    )


def _effects(slots: tuple[Slot, ...], axle: int) -> dict[str, Array]:
    """(2, m) change of each column per metre of travel, from what the file says of one unit."""
    columns = ("spring", "damper", "half_track", "camber", "toe", "caster")
    effects = {column: np.zeros((2, len(slots))) for column in columns}
    for k, slot in enumerate(slots):
        effect = slot.adjuster.effect
        if slot.axle != axle or slot.side is None or effect is None:
            continue
        for column in columns:
            effects[column][slot.side, k] = getattr(effect, column) / slot.adjuster.unit_travel
    return effects
