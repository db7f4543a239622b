"""Answers in trade units: keys, round trips, and no numbers where nothing is known."""

import json

import numpy as np
import pytest

import second_road
from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS
from cornerwright.assembly.report import KINDS, key_of, stand
from cornerwright.assembly.scene import corner_scene
from cornerwright.assembly.travel import travel
from cornerwright.mechanics.springs import ride_frequency
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import CornerScene, StandResult, TravelResult
from workshop import car_with, example_car, random_car

KEYS = {
    "height": "height_mm",
    "load": "load_kg",
    "camber": "camber_deg",
    "toe": "toe_deg",
    "caster": "caster_deg",
    "half_track": "half_track_mm",
    "damper_length": "damper_mm",
    "spring_length": "spring_mm",
    "stroke_share": "stroke_percent",
    "spring_held": "spring_held_mm",
    "droop_left": "droop_left_mm",
    "bump_left": "bump_left_mm",
    "bind_margin": "bind_margin_mm",
    "cross_weight": "cross_weight_percent",
    "front_share": "front_share_percent",
    "left_share": "left_share_percent",
    "cg_height": "cg_height_mm",
}


def test_every_reading_has_its_key_with_its_unit():
    assert {name: key_of(name) for name in (*CORNER_OUTPUTS, *CAR_OUTPUTS)} == KEYS
    assert set(KINDS) == set(KEYS)


@pytest.mark.parametrize("seed", [0, 3])
def test_a_standing_car_is_told_in_trade_units(seed):
    car = random_car(seed)
    told = stand(car)
    road = second_road.of_document(car)
    wanted = road.readings()
    assert told.verdict == "stands"
    assert told.residual_n < 1e-5
    assert tuple(told.corners) == CORNERS
    for i, corner in enumerate(told.corners.values()):
        ends = road.ends(i)
        assert corner.height_mm == pytest.approx(1e3 * wanted["height"][i], abs=1e-4)
        assert corner.load_n == pytest.approx(wanted["load"][i], abs=1e-3)
        assert corner.load_kg == pytest.approx(wanted["load"][i] / 9.80665, abs=1e-4)
        assert corner.camber_deg == pytest.approx(np.degrees(wanted["camber"][i]), abs=1e-5)
        assert corner.toe_deg == pytest.approx(np.degrees(wanted["toe"][i]), abs=1e-5)
        assert corner.damper_mm == pytest.approx(1e3 * wanted["damper_length"][i], abs=1e-4)
        assert corner.spring_mm == pytest.approx(1e3 * wanted["spring_length"][i], abs=1e-4)
        assert corner.stroke_percent == pytest.approx(100 * wanted["stroke_share"][i], abs=1e-4)
        assert corner.droop_left_mm == pytest.approx(1e3 * (wanted["lift"][i] - ends["droop"]), abs=1e-4)
        assert corner.spring_held_mm == pytest.approx(1e3 * ends["held"], abs=1e-4)
        force = road.spring_force(i, wanted["spring_length"][i])
        assert corner.spring_load_n == pytest.approx(force, abs=1e-2)
    assert (told.corners["front_left"].caster_deg is None, told.corners["rear_left"].caster_deg is None) == (
        False,
        True,
    )
    assert told.total_kg == pytest.approx(car.mass.total, rel=1e-9)
    assert told.cross_weight_percent == pytest.approx(100 * wanted["cross_weight"], abs=1e-6)
    assert told.front_percent == pytest.approx(100 * wanted["front_share"], abs=1e-6)
    assert told.left_percent == pytest.approx(100 * wanted["left_share"], abs=1e-6)


