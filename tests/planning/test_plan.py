"""The main job: turns that bring a car where it is wanted, checked on a second road (tests/second_road.py)."""

from functools import cache

import numpy as np
import pytest
from scipy import stats

import second_road
from cornerwright.assembly.report import KINDS, key_of
from cornerwright.assembly.rig import Rig
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading, Readings
from cornerwright.model.results_plan import PlanResult
from cornerwright.model.units import from_document, to_document
from cornerwright.planning.learn import learn
from cornerwright.planning.order import STAGES
from cornerwright.planning.plan import plan
from workshop import (
    DROP,
    at_settings,
    car_with,
    example_car,
    example_reading,
    example_targets,
    heights_changed,
    targets_with,
)

MM, DEG = 0.05, 0.005
AGREE = {"_mm": MM, "_deg": DEG, "_kg": 0.05, "_percent": 0.05}
CHANGES = (-15, -10, 0, 5, 15)
ORDER = [stage.name for stage in STAGES]
SMALL = 1e-6


@cache
def planned(change, read=True):
    return plan(example_car(), example_reading() if read else None, heights_changed(change))


JOBS = [(change, True) for change in CHANGES] + [(-10, False), (15, False)]
every_job = pytest.mark.parametrize(("change", "read"), JOBS)


def settings_after(result, car):
    """Settings [m] by full name when the moves are done, from what the card tells the hand."""
    adjusters = car.adjusters()
    found = {name: one.setting for name, one in adjusters.items()}
    for move in result.moves:
        name = f"{move.corner}.{move.adjuster}"
        found[name] += move.steps * adjusters[name].step_travel
    return found


def road_after(result, car, reading, *, stages=None, bars=True):
    """The believed car after the moves (of these stages), on the second road; bushes slack, as clamped there."""
    rig = Rig(car)
    done = result if stages is None else result.model_copy(
        update={"moves": tuple(move for move in result.moves if move.stage in stages)}
    )  # fmt: skip
    settings = settings_after(done, car)
    belief = learn(rig, reading)
    ordered = np.array([settings[slot.name] for slot in rig.slots])
    after = at_settings(car, settings)
    linked = [axle.bar is not None and axle.bar.link is not None for axle in car.axles]
    hooked = tuple(bars or not link for link in linked)
    return second_road.of_belief(after, rig, belief.mean, ordered, bars=hooked, bushes=False)


def told_by(road):
    """Readings of the second road by corner and by the plan's keys."""
    values = road.readings()
    found = {}
    for name in (
        *("height", "load", "camber", "toe", "caster"),
        "half_track",
        "damper_length",
        "spring_length",
        "stroke_share",
    ):
        for i, corner in enumerate(CORNERS):
            if np.isfinite(values[name][i]):
                found[corner, key_of(name)] = to_document(values[name][i], KINDS[name])
    for name in ("cross_weight", "front_share", "left_share"):
        found["car", key_of(name)] = to_document(values[name], KINDS[name])
    for i, corner in enumerate(CORNERS):
        ends, lift = road.ends(i), values["lift"][i]
        found[corner, "spring_held_mm"] = 1e3 * ends["held"]
        found[corner, "droop_left_mm"] = 1e3 * (lift - ends["droop"])
        found[corner, "bump_left_mm"] = 1e3 * (min(ends["bump"], ends["bind"]) - lift)
        found[corner, "bind_margin_mm"] = 1e3 * (ends["bind"] - ends["bump"])
    return found


@cache
def truth(change, read=True):
    return told_by(road_after(planned(change, read), example_car(), example_reading() if read else None))


@every_job
def test_predicted_readings_are_those_of_the_second_road(change, read):
    result = planned(change, read)
    told = truth(change, read)
    seen = set()
    for corner, readings in result.predicted.items():
        for key, reading in readings.items():
            agree = next(tolerance for suffix, tolerance in AGREE.items() if key.endswith(suffix))
            assert reading.value == pytest.approx(told[corner, key], abs=agree), (corner, key)
            seen.add((corner, key))
    assert seen == {where for where in told if where[1] != "bind_margin_mm"}


def test_without_readings_the_file_alone_is_enough_for_the_second_road():
    """No belief comes in between: the document after the moves is stood by the second road alone."""
    result = planned(15, False)
    after = at_settings(example_car(), settings_after(result, example_car()))
    told = told_by(second_road.of_document(after, bushes=False))
    for corner, readings in result.predicted.items():
        for key, reading in readings.items():
            agree = next(tolerance for suffix, tolerance in AGREE.items() if key.endswith(suffix))
            assert reading.value == pytest.approx(told[corner, key], abs=agree), (corner, key)


