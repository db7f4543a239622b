"""Wheel angles from what strings, rules, plumb lines and turn plates show.

Every function returns a `Carried`: value [rad or m], slopes by its readings, scatter. `scatter` maps names of
arguments to standard deviations. Signs as everywhere: camber negative = top inboard, toe positive = toe-in, caster
positive = steering axis leans back at the top, kingpin positive = it leans inboard at the top. Sides need no sign:
gaps grow outboard, steering is outward (front of the wheel away from the car) or inward.

Geometry of the rim: a circle of diameter D in the wheel plane. A point of it at height h over the hub lies
sqrt(D^2/4 - h^2/cos^2 camber) ahead of or behind the hub along the wheel's heading, and h tan(camber) outboard of it,
square to the heading. Source of all formulas: derived here; proof by rotation matrices in
tests/mechanics/test_gauges.py.
"""

from __future__ import annotations

from cmath import asin, atan, cos, sin, sqrt, tan
from collections.abc import Mapping

from cornerwright.mechanics.carried import Carried, carry, combine

Scatter = Mapping[str, float]
NONE: Scatter = {}

# ------------------------------------------------------------------ toe


def toe_from_string(
    front_gap: float,
    rear_gap: float,
    diameter: float,
    *,
    string: float = 0.0,
    camber: float = 0.0,
    front_height: float = 0.0,
    rear_height: float = 0.0,
    scatter: Scatter = NONE,
) -> Carried:
    """Toe [rad] of one wheel against the car's centre line, from gaps between a string outside it and its rim.

    front_gap, rear_gap [m] from the string, level and square to it, to the rim's edge in front of the hub and
    behind it; diameter [m] of that edge. string [rad]: angle of the string to the centre line, positive = further
    from the car in front. front_height, rear_height [m]: how far over the hub the gaps were taken; at the hub's height
    the camber [rad] has no part in it, at another but equal height it only shortens the chord.
    Raises ValueError for gaps that no wheel of this size can show.
    """

    def toe(
        front_gap: complex,
        rear_gap: complex,
        diameter: complex,
        string: complex,
        camber: complex,
        front_height: complex,
        rear_height: complex,
    ) -> complex:
        ahead = sqrt(diameter**2 / 4 - (front_height / cos(camber)) ** 2)
        behind = sqrt(diameter**2 / 4 - (rear_height / cos(camber)) ** 2)
        along, across = ahead + behind, (front_height - rear_height) * tan(camber)
        # front_gap - rear_gap = along sin(toe) - across cos(toe)
        return asin((front_gap - rear_gap) / sqrt(along**2 + across**2)) + atan(across / along) - string

    return carry(
        toe,
        scatter,
        front_gap=front_gap,
        rear_gap=rear_gap,
        diameter=diameter,
        string=string,
        camber=camber,
        front_height=front_height,
        rear_height=rear_height,
    )


def string_angle(front: float, rear: float, apart: float, *, scatter: Scatter = NONE) -> Carried:
    """Angle [rad] of a string to the centre line, positive = further from the car in front.

    front, rear [m]: distance of the string from the centre line at two places, `apart` [m] along the car.
    """
    return carry(lambda front, rear, apart: atan((front - rear) / apart), scatter, front=front, rear=rear, apart=apart)


def string_angle_at_hubs(
    front_gap: float,
    rear_gap: float,
    front_hubs: float,
    rear_hubs: float,
    apart: float,
    *,
    scatter: Scatter = NONE,
) -> Carried:
    """Angle [rad] of a string to the line through the middles of both axles, positive = further out in front.

    front_gap, rear_gap [m] from the hub's face to the string on this side; front_hubs, rear_hubs [m] between the
    left and right hub faces of each axle; apart [m] between the axles. Each string stands for itself: the two need
    not be parallel.
    """

    def angle(
        front_gap: complex, rear_gap: complex, front_hubs: complex, rear_hubs: complex, apart: complex
    ) -> complex:
        return atan((front_hubs / 2 + front_gap - rear_hubs / 2 - rear_gap) / apart)

    return carry(
        angle,
        scatter,
        front_gap=front_gap,
        rear_gap=rear_gap,
        front_hubs=front_hubs,
        rear_hubs=rear_hubs,
        apart=apart,
    )


def total_toe(left: Carried, right: Carried) -> Carried:
    """Toe of an axle [rad]: the sum of its wheels. Source: ISO 8855:2011, 7.1.7 (from memory)."""
    return combine({"left": (1.0, left), "right": (1.0, right)})


def thrust_angle(left: Carried, right: Carried) -> Carried:
    """Way an axle's wheels point together [rad], positive to the left of the centre line.

    Half the difference of right and left toe; of the rear axle it is the thrust angle (common practice).
    """
    return combine({"left": (-0.5, left), "right": (0.5, right)})


