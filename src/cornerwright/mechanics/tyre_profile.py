"""The tyre on its rim as a body of revolution, and how far a place lies from it.

Seen in the half plane of axial place a and radius r the body is even in a, so half its outline says all: from the
middle of the tread (0, R) to the axis (w, 0). It is filled within the rim's flanges: what lies inside the wheel
(brake, upright) is held against the wheel's inner surface instead (`mechanics.cavity`).

The outline: a flat tread as wide as the tread, at the full radius; from its edge a quarter of an ellipse to the
widest place of the section, halfway up the section height; from there another down to the rim's flange. That is our
own choice (no source): it holds the sizes that are known, and lies outside a real tyre, whose crown is round.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SHOULDER_STEPS = 10
"""Straight pieces of the shoulder's arc: its corners lie outside the arc, by 0.2 mm at the most."""

SIDE_STEPS = 4
SAME = 1e-9


@dataclass(frozen=True)
class Outline:
    """Half the outline of a body of revolution that is even in a: a chain whose radius never grows.

    corners (e + 1, 2) [m]: (a, r) from (0, R) to (w, 0).
    """

    corners: Array

    @cached_property
    def _pieces(self) -> tuple[Array, Array, Array]:
        along = np.diff(self.corners, axis=0)
        length = np.hypot(along[:, 0], along[:, 1])
        return self.corners[:-1], along / length[:, None], length

    def width_at(self, r: Array) -> Array:
        """Half width (m,) [m] at these radii (m,) [m]; below zero beyond the greatest."""
        a, radius = self.corners[::-1, 0], self.corners[::-1, 1]
        return np.where(r > radius[-1], -1.0, np.interp(r, radius, a))

    def depth(self, a: Array, r: Array) -> tuple[Array, Array, Array]:
        """Signed distance (m,) [m] of places (a, r) (m,) from the body, negative inside, and its slope by a and r.

        The distance to the nearest place of the outline, which for a body of revolution lies in the half plane
        through its axis and the place itself.
        """
        start, way, length = self._pieces
        folded = np.abs(a)
        x, y = folded[:, None] - start[:, 0], r[:, None] - start[:, 1]
        run = np.clip(x * way[:, 0] + y * way[:, 1], 0.0, length)
        dx, dy = x - run * way[:, 0], y - run * way[:, 1]
        square = dx * dx + dy * dy
        near = np.argmin(square, axis=1)
        rows = np.arange(folded.size)
        out = np.sqrt(square[rows, near])
        inside = folded < self.width_at(r)
        sign = np.where(inside, -1.0, 1.0)
        touching = out < SAME
        safe = np.where(touching, 1.0, out)
        slope_a = np.where(touching, -way[near, 1], sign * dx[rows, near] / safe)
        slope_r = np.where(touching, way[near, 0], sign * dy[rows, near] / safe)
        return sign * out, np.where(a < 0, -slope_a, slope_a), slope_r

    def support(self, a: Array, r: Array) -> tuple[Array, Array]:
        """The corner (a, r) (m,) [m] each that lies furthest in the directions (a, r) (m,), r not below zero."""
        best = np.argmax(np.abs(a)[:, None] * self.corners[:, 0] + r[:, None] * self.corners[:, 1], axis=1)
        return np.sign(a) * self.corners[best, 0], self.corners[best, 1]


@dataclass(frozen=True)
class Profile:
    """A tyre on its rim: its outline, and that of the least body without dents around it."""

    outline: Outline
    hull: Outline
    section: float
    """Width [m]."""
    radius: float
    widest: float
    """Radius [m] of the widest place."""
    core: tuple[float, float, float]
    """A band within the body: half width, least and greatest radius [m]."""

    @property
    def dented(self) -> bool:
        """Whether the walls lie back below the widest place."""
        return self.outline is not self.hull


def tyre_profile(
    section: float, tread: float, radius: float, seat_radius: float, flange: float, overall: float
) -> Profile:
    """The tyre on its rim.

    section, tread: widths [m]; radius: free radius [m]; seat_radius: of the bead seat [m]; flange: height of the
    rim's flange [m]; overall: width of the rim over its flanges [m]. ValueError where these make no tyre.
    """
    widest = seat_radius + (radius - seat_radius) / 2
    edge = seat_radius + flange
    half, flat, rim = section / 2, min(tread, section) / 2, overall / 2
    if not 0 < seat_radius < edge < radius or min(section, tread, overall) <= 0:
        raise ValueError("a tyre's radius must exceed its rim's flange, and its widths be above 0")
    spots = [(0.0, radius), *_arc((flat, widest), (half - flat, radius - widest), np.pi / 2, 0.0, SHOULDER_STEPS)]
    spots += [(half, edge), (half, 0.0)] if rim < half else [(rim, edge), (rim, 0.0)]
    hull = Outline(_hull(np.array(spots)))
    outline = hull
    if rim < half and edge < widest:
        # The wall below its widest place: a quarter of an ellipse, out of the flange and up.
        lower = _arc((rim, widest), (half - rim, edge - widest), 0.0, np.pi / 2, SIDE_STEPS)
        upper = hull.corners[hull.corners[:, 1] > widest + SAME]
        outline = Outline(np.array([*upper, *lower, (rim, 0.0)]))
    core = (min(flat, rim), edge, radius)
    return Profile(outline, hull, section, radius, widest, core)


def _arc(
    middle: tuple[float, float], size: tuple[float, float], start: float, end: float, steps: int
) -> list[tuple[float, float]]:
    """Ends of an elliptic arc and, between them, corners outside it: where its tangents at even steps meet."""
    angles = np.linspace(start, end, steps + 1)
    between = (angles[:-1] + angles[1:]) / 2
    reach = 1.0 / np.cos((angles[1:] - angles[:-1]) / 2)
    turns = [(angles[0], 1.0), *zip(between, reach, strict=True), (angles[-1], 1.0)]
    return [
        (float(middle[0] + size[0] * k * np.cos(turn)), float(middle[1] + size[1] * k * np.sin(turn)))
        for turn, k in turns
    ]


def _hull(spots: Array) -> Array:
    """The outline from (0, R) to (w, 0) of the hull of these spots, which begin and end so, mirrored over both axes."""
    chain: list[Array] = []
    for spot in spots[np.lexsort((-spots[:, 1], spots[:, 0]))]:
        while len(chain) > 1 and _turn(chain[-2], chain[-1], spot) > -1e-12:
            chain.pop()
        if not chain or np.abs(spot - chain[-1]).max() > SAME:
            chain.append(spot)
    return np.array(chain)


def _turn(a: Array, b: Array, c: Array) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