def test_what_ends_the_bump_and_how_far_the_stop_is():
    told = stand(example_car()).corners["rear_left"]
    assert (told.bump_end, told.droop_end) == ("bump stop", "damper pulled right out")
    assert 0 < told.stop_gap_mm < told.bump_left_mm
    bare = stand(car_with({"rear.*.damper.bump_stop": None})).corners["rear_left"]
    assert (bare.bump_end, bare.stop_gap_mm) == ("damper, metal to metal", None)
    bound = stand(car_with({"rear.*.spring.stack.0.block_length": 140})).corners["rear_left"]
    assert bound.bump_end == "coil bind"


def test_wheel_rate_is_the_slope_of_the_load_with_both_wheels_in_step():
    """Rate of one wheel against the body, by lengths a little to either side of rest."""
    car = example_car()
    told = stand(car)
    road = second_road.of_document(car, bars=(False, False))
    for i, corner in enumerate(told.corners.values()):
        lift = corner.lift_mm / 1e3

        def push(at, i=i):
            """Force on the wheel along its lift, by virtual work."""
            here, near = road.linkage([at] * 4), road.linkage([at + 1e-6] * 4)
            back = road.linkage([at - 1e-6] * 4)
            spring = road.spring_force(i, here["spring"][i] - road.seat[i])
            damper = road.damper_force(i, here["damper"][i] - road.body[i])
            bushes = road.corners[i].bushes.rate * (at - road.corners[i].bushes.clamped_at)
            slope = [(near[name][i] - back[name][i]) / 2e-6 for name in ("spring", "damper")]
            return bushes - spring * slope[0] - damper * slope[1]

        rate = (push(lift + 1e-4) - push(lift - 1e-4)) / 2e-4
        assert corner.wheel_rate_n_per_mm == pytest.approx(rate / 1e3, rel=1e-4)
        carried = corner.load_kg - road.corners[i].unsprung_mass
        tyre = road.corners[i].tyre.rate
        in_series = 1 / (1 / rate + 1 / tyre)
        assert corner.ride_frequency_hz == pytest.approx(float(ride_frequency(in_series, carried)), rel=1e-4)


def test_a_car_that_falls_is_told_without_numbers():
    told = stand(car_with({"mass.cg_height": 30000}))
    assert told.verdict != "stands"
    assert told.corners == {}
    assert told.total_kg is None
    assert [finding.level for finding in told.findings] == ["limit"]


def test_travel_follows_the_table_and_goes_with_settings():
    car = car_with({"front.left.adjusters.camber_plate.setting": -4, "front.left.adjusters.perch.setting": 30})
    lifts = np.array([-0.06, -0.02, 0.0, 0.025, 0.055])
    told = travel(car, "front_left", lifts)
    linkage = second_road.document_linkage(car)
    perch = car.front.left.adjusters["perch"]
    raised = perch.setting - perch.measured_at
    assert raised > 0.001
    assert (told.corner, told.lowest_mm, told.highest_mm) == ("front_left", -60, 55)
    for row, lift in zip(told.rows, lifts, strict=True):
        here, above, below = (linkage([lift + d] * 4) for d in (0, 1e-6, -1e-6))
        assert row.inside
        assert row.lift_mm == pytest.approx(1e3 * lift)
        assert row.camber_deg == pytest.approx(np.degrees(here["camber"][0]), abs=1e-6)
        assert row.toe_deg == pytest.approx(np.degrees(here["toe"][0]), abs=1e-6)
        assert row.damper_mm == pytest.approx(1e3 * here["damper"][0], abs=1e-6)
        assert row.spring_mm == pytest.approx(1e3 * (here["spring"][0] - raised), abs=1e-6)
        assert row.half_track_mm == pytest.approx(1e3 * here["half_track"][0], abs=1e-6)
        assert row.wheel_y_mm == pytest.approx(1374 / 2 + row.half_track_mm, abs=1e-6)
        assert row.damper_ratio == pytest.approx((above["damper"][0] - below["damper"][0]) / 2e-6, rel=1e-5)
        assert row.spring_ratio == pytest.approx(row.damper_ratio)
        assert row.sigma["camber_deg"] > 0.02
        assert set(row.sigma) == {"camber_deg", "toe_deg", "caster_deg", "half_track_mm", "damper_mm", "spring_mm"}
    right = travel(car, "front_right", lifts)
    assert right.rows[2].wheel_y_mm == pytest.approx(-1374 / 2)
    assert [row.half_track_mm for row in right.rows] == pytest.approx([row.half_track_mm for row in told.rows])


