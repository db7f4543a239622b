"""Joints of a car and single questions: each bad part has a plain message of its own, and `check` tells them all."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

import cornerwright as cw
from cornerwright.assembly.joint_travel import greatest_angles
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.wheel_stack import stack_of
from shared import PROJECT

CARS = {name: cw.load_car(PROJECT / "examples" / name / "car.yaml") for name in ("tarn_fell", "skerry_nine")}


def changed(group, end, **members):
    """The first car with members of its front left, rear left... fastening or of a joint changed, in document units."""
    name, _, key = group.partition(".")
    car = CARS[name]
    tree = car.to_document()
    place, _, member = key.partition(".")
    axle, side = place.split("_")
    corner = tree[axle][side]
    at = corner["fastening"] if member == "fastening" else corner["joints"][member]
    if "spacer" in members:  # what the wheel says of its spacer would go before it
        corner["wheel"].pop("spacer", None)
    for path, value in members.items():
        here = at
        *way, last = path.split("__")
        for step in way:
            here = here.setdefault(step, {})
        if value is None:
            here.pop(last, None)
        else:
            here[last] = value
    one = cw.joints(type(car).model_validate(tree), f"{place}.{member}").joints[0]
    # Whatever is wrong with a joint, its finding says what to do about it.
    assert all(finding.do for finding in one.findings if finding.level != "note")
    return [finding for finding in one.findings if finding.about == end], one


def told(group, about, **members):
    found, _ = changed(group, about, **members)
    return found


# ------------------------------------------------------------------- the examples


@pytest.mark.parametrize("name", list(CARS))
def test_the_examples_have_sound_joints(name):
    result = cw.joints(CARS[name])
    assert result.verdict == "good"
    assert len(result.joints) >= 8
    for corner in CARS[name].corners:
        assert f"{corner}.fastening" in {one.name for one in result.joints}
    for one in result.joints:
        assert one.engagement_mm is not None
        assert one.engagement_mm >= one.needed_mm - 1e-9


def test_one_joint_by_its_name_and_an_unknown_one():
    one = cw.joints(CARS["tarn_fell"], "Front-Left.lower arm")
    assert [joint.name for joint in one.joints] == ["front_left.lower_arm"]
    with pytest.raises(cw.Refusal) as caught:
        cw.joints(CARS["tarn_fell"], "front_left.upper_arm")
    assert "front_left.lower_arm" in caught.value.problems[0].expected


def test_check_tells_what_is_wrong_with_a_joint():
    car = CARS["tarn_fell"]
    tree = car.to_document()
    tree["front"]["left"]["fastening"]["length"] = 25
    result = cw.check(type(car).model_validate(tree))
    assert result.verdict == "breaks a hard limit"
    assert any("the stud is too short" in finding.says for finding in result.findings)
    assert not any("is too short" in finding.says for finding in cw.check(car).findings)


# ------------------------------------------------------------------- wheels

FRONT = "tarn_fell.front_left.fastening"
BOLTS = "skerry_nine.front_left.fastening"


def test_too_short_a_stud_says_how_much_longer():
    """Spacer 30 + pad 11 - nut's shank 3 + 12 mm of thread: 50 mm; 44 are there."""
    (one,) = told(FRONT, "stud", spacer=30, length=44, spacer_spigot=9)
    assert one.level == "limit"
    assert "too short for a spacer of 30.0 mm and a wheel pad of 11.0 mm" in one.says
    assert "6.0 mm (4.0 turns)" in one.says
    assert one.do == "studs of at least 50.0 mm: 6.0 mm longer"


@pytest.mark.parametrize(
    "seat",
    [{"form": "ball", "radius": 13}, {"form": "cone", "angle": 90}, {"form": "flat"}],
    ids=lambda one: one["form"],
)
def test_the_wrong_seat(seat):
    (one,) = told(FRONT, "seat", nut_seat=seat)
    assert one.level == "limit"
    assert "wrong seat" in one.says


def test_the_wrong_ball():
    (one,) = told(BOLTS, "seat", nut_seat={"form": "ball", "radius": 12})
    assert "ball R 12 mm under the head, a ball R 14 mm in the wheel" in one.says


def test_a_stud_that_bottoms_in_a_closed_nut():
    (one,) = told(FRONT, "stud", nut_room=20)
    assert one.level == "limit"
    assert "bottoms against the closed nut, 5.0 mm before the wheel is clamped" in one.says
    assert not told(FRONT, "stud", nut_room=25)


