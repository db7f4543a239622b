"""Published: ISO 965-1 and ISO 965-2, limits of size of ISO metric threads [mm].

The rows of 6g from M3 to M5 and the outer ones of M6 were seen on a secondary page that tables the standard; the
others, and the tolerances in grades 4, 5 and 7 [um], are from memory.
"""

import pytest

from cornerwright.mechanics.threads import limits
from cornerwright.model.thread import Thread
from evidence import Outside

SEEN = Outside("threads", "ISO 965-2, seen on a secondary page; partly from memory", "standard", memory=True)
ISO_965 = Outside("threads", "ISO 965-1, tolerances", "standard", memory=True)

# thread: d max, d min, d2 max, d2 min of 6g
BOLTS = [
    ("M3", 2.980, 2.874, 2.655, 2.580),
    ("M3.5", 3.479, 3.354, 3.089, 3.004),
    ("M4", 3.978, 3.838, 3.523, 3.433),
    ("M5", 4.976, 4.826, 4.456, 4.361),
    ("M6", 5.974, 5.794, 5.324, 5.212),
    ("M8", 7.972, 7.760, 7.160, 7.042),
    ("M10", 9.968, 9.732, 8.994, 8.862),
    ("M12", 11.966, 11.701, 10.829, 10.679),
    ("M12x1.5", 11.968, 11.732, 10.994, 10.854),
    ("M14x1.5", 13.968, 13.732, 12.994, 12.854),
    ("M16", 15.962, 15.682, 14.663, 14.503),
]

# thread: D1 max, D2 max of 6H
HOLES = [
    ("M6", 5.153, 5.500),
    ("M8", 6.912, 7.348),
    ("M10", 8.676, 9.206),
    ("M12", 10.441, 11.063),
    ("M12x1.5", 10.676, 11.216),
    ("M14x1.5", 12.676, 13.216),
    ("M16", 14.210, 14.913),
]


def of(text, fit=None):
    thread = Thread.read(text)
    return limits(thread.diameter, thread.pitch, thread.form, fit)


@pytest.mark.parametrize(("text", "major_max", "major_min", "pitch_max", "pitch_min"), BOLTS)
def test_limits_of_6g(text, major_max, major_min, pitch_max, pitch_min):
    found = of(text)
    SEEN.agrees("greatest major diameter, 6g", major_max, found.major_max * 1e3, "mm", abs=0.001)
    SEEN.agrees("least major diameter, 6g", major_min, found.major_min * 1e3, "mm", abs=0.001)
    SEEN.agrees("greatest pitch diameter, 6g", pitch_max, found.pitch_max * 1e3, "mm", abs=0.001)
    SEEN.agrees("least pitch diameter, 6g", pitch_min, found.pitch_min * 1e3, "mm", abs=0.001)


@pytest.mark.parametrize(("text", "minor_max", "pitch_max"), HOLES)
def test_limits_of_6h_holes(text, minor_max, pitch_max):
    found = of(text)
    SEEN.agrees("greatest minor diameter of holes, 6H", minor_max, found.hole_minor_max * 1e3, "mm", abs=0.001)
    SEEN.agrees("greatest pitch diameter of holes, 6H", pitch_max, found.hole_pitch_max * 1e3, "mm", abs=0.001)


@pytest.mark.parametrize(
    ("text", "fit", "of_bolt", "of_hole", "of_minor"),
    [
        ("M6", ("4h", "4H"), 71, 95, 150),
        ("M6", ("4h", "5H"), 71, 118, 190),
        ("M10", ("5g", "7H"), 106, 224, 375),
        ("M12", ("4h", "5H"), 95, 160, 265),
        ("M16", ("8g", "7H"), 250, 265, 475),
    ],
)
def test_other_grades(text, fit, of_bolt, of_hole, of_minor):
    found = of(text, fit)
    ISO_965.agrees(
        "tolerance of a bolt's pitch diameter, grades 4 to 8",
        of_bolt,
        (found.pitch_max - found.pitch_min) * 1e6,
        "um",
        abs=1e-6,
    )
    ISO_965.agrees(
        "tolerance of a hole's pitch diameter, grades 4 to 8",
        of_hole,
        (found.hole_pitch_max - found.hole_pitch_min) * 1e6,
        "um",
        abs=1e-6,
    )
    ISO_965.agrees(
        "tolerance of a hole's minor diameter, grades 4 to 8",
        of_minor,
        (found.hole_minor_max - found.hole_minor_min) * 1e6,
        "um",
        abs=1e-6,
    )


@pytest.mark.parametrize(("position", "gap"), [("e", 60), ("f", 40), ("g", 26), ("h", 0)])
def test_positions_of_a_pitch_of_1_mm(position, gap):
    ISO_965.agrees(
        "fundamental deviation of a bolt's thread",
        gap,
        (0.006 - of("M6", (f"6{position}", "6H")).major_max) * 1e6,
        "um",
        abs=1e-6,
    )
    if position in "gh":
        found = of("M6", ("6h", f"6{position.upper()}"))
        ISO_965.agrees(
            "fundamental deviation of a hole's thread",
            gap,
            (found.hole_minor_min - of("M6").hole_minor_min) * 1e6,
            "um",
            abs=1e-6,
        )
