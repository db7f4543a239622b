"""One fact of a wheel told in two places must be told the same."""

import pytest

import cornerwright as cw
from cornerwright.model.car import Car
from cornerwright.planning.told_twice import told_twice
from shared import PROJECT
from workshop import car_with, example_car


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_the_examples_tell_one_wheel(name):
    assert told_twice(cw.load_car(PROJECT / "examples" / name / "car.yaml")) == []


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("front.*.fastening.pad", 13, "fastening.pad 13 mm, and wheel.rim.pad 11 mm"),
        ("front.*.fastening.pitch_circle", 100, "wheel.hub.pitch_circle 102 mm"),
        ("front.*.fastening.spigot", 8, "wheel.hub.spigot_height 9 mm"),
        ("front.*.fastening.spigot_diameter", 60, "wheel.hub.spigot 62 mm"),
        ("front.*.fastening.spacer", 12, "wheel.spacer.thickness 10 mm"),
        ("front.*.fastening.spacer_spigot", 6, "wheel.spacer.spigot_height 7 mm"),
        ("front.*.fastening.count", 5, "wheel.hub.bolts 4"),
    ],
)
def test_what_differs_is_named_at_both_places(path, value, words):
    found = told_twice(car_with({path: value}))
    assert {one.place for one in found} == {"front_left", "front_right"}
    assert all(words in one.says for one in found)
    assert all(one.level == "warning" for one in found)
    check = cw.check(car_with({path: value}))
    assert any(words in one.says for one in check.findings)


def test_a_file_with_one_of_the_two_says_nothing():
    tree = example_car().to_document()
    for side in ("left", "right"):
        tree["front"][side]["wheel"]["rim"].pop("pad")
        for name in ("hub", "spacer"):
            tree["front"][side]["wheel"].pop(name, None)
    assert told_twice(Car.model_validate(tree)) == []
