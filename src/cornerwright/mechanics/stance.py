"""Stance: where a car comes to rest on level ground, and how that place moves.

A car at rest is at a minimum of its potential energy (the theorem of minimum potential energy, in
any text on analytical mechanics; here from memory of Lanczos, The Variational Principles of
Mechanics, ch. III). Forces are piecewise linear, so the energy is once continuously
differentiable and Newton's method on it is semi-smooth (Qi and Sun, Mathematical Programming 58,
1993); a line search on the energy (Armijo, Pacific J. Math. 16, 1966) keeps it from cycling at a
kink. Whatever is solved here is solved for a batch of n cars at once.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import partial
from typing import cast

import numpy as np
from numpy.typing import NDArray

from cornerwright.mechanics.jets import Array, Kinematics
from cornerwright.mechanics.potential import (
    GRAVITY,
    Batch,
    Point,
    Rows,
    StanceInputs,
    evaluate,
    first_guess,
    prepare,
    turns,
)

__all__ = [
    "GRAVITY",
    "Partials",
    "Stance",
    "StanceInputs",
    "centre_z_direct",
    "sensitivity",
    "stand",
]

STANDS_BELOW = 1e-6  # [N], largest unbalanced force of a car that stands
AIM_BELOW = 1e-8  # [N], where the search stops by itself: rounding is not far
TILT_LIMIT = 0.5  # [rad], a body tilted further than this has left its wheels
LONGEST_STEP = 0.15  # [m], per step, in any coordinate (angles times half the wheelbase)
SOFTEST = 300.0  # [N/m], curvature assumed at least, where the true one is less or negative
FIRM = 1.0  # [N/m], least curvature in every direction of a car that stands
DESCENT = 1e-4  # Armijo's share of the promised fall in energy
ROUNDING = 1e-12  # [m], times the car's weight: energy differences below this are rounding
SMALLEST_SHARE = 1e-9  # of a step: shortened further, the search has stalled

_UNIT = np.eye(7)
_GRID = np.linspace(0.0, 1.0, 9)[:, None]
_STATE = (
    "q",
    "energy",
    "gradient",
    "hessian",
    "unrest",
    "accepted",
    "share",
    "step",
    "stuck",
    "lengths",
)
_LEADING = (
    "seat_offset",
    "body_offset",
    "bar_rate",
    "bar_offset",
    "bush_rate",
    "bush_lift",
    "body_mass",
    "body_cg",
    "unsprung_mass",
    "centre_height",
    "tyre_radius",
    "tyre_rate",
)

_corner = partial(np.zeros, (1, 4, 1))
_axle = partial(np.zeros, (1, 2, 1))
_corner_lift = partial(np.zeros, (1, 4, 4, 1))


@dataclass(frozen=True)
class Stance:
    """A batch of n cars at rest. A car whose verdict is not "stands" has nan for all its numbers.

    verdict "stands": residual below 1e-6 N, firm in every direction, on three wheels or four.
    "falls": the body tilts without end, or onto two wheels; the centre of gravity is outside the
    wheels' support, or too high for the springs.
    "stalled": no rest was found. residual [N] is the largest unbalanced generalised force, moments
    divided by half the wheelbase; it is kept whatever the verdict.
    """

    q: Array  # (n, 7) heave [m], pitch, roll [rad], lifts fl, fr, rl, rr [m]
    load: Array  # (n, 4) [N] on the ground under each tyre
    kinematics: Kinematics  # at the solution
    spring_length: Array  # (n, 4) [m]
    damper_length: Array  # (n, 4) [m], the damper law's argument
    spring_force: Array  # (n, 4) [N], pushing apart
    damper_force: Array  # (n, 4) [N], gas and stops, pushing apart
    spring_rate: Array  # (n, 4) [N/m], 0 where the spring is loose
    damper_rate: Array  # (n, 4) [N/m]
    contact_rate: Array  # (n, 4) [N/m], the tyre's rate, 0 where the wheel hangs
    centre_z: Array  # (n, 4) [m] wheel centre above the ground
    centre_z_slope: Array  # (n, 4, 7) d centre_z / dq
    hessian: Array  # (n, 7, 7) second derivative of the energy
    residual: Array  # (n,) [N]
    steps: int  # evaluations of the energy, of the slowest car
    verdict: NDArray[np.str_]  # (n,) "stands", "falls" or "stalled"

    @property
    def stands(self) -> Rows:
        """Which cars stand, (n,)."""
        return cast("Rows", self.verdict == "stands")


@dataclass(frozen=True)
class Partials:
    """How m parameters (adjusters) enter at fixed lifts; whatever is not given does not change.

    Derivatives per unit of the parameter. `spring_lift` is d2 spring_i / d lift_j d a, and so on.
    """

    seat_offset: Array = field(default_factory=_corner)  # (n|1, 4, m)
    body_offset: Array = field(default_factory=_corner)  # (n|1, 4, m)
    bar_offset: Array = field(default_factory=_axle)  # (n|1, 2, m)
    spring: Array = field(default_factory=_corner)  # (n|1, 4, m)
    spring_lift: Array = field(default_factory=_corner_lift)  # (n|1, 4, 4, m)
    damper: Array = field(default_factory=_corner)
    damper_lift: Array = field(default_factory=_corner_lift)
    x: Array = field(default_factory=_corner)
    x_lift: Array = field(default_factory=_corner_lift)
    y: Array = field(default_factory=_corner)
    y_lift: Array = field(default_factory=_corner_lift)

    @property
    def count(self) -> int:
        """The number of parameters, m."""
        return max(int(getattr(self, f.name).shape[-1]) for f in fields(self))


def _directions(gradient: Array, hessian: Array, stuck: Rows) -> Array:
    """Where to go from each place, (n, 7), no coordinate by more than the longest step.

    Newton's step where the energy is firmly convex; elsewhere curvatures are taken by their size,
    at least SOFTEST, so that the step always leads downhill. A stuck car, balanced where the energy
    is not a minimum, is sent along its softest direction.
    """
    try:
        np.linalg.cholesky(hessian - SOFTEST * _UNIT)
        step = -np.linalg.solve(hessian, gradient[:, :, None])[:, :, 0]
    except np.linalg.LinAlgError:
        curvature, axes = np.linalg.eigh(hessian)
        along = (gradient[:, None] @ axes)[:, 0] / np.maximum(np.abs(curvature), SOFTEST)
        step = -(axes @ along[:, :, None])[:, :, 0]
        if stuck.any():
            softest = axes[stuck, :, 0] * 0.01
            uphill = (softest * gradient[stuck]).sum(axis=1, keepdims=True) > 0.0
            step[stuck] = np.where(uphill, -softest, softest)
    longest = np.abs(step).max(axis=1, keepdims=True)
    within: Array = step * np.minimum(1.0, LONGEST_STEP / np.maximum(longest, LONGEST_STEP))
    return within


def _known(point: Point) -> Rows:
    """Which cars can take this place at all: a linkage out of reach answers nan."""
    known: Rows = np.isfinite(point.energy) & np.isfinite(point.hessian.sum(axis=(1, 2)))
    return known


class _Search:
    """Where the search stands: cars still on their way, each with its own step and share of it."""

    def __init__(self, batch: Batch, q: Array, point: Point) -> None:
        self.batch, self.q = batch, q.copy()
        self.energy, self.gradient, self.hessian = point.energy, point.gradient, point.hessian
        self.unrest, self.lengths = point.unrest, point.lengths
        self.accepted = _known(point)
        self.share = np.where(self.accepted, 1.0, 0.0)
        self.step = np.zeros_like(q)
        self.stuck = np.zeros_like(self.accepted)

    def verdicts(self, last: bool) -> NDArray[np.str_]:
        """Say "" for cars on their way (n,), else the verdict; last: no more steps are allowed."""
        near = self.unrest < STANDS_BELOW
        settled = self.unrest < AIM_BELOW
        settled |= near & (last | ~self.accepted)  # rounding lets it come no nearer
        found = np.full(settled.shape, "stalled" if last else "", dtype="<U7")
        found[self.share < SMALLEST_SHARE] = "stalled"
        self.stuck = settled.copy()
        if settled.any():
            firm = np.linalg.eigvalsh(self.hessian[settled])[:, 0] > FIRM
            self.stuck[settled] = ~firm
            found[settled & ~self.stuck] = "stands"
        # Two wheels can bear a body hung lower than their centres, but no car is to be left so.
        touching = (self.lengths[:, 8:] < self.batch.tyre_radius).sum(axis=1)
        found[(found == "stands") & (touching < 3)] = "falls"
        angles = self.q[:, 1:3] * self.batch.per_length[:, None]
        found[np.abs(angles).max(axis=1) > TILT_LIMIT] = "falls"
        return found

    def keep(self, rows: Rows) -> None:
        """Go on with the marked cars only."""
        self.batch = self.batch.only(rows, self.q[:, 3:])
        for name in _STATE:
            setattr(self, name, getattr(self, name)[rows])

    def advance(self) -> Point:
        """Try one place for every car; keep it where the energy falls far enough."""
        rows = self.accepted
        if rows.any():
            step = _directions(self.gradient[rows], self.hessian[rows], self.stuck[rows])
            self.step[rows] = step
            self.share[rows] = 1.0
        target = self.q + self.share[:, None] * self.step
        point = evaluate(self.batch, target)
        slope = (self.gradient * self.step).sum(axis=1)
        ahead = (point.gradient * self.step).sum(axis=1)
        rise = point.energy - self.energy
        # Close to rest the energy's change drowns in rounding: there the slope decides
        # (Hager and Zhang, SIAM J. Optim. 16, 2005, approximate Wolfe condition).
        level = np.abs(rise) <= ROUNDING * self.batch.weight.sum(axis=1)
        ok = rise <= DESCENT * self.share * slope
        ok |= level & (np.abs(ahead) <= 0.8 * np.abs(slope))
        ok &= _known(point)
        self.accepted = ok
        if not ok.all():
            part = self._part(point, slope, ahead)
            self.share = np.where(ok, self.share, self.share * part)
        self.q[ok] = target[ok]
        for name in ("energy", "unrest", "gradient", "hessian", "lengths"):
            getattr(self, name)[ok] = getattr(point, name)[ok]
        return point

    def _part(self, point: Point, slope: Array, ahead: Array) -> Array:
        """Which part of a step that overran a kink to make instead, (n,).

        The lowest place on the way, with every spring, damper and tyre following its own law along
        lengths that change evenly, and all the rest of the slope (weights, bars, geometry) changing
        evenly too. It lies inside the stop that was overrun, so that the next step knows it.
        """
        change = point.lengths - self.lengths
        slope, ahead = slope * self.share, ahead * self.share
        low, high = np.zeros(slope.shape), np.ones(slope.shape)
        ends = self.batch.slope_along(self.lengths, change, np.stack([low, high]))
        rest = slope - ends[0], ahead - ends[1]
        for _ in range(3):
            parts = low + _GRID * (high - low)
            slopes = self.batch.slope_along(self.lengths, change, parts)
            slopes += rest[0] + (rest[1] - rest[0]) * parts
            below = np.maximum((slopes < 0.0).cumprod(axis=0).sum(axis=0) - 1, 0)
            above = np.minimum(below + 1, len(_GRID) - 1)
            cars = np.arange(below.size)
            low, high = parts[below, cars], parts[above, cars]
        fall, climb = slopes[below, cars], slopes[above, cars]
        run = climb - fall
        within = np.divide(-fall, run, out=np.full_like(run, 0.5), where=run > 0.0)
        part = low + np.clip(within, 0.0, 1.0) * (high - low)
        return np.where(np.isfinite(ahead) & (part > 1e-6) & (part < 0.9), part, 0.3)


def stand(inputs: StanceInputs, start: Array | None = None, max_steps: int = 60) -> Stance:
    """Bring n cars to rest on level ground.

    start (n, 7) is where to begin, such as the q of a stance nearby (rows of nan begin afresh);
    by default the body begins level, at the reference lifts. max_steps bounds the evaluations of
    the energy. Nothing is raised for a car that will not stand: see the verdict.
    """
    shape = np.broadcast_shapes(
        *(np.shape(getattr(inputs, name))[:1] for name in _LEADING),
        *(law.knots.shape[:1] for law in (inputs.spring_law, inputs.damper_law) if law.knots.ndim > 2),
        (1,) if start is None else start.shape[:1],
    )
    kin = inputs.kinematics(np.zeros((*shape, 4)))
    n = kin.spring.value.shape[0]
    batch = everyone = prepare(inputs, kin)
    q = first_guess(batch, n)
    if start is not None:
        known = np.isfinite(start).all(axis=1, keepdims=True)
        metres = start.copy()
        metres[:, 1:3] /= batch.per_length[:, None]
        q = np.where(known, metres, q)

    point = evaluate(batch, q)
    search = _Search(batch, q, point)
    final, residual = q.copy(), np.full(n, np.inf)
    verdict = np.full(n, "stalled", dtype="<U7")
    cars, steps = np.arange(n), 1
    while True:
        found = search.verdicts(last=steps >= max_steps)
        done = found != ""
        if done.any():
            verdict[cars[done]] = found[done]
            final[cars[done]] = search.q[done]
            residual[cars[done]] = search.unrest[done]
            if done.all():
                break
            search.keep(~done)
            cars = cars[~done]
        point = search.advance()
        steps += 1

    stands = verdict == "stands"
    if not (cars.size == n and search.accepted.all()):
        point = evaluate(everyone, np.where(stands[:, None], final, q))
    return _stance(everyone, point, q=final, residual=residual, verdict=verdict, steps=steps)


def _stance(
    batch: Batch,
    point: Point,
    *,
    q: Array,
    residual: Array,
    verdict: NDArray[np.str_],
    steps: int,
) -> Stance:
    """The result in radians, with nan for every car that does not stand."""
    n = q.shape[0]
    bad = verdict != "stands"
    per_length = np.broadcast_to(batch.per_length, (n,))
    scale = np.ones((n, 7))
    scale[:, 1:3] /= per_length[:, None]

    def shown(value: Array) -> Array:
        if not bad.any():
            return value
        return np.where(bad.reshape(n, *(1,) * (value.ndim - 1)), np.nan, value)

    return Stance(
        q=shown(q / scale),
        load=shown(point.load),
        kinematics=point.kinematics.blanked(bad),
        spring_length=shown(point.lengths[:, :4]),
        damper_length=shown(point.lengths[:, 4:8]),
        spring_force=shown(point.spring[0]),
        damper_force=shown(point.damper[0]),
        spring_rate=shown(point.spring[1]),
        damper_rate=shown(point.damper[1]),
        contact_rate=shown(point.contact_rate),
        centre_z=shown(point.lengths[:, 8:]),
        centre_z_slope=shown(point.jacobian[:, 8:] * scale[:, None]),
        hessian=shown(point.hessian * scale[:, :, None] * scale[:, None]),
        residual=residual,
        steps=steps,
        verdict=verdict,
    )


def sensitivity(inputs: StanceInputs, stance: Stance, partials: Partials) -> Array:
    """How the place of rest moves with m parameters, dq/da (n, 7, m) [m or rad per unit].

    Exact, by the implicit function theorem: dq/da = -(d2E/dq2)^-1 d2E/(dq da). One-sided where a
    force stands at a kink. nan for a car that does not stand.
    """
    kin, n = stance.kinematics, stance.q.shape[0]
    turn = turns(np.nan_to_num(stance.q[:, 1:3]))
    cross = np.zeros((n, 7, partials.count))
    for first, force, rate, shift, slope in (
        (
            kin.spring.first,
            stance.spring_force,
            stance.spring_rate,
            partials.spring - partials.seat_offset,
            partials.spring_lift,
        ),
        (
            kin.damper.first,
            stance.damper_force,
            stance.damper_rate,
            partials.damper - partials.body_offset,
            partials.damper_lift,
        ),
    ):
        cross[:, 3:] += first.transpose(0, 2, 1) @ (rate[:, :, None] * shift)
        cross[:, 3:] -= (force[:, :, None, None] * slope).sum(axis=1)
    preload = inputs.bar_rate[:, :, None] * partials.bar_offset
    cross[:, 3::2] -= preload
    cross[:, 4::2] += preload

    push = GRAVITY * inputs.unsprung_mass - stance.load
    raised = centre_z_direct(stance, partials)
    cross += stance.centre_z_slope.transpose(0, 2, 1) @ (stance.contact_rate[:, :, None] * raised)
    for row in (1, 2):
        along, across = turn[:, row, 0, None, None], turn[:, row, 1, None, None]
        cross[:, row] += (push[:, :, None] * (along * partials.x + across * partials.y)).sum(axis=1)
    along, across = (turn[:, 0, i, None, None, None] for i in (0, 1))
    slopes = along * partials.x_lift + across * partials.y_lift
    cross[:, 3:] += (push[:, :, None, None] * slopes).sum(axis=1)

    bad = ~stance.stands[:, None, None]
    hessian = np.where(bad, np.eye(7), stance.hessian)
    return np.where(bad, np.nan, -np.linalg.solve(hessian, np.where(bad, 0.0, cross)))


def centre_z_direct(stance: Stance, partials: Partials) -> Array:
    """Rise of the wheel centres with m parameters while q stands still, (n, 4, m) [m per unit]."""
    turn = turns(stance.q[:, 1:3])
    return turn[:, 0, 0, None, None] * partials.x + turn[:, 0, 1, None, None] * partials.y
