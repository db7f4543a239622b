"""Torque, clamp and what is left of it: a bolted joint by the relations of VDI 2230.

Lengths [m], forces [N], torques [N m], stresses [Pa], resilience [m/N]. All of VDI 2230 (2003/2015) from memory.
Proofs: tests/outside/test_vdi_2230.py, test_iso_898_1.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.threads import Form, core_diameter, pitch_diameter, stress_diameter

Array = NDArray[np.float64]

COS30 = math.cos(math.pi / 6.0)

FULL_USE = 0.9
"""Share of the yield stress that tightening by torque is allowed to use (VDI 2230)."""

ALPHA: dict[str, tuple[float, float]] = {
    "yield": (1.2, 1.4),
    "angle": (1.2, 1.4),
    "hydraulic": (1.2, 1.6),
    "torque_tested": (1.4, 1.6),
    "torque": (1.6, 2.0),
    "torque_unknown": (1.7, 2.5),
    "impact": (2.5, 4.0),
}
"""Greatest over least clamp, from the best to the worst practice, by method of tightening: until it yields; torque,
then an angle; hydraulic; torque wrench with the torque tried out on this joint; torque wrench, friction estimated;
torque wrench, friction poorly known; impact wrench. VDI 2230 table A8."""


@dataclass(frozen=True)
class Seat:
    """What turns under the spanner: a ring of contact.

    A cone or ball spreads the clamp over its slope: its normal force is the clamp over `lift`, the sine of the
    slope's angle to the axis, and so is its friction. A flat face has lift 1.
    """

    diameter: float
    """Mean diameter of the ring [m]."""
    lift: float = 1.0

    @property
    def arm(self) -> float:
        """Arm of the friction [m]: torque over friction and clamp."""
        return self.diameter / 2.0 / self.lift


def flat_seat(outer: float, hole: float) -> Seat:
    """A flat face between a bearing diameter and a hole [m]; mean diameter as VDI 2230, (dw + dh)/2."""
    return Seat((outer + hole) / 2.0)


def cone_seat(mean: float, angle: float) -> Seat:
    """A cone of this included angle [rad] that bears at a mean diameter [m]. Source: friction of a cone clutch."""
    return Seat(mean, math.sin(angle / 2.0))


def ball_seat(mean: float, radius: float) -> Seat:
    """A ball of this radius [m] that bears at a mean diameter [m]; its slope there is that of the ball."""
    return Seat(mean, math.sqrt(max(0.0, 1.0 - (mean / 2.0 / radius) ** 2)))


def torque_per_clamp(
    diameter: ArrayLike, pitch: ArrayLike, thread: ArrayLike, head: ArrayLike, arm: ArrayLike
) -> Array:
    """Tightening torque over clamp [m], P/(2 pi) + mu_G d2/(2 cos 30) + mu_K arm; arguments broadcast.

    diameter, pitch of the thread [m]; friction in the thread and under the head [1]; arm of the head's friction
    [m]. Source: VDI 2230, MA = FM [0.16 P + 0.58 d2 mu_G + DKm/2 mu_K], with its constants unrounded.
    """
    P = np.asarray(pitch, dtype=float)
    in_thread = np.asarray(thread, dtype=float) * pitch_diameter(diameter, P) / (2.0 * COS30)
    return np.asarray(P / (2.0 * np.pi) + in_thread + np.asarray(head, dtype=float) * np.asarray(arm, dtype=float))


def twist_factor(diameter: ArrayLike, pitch: ArrayLike, thread: ArrayLike, form: Form = "M") -> Array:
    """Equivalent over tensile stress while tightening [1], sqrt(1 + 3 [3/2 d2/dS (P/(pi d2) + 1.155 mu_G)]^2).

    The thread's share of the torque twists the bolt as it is pulled. Source: VDI 2230, section 5.4.3 (plastic
    section modulus of the stress area).
    """
    P, d2 = np.asarray(pitch, dtype=float), pitch_diameter(diameter, pitch)
    slope = P / (np.pi * d2) + np.asarray(thread, dtype=float) / COS30
    return np.asarray(np.sqrt(1.0 + 3.0 * (1.5 * d2 / stress_diameter(diameter, P, form) * slope) ** 2))


def permitted_clamp(
    diameter: ArrayLike, pitch: ArrayLike, yields: ArrayLike, thread: ArrayLike, form: Form = "M", use: float = FULL_USE
) -> Array:
    """Clamp [N] at which tightening uses this share of the yield stress [Pa]. Source: VDI 2230 equation R8/6."""
    area = 0.25 * np.pi * stress_diameter(diameter, pitch, form) ** 2
    return np.asarray(use * np.asarray(yields, dtype=float) * area / twist_factor(diameter, pitch, thread, form))


def yield_share(
    clamp: ArrayLike, diameter: ArrayLike, pitch: ArrayLike, yields: ArrayLike, thread: ArrayLike, form: Form = "M"
) -> Array:
    """Share of the yield stress [1] that tightening to this clamp [N] uses; the inverse of `permitted_clamp`."""
    return np.asarray(np.asarray(clamp, dtype=float) / permitted_clamp(diameter, pitch, yields, thread, form, use=1.0))


@dataclass(frozen=True)
class Band:
    """A clamp as it may turn out [N]."""

    low: float
    middle: float
    high: float


def clamp_from_torque(
    torque: float,
    diameter: float,
    pitch: float,
    thread: tuple[float, float],
    head: tuple[float, float],
    arm: float,
    alpha: float,
) -> Band:
    """Clamp [N] that a torque [N m] gives, by the range of friction and by the scatter of the method.

    The middle is that of the mean friction; low and high are the wider of two: the ends of the friction, and
    greatest over least clamp = alpha about the middle, (1 -+ x) with x = (alpha - 1)/(alpha + 1) (VDI 2230).
    """
    means = (sum(thread) / 2.0, sum(head) / 2.0)
    by_friction = [
        torque / float(torque_per_clamp(diameter, pitch, mu_thread, mu_head, arm))
        for mu_thread, mu_head in ((thread[1], head[1]), means, (thread[0], head[0]))
    ]
    share = scatter(alpha)
    middle = by_friction[1]
    return Band(min(by_friction[0], middle * (1.0 - share)), middle, max(by_friction[2], middle * (1.0 + share)))


def clamp_at_yield(
    diameter: float, pitch: float, yields: float, thread: tuple[float, float], alpha: float, form: Form = "M"
) -> Band:
    """Clamp [N] of a bolt tightened until it yields, or by an angle to nearly there: its strength says how much.

    The least is at yield with the highest friction in the thread; the greatest is alpha times that at the most,
    the bolts being stronger than their class promises. Source: VDI 2230, section 5.4.3.
    """
    low, middle = (
        float(permitted_clamp(diameter, pitch, yields, mu, form, use=1.0)) for mu in (thread[1], sum(thread) / 2.0)
    )
    return Band(low, max(low, middle), max(low * alpha, middle))


def scatter(alpha: float) -> float:
    """Half of the scatter over the mean clamp, (alpha - 1)/(alpha + 1): an identity."""
    return (alpha - 1.0) / (alpha + 1.0)


# ------------------------------------------------------------------- what is left after settling


def bolt_resilience(
    diameter: float,
    pitch: float,
    grip: float,
    shank: float,
    modulus: float = 205e9,
    tapped: bool = True,
    form: Form = "M",
) -> float:
    """How far a bolt stretches per newton [m/N]: head, shank, free thread, engaged thread and nut.

    grip: clamped length; shank: its part without thread [m]. Source: VDI 2230 section 5.1.1 (0.5 d for the head
    and for the engaged thread; 0.4 d of a nut, 0.33 d of a tapped hole).
    """
    outside = 0.25 * math.pi * diameter**2
    core = 0.25 * math.pi * float(core_diameter(diameter, pitch, form)) ** 2
    plain = min(max(shank, 0.0), grip)
    over = 0.5 * diameter / outside + plain / outside + (grip - plain) / core + 0.5 * diameter / core
    return (over + (0.33 if tapped else 0.4) * diameter / outside) / modulus


def part_resilience(
    bearing: float, hole: float, grip: float, modulus: float, around: float | None = None, tapped: bool = True
) -> float:
    """How far the clamped parts squeeze per newton [m/N]: a cone of pressure, and a sleeve where the parts end.

    bearing: diameter of the head's face; hole; grip: clamped length; around: diameter of material round the
    bolt, None: wide enough [m]. Source: VDI 2230 section 5.1.2, (R3/..): tan phi = 0.362 + 0.032 ln(lK/2 dw) +
    0.153 ln(DA/dw) with a nut, 0.348 + 0.013 ln(lK/dw) + 0.193 ln(DA/dw) in a tapped hole.
    """
    w = 2.0 if tapped else 1.0
    wide = bearing + w * grip if around is None else around
    wide = max(wide, bearing * (1.0 + 1e-9))
    slender, spread = grip / bearing, min(wide / bearing, 10.0)
    if tapped:
        slope = 0.348 + 0.013 * math.log(slender) + 0.193 * math.log(spread)
    else:
        slope = 0.362 + 0.032 * math.log(slender / 2.0) + 0.153 * math.log(spread)
    slope = min(max(slope, 0.1), 1.0)
    end = min(wide, bearing + w * grip * slope)
    cone = 2.0 / (w * hole * slope) * math.log((bearing + hole) * (end - hole) / ((bearing - hole) * (end + hole)))
    sleeve = 4.0 / (end**2 - hole**2) * max(0.0, grip - (end - bearing) / (w * slope))
    return (cone + sleeve) / (modulus * math.pi)


EMBEDDING: dict[str, tuple[float, float, float]] = {
    "fine": (3.0e-6, 3.0e-6, 2.0e-6),
    "medium": (3.0e-6, 4.5e-6, 2.5e-6),
    "rough": (3.0e-6, 6.5e-6, 3.5e-6),
}
"""How far faces settle [m]: in the thread, at each face of a head or nut, at each face between parts; roughness Rz
below 10, 10 to 40, 40 to 160 um; loaded across. VDI 2230 table 5. Paint, gaskets and rust settle many times more."""


def embedding(faces: int, roughness: str = "medium", nut: bool = True) -> float:
    """How far a joint settles after tightening [m]; faces between clamped parts; a nut adds a face of its own."""
    thread, head, inner = EMBEDDING[roughness]
    return thread + head * (2 if nut else 1) + inner * faces


def embedding_loss(settles: float, of_bolt: float, of_parts: float) -> float:
    """Clamp lost as faces settle [N], fZ/(dS + dP); lengths [m], resiliences [m/N]. Source: VDI 2230 R4/1."""
    return settles / (of_bolt + of_parts)


def load_factor(of_bolt: float, of_parts: float, level: float = 0.5) -> float:
    """Share of an outer pull that the bolt carries, n dP/(dS + dP); level n: where it enters. VDI 2230 R3."""
    return level * of_parts / (of_bolt + of_parts)


# ------------------------------------------------------------------- what the clamp must hold


def slip_safety(clamp: float, grip: float, faces: int, shear: float) -> float:
    """Friction over load: clamp [N] x friction [1] x faces over the force across the bolt [N]; infinite without load.

    Source: Coulomb; VDI 2230 R2/1.
    """
    return math.inf if shear <= 0 else clamp * grip * faces / shear


def ring_moment(clamp: float, count: int, grip: float, radius: float) -> float:
    """Moment [N m] that friction holds in the face under a ring of bolts; clamp [N] of each, radius of the ring [m].

    Source: Coulomb, the pressure thought to act at the bolts.
    """
    return clamp * count * grip * radius


# ------------------------------------------------------------------- usual heads and holes

HEXAGON = {
    4: 5.88, 5: 6.88, 6: 8.88, 8: 11.63, 10: 14.63, 12: 16.63, 14: 19.64, 16: 22.49, 18: 25.34, 20: 28.19, 22: 31.71,
    24: 33.61,
}  # fmt: skip
"""Least diameter of the face under a hexagon head [mm] by thread diameter [mm] (ISO 4014, from memory)."""

CLEARANCE = {
    4: 4.5,
    5: 5.5,
    6: 6.6,
    8: 9.0,
    10: 11.0,
    12: 13.5,
    14: 15.5,
    16: 17.5,
    18: 20.0,
    20: 22.0,
    22: 24.0,
    24: 26.0,
}
"""Medium clearance hole [mm] by thread diameter [mm] (ISO 273, from memory)."""


def usual_head(diameter: float) -> tuple[float, float]:
    """Diameter of a hexagon head's face and of its clearance hole [m]; between the sizes of the tables 1.4 d, 1.1 d."""
    size = round(diameter * 1e3, 6)
    face, hole = HEXAGON.get(size, 1.4 * size), CLEARANCE.get(size, 1.1 * size)  # type: ignore[call-overload]
    return float(face) * 1e-3, float(hole) * 1e-3
