"""Travel of linkages of points: every kind, against the mechanics, against differences and drawn cars."""

from __future__ import annotations

import math

import jsonschema
import numpy as np
import pytest

import cornerwright as cw
from cars import AXLE_KINDS, KINDS, car_of_kind, corner_of_kind, tree_of_kind
from cornerwright.assembly.point_travel import Asked, quantities_of, side_of
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.linkage import answer
from cornerwright.model.car import Car
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.results import TravelResult, TravelRow
from workshop import example_car

LIFTS = np.array([-50.0, -20.0, 0.0, 30.0, 60.0]) / 1e3
STEERED = [kind for kind in KINDS if corner_of_kind(kind).startswith("front")]
SINGLE = [kind for kind in KINDS if kind not in AXLE_KINDS]
NOT_NUMBERS = {"lift_mm", "steer_mm", "other_lift_mm", "inside", "ends", "sigma", "joints_deg"}
NUMBERS = [name for name in TravelRow.model_fields if name not in NOT_NUMBERS]

WITHOUT_MIRROR = {"wheel_y_mm", "roll_centre_y_mm", "rocker_deg"}
"""Values that change sign from left to right."""


def travelled(kind: str, lifts=LIFTS, steer=None, side: str = "left", **more) -> TravelResult:
    return cw.travel(car_of_kind(kind), corner_of_kind(kind, side), lifts, steer, **more)


# ------------------------------------------------------------------ every kind


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_travels(kind):
    result = travelled(kind)
    assert result.kind == kind.removesuffix("_push_rod")
    assert [row.lift_mm for row in result.rows] == pytest.approx(1e3 * LIFTS)
    assert all(row.inside for row in result.rows)
    at_rest = result.rows[2]
    document = car_of_kind(kind).corners[corner_of_kind(kind)].wheel
    assert at_rest.camber_deg == pytest.approx(math.degrees(document.camber), abs=1e-6)
    assert at_rest.toe_deg == pytest.approx(math.degrees(document.toe), abs=1e-6)
    assert at_rest.half_track_mm == pytest.approx(0.0, abs=1e-6)
    assert at_rest.wheel_y_mm == pytest.approx(1e3 * document.centre.y, abs=1e-6)
    always = {"camber_deg", "toe_deg", "damper_mm", "spring_mm", "damper_ratio", "roll_centre_mm", "brake_path_deg"}
    for row in result.rows:
        assert all(getattr(row, name) is not None for name in always)
        assert row.damper_ratio < 0
        assert row.spring_ratio < 0
    assert result.lowest_mm < result.damper_out_mm < 0 < result.full_bump_mm < result.highest_mm
    assert result.rows[0].rocker_deg is None or abs(result.rows[0].rocker_deg) > 5


@pytest.mark.parametrize("kind", KINDS)
def test_the_answer_fits_its_schema(kind):
    result = travelled(kind, [-0.9, 0.02])
    schema = TravelResult.model_json_schema(mode="serialization")
    jsonschema.validate(result.model_dump(mode="json"), schema)


@pytest.mark.parametrize("kind", SINGLE)
def test_numbers_are_those_of_the_mechanics(kind):
    corner = CORNERS.index(corner_of_kind(kind))
    side = side_of(Rig(car_of_kind(kind)).vary(), corner)
    found = answer(side.mechanism, LIFTS[:, None], travel=side.motion.travel)
    for k, row in enumerate(travelled(kind).rows):
        for name, unit in (("camber", "deg"), ("toe", "deg"), ("caster", "deg"), ("scrub", "mm"), ("damper", "mm")):
            given = found[name].value[k, 0]
            shown = getattr(row, f"{name}_{unit}")
            if shown is None:
                assert np.isnan(given)
            else:
                assert shown == pytest.approx(math.degrees(given) if unit == "deg" else 1e3 * given, abs=1e-6)
        # Left and right are alike here, so the column of the one wheel is the axle's roll centre.
        assert row.roll_centre_mm == pytest.approx(1e3 * found["roll_centre"].value[k, 0], abs=1e-6)
        assert row.roll_centre_y_mm == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("kind", AXLE_KINDS)
