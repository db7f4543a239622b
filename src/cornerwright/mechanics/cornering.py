"""Steady cornering: load transfer, slip, camber, and where it ends; as equilibria of a car on four wheels.

Turns are to the left (ISO 8855: lateral acceleration, steer, slip of the body positive to the left; roll positive
left side up, so that a left turn rolls the body by a positive angle). Wheels in the order front left, front right,
rear left, rear right. Roll centres as they are at rest; springs at their rate at rest, or along curves (`rolling`) that
know stops, bind and springs that come loose. No jacking, no load shifted fore and aft, no downforce. The wheels of a
driven axle share its drive as they share its load.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import root

from cornerwright.mechanics.rolling import RollCurve
from cornerwright.mechanics.springs import STANDARD_GRAVITY

Array = NDArray[np.float64]

SIDE = np.array([1.0, -1.0, 1.0, -1.0])
FRONT = np.array([1.0, 1.0, 0.0, 0.0])
EXACT = 1e-6
"""Share of the weight (or of weight times wheelbase) by which an equilibrium may fail to balance."""
FINEST = 1e-3
"""[m/s2], how closely the limit is found."""
STEEP = 0.7
"""[rad]; beyond this steer or slip of the body it is no ordinary cornering, but sliding."""
SLOWEST = 0.01
"""[m/s]"""


@dataclass(frozen=True, eq=False)
class Grip:
    """Tyres (4,) by the brush formula, with grip and stiffness that follow their load.

    grip [1] and stiffness [N/rad] at the rated load [N]; grip_loss [1]: share of the grip lost for one more rated
    load; peak [1]: load, in rated loads, at which the stiffness is greatest; lean [1]: slip that a lean of the wheel
    is worth, camber stiffness over cornering stiffness.
    """

    rated: Array
    grip: Array
    grip_loss: Array
    stiffness: Array
    peak: Array
    lean: Array

    def friction(self, load: Array) -> Array:
        """Greatest side force over load [1]."""
        return np.asarray(np.maximum(self.grip * (1.0 - self.grip_loss * (load / self.rated - 1.0)), 0.05))

    def stiff(self, load: Array) -> Array:
        """Cornering stiffness [N/rad], C sin(2 atan(F / (p F0))), scaled to be C at the rated load.

        Source: the load's law in the Magic Formula; Pacejka, Tyre and Vehicle Dynamics, chapter 4 (from memory).
        """
        at = np.sin(2.0 * np.arctan(load / (self.peak * self.rated)))
        return np.asarray(self.stiffness * at / np.sin(2.0 * np.arctan(1.0 / self.peak)))

    def side(self, slip: ArrayLike, load: ArrayLike, along: ArrayLike = 0.0) -> Array:
        """Side force (4,) [N] to the left; slip [rad]: heading less path, to the left; along [N]: drive or brake.

        Brush with even pressure share, F = C s (1 - |C s| / (3 G) + (C s)^2 / (27 G^2)), s = tan slip, up to
        C |s| = 3 G and G beyond, where G = sqrt((mu F)^2 - along^2) is the grip that driving leaves.
        Source: Fiala, VDI-Zeitschrift 96 (1954); Pacejka, Tyre and Vehicle Dynamics, chapter 3; with drive as in
        Hindiyeh and Gerdes, ASME DSCC (2009); from memory.
        """
        on = np.maximum(np.asarray(load, dtype=float), 0.0)
        left = np.sqrt(np.maximum((self.friction(on) * on) ** 2 - np.asarray(along, dtype=float) ** 2, 0.0))
        pull = self.stiff(on) * np.tan(np.clip(np.asarray(slip, dtype=float), -1.5, 1.5))
        safe = np.maximum(left, 1e-9)
        share = np.minimum(np.abs(pull) / (3.0 * safe), 1.0)
        # With u = |C s| / 3 G the brush is G (3u - 3u2 + u3) = G (1 - (1 - u)^3).
        return np.asarray(np.sign(pull) * left * (1.0 - (1.0 - share) ** 3))


@dataclass(frozen=True, eq=False)
class TurnCar:
    """A car for cornering. Axles (2,): front, rear; wheels (4,).

    mass [kg] and cg_height [m] of the whole car; ahead, behind [m]: centre of gravity to the axles; track (2,) [m];
    unsprung (2,) [kg] of each axle with both wheels, unsprung_height (2,) [m]; roll_centre (2,) [m] over the ground;
    roll_stiffness (2,) [N m/rad], tyres in series; body_share (2,): of that roll, how much is the body against the
    wheels (the rest is in the tyres); camber, toe (4,) [rad] at rest; camber_gain, toe_gain (4,) [rad/m] per lift;
    drive (2,): share of the drive on each axle; tyres; rolling: how front and rear roll on their real springs, in
    place of roll_stiffness, body_share and the gains; None: straight, as those have it.
    """

    mass: float
    cg_height: float
    ahead: float
    behind: float
    track: Array
    unsprung: Array
    unsprung_height: Array
    roll_centre: Array
    roll_stiffness: Array
    body_share: Array
    camber: Array
    toe: Array
    camber_gain: Array
    toe_gain: Array
    drive: Array
    tyres: Grip
    rolling: tuple[RollCurve, RollCurve] | None = None

    @property
    def wheelbase(self) -> float:
        """[m]."""
        return self.ahead + self.behind

    @property
    def places(self) -> tuple[Array, Array]:
        """X and y (4,) [m] of the wheels from the centre of gravity."""
        x = np.array([self.ahead, self.ahead, -self.behind, -self.behind])
        return x, SIDE * np.repeat(self.track, 2) / 2.0


def axle_roll_stiffness(rate: ArrayLike, bar: ArrayLike, track: ArrayLike, tyre_rate: ArrayLike = np.inf) -> Array:
    """Roll stiffness [N m/rad] of an axle: rate, tyre_rate [N/m] of one wheel, bar K [N/m], track t [m]; broadcast.

    Springs k t^2/2 and the bar K t^2 (energy K/2 (lift difference)^2), in series with the tyres k_t t^2/2.
    Source: Milliken and Milliken, Race Car Vehicle Dynamics, chapter 16 (from memory).
    """
    t2 = np.asarray(track, dtype=float) ** 2
    body = np.asarray(rate) * t2 / 2.0 + np.asarray(bar) * t2
    tyres = np.asarray(tyre_rate, dtype=float) * t2 / 2.0
    return np.asarray(1.0 / (1.0 / body + 1.0 / tyres))


def roll_arm(car: TurnCar) -> tuple[float, float]:
    """Mass [kg] of the body and how far [m] its centre of gravity is over the roll axis."""
    body = car.mass * np.array([car.behind, car.ahead]) / car.wheelbase - car.unsprung
    mass = float(body.sum())
    height = (car.mass * car.cg_height - float((car.unsprung * car.unsprung_height).sum())) / mass
    return mass, height - float((body * car.roll_centre).sum()) / mass


def slow_roll(car: TurnCar, stiffness: ArrayLike) -> tuple[Array, Array]:
    """Roll (...) [rad/(m/s2)] and front share (...) [1] of the load that goes over, before a wheel lifts.

    stiffness (..., 2) [N m/rad]: roll stiffness of each axle in place of the car's. As `lean`, in bulk.
    """
    stiff = np.asarray(stiffness, dtype=float)
    mass, arm = roll_arm(car)
    hold = stiff.sum(axis=-1) - mass * STANDARD_GRAVITY * arm
    roll = np.where(hold > 0.0, mass * arm / np.where(hold > 0.0, hold, 1.0), np.inf)
    body = car.mass * np.array([car.behind, car.ahead]) / car.wheelbase - car.unsprung
    straight = (body * car.roll_centre + car.unsprung * car.unsprung_height) / car.track
    over = straight + stiff * np.where(np.isfinite(roll), roll, 0.0)[..., None] / car.track
    return roll, np.asarray(over[..., 0] / over.sum(axis=-1))


@dataclass(frozen=True, eq=False)
class Leaning:
    """Roll [rad], loads (4,) [N], transfer (2,) [N] from left to right at each axle; lifted (2,): inside wheel up.

    lift (4,) [m] from rest; camber to the road and toe (4,) [rad]. verdict "stands" or "turns over".
    """

    roll: float
    load: Array
    transfer: Array
    lifted: NDArray[np.bool_]
    verdict: Literal["stands", "turns over"]
    lift: Array
    camber: Array
    toe: Array


def lean(car: TurnCar, lateral: float) -> Leaning:
    """How the car leans at a lateral acceleration [m/s2] to the left.

    Front transfer (W/t) [H K_f/(K_f + K_r) + (b/l) z_f] per g, with the body's weight W and H over the roll axis;
    the body's own weight, leaning out, adds to what rolls it. An axle whose inside wheel hangs gives what it gives
    and no more; the other takes the rest.
    Source: Milliken and Milliken, Race Car Vehicle Dynamics, chapter 18 (from memory); the lifted wheel is statics.
    Proof: tests/outside/test_cornering.py.
    """
    g = STANDARD_GRAVITY
    axle = car.mass * np.array([car.behind, car.ahead]) / car.wheelbase
    body = axle - car.unsprung
    mass, arm = roll_arm(car)
    straight = lateral * (body * car.roll_centre + car.unsprung * car.unsprung_height) / car.track
    most = axle * g / 2.0
    if car.rolling is not None:
        return _on_curves(car, car.rolling, mass * arm, lateral, straight, most)
    sense = 1.0 if lateral >= 0.0 else -1.0
    stiff, fixed = car.roll_stiffness.astype(float), np.zeros(2)
    lifted = np.zeros(2, dtype=bool)
    roll = 0.0
    transfer = straight
    for _ in range(3):
        hold = stiff.sum() - mass * g * arm
        if hold <= 0.0:
            return _over(lifted)
        roll = float((mass * lateral * arm - fixed.sum()) / hold)
        transfer = straight + (stiff * roll + fixed) / car.track
        over = (sense * transfer > most * (1.0 + 1e-12)) & ~lifted
        if not over.any():
            break
        # The one further over goes first; the other is looked at again with what it then carries.
        which = int(np.argmax(np.where(over, sense * transfer / most, -np.inf)))
        lifted[which] = True
        stiff[which] = 0.0
        fixed[which] = (sense * most[which] - straight[which]) * car.track[which]
    if lifted.all():
        return _over(lifted)
    shift = np.repeat(transfer, 2) * -SIDE
    load = np.repeat(most, 2) + shift
    lift = -SIDE * np.repeat(car.track, 2) / 2.0 * roll * np.repeat(car.body_share, 2)
    # The body leans right by the roll and takes the wheels with it: the tops of all four go to the right.
    camber = car.camber + car.camber_gain * lift - SIDE * roll
    toe = car.toe + car.toe_gain * lift
    return Leaning(roll, np.maximum(load, 0.0), transfer, lifted, "stands", lift, camber, toe)


def _on_curves(
    car: TurnCar, curves: tuple[RollCurve, RollCurve], lever: float, lateral: float, straight: Array, most: Array
) -> Leaning:
    """Lean on curves of moment over roll, straight between rows: the roll nearest to none that holds by itself.

    lever [kg m]: mass of the body times its height over the roll axis.
    """
    low, high = (-most - straight) * car.track, (most - straight) * car.track
    ends = [curve.rolls([a, b]) for curve, a, b in zip(curves, low, high, strict=True)]
    knots = np.unique(np.concatenate([*(curve.roll for curve in curves), *ends]))
    knots = np.concatenate([[knots[0] - 1.0], knots, [knots[-1] + 1.0]])

    def moments(roll: Array) -> Array:
        rows = zip(curves, low, high, strict=True)
        return np.stack([np.clip(curve.holds(roll), a, b) for curve, a, b in rows])

    left = moments(knots).sum(axis=0) - lever * (lateral + STANDARD_GRAVITY * knots)
    rises = np.flatnonzero((left[:-1] < 0.0) & (left[1:] >= 0.0))
    if not rises.size:
        return _over(np.ones(2, dtype=bool))
    roots = knots[rises] - left[rises] * (knots[rises + 1] - knots[rises]) / (left[rises + 1] - left[rises])
    roll = float(roots[np.argmin(np.abs(roots))])
    moment = moments(np.array([roll]))[:, 0]
    lifted = (moment >= high - 1e-6) | (moment <= low + 1e-6)
    if lifted.all():
        return _over(lifted)
    transfer = straight + moment / car.track
    load = np.maximum(np.repeat(most, 2) - SIDE * np.repeat(transfer, 2), 0.0)
    # What a wheel in the air does follows its axle no further than to where it left the ground.
    seen = [min(max(roll, float(end[0])), float(end[1])) for end in ends]
    wheels = [curve.wheels(at) for curve, at in zip(curves, seen, strict=True)]
    lift, camber, toe = (np.concatenate(part) for part in zip(*wheels, strict=True))
    return Leaning(roll, load, transfer, lifted, "stands", lift, camber - SIDE * roll, toe)


def _over(lifted: NDArray[np.bool_]) -> Leaning:
    blank = np.full(4, np.nan)
    return Leaning(np.nan, blank, blank[:2], lifted, "turns over", blank, blank, blank)


@dataclass(frozen=True, eq=False)
class Turn:
    """A steady turn. Every number is nan unless the verdict is "turns".

    speed [m/s], radius [m] of the centre of gravity's path, lateral [m/s2] towards its middle; steer, slip (of the
    body), roll [rad]; load, side, slip_wheel, camber (4,), camber to the road; drive [N] and power [W] that hold the
    speed against the tyres' drag; used (2,) [1] side force of each axle over its grip; lifted (2,); lift (4,) [m].
    verdict "no grip": there is no such turn; "turns over": both inside wheels would lift.
    """

    speed: float
    radius: float
    lateral: float
    steer: float
    slip: float
    roll: float
    load: Array
    side: Array
    slip_wheel: Array
    camber: Array
    drive: float
    power: float
    used: Array
    lifted: NDArray[np.bool_]
    lift: Array
    residual: float
    verdict: Literal["turns", "no grip", "turns over"]


@dataclass(frozen=True, eq=False)
class _Wheels:
    heading: Array
    slip: Array
    camber: Array
    side: Array
    along: Array


def _wheels(car: TurnCar, leaning: Leaning, speed: float, yaw: float, unknown: Array) -> _Wheels:
    """Forces of the four wheels at a slip of the body, a steer and a drive."""
    slip, steer, drive = unknown
    x, y = car.places
    camber = leaning.camber
    heading = steer * FRONT - SIDE * leaning.toe
    path = np.arctan2(speed * np.sin(slip) + yaw * x, speed * np.cos(slip) - yaw * y)
    axle = leaning.load.reshape(2, 2).sum(axis=1)
    along = drive * np.repeat(car.drive / axle, 2) * leaning.load
    # A wheel cannot push harder than its grip; what it cannot, the balance must do without.
    most = car.tyres.friction(leaning.load) * leaning.load
    along = np.clip(along, -most, most)
    own = heading - path
    side = car.tyres.side(own + car.tyres.lean * SIDE * camber, leaning.load, along)
    return _Wheels(heading, own, camber, side, along)


def _balance(car: TurnCar, wheels: _Wheels, slip: float, speed: float, yaw: float) -> Array:
    """What is left over (3,) [1] along, across and about the body, over weight and wheelbase."""
    x, y = car.places
    ahead = wheels.along * np.cos(wheels.heading) - wheels.side * np.sin(wheels.heading)
    left = wheels.along * np.sin(wheels.heading) + wheels.side * np.cos(wheels.heading)
    weight = car.mass * STANDARD_GRAVITY
    return np.array(
        [
            (ahead.sum() + car.mass * speed * yaw * np.sin(slip)) / weight,
            (left.sum() - car.mass * speed * yaw * np.cos(slip)) / weight,
            (x * left - y * ahead).sum() / weight / car.wheelbase,
        ]
    )


def turn(car: TurnCar, radius: float, lateral: float, start: ArrayLike | None = None) -> Turn:
    """Ordinary steady turn to the left at a lateral acceleration [m/s2] on a circle [m] of the centre of gravity.

    start (3,): slip of the body [rad], steer [rad], drive [N] to begin from, of a turn nearby.
    Raises ValueError for a radius or an acceleration that is not positive.
    """
    if not (radius > 0.0 and lateral > 0.0):
        raise ValueError("a turn has a radius and a lateral acceleration above zero")
    speed = float(np.sqrt(lateral * radius))
    yaw = speed / radius
    leaning = lean(car, lateral)
    if leaning.verdict != "stands":
        return _none(radius, lateral, leaning.lifted, "turns over")
    weight = car.mass * STANDARD_GRAVITY

    def off(scaled: Array) -> Array:
        unknown = np.array([scaled[0], scaled[1], scaled[2] * weight])
        return _balance(car, _wheels(car, leaning, speed, yaw, unknown), unknown[0], speed, yaw)

    first = np.array([car.behind / radius, car.wheelbase / radius, 0.0])
    if start is not None:
        first = np.asarray(start, dtype=float) / np.array([1.0, 1.0, weight])
    found = root(off, first, method="hybr", options={"xtol": 1e-12})
    residual = float(np.abs(off(found.x)).max())
    if not residual <= EXACT or np.abs(found.x[:2]).max() > STEEP:  # nan is no turn either
        return _none(radius, lateral, leaning.lifted, "no grip", residual)
    unknown = np.array([found.x[0], found.x[1], found.x[2] * weight])
    return _told(car, leaning, speed, radius, unknown, residual)


def sliding(car: TurnCar, radius: float, slip: float, start: ArrayLike) -> Turn:
    """Steady cornering with the rear sliding: the speed, lock and power that hold this slip of the body [rad].

    slip is negative in a left turn with the nose pointing in. start (3,): speed [m/s], steer [rad], drive [N].
    The same equations, solved for the speed. Such a turn is held by the driver: by itself the car leaves it.
    Source: as equilibria, Hindiyeh and Gerdes, ASME DSCC (2009); Velenis, Katzourakis, Frazzoli, Tsiotras and Happee,
    Control Engineering Practice 19 (2011) 1363; from memory. Raises ValueError for a radius that is not positive.
    """
    if not radius > 0.0:
        raise ValueError("a turn has a radius above zero")
    weight = car.mass * STANDARD_GRAVITY

    def off(scaled: Array) -> Array:
        speed = max(abs(float(scaled[0])) * 10.0, SLOWEST)
        leaning = lean(car, speed**2 / radius)
        if leaning.verdict != "stands":
            return np.full(3, 10.0 + speed)
        unknown = np.array([slip, scaled[1], scaled[2] * weight])
        return _balance(car, _wheels(car, leaning, speed, speed / radius, unknown), slip, speed, speed / radius)

    first = np.asarray(start, dtype=float) / np.array([10.0, 1.0, weight])
    found = root(off, first, method="hybr", options={"xtol": 1e-12})
    residual = float(np.abs(off(found.x)).max())
    speed = max(abs(float(found.x[0])) * 10.0, SLOWEST)
    leaning = lean(car, speed**2 / radius)
    if not residual <= EXACT or leaning.verdict != "stands" or abs(found.x[1]) > 1.2:
        return _none(radius, speed**2 / radius, leaning.lifted, "no grip", residual)
    unknown = np.array([slip, found.x[1], found.x[2] * weight])
    return _told(car, leaning, speed, radius, unknown, residual)


def _told(car: TurnCar, leaning: Leaning, speed: float, radius: float, unknown: Array, residual: float) -> Turn:
    wheels = _wheels(car, leaning, speed, speed / radius, unknown)
    grip = car.tyres.friction(leaning.load) * leaning.load
    used = np.hypot(wheels.side, wheels.along).reshape(2, 2).sum(axis=1) / grip.reshape(2, 2).sum(axis=1)
    slip, steer, _ = unknown
    x, y = car.places
    yaw = speed / radius
    ahead_at = (speed * np.cos(slip) - yaw * y) * np.cos(wheels.heading)
    across_at = (speed * np.sin(slip) + yaw * x) * np.sin(wheels.heading)
    return Turn(
        speed=speed,
        radius=radius,
        lateral=speed**2 / radius,
        steer=float(steer),
        slip=float(slip),
        roll=leaning.roll,
        load=leaning.load,
        side=wheels.side,
        slip_wheel=wheels.slip,
        camber=wheels.camber,
        drive=float(wheels.along.sum()),
        power=float((wheels.along * (ahead_at + across_at)).sum()),
        used=used,
        lifted=leaning.lifted,
        lift=leaning.lift,
        residual=residual,
        verdict="turns",
    )


def _none(
    radius: float, lateral: float, lifted: NDArray[np.bool_], verdict: Literal["no grip", "turns over"],
    residual: float = np.nan,
) -> Turn:  # fmt: skip
    four, two = np.full(4, np.nan), np.full(2, np.nan)
    nan = float(np.nan)
    speed = float(np.sqrt(lateral * radius))
    return Turn(
        speed, radius, lateral, nan, nan, nan, four, four, four, four, nan, nan, two, lifted, four, residual, verdict
    )


@dataclass(frozen=True, eq=False)
class Balance:
    """How the car corners on one circle, from slow to the limit.

    turns: ascending in lateral acceleration; understeer [rad/(m/s2)]: more steer per lateral acceleration on the
    circle, where it starts; limit: the last turn that holds; pushes: the front is the first at its grip; neither,
    None, where both are within 1 %. ended: why it goes no further.
    """

    turns: tuple[Turn, ...]
    understeer: float
    limit: Turn
    pushes: bool | None
    ended: Literal["no grip", "turns over"]


def balance(car: TurnCar, radius: float, step: float = 0.25) -> Balance:
    """Turn faster and faster on a circle [m] until it ends, `step` [m/s2] at a time, then by halves.

    Raises ValueError where even the slowest turn is none.
    """
    low = 0.02
    one = turn(car, radius, low)
    two = turn(car, radius, 2.0 * low, _start(one))
    if one.verdict != "turns" or two.verdict != "turns":
        raise ValueError("the car does not corner at all on this circle")
    understeer = (two.steer - one.steer) / low
    turns = [one]
    ended: Literal["no grip", "turns over"] = "no grip"
    while step > FINEST:
        here = turn(car, radius, turns[-1].lateral + step, _start(turns[-1]))
        if here.verdict == "turns":
            turns.append(here)
        else:
            ended = "turns over" if here.verdict == "turns over" else "no grip"
            step /= 2.0
        if len(turns) > 2000:
            raise ValueError("the car's grip has no end")
    last = turns[-1]
    front, rear = last.used
    pushes = None if abs(front - rear) < 0.01 else bool(front > rear)
    return Balance(tuple(turns), float(understeer), last, pushes, ended)


def _start(one: Turn) -> Array | None:
    return np.array([one.slip, one.steer, one.drive]) if one.verdict == "turns" else None
