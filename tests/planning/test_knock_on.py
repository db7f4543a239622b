"""What a change makes stale: by predicted shift against the model itself, and by the trade's rules."""

from __future__ import annotations

from pathlib import Path

import pytest

from cornerwright.assembly.report import stand
from cornerwright.book.making import make_book
from cornerwright.model.car import Car
from cornerwright.model.results_book import Figure, JobsResult
from cornerwright.planning.figures import figures_of
from cornerwright.planning.job_list import RULES, job_list
from cornerwright.planning.knock_events import joint_open
from cornerwright.planning.knock_on import _comes_loose
from cornerwright.planning.open_work import known_figures
from cornerwright.planning.trade_rules import EVENTS, NEW_BOLT, PART_READINGS, RIDE, SHIFTS
from diary import moved, opening, say
from shared import PROJECT
from workshop import example_car

ALL_DONE = tuple(
    f"{rule.name}@{place}" for rule in RULES.values() for place in (("car",) if rule.per == "car" else rule.axles)
)


@pytest.fixture
def told(tmp_path: Path):
    """Open jobs after these entries, everything having been in order at the start."""

    def jobs(*entries, start=None) -> JobsResult:
        where = tmp_path / f"{len(list(tmp_path.iterdir()))}.book"
        first = [*(start or opening()), say("done", 1, job="all in order", settles=ALL_DONE)]
        with make_book(where, first) as book:
            if entries:
                book.append_all(list(entries))
            record = book.record()
            return job_list(record, known_figures(record, book, "0"), "book")

    return jobs


def by_name(result: JobsResult) -> dict:
    return {job.name: job for job in result.jobs}


def figure(job, place: str, key: str):
    return next(one for one in job.figures if (one.place, one.key) == (place, key))


def raised(by: float) -> list:
    """Both rear perches turned by so many mm."""
    return [moved(f"rear_{side}.perch", 28 + by, 10) for side in ("left", "right")]


def test_nothing_is_open_when_all_is_done(told):
    result = told()
    assert result.jobs == ()
    assert (result.costs.open_hours, result.stops_driving) == (0, ())


def test_a_change_of_rear_height_lists_what_it_disturbs_with_reason_and_number(told):
    jobs = by_name(told(*raised(20)))
    for name in ("damper@rear", "toe@rear", "camber@rear", "bushes@rear", "hoses@rear", "lamps@car", "height@rear"):
        job = jobs[name]
        assert job.reason
        assert job.rule
        assert job.source
        assert any(one.shift and one.tolerance and abs(one.shift) > one.tolerance for one in job.figures), name
        assert "rear left perch and rear right perch moved" in job.reason
        assert job.entries == (4, 5)


def test_predicted_shifts_are_those_of_the_standing_car(told):
    """Second road: the car with the other settings, bushes clamped where it stands, stood on its own."""
    job = by_name(told(*raised(-12)))
    for side in ("left", "right"):
        corner = f"rear_{side}"
        stood = []
        for perch in (28, 16):
            tree = example_car().to_document()
            for end in ("front", "rear"):
                for one in ("left", "right"):
                    tree[end][one].pop("bushes")
            for one in ("left", "right"):
                tree["rear"][one]["adjusters"]["perch"]["setting"] = perch
            stood.append(stand(Car.model_validate(tree)))
        before, after = (one.corners[corner] for one in stood)
        shift = figure(job["height@rear"], corner, "height_mm").shift
        assert shift == pytest.approx(after.height_mm - before.height_mm, abs=1e-3)
        shift = figure(job["camber@rear"], corner, "camber_deg").shift
        assert shift == pytest.approx(after.camber_deg - before.camber_deg, abs=1e-3)
        shift = figure(job["damper@rear"], corner, "spring_held_mm").shift
        assert shift == pytest.approx(after.spring_held_mm - before.spring_held_mm, abs=1e-3)
        twist = figure(job["bushes@rear"], corner, "twist_mm").shift
        assert twist == pytest.approx(after.lift_mm - before.lift_mm, abs=1e-3)
        assert figure(job["bushes@rear"], corner, "push_n").shift == pytest.approx(2.6 * abs(twist), abs=0.06)
    pitch = figure(job["lamps@car"], "car", "pitch_deg").shift
    assert pitch == pytest.approx(stood[1].pitch_deg - stood[0].pitch_deg, abs=1e-3)
    assert pitch < 0  # the rear is lower: the nose points up
    assert figure(job["lamps@car"], "car", "beam_mm_at_10_m").shift > 0


