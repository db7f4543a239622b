"""Published: Gillespie, Fundamentals of Vehicle Dynamics (1992), chapter 5, ride; from memory.

The book's figures for static deflection against ride frequency: about 10 in for 1 Hz, 5 in for
1.4 Hz, 1 in for 3.13 Hz.
"""

import pytest

from cornerwright.mechanics.springs import ride_frequency, series_rate, static_deflection
from evidence import Outside

GILLESPIE = Outside(
    "road and ride", "Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 5", "textbook", memory=True
)

INCH = 0.0254


@pytest.mark.parametrize(("hertz", "inches", "half_digit"), [(1.0, 10.0, 0.5), (3.13, 1.0, 0.05)])
def test_static_deflection(hertz, inches, half_digit):
    GILLESPIE.agrees(
        "static deflection for a ride frequency", inches, static_deflection(hertz) / INCH, "in", abs=half_digit
    )


def test_five_inches_give_one_point_four_hertz():
    mass = 300.0
    rate = mass * 9.80665 / (5.0 * INCH)
    GILLESPIE.agrees("ride frequency for five inches of deflection", 1.4, ride_frequency(rate, mass), "Hz", abs=0.05)


def test_ride_rate_is_spring_and_tyre_in_series():
    # RR = Ks Kt / (Ks + Kt).
    spring, tyre = 20e3, 200e3
    GILLESPIE.agrees(
        "rate of spring and tyre in series", spring * tyre / (spring + tyre), series_rate([spring, tyre]), "N/m"
    )
