"""What is wanted of a car, and the order in which it is set."""

import numpy as np
import pytest

from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS, outputs
from cornerwright.assembly.rig import Rig
from cornerwright.model.car import Car
from cornerwright.model.parts import CORNERS
from cornerwright.model.target import CarTargets, CornerTargets
from cornerwright.planning.cautions import BRAKES, CLAMPS, RAISED, ROAD, SPRINGS, THREADS, WHEELS, cautions_for
from cornerwright.planning.order import STAGES, stage_of
from cornerwright.planning.plan import plan
from cornerwright.planning.search import step_bounds
from cornerwright.planning.wants import JUST_HELD, THIRD, TOLERANCE, limits_of, wants_of
from workshop import DROP, car_with, example_car, targets_with


def test_every_reading_that_may_be_asked_for_is_known_to_the_model_and_has_a_tolerance():
    asked = set(CornerTargets.model_fields) | set(CarTargets.model_fields)
    assert asked <= set(CORNER_OUTPUTS) | set(CAR_OUTPUTS)
    assert asked <= set(TOLERANCE)


def test_what_the_user_asks_is_scaled_by_its_tolerance():
    targets = targets_with({"front.height": {"aim": 605, "within": 3}, "rear.droop_left": {"at_least": 40}}, clean=True)
    asked = {want.key: want for want in wants_of(targets, Rig(example_car())) if not want.usual}
    assert set(asked) == {(c, "height") for c in CORNERS[:2]} | {(c, "droop_left") for c in CORNERS[2:]}
    assert asked["front_left", "height"].scale == pytest.approx(0.003)
    assert asked["rear_left", "droop_left"].scale == TOLERANCE["droop_left"]
    assert all(want.weight == 1 for want in asked.values())


def usual(edits=None, targets=None):
    rig = Rig(car_with(edits or {}))
    wants = wants_of(targets_with(targets or {}, clean=True), rig)
    return {want.key: want for want in wants if want.usual}


def test_usual_practice_is_the_middle_third_and_a_separate_spring_just_held():
    found = usual()
    assert set(found) == {(c, "stroke_share") for c in CORNERS} | {(c, "spring_held") for c in CORNERS[2:]}
    share, held = found["rear_left", "stroke_share"].band, found["rear_left", "spring_held"].band
    assert (share.low, share.high) == (pytest.approx(THIRD), pytest.approx(2 * THIRD))
    assert (held.low, held.high) == (0.0, JUST_HELD)
    assert all(0 < want.weight < 1 for want in found.values())


def test_usual_practice_is_silent_without_an_adjuster_or_where_the_user_speaks():
    assert {corner for corner, _ in usual({"rear.left.adjusters.body": DROP})} == set(CORNERS) - {"rear_left"}
    for name, aim in (("bump_left", {"at_least": 50}), ("damper_length", {"aim": 350, "within": 5})):
        assert {corner for corner, _ in usual(targets={f"front_left.{name}": aim})} == set(CORNERS) - {"front_left"}
    hard = {"front_left.droop_left": {"at_least": 50, "hard": True}}
    assert "front_left" not in {corner for corner, _ in usual(targets=hard)}


def test_every_car_has_its_hard_limits():
    limits = limits_of(targets_with({}, clean=True))
    names = {"spring_held", "bind_margin", "droop_left", "bump_left"}
    assert {limit.key for limit in limits} == {(corner, name) for corner in CORNERS for name in names}
    assert {(limit.edge, limit.sign, limit.asked) for limit in limits} == {(0.0, 1.0, False)}


def test_hard_targets_become_limits_on_each_side_and_take_the_place_of_our_own():
    asked = {
        "rear_left.spring_held": {"at_least": 1, "at_most": 6, "hard": True},
        "front_left.height": {"at_least": 590, "hard": True},
        "car.cross_weight": {"aim": 50, "within": 2, "hard": True},
    }
    targets = targets_with(asked, clean=True)
    limits = [limit for limit in limits_of(targets) if limit.asked]
    found = sorted((limit.key[0] or "car", limit.key[1], limit.sign, round(limit.edge, 6)) for limit in limits)
    assert found == [
        ("car", "cross_weight", -1.0, 0.52),
        ("car", "cross_weight", 1.0, 0.48),
        ("front_left", "height", 1.0, 0.59),
        ("rear_left", "spring_held", -1.0, 0.006),
        ("rear_left", "spring_held", 1.0, 0.001),
    ]
    ours = {limit.key for limit in limits_of(targets) if not limit.asked}
    assert ("rear_left", "spring_held") not in ours
    assert ("rear_right", "spring_held") in ours
    assert not any(want.key in {limit.key for limit in limits} for want in wants_of(targets, Rig(example_car())))