def test_a_wheel_bolt_that_bottoms_behind_the_hub():
    """Bolt 40, pad 13: 27 mm reach behind the face, 24 are free."""
    (one,) = told(BOLTS, "bolt", length=40)
    assert one.level == "limit"
    assert "bottoms against what is behind the hub, 3.0 mm" in one.says


def test_too_short_a_wheel_bolt():
    (one,) = told(BOLTS, "bolt", spacer=5, spigot=13)
    assert "the wheel bolt is too short for a spacer of 5.0 mm" in one.says
    assert one.do == "wheel bolts of at least 32.0 mm: 4.0 mm longer"


def test_a_plain_part_that_meets_the_nut():
    found = told(FRONT, "thread", plain=30)
    assert any("meets the nut before the wheel is clamped" in one.says for one in found)


def test_a_spacer_without_a_spigot_leaves_the_wheel_on_its_studs():
    (one,) = told(FRONT, "spigot", spacer_spigot=None)
    assert one.level == "warning"
    assert "no spigot centres the wheel" in one.says
    _, thin = changed(FRONT, "spigot", spacer_spigot=None, spacer=3)
    assert thin.wheel.spigot_left_mm == pytest.approx(9 - 3 - 2)
    assert thin.wheel.centred_by == "hub"


def test_too_little_friction_to_hold_the_wheel():
    (one,) = told(FRONT, "slip", tightening__torque=40)
    assert one.level == "warning"
    assert "friction holds" in one.says


def test_a_spacer_adjuster_goes_before_the_thickness_in_the_fastening():
    car = CARS["tarn_fell"]
    tree = car.to_document()
    corner = tree["rear"]["left"]
    corner["adjusters"]["spacer"] = {
        "kind": "spacer", "unit": "mm", "step": 1, "setting": 24, "measured_at": 0, "range": [0, 25],
        "effect": {"half_track": 1},
    }  # fmt: skip
    one = cw.joints(type(car).model_validate(tree), "rear_left.fastening").joints[0]
    assert one.wheel.spacer_mm == 24
    assert any("too short" in finding.says for finding in one.findings)


@given(st.floats(0, 60), st.floats(0, 60))
def test_a_thicker_spacer_never_leaves_more_thread(one, other):
    part = CARS["tarn_fell"].front.left.fastening
    thin, thick = (stack_of(part, size * 1e-3) for size in sorted((one, other)))
    assert thick.engagement <= thin.engagement + 1e-12
    assert thick.needed >= thin.needed


# ------------------------------------------------------------------- joints

ARM = "tarn_fell.front_left.lower_arm"
CAM = "tarn_fell.rear_left.outer_cam"
CLAMP = "tarn_fell.front_left.strut_clamp"
TIE = "tarn_fell.front_left.tie_rod"


def test_a_bolt_that_bottoms():
    """45 mm through 22 mm: 23 mm into a blind hole with 18 mm of thread."""
    found = told(CLAMP, "thread", depth=18, blind=True)
    assert [one.level for one in found] == ["limit"]
    assert "the bolt bottoms: it reaches 23.0 mm into a hole with 18.0 mm of thread" in found[0].says
    assert not told(CLAMP, "thread", depth=18, blind=False)


def test_too_little_thread_in_aluminium():
    found = told(CLAMP, "thread", depth=12, blind=False, into="aluminium")
    assert found[0].level == "limit"
    assert (
        "only 12.0 mm (9.6 turns) of M10x1.25 are in; 20.0 mm (16.0 turns) are asked for in aluminium" in found[0].says
    )


def test_a_thread_that_tears_out_before_it_clamps():
    found = told(CLAMP, "thread", depth=6, into="cast_aluminium", blind=False, tightening__torque=48)
    assert any("tears out at" in one.says and one.level == "limit" for one in found)


def test_the_thread_that_tears_out_is_named_by_the_part_that_is_the_weaker():
    """A stud's nut is a nut; a screw's hole is what it is drilled in; and a bolt may be the weaker itself."""
    soft = told(FRONT, "thread", nut_strength=120, tightening__torque=130)
    assert any("the nut's thread tears out" in one.says for one in soft), soft
    hole = told(CLAMP, "thread", depth=6, into="cast_aluminium", blind=False, tightening__torque=48)
    assert any("the thread in cast aluminium tears out" in one.says for one in hole), hole


