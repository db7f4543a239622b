"""Linkages whose movement is known in closed form.

Sources: plane geometry derived here; Rodrigues' rotation formula (1840), as public pages print it; Freudenstein's
equation of the planar four-bar (Trans. ASME 77, 1955), as a public program writes it; the instant centre construction
of camber gain and roll centre (Milliken, Race Car Vehicle Dynamics, ch. 17, from memory); a twist
beam's half in roll turns about the line through its pivot and the shear centre in the middle of the
axle (Reimpell, The Automotive Chassis, ch. 3, from memory).
"""

import numpy as np
import pytest

from cornerwright.mechanics.linkage import (
    CARRIER,
    LEFT_HALF,
    RIGHT_HALF,
    Link,
    WheelAt,
    answer,
    axle_points,
    build,
)
from evidence import Outside

DERIVED = Outside("linkage", "plane geometry derived in the test", "second road")
CENTRES = Outside("linkage", "Milliken, Race Car Vehicle Dynamics, ch. 17, instant centres", "textbook", memory=True)
FREUDENSTEIN = Outside(
    "linkage",
    "Freudenstein's equation of the four-bar, Trans. ASME 77 (1955), as a public program writes it",
    "textbook",
)
RODRIGUES = Outside("linkage", "Rodrigues' rotation formula (1840), as public pages print it", "textbook")
REIMPELL = Outside("linkage", "Reimpell, The Automotive Chassis, ch. 3, twist beams", "textbook", memory=True)

MM = 1e-3
EXACT = 1e-9 * MM  # a thousandth of the 1e-6 mm asked for
DEG = np.pi / 180


def planar_wishbones(upper, lower, wheel, tie=None):
    """Arms square to the car, as (inner (y, z), outer (y, z)); the tie rod like the lower arm."""
    tie = lower if tie is None else tie

    def arm(name, ends):
        (yi, zi), (yo, zo) = ends
        return {
            f"{name}_front": (0.2, yi, zi),
            f"{name}_rear": (-0.2, yi, zi),
            f"{name}_ball": (0.0, yo, zo),
        }

    points = arm("upper", upper) | arm("lower", lower)
    points |= {"tie_inner": (-0.13, *tie[0]), "tie_outer": (-0.13, *tie[1])}
    return build("double_wishbone", points, wheel, rack=(0.0, 1.0, 0.0))


EQUAL = planar_wishbones(
    ((0.35, 0.45), (0.70, 0.45)),
    ((0.35, 0.20), (0.70, 0.20)),
    WheelAt((0.0, 0.76, 0.30), -0.5 * DEG, 0.1 * DEG, 0.3),
)


def test_parallel_equal_arms_keep_camber_and_toe():
    """Derived here: the carrier only shifts, each ball by L (1 - cos a) at L sin a of lift."""
    lifts = np.linspace(-0.1, 0.1, 41)
    told = answer(EQUAL, lifts)
    DERIVED.agrees("camber of equal parallel arms", -0.5 * DEG, told["camber"].value[:, 0], "rad", abs=1e-14)
    DERIVED.agrees("toe of equal parallel arms", 0.1 * DEG, told["toe"].value[:, 0], "rad", abs=1e-14)
    shift = 0.76 - 0.35 * (1.0 - np.sqrt(1.0 - (lifts / 0.35) ** 2))
    DERIVED.agrees("half-track of equal parallel arms", shift, told["y"].value[:, 0], "m", abs=EXACT)
    DERIVED.agrees("roll centre of equal parallel arms", 0.0, told["roll_centre"].value[20, 0], "m", abs=1e-14)


def test_parallel_equal_arms_printed_example():
    """L = 350 mm, 50 mm of lift: 3.5898 mm of shift (computed from the formula)."""
    told = answer(EQUAL, [0.0, 0.05], columns=("y",))["y"].value[:, 0]
    DERIVED.agrees(
        "sideways shift of equal parallel arms at 50 mm of lift", 3.5898, (told[0] - told[1]) / MM, "mm", abs=0.00005
    )


