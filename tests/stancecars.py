"""Invented cars for tests of the stance, and what is left unbalanced of one."""

import numpy as np

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Kinematics, diagonal_jet
from cornerwright.mechanics.stance import (
    GRAVITY,
    StanceInputs,
)

SIDE = np.array([1.0, -1.0, 1.0, -1.0])
WHEELBASE, TRACK = 2.5, 1.5
SEATS, EYES = 0.25, 0.40


class Linkages:
    """Each length a + b lift + c lift2 / 2, with a synthetic adjuster; the rear ties its sides."""

    ratio, spring_bend, damper_bend, tie = -0.7, 0.4, -0.3, 0.1

    def __init__(self, adjusted=None, tie=None):
        self.adjusted = np.zeros((1, 1)) if adjusted is None else np.asarray(adjusted, dtype=float)
        self.tie = self.tie if tie is None else tie

    def take(self, rows):
        return Linkages(self.adjusted if len(self.adjusted) == 1 else self.adjusted[rows], self.tie)

    def jet(self, start, slope, bend, lifts, act=0.0, act_lift=0.0, side=1.0):
        """The adjuster adds a (act + act_lift lift) to every corner."""
        a, n = self.adjusted, lifts.shape[0]
        slope = slope + act_lift * a + np.zeros((n, 4))
        value = start + act * a + slope * lifts + bend * lifts**2 / 2
        jet = diagonal_jet(value, slope + bend * lifts, bend + np.zeros((n, 4)))
        tie = self.tie * np.broadcast_to(side, 4)
        jet.value[:, 2:] += tie[2:] * lifts[:, [3, 2]] * lifts[:, 2:]
        jet.first[:, [2, 2, 3, 3], [2, 3, 3, 2]] += tie[[2, 2, 3, 3]] * lifts[:, [3, 2, 2, 3]]
        jet.second[:, [2, 2, 3, 3], [2, 3, 2, 3], [3, 2, 3, 2]] += tie[[2, 2, 3, 3]]
        return jet

    def __call__(self, lifts):
        x = -WHEELBASE * np.array([0.0, 0.0, 1.0, 1.0])
        zero = diagonal_jet(*[np.zeros_like(lifts)] * 3)
        return Kinematics(
            spring=self.jet(SEATS, self.ratio, self.spring_bend, lifts, 0.3, 0.5),
            damper=self.jet(EYES, self.ratio, self.damper_bend, lifts, 0.2, -0.4),
            x=self.jet(x, 0.04, 0.2, lifts, 0.6, 0.8),
            y=self.jet(SIDE * TRACK / 2, 0.05 * SIDE, -1.0 * SIDE, lifts, 0.5, -0.7, SIDE),
            camber=zero,
            toe=zero,
            caster=zero,
        )


def springs(rate=60e3, free=0.30, bind=0.14):
    """Coil springs that push only, coil bound `bind` below their free length."""
    knots = np.array([free - bind, free])
    force = np.array([rate * bind, 0.0])
    return ForceLaw(
        np.tile(knots, (1, 4, 1)),
        np.tile(force, (1, 4, 1)),
        np.full((1, 4), -5e6),
        np.zeros((1, 4)),
    )


def dampers(opened=0.47, closed=0.33, stop=0.02, gas=150.0, open_at=None):
    """Gas force, a bump stop of 100 N/mm, and metal ends; open_at (4,) sets the corners apart."""
    opened = np.full(4, opened) if open_at is None else np.asarray(open_at)
    knots = np.stack([np.full(4, closed), np.full(4, closed + stop), opened], axis=-1)
    force = np.tile([gas + 100e3 * stop, gas, gas], (4, 1))
    ends = np.full((1, 4), -5e6)
    return ForceLaw(knots[None], force[None], ends, ends)


def car(**changes):
    """A symmetric car of 1150 kg; any input may be changed."""
    inputs = {
        "kinematics": Linkages(),
        "spring_law": springs(),
        "damper_law": dampers(),
        "seat_offset": np.zeros((1, 4)),
        "body_offset": np.zeros((1, 4)),
        "bar_rate": np.array([[12e3, 6e3]]),
        "bar_offset": np.zeros((1, 2)),
        "bush_rate": np.full((1, 4), 2e3),
        "bush_lift": np.zeros((1, 4)),
        "body_mass": np.array([1000.0]),
        "body_cg": np.array([[-1.2, 0.0, 0.5]]),
        "unsprung_mass": np.array([[35.0, 35.0, 40.0, 40.0]]),
        "centre_height": np.full((1, 4), 0.30),
        "tyre_radius": np.full((1, 4), 0.315),
        "tyre_rate": np.full((1, 4), 200e3),
    }
    return StanceInputs(**(inputs | changes))


def uneven(**changes):
    """A car with nothing symmetric about it."""
    mixed = {
        "seat_offset": np.array([[0.006, -0.008, 0.012, 0.001]]),
        "bar_offset": np.array([[0.004, -0.003]]),
        "bush_lift": np.array([[0.01, 0.0, -0.02, 0.005]]),
        "body_cg": np.array([[-1.1, 0.07, 0.55]]),
    }
    return car(**(mixed | changes))


def weight(inputs):
    return GRAVITY * (inputs.body_mass + inputs.unsprung_mass.sum(axis=1))


def turned(q, p):
    """World place of body points p (n, k, 3), yaw and shift left out."""
    pitch, roll = q[:, 1, None], q[:, 2, None]
    y = np.cos(roll) * p[..., 1] - np.sin(roll) * p[..., 2]
    z = np.sin(roll) * p[..., 1] + np.cos(roll) * p[..., 2]
    x = np.cos(pitch) * p[..., 0] + np.sin(pitch) * z
    return np.stack([x, y, np.cos(pitch) * z - np.sin(pitch) * p[..., 0] + q[:, :1]], axis=-1)


def unbalanced(inputs, stance):
    """Force [N] and the two moments about the ground's axes [N.m] of weights and tyre loads."""
    n = stance.q.shape[0]
    kin = stance.kinematics
    up = inputs.centre_height + stance.q[:, 3:]
    wheels = turned(stance.q, np.stack([kin.x.value, kin.y.value, up], axis=-1))
    body = turned(stance.q, np.broadcast_to(inputs.body_cg[:, None], (n, 1, 3)))
    force = stance.load - GRAVITY * inputs.unsprung_mass
    places = np.concatenate([wheels, body], axis=1)
    body_weight = np.broadcast_to(-GRAVITY * inputs.body_mass[:, None], (n, 1))
    forces = np.concatenate([np.broadcast_to(force, (n, 4)), body_weight], axis=1)
    moments = (forces[..., None] * places[..., :2]).sum(axis=1)
    return np.column_stack([forces.sum(axis=1), moments])