@every_job
def test_targets_are_met_or_the_shortfall_is_said(change, read):
    result = planned(change, read)
    told = truth(change, read)
    missed = set()
    for (corner, name), band in heights_changed(change).bands().items():
        place, key = corner or "car", key_of(name)
        value = from_document(told[place, key], KINDS[name])
        inside = band.low - SMALL <= value <= band.high + SMALL
        assert result.predicted[place][key].inside == inside
        if not inside:
            missed.add((place, key))
    assert {(one.corner, one.reading) for one in result.short_of} == missed
    assert result.verdict == ("falls short" if missed else "reaches all targets")
    for one in result.short_of:
        assert len(one.why) > 10
        assert len(one.needs) > 10


@pytest.mark.parametrize("change", [0, 5, 15])
def test_the_example_reaches_its_targets(change):
    assert planned(change).verdict == "reaches all targets"


def test_fifteen_millimetres_turn_perches_bodies_camber_and_toe():
    result = planned(15)
    assert {move.kind for move in result.moves} >= {"perch", "body", "plate", "cam", "rod"}
    assert {move.stage for move in result.moves} >= {"heights", "dampers", "camber", "toe"}


@every_job
def test_hard_limits_hold(change, read):
    assert planned(change, read).verdict != "breaks a hard limit"
    for (_, key), value in truth(change, read).items():
        if key in ("spring_held_mm", "droop_left_mm", "bump_left_mm", "bind_margin_mm"):
            assert value >= -1e-4, key


@every_job
def test_moves_are_whole_steps_inside_their_range(change, read):
    result = planned(change, read)
    adjusters = example_car().adjusters()
    for move in result.moves:
        one = adjusters[f"{move.corner}.{move.adjuster}"]
        low, high = one.range
        assert move.steps != 0
        assert isinstance(move.steps, int)
        assert move.amount == pytest.approx(move.steps * one.step)
        assert move.unit == one.unit
        assert move.from_mm == pytest.approx(1e3 * one.setting)
        assert move.to_mm - move.from_mm == pytest.approx(1e3 * move.steps * one.step_travel, abs=1e-9)
        assert 1e3 * low - 1e-6 <= move.to_mm <= 1e3 * high + 1e-6
        assert move.to - move.from_ == pytest.approx(move.amount, abs=1e-9)
        assert move.to * one.unit_travel == pytest.approx(move.to_mm / 1e3)
        assert move.do == one.words(move.steps)
        assert move.minutes == one.work
    names = [(move.corner, move.adjuster) for move in result.moves]
    assert len(set(names)) == len(names)
    assert result.minutes == pytest.approx(sum(move.minutes for move in result.moves))


@every_job
def test_moves_come_in_working_order(change, read):
    result = planned(change, read)
    moves = [ORDER.index(move.stage) for move in result.moves]
    stages = [ORDER.index(stage.name) for stage in result.stages]
    assert moves == sorted(moves)
    assert stages == sorted(set(stages))
    assert set(moves) <= set(stages)
    assert result.stages[0].name == "prepare"
    assert result.stages[-1].name == "finish"
    at = {stage.name: place for place, stage in enumerate(result.stages)}
    assert at["bushes"] < at["bars"]
    for move in result.moves:
        around = example_car().corners.get(move.corner)
        if move.kind == "perch":
            assert move.stage == "heights"
        if move.kind == "body":
            assert move.stage == ("heights" if around.spring.around_damper else "dampers")
        if move.kind == "bar_link":
            assert move.stage == "bars"


def test_each_stage_says_what_the_gauges_will_show_then():
    result, reading = planned(0), example_reading()
    done = set()
    checked = 0
    for stage in result.stages:
        done.add(stage.name)
        if not stage.predicted:
            continue
        checked += 1
        joined = stage.name in ("bars", "finish")
        told = told_by(road_after(result, example_car(), reading, stages=done, bars=joined))
        for corner, readings in stage.predicted.items():
            for key, value in readings.items():
                agree = next(tolerance for suffix, tolerance in AGREE.items() if key.endswith(suffix))
                assert value == pytest.approx(told[corner, key], abs=agree), (stage.name, corner, key)
    assert checked >= 5
    last = result.stages[-1].predicted
    for corner in CORNERS:
        assert last[corner]["height_mm"] == pytest.approx(result.predicted[corner]["height_mm"].value)


def test_links_are_set_so_that_the_bolt_slides_in():
    """No preload is left but what half a step of the link makes."""
    result = planned(0)
    car, (move,) = example_car(), [move for move in result.moves if move.kind == "bar_link"]
    assert move.corner == "front"
    road = road_after(result, car, example_reading(), bars=False)
    lifts = road.rest()[3:]
    bar = at_settings(car, settings_after(result, car)).front.bar
    preload = lifts[0] - lifts[1] - (bar.neutral - bar.link_ratio * (bar.link.setting - bar.link.measured_at))
    assert abs(preload) <= 0.5 * bar.link_ratio * bar.link.step_travel + 1e-6


