"""Published: ISO 724, basic dimensions of ISO metric threads [mm].

Also ISO 261 (which pitches are made), and d3 = d1 - H/6 of ISO 898-1. The standards were not opened. Coarse pitches,
and three fine ones without d3, were read in the tables of two makers of taps; the other fine ones are from memory.
"""

import pytest

from cornerwright.mechanics.threads import core_diameter, minor_diameter, pitch_diameter
from cornerwright.model.thread import Thread
from evidence import Outside

ISO_724 = Outside("threads", "ISO 724 and ISO 261, fine pitches", "standard", memory=True)
SEEN = Outside("threads", "ISO 724, as tables of makers of taps print it", "standard")

# thread, pitch P, pitch diameter d2, minor diameter D1, core diameter d3
ROWS = [
    ("M6", 1.0, 5.350, 4.917, 4.773),
    ("M8", 1.25, 7.188, 6.647, 6.466),
    ("M8x1", 1.0, 7.350, 6.917, 6.773),
    ("M10", 1.5, 9.026, 8.376, 8.160),
    ("M10x1.25", 1.25, 9.188, 8.647, 8.466),
    ("M10x1", 1.0, 9.350, 8.917, 8.773),
    ("M12", 1.75, 10.863, 10.106, 9.853),
    ("M12x1.5", 1.5, 11.026, 10.376, 10.160),
    ("M12x1.25", 1.25, 11.188, 10.647, 10.466),
    ("M14", 2.0, 12.701, 11.835, 11.546),
    ("M14x1.5", 1.5, 13.026, 12.376, 12.160),
    ("M16", 2.0, 14.701, 13.835, 13.546),
    ("M16x1.5", 1.5, 15.026, 14.376, 14.160),
]


SEEN_FINE = ("M8x1", "M10x1.25", "M10x1")


@pytest.mark.parametrize(("text", "pitch", "middle", "minor", "core"), ROWS)
def test_basic_dimensions(text, pitch, middle, minor, core):
    thread = Thread.read(text)
    places = (thread.diameter, thread.pitch)
    ours = [float(one(*places)) * 1e3 for one in (pitch_diameter, minor_diameter, core_diameter)]
    coarse = "x" not in text
    if coarse:
        SEEN.agrees("coarse pitch", pitch, thread.pitch * 1e3, "mm")
    if coarse or text in SEEN_FINE:
        SEEN.agrees("pitch diameter", middle, ours[0], "mm", abs=0.001)
        SEEN.agrees("minor diameter", minor, ours[1], "mm", abs=0.001)
    else:
        ISO_724.agrees("pitch diameter", middle, ours[0], "mm", abs=0.001)
        ISO_724.agrees("minor diameter", minor, ours[1], "mm", abs=0.001)
    if coarse:
        SEEN.agrees("core diameter d3, ISO 898-1", core, ours[2], "mm", abs=0.001)
    else:
        ISO_724.agrees("core diameter d3, ISO 898-1", core, ours[2], "mm", abs=0.001)
