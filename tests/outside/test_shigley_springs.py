"""Published: Shigley's Mechanical Engineering Design, chapter 10, helical compression springs.

Example 10-1, from memory: music wire 0.037 in, outside diameter 7/16 in (the book works with a
mean diameter of 0.400 in), squared ends, 12 1/2 turns in all, G = 11.85 Mpsi, torsional yield
146 kpsi. Every printed result is also recomputed here by the book's own arithmetic. Tolerance:
half the last printed digit.
"""

import math

import numpy as np
import pytest

from cornerwright.mechanics.springs import (
    active_coils,
    bergstraesser_factor,
    coil_rate,
    direct_shear_factor,
    shear_stress,
    solid_length,
    wahl_factor,
)

INCH, LBF, PSI = 0.0254, 4.4482216152605, 6894.757293168
WIRE, COIL, TURNS = 0.037, 0.400, 12.5  # [in], [in], [1]
SHEAR_MODULUS, YIELD = 11.85e6, 146e3  # [psi]


def test_index_and_curvature_factor():
    index = COIL / WIRE
    assert index == pytest.approx(10.8, abs=0.05)
    assert bergstraesser_factor(10.8) == pytest.approx(1.124, abs=5e-4)
    assert bergstraesser_factor(10.8) == pytest.approx((4 * 10.8 + 2) / (4 * 10.8 - 3))


def test_rate_is_4_13_pounds_an_inch():
    active = active_coils(TURNS, "cold")
    assert active == 10.5
    rate = coil_rate(SHEAR_MODULUS * PSI, WIRE * INCH, COIL * INCH, active) / (LBF / INCH)
    assert rate == pytest.approx(4.13, abs=0.005)
    assert rate == pytest.approx(WIRE**4 * SHEAR_MODULUS / (8 * COIL**3 * 10.5))


def test_load_at_torsional_yield_is_6_46_pounds():
    each = bergstraesser_factor(10.8) * shear_stress(LBF, COIL * INCH, WIRE * INCH)
    load = YIELD * PSI / each
    assert load == pytest.approx(6.46, abs=0.005)
    assert load == pytest.approx(math.pi * WIRE**3 * YIELD / (8 * 1.124 * COIL), rel=1e-3)
    # Deflection at that load, 1.56 in.
    rate = coil_rate(SHEAR_MODULUS * PSI, WIRE * INCH, COIL * INCH, 10.5) / (LBF / INCH)
    assert load / rate == pytest.approx(1.56, abs=0.005)


def test_solid_length_is_at_most_the_standards_limit():
    # The book's (N + 1) d for squared ends: 0.500 in. EN 13906-1 allows half a wire more.
    book = (TURNS + 1.0) * WIRE
    assert book == pytest.approx(0.500, abs=5.1e-4)  # 0.4995, which the book rounds up
    limit = solid_length(TURNS, WIRE * INCH, "cold", "unground") / INCH
    assert limit - book == pytest.approx(0.5 * WIRE)
    # Table 10-1 and the standard agree where the ends are ground: N d.
    assert solid_length(TURNS, WIRE * INCH, "cold", "ground") / INCH == pytest.approx(TURNS * WIRE)


def test_wahl_and_bergstraesser_differ_by_about_one_percent():
    # Section 10-1, over the indices 4 to 12 the book recommends.
    index = np.linspace(4.0, 12.0, 33)
    assert np.abs(wahl_factor(index) / bergstraesser_factor(index) - 1.0).max() < 0.015


def test_curvature_factor_is_more_than_direct_shear():
    # Section 10-2: the curvature factor is the quotient of the two, and larger than one.
    index = 10.0
    quotient = bergstraesser_factor(index) / direct_shear_factor(index)
    book = 2 * index * (4 * index + 2) / ((4 * index - 3) * (2 * index + 1))
    assert quotient == pytest.approx(book)
    assert quotient > 1.0
