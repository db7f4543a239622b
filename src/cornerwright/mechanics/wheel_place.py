"""Where a wheel's faces lie, and what another inset, spacer or tyre changes. Outboard is positive throughout.

Inset (offset): mounting face from the rim's centre plane, positive outboard. Source: ISO 3911, sign from memory. The
rest is geometry and rigid statics, derived here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

LOOSEST = 0.2e-3
"""Play [m] of a bore on its spigot up to which the spigot centres the wheel: common practice, no source."""

TIGHTEST = -0.02e-3
"""A bore smaller than the spigot by more than this [m] does not go on: gauges are no better."""

LEAST_SPIGOT = 3e-3
"""Height [m] of spigot that a bore must sit on to be centred: common practice, no source."""

SAME_CIRCLE = 0.15e-3
"""Pitch circles [m] nearer than this are the same: that is how far common gauges and holes agree, no source."""


def effective_inset(inset: float, spacer: float) -> float:
    """Inset [m] as the hub sees it: a spacer of this thickness [m] moves the wheel out by as much."""
    return inset - spacer


def outward(inset: float, spacer: float, old_inset: float, old_spacer: float) -> float:
    """How far [m] the centre plane lies further out than with the old wheel; the track grows by twice that."""
    return effective_inset(old_inset, old_spacer) - effective_inset(inset, spacer)


def faces(inset: float, spacer: float, width: float) -> tuple[float, float]:
    """Inner and outer face [m] of a wheel or tyre of this width [m], outboard of the hub's mounting face."""
    middle = -effective_inset(inset, spacer)
    return middle - width / 2, middle + width / 2


def scrub_change(out: float, taller: float, camber: float, kingpin: float) -> float:
    """Change [m] of the kingpin offset at the ground when wheel and tyre change.

    out [m]: centre plane further out along the axle; taller [m]: greater loaded radius; camber, kingpin inclination
    [rad]. The contact moves by out (cos c, -sin c) and taller (-sin c, -cos c) in the rear view, camber c; the axis
    meets the lower ground further out by its inclination.
    """
    y = out * math.cos(camber) - taller * math.sin(camber)
    z = -out * math.sin(camber) - taller * math.cos(camber)
    return y + z * math.tan(kingpin)


def bearing_moment(load: float, bearing_depth: float, inset: float, spacer: float) -> float:
    """Moment [N m] of the wheel's standing load [N] about the middle of its bearings, in the rear view.

    bearing_depth [m]: inboard of the mounting face. Positive: it bends the stub axle's end up.
    """
    return load * (bearing_depth - effective_inset(inset, spacer))


def lift_ratio(out: float, camber: float, camber_gain: float) -> float:
    """Lift of a wheel centre moved out [m] along its axis, per lift of the old one; camber [rad], its gain [rad/m].

    The moved centre lies at z - out sin(camber).
    """
    return 1.0 - out * math.cos(camber) * camber_gain


def moved_rate(rate: float, force: float, out: float, camber: float, gain: float, bend: float) -> float:
    """Wheel rate [N/m] at a wheel centre moved out [m] along its axis.

    rate [N/m] and force [N] (upward on the wheel) of the springs at the old centre; camber [rad] with its first and
    second derivative by lift, gain [rad/m], bend [rad/m2]. From the same energy seen over the other lift s:
    d2U/ds2 = (U'' - U' s''/s') / s'^2.
    """
    first = lift_ratio(out, camber, gain)
    second = -out * (math.cos(camber) * bend - math.sin(camber) * gain**2)
    return (rate - force * second / first) / first**2


@dataclass(frozen=True)
class Centring:
    """What centres a wheel: `spigot`, `spacer`, `seats` or `nothing`; `blocked` where it does not go on.

    play [m]: of the bore that counts on its spigot; held [m]: height of spigot within it.
    """

    by: str
    play: float
    held: float


def centring(bore: float, spigot: float, height: float, seat: str) -> Centring:
    """What centres a bore [m] on a spigot [m] that stands out this far [m]; seat: `cone`, `ball` or `flat`.

    Cones and balls centre the wheel by its nuts alone when the spigot does not; flat seats centre nothing.
    """
    play = bore - spigot
    if play < TIGHTEST and height > 0:
        return Centring("blocked", play, height)
    if play <= LOOSEST and height >= LEAST_SPIGOT:
        return Centring("spigot", play, height)
    return Centring("nothing" if seat == "flat" else "seats", play, max(height, 0.0))


def stud_length(spacer: float, pad: float, engagement: float) -> float:
    """Length [m] that a stud must stand out of the hub's face: spacer, the wheel at its holes, thread in the nut."""
    return spacer + pad + engagement
