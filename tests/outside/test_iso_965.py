"""Published: ISO 965-1 and ISO 965-2, limits of size of ISO metric threads [mm].

The standards were not opened. The rows of 6g but for M12 and M16 were read in the tables of a supplier of fasteners
and in two charts of workshops (after ASME B1.13M, whose limits are those of ISO 965), which agree; so were the fits 6h
and 4g6g from M3 to M5. Of the holes the greatest pitch diameters were read in a tool maker's table, and the rows of M3
to M6 and M10 in a public program. M12 and M16 in 6g, the other minor diameters, and the tolerances of ISO 965-1 [um]
are from memory.
"""

import pytest

from cornerwright.mechanics.threads import limits
from cornerwright.model.thread import Thread
from evidence import Outside

SEEN = Outside("threads", "ISO 965-2, as suppliers', tool makers' and workshops' tables print it", "standard")
ISO_965_2 = Outside("threads", "ISO 965-2", "standard", memory=True)
RENARD = Outside("threads", "steps of the preferred numbers, a tenth of a decade to a grade", "second road")
ISO_965 = Outside("threads", "ISO 965-1, tolerances", "standard", memory=True)

# thread: d max, d min, d2 max, d2 min of 6g
BOLTS = [
    ("M3", 2.980, 2.874, 2.655, 2.580),
    ("M3.5", 3.479, 3.354, 3.089, 3.004),
    ("M4", 3.978, 3.838, 3.523, 3.433),
    ("M5", 4.976, 4.826, 4.456, 4.361),
    ("M6", 5.974, 5.794, 5.324, 5.212),
    ("M8", 7.972, 7.760, 7.160, 7.042),
    ("M8x1", 7.974, 7.794, 7.324, 7.212),
    ("M10", 9.968, 9.732, 8.994, 8.862),
    ("M10x1", 9.974, 9.794, 9.324, 9.212),
    ("M10x1.25", 9.972, 9.760, 9.160, 9.042),
    ("M12x1.25", 11.972, 11.760, 11.160, 11.028),
    ("M12x1.5", 11.968, 11.732, 10.994, 10.854),
    ("M14x1.5", 13.968, 13.732, 12.994, 12.854),
    ("M16x1.5", 15.968, 15.732, 14.994, 14.854),
]
REMEMBERED_BOLTS = [("M12", 11.966, 11.701, 10.829, 10.679), ("M16", 15.962, 15.682, 14.663, 14.503)]

# thread: D1 max, D2 max of 6H
HOLES = [
    ("M3", 2.599, 2.775),
    ("M4", 3.422, 3.663),
    ("M5", 4.334, 4.605),
    ("M6", 5.153, 5.500),
    ("M8", None, 7.348),
    ("M10", 8.676, 9.206),
    ("M12", None, 11.063),
    ("M14", None, 12.913),
    ("M16", None, 14.913),
]
REMEMBERED_HOLES = [
    ("M8", 6.912, 7.348),
    ("M12", 10.441, 11.063),
    ("M12x1.5", 10.676, 11.216),
    ("M14x1.5", 12.676, 13.216),
    ("M16", 14.210, 14.913),
]

# thread: d2 max and min of 4g6g; d max and min, d2 max and min of 6h
OTHER_FITS = [
    ("M3", (2.655, 2.607), (3.000, 2.894, 2.675, 2.600)),
    ("M3.5", (3.089, 3.036), (3.500, 3.375, 3.110, 3.025)),
    ("M4", (3.523, 3.467), (4.000, 3.860, 3.545, 3.455)),
    ("M5", (4.456, 4.396), (5.000, 4.850, 4.480, 4.385)),
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


@pytest.mark.parametrize(("text", "major_max", "major_min", "pitch_max", "pitch_min"), REMEMBERED_BOLTS)
def test_limits_of_6g_from_memory(text, major_max, major_min, pitch_max, pitch_min):
    found = of(text)
    printed = [major_max, major_min, pitch_max, pitch_min]
    ours = [one * 1e3 for one in (found.major_max, found.major_min, found.pitch_max, found.pitch_min)]
    ISO_965_2.agrees("limits of bolts, 6g", printed, ours, "mm", abs=0.001)


@pytest.mark.parametrize(("text", "minor_max", "pitch_max"), HOLES)
def test_limits_of_6h_holes(text, minor_max, pitch_max):
    found = of(text)
    if minor_max is not None:
        SEEN.agrees("greatest minor diameter of holes, 6H", minor_max, found.hole_minor_max * 1e3, "mm", abs=0.001)
    SEEN.agrees("greatest pitch diameter of holes, 6H", pitch_max, found.hole_pitch_max * 1e3, "mm", abs=0.001)


@pytest.mark.parametrize(("text", "minor_max", "pitch_max"), REMEMBERED_HOLES)
def test_limits_of_6h_holes_from_memory(text, minor_max, pitch_max):
    found = of(text)
    ours = [found.hole_minor_max * 1e3, found.hole_pitch_max * 1e3]
    ISO_965_2.agrees("limits of holes, 6H", [minor_max, pitch_max], ours, "mm", abs=0.001)


@pytest.mark.parametrize(("text", "fine", "plain"), OTHER_FITS)
def test_other_fits_of_small_bolts(text, fine, plain):
    """Grade 4 of the smallest threads lies below the rounded series that larger ones need."""
    found = of(text, ("4g", "6H"))
    ours = [found.pitch_max * 1e3, found.pitch_min * 1e3]
    SEEN.agrees("pitch diameter of small bolts, 4g", fine, ours, "mm", abs=0.001)
    found = of(text, ("6h", "6H"))
    ours = [one * 1e3 for one in (found.major_max, found.major_min, found.pitch_max, found.pitch_min)]
    SEEN.agrees("limits of small bolts, 6h", plain, ours, "mm", abs=0.001)


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


@pytest.mark.parametrize("grade", ["3", "4", "9"])
def test_finest_and_coarsest_grades_are_ordered(grade):
    """From M3 to the coarsest pitch a grade is four steps of the rounded series, never past its end."""
    for text in ("M3", "M5", "M36"):
        found, plain = of(text, (f"{grade}g", f"{grade}H")), of(text)
        ours = [(found.pitch_max - found.pitch_min) * 1e6, (found.hole_minor_max - found.hole_minor_min) * 1e6]
        six = [(plain.pitch_max - plain.pitch_min) * 1e6, (plain.hole_minor_max - plain.hole_minor_min) * 1e6]
        steps = [10 ** ((int(grade) - 6) / 10) * one for one in six]
        RENARD.agrees("tolerance of a grade from that of grade 6", steps, ours, "um", rel=0.04)