def test_unequal_arms_gain_camber_by_the_instant_centre():
    """Arms that meet 2000 mm inboard: 1/2000 rad a mm, 0.0286 degrees a mm, top inboard in bump."""
    centre = np.array([0.75 - 2.0, 0.30])

    def arm(outer, length):
        along = centre - outer
        return tuple(outer + along / np.linalg.norm(along) * length), tuple(outer)

    wheel = WheelAt((0.0, 0.75, 0.30))
    mechanism = planar_wishbones(arm(np.array([0.68, 0.46]), 0.28), arm(np.array([0.71, 0.18]), 0.36), wheel)
    told = answer(mechanism, [0.0])
    CENTRES.agrees("camber gain of unequal arms", -1.0 / 2.0, told["camber"].first[0, 0, 0], "rad/m", abs=1e-12)
    CENTRES.agrees(
        "camber gain of unequal arms, printed", 0.0286, -told["camber"].first[0, 0, 0] / DEG * MM, "deg/mm", abs=0.00005
    )


def test_roll_centre_by_the_instant_centre():
    """The line from the contact through the instant centre, at the car's centre plane."""
    centre = np.array([-0.9, 0.42])

    def arm(outer, length):
        along = centre - outer
        return tuple(outer + along / np.linalg.norm(along) * length), tuple(outer)

    mechanism = planar_wishbones(
        arm(np.array([0.68, 0.46]), 0.28),
        arm(np.array([0.71, 0.18]), 0.36),
        WheelAt((0.0, 0.75, 0.30), radius=0.30),
    )
    height = 0.42 * 0.75 / (0.75 + 0.9)
    CENTRES.agrees(
        "height of the roll centre", height, answer(mechanism, [0.0])["roll_centre"].value[0, 0], "m", abs=1e-12
    )


def freudenstein(ground, crank, coupler, rocker, angle, sign):
    """Rocker's angle of a four-bar, both angles from the line of the ground pivots."""
    k1, k2 = ground / crank, ground / rocker
    k3 = (crank**2 - coupler**2 + rocker**2 + ground**2) / (2 * crank * rocker)
    # K1 cos r - K2 cos c + K3 = cos(c - r), as a cos r + b sin r = g
    a, b = k1 - np.cos(angle), -np.sin(angle)
    g = k2 * np.cos(angle) - k3
    return np.arctan2(b, a) + sign * np.arccos(g / np.hypot(a, b))


def test_unequal_arms_are_freudensteins_four_bar():
    upper = np.array([[0.42, 0.47], [0.67, 0.49]])
    lower = np.array([[0.34, 0.19], [0.71, 0.17]])
    wheel = np.array([0.75, 0.30])
    mechanism = planar_wishbones(upper, lower, WheelAt((0.0, *wheel)))
    base = upper[0] - lower[0]
    ground, along = np.hypot(*base), np.arctan2(base[1], base[0])
    crank, rocker = np.hypot(*(lower[1] - lower[0])), np.hypot(*(upper[1] - upper[0]))
    coupler = np.hypot(*(upper[1] - lower[1]))
    start = np.arctan2(*(lower[1] - lower[0])[::-1]) - along
    upper_start = np.arctan2(*(upper[1] - upper[0])[::-1]) - along
    signs = [s for s in (-1, 1) if np.isclose(freudenstein(ground, crank, coupler, rocker, start, s), upper_start)]
    assert len(signs) == 1
    for turn in np.linspace(-0.25, 0.25, 11):
        angle = freudenstein(ground, crank, coupler, rocker, start + turn, signs[0])
        low = lower[0] + crank * np.array([np.cos(start + turn + along), np.sin(start + turn + along)])
        top = upper[0] + rocker * np.array([np.cos(angle + along), np.sin(angle + along)])
        lean = np.arctan2(*(top - low)[::-1]) - np.arctan2(*(upper[1] - lower[1])[::-1])
        c, s = np.cos(lean), np.sin(lean)
        lever = wheel - lower[1]
        centre = low + np.array([c * lever[0] - s * lever[1], s * lever[0] + c * lever[1]])
        # The tie rod lies in the lower arm's own plane and moves with it, so there is no toe.
        told = answer(mechanism, [centre[1] - wheel[1]], sensitivities=False)
        FREUDENSTEIN.agrees("half-track of unequal arms", centre[0], told["y"].value[0, 0], "m", abs=EXACT)
        FREUDENSTEIN.agrees("camber of unequal arms", -lean, told["camber"].value[0, 0], "rad", abs=1e-12)
        FREUDENSTEIN.agrees("toe of unequal arms in a plane", 0.0, told["toe"].value[0, 0], "rad", abs=1e-12)


