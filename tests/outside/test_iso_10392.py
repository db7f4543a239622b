"""Published: ISO 10392:2011, Road vehicles - Determination of centre of gravity, 6.5; from memory.

The same from moments about the standing axle was read in an open course text: with the front wheels raised by H on a
wheelbase L, sin(theta) = H / L, b from the centre of gravity to the rear axle and Rf the front load when raised,
h = r + (b - L Rf / W) cot(theta); with the rear wheels raised a takes the place of b and Rr that of Rf.

h = l (m_f' - m_f) / (m tan(theta)) + r_stat, rear axle raised, sin(theta) = lift / l with equal loaded radii. The round
trip (m 1250 kg, l 2.5 m, r 0.30 m, h 0.53 m) was worked from that formula apart from this program to the printed digit.
"""

import math

import pytest

from cornerwright.mechanics.weighing import cg_height, lifted_angle
from evidence import Outside

ISO_10392 = Outside("weights", "ISO 10392:2011, 6.5", "standard", memory=True)
COURSE = Outside(
    "weights",
    "determining the height of the centre of gravity, an open course text (openbooks.link), eq. 3",
    "textbook",
)
ROUND_TRIP = Outside("weights", "the formula of ISO 10392 worked apart from this program", "second road")

M, BASE, RADIUS = 1250.0, 2.5, 0.30
SAME = {"wheelbase": BASE, "grounded_radius": RADIUS, "lifted_radius": RADIUS}
STEPS = [(0.5, 11.537, 23.474), (0.6, 13.887, 28.431)]


@pytest.mark.parametrize(("lift", "angle", "gain"), STEPS)
def test_one_step(lift, angle, gain):
    ROUND_TRIP.agrees(
        "angle of a car with its rear axle raised",
        angle,
        math.degrees(lifted_angle(lift, BASE, RADIUS, RADIUS)),
        "deg",
        abs=5e-4,
    )
    found = cg_height(M, 650.0, [lift], [650.0 + gain], **SAME)
    ROUND_TRIP.agrees("height of the centre of gravity from one lift", 0.53, found.value, "m", abs=1e-5)


def test_both_steps_together():
    found = cg_height(M, 650.0, [lift for lift, _, _ in STEPS], [650.0 + gain for _, _, gain in STEPS], **SAME)
    ROUND_TRIP.agrees("height of the centre of gravity from two lifts", 0.53, found.value, "m", abs=1e-5)


@pytest.mark.parametrize("gain", [15.0, 23.474, 31.0])
def test_the_formula_of_a_course(gain):
    """Rear wheels raised by half a metre, equal wheels: a the distance from the front axle, Rr what is left behind."""
    front, lift = 650.0, 0.5
    from_front, left = BASE * (M - front) / M, M - front - gain
    height = RADIUS + (from_front - BASE * left / M) / math.tan(math.asin(lift / BASE))
    found = cg_height(M, front, [lift], [front + gain], **SAME)
    COURSE.agrees("height of the centre of gravity from the axle left raised", height, found.value, "m", rel=1e-9)


def test_the_formula_itself():
    for gain in (15.0, 23.0, 31.0):
        by_hand = BASE * gain / (M * math.tan(math.asin(0.5 / BASE))) + RADIUS
        ISO_10392.agrees(
            "height of the centre of gravity by the formula",
            by_hand,
            cg_height(M, 650.0, [0.5], [650.0 + gain], **SAME).value,
            "m",
            abs=1e-12,
        )