def test_a_small_change_disturbs_nothing_but_the_lock(told):
    assert [job.name for job in told(*raised(0.75)).jobs] == ["lock_nuts@rear"]


def test_turned_back_it_is_in_order_again(told):
    names = {job.name for job in told(*raised(-20), *raised(0)).jobs}
    assert names == {"lock_nuts@rear"}


def test_a_spring_that_comes_loose_stops_the_car(told):
    high = told(*raised(12))
    assert "damper@rear" not in high.stops_driving
    low = told(*raised(-12))
    assert "damper@rear" in low.stops_driving
    assert "loose by" in by_name(low)["damper@rear"].reason


def test_reading_again_settles_what_was_read_and_only_there(told):
    left = say("reading", 20, reading={"rear_left": {"height": 660, "toe": 0.1}})
    right = say("reading", 30, reading={"rear_right": {"height": 661, "toe": 0.1}})
    half = by_name(told(*raised(20), left))
    assert {one.place for one in half["height@rear"].figures if abs(one.shift) > 2} == {"rear_right"}
    whole = by_name(told(*raised(20), left, right))
    assert "height@rear" not in whole
    assert "toe@rear" not in whole
    assert "camber@rear" in whole


def test_a_prediction_starts_from_what_the_gauge_last_showed(told):
    read = say("reading", 5, reading={"rear_left": {"height": 640}, "rear_right": {"height": 641}})
    job = by_name(told(read, *raised(-12)))["height@rear"]
    one = figure(job, "rear_left", "height_mm")
    assert one.was == 640
    assert one.now == pytest.approx(640 + one.shift)


def test_the_targets_tolerance_goes_before_ours(told):
    start = opening()
    tree = start[1].body.targets.to_document()
    tree["rear"]["camber"]["within"] = 2.0
    start[1] = say("targets", 0, targets=tree)
    assert "camber@rear" in by_name(told(*raised(-12)))
    assert "camber@rear" not in by_name(told(*raised(-12), start=start))


def test_a_part_the_model_knows_nothing_of_makes_readings_stale_too(told):
    jobs = by_name(told(say("fitted", 10, part="Trailing arm bush", place="rear_left")))
    assert {"camber@rear", "toe@rear", "height@rear"} <= set(jobs)
    assert "Trailing arm bush changed" in jobs["toe@rear"].reason
    assert "toe@front" not in jobs


def test_a_part_that_changes_the_car_file_shifts_what_is_predicted(told):
    stiff = say("fitted", 10, part="ballast", place="car", sets={"rear.both.spring.stack[0].rate": 110})
    job = by_name(told(stiff))["height@rear"]
    assert figure(job, "rear_left", "height_mm").shift > 5


@pytest.mark.parametrize(
    ("part", "job"),
    [("brake pads", "bed_in@front"), ("Brake caliper", "bleed@car"), ("brake hose", "bleed@car"),
     ("wheel 6 J", "wheel_nuts@front"), ("brake hose", "hoses@front")],
)  # fmt: skip
def test_the_trades_rules_answer_parts(told, part, job):
    assert job in by_name(told(say("fitted", 10, part=part, place="front_left")))


def test_wheel_nuts_wait_for_the_first_drive_and_then_stop_the_car(told):
    wheel = say("fitted", 10, part="wheel", place="front_left")
    parked = told(wheel)
    assert "wheel_nuts@front" in parked.waiting
    assert "wheel_nuts@front" not in parked.stops_driving
    due = told(wheel, say("drive", 20, distance=60))
    assert "wheel_nuts@front" in due.stops_driving
    again = say("joint", 30, joint="front left wheel nuts", place="front_left", torque=80,
                settles=("wheel_nuts@front",))  # fmt: skip
    assert "wheel_nuts@front" not in by_name(told(wheel, say("drive", 20, distance=60), again))