def test_planar_trailing_arm_keeps_camber_and_toe():
    """Derived here: a pivot along y turns the wheel in its own plane."""
    points = {"pivot_inner": (0.42, 0.3, 0.33), "pivot_outer": (0.42, 0.6, 0.33)}
    mechanism = build("semi_trailing_arm", points, WheelAt((0.0, 0.75, 0.30), 0.0, 0.0, 0.3))
    lifts = np.linspace(-0.1, 0.1, 21)
    told = answer(mechanism, lifts)
    DERIVED.agrees("camber of a trailing arm square to the car", 0.0, told["camber"].value, "rad", abs=1e-14)
    DERIVED.agrees("toe of a trailing arm square to the car", 0.0, told["toe"].value, "rad", abs=1e-14)
    DERIVED.agrees("half-track of a trailing arm square to the car", 0.75, told["y"].value, "m", abs=EXACT)
    radius = np.hypot(0.42, 0.03)
    behind = 0.42 - np.sqrt(radius**2 - (lifts - 0.03) ** 2)
    DERIVED.agrees("wheel place along the car, trailing arm", behind, told["x"].value[:, 0], "m", abs=EXACT)
    # Side view: the centre moves square to its radius; positive = forward as it rises.
    DERIVED.agrees(
        "slope of the wheel centre's path, trailing arm",
        (lifts - 0.03) / (0.42 - behind),
        np.tan(told["drive_path"].value[:, 0]),
        abs=1e-12,
    )
    # The braked contact turns about the pivot too.
    fall = np.arctan2(lifts - 0.03, 0.42 - behind)
    below = 0.42 - behind, lifts - 0.03 - 0.3
    DERIVED.agrees(
        "slope of the braked contact's path, trailing arm",
        below[1] / below[0],
        np.tan(told["brake_path"].value[:, 0]),
        abs=1e-12,
    )
    assert np.isfinite(fall).all()


def rodrigues(v, axis, angle):
    c, s = np.cos(angle), np.sin(angle)
    return v * c + np.cross(axis, v) * s + axis * (axis @ v) * (1 - c)


def test_semi_trailing_arm_is_a_rotation():
    inner, outer = np.array([0.31, 0.21, 0.27]), np.array([0.47, 0.63, 0.31])
    centre, camber, toe = np.array([0.0, 0.74, 0.30]), -0.02, 0.004
    wheel = WheelAt(centre, camber, toe, 0.31)
    mechanism = build("semi_trailing_arm", {"pivot_inner": inner, "pivot_outer": outer}, wheel)
    axis = (outer - inner) / np.linalg.norm(outer - inner)
    spin = np.array([np.sin(toe) * np.cos(camber), np.cos(toe) * np.cos(camber), -np.sin(camber)])
    for angle in np.linspace(-0.2, 0.2, 9):
        at = inner + rodrigues(centre - inner, axis, angle)
        turned = rodrigues(spin, axis, angle)
        told = answer(mechanism, [at[2] - centre[2]])
        RODRIGUES.agrees("wheel place along the car, semi-trailing arm", at[0], told["x"].value[0, 0], "m", abs=EXACT)
        RODRIGUES.agrees("half-track, semi-trailing arm", at[1], told["y"].value[0, 0], "m", abs=EXACT)
        RODRIGUES.agrees(
            "camber, semi-trailing arm", -np.arcsin(turned[2]), told["camber"].value[0, 0], "rad", abs=1e-13
        )
        RODRIGUES.agrees(
            "toe, semi-trailing arm", np.arctan2(turned[0], turned[1]), told["toe"].value[0, 0], "rad", abs=1e-13
        )


def panhard_axle(trailing, panhard):
    """Three equal parallel trailing rods and a level Panhard rod on the axle's right end."""
    points = {
        name: (0.0, y, z)
        for name, y, z in (
            ("left_lower_outer", 0.5, 0.22),
            ("right_lower_outer", -0.5, 0.22),
            ("upper_outer", 0.05, 0.46),
        )
    }
    points |= {name.replace("outer", "inner"): (trailing, *place[1:]) for name, place in points.items()}
    points |= {
        "panhard_outer": (-0.1, -0.45, 0.3),
        "panhard_inner": (-0.1, -0.45 + panhard, 0.3),
    }
    wheels = (WheelAt((0.0, 0.74, 0.3)), WheelAt((0.0, -0.74, 0.3), side=-1))
    return build("live_axle_panhard", points, wheels)


