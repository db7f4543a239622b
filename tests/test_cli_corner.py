"""`cornerwright corner`: page, JSON, charts, what changes the balance, refusals."""

from __future__ import annotations

import json

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.turn_inputs import turn_inputs
from cornerwright.drawing.corner_charts import corner_charts
from cornerwright.model.car import Car
from shared import PROJECT, fits_schema

EXAMPLES = {name: PROJECT / "examples" / name / "car.yaml" for name in ("skerry_nine", "tarn_fell")}


def car(name="tarn_fell"):
    return cw.load_car(EXAMPLES[name])


def with_bars(front, rear):
    one = car()
    ends = {}
    for end, rate in (("front", front), ("rear", rear)):
        axle = getattr(one, end)
        ends[end] = axle.model_copy(update={"bar": axle.bar.model_copy(update={"rate": rate})})
    return one.model_copy(update=ends)


@pytest.mark.parametrize("name", EXAMPLES)
def test_inputs_are_the_car_at_rest(name):
    stance = Rig(car(name)).vary().stand()
    found = turn_inputs(car(name)).car
    assert found.mass * 9.80665 == pytest.approx(stance.load[0].sum())
    assert found.behind / found.wheelbase == pytest.approx(stance.load[0, :2].sum() / stance.load[0].sum())
    # Wheels that rise gain negative camber on both examples, and no roll centre is far away.
    assert (found.camber_gain < 0).all()
    assert (np.abs(found.roll_centre) < 0.25).all()


def test_roll_centre_is_that_of_travel():
    one = car("skerry_nine")
    told = cw.travel(one, "front_left", [cw.stand(one).corners["front_left"].lift_mm / 1e3])
    assert cw.corner(one).roll_centre_mm["front"] == pytest.approx(told.rows[0].roll_centre_mm, abs=4.0)


@pytest.mark.parametrize("name", EXAMPLES)
def test_rows_go_up_to_the_limit(name):
    found = cw.corner(car(name))
    assert [row.lateral_g for row in found.rows] == sorted(row.lateral_g for row in found.rows)
    assert found.rows[-1] == found.limit
    assert 0.6 < found.limit.lateral_g < 1.1
    assert max(found.limit.front_used_percent, found.limit.rear_used_percent) > 97
    for row in found.rows:
        assert sum(row.load_kg.values()) == pytest.approx(sum(found.rows[0].load_kg.values()), rel=1e-4)


def test_a_stiffer_front_bar_pushes_and_a_stiffer_rear_bar_loosens():
    firm, loose = cw.corner(with_bars(40e3, 1e3)), cw.corner(with_bars(1e3, 40e3))
    assert firm.front_transfer_percent > loose.front_transfer_percent + 10
    assert firm.limit.steer_deg > loose.limit.steer_deg
    assert loose.verdict == "slides at the rear"
    assert any(one.level == "warning" for one in loose.findings)


def test_slides_take_opposite_lock_and_more_power():
    found = cw.corner(car())
    assert len(found.slides) >= 3
    assert [one.steer_deg for one in found.slides] == sorted((one.steer_deg for one in found.slides), reverse=True)
    assert found.slides[-1].steer_deg < 0
    assert found.slides[-1].power_kw > found.limit.power_kw
    assert cw.corner(car(), driven="front").slides == ()


def test_a_tall_car_turns_over(cornerwright, tmp_path):
    text = EXAMPLES["tarn_fell"].read_text(encoding="utf-8").replace("cg_height: 492 mm", "cg_height: 860 mm")
    file = tmp_path / "tall.yaml"
    file.write_text(text, encoding="utf-8")
    told = cornerwright("corner", file)
    assert told.status == 1
    assert "TURNS OVER" in told.out


def test_without_grip_an_invented_tyre_is_taken_and_told():
    one = car()
    ends = {}
    for end in ("front", "rear"):
        axle = getattr(one, end)
        sides = {}
        for side in ("left", "right"):
            corner = getattr(axle, side)
            sides[side] = corner.model_copy(update={"tyre": corner.tyre.model_copy(update={"grip": None})})
        ends[end] = axle.model_copy(update=sides)
    assert any("no real make" in words for words in cw.corner(one.model_copy(update=ends)).assumed)
    assert not any("no real make" in words for words in cw.corner(one).assumed)


@pytest.mark.parametrize("name", EXAMPLES)
def test_page_json_and_picture(cornerwright, tmp_path, name):
    told = cornerwright("corner", EXAMPLES[name], "--svg", tmp_path / "corner.svg")
    assert (told.status, told.err) == (0, "")
    for words in ("gives up its grip first", "On a circle of 30 m", "Held in a slide", "closed ground", "rear driven"):
        assert words in " ".join(told.out.split())
    assert max(len(line) for line in told.out.splitlines()) <= 80
    assert (tmp_path / "corner.svg").read_text().startswith("<svg")
    fits_schema(cornerwright, "corner", json.loads(cornerwright("corner", EXAMPLES[name], "--json").out))
    boxes = corner_charts(cw.corner(car(name))).texts
    assert not any(one.overlaps(other) for k, one in enumerate(boxes) for other in boxes[k + 1 :])


