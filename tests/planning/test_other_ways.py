"""Parts from the shelf, sizes of spacers and shims, other ways to the same targets, tight tolerances."""

import numpy as np
import pytest
from pydantic import ValidationError

import cornerwright as cw
from cornerwright.assembly.rig import Rig
from cornerwright.model.adjuster import Adjuster
from cornerwright.model.shelf import Shelf
from cornerwright.planning.choose import WORK, Wanted, choose_steps, polished
from cornerwright.planning.plan import plan
from cornerwright.planning.shelf import car_with_parts
from shared import PROJECT
from workshop import car_with, example_car, example_reading, example_targets, targets_with

SOFT = {"name": "soft pair", "fits": "rear", "rate": 25, "free_length": 250, "block_length": 80}
STIFF = {"name": "stiff pair", "fits": "rear", "rate": 95, "free_length": 170, "block_length": 80}


def with_shelf(*springs, **edits):
    return car_with({"shelf": {"springs": list(springs)}, **edits})


# Springs.


def test_the_shelf_is_left_alone_where_turning_is_enough():
    told = plan(with_shelf(SOFT, STIFF), example_reading(), example_targets())
    assert told.verdict == "reaches all targets"
    assert told.parts == ()
    assert not any(stage.name == "parts" for stage in told.stages)


def test_a_spring_from_the_shelf_is_fitted_where_the_perch_ends():
    """With the perches fixed only another spring raises the car; the right one of three is chosen and said."""
    edits = {"rear.*.adjusters.perch.range": [27.9, 28.1]}
    targets = targets_with({"rear.height": {"aim": 660, "within": 6}}, clean=True)
    without = plan(car_with(edits), example_reading(), targets)
    assert without.verdict != "reaches all targets"
    base = example_car().rear.left.spring.stack[0]
    rate, free, block = base.rate / 1e3, 1e3 * base.free_length, 1e3 * base.block_length
    shelf = [
        {"name": f"{more} longer", "fits": "rear", "rate": rate, "free_length": free + more, "block_length": block}
        for more in (4, 16, 60)
    ]
    car = with_shelf(*shelf, **edits)
    told = plan(car, example_reading(), targets)
    assert [part.name for part in told.parts] == ["16 longer"]
    assert told.parts[0].place == "rear"
    assert told.minutes >= told.parts[0].minutes
    stage = next(one for one in told.stages if one.name == "parts")
    assert "16 longer" in stage.tasks[0]
    assert any("Compressed springs" in words for words in told.cautions)
    # The car really fitted with it, and turned as said, stands there.
    fitted = car_with_parts(car, told.parts)
    for side in ("left", "right"):
        assert getattr(fitted.rear, side).spring.stack[0].name == "16 longer"
    again = plan(fitted, example_reading().model_copy(update={}), targets)
    assert again.verdict in ("reaches all targets", "falls short")
    for corner in ("rear_left", "rear_right"):
        assert told.predicted[corner]["height_mm"].value == pytest.approx(660, abs=6)


def test_two_springs_of_one_name_are_refused():
    with pytest.raises(ValidationError, match="different names"):
        Shelf.model_validate({"springs": [SOFT, SOFT]})
    with pytest.raises(ValidationError, match="block_length must be shorter"):
        Shelf.model_validate({"springs": [{**SOFT, "block_length": 260}]})


# Sizes.

SPACER = {
    "kind": "spacer",
    "unit": "mm",
    "step": 1,
    "setting": 0,
    "measured_at": 0,
    "range": [0, 30],
    "effect": {"half_track": 1.0},
}


def test_only_sizes_on_the_shelf_are_fitted():
    edits = {f"{end}.*.adjusters.spacer": {**SPACER, "sizes": [0, 5, 12, 20]} for end in ("front", "rear")}
    car = car_with(edits)
    track = 1e3 * example_car().rear.track / 2
    targets = targets_with({"rear.half_track": {"aim": track + 14, "within": 3}}, clean=True)
    told = plan(car, example_reading(), targets)
    fitted = {move.corner: move.to_mm for move in told.moves if move.kind == "spacer"}
    assert fitted == {"rear_left": 12.0, "rear_right": 12.0}
    assert told.verdict == "reaches all targets"
    for corner in fitted:
        assert told.predicted[corner]["half_track_mm"].value == pytest.approx(track + 12, abs=1.5)


