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
from evidence import Outside

EN_13906 = Outside("springs", "EN 13906-1, helical compression springs", "standard", memory=True)
GOEHNER = Outside("springs", "Goehner's series for a curved bar, DIN 2089-1", "standard", memory=True)
CASTIGLIANO = Outside("springs", "strain energy of the twisted wire, integrated here", "second road")
BY_HAND = Outside("springs", "the formulae of EN 13906-1 and the textbooks worked by hand", "second road")

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
    CASTIGLIANO.agrees("rate of a coil spring", 1.0 / compliance, coil_rate(modulus, wire, coil, active), "N/m")


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
    BY_HAND.agrees("rate of a coil spring, worked by hand", rate, coil_rate(*spring) / 1e3, "N/mm", abs=0.005)
    BY_HAND.agrees(
        "shear stress of a coil spring, worked by hand", stress, shear_stress(force, coil, wire) / 1e6, "MPa", abs=0.05
    )


@pytest.mark.parametrize(("index", "factor", "wahl"), [(10.0, 1.1351, 1.1448), (70 / 11, 1.2227, 1.2365)])
def test_factors_worked_by_hand(index, factor, wahl):
    BY_HAND.agrees("curvature factor by Bergstraesser, worked by hand", factor, bergstraesser_factor(index), abs=5e-5)
    BY_HAND.agrees("curvature factor by Wahl, worked by hand", wahl, wahl_factor(index), abs=5e-5)


def test_stress_factor_follows_goehners_series():
    # DIN 2089-1: k = 1 + 5/4 (d/D) + 7/8 (d/D)^2 + (d/D)^3; the standard covers w = 4 to 20.
    w = np.linspace(4.0, 20.0, 65)
    series = 1.0 + 1.25 / w + 0.875 / w**2 + 1.0 / w**3
    GOEHNER.agrees("curvature factor by Bergstraesser, ratio 4 to 20", series, bergstraesser_factor(w), rel=2e-3)
    GOEHNER.agrees("curvature factor by Wahl, ratio 4 to 20", series, wahl_factor(w), rel=1.6e-2)


def test_shear_stress_is_torque_over_modulus_of_section():
    torque, section = 3000.0 * 0.120 / 2.0, math.pi * 0.012**3 / 16.0
    BY_HAND.agrees(
        "shear stress as torque over the modulus of the section",
        torque / section,
        shear_stress(3000.0, 0.120, 0.012),
        "Pa",
    )


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
    EN_13906.agrees(
        "solid length of eight turns of 12 mm wire", millimetres, solid_length(8.0, 0.012, coiling, ends) * 1e3, "mm"
    )


def test_dead_turns():
    EN_13906.agrees(
        "turns that work of eight, cold and hot coiled", [6.0, 6.5], [active_coils(8.0, one) for one in ("cold", "hot")]
    )


def test_least_gap_worked_by_hand():
    # 6 (0.0015 * 120^2/12 + 0.1 * 12) = 6 (1.8 + 1.2) = 18 mm; 0.02 * 6 * 132 = 15.84 mm.
    EN_13906.agrees("least sum of gaps between turns, cold coiled", 18.0, least_gap(0.012, 0.120, 6.0) * 1e3, "mm")
    EN_13906.agrees(
        "least sum of gaps between turns, hot coiled", 15.84, least_gap(0.012, 0.120, 6.0, "hot") * 1e3, "mm"
    )
