"""Published: ASME B1.1, unified inch threads: limits of classes 2A and 2B [in], stress areas [in2]; from memory."""

import pytest

from cornerwright.mechanics.threads import INCH, limits, stress_area
from cornerwright.model.thread import Thread
from evidence import Outside

ASME_B1_1 = Outside("threads", "ASME B1.1, unified inch threads", "standard", memory=True)

# thread: major max, min; pitch diameter max, min (2A); minor min, max; pitch diameter min, max (2B)
ROWS = [
    ("1/4-20 UNC", 0.2489, 0.2408, 0.2164, 0.2127, 0.196, 0.207, 0.2175, 0.2224),
    ("3/8-24 UNF", 0.3739, 0.3667, 0.3468, 0.3430, 0.330, 0.340, 0.3479, 0.3528),
    ("7/16-20 UNF", 0.4362, 0.4281, 0.4037, 0.3995, 0.383, 0.395, 0.4050, 0.4104),
    ("1/2-20 UNF", 0.4987, 0.4906, 0.4662, 0.4619, 0.446, 0.457, 0.4675, 0.4731),
    ("5/8-18 UNF", 0.6236, 0.6149, 0.5875, 0.5828, 0.565, 0.578, 0.5889, 0.5949),
]


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


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("1/4-20 UNC", 0.0318), ("1/4-28 UNF", 0.0364), ("5/16-18 UNC", 0.0524), ("5/16-24 UNF", 0.0580),
        ("3/8-16 UNC", 0.0775), ("3/8-24 UNF", 0.0878), ("7/16-20 UNF", 0.1187), ("1/2-13 UNC", 0.1419),
        ("1/2-20 UNF", 0.1599), ("9/16-18 UNF", 0.203), ("5/8-18 UNF", 0.256), ("3/4-16 UNF", 0.373),
    ],
)  # fmt: skip
def test_tensile_stress_areas(text, area):
    thread = Thread.read(text)
    digits = 4 if area < 0.2 else 3
    found = float(stress_area(thread.diameter, thread.pitch, "UN")) / INCH**2
    ASME_B1_1.agrees("tensile stress area, inch threads", area, found, "in2", abs=1.0 * 10**-digits)