@pytest.mark.parametrize(("more", "words"), [(("--radius", "2"), "--radius"), (("--driven", "left"), "--driven")])
def test_wishes_that_are_refused(cornerwright, more, words):
    told = cornerwright("corner", EXAMPLES["tarn_fell"], *more)
    assert (told.status, words in told.err) == (2, True)


@pytest.mark.parametrize("width", [90.0, 120.0, 180.0])
def test_charts_fit_a_phone_and_a_page(width):
    check = corner_charts(cw.corner(car("skerry_nine")), width)
    assert all(box.left >= 0 and box.right <= width for box in check.texts)
    assert not any(one.overlaps(other) for k, one in enumerate(check.texts) for other in check.texts[k + 1 :])
    with pytest.raises(ValueError, match="90 mm"):
        corner_charts(cw.corner(car()), 80.0)


# Steering lock.


def changed(name, edit):
    tree = car(name).to_document()
    edit(tree)
    return Car.model_validate(tree)


def test_lock_of_a_rack_is_what_the_wheels_turn_by():
    """Both front wheels at full rack, by `travel` at the lifts of the limit."""
    one = car("skerry_nine")
    found = cw.corner(one)
    rest = cw.stand(one).corners
    for told, rack, sign in ((found.lock.left_deg, 0.062, 1.0), (found.lock.right_deg, -0.062, -1.0)):
        turned = []
        for name, side in (("front_left", -1.0), ("front_right", 1.0)):
            lift = (rest[name].lift_mm + found.limit.lift_mm[name]) / 1e3
            straight, full = (cw.travel(one, name, [lift], [at]).rows[0].toe_deg for at in (0.0, rack))
            turned.append(side * (full - straight))
        assert told == pytest.approx(sign * np.mean(turned), abs=0.05)
    assert found.lock.ended_by == "rack"
    assert found.lock.clearance_known


def test_lock_of_a_jack_table_is_that_under_room():
    found = cw.corner(car())
    # 33 degrees inward and 29 outward about a leaning axis: the mean, less what the lean takes off.
    assert found.lock.left_deg == pytest.approx(31.0, abs=1.2)
    assert found.lock.ended_by == "turn"
    assert [one.within_lock for one in found.slides] == [-one.steer_deg < found.lock.right_deg for one in found.slides]


def test_lock_that_is_not_given_is_said():
    def without(tree):
        for side in ("left", "right"):
            tree["front"][side]["room"]["lock"] = None

    found = cw.corner(changed("tarn_fell", without))
    assert found.lock is None
    assert all(one.within_lock is None for one in found.slides)
    assert any(one.about == "lock" and "not in the file" in one.says for one in found.findings)
    assert cw.corner(car(), lock=False).lock is None


def test_room_that_was_not_measured_is_said():
    def without(tree):
        for side in ("left", "right"):
            tree["front"][side]["room"] = None

    found = cw.corner(changed("skerry_nine", without))
    assert found.lock is not None
    assert not found.lock.clearance_known
    assert any("no room was measured" in one.says for one in found.findings)


def test_a_post_beside_the_tyre_stops_the_lock_before_the_rack_does():
    def with_post(tree):
        for side, sign in (("left", 1.0), ("right", -1.0)):
            post = {"edge": [[-320, sign * 560, 250], [-320, sign * 560, 420]], "radius": 15}
            tree["front"][side]["room"]["obstacles"]["post"] = post

    found = cw.corner(changed("skerry_nine", with_post))
    rubs = [one for one in (found.lock.rubs_left_deg, found.lock.rubs_right_deg) if one is not None]
    assert rubs
    assert all(0.0 <= one < found.lock.left_deg for one in rubs)
    assert any(one.level == "warning" and "touches" in one.says for one in found.findings)
    tight = [one for one in found.slides if found.lock.rubs_right_deg and -one.steer_deg > found.lock.rubs_right_deg]
    assert all(one.within_lock is False for one in tight)


def test_a_short_lock_cannot_hold_a_deep_slide():
    def short(tree):
        tree["front"]["rack"]["travel"] = 30

    found = cw.corner(changed("skerry_nine", short))
    assert found.lock.left_deg < 16
    assert next(one.within_lock for one in found.slides) is True
    assert [one.within_lock for one in found.slides][-1] is False
    assert any("the car would spin" in one.says for one in found.findings)


def test_camber_and_lift_of_each_wheel_are_those_of_its_linkage():
    """At the limit: the wheel's camber by `travel` at its lift, and the body's roll on top."""
    one = car("skerry_nine")
    found = cw.corner(one)
    rest = cw.stand(one).corners
    for name, side in (("front_left", -1.0), ("front_right", 1.0), ("rear_left", -1.0), ("rear_right", 1.0)):
        lift = rest[name].lift_mm + found.limit.lift_mm[name]
        by_linkage = [cw.travel(one, name, [at / 1e3]).rows[0].camber_deg for at in (lift, rest[name].lift_mm)]
        wanted = rest[name].camber_deg + by_linkage[0] - by_linkage[1] + side * found.limit.roll_deg
        assert found.limit.camber_deg[name] == pytest.approx(wanted, abs=0.08)