def set_back(wheelbase_left: float, wheelbase_right: float, *, scatter: Scatter = NONE) -> Carried:
    """How far the right front wheel stands behind the left one [m], from the wheelbase of each side [m].

    Square to the rear axle; positive = right wheel further back. Common practice.
    """
    return carry(
        lambda wheelbase_left, wheelbase_right: wheelbase_left - wheelbase_right,
        scatter,
        wheelbase_left=wheelbase_left,
        wheelbase_right=wheelbase_right,
    )


def set_back_angle(offset: float, track: float, *, scatter: Scatter = NONE) -> Carried:
    """Set-back as an angle [rad], of the offset and the track [m]."""
    return carry(lambda offset, track: atan(offset / track), scatter, offset=offset, track=track)


def toe_of_length(length: float, diameter: float, *, scatter: Scatter = NONE) -> Carried:
    """Toe [rad] of one wheel, from the difference [m] of its rear and front edge at this diameter [m].

    Raises ValueError where the length is longer than the diameter.
    """
    return carry(lambda length, diameter: asin(length / diameter), scatter, length=length, diameter=diameter)


def length_of_toe(toe: float, diameter: float, *, scatter: Scatter = NONE) -> Carried:
    """Toe of one wheel as a length [m] at this diameter [m]."""
    return carry(lambda toe, diameter: diameter * sin(toe), scatter, toe=toe, diameter=diameter)


def total_toe_of_length(length: float, diameter: float, *, scatter: Scatter = NONE) -> Carried:
    """Total toe [rad] of an axle, from rear minus front distance [m] between its rims; both wheels alike.

    With unlike wheels the sum differs from this in the third order only.
    """
    return carry(lambda length, diameter: 2 * asin(length / (2 * diameter)), scatter, length=length, diameter=diameter)


def length_of_total_toe(left: float, right: float, diameter: float, *, scatter: Scatter = NONE) -> Carried:
    """Rear minus front distance [m] between the rims of an axle with these toes [rad]."""
    return carry(
        lambda left, right, diameter: diameter * (sin(left) + sin(right)),
        scatter,
        left=left,
        right=right,
        diameter=diameter,
    )


# ------------------------------------------------------------------ camber


def camber_of_offset(offset: float, diameter: float, *, scatter: Scatter = NONE) -> Carried:
    """Camber [rad] from how far the rim's top edge lies outboard of its bottom edge [m], plumb measured.

    Negative offset = top inboard. diameter [m] between the two edges. Raises ValueError where the offset is
    longer than the diameter.
    """
    return carry(lambda offset, diameter: asin(offset / diameter), scatter, offset=offset, diameter=diameter)


def camber_from_gaps(
    top_gap: float, bottom_gap: float, diameter: float, *, lean: float = 0.0, scatter: Scatter = NONE
) -> Carried:
    """Camber [rad] from gaps [m] between a straight edge outside the wheel and the rim's top and bottom edge.

    Gaps square to the edge. lean [rad]: how far the edge leans, positive = its top outboard; a plumb line has none,
    a square on a floor that rises outboard leans inboard by the floor's slope.
    """

    def camber(top_gap: complex, bottom_gap: complex, diameter: complex, lean: complex) -> complex:
        return asin((bottom_gap - top_gap) / diameter) + lean

    return carry(camber, scatter, top_gap=top_gap, bottom_gap=bottom_gap, diameter=diameter, lean=lean)


def camber_on_floor(read: float, own: float, other: float, track: float, *, scatter: Scatter = NONE) -> Carried:
    """Camber [rad] on level ground, from that read against plumb on a floor that tilts across the car.

    own, other [m]: height of the floor under this wheel and under the other wheel of the axle; track [m]. The car
    leans with the floor: a floor that rises towards this wheel makes the gauge show less. Holds for a floor that
    tilts alike at both axles and for toe within a few degrees; what a twisted floor does needs the car's springs.
    """
    return carry(
        lambda read, own, other, track: read + atan((own - other) / track),
        scatter,
        read=read,
        own=own,
        other=other,
        track=track,
    )


# ------------------------------------------------------------------ caster


def caster_linear(
    camber_out: float, camber_in: float, steer_out: float, steer_in: float, *, scatter: Scatter = NONE
) -> Carried:
    """Caster [rad] by the trade's rule: change of camber over change of steer (common practice).

    camber_out, camber_in [rad] with the wheel steered outward and inward by steer_out, steer_in [rad], both counted
    positive from straight ahead.
    """
    return carry(
        lambda camber_out, camber_in, steer_out, steer_in: (camber_out - camber_in) / (steer_out + steer_in),
        scatter,
        camber_out=camber_out,
        camber_in=camber_in,
        steer_out=steer_out,
        steer_in=steer_in,
    )


