"""What gauges would show on a car at rest, with exact derivatives by every adjuster."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from cornerwright.assembly.motion import AxlePartials
from cornerwright.assembly.rig import Variant
from cornerwright.assembly.window import Window, window
from cornerwright.mechanics.heading import of_stance
from cornerwright.mechanics.stance import Partials, Stance, centre_z_direct, sensitivity
from cornerwright.mechanics.weights import (
    cross_weight,
    front_share,
    heights,
    left_share,
    length_sensitivity,
    load_sensitivity,
)

Array = NDArray[np.float64]

CORNER_OUTPUTS = (
    "height",
    "load",
    "camber",
    "toe",
    "caster",
    "half_track",
    "damper_length",
    "spring_length",
    "stroke_share",
    "spring_held",
    "droop_left",
    "bump_left",
    "bind_margin",
)
"""Readings of one corner [SI].

`half_track`: wheel centre outboard of the body's centre plane. `bind_margin`: wheel travel from full bump on
to coil bind."""

CAR_OUTPUTS = ("cross_weight", "front_share", "left_share", "cg_height")

ANGLES = ("camber", "toe", "caster")

OUTBOARD = np.array([1.0, -1.0, 1.0, -1.0])
"""Which way is outboard at each corner, along y."""


@dataclass(frozen=True)
class Outputs:
    """Readings of n cars at rest; nan for a car that does not stand or a reading that is not known."""

    corner: dict[str, Array]
    """(n, 4) each"""
    car: dict[str, Array]
    """(n,) each"""
    window: Window
    corner_gradient: dict[str, Array] = field(default_factory=dict)
    """(n, 4, m) each, per metre of every adjuster's travel"""
    car_gradient: dict[str, Array] = field(default_factory=dict)
    """(n, m) each"""

    @property
    def count(self) -> int:
        """How many cars, n."""
        return int(self.corner["height"].shape[0])


def outputs(variant: Variant, stance: Stance, *, gradients: bool = True) -> Outputs:
    """Every reading of the variants at this stance; derivatives by the adjusters on request."""
    rig = variant.rig
    kin, lifts = stance.kinematics, stance.q[:, 3:]
    stroke = rig.open - rig.closed
    ends = window(variant, gradients=gradients)
    height, height_slope = heights(stance.q, variant.height_points)
    heading, heading_slope = of_stance(kin, stance.q)
    corner = {
        "height": height,
        "load": stance.load,
        "camber": heading.camber + _given(variant, "camber", stance),
        "toe": heading.toe + _given(variant, "toe", stance),
        "caster": heading.caster,
        "half_track": OUTBOARD * kin.y.value,
        "damper_length": kin.damper.value,
        "spring_length": stance.spring_length + variant.longer,
        "stroke_share": (stance.damper_length - rig.closed) / stroke,
        "spring_held": np.broadcast_to(ends.held, lifts.shape),
        "droop_left": lifts - ends.droop.lift,
        "bump_left": np.fmin(ends.bump.lift, ends.bind.lift) - lifts,
        "bind_margin": _margin(ends),
    }
    cross, cross_slope = cross_weight(stance.load)
    front, front_slope = front_share(stance.load)
    left, left_slope = left_share(stance.load)
    cg, cg_slope = _cg_height(variant, stance)
    car = {"cross_weight": cross, "front_share": front, "left_share": left, "cg_height": cg}
    blank = ~stance.stands
    corner = {name: np.where(blank[:, None], np.nan, value) for name, value in corner.items()}
    if not gradients:
        return Outputs(corner, car, ends)

    partials = variant.partials(stance)
    moved = sensitivity(variant.inputs, stance, partials)
    load = load_sensitivity(stance, partials, moved)
    spring, damper_law_length = length_sensitivity(stance, partials, moved)
    body = rig.body_acts[None]
    gradient = {
        "height": height_slope @ moved,
        "load": load,
        "damper_length": damper_law_length + body,
        "spring_length": spring,
        "stroke_share": damper_law_length / stroke[:, None],
    }
    direct = variant.linkage_partials(lifts)
    none = AxlePartials(np.zeros((1, 4, moved.shape[2])), np.zeros(()))
    own = np.stack([direct.get(name, none).value + 0 * gradient["load"] for name in ANGLES], axis=2)
    for row, name in enumerate(ANGLES):
        columns = slice(0, 3) if name == "caster" else slice(0, 2)
        gradient[name] = heading_slope[:, :, row] @ moved + np.einsum(
            "nic,nicm->nim", heading.slope[:, :, row, columns], own[:, :, columns]
        )
        if name in variant.compliance:
            gradient[name] = gradient[name] + variant.compliance[name][:, :, None] * load
    across = direct.get("y", none).value + kin.y.first @ moved[:, 3:]
    gradient["half_track"] = OUTBOARD[:, None] * across
    gradient["spring_held"] = ends.held_gradient
    gradient["droop_left"] = moved[:, 3:] - ends.droop.gradient
    gradient["bump_left"] = _bump_gradient(ends) - moved[:, 3:]
    gradient["bind_margin"] = np.nan_to_num(ends.bind.gradient) - ends.bump.gradient
    car_gradient = {
        "cross_weight": np.einsum("ni,nim->nm", cross_slope, load),
        "front_share": np.einsum("ni,nim->nm", front_slope, load),
        "left_share": np.einsum("ni,nim->nm", left_slope, load),
        "cg_height": _cg_gradient(variant, stance, cg_slope, partials, moved),
    }
    return Outputs(corner, car, ends, gradient, car_gradient)


def _cg_height(variant: Variant, stance: Stance) -> tuple[Array, Array]:
    """Height (n,) of the whole car's centre of gravity over the ground as it stands [m]; its slope (n, 7)."""
    inputs = variant.inputs
    body, slope = heights(stance.q, inputs.body_cg[:, None])
    total = inputs.body_mass + inputs.unsprung_mass.sum(axis=1)
    moment = inputs.body_mass * body[:, 0] + (inputs.unsprung_mass * stance.centre_z).sum(axis=1)
    wheels = np.einsum(
        "nc,ncq->nq", np.broadcast_to(inputs.unsprung_mass, stance.centre_z.shape), stance.centre_z_slope
    )
    return moment / total, (inputs.body_mass[:, None] * slope[:, 0] + wheels) / total[:, None]


def _cg_gradient(variant: Variant, stance: Stance, slope: Array, partials: Partials, moved: Array) -> Array:
    """How that height goes with the adjusters (n, m), wheel centres that move on a tilted body included."""
    inputs = variant.inputs
    total = inputs.body_mass + inputs.unsprung_mass.sum(axis=1)
    direct = (inputs.unsprung_mass[:, :, None] * centre_z_direct(stance, partials)).sum(axis=1)
    found: Array = np.einsum("nq,nqm->nm", slope, moved) + direct / total[:, None]
    return found


def _given(variant: Variant, angle: str, stance: Stance) -> Array:
    """What the bushes give under load (n, 4) [rad]."""
    return variant.compliance[angle] * (stance.load - variant.rig.usual_load)


FAR = 1.0
"""Bind margin [m] of a spring that never binds within the search."""


def _margin(ends: Window) -> Array:
    return np.where(np.isnan(ends.bind.lift), FAR, ends.bind.lift) - ends.bump.lift


def _bump_gradient(ends: Window) -> Array:
    binds_first = ends.bind.lift < ends.bump.lift
    return np.where(binds_first[:, :, None], ends.bind.gradient, ends.bump.gradient)