def test_numbers_of_an_axle_are_those_of_the_mechanics(kind):
    side = side_of(Rig(car_of_kind(kind)).vary(), 3)
    found = answer(side.mechanism, np.stack([-LIFTS, LIFTS], axis=1), travel=side.motion.travel)
    for k, row in enumerate(travelled(kind, side="right", opposite=True).rows):
        assert row.other_lift_mm == pytest.approx(-row.lift_mm)
        assert row.camber_deg == pytest.approx(math.degrees(found["camber"].value[k, 1]), abs=1e-6)
        assert row.damper_mm == pytest.approx(1e3 * found["damper"].value[k, 1], abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("more", [{}, {"opposite": True}, {"other": 0.015}], ids=["together", "opposite", "held"])
def test_slopes_are_the_change_along_the_motion(kind, more):
    """Ratios and bump steer against central differences of lengths and toe."""
    step = 1e-5
    rows = travelled(kind, [0.03 - step, 0.03, 0.03 + step], **more).rows
    for slope, value in (
        ("damper_ratio", "damper_mm"),
        ("spring_ratio", "spring_mm"),
        ("bump_steer_deg_per_mm", "toe_deg"),
    ):
        change = (getattr(rows[2], value) - getattr(rows[0], value)) / (2e3 * step)
        assert getattr(rows[1], slope) == pytest.approx(change, rel=1e-5, abs=1e-7)


@pytest.mark.parametrize("kind", KINDS)
def test_side_view_paths_are_those_of_the_wheel(kind):
    """The wheel centre's path against differences, both wheels rising."""
    step = 3e-4
    rows = travelled(kind, [0.02 - step, 0.02, 0.02 + step]).rows
    forward = (rows[2].wheel_x_mm - rows[0].wheel_x_mm) / (2e3 * step)
    assert rows[1].drive_path_deg == pytest.approx(math.degrees(math.atan(forward)), abs=5e-4)


@pytest.mark.parametrize("kind", KINDS)
def test_left_and_right_are_mirrors(kind):
    steer = [0.03] if kind in STEERED else None
    left = travelled(kind, steer=steer).rows
    right = travelled(kind, steer=None if steer is None else [-0.03], side="right").rows
    for one, other in zip(left, right, strict=True):
        for name in NUMBERS:
            if kind == "live_axle_panhard" and not name.startswith(("damper", "spring", "anti")):
                continue  # its Panhard rod is on one side only
            a, b = getattr(one, name), getattr(other, name)
            if a is None or b is None:
                assert a is None
                assert b is None
            elif kind != "live_axle_panhard":
                sign = -1.0 if name in WITHOUT_MIRROR else 1.0
                assert a == pytest.approx(sign * b, abs=1e-6), name


# -------------------------------------------------------------------- steering


@pytest.mark.parametrize("kind", STEERED)
def test_a_row_for_every_lift_at_every_place_of_the_rack(kind):
    steer = np.array([-0.03, 0.0, 0.02])
    result = travelled(kind, steer=steer)
    asked = [(round(row.steer_mm), round(row.lift_mm)) for row in result.rows]
    assert asked == [(s, lift) for s in (-30, 0, 20) for lift in (-50, -20, 0, 30, 60)]
    straight = travelled(kind).rows
    for row, plain in zip(result.rows[5:10], straight, strict=True):
        assert row.toe_deg == pytest.approx(plain.toe_deg, abs=1e-6)
        assert plain.steer_mm is None
    # The left wheel toes out as the rack goes to the left.
    assert result.rows[12].toe_deg < result.rows[7].toe_deg - 3 < result.rows[2].toe_deg - 6


def test_a_rack_ends():
    result = travelled("double_wishbone", [0.0], steer=[0.061, 0.063])
    assert [row.inside for row in result.rows] == [True, False]
    assert result.rows[1].ends == "rack"
    assert result.limits[1].lowest_mm is None
    assert result.limits[1].ends_above == "rack"


@pytest.mark.parametrize(
    ("kind", "side", "steer", "more", "words"),
    [
        ("five_link", "left", [0.01], {}, "rack"),
        ("twist_beam", "left", [0.01], {}, "rack"),
        ("strut", "left", [math.nan], {}, "finite"),
        ("strut", "left", None, {"other": math.inf}, "finite"),
        ("strut", "left", None, {"other": 0.0, "opposite": True}, "one of the two"),
    ],
)
def test_what_cannot_be_asked_is_refused(kind, side, steer, more, words):
    with pytest.raises(Refusal, match=words):
        travelled(kind, steer=steer, side=side, **more)


@pytest.mark.parametrize("more", [{"steer": [0.0]}, {"other": 0.0}, {"opposite": True}])
def test_a_jack_table_knows_one_wheel_straight_ahead(more):
    with pytest.raises(Refusal, match="jack table"):
        cw.travel(example_car(), "rear_left", [0.0], **more)


# ------------------------------------------------------- what cannot be reached


@pytest.mark.parametrize("kind", KINDS)
def test_beyond_the_limit_there_are_no_numbers_but_the_member(kind):
    bounds = travelled(kind, [0.0])
    inside = [bounds.lowest_mm + 0.05, bounds.highest_mm - 0.05]
    outside = [bounds.lowest_mm - 0.05, bounds.highest_mm + 0.05]
    result = travelled(kind, np.array([*inside, *outside]) / 1e3)
    assert [row.inside for row in result.rows] == [True, True, False, False]
    for row, member in zip(result.rows[2:], (bounds.limits[0].ends_below, bounds.limits[0].ends_above), strict=True):
        assert member
        assert row.ends == member
        assert all(getattr(row, name) is None for name in NUMBERS)
        assert not row.joints_deg
        assert not row.sigma


def test_the_limit_with_the_other_wheel_held_is_found():
    together = travelled("live_axle_four_link", [0.0]).limits[0]
    held = travelled("live_axle_four_link", [0.0], other=-0.05)
    edge = held.limits[0].highest_mm
    result = travelled("live_axle_four_link", np.array([edge - 0.1, edge + 0.1]) / 1e3, other=-0.05)
    assert [row.inside for row in result.rows] == [True, False] or edge == pytest.approx(500)
    assert held.limits[0].lowest_mm < together.lowest_mm or held.limits[0].highest_mm > together.highest_mm


def test_a_linkage_that_ends_before_the_damper_is_told():
    tree = tree_of_kind("double_wishbone_push_rod")
    for side in ("left", "right"):
        tree["front"][side]["damper"]["open"] = 430.0
    car = Car.model_validate(tree)
    found = cw.travel(car, "front_left", [0.0]).findings
    assert [one.about for one in found] == ["linkage"]
    assert "push rod" in found[0].says
    assert "droop" in found[0].says
    assert not travelled("double_wishbone_push_rod").findings


# ----------------------------------------------------------------- uncertainty


@pytest.mark.parametrize("kind", ["five_link", "live_axle_panhard", "double_wishbone_push_rod", "rods"])
def test_doubt_agrees_with_cars_drawn_at_random(kind):
    corner = CORNERS.index(corner_of_kind(kind))
    rig = Rig(car_of_kind(kind))
    count = 600
    z = np.zeros((count, rig.unknowns.size))
    rng = np.random.default_rng(7)
    blocks = {block.label: block.where for block in rig.unknowns.blocks}
    for label, where in blocks.items():
        if " point " in label:
            # Where a place is on two members, it was measured once.
            twin = blocks.get(label.rpartition(".")[0])
            z[:, where] = z[:, twin] if twin is not None else rng.standard_normal((count, 3))
    asked = Asked.grid(corner, np.array([0.05]), np.zeros(1), (1.0, 1.0), 0.0)
    values, _ = quantities_of(rig.vary(unknowns=z), asked)
    row = travelled(kind, [0.05]).rows[0]
    for name, key, scale in (
        ("camber", "camber_deg", 180 / math.pi),
        ("toe", "toe_deg", 180 / math.pi),
        ("half_track", "half_track_mm", 1e3),
        ("damper", "damper_mm", 1e3),
        ("spring_ratio", "spring_ratio", 1.0),
        ("roll_centre", "roll_centre_mm", 1e3),
    ):
        if name == "roll_centre" and kind == "five_link":
            continue  # its two lines are nearly parallel there: the spread has no end
        drawn = scale * values[name][:, 0].std(ddof=1)
        assert row.sigma[key] == pytest.approx(drawn, rel=0.15, abs=1e-6), name


def test_what_goes_evenly_with_the_points_is_as_by_linear_propagation():
    """A length between two points, each coordinate 3 mm: 3 mm times the square root of two."""
    row = travelled("semi_trailing_arm", [0.0]).rows[0]
    assert row.sigma["damper_mm"] == pytest.approx(3 * math.sqrt(2), rel=0.01)
    assert row.sigma["spring_mm"] == pytest.approx(3 * math.sqrt(2), rel=0.01)


@pytest.mark.parametrize("kind", KINDS)
def test_at_the_reference_pose_angles_are_as_given_without_doubt(kind):
    row = travelled(kind, [0.0]).rows[0]
    for key in ("camber_deg", "toe_deg", "wheel_x_mm", "half_track_mm"):
        assert row.sigma[key] == 0.0
    assert row.sigma["roll_centre_mm"] > 1.0


def test_doubt_scales_with_the_file():
    tree = tree_of_kind("five_link")
    tree["doubt"] = {**tree.get("doubt", {}), "point": 1.0}
    small = cw.travel(Car.model_validate(tree), "rear_left", [0.05]).rows[0].sigma
    large = travelled("five_link", [0.05]).rows[0].sigma
    for key in ("camber_deg", "toe_deg", "damper_mm"):
        assert small[key] == pytest.approx(large[key] / 3, rel=0.1)


def test_doubt_of_many_lifts_is_read_between_a_few():
    many = travelled("five_link", np.linspace(-0.06, 0.06, 61)).rows
    few = travelled("five_link", [many[7].lift_mm / 1e3, many[44].lift_mm / 1e3]).rows
    for one, other in ((many[7], few[0]), (many[44], few[1])):
        assert one.sigma["camber_deg"] == pytest.approx(other.sigma["camber_deg"], rel=0.05, abs=0.005)


# ------------------------------------------------------------------ anti-dive


def test_percentages_follow_from_the_paths_and_say_what_they_assume():
    result = travelled("double_wishbone")
    car = car_of_kind("double_wishbone")
    share = car.mass.front + 0.5 * car.mass.cg_height / car.wheelbase
    for row in result.rows:
        lever = car.wheelbase / car.mass.cg_height
        assert row.anti_dive_percent == pytest.approx(100 * share * math.tan(math.radians(row.brake_path_deg)) * lever)
        assert row.anti_squat_percent is None
    assert any(f"{100 * share:.0f} %" in words for words in result.assumed)
    behind = travelled("live_axle_four_link").rows[0]
    assert behind.anti_squat_percent == pytest.approx(-100 * math.tan(math.radians(behind.brake_path_deg)) * lever)
    assert travelled("twist_beam").rows[0].anti_squat_percent is None


# ------------------------------------------------------------------- adjusters


def test_a_spacer_moves_the_wheel_outboard():
    tree = tree_of_kind("five_link")
    spacer = {"kind": "spacer", "unit": "mm", "setting": 10.0, "measured_at": 0.0, "range": [0.0, 20.0]}
    for side in ("left", "right"):
        tree["rear"][side]["adjusters"]["spacer"] = spacer
    moved = cw.travel(Car.model_validate(tree), "rear_left", [0.0]).rows[0]
    plain = travelled("five_link", [0.0]).rows[0]
    assert moved.wheel_y_mm - plain.wheel_y_mm == pytest.approx(10 * math.cos(math.radians(1.1)), abs=0.02)


def test_a_perch_shortens_the_spring_at_the_same_lift():
    tree = tree_of_kind("five_link")
    for side in ("left", "right"):
        tree["rear"][side]["adjusters"]["perch"]["setting"] += 4.0
    moved = cw.travel(Car.model_validate(tree), "rear_left", LIFTS).rows
    for one, other in zip(travelled("five_link").rows, moved, strict=True):
        assert one.spring_mm - other.spring_mm == pytest.approx(4.0, abs=1e-6)
        assert one.damper_mm == pytest.approx(other.damper_mm, abs=1e-6)