def test_a_plain_part_longer_than_what_it_clamps():
    found = told(ARM, "thread", plain=70)
    assert any("the plain part of the bolt is 70.0 mm, more than the 68.0 mm it clamps" in one.says for one in found)


@pytest.mark.parametrize(("torque", "word"), [(180, "would yield"), (30, "so the clamp is low")])
def test_a_makers_torque_that_disagrees_is_told_and_still_used(torque, word):
    found, one = changed(ARM, "torque", tightening__torque=torque)
    assert found[0].level == "warning"
    assert "disagrees with our check" in found[0].says
    assert word in found[0].says
    assert "the maker's torque goes before" in found[0].do
    assert (one.torque_nm, one.torque_from) == (torque, "maker")


def test_without_a_makers_torque_ours_is_shown_and_not_offered():
    found, one = changed(ARM, "torque", tightening__torque=None)
    assert one.torque_from == "ours"
    assert one.torque_nm == pytest.approx(one.torque_90_least_nm)
    assert "no maker's torque is given" in found[0].says
    assert one.yield_high_percent <= 115


def test_a_cam_that_can_slide_is_a_broken_limit_and_a_round_hole_a_warning():
    (cam,) = told(CAM, "slip", load__shear=12000)
    assert cam.level == "limit"
    assert "slide on its eccentric" in cam.says
    (arm,) = told(ARM, "slip", load__shear=12000)
    assert arm.level == "warning"


def test_what_slides_is_told_with_both_forces_and_a_remedy():
    """What friction holds, what pulls, what follows and what to do: each of the four is read by someone who decides."""
    (one,) = told(CAM, "slip", load__shear=12000)
    assert re.fullmatch(
        r"(.*: )?friction may hold no more than [0-9.]+ kN against 12\.0 kN across the bolt: "
        r"it can slide on its eccentric and the setting is lost",
        one.says,
    ), one.says
    assert one.do == "clean, dry, unpainted faces; more faces, or a stronger bolt"


@pytest.mark.parametrize(
    ("both", "nuts", "says"),
    [(True, "not_known", "whether both lock nuts are tight"), (False, "not_known", "is tight is not known")],
)
def test_one_nut_is_tight_and_two_are(both, nuts, says):
    (one,) = told(TIE, "joint", rod_end__both_ends=both, rod_end__lock_nuts=nuts)
    assert says in one.says
    assert one.do == "look"


def test_the_least_friction_counts_not_the_most():
    """A band from a lubricated value up to a dry one takes a lubricant; one that only ends low does not exist."""
    (one,) = [one for one in told(ARM, "torque", tightening__friction=[0.05, 0.3]) if "takes a lubricant" in one.says]
    assert "a friction of 0.05" in one.says
    head = {"tightening__friction": [0.12, 0.16], "tightening__head_friction": [0.05, 0.3]}
    assert any("a friction of 0.05" in one.says for one in told(ARM, "torque", **head))
    assert not any("takes a lubricant" in one.says for one in told(ARM, "torque", tightening__friction=[0.12, 0.16]))


def test_a_new_bolt_each_time_that_nobody_knows_of_is_asked_for_in_full():
    found = told(ARM, "joint", tightening__renew=True, tightening__fitted="not_known")
    says = "the maker asks for a new bolt or nut at every fitting; whether this one is new is not known"
    assert any(one.says.endswith(says) for one in found), [one.says for one in found]


def test_a_cam_without_a_load_asks_for_it():
    (one,) = told(CAM, "slip", load=None)
    assert one.level == "note"
    assert "load.shear" in one.do


def test_rod_end_at_its_present_setting_and_at_the_end_of_its_range():
    """38 mm in at 30 mm showing; at 45 mm showing 23 are left; 1.5 d of M14 are 21."""
    _, now = changed(TIE, "thread")
    assert (now.thread_in_mm, now.thread_in_least_mm) == (38.0, 23.0)
    (far,) = told(TIE, "thread", rod_end__thread_in=34)
    assert far.level == "note"
    (short,) = told(TIE, "thread", rod_end__thread_in=20)
    assert short.level == "limit"
    assert "20.0 mm (13.3 turns) of thread are left in; 21.0 mm" in short.says