@pytest.mark.parametrize(
    ("joint", "says", "stops"),
    [
        ({"state": "finger_tight"}, "finger tight", True),
        ({"state": "loose", "clamp_at": "ride_height"}, "at ride height", True),
        ({"torque": 80, "bolt": "reused", "new_bolt_each_time": True}, "new bolt", True),
        ({"torque": 80, "stood": "hanging", "clamp_at": "ride_height"}, "hanging", False),
        ({"torque": 80, "bolt": "new", "new_bolt_each_time": True}, None, False),
    ],
)
def test_joints_stay_open_until_they_are_done(told, joint, says, stops):
    jobs = by_name(told(say("joint", 10, joint="Arm bolt, inner", place="rear_left", **joint)))
    if says is None:
        assert jobs == {}
        return
    job = jobs["joint@arm_bolt_inner"]
    assert says in job.reason
    assert job.stops_driving is stops


def test_bushes_tightened_at_ride_height_are_clamped_there(told):
    clamped = [say("joint", 20, joint=f"{side} arm bush", place=f"rear_{side}", torque=72, stood="ride_height")
               for side in ("left", "right")]  # fmt: skip
    assert "bushes@rear" in by_name(told(*raised(-20)))
    assert "bushes@rear" not in by_name(told(*raised(-20), *clamped))


def test_a_car_that_does_not_stand_says_so_first(tmp_path):
    with make_book(tmp_path / "a.book", opening()) as book:
        record = book.record()
        result = job_list(record, {record.car: {}}, "book")
    assert result.stops_driving == ("stand@car",)
    assert result.jobs[0].name == "stand@car"


# ---------------------------------------------------------------------- order


def test_the_list_keeps_what_comes_first(told):
    result = told(*raised(20), say("joint", 11, joint="arm bush", place="rear_left", state="finger_tight",
                                    clamp_at="ride_height"))  # fmt: skip
    place = {job.name: k for k, job in enumerate(result.jobs)}
    for job in result.jobs:
        assert all(place[name] < place[job.name] for name in job.after), job.name
    assert place["height@rear"] < place["camber@rear"] < place["toe@rear"] < place["bushes@rear"] < place["lamps@car"]
    assert place["height@rear"] < place["joint@arm_bush"]


def test_what_needs_the_same_stand_is_done_together(told):
    result = told(*raised(-20), say("put_off", 12, job="paint", stands="raised"))
    assert [visit.stands for visit in result.visits] == ["raised", "on_wheels"]
    for visit in result.visits:
        for name in visit.jobs:
            assert by_name(result)[name].stands in (visit.stands, "either")
    assert sorted(name for visit in result.visits for name in visit.jobs) == sorted(job.name for job in result.jobs)


def test_what_waits_stands_apart(told):
    result = told(say("put_off", 12, job="fit spacers", until="when they have come", hours=2, price=30,
                      stops_driving=True))  # fmt: skip
    assert (result.visits, result.waiting) == ((), ("later_4@car",))
    assert result.stops_driving == ("later_4@car",)
    assert (result.costs.open_hours, result.costs.open_price) == (2, 30)


def test_an_open_finding_that_stops_the_car_comes_before_the_readings(told):
    play = say("finding", 12, what="play", place="rear_left", says="ball joint", stops_driving=True)
    jobs = by_name(told(*raised(20), play))
    assert "finding_6@rear_left" in jobs["toe@rear"].after
    gone = say("done", 20, job="renewed", settles=("finding_6@rear_left",))
    assert "finding_6@rear_left" not in by_name(told(*raised(20), play, gone))


# ---------------------------------------------------------------------- the rules as data


def test_every_rule_has_its_reason_and_source():
    names = {rule.name for rule in (*SHIFTS, *EVENTS)}
    assert len(names) == len(SHIFTS) + len(EVENTS)
    for rule in (*SHIFTS, *EVENTS):
        assert rule.why
        assert rule.source
        assert set(rule.after) <= names
    assert {name for _, stale in PART_READINGS for name in stale} <= names


