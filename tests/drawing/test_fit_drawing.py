"""A wheel in its arch: nothing overlaps, nothing leaves the page, and what is drawn is to scale."""

from __future__ import annotations

import itertools

import pytest

from cars import car_of_kind
from cornerwright.drawing.fit import wheel_in_arch
from cornerwright.model.carfile import load_car
from cornerwright.planning.fitment import fit
from shared import PROJECT
from workshop import DROP, car_with

SIZE = (11, 7)
NAMES = ("tarn_fell", "skerry_nine")
BOLT = {"front.left.room.obstacles.bolt_with_a_name_that_is_rather_long": {"at": [0, 640, 600], "radius": 5}}


def results():
    for name in NAMES:
        yield name, load_car(PROJECT / "examples" / name / "car.yaml")
    yield "rubs", car_with(BOLT)
    yield "straight", car_with({"front.left.room.lock": DROP})
    yield "tied", car_of_kind("live_axle_four_link")


DRAWN = {name: fit(car, size=SIZE) for name, car in results()}


@pytest.mark.parametrize("name", DRAWN)
@pytest.mark.parametrize("corner", ["front_left", "front_right", "rear_left"])
@pytest.mark.parametrize("width", [160.0, 180.0, 260.0])
def test_texts_stay_on_the_page_and_apart(name, corner, width):
    drawing = wheel_in_arch(DRAWN[name], corner, width)
    for box in drawing.texts:
        assert box.left >= -1e-6, box
        assert box.right <= drawing.width + 1e-6, box
        assert box.top >= -1e-6, box
        assert box.bottom <= drawing.height + 1e-6, box
    for one, other in itertools.combinations(drawing.texts, 2):
        assert not one.overlaps(other), (one, other)


def test_it_says_what_rubs_and_where():
    words = " ".join(box.words for box in wheel_in_arch(DRAWN["rubs"], "front_left").texts)
    assert "touches:" in words
    assert "from behind" in words
    assert "from above" in words
    assert "wheel turned" in words


def test_it_says_that_it_sees_only_what_was_measured():
    """A hose that nobody measured can be caught by a wheel that clears all that is drawn."""
    words = " ".join(box.words for box in wheel_in_arch(DRAWN["tarn_fell"], "front_left").texts)
    assert "nobody measured" in words
    assert "by hand" in words


def test_every_nearest_obstacle_is_dimensioned():
    told = DRAWN["skerry_nine"].corners["rear_left"].clearances
    words = " ".join(box.words for box in wheel_in_arch(DRAWN["skerry_nine"], "rear_left").texts)
    for row in told[:6]:
        assert f"{row.obstacle.replace('_', ' ')} {row.clearance_mm:.1f} mm" in words


def test_what_cannot_be_drawn_is_refused():
    with pytest.raises(ValueError, match="nothing is known"):
        wheel_in_arch(DRAWN["tarn_fell"], "middle")
    with pytest.raises(ValueError, match="160"):
        wheel_in_arch(DRAWN["tarn_fell"], "front_left", 100.0)
