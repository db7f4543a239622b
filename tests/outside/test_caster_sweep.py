"""Outside source: the trade's rules for caster from camber at two steer angles (common practice of turn plates).

The factor printed on gauges for 20 degrees each way is 1.5 (1.46 by sines); for 10 and 15 degrees the factors are
2.88 and 1.93. The sweeps beside them were worked by rigid rotation of a left wheel about its steering axis, apart from
this program, to the printed digit; they check arithmetic and are no published values.
"""

import math

import pytest

from cornerwright.mechanics.gauges import caster_exact, caster_linear, caster_sine, steered_camber, steering_axis
from evidence import Outside

TRADE = Outside("gauges", "factors printed on turn plates", "common practice")
SWEEP = Outside("gauges", "rigid rotation of a wheel about its steering axis, worked apart", "second road")

DEG = math.pi / 180

#           caster kingpin camber steer  to the left  to the right  linear  sine
SWEEPS = [
    (6.0, 12.0, -1.0, 20.0, 1.7972, -2.3166, 5.893, 6.014),
    (3.0, 0.0, 0.0, 20.0, 1.0269, -1.0269, 2.942, 3.002),
    (8.0, 10.0, -2.0, 15.0, 0.4228, -3.7232, 7.918, 8.010),
]


@pytest.mark.parametrize(("steer", "linear", "sine"), [(10, 2.865, 2.879), (15, 1.910, 1.932), (20, 1.432, 1.462)])
def test_the_trades_factors(steer, linear, sine):
    read = (0.5 * DEG, -0.5 * DEG, steer * DEG, steer * DEG)
    TRADE.agrees(
        "caster for 1 degree of camber change, linear rule, 10, 15 and 20 degrees of steer",
        linear,
        caster_linear(*read).value / DEG,
        "deg",
        abs=5e-4,
    )
    TRADE.agrees(
        "caster for 1 degree of camber change, by sines, 10, 15 and 20 degrees of steer",
        sine,
        caster_sine(*read).value / DEG,
        "deg",
        abs=1.5e-3,
    )


def test_the_printed_rule_for_twenty_degrees():
    """1.5 times the difference, to the digit that gauges print."""
    read = (2.0 * DEG, -2.0 * DEG, 20 * DEG, 20 * DEG)
    TRADE.agrees(
        "caster by 1.5 times the camber change, 20 degrees of steer",
        1.5 * 4.0,
        caster_sine(*read).value / DEG,
        "deg",
        abs=0.05 * 4.0,
    )


@pytest.mark.parametrize(("caster", "kingpin", "camber", "steer", "left", "right", "linear", "sine"), SWEEPS)
def test_sweeps_by_rigid_rotation(caster, kingpin, camber, steer, left, right, linear, sine):
    read = (left * DEG, right * DEG, steer * DEG, steer * DEG)
    SWEEP.agrees(
        "caster from a sweep, kingpin known",
        caster,
        caster_exact(*read, kingpin=kingpin * DEG).value / DEG,
        "deg",
        abs=5e-4,
    )
    found, lean = steering_axis(left * DEG, right * DEG, camber * DEG, steer * DEG, steer * DEG)
    SWEEP.agrees("caster from a sweep, kingpin found with it", caster, found.value / DEG, "deg", abs=5e-4)
    SWEEP.agrees("kingpin inclination from a sweep", kingpin, lean.value / DEG, "deg", abs=2e-3)
    # Half the last digit, and as much again for the rounding of the cambers.
    SWEEP.agrees("caster from a sweep by the linear rule", linear, caster_linear(*read).value / DEG, "deg", abs=1e-3)
    SWEEP.agrees("caster from a sweep by the rule of sines", sine, caster_sine(*read).value / DEG, "deg", abs=1e-3)


@pytest.mark.parametrize(("caster", "kingpin", "camber", "steer", "left", "right", "linear", "sine"), SWEEPS)
def test_cambers_of_the_sweeps(caster, kingpin, camber, steer, left, right, linear, sine):
    axis = {"caster": caster * DEG, "kingpin": kingpin * DEG, "camber": camber * DEG}
    SWEEP.agrees(
        "camber of a wheel steered to the left", left, steered_camber(steer * DEG, **axis).value / DEG, "deg", abs=5e-5
    )
    SWEEP.agrees(
        "camber of a wheel steered to the right",
        right,
        steered_camber(-steer * DEG, **axis).value / DEG,
        "deg",
        abs=5e-5,
    )