@pytest.mark.parametrize("example", ["tarn_fell", "skerry_nine"])
def test_every_figure_that_a_rule_judges_is_known_of_the_examples(example):
    from cornerwright.model.carfile import load_car

    figures = figures_of(load_car(PROJECT / "examples" / example / "car.yaml").to_document())
    keys = {key for own in figures.values() for key in own}
    wanted = {one.key for rule in SHIFTS for one in rule.judged} | {key for rule in SHIFTS for key in rule.told}
    missing = wanted - keys - {"push_n"}
    assert missing == ({"twist_mm", "bar_mm"} & missing)


@pytest.mark.parametrize(
    ("joint", "says"),
    [
        ({"state": "tight"}, None),
        ({"state": "loose"}, "loose: to be tightened"),
        ({"state": "finger_tight"}, "finger tight: to be tightened"),
        ({"state": "loose", "clamp_at": "ride_height"}, "loose: to be tightened at ride height"),
        ({"state": "tight", "new_bolt_each_time": True, "bolt": "reused"}, "needs a new bolt or nut"),
        ({"state": "tight", "new_bolt_each_time": True, "bolt": "new"}, None),
        ({"state": "tight", "new_bolt_each_time": False, "bolt": "reused"}, None),
        (
            {"state": "tight", "clamp_at": "ride_height", "stood": "hanging"},
            "tightened hanging: to be clamped again at ride height",
        ),
        ({"state": "tight", "clamp_at": "ride_height", "stood": "ride_height"}, None),
        ({"state": "tight", "clamp_at": "any", "stood": "hanging"}, None),
    ],
)
def test_what_is_left_to_do_at_a_joint_is_said_in_these_words(joint, says):
    assert joint_open(joint) == says


def test_a_reused_bolt_asks_for_a_new_one_by_its_own_rule_and_at_no_height(told):
    """Not by the rule for bushes, and nobody lowers the car for a bolt that needs it no more than another."""
    bolt = say("joint", 10, joint="hub bolt", place="rear", torque=80, bolt="reused", new_bolt_each_time=True)
    job = by_name(told(bolt))["joint@hub_bolt"]
    assert job.rule == NEW_BOLT
    assert job.do.startswith("Fit a new bolt or nut and tighten it, to the maker's value")
    assert "ride height" not in job.do
    assert (job.stands, job.stops_driving) == ("either", True)
    bush = say("joint", 10, joint="arm bush", place="rear", clamp_at="ride_height", stood="hanging")
    job = by_name(told(bush))["joint@arm_bush"]
    assert job.rule == RIDE
    assert job.do.startswith("Tighten it with the car on its wheels at ride height")
    assert (job.stands, job.stops_driving) == ("on_wheels", False)


def test_each_job_says_what_was_last_done_there_in_its_own_word(told):
    jobs = by_name(told(*raised(20)))
    for name, word in (
        ("damper@rear", "set"),
        ("bushes@rear", "clamped"),
        ("lamps@car", "aimed"),
        ("toe@rear", "read"),
    ):
        assert jobs[name].reason.startswith(f"Since it was {word} (#3, 2026-02-01)"), jobs[name].reason
    assert jobs["hoses@rear"].reason.startswith("Since it was looked at (#3")


def held(was: float | None, now: float | None) -> Figure:
    return Figure(place="rear_left", key="spring_held_mm", was=was, now=now, shift=None)


def test_a_spring_that_was_loose_before_does_not_come_loose_again():
    assert _comes_loose([held(2.0, -3.0)])
    assert _comes_loose([held(None, -3.0)])
    assert not _comes_loose([held(-5.0, -3.0)])
    assert not _comes_loose([held(2.0, 1.0), held(2.0, None)])


def test_what_a_whole_car_shows_is_told_for_the_car_and_what_an_axle_shows_is_not(told):
    jobs = by_name(told(moved("rear_left.perch", 40, 10)))
    of_the_car = {name for name, job in jobs.items() if any(one.place == "car" for one in job.figures)}
    assert of_the_car
    assert all(name.endswith("@car") for name in of_the_car), of_the_car
