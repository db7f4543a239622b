"""Published: EN 13906-1, cylindrical helical compression springs; formulae from memory.

The standard's formulae are held against roads that do not use them: the strain energy of the
twisted wire (rate) and Goehner's series of the older DIN 2089-1 for the curved bar (stress factor;
from memory).
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from cornerwright.mechanics.springs import (
    active_coils,
    bergstraesser_factor,
    coil_rate,
    least_gap,
    shear_stress,
    solid_length,
    wahl_factor,
)

G_PATENTED = 81.5e9  # [Pa] EN 10270-1 wire, from memory
G_OIL_TEMPERED = 79.5e9  # [Pa] EN 10270-2 wire, from memory


@pytest.mark.parametrize(
    ("modulus", "wire", "coil", "active"),
    [(G_PATENTED, 0.012, 0.120, 6.0), (G_OIL_TEMPERED, 0.011, 0.070, 7.0)],
)
def test_rate_by_castigliano(modulus, wire, coil, active):
    """Unit load on the axis twists every piece of wire by D/2: compliance = integral T^2/(G J)."""
    polar = math.pi * wire**4 / 32.0
    compliance, _ = quad(lambda angle: (coil / 2) ** 3 / (modulus * polar), 0, 2 * math.pi * active)
    assert coil_rate(modulus, wire, coil, active) == pytest.approx(1.0 / compliance)


@pytest.mark.parametrize(
    ("spring", "rate", "force", "stress"),
    [
        # Worked by hand from the formulae with inputs of our own: [N/mm], [N], [MPa].
        ((G_PATENTED, 0.012, 0.120, 6.0), 20.375, 3000.0, 530.5),
        ((G_OIL_TEMPERED, 0.011, 0.070, 7.0), 60.60, 5000.0, 669.6),
    ],
)
def test_worked_by_hand(spring, rate, force, stress):
    _, wire, coil, _ = spring
    assert coil_rate(*spring) / 1e3 == pytest.approx(rate, abs=0.005)
    assert shear_stress(force, coil, wire) / 1e6 == pytest.approx(stress, abs=0.05)


@pytest.mark.parametrize(("index", "factor", "wahl"), [(10.0, 1.1351, 1.1448), (70 / 11, 1.2227, 1.2365)])
def test_factors_worked_by_hand(index, factor, wahl):
    assert bergstraesser_factor(index) == pytest.approx(factor, abs=5e-5)
    assert wahl_factor(index) == pytest.approx(wahl, abs=5e-5)


def test_stress_factor_follows_goehners_series():
    # DIN 2089-1: k = 1 + 5/4 (d/D) + 7/8 (d/D)^2 + (d/D)^3; the standard covers w = 4 to 20.
    w = np.linspace(4.0, 20.0, 65)
    series = 1.0 + 1.25 / w + 0.875 / w**2 + 1.0 / w**3
    np.testing.assert_allclose(bergstraesser_factor(w), series, rtol=2e-3)
    np.testing.assert_allclose(wahl_factor(w), series, rtol=1.6e-2)


def test_shear_stress_is_torque_over_modulus_of_section():
    torque, section = 3000.0 * 0.120 / 2.0, math.pi * 0.012**3 / 16.0
    assert shear_stress(3000.0, 0.120, 0.012) == pytest.approx(torque / section)


@pytest.mark.parametrize(
    ("coiling", "ends", "millimetres"),
    [
        ("cold", "ground", 96.0),
        ("cold", "unground", 114.0),
        ("hot", "ground", 92.4),
        ("hot", "unground", 109.2),
    ],
)
def test_solid_length_of_eight_turns_of_12_mm(coiling, ends, millimetres):
    assert solid_length(8.0, 0.012, coiling, ends) * 1e3 == pytest.approx(millimetres)


def test_dead_turns():
    assert active_coils(8.0, "cold") == 6.0
    assert active_coils(8.0, "hot") == 6.5


def test_least_gap_worked_by_hand():
    # 6 (0.0015 * 120^2/12 + 0.1 * 12) = 6 (1.8 + 1.2) = 18 mm; 0.02 * 6 * 132 = 15.84 mm.
    assert least_gap(0.012, 0.120, 6.0) * 1e3 == pytest.approx(18.0)
    assert least_gap(0.012, 0.120, 6.0, "hot") * 1e3 == pytest.approx(15.84)
