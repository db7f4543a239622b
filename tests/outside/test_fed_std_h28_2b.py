"""Published: FED-STD-H28/2B (also ASME B1.1 appendix B), shear areas of threads and length of engagement.

The formulae are from memory, their structure seen on secondary pages. The worked example is 1/4-20 UNC, classes 2A
and 2B, with the limits of ASME B1.1 put in by hand; its two areas per inch are those of the standard's own table,
from memory.
"""

import math

import pytest

from cornerwright.mechanics.strength import MPA
from cornerwright.mechanics.stripping import equal_engagement, shear_areas, stripping
from cornerwright.mechanics.threads import INCH, Limits, limits, stress_area
from cornerwright.model.thread import Thread
from evidence import Outside

H28 = Outside("threads", "FED-STD-H28/2B, shear areas and length of engagement", "standard", memory=True)
BY_HAND = Outside("threads", "the formulae of FED-STD-H28/2B worked by hand", "second road")


def test_worked_example_of_a_quarter_inch_thread():
    """1/4-20 UNC-2A/2B: Kn max 0.207, Es min 0.2127, Ds min 0.2408, En max 0.2224 in; areas 0.368 and 0.539 in2/in."""
    given = Limits(0.2489, 0.2408, 0.2164, 0.2127, 0.196, 0.207, 0.2175, 0.2224)
    outer, inner = shear_areas(given, 0.05)
    BY_HAND.agrees(
        "shear area of the bolt's thread per inch, 1/4-20 UNC",
        math.pi * 20 * 0.207 * (1 / 40 + 0.57735 * (0.2127 - 0.207)),
        outer,
        "in2/in",
        rel=1e-6,
    )
    H28.agrees("shear area of the bolt's thread per inch, 1/4-20 UNC", 0.368, outer, "in2/in", abs=5e-4)
    H28.agrees("shear area of the hole's thread per inch, 1/4-20 UNC", 0.539, inner, "in2/in", abs=5e-4)
    # Steel in steel: Le = 2 At / outer = 2 x 0.0318 / 0.368 = 0.173 in.
    BY_HAND.agrees(
        "length of engagement for equal strength, steel in steel",
        0.1728,
        equal_engagement(0.0318, given, 0.05, 120.0, 120.0),
        "in",
        abs=2e-4,
    )
    # A bolt of 120 ksi in aluminium of 42 ksi: J = 0.368 x 120 / (0.539 x 42) = 1.951, Le = 0.337 in.
    BY_HAND.agrees(
        "length of engagement for equal strength, steel in aluminium",
        0.337,
        equal_engagement(0.0318, given, 0.05, 120.0, 42.0),
        "in",
        abs=1e-3,
    )


def test_our_own_limits_give_the_same_areas():
    found = limits(0.25 * INCH, INCH / 20, "UN")
    outer, inner = shear_areas(found, INCH / 20)
    H28.agrees("shear area of the bolt's thread per inch, our own limits", 0.368, outer / INCH, "in2/in", rel=0.01)
    H28.agrees("shear area of the hole's thread per inch, our own limits", 0.539, inner / INCH, "in2/in", rel=0.01)


@pytest.mark.parametrize(
    ("text", "outer", "inner", "length"),
    [
        # Worked by hand from the 6g/6H limits of ISO 965-2: areas [mm2/mm], equal-strength engagement [mm].
        ("M6", 8.646, 12.191, 4.66),
        ("M8", 12.161, 16.829, 6.02),
        ("M10", 15.580, 21.477, 7.44),
        ("M12", 18.976, 26.117, 8.88),
        ("M12x1.5", 19.068, 25.749, 9.24),
        ("M14x1.5", 22.640, 30.138, 11.00),
    ],
)
def test_metric_areas_worked_by_hand(text, outer, inner, length):
    thread = Thread.read(text)
    found = limits(thread.diameter, thread.pitch)
    areas = shear_areas(found, thread.pitch)
    BY_HAND.agrees(
        "shear areas of metric threads per mm", [outer, inner], [one * 1e3 for one in areas], "mm2/mm", rel=1e-3
    )
    area = float(stress_area(thread.diameter, thread.pitch))
    BY_HAND.agrees(
        "length of engagement of metric threads",
        length,
        equal_engagement(area, found, thread.pitch, 1.0, 1.0) * 1e3,
        "mm",
        abs=0.015,
    )


@pytest.mark.parametrize(("text", "length"), [("M8", 9.36), ("M10", 11.61), ("M12", 13.88), ("M14x1.5", 17.77)])
def test_class_8_8_in_aluminium_worked_by_hand(text, length):
    """Where the hole's thread of 310 MPa, its shear strength 0.6 of that, holds a bolt's 800 MPa: worked by hand."""
    thread = Thread.read(text)
    area = float(stress_area(thread.diameter, thread.pitch))
    found = stripping(limits(thread.diameter, thread.pitch), thread.pitch, length * 1e-3, 800 * MPA, 310 * MPA)
    assert found.inner_first
    BY_HAND.agrees("load at which class 8.8 breaks in enough aluminium", 800 * MPA * area, found.load, "N", rel=2e-3)