def test_steps_stay_inside_the_range():
    rig = Rig(
        car_with({"front.left.adjusters.perch.range": [23.4, 24.6], "front.left.adjusters.body.range": [17.9, 18.1]})
    )
    lowest, highest = step_bounds(rig)
    for slot, low, high in zip(rig.slots, lowest, highest, strict=True):
        one = slot.adjuster
        assert one.setting + low * one.step_travel >= one.range[0] - 1e-9
        assert one.setting + high * one.step_travel <= one.range[1] + 1e-9
        assert one.setting + (low - 1) * one.step_travel < one.range[0]
        assert one.setting + (high + 1) * one.step_travel > one.range[1]
    place = [slot.name for slot in rig.slots].index("front_left.perch")
    assert (lowest[place], highest[place]) == (-1, 1)
    place = [slot.name for slot in rig.slots].index("front_left.body")
    assert (lowest[place], highest[place]) == (0, 0)


def stages(car: Car):
    rig = Rig(car)
    variant = rig.vary()
    at = outputs(variant, variant.stand())
    return {slot.name: stage_of(rig, slot, k, at) for k, slot in enumerate(rig.slots)}


def test_adjusters_are_set_in_the_stage_of_what_they_do():
    found = stages(example_car())
    assert {found[f"{corner}.perch"] for corner in CORNERS} == {"heights"}
    assert found["front_left.body"] == "heights"  # its spring rides on it
    assert found["rear_left.body"] == "dampers"
    assert found["front.bar_link"] == "bars"
    assert (found["front_left.camber_plate"], found["front_left.caster_plate"]) == ("camber", "camber")
    assert (found["front_left.tie_rod"], found["rear_left.outer_cam"]) == ("toe", "toe")


def test_where_the_file_does_not_say_the_angle_moved_most_decides():
    unsaid = {f"front.*.adjusters.{name}.sets": DROP for name in ("camber_plate", "caster_plate", "tie_rod")}
    unsaid |= {f"rear.*.adjusters.{name}.sets": DROP for name in ("inner_cam", "outer_cam")}
    found = stages(car_with(unsaid))
    assert found["front_left.tie_rod"] == "toe"
    assert found["front_left.camber_plate"] == "camber"
    assert found["rear_left.inner_cam"] == "camber"
    assert found["rear_left.outer_cam"] == "toe"
    said = stages(car_with({"rear.left.adjusters.outer_cam.sets": "camber"}))
    assert said["rear_left.outer_cam"] == "camber"
    assert said["rear_right.outer_cam"] == "toe"


def test_the_stages_stand_in_the_trades_order():
    """Common practice: weights with bars loose, dampers, camber and caster, toe, bushes at height, bars."""
    assert [stage.name for stage in STAGES] == [
        "prepare", "parts", "heights", "dampers", "camber", "toe", "bushes", "bars", "finish",
    ]  # fmt: skip


def test_cautions_go_with_what_the_hands_do():
    result = plan(example_car(), None, targets_with({"front.toe": {"aim": 0.4, "within": 0.05}}, clean=True))
    by_kind = {move.kind: move for move in result.moves}
    car, bare = example_car(), car_with({f"{end}.*.bushes": DROP for end in ("front", "rear")})
    assert cautions_for(car, ()) == (ROAD,)
    assert cautions_for(car, (by_kind["rod"],)) == (RAISED, THREADS, CLAMPS, BRAKES, WHEELS, ROAD)
    perch = by_kind["rod"].model_copy(update={"kind": "perch"})
    assert cautions_for(bare, (perch,)) == (RAISED, SPRINGS, BRAKES, WHEELS, ROAD)


def test_bushes_and_bars_are_spoken_of_only_where_there_are_any():
    edits = {f"{end}.*.bushes": DROP for end in ("front", "rear")} | {"front.bar.link": None}
    result = plan(car_with(edits), None, targets_with({"front.toe": {"aim": 0.4, "within": 0.05}}, clean=True))
    names = [stage.name for stage in result.stages]
    assert "bushes" not in names
    assert "bars" not in names
    assert len(result.stages[0].tasks) == 1
    assert np.isfinite(result.minutes)


def test_a_separate_spring_is_wanted_half_way_to_where_it_is_no_longer_just_held():
    held = usual()["rear_left", "spring_held"].band
    assert (held.low, held.high) == (0.0, JUST_HELD)
    assert held.aim == pytest.approx(JUST_HELD / 2)
    assert held.within == pytest.approx(JUST_HELD / 2)
    assert not held.hard