def test_what_was_read_is_shown_as_read():
    result, reading = planned(0), example_reading()
    height = result.predicted["front_left"]["height_mm"]
    assert height.was_read
    assert height.now == pytest.approx(1e3 * reading.front_left.height)
    held = result.predicted["front_left"]["spring_held_mm"]
    assert not held.was_read
    assert held.now is not None
    asked = result.predicted["rear_left"]["camber_deg"]
    assert (asked.low, asked.high) == (pytest.approx(-1.5), pytest.approx(-1.3))
    free = result.predicted["rear_left"]["damper_mm"]
    assert (free.low, free.high, free.inside, free.chance) == (None, None, None, None)


# How sure.


@every_job
def test_a_prediction_is_never_surer_than_its_gauge(change, read):
    gauges = (example_reading() if read else Reading()).gauges
    for corner in CORNERS:
        for name in ("height", "load", "camber", "toe", "caster"):
            reading = planned(change, read).predicted[corner].get(key_of(name))
            if reading is not None:
                assert reading.sigma > to_document(getattr(gauges, name), KINDS[name])


def test_sigma_follows_the_gauges_scatter():
    reading = example_reading()
    coarse = {"toe": 3 * reading.gauges.toe, "height": reading.gauges.height / 5, "caster": np.radians(3.0)}
    gauges = reading.gauges.model_copy(update=coarse)
    other = plan(example_car(), reading.model_copy(update={"gauges": gauges}), example_targets())
    before, after = planned(0).predicted["front_left"], other.predicted["front_left"]
    assert after["toe_deg"].sigma > 1.8 * before["toe_deg"].sigma
    assert after["height_mm"].sigma < before["height_mm"].sigma
    assert after["caster_deg"].sigma > 3.0  # coarser than all that is unknown of the car
    assert other.chance < planned(0).chance


def test_without_readings_one_knows_less_and_says_so():
    with_, without = planned(15), planned(15, False)
    for corner in CORNERS:
        for key in ("height_mm", "camber_deg", "toe_deg"):
            # Angles are set by the gauge on the way: less is lost there.
            factor = 2 if key == "height_mm" else 1
            assert without.predicted[corner][key].sigma > factor * with_.predicted[corner][key].sigma
            assert not without.predicted[corner][key].was_read
    assert without.chance < with_.chance


def test_chances_are_those_of_value_and_sigma():
    result = planned(0)
    each = []
    for readings in result.predicted.values():
        for reading in readings.values():
            if reading.chance is not None:
                spread = stats.norm(reading.value, reading.sigma)
                expected = spread.cdf(reading.high) - spread.cdf(reading.low)
                assert reading.chance == pytest.approx(expected, abs=0.12)
                each.append(reading.chance)
    assert len(each) == len(example_targets().bands())
    assert np.prod(each) - 0.15 <= result.chance <= min(each) + 1e-12


# The answer as a document.


def test_the_same_files_give_the_same_plan():
    passes = [{"front_left": {"height": 1}}, example_reading().to_document()]  # the last one counts
    readings = Readings.model_validate({"format": "cornerwright readings 1", "passes": passes})
    again = plan(example_car(), readings, heights_changed(0))
    assert again.model_dump_json(by_alias=True) == planned(0).model_dump_json(by_alias=True)


def test_the_json_lists_moves_and_predicted_readings():
    result = planned(0)
    tree = result.model_dump(mode="json", by_alias=True)
    assert {"corner", "adjuster", "steps", "unit", "from", "to"} <= set(tree["moves"][0])
    assert tree["moves"][0]["from"] == result.moves[0].from_
    for corner in CORNERS:
        assert {"height_mm", "load_kg", "camber_deg", "toe_deg", "damper_mm"} <= set(tree["predicted"][corner])
        assert all(reading["sigma"] > 0 for reading in tree["predicted"][corner].values())
    assert "cross_weight_percent" in tree["predicted"]["car"]
    text = result.model_dump_json(by_alias=True)
    assert "NaN" not in text
    assert PlanResult.model_validate_json(text) == result


def test_work_that_can_hurt_has_its_cautions():
    cautions = " ".join(planned(0).cautions)
    for word in ("stands", "Compressed springs can kill", "Rubber bushes", "brake hoses", "Wheel nuts", "Road law"):
        assert word in cautions
    assert "never the maker's figure" in planned(0).caution


