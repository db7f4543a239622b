"""Why a number is what it is: every number of every answer has its equation, inputs that it follows from, and doubt."""

from __future__ import annotations

import math

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.report import KINDS, key_of
from cornerwright.assembly.rig import Rig
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import CornerStanding, StandResult, TravelResult
from cornerwright.model.results_brakes import BrakesResult
from cornerwright.model.results_corner import CornerResult
from cornerwright.model.results_doubt import DoubtResult
from cornerwright.model.results_fit import CornerFit
from cornerwright.model.results_joint import JointAnswer
from cornerwright.model.results_plan import LearnResult, PlanResult
from cornerwright.model.results_road import RoadResult
from cornerwright.planning.learn import learn
from cornerwright.planning.passes import as_it_stands
from cornerwright.planning.why import asking
from cornerwright.planning.why.explained import SUFFIXES, numbers, unit_of
from cornerwright.planning.why.of_stand import CAR, CORNER
from cornerwright.planning.why.registry import TABLES, find
from shared import PROJECT, fits_schema

EXAMPLES = ("tarn_fell", "skerry_nine")


def example(name: str = "tarn_fell"):
    folder = PROJECT / "examples" / name
    return cw.load_car(folder / "car.yaml")


def readings(name: str = "tarn_fell"):
    return cw.load_readings(PROJECT / "examples" / name / "readings.yaml")


# ------------------------------------------------------------------- every number has an answer


@pytest.mark.parametrize(
    ("model", "table"),
    [
        (CornerStanding, CORNER),
        (StandResult, CAR),
        (TravelResult, TABLES["travel"]),
        (JointAnswer, TABLES["joint"]),
        (CornerFit, TABLES["fit"]),
        (BrakesResult, TABLES["brakes"]),
        (RoadResult, TABLES["road"]),
        (CornerResult, TABLES["corner"]),
        (PlanResult, TABLES["plan"]),
        (LearnResult, TABLES["learn"]),
        (DoubtResult, TABLES["doubt"]),
    ],
)
def test_every_number_of_an_answer_is_explained_and_no_other(model, table):
    told = {name for name in numbers(model) if model is not StandResult or not name.startswith("corners.")}
    assert told == set(table)


def test_every_reading_of_a_plan_is_explained():
    for name in KINDS:
        assert find(key_of(name)).answer == "stand", name
    plan = cw.plan(
        example(), readings(), cw.load_targets(PROJECT / "examples" / "tarn_fell" / "targets.yaml"), read_between=False
    )
    for place, row in plan.predicted.items():
        for key in row:
            assert find(key).answer == "stand", (place, key)


@pytest.mark.parametrize("answer", list(TABLES))
def test_every_explanation_says_what_how_and_whence(answer):
    for key, one in TABLES[answer].items():
        assert one.what, key
        assert one.equation, key
        assert one.source, key
        assert one.what[0].isupper(), key
        assert not one.what.endswith("."), key
        for name in (*one.answers, *(one.between or ())):
            if name not in ("marking", "tread_guessed", "clearances.obstacle"):
                tails = {other.rpartition(".")[2] for other in TABLES[answer]}
                assert name.rpartition(".")[2] in tails, f"{key}: {name}"


def test_longer_endings_of_keys_go_before_shorter_ones():
    order = list(SUFFIXES)
    for k, one in enumerate(order):
        assert not any(one.endswith(before) for before in order[:k]), one
    assert unit_of("wheel_rate_n_per_mm") == "N/mm"
    assert unit_of("clamp.middle_n") == "N"
    assert unit_of("alpha") == ""


# ------------------------------------------------------------------- the number is the one that is shown


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_numbers_are_those_that_stand_shows(name):
    car = example(name)
    shown = cw.stand(car)
    for corner in CORNERS[::3] if name == "tarn_fell" else CORNERS[1:2]:
        for key, value in shown.corners[corner].model_dump().items():
            if key in CORNER:
                assert cw.why(car, key, corner).value == (None if value is None else pytest.approx(value)), key
    for key in CAR:
        if key != "residual_n":
            assert cw.why(car, key).value == pytest.approx(getattr(shown, key)), key


def test_the_numbers_are_those_that_the_other_commands_show():
    car = example()
    joint = cw.joints(car, "front_left.fastening").joints[0]
    assert joint.clamp is not None
    assert cw.why(car, "clamp.middle_n", "front_left").value == joint.clamp.middle_n
    assert cw.why(car, "torque_nm", joint="front_left.lower_arm").value == (
        cw.joints(car, "front_left.lower_arm").joints[0].torque_nm
    )
    fit = cw.fit(car, "front_left").corners["front_left"]
    assert cw.why(car, "clearances.clearance_mm", "front_left").value == fit.clearances[0].clearance_mm
    assert cw.why(car, "clearances[1].clearance_mm", "front_left").doubt.sigma == fit.clearances[1].sigma_mm
    brakes = cw.brakes(car)
    assert cw.why(car, "pedal.foot_n").value == brakes.pedal.foot_n
    asked = cw.why(car, "brakes.rows[2].foot_n")
    assert (asked.key, asked.value) == ("rows[2].foot_n", brakes.rows[2].foot_n)
    hottest = cw.why(car, "rotor_peak_degc", "rear_left")
    assert hottest.value == brakes.heat.rotor_peak_degc["rear_left"]
    driven = next(one for one in brakes.balances if one.load == brakes.load)
    assert cw.why(car, "balances.front_percent").value == driven.front_percent