@pytest.mark.parametrize("sizes", [[0, 5, 40], [-3]])
def test_sizes_outside_the_range_are_refused(sizes):
    with pytest.raises(ValidationError, match="sizes must lie inside the range"):
        Adjuster.model_validate({**SPACER, "sizes": sizes})


def test_sizes_hold_in_the_program_and_in_its_polish():
    rng = np.random.default_rng(2)
    for _ in range(20):
        m = 3
        wanted = Wanted(
            value=rng.normal(0, 2, 4),
            gain=rng.normal(0, 0.6, (4, m)),
            low=np.full(4, -1.0),
            high=np.full(4, 1.0),
            sigma=np.full(4, 0.5),
            weight=np.ones(4),
            scale=np.ones(4),
            hard_value=np.zeros(0),
            hard_gain=np.zeros((0, m)),
            hard_scale=np.zeros(0),
            lowest=np.full(m, -6.0),
            highest=np.full(m, 6.0),
            minutes=np.full(m, 1.0),
            sizes={1: np.array([-3.5, 0.0, 2.25, 6.0])},
        )
        steps = polished(wanted, choose_steps(wanted, gap=1e-4).steps)
        assert steps[1] in wanted.sizes[1]
        assert (steps[[0, 2]] == np.round(steps[[0, 2]])).all()


# Other ways.


def test_other_ways_keep_to_what_they_promise():
    car = car_with({"front.*.adjusters.camber_plate.reach": "arm_off"})
    told = plan(car, example_reading(), example_targets(), alternatives=True)
    ways = {one.name: one for one in told.alternatives}
    assert set(ways) >= {"no arms off", "wheels on"}
    reached = {name: adjuster.reached for name, adjuster in car.adjusters().items()}

    def touched(moves):
        return {reached[f"{move.corner}.{move.adjuster}"] for move in moves}

    assert "arm_off" in touched(told.moves)
    assert "arm_off" not in touched(ways["no arms off"].moves)
    assert touched(ways["wheels on"].moves) <= {"wheel_on"}
    for one in ways.values():
        assert one.minutes == pytest.approx(sum(move.minutes for move in one.moves))
    if "least work" in ways:
        assert ways["least work"].minutes < told.minutes
    assert plan(car, example_reading(), example_targets()).alternatives == ()


def test_work_counts_for_more_in_the_plan_of_least_work():
    targets = targets_with({"rear.toe": {"aim": 0.2, "within": 0.3}, "rear.camber": {"aim": -0.9, "within": 0.4}})
    told = plan(example_car(), example_reading(), targets, alternatives=True)
    least = next((one for one in told.alternatives if one.name == "least work"), None)
    if least is not None:
        assert least.minutes <= told.minutes
    assert WORK > 0


# Tight tolerances, ties.


def test_the_tolerance_that_is_tight_is_named():
    targets = targets_with({"rear.toe": {"aim": 0.12, "within": 0.01}, "rear.height": {"aim": 616, "within": 4}})
    told = plan(example_car(), example_reading(), targets)
    assert told.tight[0].reading == "toe_deg"
    assert told.tight[0].corner.startswith("rear")
    assert told.tight[0].chance_if_wider > told.chance
    assert [one.chance_if_wider for one in told.tight] == sorted((t.chance_if_wider for t in told.tight), reverse=True)


def test_of_plans_equally_good_the_one_that_turns_least_is_taken():
    """A strut's collar and its body do the same to the height: neither is wound far against the other."""
    reading = example_reading()
    told = plan(example_car(), reading, example_targets())
    toe = reading.front_left.toe * (1 + 1e-13)
    nudged = reading.model_copy(update={"front_left": reading.front_left.model_copy(update={"toe": toe})})
    again = plan(example_car(), nudged, example_targets())
    turns = {(move.corner, move.adjuster): move.steps for move in told.moves}
    other = {(move.corner, move.adjuster): move.steps for move in again.moves}
    assert turns == other


# Both examples do it all.


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_both_examples_are_planned_with_everything(name):
    folder = PROJECT / "examples" / name
    told = cw.plan(
        cw.load_car(folder / "car.yaml"),
        cw.load_readings(folder / "readings.yaml"),
        cw.load_targets(folder / "targets.yaml"),
        alternatives=True,
    )
    assert told.verdict == "reaches all targets"
    assert told.alternatives
    assert told.tight
    assert any(stage.by_gauge for stage in told.stages)
    assert Rig(cw.load_car(folder / "car.yaml")).slots
