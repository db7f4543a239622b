"""Hoses through travel and lock: against the linkage's own points, plain geometry, and every kind of suspension."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

import cornerwright as cw
from cars import AXLE_KINDS, KINDS, corner_of_kind, tree_of_kind
from cornerwright.assembly.hose_travel import hose_travels
from cornerwright.assembly.mechanism import corner_mechanism
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.window import window
from cornerwright.mechanics.linkage import places, solve
from cornerwright.model.car import Car
from cornerwright.model.results_plan import Move
from cornerwright.planning.hose import arc_radius, hose_findings, hose_rows, hoses_after
from shared import PROJECT
from workshop import DROP, car_with, example_car

SKERRY = PROJECT / "examples" / "skerry_nine" / "car.yaml"


def skerry_with(end, **hose):
    tree = cw.load_car(SKERRY).to_document()
    for side in ("left", "right"):
        tree[end][side]["brake"]["hose"].update(hose)
    return Car.model_validate(tree)


# ------------------------------------------------------------------ bends


@pytest.mark.parametrize("length", [0.2, 0.3])
@pytest.mark.parametrize("radius", [0.05, 0.08, 0.2, 1.0])
def test_an_arc_of_known_radius_is_found(length, radius):
    angle = length / radius
    if angle < 2 * np.pi:
        x = quad(lambda s: np.cos(s / radius), 0, length)[0]
        y = quad(lambda s: np.sin(s / radius), 0, length)[0]
        assert arc_radius(length, float(np.hypot(x, y))) == pytest.approx(radius, rel=1e-6)


def test_a_straight_hose_has_no_bend():
    assert arc_radius(0.2, 0.2) == float("inf")
    assert arc_radius(0.2, 0.21) == float("inf")
    assert arc_radius(0.2, 0.0) == pytest.approx(0.2 / (2 * np.pi))


# ------------------------------------------------------------------ points


def test_at_the_reference_it_is_the_distance_in_the_file():
    for told in hose_travels(cw.load_car(SKERRY)):
        k = np.argmin(np.abs(told.lift) + np.abs(told.steer))
        near = told.distance[k]
        assert abs(near - told.hose.span) < 0.5 * abs(told.lift[k]) + 1e-9


def test_a_hose_at_a_ball_joint_follows_the_ball_joint():
    """Its upper end on the body at the top of the damper, its lower end at the lower ball: distances by the points."""
    tree = cw.load_car(SKERRY).to_document()
    ball = tree["front"]["left"]["linkage"]["points"]["lower_ball"]
    for side, sign in (("left", 1), ("right", -1)):
        tree["front"][side]["brake"]["hose"] = {
            "body": [-14, sign * 472, 561],
            "carrier": [ball[0], sign * ball[1], ball[2]],
            "free_length": 700,
        }
    car = Car.model_validate(tree)
    told = hose_travels(car)[0]
    rig = Rig(car)
    mechanism = corner_mechanism(car.front.left, 0, car.front.rack, {})
    pose = solve(mechanism, told.lift[:, None], told.steer)
    at = places(mechanism, pose, ["lower_ball"])[:, 0]
    by_points = np.linalg.norm(at - np.array([-0.014, 0.472, 0.561]), axis=1)
    assert told.distance == pytest.approx(by_points, abs=1e-9)
    assert told.steer.min() == -0.062
    assert told.steer.max() == 0.062
    ends = window(rig.vary(), gradients=False)
    assert told.lift.min() == pytest.approx(ends.droop.lift[0, 0])
    assert told.lift.max() == pytest.approx(ends.bump.lift[0, 0])


def test_left_and_right_are_mirror_images_with_lock_turned_about():
    left, right = hose_travels(cw.load_car(SKERRY))[:2]
    for lift, steer, distance in zip(left.lift, left.steer, left.distance, strict=True):
        k = np.argmin(np.abs(right.lift - lift) + np.abs(right.steer + steer))
        assert right.distance[k] == pytest.approx(distance, abs=1e-9)


def test_lock_is_looked_at_where_the_axle_steers():
    rows = {row.corner: row for row in hose_rows(cw.load_car(SKERRY))}
    assert "lock to lock" in rows["front_left"].covers
    assert "lock" not in rows["rear_left"].covers
    assert "rack" in rows["front_left"].longest_at
    straight = max(
        d
        for told in hose_travels(cw.load_car(SKERRY))[:1]
        for d, s in zip(told.distance, told.steer, strict=True)
        if s == 0
    )
    assert rows["front_left"].longest_mm > 1e3 * straight + 1


def test_a_change_of_height_is_seen():
    """Rods made shorter and perches turned move the hub: the row is that of the settings as they are."""
    before = hose_rows(cw.load_car(SKERRY))[2]
    tree = cw.load_car(SKERRY).to_document()
    for side in ("left", "right"):
        tree["rear"][side]["adjusters"]["body"]["setting"] = 36
    after = hose_rows(Car.model_validate(tree))[2]
    assert after.slack_mm < before.slack_mm - 3
    for side in ("left", "right"):
        tree["rear"][side]["adjusters"]["upper_rods"]["setting"] = 34
    assert hose_rows(Car.model_validate(tree))[2].longest_mm != pytest.approx(after.longest_mm, abs=0.1)


@pytest.mark.parametrize(
    ("length", "level"),
    [(230, "limit"), (245, "limit"), (290, None)],
)
def test_a_short_hose_is_a_limit(length, level):
    car = skerry_with("front", free_length=length)
    levels = [
        one.level for one in hose_findings(hose_rows(car)) if one.place == "front_left" and "longer" in (one.do or "")
    ]
    assert levels == ([] if level is None else [level])
    assert (cw.check(car).verdict == "breaks a hard limit") == (level == "limit")


def test_a_hose_bent_too_sharply_is_told():
    says = [one.says for one in hose_findings(hose_rows(skerry_with("front", bend_radius=90)))]
    assert any("bends to" in one for one in says)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_suspension_is_followed(kind):
    """A rigid carrier: a point of it keeps its distance to the wheel centre, so the hose's ends stay within reach."""
    tree = tree_of_kind(kind)
    corner = corner_of_kind(kind)
    rows = {row.corner: row for row in hose_rows(Car.model_validate(tree))}
    assert rows[corner].known_by == "points"
    told = next(one for one in hose_travels(Car.model_validate(tree)) if one.corner == (0 if "front" in corner else 2))
    assert np.isfinite(told.distance).all()
    reach = max(abs(told.lift.min()), told.lift.max())
    assert np.ptp(told.distance) < 4 * reach
    if kind in AXLE_KINDS:
        assert "other wheel" in rows[corner].covers


