"""A car's document as the car of seven degrees of freedom that is driven over a road."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.carried_on import carried_on
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.ride_car import FALL, RideCar
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS, Damper

Array = NDArray[np.float64]

TYRE_DAMPING = 100.0
"""Of a rolling tyre [N s/m] (our own rough figure: it gives little)."""
ROLL_RADIUS = 0.40
"""Radius of gyration in roll over the mean track (our own rough figure)."""
LIFTS = (-0.18, 0.18, 0.0005)
"""Lowest and highest lift of the tables and their step [m]."""


@dataclass(frozen=True)
class RideInputs:
    """The car for the road, and the ends of its dampers (4,) [m], lengths with their bodies at `measured_at`."""

    car: RideCar
    open: Array
    closed: Array
    bump: Array
    """Stop squeezed as far as its curve goes, or metal."""
    touch: Array
    """Bump stop first touched."""
    radius: Array
    """Of the tyres without load (4,) [m]."""
    guessed: tuple[str, ...]
    """What the file does not say and was guessed, in words."""


def ride_inputs(car: Car, rig: Rig | None = None, unknowns: Array | None = None) -> RideInputs:
    """Tables of force and damper length over lift, masses and damper curves of this car as it is set.

    The two wheels of an axle are tabled at equal lift. Where the linkage cannot follow, lengths go on straight.
    rig: that of this car, where it is there; unknowns (1, p): of one car that the file could mean. Raises Refusal
    where a damper has no curve.
    """
    for name, corner in car.corners.items():
        if corner.damper.curve is None:
            raise Refusal.of(
                "a damper without a curve",
                "curve: rows of speed, bump and rebound from its dynamometer sheet",
                field=f"{name.replace('_', '.', 1)}.damper.curve",
            )
    rig = Rig(car) if rig is None else rig
    inputs = rig.vary(unknowns=unknowns).inputs
    low, high, step = LIFTS
    lifts = np.linspace(low, high, round((high - low) / step) + 1)
    motion = inputs.kinematics(np.repeat(lifts[:, None], 4, axis=1))
    spring = carried_on(motion.spring.value) - inputs.seat_offset
    damper = carried_on(motion.damper.value) - inputs.body_offset
    pull = inputs.spring_law.at(spring)[1] * np.gradient(spring, step, axis=0)
    pull = pull + inputs.damper_law.at(damper)[1] * np.gradient(damper, step, axis=0)
    force = inputs.bush_rate[0] * (lifts[:, None] - inputs.bush_lift[0]) - pull
    if (np.diff(force, axis=0) < -FALL * step).any():
        worst = CORNERS[int(np.argmin(np.diff(force, axis=0).min(axis=0)))]
        raise Refusal.of(
            f"a wheel ({worst}) that is pushed down less as it rises",
            "spring, damper and linkage that hold the wheel through its travel",
        )
    middle = lifts.size // 2
    cg = inputs.body_cg[0]
    x, y = motion.x.value[middle] - cg[0], motion.y.value[middle] - cg[1]
    track = float((y[0] - y[1] + y[2] - y[3]) / 2.0)
    mass = car.mass
    guessed = [f"tyre damping {TYRE_DAMPING:g} N·s/m"]
    pitch, roll = mass.pitch_radius, mass.roll_radius
    if pitch is None:
        pitch = float(np.sqrt(x[:2].mean() * -x[2:].mean()))
        guessed.append(f"radius of gyration in pitch {pitch * 1e3:.0f} mm (front and rear move each by itself)")
    if roll is None:
        roll = ROLL_RADIUS * track
        guessed.append(f"radius of gyration in roll {roll * 1e3:.0f} mm ({ROLL_RADIUS:.0%} of the track)")
    body = float(inputs.body_mass[0])
    speed, curve = _curves([corner.damper for corner in car.corners.values()])
    return RideInputs(
        RideCar(
            body_mass=body,
            pitch_inertia=body * pitch**2,
            roll_inertia=body * roll**2,
            x=x,
            y=y,
            unsprung=inputs.unsprung_mass[0],
            tyre_rate=inputs.tyre_rate[0],
            tyre_damping=np.full(4, TYRE_DAMPING),
            tyre_gap=(inputs.centre_height - inputs.tyre_radius)[0],
            bar_rate=inputs.bar_rate[0],
            bar_offset=np.broadcast_to(inputs.bar_offset, (1, 2))[0],
            first_lift=low,
            lift_step=step,
            force=np.ascontiguousarray(force.T),
            damper=np.ascontiguousarray(damper.T),
            damper_speed=speed,
            damper_force=curve,
            friction=np.array([corner.damper.friction for corner in car.corners.values()]),
        ),
        open=rig.open,
        closed=rig.closed,
        bump=rig.bump_length,
        touch=rig.stop_touch,
        radius=inputs.tyre_radius[0],
        guessed=tuple(guessed),
    )


def _curves(dampers: list[Damper]) -> tuple[Array, Array]:
    """Speeds and forces (4, j), rebound negative, every curve padded along its last slopes."""
    most = max(len(damper.curve or ()) for damper in dampers)
    speeds, forces = np.zeros((4, 2 * most + 1)), np.zeros((4, 2 * most + 1))
    for k, damper in enumerate(dampers):
        rows = damper.curve or ()
        speed = [0.0, *(row.speed for row in rows)]
        ways = [[0.0, *(row.bump for row in rows)], [0.0, *(row.rebound for row in rows)]]
        while len(speed) < most + 1:
            speed.append(2.0 * speed[-1])
            for way in ways:
                way.append(way[-1] + (way[-1] - way[-2]) * (speed[-1] - speed[-2]) / (speed[-2] - speed[-3]))
        speeds[k] = [*(-one for one in speed[:0:-1]), *speed]
        forces[k] = [*(-one for one in ways[1][:0:-1]), *ways[0]]
    return speeds, forces
