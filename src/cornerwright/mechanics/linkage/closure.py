"""Closing a linkage: the equations of the constraints, their Jacobian, and Newton's method.

The pose of the carrier is a rotation matrix R and the place c of the first wheel's reference
centre; a point fixed in it stands at c + R r. Every equation has a direction f and a gap
D = c + R r - b between a carrier point and a body point:

- rod:                 (|D|^2 / L - L) / 2    with f = D / L
- along a body axis:   f . D                  with f fixed in the body
- along a carrier axis f . D                  with f = -R e

so that its rate with the carrier's velocity v and turning w is f . v + (x cross f) . w, x being
the lever at which f acts: a wrench, and the rows of the Jacobian are the wrenches of the
constraints. Source: derived here; screw form as in Featherstone, Rigid Body Dynamics Algorithms,
ch. 2, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.linkage.reference import Reference, Rows
from cornerwright.mechanics.linkage.rotation import cross, turning
from cornerwright.mechanics.linkage.structure import Structure

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

CLOSED = 2e-12
"""Largest residual of a closed linkage, as a share of its size (well below 1e-12 m on a car)."""

SETTLED = 1e-8
"""Newton stops after a step below this share of the size: the next would be its square."""


DEPENDENT = 1e-9
"""Determinant, as a share of Hadamard's bound, below which the starting pose is singular."""


@dataclass(frozen=True)
class Posture:
    """Poses of the carrier, batch last: turn (3, 3, n), place (3, n) [m], twist (n,) [rad]."""

    turn: Array
    place: Array
    twist: Array

    def take(self, rows: Rows) -> Posture:
        """Only these poses."""
        return Posture(self.turn[..., rows], self.place[..., rows], self.twist[rows])


def at_reference(n: int) -> Posture:
    """The reference pose, n times."""
    turn = np.zeros((3, 3, n))
    turn[0, 0] = turn[1, 1] = turn[2, 2] = 1.0
    return Posture(turn, np.zeros((3, n)), np.zeros(n))


@dataclass(frozen=True)
class Equations:
    """Numbers of the E simple equations at given parameters, batch last (n or 1)."""

    held: Array  # (3, E, n) [m] carrier points, carrier axes
    anchor: Array  # (3, E, n) [m] body points
    length: Array  # (R, n) [m] of the rods among the equations
    direction: Array  # (3, D, n) [1] of the others

    def take(self, rows: Rows) -> Equations:
        """Only these poses; what is one for all stays."""
        return Equations(*(a if a.shape[-1] == 1 else a[..., rows] for a in _parts(self)))

    def between(self, other: Equations, share: Array) -> Equations:
        """Part of the way to another set; all is linear in the parameters, so this is exact."""
        pairs = zip(_parts(self), _parts(other), strict=True)
        return Equations(*(a + share * (b - a) for a, b in pairs))


def _parts(equations: Equations) -> tuple[Array, ...]:
    return tuple(getattr(equations, one.name) for one in fields(equations))


@dataclass(frozen=True)
class Frame:
    """What the equations need of a structure and its reference, apart from the parameters."""

    structure: Structure
    reference: Reference
    share: Array | None  # (E,) of the twist, None without one
    sign: Array  # (g,) of the Jacobian's determinant on the reference pose's branch
    singular: Flags  # (g,) True where the reference pose itself does not hold the carrier

    def take(self, rows: Rows) -> Frame:
        """Only these variants."""
        reference = self.reference.take(rows)
        if self.sign.size == 1:
            return replace(self, reference=reference)
        return replace(self, reference=reference, sign=self.sign[rows], singular=self.singular[rows])


def frame_of(structure: Structure, reference: Reference) -> Frame:
    """The frame of a mechanism."""
    twisted = structure.layout.twist is not None
    share = structure.share[structure.held] if twisted else None
    frame = Frame(structure, reference, share, np.ones(1), np.zeros(1, dtype=bool))
    at_rest = np.zeros((reference.shift.shape[0], 1))
    sign, singular = _orientation(close(frame, equations_at(frame, at_rest), at_reference(1)))
    return replace(frame, sign=sign, singular=singular)


