"""Published: Gillespie, Fundamentals of Vehicle Dynamics, chapter 5, as remembered: ride rate and ride frequency.

Static deflection and frequency: 10 in of static deflection is 1 Hz (his figure of the two over each other; with
g = 386.1 in/s2 it is 0.99 Hz), 5 in 1.4 Hz, 1 in 3.13 Hz; ride rate RR = Ks Kt / (Ks + Kt), f = sqrt(RR / M) / (2 pi).

Second road for the wheel travel on a random road: SciPy's Lyapunov equation of the quarter car.
"""

import numpy as np
import pytest
from scipy.linalg import solve_continuous_lyapunov

from cornerwright.mechanics.axle_parts import AxleBench, AxleParts, stroke_scatter, weigh
from cornerwright.mechanics.springs import damper_law, spring_pack
from evidence import Outside

GILLESPIE = Outside("choice of parts", "Gillespie, Fundamentals of Vehicle Dynamics, ch. 5", "textbook", memory=True)
SCIPY = Outside("choice of parts", "SciPy solve_continuous_lyapunov on a quarter car", "reference library")
STATICS = Outside("choice of parts", "statics written out here", "second road")

G = 9.80665
INCH = 0.0254
LIFT = np.linspace(-0.16, 0.16, 321)


def bench(**changes):
    """Motion ratios of one: what is on the spring is on the wheel."""
    given = {
        "lift": LIFT, "spring": 0.30 - LIFT, "damper": 0.40 - LIFT, "stands": 0.0, "carried": 300.0 * G,
        "unsprung": 35.0, "tyre_rate": 1e12, "bush_force": 0.0, "bush_rate": 0.0, "perch": np.array([-1.0, 1.0]),
        "bodies": np.zeros(1), "around": True,
    }  # fmt: skip
    return AxleBench(**(given | changes))


def parts(rate, free=1.0, block=0.05, slope=2000.0):
    rate = np.atleast_1d(np.asarray(rate, dtype=float))
    n = rate.size
    speeds = np.linspace(0.0, 0.5, 51)
    law = damper_law(np.full(n, 0.50), np.full(n, 0.30))
    return AxleParts(
        spring=spring_pack(rate[:, None], np.full((n, 1), free), np.full((n, 1), block)),
        free=np.full(n, free), bound=np.full(n, block), damper=law, open=np.full(n, 0.50), bump=np.full(n, 0.30),
        speeds=speeds, resist=np.tile(slope * speeds, (n, 1)),
    )  # fmt: skip


@pytest.mark.parametrize(("inches", "hertz", "digit"), [(10, 1.0, 0.05), (5, 1.4, 0.05), (1, 3.13, 0.005)])
def test_frequency_of_a_static_deflection(inches, hertz, digit):
    found = weigh(bench(), parts(300.0 * G / (inches * INCH)))
    GILLESPIE.agrees("ride frequency of a static deflection", hertz, found.frequency[0], "Hz", abs=digit)


def test_tyre_and_spring_in_series_make_the_ride_rate():
    spring, tyre = 20e3, 180e3
    found = weigh(bench(tyre_rate=tyre), parts(spring))
    GILLESPIE.agrees(
        "ride frequency on spring and tyre",
        np.sqrt(spring * tyre / (spring + tyre) / 300.0) / (2 * np.pi),
        found.frequency[0],
        "Hz",
        rel=1e-9,
    )


def test_a_lever_of_a_half_quarters_the_rate_and_the_damping():
    straight = weigh(bench(), parts(20e3))
    levered = weigh(bench(spring=0.30 - LIFT / 2, damper=0.40 - LIFT / 2), parts(80e3, slope=8000.0))
    STATICS.agrees("wheel rate over the lever squared", straight.rate, levered.rate, "N/m", rel=1e-9)
    assert levered.damping == pytest.approx(straight.damping, rel=1e-9)
    assert straight.damping[0] == pytest.approx(2000.0 / (2 * np.sqrt(20e3 * 300.0)))


def test_a_ratio_that_grows_in_bump_stiffens():
    curved = weigh(bench(spring=0.30 - LIFT - 0.5 * LIFT**2), parts(20e3))
    # k s'^2 - F s'' with s' = -1, s'' = -1 [1/m] and F the weight.
    STATICS.agrees("wheel rate of a lever that grows in bump", 20e3 + 300.0 * G, curved.rate[0], "N/m", rel=1e-3)


def test_rooms_by_hand():
    """20 N/mm, 0.20 m free, block 0.08: under 2942 N 52.9 mm long at rest; droop 100 mm, bump 100 mm of travel."""
    found = weigh(bench(perch=np.array([0.1, 0.3])), parts(20e3, free=0.25, block=0.08))
    length = 0.25 - 300.0 * G / 20e3
    assert found.room["droop_left"][0] == pytest.approx(0.1)
    assert found.room["bump_left"][0] == pytest.approx(0.1)
    STATICS.agrees("spring held at full droop", 0.25 - (length + 0.1), found.room["held"][0], "m")
    assert found.room["bind"][0] == pytest.approx(length - 0.1 - 0.08)
    assert found.seat[0] == pytest.approx(0.30 - length)
    assert found.room["perch"][0] == pytest.approx(min(0.30 - length - 0.1, 0.3 - (0.30 - length)))
    assert found.worst[0] == pytest.approx(min(values[0] for values in found.room.values()))


def test_the_body_is_set_where_the_separate_spring_is_just_held():
    """98.1 mm squeezed at rest, 100 mm of droop: the damper is set 3 mm nearer its end, and 1.1 mm are left."""
    bodies = np.linspace(-0.08, 0.0, 81)
    found = weigh(bench(bodies=bodies, around=False), parts(30e3, free=0.30, block=0.02))
    STATICS.agrees("spring just held by the damper's length", 0.001, found.room["held"][0], "m", abs=6e-4)
    assert found.body[0] < 0.0


def test_a_spring_that_cannot_carry_the_car_has_no_figures():
    found = weigh(bench(carried=-10.0), parts(20e3))
    STATICS.same("a spring that cannot carry the car: no figures", True, bool(np.isnan(found.rate[0])))
    assert found.worst[0] == -np.inf


@pytest.mark.parametrize(("spring", "tyre", "damping"), [(20e3, 180e3, 1500.0), (45e3, 250e3, 3000.0)])
def test_wheel_travel_on_a_random_road(spring, tyre, damping):
    """White velocity under a quarter car: covariance of its state by the Lyapunov equation, travel is z_b - z_w."""
    body, wheel, roughness, speed = 280.0, 35.0, 256e-6, 20.0
    # State: travel, body speed, tyre squeeze (z_w - road), wheel speed.
    a = np.array(
        [
            [0, 1, 0, -1],
            [-spring / body, -damping / body, 0, damping / body],
            [0, 0, 0, 1],
            [spring / wheel, damping / wheel, -tyre / wheel, -damping / wheel],
        ]
    )
    b = np.array([[0.0], [0.0], [-1.0], [0.0]])
    one_sided = 4 * np.pi**2 * roughness * 0.1**2 * speed  # of the road's velocity, per Hz
    spread = solve_continuous_lyapunov(a, -b @ b.T * one_sided / 2.0)
    found = stroke_scatter(np.array(damping), body + wheel, roughness, speed)
    SCIPY.agrees("wheel travel of a quarter car on a random road", np.sqrt(spread[0, 0]), found, "m", rel=1e-6)