def test_outside_the_rows_there_are_no_numbers():
    told = travel(example_car(), "rear_left", [-0.0801, -0.0799, 0.0599, 0.0601])
    assert [row.inside for row in told.rows] == [False, True, True, False]
    for row in (told.rows[0], told.rows[3]):
        numbers = row.model_dump(exclude={"lift_mm", "inside", "sigma", "joint_deg", "joints_deg", "steer_mm"})
        assert set(numbers.values()) == {None}
        assert row.sigma == {}


def test_a_row_far_from_the_others_is_asked_about():
    car = car_with({"front.left.linkage.rows.4.damper": 320.8})
    found = travel(car, "front_left", [0.0]).findings
    assert [(one.place, one.about) for one in found] == [("front_left", "linkage")]
    assert found[0].says == "jack table row 5: damper lies far from the other rows"
    assert travel(example_car(), "front_left", [0.0]).findings == ()


@pytest.mark.parametrize("lifts", [[], [np.nan], [np.inf], [[0.0, 0.1]]])
def test_lifts_must_be_a_list_of_numbers(lifts):
    with pytest.raises(Refusal, match="a list of lifts"):
        travel(example_car(), "front_left", lifts)


def test_corners_must_have_their_names():
    for call in (lambda: travel(example_car(), "left_front", [0]), lambda: corner_scene(example_car(), "front")):
        with pytest.raises(Refusal, match="front_left, front_right, rear_left, rear_right"):
            call()


def test_a_scene_shows_the_corner_as_it_stands():
    car = car_with({"rear.right.adjusters.body.setting": 26})
    told = stand(car).corners["rear_right"]
    scene = corner_scene(car, "rear_right")
    for name in ("camber_deg", "toe_deg", "height_mm", "lift_mm", "damper_mm", "spring_mm", "load_n", "droop_left_mm"):
        assert getattr(scene, name) == getattr(told, name), name
    assert scene.side == "right"
    assert scene.wheel_y_mm > 600
    assert scene.height_y_mm == 690
    corner = car.rear.right
    longer = 26 - 1e3 * corner.adjusters["body"].measured_at
    assert scene.damper_open_mm == pytest.approx(1e3 * corner.damper.open + longer)
    assert scene.damper_closed_mm == pytest.approx(1e3 * corner.damper.closed + longer)
    (coil,) = corner.spring.stack
    assert (scene.spring_free_mm, scene.spring_bind_mm) == pytest.approx(
        (1e3 * coil.free_length, 1e3 * coil.block_length)
    )
    squeeze = scene.load_n / (corner.tyre.rate / 1e3)
    assert scene.loaded_radius_mm == pytest.approx(1e3 * corner.tyre.free_radius - squeeze, abs=0.01)
    assert scene.wheel_z_mm == scene.loaded_radius_mm


def test_no_scene_of_a_car_that_falls():
    with pytest.raises(Refusal, match="a car that stands"):
        corner_scene(car_with({"mass.cg_height": 30000}), "front_left")


@pytest.mark.parametrize(
    ("answer", "kind"),
    [
        (lambda: stand(example_car()), StandResult),
        (lambda: travel(example_car(), "rear_left", [-0.2, 0.0]), TravelResult),
        (lambda: corner_scene(example_car(), "front_left"), CornerScene),
    ],
)
def test_answers_survive_json(answer, kind):
    told = answer()
    text = told.model_dump_json(by_alias=True)
    assert kind.model_validate_json(text) == told
    assert "NaN" not in text
    assert "Infinity" not in text
    json.loads(text)