def _orientation(closure: Closure) -> tuple[Array, Flags]:
    """Sign of the determinant, and whether the equations are dependent for all practical purposes.

    The determinant is held against the product of the rows' lengths (Hadamard's bound), lengths
    being those of the turning part only, so that the size of the linkage does not matter.
    """
    matrix = closure.jacobian.transpose(2, 0, 1)
    determinant = np.linalg.det(matrix)
    lever = np.sqrt(np.mean(closure.jacobian[:, 3:] ** 2, axis=(0, 1))) + 1e-300
    rows = np.sum(closure.jacobian[:, :3] ** 2, axis=1)
    rows = rows + np.sum(closure.jacobian[:, 3:] ** 2, axis=1) / lever**2
    bound = np.sqrt(np.prod(rows, axis=0)) * lever ** (matrix.shape[1] - 3)
    return np.sign(determinant), ~(np.abs(determinant) > DEPENDENT * bound)


def equations_at(frame: Frame, parameters: Array) -> Equations:
    """The equations at these parameters (k, n|1): lifts, adjusters' travels, rack travel [m]."""
    structure, reference = frame.structure, frame.reference
    points, shift = reference.points, reference.shift
    held = points[:, structure.held] + np.einsum("kxe,kn->xen", shift[:, :, structure.held], parameters)
    anchor = points[:, structure.anchor] + np.einsum("kxe,kn->xen", shift[:, :, structure.anchor], parameters)
    length = reference.lengths + reference.lengthen.T @ parameters
    direction = reference.directions
    if reference.redirect.any():
        direction = direction + np.einsum("kxdn,kn->xdn", reference.redirect, parameters)
    return Equations(held, anchor, length[: structure.rods], direction)


def lengths_at(reference: Reference, parameters: Array) -> Array:
    """Lengths (R, n) [m] of all rods, those of rockers included."""
    return reference.lengths + reference.lengthen.T @ parameters


def twisted(reference: Reference, points: Array, share: Array, twist: Array) -> Array:
    """Points (3, E, n) of a twist beam's halves, in the mean carrier's axes."""
    lever = points - reference.twist_point[:, None]
    angle = share[:, None] * twist
    axis = reference.twist_axis[:, None]
    over = cross(axis, lever)
    bent = np.sin(angle) * over + (1.0 - np.cos(angle)) * cross(axis, over)
    return points + bent


@dataclass(frozen=True)
class Closure:
    """Residual, Jacobian and the wrenches they are made of, batch last.

    gap (3, E, n) [m]; force (3, E, n) [1]; lever (3, E, n) [m]; residual (C, n) [m];
    jacobian (C, 6|7, n): with place, turning vector, twist.
    """

    gap: Array
    force: Array
    lever: Array
    arm: Array  # (3, E, n) [m] carrier points from the carrier's place, body axes
    residual: Array
    jacobian: Array


def close(frame: Frame, equations: Equations, posture: Posture) -> Closure:
    """Evaluate the equations and their Jacobian at a posture."""
    structure = frame.structure
    rods, across = structure.rods, structure.across
    held = equations.held
    if frame.share is not None:
        held = twisted(frame.reference, held, frame.share, posture.twist)
    arm = np.einsum("xyn,yen->xen", posture.turn, held)
    gap = arm + posture.place[:, None] - equations.anchor
    force = np.empty_like(gap)
    force[:, :rods] = gap[:, :rods] / equations.length
    force[:, rods : rods + across] = equations.direction[:, :across]
    lever = arm
    if rods + across < gap.shape[1]:
        own = slice(rods + across, None)
        turned = np.einsum("xyn,yen->xen", posture.turn, equations.direction[:, across:])
        force[:, own] = -turned
        lever = np.broadcast_to(arm, gap.shape).copy()
        lever[:, own] -= gap[:, own]
    simple = np.einsum("xen,xen->en", force, gap)
    simple[:rods] = 0.5 * (simple[:rods] - equations.length)
    count = structure.coordinates
    jacobian = np.empty((gap.shape[1], count, gap.shape[2]))
    jacobian[:, :3] = force.transpose(1, 0, 2)
    jacobian[:, 3:6] = cross(lever, force).transpose(1, 0, 2)
    if frame.share is not None:
        spin = with_twist(frame, arm, posture)
        jacobian[:, 6] = np.einsum("xen,xen->en", force, spin)
    if structure.summed is not None:
        simple = structure.summed @ simple
        jacobian = np.einsum("ce,eqn->cqn", structure.summed, jacobian)
    return Closure(gap, force, lever, arm, simple, jacobian)


