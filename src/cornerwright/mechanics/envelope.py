"""A wheel at many poses against many obstacles: the least clearance, where, and at which pose.

A wheel is a body of revolution, so of a pose only its centre and axis count. The clearance of an obstacle is the
signed distance of that place of it which comes nearest to the body, negative where it lies within. Pairs of pose
and obstacle that cannot matter are left out by bounds on both sides; for the rest the place is found exactly:

- against the hull of the tyre, which has no dents, the distance along a straight line has one lowest place, found
  by the sign of its slope; over a plane patch it lies on an edge or where the body's own outermost place is opposite;
- where that place lies before a dent of the real outline (the wall below its widest place), the line is searched
  again by even steps and the best of them refined.

Own derivation. Proof: tests/outside/test_envelope_meshes.py (dense meshes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.tyre_profile import Outline, Profile

Array = NDArray[np.float64]
Index = NDArray[np.intp]

HALVINGS = 16
"""Of a line in which its lowest place is looked for: to 1e-5 of its length, so the least distance to far less."""

STEPS = 48
"""Even steps of a line before a dent."""

FINER = 3
"""Times that the step before a dent is divided by ten around the best one."""

NESTED = 18
"""Golden sections over a patch that is pierced: to 2e-4 of its size."""

TURNS = 4
"""Places of each element that are tried before the rest is searched exactly."""

GOLDEN = (np.sqrt(5.0) - 1.0) / 2.0


@dataclass(frozen=True)
class Element:
    """A point, a straight edge or a plane patch without dents, thickened by a radius [m].

    corners (k, 3) [m] of the reference pose, or (n, k, 3) of an element that moves from pose to pose.
    """

    corners: Array
    radius: float = 0.0


@dataclass(frozen=True)
class Poses:
    """Wheels at n poses: centre (n, 3) [m] and unit axis (n, 3), outboard; nan where there is none."""

    centre: Array
    axis: Array

    def shifted(self, outboard: float) -> Poses:
        """The same with every wheel moved so far [m] along its axis."""
        return Poses(self.centre + outboard * self.axis, self.axis)

    def take(self, rows: Index | NDArray[np.bool_]) -> Poses:
        """Only these poses."""
        return Poses(self.centre[rows], self.axis[rows])


@dataclass(frozen=True)
class Contact:
    """Where an element comes nearest.

    clearance [m]; pose: its number; place (3,) [m] on the element's middle; normal (3,): out of the body there;
    axial, radial [m]: of the place on the body that it is nearest to.
    """

    clearance: float
    pose: int
    place: Array
    normal: Array
    axial: float
    radial: float
    body: Array
    """The place (3,) [m] on the body."""


@dataclass(frozen=True)
class Clearances:
    """Least clearances of n poses and m elements.

    least (n,) [m] over all elements, nan where there is no pose; nearest (n,): the element; each (m,): how near each
    element ever comes, None where there was no pose at all.
    """

    least: Array
    nearest: Index
    each: tuple[Contact | None, ...]


def clearances(profile: Profile, poses: Poses, elements: Sequence[Element]) -> Clearances:
    """Least clearance at every pose and of every element. ValueError without elements."""
    if not elements:
        raise ValueError("there is nothing to be clear of")
    n, m = poses.centre.shape[0], len(elements)
    least, nearest = np.full(n, np.nan), np.full(n, -1, dtype=np.intp)
    there = np.flatnonzero(np.isfinite(poses.centre).all(axis=1) & np.isfinite(poses.axis).all(axis=1))
    if there.size == 0:
        return Clearances(least, nearest, (None,) * m)
    pose, element = _worth_a_look(profile, poses.take(there), elements, there)
    pose, element = _sifted(profile, poses, elements, there[pose], element)
    found = _exact(profile, poses, elements, pose, element)
    order = np.lexsort((found.clearance, found.pose))
    first = np.unique(found.pose[order], return_index=True)[1]
    best = order[first]
    least[found.pose[best]], nearest[found.pose[best]] = found.clearance[best], found.element[best]
    order = np.lexsort((found.clearance, found.element))
    first = np.unique(found.element[order], return_index=True)[1]
    each = tuple(
        contact_at(profile, poses, int(found.pose[row]), found.place[row], float(found.clearance[row]))
        for row in order[first]
    )
    return Clearances(least, nearest, each)


def every_pair(profile: Profile, poses: Poses, elements: Sequence[Element]) -> tuple[Array, Array]:
    """Clearance (n, m) [m] of every element at every pose, and the place (n, m, 3) on its middle that is nearest.

    nan where there is no pose. Nothing is left out: for few poses, or where every pair is wanted.
    """
    n, m = poses.centre.shape[0], len(elements)
    clearance, place = np.full((n, m), np.nan), np.full((n, m, 3), np.nan)
    there = np.flatnonzero(np.isfinite(poses.centre).all(axis=1) & np.isfinite(poses.axis).all(axis=1))
    if there.size and m:
        pose, element = np.repeat(there, m), np.tile(np.arange(m), there.size)
        found = _exact(profile, poses, elements, pose, element)
        clearance[pose, element], place[pose, element] = found.clearance, found.place
    return clearance, place


def contact_at(profile: Profile, poses: Poses, pose: int, place: Array, clearance: float) -> Contact:
    """The contact of an element whose place (3,) [m] is the nearest at a pose."""
    axis, at = poses.axis[pose], place - poses.centre[pose]
    a = float(at @ axis)
    off = at - a * axis
    r = float(np.linalg.norm(off))
    depth, slope_a, slope_r = (float(one[0]) for one in profile.outline.depth(np.array([a]), np.array([r])))
    normal = slope_a * axis + slope_r * off / (r or 1.0)
    return Contact(
        clearance=clearance,
        pose=pose,
        place=place,
        normal=normal,
        axial=a - depth * slope_a,
        radial=r - depth * slope_r,
        body=place - depth * normal,
    )


# ------------------------------------------------------------------ which pairs count


def _worth_a_look(profile: Profile, poses: Poses, elements: Sequence[Element], there: Index) -> tuple[Index, Index]:
    """Pose and element numbers of all pairs that may be the least of their pose or of their element."""
    middle = np.empty((len(elements), 3))
    size = np.empty(len(elements))
    thick = np.array([one.radius for one in elements])
    for k, one in enumerate(elements):
        corners = one.corners.reshape(-1, 3)
        middle[k] = (corners.min(axis=0) + corners.max(axis=0)) / 2
        size[k] = np.sqrt(np.max(np.sum((corners - middle[k]) ** 2, axis=1)))
    # Elements that move are bounded at each pose by themselves.
    along = poses.axis @ middle.T - np.sum(poses.axis * poses.centre, axis=1)[:, None]
    square = np.sum(middle**2, axis=1) - 2 * poses.centre @ middle.T + np.sum(poses.centre**2, axis=1)[:, None]
    for k, one in enumerate(elements):
        if one.corners.ndim == 3:
            own = one.corners[there]
            centre = own.mean(axis=1)
            off = centre - poses.centre
            along[:, k], square[:, k] = np.sum(off * poses.axis, axis=1), np.sum(off**2, axis=1)
            size[k] = np.sqrt(np.max(np.sum((own - centre[:, None]) ** 2, axis=2)))
    a, r = np.abs(along), np.sqrt(np.maximum(square - along**2, 0.0))
    low = _band(a, r, profile.hull.corners[:, 0].max(), 0.0, profile.radius) - size - thick
    high = _band(a, r, *profile.core) - thick
    keep = (low <= high.min(axis=1)[:, None]) | (low <= high.min(axis=0))
    rows, columns = np.nonzero(keep)
    return rows, columns


def _band(a: Array, r: Array, half: float, inner: float, outer: float) -> Array:
    """Signed distance [m] of places from a band |a| <= half, inner <= r <= outer; no inner edge at 0."""
    x = a - half
    y = r - outer if inner <= 0 else np.maximum(r - outer, inner - r)
    return np.asarray(np.hypot(np.maximum(x, 0.0), np.maximum(y, 0.0)) + np.minimum(np.maximum(x, y), 0.0))


# ------------------------------------------------------------------ the exact clearance of pairs


@dataclass(frozen=True)
class _Found:
    pose: Index
    element: Index
    clearance: Array
    place: Array


def _corners(elements: Sequence[Element], pose: Index, element: Index) -> list[tuple[Index, Array]]:
    """Rows of the pairs by how many corners the element has, and these (p, k, 3)."""
    counts = np.array([one.corners.shape[-2] for one in elements])
    groups = []
    for count in np.unique(counts[element]):
        rows = np.flatnonzero(counts[element] == count)
        fixed = np.zeros((len(elements), count, 3))
        moving = []
        for number in map(int, np.flatnonzero(counts == count)):
            if elements[number].corners.ndim == 2:
                fixed[number] = elements[number].corners
            else:
                moving.append(number)
        corners = fixed[element[rows]]
        for number in moving:
            own = np.flatnonzero(element[rows] == number)
            corners[own] = elements[number].corners[pose[rows[own]]]
        groups.append((rows, corners))
    return groups


def _sifted(
    profile: Profile, poses: Poses, elements: Sequence[Element], pose: Index, element: Index
) -> tuple[Index, Index]:
    """The pairs that are still worth a look once the distance and its slope are known at some places of each.

    A body without dents lies on the far side of the plane through the nearest place, so over the whole element the
    distance is at least what the slope says at its corners; the next place tried lies towards the best of these.
    """
    thick = np.array([one.radius for one in elements])
    of_pose, of_element = np.full(len(poses.centre), np.inf), np.full(len(elements), np.inf)
    places: list[Array | None] = [None]
    for turn in range(TURNS):
        low, high = np.empty(pose.size), np.empty(pose.size)
        groups = _corners(elements, pose, element)
        tried = np.empty((pose.size, 3))
        for rows, corners in groups:
            local = _Local(profile, corners, poses.centre[pose[rows]], poses.axis[pose[rows]])
            last = places[-1]
            at = local.corners.mean(axis=1) if last is None else last[rows]
            low[rows], high[rows], tried[rows] = local.bounds(at, halfway=turn > 0)
        low, high = low - thick[element], high - thick[element]
        np.minimum.at(of_pose, pose, high)
        np.minimum.at(of_element, element, high)
        keep = (low <= of_pose[pose] + 1e-9) | (low <= of_element[element] + 1e-9)
        pose, element = pose[keep], element[keep]
        places.append(tried[keep])
    return pose, element


def _exact(profile: Profile, poses: Poses, elements: Sequence[Element], pose: Index, element: Index) -> _Found:
    clearance, place = np.empty(pose.size), np.empty((pose.size, 3))
    for rows, corners in _corners(elements, pose, element):
        local = _Local(profile, corners, poses.centre[pose[rows]], poses.axis[pose[rows]])
        clearance[rows], place[rows] = local.nearest()
    thick = np.array([one.radius for one in elements])
    return _Found(pose, element, clearance - thick[element], place)


class _Local:
    """Pairs of a wheel and an element with k corners: everything from the wheel's centre."""

    def __init__(self, profile: Profile, corners: Array, centre: Array, axis: Array) -> None:
        self.profile = profile
        self.corners = corners - centre[:, None]
        self.centre, self.axis = centre, axis

    def bounds(self, at: Array, halfway: bool) -> tuple[Array, Array, Array]:
        """Least and greatest that each clearance (p,) [m] can be, from one place (p, 3) of each; where to look next."""
        depth, slope = self._depth(self.profile.hull, at)
        falls = np.einsum("px,pkx->pk", slope, self.corners - at[:, None])
        best = self.corners[np.arange(len(at)), np.argmin(falls, axis=1)]
        real = self._real(at, depth)
        return depth + np.minimum(falls.min(axis=1), 0.0), real, (at + best) / 2 if halfway else best

    def _real(self, at: Array, hull: Array) -> Array:
        """Signed distance (p,) from the outline itself, that from its hull being known: they differ before dents."""
        if not self.profile.dented:
            return hull
        a = np.einsum("px,px->p", at, self.axis)
        r2 = np.einsum("px,px->p", at, at) - a * a
        before = np.flatnonzero(r2 < self.profile.hull.corners[-2, 1] ** 2)
        real = hull.copy()
        real[before] = self._depth(self.profile.outline, at[before], before)[0]
        return real

    def nearest(self) -> tuple[Array, Array]:
        """Signed distance (p,) [m] and the place (p, 3) [m] of each element that is nearest."""
        count = self.corners.shape[1]
        if count == 1:
            best = self.corners[:, 0]
        elif count == 2:
            best = self._on_line(self.corners[:, 0], self.corners[:, 1])
        else:
            best = self._on_patch()
        return self._depth(self.profile.outline, best)[0], best + self.centre

    def _depth(self, outline: Outline, at: Array, rows: Index | None = None) -> tuple[Array, Array]:
        """Signed distance (p,) and its slope (p, 3)."""
        axis = self.axis if rows is None else self.axis[rows]
        a = np.einsum("px,px->p", at, axis)
        off = at - a[:, None] * axis
        r = np.sqrt(np.einsum("px,px->p", off, off))
        depth, slope_a, slope_r = outline.depth(a, r)
        out = off / np.where(r > 0, r, 1.0)[:, None]
        return depth, slope_a[:, None] * axis + slope_r[:, None] * out

    def _on_line(self, start: Array, end: Array, rows: Index | None = None, *, dents: bool = True) -> Array:
        """Nearest place (p, 3) of each straight edge; without dents: to the hull."""
        way = end - start
        low, high = np.zeros(len(start)), np.ones(len(start))
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            _, slope = self._depth(self.profile.hull, start + middle[:, None] * way, rows)
            falls = np.einsum("px,px->p", slope, way) < 0
            low, high = np.where(falls, middle, low), np.where(falls, high, middle)
        share = (low + high) / 2
        share = np.where(low == 0.0, 0.0, np.where(high == 1.0, 1.0, share))
        best = start + share[:, None] * way
        if dents and self.profile.dented:
            self._past_dents(start, way, best, rows)
        return best

    def _past_dents(self, start: Array, way: Array, best: Array, rows: Index | None) -> None:
        """Search again, in place, the lines whose nearest place lies before a dent of the outline."""
        depth, _ = self._depth(self.profile.outline, best, rows)
        hull, _ = self._depth(self.profile.hull, best, rows)
        again = np.flatnonzero(depth > hull + 1e-9)
        if again.size == 0:
            return
        wheel = again if rows is None else rows[again]
        low, high = np.zeros(again.size), np.ones(again.size)
        for turn in range(FINER):
            steps = np.linspace(0.0, 1.0, STEPS + 1 if turn == 0 else 21)
            share = low[:, None] + (high - low)[:, None] * steps
            at = start[again][:, None] + share[..., None] * way[again][:, None]
            flat = at.reshape(-1, 3)
            values = self._depth(self.profile.outline, flat, np.repeat(wheel, steps.size))[0].reshape(share.shape)
            pick = np.argmin(values, axis=1)
            rows_here = np.arange(again.size)
            best[again] = at[rows_here, pick]
            step = (high - low) * (steps[1] - steps[0])
            low, high = (np.clip(share[rows_here, pick] + side * step, 0.0, 1.0) for side in (-1.0, 1.0))

    def _on_patch(self) -> Array:
        """Nearest place (p, 3) of each plane patch."""
        p, count = self.corners.shape[:2]
        rows = np.arange(p)
        following = np.roll(self.corners, -1, axis=1)
        starts, ends = self.corners.reshape(-1, 3), following.reshape(-1, 3)
        edges = self._on_line(starts, ends, np.repeat(rows, count))
        depth = self._depth(self.profile.outline, edges, np.repeat(rows, count))[0].reshape(p, count)
        pick = np.argmin(depth, axis=1)
        best = edges.reshape(p, count, 3)[rows, pick]
        best_depth = depth[rows, pick]
        normal = np.cross(self.corners, following).sum(axis=1)
        normal /= np.linalg.norm(normal, axis=1)[:, None]
        height = np.einsum("px,px->p", self.corners[:, 0], normal)
        normal = np.where(height[:, None] < 0, -normal, normal)
        height = np.abs(height)
        far, reach = self._outermost(normal)
        clear = height >= reach
        opposite = np.where(clear[:, None], far + (height - reach)[:, None] * normal, far * (height / reach)[:, None])
        within = self._holds(opposite, following, normal)
        self._better(best, best_depth, opposite, clear & within)
        if self.profile.dented:
            wall = self._wall(normal)
            wall += (height - np.einsum("px,px->p", wall, normal))[:, None] * normal
            self._better(best, best_depth, wall, self._holds(wall, following, normal))
        pierced = np.flatnonzero(~clear & (within | (best_depth < 0)))
        if pierced.size:
            deepest = best.copy()
            deepest[pierced] = self._deepest(pierced, normal)
            rows_pierced = np.zeros(p, dtype=bool)
            rows_pierced[pierced] = True
            self._better(best, best_depth, deepest, rows_pierced)
        return np.asarray(best)

    def _better(self, best: Array, depth: Array, places: Array, rows: NDArray[np.bool_]) -> None:
        """Take, in these rows, the places that lie nearer than the best so far."""
        over = np.flatnonzero(rows)
        value = self._depth(self.profile.outline, places[over], over)[0]
        nearer = value < depth[over]
        best[over[nearer]], depth[over[nearer]] = places[over[nearer]], value[nearer]

    def _wall(self, way: Array) -> Array:
        """The place (p, 3) of the wall below the widest place, across the axle, that faces each direction."""
        a = np.einsum("px,px->p", way, self.axis)
        off = way - a[:, None] * self.axis
        r = np.linalg.norm(off, axis=1)
        corners = self.profile.outline.corners
        low = corners[(corners[:, 1] <= self.profile.widest + 1e-9) & (corners[:, 1] > 0)]
        best = low[np.argmax(np.abs(a)[:, None] * low[:, 0] - r[:, None] * low[:, 1], axis=1)]
        inward = best[:, 1] / np.where(r > 1e-12, r, 1.0)
        return np.asarray((np.sign(a) * best[:, 0])[:, None] * self.axis - inward[:, None] * off)

    def _outermost(self, way: Array) -> tuple[Array, Array]:
        """The body's outermost place (p, 3) in these directions, and how far out it lies (p,)."""
        a = np.einsum("px,px->p", way, self.axis)
        off = way - a[:, None] * self.axis
        r = np.linalg.norm(off, axis=1)
        level = r < 1e-9
        if level.any():
            # A patch square to the axle is as near all around: look where it is.
            towards = self.corners.mean(axis=1)
            towards = towards - np.einsum("px,px->p", towards, self.axis)[:, None] * self.axis
            any_way = np.cross(self.axis, np.array([1.0, 0.0, 0.0]))
            towards = np.where(np.linalg.norm(towards, axis=1)[:, None] > 1e-9, towards, any_way)
            off = np.where(level[:, None], towards, off)
            r = np.where(level, 0.0, r)
        length = np.linalg.norm(off, axis=1)
        far_a, far_r = self.profile.hull.support(a, r)
        place = far_a[:, None] * self.axis + (far_r / np.where(length > 1e-12, length, 1.0))[:, None] * off
        return place, np.einsum("px,px->p", place, way)

    def _holds(self, at: Array, following: Array, normal: Array) -> NDArray[np.bool_]:
        """Whether each place in the plane lies within the patch."""
        side = np.cross(following - self.corners, at[:, None] - self.corners)
        turn = np.einsum("pkx,px->pk", side, normal)
        return np.asarray((turn >= 0).all(axis=1) | (turn <= 0).all(axis=1))

    def _deepest(self, rows: Index, normal: Array) -> Array:
        """The place of each pierced patch that lies deepest: lines across it, each at its lowest place."""
        corners, normal = self.corners[rows], normal[rows]
        first = corners[:, 1] - corners[:, 0]
        first /= np.linalg.norm(first, axis=1)[:, None]
        second = np.cross(normal, first)
        base = corners[:, 0]
        u = np.einsum("pkx,px->pk", corners - base[:, None], first)
        v = np.einsum("pkx,px->pk", corners - base[:, None], second)

        def lowest(at: Array) -> tuple[Array, Array]:
            ends = _chord(u, v, at)
            spots = [base + at[:, None] * first + end[:, None] * second for end in ends]
            place = self._on_line(spots[0], spots[1], rows, dents=False)
            return self._depth(self.profile.hull, place, rows)[0], place

        low, high = u.min(axis=1), u.max(axis=1)
        left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
        value_left, value_right = lowest(left)[0], lowest(right)[0]
        for _ in range(NESTED):
            keep = value_left < value_right
            low, high = np.where(keep, low, left), np.where(keep, right, high)
            fresh = np.where(keep, high - GOLDEN * (high - low), low + GOLDEN * (high - low))
            value = lowest(fresh)[0]
            left, right = np.where(keep, fresh, right), np.where(keep, left, fresh)
            value_left, value_right = np.where(keep, value, value_right), np.where(keep, value_left, value)
        deepest: Array = lowest((low + high) / 2)[1]
        return deepest


def _chord(u: Array, v: Array, at: Array) -> tuple[Array, Array]:
    """Where the line u = at crosses each patch (p, k) without dents: least and greatest v."""
    next_u, next_v = np.roll(u, -1, axis=1), np.roll(v, -1, axis=1)
    span = next_u - u
    share = (at[:, None] - u) / np.where(span == 0, 1.0, span)
    crosses = (share >= -1e-12) & (share <= 1 + 1e-12) & (span != 0)
    value = v + np.clip(share, 0.0, 1.0) * (next_v - v)
    low = np.min(np.where(crosses, value, np.inf), axis=1)
    high = np.max(np.where(crosses, value, -np.inf), axis=1)
    none = ~np.isfinite(low)
    return np.where(none, v[:, 0], low), np.where(none, v[:, 0], high)
