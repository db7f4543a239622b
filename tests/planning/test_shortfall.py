"""Where no move reaches a target: the reason must be the true one, and the part named must help.

Each case is a car built to fall short for one reason. Where a part is named with its size, the car gets it and
is planned again: then the target must be reached.
"""

import re

import pytest

from cornerwright.planning.plan import plan
from workshop import DROP, car_with, example_car, example_reading, heights_changed, targets_with

PER_PART = re.compile(r"(?P<name>\w+\.\w+): [^;]*?(?P<size>[\d.]+) mm[^;]*")


def short(result):
    return {(one.corner, one.reading): one for one in result.short_of}


def planned(car, targets, reading=None):
    return plan(car, reading, targets)


def with_parts(edits, needs):
    """The car with every adjuster that was named given so much more range, both ways, and a step for rounding."""
    more = dict(edits)
    named = {found["name"]: float(found["size"]) for found in PER_PART.finditer(needs)}
    assert named, needs
    car = car_with(edits)
    for name, size in named.items():
        corner, short_name = name.split(".")
        end, side = corner.split("_")
        one = car.adjusters()[name]
        extra = size + 1e3 * one.step_travel
        more[f"{end}.{side}.adjusters.{short_name}.range"] = [1e3 * one.range[0] - extra, 1e3 * one.range[1] + extra]
    return car_with(more)


def test_a_plate_at_its_end_is_named_and_a_longer_plate_helps():
    edits = {"front.*.adjusters.camber_plate.range": [-2, 2]}
    targets = targets_with(
        {"front.camber": {"aim": -1.9, "within": 0.1}, "front.height": {"aim": 612, "within": 4}}, clean=True
    )
    result = planned(car_with(edits), targets)
    assert result.verdict == "falls short"
    found = short(result)
    assert set(found) == {("front_left", "camber_deg"), ("front_right", "camber_deg")}
    one = found["front_left", "camber_deg"]
    assert one.why == "front_left.camber_plate at the end of the range"
    assert re.fullmatch(r"front_left\.camber_plate: [\d.]+ mm more travel of the plate \(top inboard\)", one.needs)
    assert one.predicted > one.high == pytest.approx(-1.8)
    needs = "; ".join(each.needs for each in found.values())
    assert planned(with_parts(edits, needs), targets).verdict == "reaches all targets"


def test_a_perch_at_its_end_is_named_and_another_spring_helps():
    now = 1e3 * example_car().front.left.adjusters["perch"].setting
    edits = {"front.*.adjusters.perch.range": [now - 2, now + 1], "front.*.adjusters.body": DROP}
    targets = targets_with({"front.height": {"aim": 600, "within": 2}}, clean=True)
    result = planned(car_with(edits), targets)
    found = short(result)
    assert set(found) == {("front_left", "height_mm"), ("front_right", "height_mm")}
    one = found["front_right", "height_mm"]
    assert "front_right.perch" in one.why
    assert "at the end of the range" in one.why
    assert re.search(r"front_right\.perch: a spring about [\d.]+ mm shorter at the same rate", one.needs)
    assert "rear" not in one.needs
    needs = "; ".join(each.needs for each in found.values())
    assert planned(with_parts(edits, needs), targets).verdict == "reaches all targets"


def test_a_spring_that_would_bind_holds_the_height_back():
    """Raised by its perch this far, the front spring would be block before the bump stop ends the travel."""
    edits = {"front.*.adjusters.body": DROP, "front.*.adjusters.perch.range": [0, 120]}
    targets = targets_with({"front.height": {"aim": 632, "within": 2}}, clean=True)
    result = planned(car_with(edits), targets)
    assert result.verdict == "falls short"
    one = short(result)["front_left", "height_mm"]
    assert one.why == "held back: the spring must not bind before the bump stop or the damper ends the travel"
    assert "front_left: a spring with a shorter block length, or a longer bump stop" in one.needs
    helped = edits | {"front.*.spring.stack.0.block_length": 40}
    assert planned(car_with(helped), targets).verdict == "reaches all targets"


@pytest.mark.parametrize("angle", ["caster", "toe"])
def test_an_angle_that_nothing_adjusts_is_said_so(angle):
    names = {"caster": ("caster_plate",), "toe": ("tie_rod", "camber_plate", "caster_plate")}[angle]
    edits = {f"front.*.adjusters.{name}": DROP for name in names}
    aim = {"caster": {"aim": 7, "within": 0.25}, "toe": {"aim": 1.0, "within": 0.05}}[angle]
    targets = targets_with({f"front.{angle}": aim, "front.height": {"aim": 612, "within": 2}}, clean=True)
    one = short(planned(car_with(edits), targets))["front_left", f"{angle}_deg"]
    assert one.why == f"nothing on this car adjusts the {angle}"
    assert one.needs.startswith("an adjustable part that moves the")


def test_a_spring_that_would_come_loose_holds_the_height_back_and_the_parts_named_help():
    """Lowering the rear needs shorter dampers, or the springs fall out at full droop; these cannot be shortened."""
    car = example_car()
    body = 1e3 * car.rear.left.adjusters["body"].setting
    edits = {"rear.*.adjusters.body.range": [body - 1, body + 20], "rear.*.adjusters.perch.range": [-40, 60]}
    targets = targets_with({"rear.height": {"aim": 605, "within": 3}}, clean=True)
    result = planned(car_with(edits), targets)
    assert result.verdict == "falls short"
    one = short(result)["rear_left", "height_mm"]
    assert "the spring must not come loose at full droop" in one.why
    assert re.search(r"rear_left\.body: a damper about [\d.]+ mm shorter between its eyes", one.needs)
    needs = "; ".join(each.needs for each in result.short_of)
    assert planned(with_parts(edits, needs), targets).verdict == "reaches all targets"