def test_panhard_rod_shifts_the_axle_sideways():
    """Derived here: the axle only shifts, by d = (d_x, d_y), d_x = d_y P / T for rods P and T."""
    trailing, panhard = 0.52, 0.9
    lifts = np.linspace(-0.1, 0.1, 21)
    told = answer(panhard_axle(trailing, panhard), np.stack([lifts, lifts], axis=1))
    share = 1.0 + (panhard / trailing) ** 2
    sideways = (panhard - np.sqrt(panhard**2 - share * lifts**2)) / share
    for wheel, y in enumerate((0.74, -0.74)):
        DERIVED.agrees(
            "sideways shift of an axle by its Panhard rod", sideways, told["y"].value[:, wheel] - y, "m", abs=EXACT
        )
        DERIVED.agrees(
            "shift along the car of an axle by its trailing rods",
            sideways * panhard / trailing,
            told["x"].value[:, wheel],
            "m",
            abs=EXACT,
        )
        DERIVED.agrees("camber of an axle that only shifts", 0.0, told["camber"].value[:, wheel], "rad", abs=1e-13)
        DERIVED.agrees("toe of an axle that only shifts", 0.0, told["toe"].value[:, wheel], "rad", abs=1e-13)


def test_panhard_rod_of_an_axle_guided_straight():
    """The textbook's P - sqrt(P^2 - z^2), with trailing rods a kilometre long."""
    told = answer(panhard_axle(1000.0, 0.9), [[0.06, 0.06]], columns=("y",))
    wanted = 0.9 - np.sqrt(0.9**2 - 0.06**2)
    DERIVED.agrees("sideways shift by a Panhard rod", wanted, told["y"].value[0, 0] - 0.74, "m", abs=1e-8)


def test_axle_rolls_about_the_panhard_rod():
    """A level Panhard rod across the centre plane is the axle's roll centre, at its own height."""
    told = answer(panhard_axle(0.52, 0.9), [[0.0, 0.0]])
    DERIVED.agrees("roll centre of an axle on a level Panhard rod", 0.3, told["roll_centre"].value, "m", abs=1e-12)


def twist_beam(beam):
    left = {"pivot": (0.42, 0.54, 0.30)}
    wheels = (
        WheelAt((0.0, 0.74, 0.3), -0.02, 0.003),
        WheelAt((0.0, -0.74, 0.3), -0.02, 0.003, side=-1),
    )
    return build("twist_beam", axle_points(left, None, {"beam_centre": beam}), wheels)


def test_beam_on_the_pivots_makes_trailing_arms():
    """With its shear centre on the pivots' line, each half turns about that line by itself."""
    mechanism = twist_beam((0.42, 0.0, 0.30))
    lifts = np.array([[0.06, -0.05], [0.02, 0.07], [-0.08, -0.01]])
    told = answer(mechanism, lifts)
    DERIVED.agrees(
        "half-track of a twist beam with its shear centre on the pivots",
        [[0.74, -0.74]] * 3,
        told["y"].value,
        "m",
        abs=1e-12,
    )
    DERIVED.agrees(
        "place along the car of a twist beam with its shear centre on the pivots",
        0.42 - np.sqrt(0.42**2 - lifts**2),
        told["x"].value,
        "m",
        abs=1e-12,
    )
    arm = build(
        "semi_trailing_arm",
        {"pivot_inner": (0.42, 0.3, 0.30), "pivot_outer": (0.42, 0.6, 0.30)},
        WheelAt((0.0, 0.74, 0.3), -0.02, 0.003),
    )
    for name in ("camber", "toe"):
        for wheel in range(2):
            alone = answer(arm, lifts[:, wheel], columns=(name,))[name].value[:, 0]
            DERIVED.agrees(
                "camber and toe of a twist beam with its shear centre on the pivots",
                alone,
                told[name].value[:, wheel],
                "rad",
                abs=1e-12,
            )


@pytest.mark.parametrize("beam", [(0.24, 0.0, 0.33), (0.10, 0.0, 0.28), (0.35, 0.0, 0.36)])
def test_beam_in_roll_turns_about_pivot_and_shear_centre(beam):
    """First order: camber and toe in roll are those of a semi-trailing arm with that axis."""
    told = answer(twist_beam(beam), [[0.0, 0.0]])
    arm = build(
        "semi_trailing_arm",
        {"pivot_inner": beam, "pivot_outer": (0.42, 0.54, 0.30)},
        WheelAt((0.0, 0.74, 0.3), -0.02, 0.003),
    )
    alone = answer(arm, [0.0])
    for name in ("camber", "toe", "x", "y"):
        roll = told[name].first[0, 0] @ (1.0, -1.0)
        REIMPELL.agrees(
            "camber and toe of a twist beam in roll, first order", alone[name].first[0, 0, 0], roll, "rad/m", abs=1e-12
        )


