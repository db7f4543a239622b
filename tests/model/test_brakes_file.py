"""Brakes in a car's file: what is refused, in which words and where; what is mirrored; laps from a table."""

from __future__ import annotations

import pytest

import cornerwright as cw
from cornerwright.model.errors import Refusal
from cornerwright.model.lap import load_lap
from shared import PROJECT
from workshop import DROP, car_with, example_car

EXAMPLES = {name: PROJECT / "examples" / name / "car.yaml" for name in ("tarn_fell", "skerry_nine")}

BAD = {
    "piston bigger than the rotor": (
        "tarn_fell",
        "pistons: [48 mm]",
        "pistons: [248 mm]",
        "front.left.brake.caliper.pistons",
        "found a piston of 248.0 mm, expected less than half the rotor's diameter of 240.0 mm",
    ),
    "pad outside the rotor": (
        "tarn_fell",
        "      pad:\n        name: fast road\n",
        "      effective_radius: 101 mm\n      pad:\n        name: fast road\n",
        "front.left.brake.effective_radius",
        "found a pad that reaches out to 123.0 mm from the axle, expected one inside the rotor, whose edge is 120.0 mm",
    ),
    "pad across the middle": (
        "tarn_fell",
        "height: 44 mm",
        "height: 130 mm",
        "front.left.brake.pad.height",
        "past the middle",
    ),
    "bias above 1": ("skerry_nine", "front: 55 %", "front: 140 %", "brakes.balance_bar.front", "from 0 to 100"),
    "bias below 0": ("skerry_nine", "front: 55 %", "front: -5 %", "brakes.balance_bar.front", "from 0 to 100"),
    "bias meant as a fraction": (
        "skerry_nine",
        "front: 55 %",
        "front: 0.55",
        "brakes.balance_bar.front",
        "found 0.55 %",
    ),
    "unknown fluid": ("tarn_fell", "grade: DOT 4,", "grade: DOT 6,", "brakes.fluid.grade", "'DOT 5.1'"),
    "negative thickness": (
        "tarn_fell",
        "thickness: 20 mm",
        "thickness: -20 mm",
        "front.left.brake.rotor.thickness",
        "above 0",
    ),
    "negative measured thickness": (
        "tarn_fell",
        "{rotor: 19.4 mm, pad: 8.1",
        "{rotor: -1 mm, pad: 8.1",
        "brakes.measured.front_left.rotor",
        "above 0",
    ),
    "unit of the wrong kind": ("tarn_fell", "knee: 30 bar", "knee: 30 mm", "brakes.valve.knee", "a pressure"),
    "no such corner": (
        "tarn_fell",
        "    front_left: {rotor: 19.4",
        "    front_lift: {rotor: 19.4",
        "brakes.measured.front_lift",
        "front_left",
    ),
    "least above new": (
        "tarn_fell",
        "least: 2 mm\n        height: 44",
        "least: 12 mm\n        height: 44",
        "front.left.brake.pad",
        "least must be less than new",
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_named_by_file_line_and_field(tmp_path, case):
    name, old, new, field, words = BAD[case]
    text = EXAMPLES[name].read_text(encoding="utf-8")
    assert old in text
    file = tmp_path / "car.yaml"
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(Refusal) as caught:
        cw.load_car(file)
    (first, *_) = caught.value.problems
    assert first.field == field
    assert first.file == str(file)
    assert first.line is not None
    assert words in str(first), str(first)


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ({"brakes": DROP}, "front_left has a brake, but the car has no brakes"),
        ({"rear.right.brake": DROP}, "rear_right has none"),
        ({"brakes.parking": DROP}, "brakes.parking, what pulls it, is not there"),
        ({"rear.*.brake.parking": DROP}, "no corner's brake has parking"),
        ({"brakes.front_master": {"bore": 18, "stroke": 30}}, "not both"),
        ({"brakes.master": DROP}, "two cylinders need"),
        ({"brakes.valve.slope": 0}, "slope of a proportioning valve"),
        ({"brakes.valve.kind": "limiting"}, "a limiting valve has no slope"),
        ({"brakes.valve.knee": 70}, "knee must lie inside"),
        ({"brakes.valve.range": DROP}, "needs both per_click and range"),
        ({"brakes.measured.rear_left.rotor": 15}, "thicker than a new one"),
        ({"brakes.measured.rear_left.pad": 15}, "thicker than a new one"),
        ({"rear.*.brake.hand_caliper": {"kind": "sliding", "pistons": [30]}}, "needs brakes.hand_circuit"),
        ({"front.*.brake.hose.free_length": 100}, "no longer than the way between its two ends"),
        ({"front.*.brake.pad.least_friction": 0.5}, "friction must lie between"),
        ({"front.*.brake.pad.bed": [300, 200]}, "bed must go from"),
        ({"front.*.brake.pad.curve.1.temperature": 10}, "rows of the curve must rise"),
        ({"front.*.brake.rotor.least_thickness": 20}, "least_thickness must be less"),
        ({"front.*.brake.rotor.thickness": 130}, "thicker than half its diameter"),
        ({"rear.*.brake.parking": {"kind": "drum_in_hat", "radius": 100, "lever": 5}}, "parking drum is larger"),
    ],
)
def test_what_does_not_belong_together_is_refused(edits, words):
    with pytest.raises(ValueError, match=words.replace("'", ".")):
        car_with(edits)


