"""A corner or axle known by its points, ready to be varied."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.linkage_reach import Fixed, GridPoses, limits_of, poses_over, span_of
from cornerwright.assembly.mechanism import acting_slots, axle_mechanism, corner_mechanism
from cornerwright.assembly.point_motion import PointAxleMotion, PointCornerMotion, Variants
from cornerwright.assembly.slots import Slot
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.mechanics.linkage import Limits, Mechanism, answer
from cornerwright.model.car import Car
from cornerwright.model.corner import Corner
from cornerwright.model.errors import Refusal
from cornerwright.model.linkage import TwistBeam
from cornerwright.model.parts import CORNERS

Array = NDArray[np.float64]

FINE = {1: 20, 2: 12}
COARSE = {1: 9, 2: 6}
"""Chebyshev points of a wheel that moves by itself (1), and of each wheel of an axle that ties two (2).

Fine: columns to 1e-9 m and rad, for the one car that is asked about. Coarse: to about 1e-6 m, for the many cars
drawn to see what doubt does.
"""

FEW = 4
"""Up to so many variants are tabled finely."""

TWISTED = 1e-3
"""Lift of one wheel against the other [m] at which a beam's twist is read."""


class PointLinkage:
    """A mechanism of one or two wheels with its adjusters, its springs' gaps and its unknowns."""

    def __init__(self, car: Car, corners: tuple[int, ...], slots: tuple[Slot, ...], unknowns: UnknownList) -> None:
        axle = corners[0] // 2
        parts = [list(car.corners.values())[corner] for corner in corners]
        if len(corners) == 1:
            acting = dict(acting_slots(slots, corners[0], axle))
            self.mechanism = corner_mechanism(parts[0], corners[0] % 2, car.axles[axle].rack, acting)
        else:
            acting = dict(acting_slots(slots, None, axle))
            self.mechanism = axle_mechanism(car.axles[axle], acting)
        self.slot_count = len(slots)
        self.acting = np.array(list(acting), dtype=np.intp)
        self.measured_at = np.array([slot.adjuster.measured_at for slot in acting.values()])
        self.gaps = [_gap(part) for part in parts]
        body = [part.adjuster_of("body") for part in parts]
        shift = [
            (0.0, 0.0) if one is None else (one.range[0] - one.measured_at, one.range[1] - one.measured_at)
            for one in body
        ]
        self.shortest = min(part.damper.closed + low for part, (low, _) in zip(parts, shift, strict=True))
        self.longest = max(part.damper.open + high for part, (_, high) in zip(parts, shift, strict=True))
        place = CORNERS[corners[0]] if len(corners) == 1 else ("front", "rear")[axle]
        self._field = f"{place.replace('_', '.')}.linkage"
        wheels = {wheel.centre for wheel in self.mechanism.layout.wheels}
        self.points: dict[str, slice] = {}
        for name, _ in self.mechanism.layout.points:
            # A place that is there on the body and on the carrier was measured once.
            if name not in wheels and _measured(name) not in self.points:
                self.points[_measured(name)] = unknowns.add(
                    f"{place} point {_measured(name)}", place, 3, car.doubt.point, "length"
                )
        self.point_doubt = car.doubt.point
        self.lean = [
            (
                unknowns.add(f"{CORNERS[corner]} camber as built", CORNERS[corner], 1, car.doubt.camber, "angle").start,
                unknowns.add(f"{CORNERS[corner]} toe as built", CORNERS[corner], 1, car.doubt.toe, "angle").start,
            )
            for corner in corners
        ]
        self.lean_doubt = (car.doubt.camber, car.doubt.toe)
        self.twist_rate = 0.0
        linkage = car.axles[axle].linkage
        if isinstance(linkage, TwistBeam) and linkage.twist_rate is not None:
            self.twist_rate = linkage.twist_rate * self._twist_a_lift() ** 2

    def _twist_a_lift(self) -> float:
        """Twist of the beam [rad] per lift difference left minus right [m], about the reference."""
        pose = answer(self.mechanism, [[TWISTED / 2, -TWISTED / 2]], columns=[], sensitivities=False).pose
        return float(pose.twist[0]) / TWISTED

    @cached_property
    def _fixed(self) -> Fixed:
        return Fixed(self.mechanism)

    @cached_property
    def limits(self) -> Limits:
        """How far the linkage of the file goes, both wheels of an axle together."""
        return limits_of(self._fixed)

    @cached_property
    def _span(self) -> tuple[float, float]:
        """Lifts [m] over which stances are looked for."""
        found = span_of(self._fixed, self.shortest, self.longest)
        if found is None:
            wrong = "a linkage that cannot move from its reference pose"
            raise Refusal.of(wrong, "its points measured again: one of them is far off", field=self._field)
        return found

    def grid(self, variants: int) -> GridPoses:
        """Where so many variants are solved for stances."""
        counts = FINE if variants <= FEW else COARSE
        return poses_over(self._fixed, self._span, counts[self.mechanism.wheels])

    def varied(self, settings: Array, unknowns: Array) -> Variants:
        """What differs in this linkage between the variants of the car."""
        travel = settings[:, self.acting] - self.measured_at
        own = unknowns[:, self._own_unknowns]
        n = max(travel.shape[0], own.shape[0])
        if n == 1:
            return Variants(self._mechanism(unknowns), travel, None)
        # Most variants of a car have this linkage in common: it is solved once for those.
        each = np.concatenate([np.broadcast_to(part, (n, part.shape[1])) for part in (own, travel)], axis=1)
        _, first, which = np.unique(each, axis=0, return_index=True, return_inverse=True)
        return Variants(
            self._mechanism(unknowns[first] if unknowns.shape[0] > 1 else unknowns),
            travel[first] if travel.shape[0] > 1 else travel,
            which.reshape(-1),
        )

    @cached_property
    def _own_unknowns(self) -> NDArray[np.intp]:
        """Places of this linkage's unknowns in every unknowns vector."""
        points = [k for part in self.points.values() for k in range(part.start, part.stop)]
        return np.array([*points, *(k for pair in self.lean for k in pair)], dtype=np.intp)

    def _mechanism(self, unknowns: Array) -> Mechanism:
        mechanism = self.mechanism
        if unknowns[:, self._own_unknowns].any():
            points = np.broadcast_to(mechanism.points, (unknowns.shape[0], *mechanism.points.shape[1:])).copy()
            for g, (name, _) in enumerate(mechanism.layout.points):
                if _measured(name) in self.points:
                    points[:, g] += self.point_doubt * unknowns[:, self.points[_measured(name)]]
            camber = mechanism.camber + self.lean_doubt[0] * unknowns[:, [one[0] for one in self.lean]]
            toe = mechanism.toe + self.lean_doubt[1] * unknowns[:, [one[1] for one in self.lean]]
            mechanism = mechanism.vary(points=points, camber=camber, toe=toe)
        return mechanism


def _measured(name: str) -> str:
    """The measured point that a point or its twin stands for."""
    return name.split(".", maxsplit=1)[0]


def _gap(corner: Corner) -> float | None:
    """Damper length minus spring length [m] of a spring around its damper; None for one apart from it."""
    return corner.spring.seat_gap if corner.spring.around_damper else None


class PointCorner(PointLinkage):
    """One wheel known by its points."""

    def vary(self, settings: Array, unknowns: Array) -> PointCornerMotion:
        """The corner for settings (n|1, m) [m] and unknowns (n|1, p)."""
        return PointCornerMotion(self, self.varied(settings, unknowns))


class PointAxle(PointLinkage):
    """Two wheels tied together, known by the axle's points."""

    def vary(self, settings: Array, unknowns: Array) -> PointAxleMotion:
        """The axle for settings (n|1, m) [m] and unknowns (n|1, p)."""
        return PointAxleMotion(self, self.varied(settings, unknowns))