# ------------------------------------------------------------------ jack tables


def test_a_jack_table_says_what_it_does_not_know():
    found = [one for one in hose_findings(hose_rows(example_car())) if one.level == "note"]
    assert len(found) == 4
    assert any("lock is not in it" in one.says for one in found)
    assert any("side view" in one.says for one in found)


def test_a_jack_table_that_only_lifts_is_plain_geometry():
    """No camber, toe or track change: the carrier's end goes straight up."""
    tree = example_car().to_document()
    for side in ("left", "right"):
        rows = tree["rear"][side]["linkage"]["rows"]
        for row in rows:
            row |= {"camber": 0, "toe": 0, "half_track": 0}
    told = hose_travels(Car.model_validate(tree))[2]
    hose = told.hose
    up = np.array(hose.carrier) + np.stack([0 * told.lift, 0 * told.lift, told.lift], axis=1)
    assert told.distance == pytest.approx(np.linalg.norm(up - np.array(hose.body), axis=1), abs=2e-4)


def test_a_jack_table_agrees_with_the_points_it_was_read_from():
    """Straight ahead, a table of readings of the double wishbone gives its hose to 4 mm."""
    tree = cw.load_car(SKERRY).to_document()
    lifts = [-90, -60, -30, 0, 30, 60, 90]
    told = cw.travel(cw.load_car(SKERRY), "front_left", [one / 1e3 for one in lifts]).rows
    truth = hose_travels(cw.load_car(SKERRY))[0]
    truth_at = {round(lift, 6): d for lift, s, d in zip(truth.lift, truth.steer, truth.distance, strict=True) if s == 0}
    rows = [
        {"lift": r.lift_mm, "damper": r.damper_mm, "spring": r.spring_mm, "camber": r.camber_deg, "toe": r.toe_deg}
        | {"caster": r.caster_deg, "half_track": r.half_track_mm}
        for r in told
    ]
    for side in ("left", "right"):
        corner = tree["front"][side]
        corner["linkage"] = {"kind": "jack_table", "rows": rows}
        corner["wheel"] = {"centre_height": 300}
        for name in ("joint_limits", "rocker", "drive_shaft", "room"):
            corner.pop(name, None)
        corner["damper"].pop("between")
        corner["spring"].pop("seat_gap")
        corner["adjusters"] = {"perch": corner["adjusters"]["perch"]}
    tree["front"].pop("rack")
    table = hose_travels(Car.model_validate(tree))[0]
    by_truth = np.interp(table.lift, sorted(truth_at), [truth_at[lift] for lift in sorted(truth_at)])
    assert table.known_by == "jack_table"
    assert table.distance == pytest.approx(by_truth, abs=4e-3)


def test_a_plan_looks_at_the_hoses_where_its_moves_lead():
    """With a hose that just reaches now, lower perches and longer dampers pull it tight; the plan says so."""
    car = example_car()
    needed = hose_rows(car)[2].longest_mm
    tight = car_with({"rear.*.brake.hose.free_length": needed + 16})
    assert [one for one in hose_findings(hose_rows(tight)) if one.level != "note"] == []
    longer = Move.model_validate(
        {
            "corner": "rear_left", "adjuster": "body", "kind": "body", "stage": "damper", "steps": 10, "unit": "turn",
            "amount": 10, "from": 22.7, "to": 32.7, "from_mm": 34, "to_mm": 49, "do": "out", "minutes": 4,
        }
    )  # fmt: skip
    (one,) = hoses_after(tight, [longer])
    assert (one.place, one.level) == ("rear_left", "warning")
    assert one.says.startswith("after these moves ")
    assert hoses_after(tight, []) == []
    planned = cw.plan(tight, None, cw.load_targets(PROJECT / "examples" / "tarn_fell" / "targets.yaml"))
    told = [one for one in planned.findings if one.about == "brake hose"]
    assert told == hoses_after(tight, planned.moves)


def test_a_car_without_hoses_has_no_rows():
    assert hose_rows(car_with({"front.*.brake.hose": DROP, "rear.*.brake.hose": DROP})) == ()
