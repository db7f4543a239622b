"""Published: ISO 4000-1, load index and speed symbol of tyres.

The standard was not opened. Loads and speeds are as public tables of tyre dealers and of programs print them. The
programs, more than six, agree on all they print (two of them from index 50 on), the dealers but for a few misprints.
What a tyre may carry at high speed, and which symbols there are, is from memory. A second road: the standard's loads
are the numbers of the series 45 kg x 10^(index / 80), rounded to handy ones.
"""

import pytest

from cornerwright.mechanics.tyres import KMH, LOAD_INDEX, SPEED_SYMBOL, load_of_index, load_share, speed_of_symbol
from evidence import Outside

TABLES = Outside("tyres", "ISO 4000-1, as public tables of dealers and programs print it", "standard")
ISO_4000 = Outside("tyres", "ISO 4000-1", "standard", memory=True)
SERIES = Outside("tyres", "series 45 kg x 10^(index/80) behind ISO 4000-1", "standard", memory=True)

SEEN = {
    50: 190, 51: 195, 52: 200, 53: 206, 54: 212, 55: 218, 56: 224, 57: 230, 58: 236, 59: 243,
    60: 250, 61: 257, 62: 265, 63: 272, 64: 280, 65: 290, 66: 300, 67: 307, 68: 315, 69: 325,
    70: 335, 71: 345, 72: 355, 73: 365, 74: 375, 75: 387, 76: 400, 77: 412, 78: 425, 79: 437,
    80: 450, 81: 462, 82: 475, 83: 487, 84: 500, 85: 515, 86: 530, 87: 545, 88: 560, 89: 580,
    90: 600, 91: 615, 92: 630, 93: 650, 94: 670, 95: 690, 96: 710, 97: 730, 98: 750, 99: 775,
    100: 800, 101: 825, 102: 850, 103: 875, 104: 900, 105: 925, 106: 950, 107: 975, 108: 1000, 109: 1030,
    110: 1060, 111: 1090, 112: 1120, 113: 1150, 114: 1180, 115: 1215, 116: 1250, 117: 1285, 118: 1320, 119: 1360,
    120: 1400, 121: 1450, 122: 1500, 123: 1550, 124: 1600, 125: 1650, 126: 1700, 127: 1750, 128: 1800, 129: 1850,
    130: 1900,
}  # fmt: skip


@pytest.mark.parametrize(("index", "load"), SEEN.items())
def test_load_index(index, load):
    TABLES.agrees("load of a load index", load, load_of_index(index), "kg", abs=0.0)


def test_every_load_is_of_the_series_within_its_rounding():
    assert list(LOAD_INDEX) == list(range(50, 131)) == list(SEEN)
    for index, load in LOAD_INDEX.items():
        SERIES.agrees("every load of the index against its series", 45 * 10 ** (index / 80), load, "kg", rel=0.018)
    loads = list(LOAD_INDEX.values())
    assert loads == sorted(loads)


SEEN_SPEEDS = {
    "F": 80,
    "G": 90,
    "J": 100,
    "K": 110,
    "L": 120,
    "M": 130,
    "N": 140,
    "P": 150,
    "Q": 160,
    "R": 170,
    "S": 180,
    "T": 190,
    "U": 200,
    "H": 210,
}
SEEN_SPEEDS |= {"V": 240, "W": 270, "Y": 300}


@pytest.mark.parametrize(("symbol", "speed"), SEEN_SPEEDS.items())
def test_speed_symbol(symbol, speed):
    TABLES.agrees("speed of a tyre's symbol", speed, speed_of_symbol(symbol) / KMH, "km/h")


def test_no_other_symbol():
    ISO_4000.same("speed symbols there are", sorted(SEEN_SPEEDS), sorted(SPEED_SYMBOL))


@pytest.mark.parametrize(
    ("symbol", "speed", "percent"),
    [
        # UN R30 2.29, from memory: in steps of 5 and 10 km/h
        ("V", 210, 100), ("V", 215, 98.5), ("V", 220, 97), ("V", 225, 95.5), ("V", 230, 94), ("V", 235, 92.5),
        ("V", 240, 91),
        ("W", 240, 100), ("W", 250, 95), ("W", 260, 90), ("W", 270, 85),
        ("Y", 270, 100), ("Y", 280, 95), ("Y", 290, 90), ("Y", 300, 85),
        ("H", 210, 100), ("V", 120, 100), ("H", 211, 0), ("V", 241, 0),
    ],
)  # fmt: skip
def test_load_at_speed(symbol, speed, percent):
    ISO_4000.agrees(
        "share of the load index carried at high speed", percent, 100 * load_share(symbol, speed * KMH), "%"
    )
