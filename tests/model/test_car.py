"""What a car's document refuses, in which words, and what it answers about itself."""

import pytest
from pydantic import ValidationError

from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading, Readings
from workshop import DROP, car_with, example_car, put


def refused(edits):
    with pytest.raises(ValidationError) as caught:
        car_with(edits)
    return [(".".join(map(str, one["loc"])), one["msg"]) for one in caught.value.errors()]


STOP = "front.left.damper.bump_stop"
ROWS = "front.left.linkage.rows"
PERCH = {"kind": "perch", "unit": "mm", "setting": 0, "measured_at": 0, "range": [-5, 5]}
LINK = {"kind": "bar_link", "unit": "mm", "setting": 0, "measured_at": 0, "range": [-5, 5]}


@pytest.mark.parametrize(
    ("edits", "place", "says"),
    [
        (
            {"front.left.spring.stack.0.block_length": 180},
            "front.left.spring.stack.0",
            "block_length must be shorter than free_length",
        ),
        ({STOP + ".curve.1.squeeze": 8}, STOP, "the rows of the curve must rise in squeeze and in force"),
        ({STOP + ".curve.2.force": 620}, STOP, "the rows of the curve must rise in squeeze and in force"),
        ({STOP + ".length": 29.9}, STOP, "the curve squeezes the stop by more than its length"),
        ({"front.left.damper.closed": 410}, "front.left.damper", "closed must be shorter than open"),
        ({STOP + ".length": 132}, "front.left.damper", "the bump stop is as long as the whole stroke"),
        ({"front.bar.link.kind": "rod"}, "front.bar", "the link's kind must be bar_link"),
        ({ROWS + ".*.lift": 5}, "front.left.linkage.jack_table", "the rows must hold at least three different lifts"),
        (
            {ROWS: [{"lift": x, "damper": 350, "camber": 0, "toe": 0} for x in (5, 10, 20)]},
            "front.left.linkage.jack_table",
            "the rows must reach from droop (lift below 0) to bump (above 0)",
        ),
        (
            {ROWS: [{"lift": x, "damper": 350 - x, "camber": 0} for x in (-5, 0, 20)]},
            "front.left.linkage.jack_table",
            "the column toe needs at least two readings",
        ),
        (
            {"front.left.adjusters.other": PERCH},
            "front.left",
            "a corner has one adjuster of kind perch at the most",
        ),
        (
            {"rear.right.adjusters.link": LINK},
            "rear.right",
            "a bar_link belongs to the axle's bar, under bar.link",
        ),
        (
            {ROWS + ".3.spring": DROP},
            "front.left",
            "a spring around the damper needs one row with both spring and damper read",
        ),
        (
            {"rear.left.linkage.rows": [{"lift": x, "damper": 350 - x, "camber": 0, "toe": 0} for x in (-5, 0, 20)]},
            "rear.left",
            "a spring apart from the damper needs two rows with spring read",
        ),
        ({"mass.front": 4}, "mass", "a share of the weight must lie between 5 % and 95 %"),
        ({"mass.left": 96}, "mass", "a share of the weight must lie between 5 % and 95 %"),
        ({"front.*.unsprung_mass": 240}, "", "the four unsprung masses are more than 60 % of the total mass"),
    ],
)
def test_what_does_not_belong_together_is_named(edits, place, says):
    found = refused(edits)
    assert (place, f"Value error, {says}") in found


@pytest.mark.parametrize("name", ["Upper Arm", "2nd", "arm.left", "", "a" * 42])
def test_adjusters_have_plain_names(name):
    tree = {name: PERCH}
    with pytest.raises(ValidationError, match="pattern"):
        car_with({"front.left.adjusters": tree})


def test_several_faults_are_told_at_once():
    found = refused({"front.left.damper.closed": 410, "rear.right.spring.stack.0.block_length": 500, "wheelbase": -1})
    assert {"wheelbase", "front.left.damper", "rear.right.spring.stack.0"} <= {place for place, _ in found}


def test_the_car_knows_its_corners_and_adjusters():
    car = example_car()
    assert tuple(car.corners) == CORNERS
    assert car.corners["front_right"] is car.front.right
    assert car.corners["rear_left"] is car.rear.left
    assert [car.axle_corners(axle) for axle in (0, 1)] == [CORNERS[:2], CORNERS[2:]]
    adjusters = car.adjusters()
    assert adjusters["rear_right.inner_cam"] is car.rear.right.adjusters["inner_cam"]
    assert adjusters["front.bar_link"] is car.front.bar.link
    assert "rear.bar_link" not in adjusters
    assert len(adjusters) == sum(len(corner.adjusters) for corner in car.corners.values()) + 1


def test_a_corner_finds_its_perch_and_body_by_kind():
    corner = car_with({"front.left.adjusters.perch": DROP}).front.left
    assert corner.adjuster_of("perch") is None
    assert corner.adjuster_of("body").kind == "body"


def test_a_stack_is_as_long_as_its_springs_and_spacers():
    spring = car_with({"front.left.spring.spacers": 7}).front.left.spring
    assert spring.free_length == pytest.approx(0.180 + 0.060 + 0.007)


def test_settings_count_in_any_unit_and_become_metres():
    car = car_with({"wheelbase": "94.291 in", "rear.left.spring.stack.0.rate": "480 lbf/in"})
    assert car.wheelbase == pytest.approx(2.3949914)
    assert car.rear.left.spring.stack[0].rate == pytest.approx(84061, rel=1e-4)  # 1 lbf/in = 175.127 N/m


def test_a_car_survives_the_way_to_its_document_and_back():
    car = example_car()
    assert type(car).model_validate(car.to_document()) == car


def test_loads_are_read_at_four_corners_or_none():
    loads = {"front_left": {"load": 240}, "front_right": {"load": 240}, "rear_left": {"load": 200}}
    with pytest.raises(ValidationError, match="read the load at all four corners or at none"):
        Reading.model_validate(loads)
    whole = Reading.model_validate({**loads, "rear_right": {"load": 0}})
    assert whole.rear_right.load == 0
    assert whole.corners["front_left"].taken() == {"load": pytest.approx(240 * 9.80665)}


def test_the_latest_pass_is_the_car_as_it_stands():
    file = {"format": "cornerwright readings 1", "passes": [{"who": "A."}, {"who": "B."}]}
    assert Readings.model_validate(file).latest.who == "B."


def test_put_is_not_silent():
    with pytest.raises(KeyError):
        put({"a": {}}, "b.c", 1)