def test_the_road_and_a_turn_are_those_of_their_commands(monkeypatch):
    car = example("skerry_nine")
    turns = cw.corner(car)
    told = cw.why(car, "understeer_deg_per_g")
    assert (told.answer, told.value) == ("corner", turns.understeer_deg_per_g)
    load = cw.why(car, "corner.limit.load_kg", "rear_right")
    assert load.value == turns.limit.load_kg["rear_right"]
    road = cw.road(car, seconds=4.0)
    monkeypatch.setattr(asking, "road", lambda _: road)  # a minute of road takes its time
    assert cw.why(car, "corners.least_mm", "front_left").value == road.corners["front_left"].least_mm
    assert cw.why(car, "corners.least_mm", "front_left").doubt.comes_from.startswith("one run")


@pytest.mark.parametrize("key", ["plan.chance", "learn.learned.sigma", "doubt.readings.sigma"])
def test_numbers_that_need_more_than_a_car_are_explained_without_a_value(key):
    told = cw.why(example(), key)
    assert told.value is None
    assert told.equation
    assert f"cornerwright {key.partition('.')[0]}" in told.doubt.comes_from


def test_the_key_may_lack_its_unit_and_its_path():
    assert find("camber").key == "camber_deg"
    assert find("joint.torque_nm").key == "torque_nm"
    assert find("middle_n").key == "clamp.middle_n"
    assert find("brakes.rows[3].foot_n").at == (3, None)
    assert find("anti_dive").key == "rows.anti_dive_percent"


# ------------------------------------------------------------------- it follows from its inputs


def inputs(result) -> dict[str, float]:
    return {one.name: one.value for one in result.inputs if isinstance(one.value, float)}


def test_the_parts_of_an_angle_add_up_to_it():
    for name in EXAMPLES:
        for angle in ("camber", "toe"):
            told = cw.why(example(name), angle, "rear_right")
            parts = inputs(told)
            own = ("against the body_deg", "given by the bushes under load_deg", "by the body's roll and pitch_deg")
            total = sum(value for key, value in parts.items() if key.endswith(own))
            assert total == pytest.approx(told.value, abs=1e-9)
            assert len([key for key in parts if key.endswith(own)]) == 3


def test_numbers_follow_from_the_inputs_shown_by_the_equation_shown():
    """The equations of the table, worked by hand from what `why` lists."""
    car = example()
    cross = cw.why(car, "cross_weight")
    loads = inputs(cross)
    share = (
        100
        * (loads["front_right load_kg"] + loads["rear_left load_kg"])
        / sum(loads[f"{one} load_kg"] for one in CORNERS)
    )
    assert cross.value == pytest.approx(share, abs=1e-6)

    droop = cw.why(car, "droop_left", "rear_left")
    told = inputs(droop)
    assert droop.value == pytest.approx(told["lift_mm"] - told["lift at droop_mm"], abs=1e-6)

    area = cw.why(car, "stress_area_mm2", "front_left")
    told = inputs(area)
    by_hand = math.pi / 4 * ((told["pitch_diameter_mm"] + told["core_diameter_mm"]) / 2) ** 2
    assert area.value == pytest.approx(by_hand, rel=1e-9)

    turns = cw.why(car, "engagement_turns", "front_left")
    told = inputs(turns)
    assert turns.value == pytest.approx(told["engagement_mm"] / told["pitch_mm"])

    least = cw.why(car, "clamp.low_n", "front_left")
    told = inputs(least)
    x = (told["alpha"] - 1) / (told["alpha"] + 1)
    assert least.value <= told["middle_n"] * (1 - x) * (1 + 1e-9)

    held = cw.why(car, "stroke_percent", "front_left")
    told = inputs(held)
    stroke = told["front.left.damper.open"] - told["front.left.damper.closed"]
    assert held.value == pytest.approx(100 * (told["damper_mm"] - told["front.left.damper.closed"]) / stroke, abs=1e-6)

    slack = cw.why(car, "hoses.slack_mm", "front_left")
    told = inputs(slack)
    assert slack.value == pytest.approx(told["free_length_mm"] - told["longest_mm"])


def test_fields_of_the_car_file_come_with_their_unit():
    told = {one.name: one for one in cw.why(example(), "load_n", "front_left").inputs}
    assert (told["front.left.unsprung_mass"].unit, told["front.left.unsprung_mass"].comes_from) == ("kg", "car file")
    assert "rate" in told["front.left.tyre"].value
    stack = next(one for one in cw.why(example(), "spring_load_n", "rear_left").inputs if one.name.endswith("stack"))
    assert "rate 84" in stack.value


# ------------------------------------------------------------------- how sure


