"""Threads, classes and friction as the trade writes them; joints and fastenings that do not belong together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

import cornerwright as cw
from cornerwright.model.fastening import WheelFastening
from cornerwright.model.joint import Joint
from cornerwright.model.thread import INCH, METRIC, Friction, PropertyClass, Thread
from shared import PROJECT


class Holder(BaseModel):
    thread: Thread = Thread.read("M8")
    marking: PropertyClass = "8.8"
    friction: Friction = (0.1, 0.2)


@pytest.mark.parametrize(
    ("text", "told", "diameter", "pitch", "left"),
    [
        ("M12x1.5", "M12x1.5", 12.0, 1.5, False),
        ("m12 X 1.5", "M12x1.5", 12.0, 1.5, False),
        ("M14 × 1,5", "M14x1.5", 14.0, 1.5, False),
        ("M12", "M12", 12.0, 1.75, False),
        ("M12x1.75", "M12", 12.0, 1.75, False),
        ("M10x1.25 LH", "M10x1.25 LH", 10.0, 1.25, True),
        ("1/2-20 UNF", "1/2-20 UNF", 12.7, 1.27, False),
        ("1/2 UNF", "1/2-20 UNF", 12.7, 1.27, False),
        ('1/2"-20', "1/2-20 UNF", 12.7, 1.27, False),
        ("0.5-13", "1/2-13 UNC", 12.7, 25.4 / 13, False),
        ("7/16-20UNF LH", "7/16-20 UNF LH", 11.1125, 1.27, True),
        ("#10-32 UNF", "#10-32 UNF", 4.826, 0.79375, False),
    ],
)
def test_threads_as_they_are_written(text, told, diameter, pitch, left):
    found = Thread.read(text)
    assert (found.text, found.left_hand) == (told, left)
    assert found.diameter * 1e3 == pytest.approx(diameter)
    assert found.pitch * 1e3 == pytest.approx(pitch)
    assert Thread.read(found.text) == found


def refused(model, **fields):
    with pytest.raises(ValidationError) as caught:
        model.model_validate(fields)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("M12x1.4", "M12 is made with a pitch of 1.75, 1.5, 1.25 or 1 mm"),
        ("M13", "a diameter of ISO 261"),
        ("M9", "the pitch too, as in M9x1.25"),
        ("1/2-21", "1/2 is made as 1/2-13 UNC or 1/2-20 UNF"),
        ("1/2-13 UNF", "1/2 is made as 1/2-13 UNC or 1/2-20 UNF"),
        ("11/32-20", "an inch size of ASME B1.1"),
        ("3/0-20", "a thread such as M12x1.5"),
        ("12", "a thread such as M12x1.5"),
        (12, "a thread such as M12x1.5"),
        ("G 1/2", "a thread such as M12x1.5"),
    ],
)
def test_an_unknown_thread_is_told_with_those_that_are_made(text, expected):
    assert expected in refused(Holder, thread=text)


@pytest.mark.parametrize(
    ("value", "told"), [(8.8, "8.8"), ("10.9", "10.9"), (12.9, "12.9"), ("a2-70", "A2-70"), ("Grade 8", "grade 8")]
)
def test_classes(value, told):
    assert Holder(marking=value).marking == told


@pytest.mark.parametrize("value", [8.7, "11", "", True, None, [8.8]])
def test_an_unknown_class_is_told_with_those_that_are_known(value):
    assert "a bolt's class: 4.6, 4.8" in refused(Holder, marking=value)


@pytest.mark.parametrize(
    ("value", "told"), [("B", (0.08, 0.16)), ("a", (0.04, 0.10)), (0.12, (0.12, 0.12)), ([0.1, 0.16], (0.1, 0.16))]
)
def test_frictions(value, told):
    assert Holder(friction=value).friction == told


@pytest.mark.parametrize(
    "value", ["F", 0.0, 1.2, [0.2, 0.1], [0.1], [0.1, "x"], True, None, {"low": 0.1}, float("nan")]
)
def test_a_friction_that_is_none(value):
    assert "a friction from 0.03 to 0.6" in refused(Holder, friction=value)


@given(st.text(max_size=50))
def test_no_text_breaks_the_reading_of_threads(text):
    try:
        Holder(thread=text)
    except ValidationError as error:
        assert "expected" in str(error)  # noqa: PT017


@given(st.sampled_from([(size, pitch) for size, made in METRIC.items() for pitch in made]), st.booleans())
def test_metric_threads_come_back(thread, left):
    size, pitch = thread
    one = Thread.read(f"M{size}x{pitch:g}{' LH' if left else ''}")
    assert Thread.read(one.write()) == one


@given(st.sampled_from(sorted(INCH)))
def test_inch_threads_come_back(size):
    for count in INCH[size][1:]:
        if count:
            one = Thread.read(f"{size}-{count}")
            assert Thread.read(one.write()) == one


BOLT = {"kind": "bolt", "thread": "M12x1.5", "property_class": 10.9}


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"kind": "rod_end"}, "a joint of kind rod_end has the group rod_end"),
        ({"rod_end": {"thread_in": 20}}, "a joint of kind rod_end has the group rod_end"),
        ({"length": 60, "plain": 60}, "plain must be shorter than length"),
        ({"length": 60, "grip": 62}, "the bolt is too short: it does not reach through what it clamps"),
        ({"depth": 20}, "depth is that of a threaded hole"),
        ({"kind": "screw", "nut": 10}, "nut and nut_class belong to a bolt or stud"),
        ({"tolerance": ["2A", "2B"]}, "inch threads have classes such as 2A and 2B"),
        ({"thread": "M18", "property_class": 9.8}, "class 9.8 says nothing of M18: it goes up to 16 mm"),
        ({"torque": 90}, "Extra inputs are not permitted"),
    ],
)
def test_joints_that_do_not_belong_together(more, expected):
    assert expected in refused(Joint, **(BOLT | more))


WHEEL = {
    "held_by": "stud",
    "count": 4,
    "pitch_circle": 100,
    "thread": "M12x1.5",
    "property_class": 10.9,
    "length": 40,
    "flange": 11,
    "pad": 12,
    "wheel_seat": {"form": "cone", "angle": 60},
    "nut_seat": {"form": "cone", "angle": 60},
    "nut_thread": 17,
}


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({"nut_thread": None}, "with studs give nut_thread"),
        ({"held_by": "bolt"}, "a bolt screws into the flange"),
        ({"plain": 40}, "plain must be shorter than length"),
        ({"nut_room": 15}, "nut_room ends beyond nut_thread"),
        ({"nut_seat": {"form": "ball", "angle": 60}}, "a cone has its angle, a ball its radius"),
        ({"nut_seat": {"form": "cone", "angle": 8}}, "60 deg is usual"),
        ({"nut_seat": {"form": "ball", "radius": 9, "diameter": 18}}, "a ball cannot bear outside"),
    ],
)
def test_fastenings_that_do_not_belong_together(more, expected):
    WheelFastening.model_validate(WHEEL)
    tree = {name: value for name, value in (WHEEL | more).items() if value is not None}
    assert expected in refused(WheelFastening, **tree)


def test_documents_come_back_as_they_were_read():
    for name in ("tarn_fell", "skerry_nine"):
        car = cw.load_car(PROJECT / "examples" / name / "car.yaml")
        again = type(car).model_validate(car.to_document())
        assert again.front.left.fastening == car.front.left.fastening
        assert again.rear.left.joints == car.rear.left.joints


def test_the_right_side_has_the_joints_of_the_left():
    car = cw.load_car(PROJECT / "examples" / "tarn_fell" / "car.yaml")
    assert car.front.right.joints == car.front.left.joints
    assert car.rear.right.fastening == car.rear.left.fastening


def edited(tmp_path, old, new):
    text = (PROJECT / "examples" / "tarn_fell" / "car.yaml").read_text(encoding="utf-8")
    assert old in text
    file = tmp_path / "car.yaml"
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(cw.Refusal) as caught:
        cw.load_car(file)
    return caught.value.problems


def test_a_bad_thread_in_a_file_is_told_with_its_line(tmp_path):
    (problem,) = edited(tmp_path, "thread: M14x1.5", "thread: M14x1.6")
    assert problem.field == "front.left.joints.tie_rod.thread"
    assert problem.line
    assert "M14 is made with a pitch of 2, 1.5, 1.25 or 1 mm" in problem.expected
