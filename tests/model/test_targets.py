"""Targets: what may be asked, as ranges in SI, and which entry goes before which."""

import math

import pytest
from pydantic import ValidationError

from cornerwright.model.parts import CORNERS
from cornerwright.model.target import Targets
from workshop import targets_with


def targets(**edits):
    return targets_with({name.replace("__", "."): value for name, value in edits.items()}, clean=True)


@pytest.mark.parametrize(
    ("aim", "says"),
    [
        ({}, "give aim and within, or at_least and/or at_most"),
        ({"hard": True}, "give aim and within, or at_least and/or at_most"),
        ({"aim": 600, "within": 2, "at_most": 650}, "give aim and within, or at_least and/or at_most"),
        ({"aim": 600}, "aim and within go together"),
        ({"within": 2}, "aim and within go together"),
        ({"at_least": 600, "at_most": 600}, "at_least must be below at_most"),
        ({"at_least": 610, "at_most": 600}, "at_least must be below at_most"),
    ],
)
def test_half_a_wish_is_refused(aim, says):
    with pytest.raises(ValidationError, match=says):
        targets(front__height=aim)


@pytest.mark.parametrize("within", [0, -1, "nan", "2 deg"])
def test_tolerances_are_positive_lengths(within):
    with pytest.raises(ValidationError):
        targets(front__height={"aim": 600, "within": within})


def test_ranges_are_si():
    asked = targets(
        front__height={"aim": "23 5/8 in", "within": 2},
        rear__camber={"aim": "-1°30'", "within": 0.25},
        rear_left__load={"at_least": 200, "at_most": "210 kg", "hard": True},
        front_left__droop_left={"at_least": 40},
        rear_right__stroke_share={"at_most": 70},
        car__cross_weight={"aim": 50, "within": 0.5},
    ).bands()
    height = asked["front_right", "height"]
    assert (height.low, height.high) == pytest.approx((0.600075 - 0.002, 0.600075 + 0.002))
    assert (height.aim, height.within, height.hard) == (pytest.approx(0.600075), pytest.approx(0.002), False)
    camber = asked["rear_right", "camber"]
    assert (camber.low, camber.high) == pytest.approx((math.radians(-1.75), math.radians(-1.25)))
    load = asked["rear_left", "load"]
    assert (load.low, load.high, load.aim, load.within) == pytest.approx(
        tuple(9.80665 * kg for kg in (200, 210, 205, 5))
    )
    assert load.hard
    droop = asked["front_left", "droop_left"]
    assert (droop.low, droop.high) == (pytest.approx(0.04), math.inf)
    assert math.isnan(droop.aim)
    assert math.isnan(droop.within)
    share = asked["rear_right", "stroke_share"]
    assert (share.low, share.high) == (-math.inf, pytest.approx(0.7))
    assert asked[None, "cross_weight"].within == pytest.approx(0.005)


def test_an_axle_speaks_for_both_sides_and_a_corner_goes_before_it():
    asked = targets(
        front__toe={"aim": 0, "within": 0.05},
        front__camber={"aim": -2, "within": 0.1},
        front_left__toe={"at_least": 0.1},
    ).bands()
    assert set(asked) == {(corner, name) for corner in CORNERS[:2] for name in ("toe", "camber")}
    assert asked["front_left", "toe"].low == pytest.approx(math.radians(0.1))
    assert asked["front_left", "toe"].high == math.inf
    assert asked["front_right", "toe"].high == pytest.approx(math.radians(0.05))


def test_nothing_asked_is_nothing_wanted():
    assert Targets.model_validate({"format": "cornerwright targets 1"}).bands() == {}
