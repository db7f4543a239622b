"""Published: ASME B1.1, unified inch threads: limits of classes 2A and 2B [in], stress areas [in2].

The standard was not opened. 5/8-18 UNF was read whole in a table after the standard; holes and stress areas of UNC in
another, the greatest pitch diameters of UNF holes in a tool maker's table in mm; where two print a number they agree.
Two numbers of the second, in 1/2-13 and 9/16-12, are taken for misprints and left out. The rest is from memory.
"""

import pytest

from cornerwright.mechanics.threads import INCH, limits, stress_area
from cornerwright.model.thread import Thread
from evidence import Outside

ASME_B1_1 = Outside("threads", "ASME B1.1, unified inch threads", "standard", memory=True)
SEEN = Outside("threads", "ASME B1.1, as public and tool makers' tables print it", "standard")

# thread: major max, min; pitch diameter max, min (2A); minor min, max; pitch diameter min, max (2B)
ROWS = [
    ("1/4-20 UNC", 0.2489, 0.2408, 0.2164, 0.2127, 0.196, 0.207, 0.2175, 0.2224),
    ("3/8-24 UNF", 0.3739, 0.3667, 0.3468, 0.3430, 0.330, 0.340, 0.3479, 0.3528),
    ("7/16-20 UNF", 0.4362, 0.4281, 0.4037, 0.3995, 0.383, 0.395, 0.4050, 0.4104),
    ("1/2-20 UNF", 0.4987, 0.4906, 0.4662, 0.4619, 0.446, 0.457, 0.4675, 0.4731),
]

# thread: minor min, max; pitch diameter min, max (2B)
HOLES = [
    ("1/4-20 UNC", 0.196, 0.207, 0.2175, 0.2224),
    ("5/16-18 UNC", 0.252, 0.265, 0.2764, 0.2817),
    ("3/8-16 UNC", 0.307, 0.321, 0.3344, 0.3401),
    ("7/16-14 UNC", 0.360, 0.376, 0.3911, 0.3972),
    ("1/2-13 UNC", None, 0.434, 0.4500, 0.4565),
    ("5/8-11 UNC", 0.527, 0.546, 0.5660, 0.5732),
    ("3/4-10 UNC", 0.642, 0.663, 0.6850, 0.6927),
    ("5/8-18 UNF", 0.565, 0.578, 0.5889, 0.5949),
]

# thread: greatest pitch diameter (2B) [mm]
HOLES_MM = [("3/8-24 UNF", 8.961), ("7/16-20 UNF", 10.424), ("1/2-20 UNF", 12.017), ("5/8-18 UNF", 15.110)]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_limits(row):
    thread = Thread.read(row[0])
    found = limits(thread.diameter, thread.pitch, "UN")
    outer = (found.major_max, found.major_min, found.pitch_max, found.pitch_min)
    ASME_B1_1.agrees(
        "limits of major and pitch diameter, bolts of class 2A",
        row[1:5],
        [one / INCH for one in outer],
        "in",
        abs=1.1e-4,
    )
    # The minor diameters of holes are printed to a thousandth.
    ASME_B1_1.agrees(
        "limits of minor diameter, holes of class 2B",
        row[5:7],
        [found.hole_minor_min / INCH, found.hole_minor_max / INCH],
        "in",
        abs=6e-4,
    )
    ASME_B1_1.agrees(
        "limits of pitch diameter, holes of class 2B",
        row[7:9],
        [found.hole_pitch_min / INCH, found.hole_pitch_max / INCH],
        "in",
        abs=1.1e-4,
    )


def test_limits_of_a_bolt_that_were_read():
    found = limits(0.625 * INCH, INCH / 18, "UN")
    ours = [one / INCH for one in (found.major_max, found.major_min, found.pitch_max, found.pitch_min)]
    printed = [0.6236, 0.6149, 0.5875, 0.5828]
    SEEN.agrees("limits of major and pitch diameter, bolts of class 2A", printed, ours, "in", abs=1.1e-4)


@pytest.mark.parametrize("row", HOLES, ids=lambda row: row[0])
def test_limits_of_holes_that_were_read(row):
    thread = Thread.read(row[0])
    found = limits(thread.diameter, thread.pitch, "UN")
    minor = [(row[1], found.hole_minor_min / INCH), (row[2], found.hole_minor_max / INCH)]
    printed, ours = zip(*(pair for pair in minor if pair[0] is not None), strict=True)
    SEEN.agrees("limits of minor diameter, holes of class 2B", printed, ours, "in", abs=6e-4)
    ours = [found.hole_pitch_min / INCH, found.hole_pitch_max / INCH]
    SEEN.agrees("limits of pitch diameter, holes of class 2B", row[3:], ours, "in", abs=1.1e-4)


@pytest.mark.parametrize(("text", "printed"), HOLES_MM)
def test_greatest_pitch_diameter_of_holes_in_mm(text, printed):
    thread = Thread.read(text)
    found = limits(thread.diameter, thread.pitch, "UN").hole_pitch_max * 1e3
    SEEN.agrees("greatest pitch diameter in mm, holes of class 2B", printed, found, "mm", abs=2.8e-3)


def area_of(text):
    thread = Thread.read(text)
    return float(stress_area(thread.diameter, thread.pitch, "UN")) / INCH**2


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("1/4-28 UNF", 0.0364), ("5/16-24 UNF", 0.0580), ("3/8-24 UNF", 0.0878), ("7/16-20 UNF", 0.1187),
        ("1/2-20 UNF", 0.1599), ("9/16-18 UNF", 0.203), ("5/8-18 UNF", 0.256), ("3/4-16 UNF", 0.373),
    ],
)  # fmt: skip
def test_tensile_stress_areas(text, area):
    digits = 4 if area < 0.2 else 3
    ASME_B1_1.agrees("tensile stress area, inch threads", area, area_of(text), "in2", abs=1.0 * 10**-digits)


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("1/4-20 UNC", 0.0318), ("5/16-18 UNC", 0.0524), ("3/8-16 UNC", 0.0775), ("7/16-14 UNC", 0.106),
        ("1/2-13 UNC", 0.142), ("9/16-12 UNC", 0.182), ("5/8-11 UNC", 0.226), ("3/4-10 UNC", 0.334),
    ],
)  # fmt: skip
def test_tensile_stress_areas_of_unc(text, area):
    digits = 4 if area < 0.1 else 3
    SEEN.agrees("tensile stress area, inch threads", area, area_of(text), "in2", abs=0.51 * 10**-digits)
