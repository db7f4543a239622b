"""An axle whose two wheels move each other, for testing what stands above the linkages. Invented numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cornerwright.assembly.motion import AxleJet, AxlePartials, joined

SIDE = np.array([1.0, -1.0])

# value, own slope, other wheel's slope, own bend, bend shared with the other wheel
LAWS = {
    "spring": (0.158, -0.50, -0.12, 0.4, 0.2),
    "damper": (0.361, -0.75, -0.17, -0.3, 0.25),
    "x": (-2.395, 0.02, -0.01, 0.1, 0.0),
    "y": (0.676, 0.01, -0.03, -0.2, 0.1),
    "camber": (-0.02, -0.30, 0.28, 0.5, -0.2),
    "toe": (0.002, 0.02, -0.015, 0.1, 0.0),
    "caster": (0.05, 0.1, 0.0, 0.0, 0.0),
}


class CoupledAxle:
    """A made-up rear axle, something like a twist beam; its adjusters act through `per_travel`."""

    def __init__(self, settings, per_travel=None, measured_at=0.0):
        self.settings = np.atleast_2d(settings)  # (n|1, m)
        m = self.settings.shape[1]
        self.travel = self.settings - measured_at
        # per column: (2, m) change of value, and (2, 2, m) change of slope, per metre of travel
        self.acts = per_travel or {}
        self.none = (np.zeros((2, m)), np.zeros((2, 2, m)))

    def at(self, lifts):
        jets = {}
        for column, (value, own, other, bend, shared) in LAWS.items():
            first = np.array([[own, other], [other, own]])
            second = np.zeros((2, 2, 2))
            second[0, 0, 0] = second[1, 1, 1] = bend
            second[0, 1, 0] = second[0, 0, 1] = second[1, 0, 1] = second[1, 1, 0] = shared
            if column == "y":
                first, second = first * SIDE[:, None], second * SIDE[:, None, None]
                value = np.array(value) * SIDE  # noqa: PLW2901
            act, slope_act = self.acts.get(column, self.none)
            shift = np.einsum("im,nm->ni", act, self.travel)
            lean = np.einsum("ijm,nm->nij", slope_act, self.travel)
            slopes = first + lean + np.einsum("ijk,nk->nij", second, lifts)
            half = first + lean + np.einsum("ijk,nk->nij", second, lifts) / 2
            jets[column] = AxleJet(
                value + shift + np.einsum("nij,nj->ni", half, lifts),
                slopes,
                np.broadcast_to(second, (lifts.shape[0], 2, 2, 2)),
            )
        return jets

    def partials(self, lifts):
        n = lifts.shape[0]
        found = {}
        for column, (act, slope_act) in self.acts.items():
            value = act + np.einsum("ijm,nj->nim", slope_act, lifts)
            found[column] = AxlePartials(value, np.broadcast_to(slope_act, (n, *slope_act.shape)))
        return found

    def take(self, rows):
        part = CoupledAxle.__new__(CoupledAxle)
        part.__dict__ = {**self.__dict__}
        if self.travel.shape[0] > 1:
            part.travel, part.settings = self.travel[rows], self.settings[rows]
        return part

    def inside(self, lifts):
        return np.abs(lifts) < 0.2

    def reach(self):
        return np.array([-0.2, -0.2]), np.array([0.2, 0.2])

    def stops(self):
        return np.array([-np.inf, -np.inf]), np.array([np.inf, np.inf])

    def ends(self, side):
        return "", ""

    def doubtful(self, side):
        return ()

    def spread(self, lifts):
        return {}


class Both:
    """Front and rear as one function of four lifts."""

    def __init__(self, front, rear):
        self.front, self.rear = front, rear

    def __call__(self, lifts):
        return joined([self.front.at(lifts[:, :2]), self.rear.at(lifts[:, 2:])])

    def take(self, rows):
        return Both(self.front.take(rows), self.rear.take(rows))


def with_coupled_rear(rig, settings=None, per_travel=None):
    """Variants of a rig whose rear axle is a coupled one."""
    settings = np.atleast_2d(rig.settings if settings is None else settings)
    variant = rig.vary(settings)
    measured = np.array([slot.adjuster.measured_at for slot in rig.slots])
    rear = CoupledAxle(settings, per_travel, measured)
    motions = (variant.motions[0], rear)
    return replace(variant, motions=motions, inputs=replace(variant.inputs, kinematics=Both(*motions)))
