"""Published: Shigley's Mechanical Engineering Design, chapter 10, helical compression springs.

Example 10-1, from memory: music wire 0.037 in, outside diameter 7/16 in (the book works with a
mean diameter of 0.400 in), squared ends, 12 1/2 turns in all, G = 11.85 Mpsi, torsional yield
146 kpsi. Every printed result is also recomputed here by the book's own arithmetic. Tolerance:
half the last printed digit.
"""

import math

import numpy as np

from cornerwright.mechanics.springs import (
    active_coils,
    bergstraesser_factor,
    coil_rate,
    direct_shear_factor,
    shear_stress,
    solid_length,
    wahl_factor,
)
from evidence import Outside

SHIGLEY = Outside("springs", "Shigley, Mechanical Engineering Design, ch. 10, example 10-1", "textbook", memory=True)

INCH, LBF, PSI = 0.0254, 4.4482216152605, 6894.757293168
WIRE, COIL, TURNS = 0.037, 0.400, 12.5  # [in], [in], [1]
SHEAR_MODULUS, YIELD = 11.85e6, 146e3  # [psi]


def test_index_and_curvature_factor():
    index = COIL / WIRE
    SHIGLEY.agrees("spring index", 10.8, index, abs=0.05)
    SHIGLEY.agrees("curvature factor", 1.124, bergstraesser_factor(10.8), abs=5e-4)
    SHIGLEY.agrees(
        "curvature factor by the book's own arithmetic", (4 * 10.8 + 2) / (4 * 10.8 - 3), bergstraesser_factor(10.8)
    )


def test_rate_is_4_13_pounds_an_inch():
    active = active_coils(TURNS, "cold")
    assert active == 10.5
    rate = coil_rate(SHEAR_MODULUS * PSI, WIRE * INCH, COIL * INCH, active) / (LBF / INCH)
    SHIGLEY.agrees("rate of the spring", 4.13, rate, "lbf/in", abs=0.005)
    SHIGLEY.agrees(
        "rate of the spring by the book's own arithmetic",
        WIRE**4 * SHEAR_MODULUS / (8 * COIL**3 * 10.5),
        rate,
        "lbf/in",
    )


def test_load_at_torsional_yield_is_6_46_pounds():
    each = bergstraesser_factor(10.8) * shear_stress(LBF, COIL * INCH, WIRE * INCH)
    load = YIELD * PSI / each
    SHIGLEY.agrees("load at torsional yield", 6.46, load, "lbf", abs=0.005)
    SHIGLEY.agrees(
        "load at torsional yield by the book's own arithmetic",
        math.pi * WIRE**3 * YIELD / (8 * 1.124 * COIL),
        load,
        "lbf",
        rel=1e-3,
    )
    # Deflection at that load, 1.56 in.
    rate = coil_rate(SHEAR_MODULUS * PSI, WIRE * INCH, COIL * INCH, 10.5) / (LBF / INCH)
    SHIGLEY.agrees("deflection at torsional yield", 1.56, load / rate, "in", abs=0.005)


def test_solid_length_is_at_most_the_standards_limit():
    # The book's (N + 1) d for squared ends: 0.500 in. EN 13906-1 allows half a wire more.
    book = (TURNS + 1.0) * WIRE
    SHIGLEY.agrees("solid length", 0.500, book, "in", abs=5.1e-4)  # 0.4995, which the book rounds up
    limit = solid_length(TURNS, WIRE * INCH, "cold", "unground") / INCH
    SHIGLEY.agrees("solid length of the standard over the book's", 0.5 * WIRE, limit - book, "in")
    # Table 10-1 and the standard agree where the ends are ground: N d.
    SHIGLEY.agrees(
        "solid length with ground ends", TURNS * WIRE, solid_length(TURNS, WIRE * INCH, "cold", "ground") / INCH, "in"
    )


def test_wahl_and_bergstraesser_differ_by_about_one_percent():
    # Section 10-1, over the indices 4 to 12 the book recommends.
    index = np.linspace(4.0, 12.0, 33)
    quotient = wahl_factor(index) / bergstraesser_factor(index)
    SHIGLEY.agrees("Wahl's factor over Bergstraesser's", 1.0, quotient, abs=0.015)


def test_curvature_factor_is_more_than_direct_shear():
    # Section 10-2: the curvature factor is the quotient of the two, and larger than one.
    index = 10.0
    quotient = bergstraesser_factor(index) / direct_shear_factor(index)
    book = 2 * index * (4 * index + 2) / ((4 * index - 3) * (2 * index + 1))
    SHIGLEY.agrees("curvature factor over direct shear", book, quotient)
    assert quotient > 1.0