def with_twist(frame: Frame, arm: Array, posture: Posture) -> Array:
    """Rate (3, E, n) [m/rad] of carrier points with the twist."""
    if frame.share is None:
        raise ValueError("this linkage has no twist")
    axis = np.einsum("xyn,yn->xn", posture.turn, _batched(frame.reference.twist_axis, arm))
    point = np.einsum("xyn,yn->xn", posture.turn, _batched(frame.reference.twist_point, arm))
    return frame.share[:, None] * cross(axis[:, None], arm - point[:, None])


def _batched(a: Array, like: Array) -> Array:
    return np.broadcast_to(a, (*a.shape[:-1], like.shape[-1]))


def moved(posture: Posture, step: Array) -> Posture:
    """The posture after an increment (6|7, n): place, turning vector, twist."""
    turn = np.einsum("xyn,yzn->xzn", turning(step[3:6]), posture.turn)
    twist = posture.twist + (step[6] if step.shape[0] > 6 else np.zeros(step.shape[1]))
    return Posture(turn, posture.place + step[:3], twist)


def step_size(step: Array, size: float) -> Array:
    """Length (n,) [m] of an increment, turnings taken at the typical distance of the joints."""
    length = np.einsum("xn,xn->n", step[:3], step[:3])
    length = length + size**2 * np.einsum("xn,xn->n", step[3:], step[3:])
    return np.asarray(np.sqrt(length))


def solve_each(matrices: Array, right: Array) -> Array:
    """Solve (C, C, n) systems for right sides (C, n); nan where a matrix is exactly singular."""
    stacked = matrices.transpose(2, 0, 1)
    sides = right.T[..., None]
    try:
        answer = np.linalg.solve(stacked, sides)
    except np.linalg.LinAlgError:
        bad = ~(np.abs(np.linalg.det(stacked)) > 0.0)
        stacked = np.where(bad[:, None, None], np.eye(stacked.shape[1]), stacked)
        answer = np.linalg.solve(stacked, np.where(bad[:, None, None], np.nan, sides))
    return np.ascontiguousarray(answer[..., 0].T)


@dataclass(frozen=True)
class Newton:
    """Where Newton's method came to: closed (n,), worst contraction (n,) of its steps."""

    posture: Posture
    closure: Closure
    closed: Flags
    residual: Array  # (n,) [m]
    contraction: Array
    steps: int


def newton(frame: Frame, equations: Equations, start: Posture, max_steps: int = 8) -> Newton:
    """Newton's method from a start, for all poses alike.

    The contraction, a step over the one before, estimates half of the Kantorovich number of where it
    was taken from, by which a caller can tell whether the solution belongs to the start. Source:
    Deuflhard, Newton Methods for Nonlinear Problems, sections 2.1 and 5.1, from memory.
    """
    size = frame.reference.size
    n = equations.anchor.shape[-1]
    posture = start
    contraction = np.zeros(n)
    last = np.zeros(n)
    taken = 0
    with np.errstate(all="ignore"):
        for taken in range(1, max_steps + 1):
            closure = close(frame, equations, posture)
            step = solve_each(closure.jacobian, -closure.residual)
            length = step_size(step, size)
            if taken > 1:
                # Below the noise of the arithmetic the ratio of two steps says nothing.
                ratio = np.where(last > SETTLED * size, length / last, 0.0)
                contraction = np.maximum(contraction, ratio)
            last = length
            posture = moved(posture, step)
            if not np.any(length > SETTLED * size):
                break
        closure = close(frame, equations, posture)
        residual = np.abs(closure.residual).max(axis=0)
    closed = residual <= CLOSED * size
    return Newton(posture, closure, closed, residual, contraction, taken)
