"""A car's document as the car that is turned on a circle: roll stiffness, roll centres, camber and toe by lift."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.report import wheel_rate
from cornerwright.assembly.rig import Rig, Variant
from cornerwright.mechanics.cornering import SIDE, Grip, TurnCar
from cornerwright.mechanics.roll_centre import Contact, roll_centre
from cornerwright.mechanics.rolling import RollCurve, rolled
from cornerwright.mechanics.stance import StanceInputs
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.tyre_grip import TyreGrip
from cornerwright.model.units import STANDARD_GRAVITY

Array = NDArray[np.float64]
Driven = Literal["front", "rear", "both"]

NEAR = 0.005
"""[m] of lift each way over which slopes are taken."""
STEEPEST = 0.14
"""[rad], roll of the body against the wheels to which its curve is taken."""
ROWS = 33
SHARES: dict[Driven, tuple[float, float]] = {"front": (1.0, 0.0), "rear": (0.0, 1.0), "both": (0.5, 0.5)}


@dataclass(frozen=True)
class TurnInputs:
    """The car for the circle, and what the file does not say and was guessed, in words."""

    car: TurnCar
    guessed: tuple[str, ...]
    spring_share: Array
    """(2,) roll stiffness of the springs alone over that of the same wheel rates in bump: one where each wheel hangs
    by itself, less where one axle holds both"""
    variant: Variant
    rest: Array
    """Lifts (4,) [m] at rest."""
    touch: Array
    """Lift (4,) [m] from rest at which each bump stop is touched; where there is none, full bump."""
    droop: Array
    """Lift (4,) [m] from rest at which each wheel is at full droop."""


def turn_inputs(car: Car, driven: Driven = "rear", rig: Rig | None = None, unknowns: Array | None = None) -> TurnInputs:
    """This car as it stands at rest. Raises Refusal where it does not stand, or an axle has no roll centre.

    rig: that of this car, where it is there; unknowns (1, p): of one car that the file could mean.
    """
    rig = Rig(car) if rig is None else rig
    variant = rig.vary(unknowns=unknowns)
    stance = variant.stand()
    if not stance.stands[0]:
        raise Refusal.of("a car that does not stand on its wheels", "springs that carry it; see cornerwright check")
    read = outputs(variant, stance, gradients=False)
    inputs, lifts = variant.inputs, stance.q[0, 3:]
    up, down = (inputs.kinematics((lifts + sign * NEAR * SIDE)[None]) for sign in (1.0, -1.0))

    def slope(name: str) -> Array:
        """Per lift of the wheel itself while the axle rolls, by both ways of rolling."""
        first, second = getattr(up, name).value[0], getattr(down, name).value[0]
        return np.asarray(SIDE * (first - second) / (2.0 * NEAR))

    radius = stance.centre_z[0]
    camber, y = read.corner["camber"][0], stance.kinematics.y.value[0]
    camber_gain, out = slope("camber"), slope("y")
    # Where the tyre stands moves out with the wheel's centre, and in as its top leans out.
    contact_y = y - SIDE * radius * np.sin(camber)
    contact_out = out - SIDE * radius * np.cos(camber) * camber_gain
    rise = 1.0 + radius * np.sin(camber) * camber_gain
    heights = []
    for axle, end in enumerate(("front", "rear")):
        left, right = (
            Contact(contact_y[i : i + 1], np.zeros(1), contact_out[i : i + 1], rise[i : i + 1])
            for i in (2 * axle, 2 * axle + 1)
        )
        height = float(roll_centre(left, right)[1][0])
        if not np.isfinite(height) or abs(height) > 1.0:
            raise Refusal.of(f"a {end} axle without a roll centre near the car", "half-track over lift in its linkage")
        heights.append(height)
    track = np.array([contact_y[0] - contact_y[1], contact_y[2] - contact_y[3]])
    tyre = inputs.tyre_rate[0].reshape(2, 2).mean(axis=1)
    curves = _curves(inputs, lifts, camber, read.corner["toe"][0], track, tyre)
    with_tyres = np.array([float(curve.holds(NEAR) - curve.holds(-NEAR)) / (2.0 * NEAR) for curve in curves])
    on_wheels = 1.0 / (1.0 / with_tyres - 2.0 / (tyre * track**2))
    rate = np.array([wheel_rate(variant, stance, i) for i in range(4)]).reshape(2, 2).mean(axis=1)
    loads = stance.load[0]
    behind = float(car.wheelbase * loads[:2].sum() / loads.sum())
    tyres, guessed = _grips(car, loads)
    return TurnInputs(
        TurnCar(
            mass=float(loads.sum() / STANDARD_GRAVITY),
            cg_height=float(read.car["cg_height"][0]),
            ahead=car.wheelbase - behind,
            behind=behind,
            track=track,
            unsprung=inputs.unsprung_mass[0].reshape(2, 2).sum(axis=1),
            unsprung_height=radius.reshape(2, 2).mean(axis=1),
            roll_centre=np.array(heights),
            roll_stiffness=with_tyres,
            body_share=with_tyres / on_wheels,
            camber=camber,
            toe=read.corner["toe"][0],
            camber_gain=camber_gain,
            toe_gain=slope("toe"),
            drive=np.array(SHARES[driven]),
            tyres=tyres,
            rolling=curves,
        ),
        guessed,
        spring_share=(on_wheels - inputs.bar_rate[0] * track**2) / (rate * track**2 / 2.0),
        variant=variant,
        rest=lifts,
        touch=read.window.touch.lift[0] - lifts,
        droop=read.window.droop.lift[0] - lifts,
    )


def _curves(
    inputs: StanceInputs, lifts: Array, camber: Array, toe: Array, track: Array, tyre: Array
) -> tuple[RollCurve, RollCurve]:
    """How each axle rolls on its springs, stops and bar, tyres in series; camber and toe (4,) [rad] at rest."""
    first = inputs.kinematics(lifts[None])

    def forces(at: Array) -> Array:
        motion = inputs.kinematics(at)
        _, spring, _ = inputs.spring_law.at(motion.spring.value - inputs.seat_offset)
        _, damper, _ = inputs.damper_law.at(motion.damper.value - inputs.body_offset)
        pull = np.einsum("ni,nij->nj", spring, motion.spring.first)
        pull += np.einsum("ni,nij->nj", damper, motion.damper.first)
        return np.asarray(inputs.bush_rate * (at - inputs.bush_lift) - pull)

    half = np.concatenate([np.linspace(0.0, 0.012, 7)[1:], np.linspace(0.012, STEEPEST, ROWS)[1:]])
    suspension = np.concatenate([-half[::-1], [0.0], half])
    found = rolled(forces, lifts, track, suspension)
    motion = inputs.kinematics(np.where(np.isnan(found.lift), lifts, found.lift))
    curves = []
    for axle in (0, 1):
        own = slice(2 * axle, 2 * axle + 2)
        keep = _about_rest(found.reached[:, axle] & np.isfinite(motion.camber.value[:, own]).all(axis=1))
        moment = found.moment[keep, axle] + inputs.bar_rate[0, axle] * track[axle] ** 2 * suspension[keep]
        rises = np.concatenate([[True], np.diff(moment) > 0.0])
        if not rises.all() or keep.sum() < 5:
            end = ("front", "rear")[axle]
            raise Refusal.of(f"a {end} axle that does not hold the body as it rolls", "springs, stops and linkage")
        curves.append(
            RollCurve(
                roll=suspension[keep] + moment * 2.0 / (tyre[axle] * track[axle] ** 2),
                moment=moment,
                lift=found.lift[keep, own] - lifts[own],
                camber=camber[own] + motion.camber.value[keep, own] - first.camber.value[0, own],
                toe=toe[own] + motion.toe.value[keep, own] - first.toe.value[0, own],
            )
        )
    return curves[0], curves[1]


def _about_rest(fine: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The run of rows around the middle one without a gap."""
    middle = fine.size // 2
    keep = np.zeros_like(fine)
    for way in (1, -1):
        k = middle
        while 0 <= k < fine.size and fine[k]:
            keep[k] = True
            k += way
    return keep


def _grips(car: Car, loads: Array) -> tuple[Grip, tuple[str, ...]]:
    """The tyres' coefficients; an invented tyre where the file has none, rated at the load that is on it."""
    given = [corner.tyre.grip for corner in car.corners.values()]
    usual = TyreGrip.invented()
    used = [usual if one is None else one for one in given]
    rated = np.array([float(loads.mean()) if one.rated_load is None else one.rated_load for one in used])
    missing = [name.replace("_", " ") for name, one in zip(CORNERS, given, strict=True) if one is None]
    words = f"tyres of no real make, grip {usual.grip:g} at their usual load ({', '.join(missing)})"
    return (
        Grip(
            rated=rated,
            grip=np.array([one.grip for one in used]),
            grip_loss=np.array([one.grip_loss for one in used]),
            stiffness=rated * np.degrees(np.array([one.stiffness for one in used])),
            peak=np.array([one.peak for one in used]),
            lean=np.array([one.lean for one in used]),
        ),
        (words,) if missing else (),
    )
