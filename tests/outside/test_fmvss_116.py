"""Published: FMVSS 116 (49 CFR 571.116), S5.1.1 and S5.1.2, least boiling points of brake fluids.

Read on secondary pages, not in the standard: DOT 3 205 and 140 degC, DOT 4 230 and 155, DOT 5 and 5.1 260 and 180.
"""

import pytest

from cornerwright.assembly.brake_inputs import BOILING, boiling_of, parts_of
from cornerwright.model.units import parse
from evidence import Outside
from workshop import car_with

TRADE = Outside(
    "brakes: fluid and heat", "brake fluid is wet after a year; a maker's value goes first", "common practice"
)
FMVSS = Outside("brakes: fluid and heat", "FMVSS 116, S5.1.1 and S5.1.2, seen on secondary pages", "standard")


@pytest.mark.parametrize(
    ("grade", "dry", "wet"),
    [
        ("DOT 3", "401 °F", "284 °F"),
        ("DOT 4", "446 °F", "311 °F"),
        ("DOT 5", "500 °F", "356 °F"),
        ("DOT 5.1", "500 °F", "356 °F"),
    ],
)
def test_least_boiling_points_in_both_scales(grade, dry, wet):
    FMVSS.agrees(
        "least boiling points of brake fluids, dry and wet",
        (parse(dry, "temperature"), parse(wet, "temperature")),
        BOILING[grade],
        "degC",
        abs=0.5,
    )


@pytest.mark.parametrize("grade", sorted(BOILING))
def test_a_fluid_of_unknown_age_is_counted_wet_and_a_fresh_one_dry(grade):
    for months, place in ((None, 1), (0, 0), (12, 1), (30, 1)):
        parts = parts_of(car_with({"brakes.fluid": {"grade": grade, "months": months}}))
        told = boiling_of(parts.brakes)[2]
        TRADE.agrees("boiling point counted with, by the fluid's age", BOILING[grade][place], told, "degC", abs=1e-9)


def test_the_makers_own_values_go_before():
    fluid = {"grade": "DOT 4", "months": 0, "dry_boiling": 300, "wet_boiling": 200}
    told = boiling_of(parts_of(car_with({"brakes.fluid": fluid})).brakes)
    TRADE.agrees("boiling points where the fluid's maker gives them", (300.0, 200.0, 300.0), told, "degC", abs=1e-9)