def test_spring_on_an_arm_by_the_law_of_cosines():
    """Derived here: seat and top at fixed distances from the pivot; the angle between is lift's."""
    pivot, wheel = np.array([0.4, 0.3]), np.array([0.0, 0.3])
    seat, top = np.array([0.15, 0.28]), np.array([0.2, 0.6])
    mechanism = build(
        "semi_trailing_arm",
        {
            "pivot_inner": (pivot[0], 0.3, pivot[1]),
            "pivot_outer": (pivot[0], 0.6, pivot[1]),
            "seat": (seat[0], 0.5, seat[1]),
            "top": (top[0], 0.5, top[1]),
        },
        WheelAt((wheel[0], 0.74, wheel[1])),
        members={"seat": CARRIER},
        links=[Link("spring", "top", "seat")],
    )
    a, b = np.hypot(*(seat - pivot)), np.hypot(*(top - pivot))
    cosine = (seat - pivot) @ (top - pivot) / (a * b)
    for lift in np.linspace(-0.1, 0.1, 9):
        angle = np.arccos(cosine) - np.arcsin(lift / 0.4)
        length = np.sqrt(a**2 + b**2 - 2 * a * b * np.cos(angle))
        rate = -a * b * np.sin(angle) / length / np.sqrt(0.4**2 - lift**2)
        told = answer(mechanism, [lift])["spring"]
        DERIVED.agrees("length of a spring on an arm by the law of cosines", length, told.value[0, 0], "m", abs=EXACT)
        DERIVED.agrees("motion ratio of a spring on an arm by the law of cosines", rate, told.first[0, 0, 0], abs=1e-11)


@pytest.mark.parametrize("side", [1, -1])
def test_steering_axis_at_the_reference(side):
    """Derived here from the balls: caster, kingpin, and where their line meets the ground."""
    upper, lower = np.array([-0.03, 0.64, 0.50]), np.array([0.01, 0.71, 0.18])
    points = {
        "upper_front": (0.1, 0.42, 0.49),
        "upper_rear": (-0.14, 0.43, 0.47),
        "upper_ball": upper,
        "lower_front": (0.15, 0.34, 0.20),
        "lower_rear": (-0.19, 0.35, 0.19),
        "lower_ball": lower,
        "tie_inner": (-0.13, 0.36, 0.26),
        "tie_outer": (-0.13, 0.69, 0.25),
    }
    mechanism = build("double_wishbone", points, WheelAt((0.0, 0.75, 0.30), 0.0, 0.0, 0.30))
    told = answer(mechanism if side == 1 else mechanism.mirrored(), [0.0])
    rise = 0.32
    DERIVED.agrees("caster at the reference", np.arctan(0.04 / rise), told["caster"].value[0, 0], "rad")
    DERIVED.agrees("kingpin inclination at the reference", np.arctan(0.07 / rise), told["kingpin"].value[0, 0], "rad")
    ground_x, ground_y = 0.01 + 0.04 * 0.18 / rise, 0.71 + 0.07 * 0.18 / rise
    DERIVED.agrees("trail at the reference", ground_x, told["trail"].value[0, 0], "m")  # ahead of the contact: positive
    DERIVED.agrees(
        "scrub radius at the reference", 0.75 - ground_y, told["scrub"].value[0, 0], "m"
    )  # inboard of it: positive


def test_twist_beam_spring_ends_ride_on_their_halves():
    """A point of each half on the pivots' line stands still when both wheels move."""
    left = {"pivot": (0.42, 0.54, 0.30), "eye": (0.42, 0.40, 0.30), "top": (0.42, 0.40, 0.60)}
    mechanism = build(
        "twist_beam",
        axle_points(left, None, {"beam_centre": (0.42, 0.0, 0.30)}),
        (WheelAt((0.0, 0.74, 0.3)), WheelAt((0.0, -0.74, 0.3), side=-1)),
        members={"left_eye": LEFT_HALF, "right_eye": RIGHT_HALF},
        links=[Link("damper", "left_top", "left_eye", 0), Link("damper", "right_top", "right_eye", 1)],
    )
    told = answer(mechanism, [[0.05, -0.06], [0.08, 0.02]])["damper"]
    DERIVED.agrees("damper length from a point on a twist beam's pivots", 0.30, told.value, "m", abs=1e-12)
