"""Exact definitions of units: the international yard and pound, standard gravity, SI Brochure, NIST SP 811 appendix B.

Inch, foot, yard, pound, ounce, stone, tonne and kilogram-force were read in public conversion tables that mark them as
exact and agree; angles and the factors of NIST SP 811 are from memory. Definitions are exact, so that the tolerance is
rounding alone; where a definition is a product, the product is written out.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from cornerwright.model.units import STANDARD_GRAVITY, parse
from evidence import Outside

EXACT = Outside(
    "units",
    "yard and pound agreement of 1959, and standard gravity, as public conversion tables print them",
    "standard",
)
SI = Outside("units", "SI Brochure, 9th edition", "standard", memory=True)
NIST = Outside("units", "NIST SP 811 (2008), appendix B.8", "standard", memory=True)

INCH = Fraction("0.0254")  # [m], international inch, 1959
POUND = Fraction("0.45359237")  # [kg], avoirdupois pound, 1959
GRAVITY = Fraction("9.80665")  # [m/s2], 3rd CGPM, 1901


def test_standard_gravity():
    EXACT.agrees("standard gravity", 9.80665, STANDARD_GRAVITY, "m/s2", abs=0.0)


@pytest.mark.parametrize(
    ("text", "kind", "defined"),
    [
        ("1 in", "length", INCH),
        ("1 ft", "length", 12 * INCH),
        ("1 yd", "length", Fraction("0.9144")),
        ("1 thou", "length", INCH / 1000),
        ("1 lb", "mass", POUND),
        ("1 oz", "mass", POUND / 16),
        ("1 stone", "mass", 14 * POUND),
        ("1 t", "mass", Fraction(1000)),
        ("1 lbf", "force", Fraction("4.4482216152605")),
        ("1 kgf", "force", GRAVITY),
        ("1 ozf", "force", POUND * GRAVITY / 16),
        ("1 lbf/in", "rate", POUND * GRAVITY / INCH),
        ("1 kgf/mm", "rate", GRAVITY * 1000),
        ("1 lbf·ft", "torque", POUND * GRAVITY * 12 * INCH),
        ("1 kgf·m", "torque", GRAVITY),
        ("1 kg", "weight", GRAVITY),
        ("1 lb", "weight", POUND * GRAVITY),
        ("1 N", "weight", Fraction(1)),
        ("1 lbf", "weight", POUND * GRAVITY),
    ],
)
def test_defined_exactly(text, kind, defined):
    EXACT.agrees(
        "units defined exactly, lengths, masses, forces, rates, torques", float(defined), parse(text, kind), rel=4e-16
    )


@pytest.mark.parametrize(
    ("text", "defined"),
    [
        ("1 deg", math.pi / 180),
        ("1 arcmin", math.pi / 10800),
        ("1 arcsec", math.pi / 648000),
        ("1 turn", 2 * math.pi),
        ("1 rad", 1.0),
    ],
)
def test_angles(text, defined):
    SI.agrees("angles", defined, parse(text, "angle"), "rad", rel=4e-16)


@pytest.mark.parametrize(
    ("text", "kind", "printed", "half_last_digit"),
    [
        # NIST SP 811, appendix B.8, to the digits printed there (from memory).
        ("1 lbf/in", "rate", 175.1268, 5e-5),
        ("1 lbf·ft", "torque", 1.355818, 5e-7),
        ("1 lbf·in", "torque", 0.1129848, 5e-8),
        ("1 lbf", "force", 4.448222, 5e-7),
        ("1 deg", "angle", 0.01745329, 5e-9),
    ],
)
def test_printed_factors(text, kind, printed, half_last_digit):
    NIST.agrees("printed factors", printed, parse(text, kind), abs=half_last_digit)