def test_a_spring_that_would_come_loose_where_dampers_cannot_be_set_asks_for_a_helper():
    edits = {"rear.*.adjusters.body": DROP, "rear.*.adjusters.perch.range": [-40, 60]}
    targets = targets_with({"rear.height": {"aim": 600, "within": 2}}, clean=True)
    result = planned(car_with(edits), targets)
    assert result.verdict == "falls short"
    one = short(result)["rear_left", "height_mm"]
    assert "the spring must not come loose at full droop" in one.why
    travel = float(re.search(r"rear_left: a helper spring with at least ([\d.]+) mm of travel", one.needs)[1])
    # A helper of that travel, next to nothing in rate, holds the spring: the target is then reached.
    stack = car_with(edits).to_document()["rear"]["left"]["spring"]["stack"]
    helper = {"name": "helper", "rate": 2.0, "free_length": 10 + travel + 2, "block_length": 10}
    main = {**stack[0], "free_length": stack[0]["free_length"] - 10, "block_length": stack[0]["block_length"] - 10}
    helped = edits | {"rear.*.spring.stack": [main, helper]}
    after = planned(car_with(helped), targets)
    assert after.verdict == "reaches all targets"


def test_targets_that_contradict_each_other_are_said_to():
    asked = {
        f"{corner}.load": {"aim": 300, "within": 2}
        for corner in ("front_left", "front_right", "rear_left", "rear_right")
    }
    result = planned(example_car(), targets_with(asked, clean=True))
    assert result.verdict == "falls short"
    for one in result.short_of:
        assert "conflicts with other targets" in one.why
        assert one.needs == "another adjustable part, or a wider tolerance on one of them"


def test_steps_too_coarse_are_said_so_and_finer_steps_help():
    edits = {
        "front.*.adjusters.tie_rod.step": 12,
        "front.*.adjusters.camber_plate": DROP,
        "front.*.adjusters.caster_plate": DROP,
    }
    targets = targets_with(
        {
            "front.toe": {"aim": 0.6, "within": 0.05},
            "front.height": {"aim": 612, "within": 2},
            "rear.height": {"aim": 620, "within": 3},
        },
        clean=True,
    )
    result = planned(car_with(edits), targets)
    one = short(result)["front_left", "toe_deg"]
    assert "coarse" in one.why
    assert one.needs == "finer steps, or a wider tolerance"
    assert planned(car_with(edits | {"front.*.adjusters.tie_rod.step": 0.5}), targets).verdict == "reaches all targets"


def test_a_bar_that_cannot_be_set_free_of_preload_is_blamed_for_what_it_does():
    edits = {"front.bar.neutral": 16, "front.bar.link.range": [9, 11]}
    result = planned(car_with(edits), targets_with({"car.cross_weight": {"aim": 50, "within": 0.5}}, clean=True))
    assert result.verdict == "falls short"
    one = short(result)["car", "cross_weight_percent"]
    assert "a bar's preload moves it" in one.why
    assert "link" in one.needs
    freed = planned(
        car_with({"front.bar.neutral": 16, "front.bar.link.range": [-20, 40]}),
        targets_with({"car.cross_weight": {"aim": 50, "within": 0.5}}, clean=True),
    )
    assert freed.verdict == "reaches all targets"


def test_a_hard_target_is_kept_and_what_it_costs_is_said():
    asked = {"front.bump_left": {"at_least": 56, "hard": True}, "front.height": {"aim": 590, "within": 2}}
    result = planned(car_with({"front.*.adjusters.body": DROP}), targets_with(asked, clean=True))
    assert result.verdict == "falls short"
    for corner in ("front_left", "front_right"):
        bump = result.predicted[corner]["bump_left_mm"]
        assert bump.hard
        assert bump.inside
        assert bump.value >= 56
        one = short(result)[corner, "height_mm"]
        assert one.why == "held back: hard target on bump travel"
        assert f"{corner}: give way on the hard target on bump travel" in one.needs


def test_a_hard_target_out_of_reach_is_a_broken_limit():
    result = planned(example_car(), targets_with({"rear.droop_left": {"at_least": 200, "hard": True}}, clean=True))
    assert result.verdict == "breaks a hard limit"
    broken = [finding for finding in result.findings if finding.level == "limit"]
    assert {finding.place for finding in broken} == {"rear_left", "rear_right"} | {f.place for f in broken}
    assert any("hard target on droop travel" in finding.says for finding in broken)


def test_the_example_lowered_beyond_its_reach_names_the_rear_dampers():
    result = plan(example_car(), example_reading(), heights_changed(-40))
    assert result.verdict == "falls short"
    rear = short(result)["rear_left", "height_mm"]
    assert "rear_left.body: a damper about" in rear.needs
    assert "front" not in rear.needs


def test_one_target_out_of_reach_does_not_drag_the_others_out():
    """A plate too short by degrees: the car is not tilted, nor its toe spoilt, to gain a little camber."""
    car = car_with({"front.right.adjusters.camber_plate.range": [-0.5, 0.5]})
    result = plan(car, example_reading(), targets_with({"front.camber": {"aim": -2.6, "within": 0.1}}))
    assert {(one.corner, one.reading) for one in result.short_of} == {("front_right", "camber_deg")}
    assert result.short_of[0].predicted > -1.5
    assert "front_right.camber_plate at the end of the range" in result.short_of[0].why
