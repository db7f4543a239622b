"""What lies within a wheel (caliper, ball joint) against the wheel's inner surface: spokes and barrel, going round.

The surface is a chain of places (a, r): axial place from the wheel's centre plane, outboard positive, and radius; from
the hub outwards along the spokes, then inboard along the barrel. On its far side all is taken as metal; inboard of its
last place the wheel is open. Own derivation. Proof: tests/outside/test_envelope_meshes.py
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.envelope import Clearances, Contact, Element, Poses

Array = NDArray[np.float64]

SPACING = 1e-3
"""Distance [m] of the places of an element that are tried; around the best one more finely."""

FINER = 3
FAR = 10.0
"""Outside everything [m]."""


def depth_in_cavity(chain: Array, a: Array, r: Array) -> Array:
    """Distance (m,) [m] of places (a, r) (m,) from the surface, chain (e + 1, 2) [m]; negative in the metal."""
    start, along = chain[:-1], np.diff(chain, axis=0)
    length2 = np.sum(along**2, axis=1)
    x, y = a[:, None] - start[:, 0], r[:, None] - start[:, 1]
    share = np.clip((x * along[:, 0] + y * along[:, 1]) / np.where(length2 > 0, length2, 1.0), 0.0, 1.0)
    near = np.sqrt(np.min((x - share * along[:, 0]) ** 2 + (y - share * along[:, 1]) ** 2, axis=1))
    first, last = chain[0], chain[-1]
    outline = np.array([*chain, (last[0], FAR), (FAR, FAR), (FAR, 0.0), (first[0], 0.0)])
    # Its own edge towards the open side bounds the metal too.
    beside = np.abs(a - last[0]) + np.where(r >= last[1], 0.0, np.inf)
    sign = np.where(_within(outline, a, r), -1.0, 1.0)
    return np.asarray(sign * np.minimum(near, beside))


def _within(outline: Array, a: Array, r: Array) -> NDArray[np.bool_]:
    """Whether places lie within a closed outline (crossings of a line outboard)."""
    x, y = outline[:, 0], outline[:, 1]
    after_x, after_y = np.roll(x, -1), np.roll(y, -1)
    spans = (y[None] > r[:, None]) != (after_y[None] > r[:, None])
    rise = np.where(after_y == y, 1.0, after_y - y)
    cross = x + (r[:, None] - y) * (after_x - x) / rise
    return np.asarray(np.sum(spans & (a[:, None] < cross), axis=1) % 2 == 1)


def cavity_clearances(chain: Array, poses: Poses, elements: Sequence[Element]) -> Clearances:
    """Least clearance within the wheel at every pose and of every element; as `envelope.clearances`."""
    n = poses.centre.shape[0]
    least, nearest = np.full(n, np.nan), np.full(n, -1, dtype=np.intp)
    each: list[Contact | None] = []
    there = np.flatnonzero(np.isfinite(poses.centre).all(axis=1))
    for number, element in enumerate(elements):
        best: Contact | None = None
        for pose in there:
            corners = element.corners if element.corners.ndim == 2 else element.corners[pose]
            one = _nearest(chain, poses, int(pose), corners, element.radius)
            if best is None or one.clearance < best.clearance:
                best = one
            if not least[pose] <= one.clearance:
                least[pose], nearest[pose] = one.clearance, number
        each.append(best)
    return Clearances(least, nearest, tuple(each))


def _nearest(chain: Array, poses: Poses, pose: int, corners: Array, radius: float) -> Contact:
    centre, axis = poses.centre[pose], poses.axis[pose]

    def measured(at: Array) -> tuple[Array, Array, Array]:
        off = at - centre
        a = off @ axis
        r = np.sqrt(np.maximum(np.sum(off**2, axis=1) - a**2, 0.0))
        return depth_in_cavity(chain, a, r), a, r

    spots, step = _spread(corners), SPACING
    depth, a, r = measured(spots)
    k = int(np.argmin(depth))
    place = spots[k]
    for _ in range(FINER if len(corners) > 1 else 0):
        near = spots[np.sum((spots - place) ** 2, axis=1) <= (2.0 * step) ** 2]
        ways = near - place
        finer = place + np.linspace(-1.0, 1.0, 21)[:, None, None] * ways
        inside = finer.reshape(-1, 3) if len(corners) == 2 else _kept(finer.reshape(-1, 3), corners)
        along = _clipped(inside, corners)
        values, _, _ = measured(along)
        place, step = along[int(np.argmin(values))], step / 10
        spots = place + 0.1 * ways
        spots = _clipped(spots, corners)
    depth, a, r = measured(place[None])
    wall = _wall_place(chain, float(a[0]), float(r[0]))
    out = place - centre - a[0] * axis
    body = centre + wall[0] * axis + wall[1] * out / (np.linalg.norm(out) or 1.0)
    return Contact(float(depth[0]) - radius, pose, place, axis, float(wall[0]), float(wall[1]), body)


def _wall_place(chain: Array, a: float, r: float) -> Array:
    """The place (a, r) of the surface that is nearest."""
    start, along = chain[:-1], np.diff(chain, axis=0)
    length2 = np.sum(along**2, axis=1)
    share = np.sum((np.array([a, r]) - start) * along, axis=1) / np.where(length2 > 0, length2, 1.0)
    places = start + np.clip(share, 0.0, 1.0)[:, None] * along
    nearest: Array = places[int(np.argmin(np.sum((places - (a, r)) ** 2, axis=1)))]
    return nearest


def _spread(corners: Array) -> Array:
    """Places over a point, an edge or a patch without dents, at most the spacing apart."""
    if len(corners) == 1:
        return corners
    if len(corners) == 2:
        count = int(np.ceil(np.linalg.norm(corners[1] - corners[0]) / SPACING)) + 1
        return np.asarray(corners[0] + np.linspace(0.0, 1.0, max(count, 2))[:, None] * (corners[1] - corners[0]))
    parts = []
    for b, c in pairwise(corners[1:]):
        sides = b - corners[0], c - corners[0]
        count = int(np.ceil(max(np.linalg.norm(one) for one in (*sides, c - b)) / (2 * SPACING))) + 1
        u, v = (grid.ravel() for grid in np.meshgrid(*[np.linspace(0.0, 1.0, max(count, 2))] * 2))
        keep = u + v <= 1.0 + 1e-12
        parts.append(corners[0] + u[keep, None] * sides[0] + v[keep, None] * sides[1])
    return np.concatenate(parts)


def _kept(spots: Array, corners: Array) -> Array:
    """The places that lie on the patch."""
    following = np.roll(corners, -1, axis=0)
    normal = np.cross(corners, following).sum(axis=0)
    side = np.cross((following - corners)[None], spots[:, None] - corners[None]) @ normal
    kept = spots[(side >= -1e-15).all(axis=1) | (side <= 1e-15).all(axis=1)]
    return kept if len(kept) else corners


def _clipped(spots: Array, corners: Array) -> Array:
    """Places of an edge drawn back between its ends; others as they are."""
    if len(corners) != 2:
        return spots
    way = corners[1] - corners[0]
    share = np.clip((spots - corners[0]) @ way / (way @ way), 0.0, 1.0)
    return np.asarray(corners[0] + share[:, None] * way)
