"""Outside source: toe in mm at the rim's edge against degrees, as alignment tables give it (common practice).

Toe of one wheel = diameter times sine of its angle, at the bead seat diameters of ISO 4000-2 (from memory: 380.2,
405.6 mm...) and other usual ones. Total toe is the sum over the axle: ISO 8855:2011, 7.1.7 (from memory). The
products were worked apart from this program to the printed digit.
"""

import math

import pytest

from cornerwright.mechanics.gauges import length_of_toe, toe_from_string, toe_of_length, total_toe
from evidence import Outside

TABLES = Outside("gauges", "alignment tables, toe in mm at the rim's edge", "common practice")
STRING = Outside("gauges", "geometry of a string beside the wheel", "second road")
ISO_8855 = Outside("gauges", "ISO 8855:2011, 7.1.7", "standard", memory=True)

DEG = math.pi / 180
DIAMETERS = (380.2, 400.0, 416.0, 437.0, 457.2, 600.0)


@pytest.mark.parametrize(
    ("diameter", "printed"), list(zip(DIAMETERS, (0.664, 0.698, 0.726, 0.763, 0.798, 1.047), strict=True))
)
def test_a_tenth_of_a_degree(diameter, printed):
    TABLES.agrees(
        "toe in mm for a tenth of a degree",
        printed,
        1e3 * length_of_toe(0.10 * DEG, diameter / 1e3).value,
        "mm",
        abs=5e-4,
    )


@pytest.mark.parametrize(
    ("diameter", "printed"), list(zip(DIAMETERS, (0.1507, 0.1432, 0.1377, 0.1311, 0.1253, 0.0955), strict=True))
)
def test_one_millimetre(diameter, printed):
    TABLES.agrees(
        "toe in degrees for one millimetre", printed, toe_of_length(1e-3, diameter / 1e3).value / DEG, "deg", abs=5e-5
    )


def test_a_string_beside_the_wheel():
    """63.0 mm in front and 62.0 mm behind at 416 mm: the front edge is further from the string, toe-in."""
    STRING.agrees("toe from a string", 0.1377, toe_from_string(0.063, 0.062, 0.416).value / DEG, "deg", abs=5e-5)


def test_total_toe_is_the_sum():
    left, right = toe_of_length(1e-3, 0.416), toe_of_length(2e-3, 0.416)
    ISO_8855.agrees(
        "total toe is the sum over the axle", 0.1377 + 0.2755, total_toe(left, right).value / DEG, "deg", abs=1e-4
    )
