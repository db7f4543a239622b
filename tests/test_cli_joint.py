"""`cornerwright joint`: all joints of a car, one in full, a single question, its section; bad input."""

from __future__ import annotations

import json

import pytest

import cornerwright as cw
from shared import fits_schema

QUESTION = ("joint", "--thread", "M12x1.5", "--class", "10.9", "--torque", "110", "--engagement", "18")


def test_all_joints_of_the_example(cornerwright, job):
    told = cornerwright("joint", job.car)
    assert (told.status, told.err) == (0, "")
    text = " ".join(told.out.split())
    for words in (
        "Nothing wrong found",
        "lower arm M12x1.5 10.9 110",
        "The maker's torque is the value to use",
        "50 km",
    ):
        assert words in text
    asked = cornerwright("joint", job.car, "--json")
    fits_schema(cornerwright, "joint", asked.answer)
    assert asked.answer == json.loads(cw.joints(cw.load_car(job.car)).model_dump_json(by_alias=True))


def test_one_joint_in_full(cornerwright, job):
    told = cornerwright("joint", job.car, "front-left.fastening")
    text = " ".join(told.out.split())
    for words in ("100 N·m the maker's: use this", "stud 46.0 mm", "cone 60°", "13.3 turns", "the tyre can ask for"):
        assert words in text
    assert len(cornerwright("joint", job.car, "front_left.fastening", "--json").answer["joints"]) == 1


def test_a_single_question(cornerwright):
    told = cornerwright(*QUESTION)
    assert told.status == 0
    assert "88.1 mm²" in told.out
    asked = cornerwright(*QUESTION, "--json")
    fits_schema(cornerwright, "joint", asked.answer)
    assert asked.answer["joints"][0]["torque_nm"] == 110
    assert asked.answer["car"] is None


def test_units_of_the_trade(cornerwright):
    one = cornerwright(
        "joint", "--thread", "1/2-20 UNF", "--class", "grade 8", "--torque", "75 lbf·ft", "--json"
    ).answer
    assert one["joints"][0]["torque_nm"] == pytest.approx(101.69, abs=0.01)


def test_every_option_reaches_its_field(cornerwright):
    one = cornerwright(
        "joint", "--thread", "M10", "--class", "8.8", "--torque", "45", "--into", "aluminium", "--length", "60",
        "--grip", "30", "--depth", "35", "--method", "torque_tested", "--friction", "0.10:0.14", "--shear", "2000",
        "--axial", "500", "--json",
    ).answer["joints"][0]  # fmt: skip
    assert one["engagement_mm"] == 30
    assert one["needed_mm"] == 20
    assert (one["friction_low"], one["friction_high"], one["alpha"]) == (0.10, 0.14, 1.6)
    assert one["slip_safety"] > 0
    assert one["settling_loss_n"] > 0
    nut = cornerwright("joint", "--thread", "M10", "--class", "8.8", "--into", "nut", "--json").answer["joints"][0]
    assert nut["kind"] == "bolt"
    assert nut["engagement_mm"] == 8


def test_a_broken_limit_is_status_1(cornerwright):
    told = cornerwright("joint", "--thread", "M12x1.5", "--class", "10.9", "--torque", "110", "--engagement", "5")
    assert told.status == 1
    assert "LIMIT" in told.out


BAD = [
    (("joint",), "a car file, or --thread"),
    (("joint", "--thread", "M12x1.4"), "--thread: found the text 'M12x1.4'"),
    (("joint", "--thread", "M12", "--class", "11.9"), "--class: found the text '11.9'"),
    (("joint", "--thread", "M12", "--torque", "80 kg"), "--torque"),
    (("joint", "--thread", "M12", "--into", "chalk"), "--into"),
    (("joint", "--thread", "M12", "--method", "ugga"), "--method"),
    (("joint", "--thread", "M12", "--friction", "0.1:x"), "--friction"),
    (("joint", "--thread", "M12", "--friction", "0.1:0.2:0.3"), "--friction"),
    (("joint", "--thread", "M18", "--class", "9.8"), "class 9.8 says nothing of M18"),
    (("joint", "--thread", "M12", "--length", "40", "--grip", "50"), "the bolt is too short"),
    (("joint", "--thread", "M12", "--svg", "x.svg"), "a car and the name of a wheel's joint"),
]


@pytest.mark.parametrize(("line", "expected"), BAD)
def test_bad_input(cornerwright, line, expected):
    told = cornerwright(*line)
    assert told.status == 2
    assert told.out == ""
    assert expected in told.err
    assert cornerwright(*line, "--json").answer["error"]["problems"]


def test_bad_input_with_a_car(cornerwright, job):
    for line, expected in (
        (("joint", job.car, "--thread", "M12"), "a car, or a single question"),
        (("joint", job.car, "front_left.nothing"), "front_left.lower_arm"),
        (("joint", job.car, "--svg", job.car.parent / "x.svg"), "a wheel's joint such as front_left.fastening"),
        (("joint", job.car, "front_left.lower_arm", "--png", job.car.parent / "x.png"), "which is no wheel's joint"),
        (("joint", job.car, "front_left.fastening", "--svg", job.car), "another file"),
    ):
        told = cornerwright(*line)
        assert told.status == 2
        assert expected in told.err


def test_each_bad_part_of_a_file_has_its_own_message(cornerwright, job):
    job.edit(job.car, "      length: 46 mm", "      length: 25 mm")
    told = cornerwright("check", job.car)
    assert told.status == 1
    assert "the stud is too short" in " ".join(told.out.split())


def test_the_section_is_drawn(cornerwright, job):
    svg, png = job.car.parent / "section.svg", job.car.parent / "section.png"
    assert cornerwright("joint", job.car, "rear_left.fastening", "--svg", svg, "--png", png).status == 0
    assert "thread in 20.0 mm, 13.3 turns" in svg.read_text(encoding="utf-8")
    assert png.read_bytes().startswith(b"\x89PNG")


def test_a_car_without_joints_says_so(cornerwright, tmp_path):
    cornerwright("new", tmp_path / "mine.yaml")
    told = cornerwright("joint", tmp_path / "mine.yaml")
    assert told.status == 0
    assert "lists no joints" in told.out