def test_a_rod_with_a_thread_at_both_ends_takes_half_of_the_change_at_each():
    _, one = changed(TIE, "thread", rod_end__both_ends=True, rod_end__lock_nuts="both")
    assert one.thread_in_least_mm == pytest.approx(38 - 15 / 2)


@pytest.mark.parametrize(
    ("both", "nuts", "levels"),
    [
        (True, "both", []), (True, "one", ["limit"]), (True, "none", ["limit"]), (False, "one", []),
        (False, "none", ["limit"]), (True, "not_known", ["note"]),
    ],
)  # fmt: skip
def test_lock_nuts(both, nuts, levels):
    found = told(TIE, "joint", rod_end__both_ends=both, rod_end__lock_nuts=nuts)
    assert [one.level for one in found] == levels


def test_a_rod_end_that_turns_too_far():
    (one,) = told(TIE, "joint", rod_end__most_angle=15)
    assert one.level == "limit"
    assert "19.0 deg" in one.says
    (computed,) = told("skerry_nine.front_left.tie_rod", "joint", rod_end__most_angle=5)
    assert computed.level == "limit"
    angle = greatest_angles(Rig(CARS["skerry_nine"]).vary(), "front_left")["tie_outer"]
    assert f"it turns {angle * 57.29577951:.1f} deg" in computed.says


def test_an_adjuster_that_is_not_there():
    (one,) = told(TIE, "joint", rod_end__adjuster="tierod")
    assert one.level == "warning"
    assert "'tierod' is not here" in one.says
    assert "tie_rod" in one.do


def test_a_joint_that_is_not_there():
    (one,) = told("skerry_nine.front_left.tie_rod", "joint", rod_end__joint="kingpin")
    assert one.level == "warning"
    assert "tie_outer" in one.do


@pytest.mark.parametrize(
    ("tightening", "about", "level", "words"),
    [
        ({"stands": "loose"}, "joint", "limit", "it stands loose"),
        ({"fitted": "reused", "renew": True}, "joint", "limit", "this one has been used before"),
        ({"fitted": "not_known", "renew": True}, "joint", "warning", "whether this one is new is not known"),
        ({"method": "angle", "angle": 90, "fitted": "reused", "renew": False}, "joint", "warning", "has stretched"),
        ({"method": "impact"}, "torque", "warning", "an impact wrench"),
        ({"friction": "A"}, "torque", "warning", "takes a lubricant"),
        ({"retorque_km": 80}, "joint", "note", "to be checked again after 80 km"),
    ],
)
def test_state(tightening, about, level, words):
    found = told(ARM, about, **{f"tightening__{name}": value for name, value in tightening.items()})
    assert [one.level for one in found if words in one.says] == [level]


def test_a_mark_of_new_bolts_is_told():
    (one, *_) = told(ARM, "joint", tightening__fitted="reused")
    assert "yellow paint on the nut" in one.do


# ------------------------------------------------------------------- single questions


def test_a_question_without_a_car():
    (one,) = cw.joint(thread="M12x1.5", property_class=10.9, engagement="15 mm", tightening={"torque": 110}).joints
    assert one.pitch_diameter_mm == pytest.approx(11.026, abs=0.001)
    assert one.proof_load_n == pytest.approx(73100, rel=0.005)
    assert one.clamp.low_n < one.clamp.middle_n < one.clamp.high_n


def test_a_question_with_bad_values_names_every_one():
    with pytest.raises(cw.Refusal) as caught:
        cw.joint(thread="M12x1.4", property_class="11.9", engagement=-3)
    assert [one.field for one in caught.value.problems] == ["thread", "property_class", "engagement"]
    assert all(one.line is None for one in caught.value.problems)


@given(st.floats(20, 200), st.floats(1.01, 2.0))
def test_more_torque_more_clamp(torque, more):
    def clamp(value):
        return cw.joint(thread="M12x1.5", property_class="10.9", tightening={"torque": value}).joints[0].clamp

    one, other = clamp(torque), clamp(torque * more)
    assert one.low_n < other.low_n
    assert one.high_n < other.high_n


@given(st.floats(3, 40), st.floats(1.01, 2.0))
def test_more_thread_never_makes_a_verdict_worse(length, more):
    order = {"good": 0, "warnings": 1, "breaks a hard limit": 2}

    def verdict(value):
        return order[cw.joint(thread="M10", property_class="8.8", into="aluminium", engagement=value).verdict]

    assert verdict(length * more) <= verdict(length)