def test_a_car_without_brakes_is_a_car():
    car = car_with({"brakes": DROP, "front.*.brake": DROP, "rear.*.brake": DROP})
    assert car.brakes is None
    with pytest.raises(Refusal, match="without brakes"):
        cw.brakes(car)
    assert [one for one in cw.check(car).findings if "brake" in one.about] == []


def test_hoses_are_mirrored_and_what_was_measured_is_not():
    car = example_car()
    left, right = car.front.left.brake.hose, car.front.right.brake.hose
    assert right.body == left.body.mirrored()
    assert right.carrier == left.carrier.mirrored()
    assert car.brakes.measured["front_left"].pad != car.brakes.measured["front_right"].pad


def test_a_document_with_brakes_survives_writing():
    for path in EXAMPLES.values():
        car = cw.load_car(path)
        assert type(car).model_validate(car.to_document()) == car


# ------------------------------------------------------------------ laps


def lap_file(tmp_path, text):
    file = tmp_path / "short_lap.csv"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_a_lap_is_read_in_si(tmp_path, sign):
    text = f"# invented\nspeed_km_per_h{sign}time_s\n36{sign}0\n72{sign}10\n\n18{sign}14.5\n"
    lap = load_lap(lap_file(tmp_path, text))
    assert lap.name == "short lap"
    assert [(row.time, row.speed) for row in lap.rows] == [(0.0, 10.0), (10.0, 20.0), (14.5, 5.0)]


def test_a_lap_may_write_units(tmp_path):
    lap = load_lap(lap_file(tmp_path, "time_s,speed_km_per_h\n0,60 mph\n1 min,20 m/s\n"))
    assert lap.rows[0].speed == pytest.approx(26.8224)
    assert lap.rows[1].time == 60.0


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("", None, "an empty file"),
        ("time,speed\n0,1\n", 1, "time_s,speed_km_per_h"),
        ("time_s,speed_km_per_h\n0,1\n", None, "two rows at least"),
        ("time_s,speed_km_per_h\n0,1\nx,2\n", 3, "a time"),
        ("time_s,speed_km_per_h\n0,10\n0,20\n", 3, "times that rise"),
        ("time_s,speed_km_per_h\n0,10\n1,-20\n", 3, "0 to 504"),
        ("time_s,speed_km_per_h\n0,10\n1\n", 3, "a speed"),
        ("time_s,speed_km_per_h\n0,400\n1,0\n", 3, "falls faster"),
        ("time_s,speed_km_per_h\n0,nan\n1,5\n", 2, "a speed"),
    ],
)
def test_a_bad_lap_is_refused_by_line(tmp_path, text, line, words):
    file = lap_file(tmp_path, text)
    with pytest.raises(Refusal) as caught:
        load_lap(file)
    assert caught.value.problems[0].line == line
    assert words in str(caught.value)
    assert str(file) in str(caught.value)
