"""Wheel, hub, spacer, room and parts: what contradicts itself is refused with its reason."""

import pytest
from pydantic import ValidationError

from cornerwright.model.car import Car
from cornerwright.model.part_facts import Need
from cornerwright.model.room import Lock, Obstacle
from workshop import car_tree, car_with

BAD = [
    ({"front.left.wheel.rim.bore": 120}, "bore must be smaller than the pitch circle"),
    ({"front.left.wheel.rim.pitch_circle": 400}, "pitch circle must be smaller than the rim's diameter"),
    ({"front.left.wheel.rim.ring": {"inner": 60, "outer": 70}}, "larger than the bore"),
    ({"front.left.wheel.rim.ring": {"inner": 62, "outer": 61}}, "inner diameter must be less"),
    ({"front.left.wheel.rim.overall_width": 100}, "overall_width is over the flanges"),
    ({"front.left.wheel.rim.inside": [{"depth": 1, "radius": 80}]}, "two places at least"),
    ({"front.left.wheel.hub.spigot": 110}, "spigot must be smaller than the pitch circle"),
    ({"front.left.wheel.spacer": {"thickness": 5, "bore": 62, "spigot": 62}}, "spigot and spigot_height together"),
    ({"front.left.wheel.spacer.wheel_pitch_circle": 110}, "for a spacer that is bolted on"),
    ({"front.left.tyre.rims": [160, 120]}, "least width first"),
    ({"front.left.room.lip": "wing"}, "which is no obstacle here"),
    ({"front.left.room.lip": "strut_tube"}, "the lip is an obstacle on the body"),
    ({"front.left.room.obstacles.strut_tube.on": "lower_arm"}, "which is not here"),
    ({"front.left.wheel.rim.inside": []}, "give the rim's inside"),
]


@pytest.mark.parametrize(("edits", "words"), BAD, ids=[one[1] for one in BAD])
def test_contradictions_are_refused(edits, words):
    with pytest.raises(ValidationError, match=words):
        car_with(edits)


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([[0, 0, 0], [100, 0, 0], [200, 0, 0]], "on one line"),
        ([[0, 0, 0], [100, 0, 0], [100, 100, 20], [0, 100, 0]], "off one plane"),
        ([[0, 0, 0], [100, 0, 0], [20, 20, 0], [0, 100, 0]], "without dents"),
    ],
)
def test_patches_are_plane_and_without_dents(corners, words):
    with pytest.raises(ValidationError, match=words):
        Obstacle.model_validate({"patch": corners})
    assert Obstacle.model_validate({"patch": [[0, 0, 0], [100, 0, 0], [100, 100, 1], [0, 100, 0]]}).points


def test_an_obstacle_is_one_thing_and_an_axis_stands_up():
    for given in ({}, {"at": [0, 0, 0], "edge": [[0, 0, 0], [1, 0, 0]]}):
        with pytest.raises(ValidationError, match="give one of at"):
            Obstacle.model_validate(given)
    with pytest.raises(ValidationError, match="lower point first"):
        Lock.model_validate({"steering_axis": [[0, 600, 700], [0, 600, 200]], "inward": 30, "outward": 30})
    with pytest.raises(ValidationError, match="says in words"):
        Need.model_validate({"what": "other"})


def test_the_car_goes_out_and_comes_back_the_same():
    tree = car_tree()
    car = Car.model_validate(tree)
    again = Car.model_validate(car.to_document())
    assert again == car
    assert again.front.left.tyre.marking == car.front.left.tyre.marking
    assert again.parts == car.parts
