"""Published: UN Regulation No. 13-H, Annex 5, distribution of braking among the axles; from memory.

f1 = T1 / (P1 + z h/E P g), f2 = T2 / (P2 - z h/E P g); for k from 0.2 to 0.8 z >= 0.1 + 0.7 (k - 0.2); for z
from 0.15 to 0.8 the rear curve not above the front one. The formulas are written out here a second time.
The wording differs by amendment; the text in force was not read.
"""

from __future__ import annotations

import numpy as np
import pytest

from cornerwright.mechanics.braking import (
    Loading,
    annex_five,
    holding_grade,
    least_rate,
    lock_order,
    most_adhesion,
    parking_grip,
    rear_first_from,
)
from evidence import Outside

R13H = Outside("brakes: forces and balance", "UN Regulation No. 13-H, annex 5", "standard", memory=True)
STATICS = Outside("brakes: forces and balance", "moments of a car on a slope", "second road")

G = 9.81
P1, P2, HEIGHT, BASE = 760.0, 440.0, 0.52, 2.55  # [kg], [kg], [m], [m]
MASS = P1 + P2
CAR = Loading(MASS * G, P1 / MASS, HEIGHT, BASE)


def regulation(z: float, share: float) -> tuple[float, float]:
    """The regulation's f1 and f2 with forces shared by `share` in front, braking at z."""
    front, rear = share * z * MASS * G, (1 - share) * z * MASS * G
    f1 = front / (P1 * G + z * HEIGHT / BASE * MASS * G)
    f2 = rear / (P2 * G - z * HEIGHT / BASE * MASS * G)
    return f1, f2


@pytest.mark.parametrize("share", [0.5, 0.62, 0.76, 0.9])
@pytest.mark.parametrize("z", [0.15, 0.3, 0.5, 0.8, 1.1])
def test_adhesion_used_is_the_regulations(z, share):
    forces = z * MASS * G * np.array([share, 1 - share])
    R13H.agrees("rate of braking", z, CAR.rate(forces), "g")
    R13H.agrees("adhesion used by each axle", regulation(z, share), CAR.adhesion_used(forces), rel=1e-12)


@pytest.mark.parametrize(("z", "f1", "f2"), [(0.15, 0.1717, 0.1071), (0.3, 0.3283, 0.2357), (0.5, 0.5168, 0.4533)])
def test_a_car_with_76_percent_in_front_by_hand(z, f1, f2):
    """Worked by hand from the formula for 760 and 440 kg, CG at 0.52 m, wheelbase 2.55 m."""
    used = CAR.adhesion_used(z * MASS * G * np.array([0.76, 0.24]))
    R13H.agrees("adhesion used by a car with 76 % in front, by hand", (f1, f2), used, abs=0.00005)


@pytest.mark.parametrize(("k", "z"), [(0.2, 0.1), (0.5, 0.31), (0.8, 0.52)])
def test_the_limit_line(k, z):
    R13H.agrees("least rate of braking for an adhesion", z, least_rate(k))
    R13H.agrees("most adhesion for a rate of braking", k, most_adhesion(z))


def test_the_limit_line_ends_where_the_regulation_ends():
    told = [bool(np.isnan(least_rate(k))) for k in (0.19, 0.2, 0.8, 0.81)]
    R13H.same("where the limit line ends", [True, False, False, True], told)


def curves(share: float) -> tuple[np.ndarray, np.ndarray]:
    z = np.linspace(0.01, 1.1, 400)
    return z, CAR.adhesion_used(z[:, None] * MASS * G * np.array([share, 1 - share]))


def test_constant_shares_cross_where_the_ideal_share_is_theirs():
    """f1 = f2 where the share is (P1 + z h/E P) / P: solved for z."""
    for share in (0.7, 0.76, 0.8):
        crossing = (share * MASS - P1) / (MASS * HEIGHT / BASE)
        first, found = lock_order(*curves(share))
        assert first == 0
        assert [(one.z, one.first) for one in found] == [(pytest.approx(crossing, abs=1e-3), 1)]
        R13H.agrees("rate from which the rear axle locks first", crossing, rear_first_from(*curves(share)), abs=1e-3)


@pytest.mark.parametrize(("share", "kept"), [(0.6, False), (0.70, False), (0.79, False), (0.80, True), (0.9, True)])
def test_the_order_is_kept_from_0_15_to_0_8(share, kept):
    z = np.linspace(0.15, 0.8, 2001)
    f1, f2 = np.array([regulation(float(one), share) for one in z]).T
    assert bool((f2 <= f1).all()) is kept
    R13H.same("whether the order of locking is kept", kept, annex_five(*curves(share)).order_kept)


@pytest.mark.parametrize("share", [0.1, 0.2, 0.4, 0.6, 0.76, 1.0])
def test_the_rate_is_kept_by_the_regulations_own_sum(share):
    z = np.linspace(0.01, 1.1, 4001)
    k = np.array([max(regulation(float(one), share)) for one in z])
    inside = (k >= 0.2) & (k <= 0.8)
    by_hand = bool((z[inside] >= 0.1 + 0.7 * (k[inside] - 0.2)).all())
    R13H.same("whether the rate of braking is kept", by_hand, annex_five(*curves(share)).rate_kept)


def test_a_rear_brake_almost_alone_breaks_the_rate_and_says_by_how_much():
    z, used = curves(0.2)
    told = annex_five(z, used)
    assert not told.rate_kept
    R13H.agrees("rate from which the rear curve lies above", 0.15, told.rear_over_from)
    at = np.argmin(np.where((used[:, 1] >= 0.2) & (used[:, 1] <= 0.8), 0.2 + (z - 0.1) / 0.7 - used[:, 1], np.inf))
    R13H.agrees("margin to the limit line", float(0.2 + (z[at] - 0.1) / 0.7 - used[at, 1]), told.margin)
    assert told.margin < 0
    R13H.agrees("rate at which the limit line is missed most", float(z[at]), told.worst_rate)


@pytest.mark.parametrize("grade", [0.05, 0.2, 0.3])
def test_a_slope_is_held_by_weight_times_its_sine(grade):
    force = MASS * G * np.sin(np.arctan(grade))
    STATICS.agrees("slope that a parking brake holds", grade, holding_grade(force, MASS * G), rel=1e-12)


def test_parking_grip_by_moments_about_the_front_contacts():
    """Rear load on a slope: moments about the front wheels' contact, the car facing uphill or down."""
    angle = np.arctan(0.2)
    for up in (True, False):
        along = MASS * G * np.sin(angle) * (1 if up else -1)
        rear = (P2 * G * BASE * np.cos(angle) + along * HEIGHT) / BASE
        STATICS.agrees(
            "grip that a parking brake needs on a slope", MASS * G * np.sin(angle) / rear, parking_grip(0.2, CAR, up)
        )