def caster_sine(
    camber_out: float, camber_in: float, steer_out: float, steer_in: float, *, scatter: Scatter = NONE
) -> Carried:
    """Caster [rad] with sines of the steer angles in place of the angles; arguments as `caster_linear`."""
    return carry(
        lambda camber_out, camber_in, steer_out, steer_in: (camber_out - camber_in) / (sin(steer_out) + sin(steer_in)),
        scatter,
        camber_out=camber_out,
        camber_in=camber_in,
        steer_out=steer_out,
        steer_in=steer_in,
    )


def _shares(camber: complex, toe: complex) -> tuple[complex, complex, complex]:
    """Outboard spin axis in the directions that the steering axis (-tan caster, -tan kingpin, 1) weighs.

    Steering turns the spin axis about the steering axis, so their product, here
    tan(caster) x + tan(kingpin) y + z, stays what it is. Exact for any steer angle.
    """
    return sin(toe) * cos(camber), cos(toe) * cos(camber), sin(camber)


def caster_exact(
    camber_out: float,
    camber_in: float,
    steer_out: float,
    steer_in: float,
    *,
    kingpin: float,
    toe: float = 0.0,
    scatter: Scatter = NONE,
) -> Carried:
    """Caster [rad] by rotation about the steering axis, its inclination known.

    Arguments as `caster_linear`; steer is the heading of the road wheel itself against straight ahead; kingpin
    [rad] and toe [rad] straight ahead. With equal steer both ways the kingpin hardly matters. The camber straight
    ahead is not needed: it follows. Raises ValueError where nothing was steered.
    """

    def caster(
        camber_out: complex, camber_in: complex, steer_out: complex, steer_in: complex, kingpin: complex, toe: complex
    ) -> complex:
        x1, y1, z1 = _shares(camber_out, toe - steer_out)
        x2, y2, z2 = _shares(camber_in, toe + steer_in)
        return atan(-(z1 - z2 + tan(kingpin) * (y1 - y2)) / (x1 - x2))

    _steered(steer_out, steer_in)
    return carry(
        caster,
        scatter,
        camber_out=camber_out,
        camber_in=camber_in,
        steer_out=steer_out,
        steer_in=steer_in,
        kingpin=kingpin,
        toe=toe,
    )


def steering_axis(
    camber_out: float,
    camber_in: float,
    camber: float,
    steer_out: float,
    steer_in: float,
    *,
    toe: float = 0.0,
    scatter: Scatter = NONE,
) -> tuple[Carried, Carried]:
    """Caster and kingpin inclination [rad] by rotation about the steering axis, from three cambers [rad].

    camber and toe [rad] are those straight ahead; the rest as in `caster_exact`. The kingpin rests on how far both
    cambers rise together, so it is several times less sure than the caster. Raises ValueError where nothing was
    steered.
    """

    def axis(
        camber_out: complex, camber_in: complex, camber: complex, steer_out: complex, steer_in: complex, toe: complex
    ) -> tuple[complex, complex]:
        x0, y0, z0 = _shares(camber, toe)
        x1, y1, z1 = _shares(camber_out, toe - steer_out)
        x2, y2, z2 = _shares(camber_in, toe + steer_in)
        whole = (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
        lean_back = -((z1 - z0) * (y2 - y0) - (z2 - z0) * (y1 - y0)) / whole
        lean_in = -((x1 - x0) * (z2 - z0) - (x2 - x0) * (z1 - z0)) / whole
        return atan(lean_back), atan(lean_in)

    _steered(steer_out, steer_in)
    read = {
        "camber_out": camber_out,
        "camber_in": camber_in,
        "camber": camber,
        "steer_out": steer_out,
        "steer_in": steer_in,
        "toe": toe,
    }
    return (
        carry(lambda **one: axis(**one)[0], scatter, **read),
        carry(lambda **one: axis(**one)[1], scatter, **read),
    )


def steered_camber(steer: float, *, caster: float, kingpin: float, camber: float, toe: float = 0.0) -> Carried:
    """Camber [rad] of a wheel steered outward by `steer` [rad] (inward: negative): the way back.

    caster, kingpin, camber, toe [rad] straight ahead. Solves tan(caster) x + tan(kingpin) y + z for the camber.
    """

    def steered(steer: complex, caster: complex, kingpin: complex, camber: complex, toe: complex) -> complex:
        x0, y0, z0 = _shares(camber, toe)
        level = tan(caster) * x0 + tan(kingpin) * y0 + z0
        flat = tan(caster) * sin(toe - steer) + tan(kingpin) * cos(toe - steer)
        return asin(level / sqrt(1 + flat**2)) - atan(flat)

    return carry(steered, NONE, steer=steer, caster=caster, kingpin=kingpin, camber=camber, toe=toe)


def _steered(steer_out: float, steer_in: float) -> None:
    if not (steer_out > 0 and steer_in > 0):
        raise ValueError("the wheel must be steered both outward and inward")