def test_progress_goes_from_nothing_to_done():
    told = []
    plan(example_car(), None, heights_changed(5), lambda share, what: told.append((share, what)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[0] < 0.1
    assert shares[-1] == 1.0
    assert all(what for _, what in told)


# Targets that need little, or nothing, and cars that cannot be planned for.


def test_a_car_that_is_right_is_left_alone():
    """Targets put where the car already reads: no more than the bar's link is touched."""
    car, reading = example_car(), None
    told = told_by(second_road.of_document(car, bars=(False, True), bushes=False))
    edits = {
        f"{corner}.{name}": {"aim": told[corner, key_of(name)], "within": within}
        for corner in CORNERS
        for name, within in (("height", 8), ("camber", 1), ("toe", 1))
    }
    bare = {f"{end}.*.adjusters.body": DROP for end in ("front", "rear")}  # no usual practice for the dampers
    result = plan(car_with(bare), reading, targets_with(edits, clean=True))
    assert result.verdict == "reaches all targets"
    assert {move.kind for move in result.moves} <= {"bar_link"}


def test_nothing_asked_nothing_short():
    bare = {f"{end}.*.adjusters.body": DROP for end in ("front", "rear")}
    result = plan(car_with(bare), None, targets_with({}, clean=True))
    assert result.verdict == "reaches all targets"
    assert result.chance is None
    assert {move.kind for move in result.moves} <= {"bar_link"}


def test_usual_practice_stands_back_where_the_user_speaks_of_the_damper():
    asked = targets_with(
        {"rear.stroke_share": {"aim": 80, "within": 1}, "rear.height": {"aim": 630, "within": 10}}, clean=True
    )
    result = plan(example_car(), None, asked)
    for corner in CORNERS[2:]:
        assert result.predicted[corner]["stroke_percent"].value == pytest.approx(80, abs=1.0)
    usual = plan(example_car(), None, targets_with({"rear.height": {"aim": 630, "within": 10}}, clean=True))
    for corner in CORNERS[2:]:
        assert 33.3 < usual.predicted[corner]["stroke_percent"].value < 66.7


def test_a_car_without_adjusters_gets_an_answer():
    none = {f"{end}.*.adjusters": {} for end in ("front", "rear")} | {"front.bar.link": None}
    result = plan(car_with(none), example_reading(), example_targets())
    assert result.moves == ()
    assert result.verdict == "falls short"
    assert {one.why for one in result.short_of if one.reading == "toe_deg"} == {"nothing on this car adjusts the toe"}


def test_a_car_that_falls_gets_no_plan():
    result = plan(car_with({"mass.cg_height": 30000}), example_reading(), example_targets())
    assert result.verdict == "no plan"
    assert result.moves == ()
    assert any("does not stand" in finding.says for finding in result.findings)


@pytest.mark.parametrize(
    ("edit", "name"),
    [
        ({"height": 24.15}, "height"),  # inches written as mm
        ({"damper_length": 13.54}, "damper length"),
        ({"load": 523}, "load"),  # pounds written as kg
        ({"camber": 1.6}, "camber"),  # the sign forgotten
    ],
)
def test_a_slip_is_asked_about_and_no_other_reading_accused(edit, name):
    reading = example_reading().to_document()
    reading["front_left"] |= edit
    result = plan(example_car(), Reading.model_validate(reading), example_targets())
    asked = [finding for finding in result.findings if finding.about == "reading"]
    assert [(one.place, one.level) for one in asked] == [("front_left", "warning")]
    assert asked[0].says.startswith(f"the {name} read is far")
    assert "read it again before turning anything" in asked[0].do


def test_clean_readings_raise_no_question():
    assert [one for one in planned(0).findings if one.about == "reading"] == []


def test_what_cannot_be_computed_is_never_called_reached():
    for hard in (False, True):
        aim = {"at_least": 3, "hard": True} if hard else {"aim": 3, "within": 1}
        result = plan(example_car(), None, targets_with({"rear_left.caster": aim}, clean=True))
        assert result.verdict == "falls short"
        says = [finding.says for finding in result.findings if finding.about == "target"]
        assert says == ["the caster is wanted but cannot be computed"]


def test_standing_beyond_the_rows_is_said():
    rows = [row for row in example_car().to_document()["rear"]["left"]["linkage"]["rows"] if row["lift"] <= 0]
    rows.append({"lift": 1, "spring": 157.2, "damper": 360.0, "camber": -1.23, "toe": 0.12})
    car = car_with(
        {
            "rear.*.linkage.rows": rows,
            "rear.*.adjusters.body.range": [-60, 60],
            "rear.*.adjusters.perch.range": [-40, 60],
        }
    )
    result = plan(car, None, targets_with({"rear.height": {"aim": 590, "within": 3}}, clean=True))
    beyond = [finding for finding in result.findings if finding.about == "linkage"]
    assert {finding.place for finding in beyond} == {"rear_left", "rear_right"}