@pytest.mark.parametrize(
    "key", ["height_mm", "load_kg", "camber_deg", "toe_deg", "bump_left_mm", "cross_weight_percent"]
)
def test_the_standard_deviation_is_that_of_drawn_cars(key):
    """Second road: the scatter of cars drawn from the doubt, as `doubt` has it."""
    car = example()
    place = "car" if key.startswith("cross") else "rear_left"
    drawn = cw.doubt(car, rows=128)
    scatter = next(one.sigma for one in drawn.readings if one.place == place and key_of(one.reading) == key)
    told = cw.why(car, key, None if place == "car" else place)
    assert told.doubt.sigma == pytest.approx(scatter, rel=0.12)
    shares = [one.share_percent for one in told.doubt.causes]
    assert shares == sorted(shares, reverse=True)
    assert 60 < sum(shares) <= 100.01
    assert told.doubt.causes[0].moves_by <= told.doubt.sigma * (1 + 1e-9)


def test_readings_move_the_number_and_leave_less_doubt():
    car, read = example(), readings()
    before, after = cw.why(car, "camber", "front_left"), cw.why(car, "camber", "front_left", read)
    assert after.doubt.sigma < before.doubt.sigma / 3
    seen = next(one for one in after.inputs if one.comes_from == "reading")
    assert abs(seen.value - after.value) < 3 * after.doubt.gauge
    assert not [one for one in before.inputs if one.comes_from == "reading"]
    assert after.doubt.comes_from.startswith("what 1 pass")
    assert all(one.share_percent is None for one in after.doubt.causes)


def test_the_doubt_left_by_readings_is_that_of_cars_drawn_after_them():
    car, read = example(), readings()
    rig = Rig(as_it_stands(car, read))
    belief = learn(rig, read)
    drawn = rig.vary(unknowns=belief.draw(1500, 5))
    scatter = np.degrees(drawn.stand().q[:, 2]).std()
    assert cw.why(car, "roll_deg", readings=read).doubt.sigma == pytest.approx(scatter, rel=0.1)


def test_ranges_where_no_standard_deviation_is_computed():
    told = cw.why(example(), "clamp.middle_n", "front_left")
    assert told.doubt.sigma is None
    assert told.doubt.low < told.value < told.doubt.high
    assert "friction" in told.doubt.comes_from


def test_numbers_of_the_brakes_lie_between_those_of_the_pads_ends():
    """Second road: the car with other pads in its file."""
    car = example("skerry_nine")
    told = cw.why(car, "pedal.foot_n")
    assert told.doubt.low < told.value < told.doubt.high
    assert told.doubt.comes_from.startswith("friction of the pads")
    feet = []
    for end in ("least_friction", "most_friction"):
        tree = car.to_document()
        for axle in ("front", "rear"):
            for side in ("left", "right"):
                pad = tree[axle].get(side, {}).get("brake", {}).get("pad")
                if pad:
                    scale = pad[end] / pad["friction"]
                    pad |= {"friction": pad[end], "least_friction": None, "most_friction": None}
                    pad["curve"] = [{**row, "friction": row["friction"] * scale} for row in pad.get("curve", [])]
        feet.append(cw.brakes(type(car).model_validate(tree)).pedal.foot_n)
    assert (told.doubt.high, told.doubt.low) == (pytest.approx(feet[0]), pytest.approx(feet[1]))
    share = cw.why(car, "rows[5].front_percent")
    assert share.doubt.low < share.value < share.doubt.high


# ------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("key", "more", "words"),
    [
        ("cambr_deg", {"corner": "front_left"}, "camber_deg"),
        ("camber_deg", {}, "no corner"),
        ("camber_deg", {"corner": "front_middle"}, "front_middle"),
        ("foot_n", {}, "pedal.foot_n"),
        ("torque_nm", {}, "joint"),
        ("torque_nm", {"joint": "front_left.nothing"}, "a joint of this car"),
        ("brakes.rows[99].foot_n", {}, "0 to"),
        ("least_mm", {}, "no corner"),
        ("", {}, "key"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_what_can(key, more, words):
    with pytest.raises(cw.Refusal) as refused:
        cw.why(example(), key, **more)
    assert words in str(refused.value)


def test_the_command_says_it_in_words_and_in_json(cornerwright, job):
    said = cornerwright("why", job.car, "camber_deg", "--corner", "front_left")
    assert said.status == 0
    words = " ".join(said.out.split())
    for part in ("camber_deg, front left:", "equation", "source", "front.left.linkage", "because of", "known to"):
        assert part in words
    told = cornerwright("why", job.car, "camber", "--corner", "front-left", "--readings", job.readings, "--json")
    fits_schema(cornerwright, "why", told.answer)
    assert told.answer["key"] == "camber_deg"
    assert told.answer["unit"] == "°"
    assert told.answer["inputs"][-1]["comes_from"] == "reading"
    joint = cornerwright("why", job.car, "clamp.middle_n", "--joint", "front_left.lower_arm")
    assert "front left lower arm" in joint.out
    assert "e+" not in joint.out
    wrong = cornerwright("why", job.car, "cambre")
    assert wrong.status == 2
    assert "KEY" in wrong.err
    assert "did you mean" in wrong.err
