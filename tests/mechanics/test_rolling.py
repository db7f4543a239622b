"""Axles on their real springs in roll: against the standing car, and leaning on curves against leaning on rates."""

from dataclasses import replace

import numpy as np
import pytest

import cornerwright as cw
from cars import car_of_kind
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.turn_inputs import turn_inputs
from cornerwright.mechanics.cornering import axle_roll_stiffness, lean, sliding, slow_roll, turn
from cornerwright.mechanics.rolling import RollCurve, rolled
from cornerwright.mechanics.stance import GRAVITY
from shared import PROJECT
from workshop import car_with

SIDE = np.array([1.0, -1.0, 1.0, -1.0])


def skerry(**changes):
    tree = cw.load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml").to_document()
    for end, length in changes.items():
        for side in ("left", "right"):
            tree[end][side]["damper"]["bump_stop"]["length"] = length
    return type(cw.load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml")).model_validate(tree)


CARS = {
    "tarn_fell": lambda: car_with({}),
    "stops touched early": lambda: car_with(
        {"rear.*.damper.bump_stop.length": 78, "front.*.damper.bump_stop.length": 62}
    ),
    "springs short at droop": lambda: car_with({"front.*.spring.stack.1.free_length": 20}),
    "skerry_nine": skerry,
    "skerry_nine, stops touched early": lambda: skerry(rear=68.0),
    "live axle": lambda: car_of_kind("live_axle_panhard"),
    "twist beam": lambda: car_of_kind("twist_beam"),
}


def standing(car, left):
    """Roll [rad] and what each axle holds against it [N m] with this share of the weight on the left."""
    there = car.model_copy(update={"mass": car.mass.model_copy(update={"left": left})})
    variant = Rig(there).vary()
    stance = variant.stand()
    assert stance.stands[0]
    push = stance.load[0] - GRAVITY * variant.inputs.unsprung_mass[0]
    return float(stance.q[0, 2]), push, stance


@pytest.mark.parametrize("name", CARS)
def test_curves_are_those_of_the_car_standing_with_its_weight_moved_aside(name):
    """Weight moved to the right rolls the standing car: the same roll, the same moment at each axle."""
    level = CARS[name]()
    level = level.model_copy(update={"mass": level.mass.model_copy(update={"left": 0.5})})
    inputs = turn_inputs(level)
    track = inputs.car.track
    rest_roll, rest_push, _ = standing(level, 0.5)
    bent = []
    for left in (0.46, 0.40, 0.34):
        roll, push, stance = standing(level, left)
        moment = (-SIDE * (push - rest_push)).reshape(2, 2).sum(axis=1) * track / 2.0
        told = np.array([float(curve.holds(roll - rest_roll)) for curve in inputs.car.rolling])
        assert told.sum() == pytest.approx(moment.sum(), rel=0.03)
        assert told == pytest.approx(moment, rel=0.05, abs=25.0)
        lift = np.concatenate([curve.wheels(roll - rest_roll)[0] for curve in inputs.car.rolling])
        assert lift == pytest.approx(stance.q[0, 3:] - inputs.rest, abs=2.5e-3)
        bent.append(moment.sum() / (roll - rest_roll))
    if "early" in name:
        assert bent[-1] > 1.03 * bent[0]


def test_where_each_wheel_hangs_by_itself_rest_rates_are_the_textbooks():
    inputs = turn_inputs(car_with({}))
    assert inputs.spring_share == pytest.approx([1.0, 1.0], abs=2e-3)


@pytest.mark.parametrize("kind", ["live_axle_panhard", "live_axle_four_link"])
def test_springs_inside_the_wheels_of_a_live_axle_hold_less_in_roll(kind):
    front, rear = turn_inputs(car_of_kind(kind)).spring_share
    assert front == pytest.approx(1.0, abs=5e-3)
    assert 0.1 < rear < 0.9


def curve(stiffness, track=1.4):
    """A straight axle."""
    roll = np.linspace(-0.2, 0.2, 41)
    lift = np.stack([-roll * track / 2, roll * track / 2], axis=1)
    return RollCurve(roll, stiffness * roll, lift, 0.0 * lift, 0.0 * lift)


@pytest.mark.parametrize("lateral", [0.5, 4.0, 8.0, -6.0])
def test_leaning_on_straight_curves_is_leaning_on_rates(lateral):
    base = replace(turn_inputs(car_with({})).car, rolling=None)
    curves = tuple(curve(k, t) for k, t in zip(base.roll_stiffness, base.track, strict=True))
    by_rates, by_curves = lean(base, lateral), lean(replace(base, rolling=curves), lateral)
    assert by_curves.roll == pytest.approx(by_rates.roll)
    assert by_curves.load == pytest.approx(by_rates.load)
    assert by_curves.lifted.tolist() == by_rates.lifted.tolist()


def test_an_inside_wheel_lifts_on_curves_too_and_the_car_turns_over():
    base = replace(turn_inputs(car_with({})).car, roll_stiffness=np.array([120e3, 8e3]), rolling=None)
    curves = tuple(curve(k, t) for k, t in zip(base.roll_stiffness, base.track, strict=True))
    on_curves = replace(base, rolling=curves)
    for lateral, up in ((6.0, False), (9.0, True), (9.8, True)):
        one, other = lean(base, lateral), lean(on_curves, lateral)
        assert one.lifted.tolist() == other.lifted.tolist() == [up, False]
        assert other.load == pytest.approx(one.load, abs=1e-6)
    assert lean(on_curves, 40.0).verdict == lean(base, 40.0).verdict == "turns over"
    assert turn(on_curves, 30.0, 40.0).verdict == "turns over"


def test_a_stop_that_is_met_takes_load_to_its_end_and_holds_the_roll():
    free, stopped = CARS["tarn_fell"](), car_with({"rear.*.damper.bump_stop.length": 78})
    before, after = cw.corner(free), cw.corner(stopped)
    assert set(after.stops_from_g) == {"rear_right"}
    assert before.stops_from_g == {}
    assert 0.05 < after.stops_from_g["rear_right"] < after.limit.lateral_g
    assert after.limit.roll_deg < before.limit.roll_deg
    # More of the load goes over at the rear: the rear gives up earlier.
    assert after.front_transfer_percent < before.front_transfer_percent - 1.0
    assert after.limit.lateral_g < before.limit.lateral_g
    assert any(one.about == "bump" and one.place == "rear_right" for one in after.findings)


def test_slow_roll_is_that_of_the_curves_at_rest():
    base = turn_inputs(car_with({})).car
    roll, share = slow_roll(base, base.roll_stiffness)
    leaning = lean(base, 0.3)
    assert roll == pytest.approx(leaning.roll / 0.3, rel=2e-3)
    assert share == pytest.approx(leaning.transfer[0] / leaning.transfer.sum(), rel=2e-3)


def test_rolled_by_hand():
    """Straight springs of 20 N/mm: no heave, the textbook's moment."""

    def forces(lifts):
        return 3000.0 + 20e3 * lifts

    found = rolled(forces, np.zeros(4), np.array([1.4, 1.3]), np.array([-0.03, 0.0, 0.03]))
    assert found.reached.all()
    assert found.lift[2] == pytest.approx([-0.021, 0.021, -0.0195, 0.0195], abs=1e-8)
    wanted = [float(axle_roll_stiffness(20e3, 0.0, track)) * 0.03 for track in (1.4, 1.3)]
    assert found.moment[2] == pytest.approx(wanted, rel=1e-6)


def test_springs_that_stiffen_lift_the_body():
    """Bump twice as stiff as droop: the axle rises, and holds its load."""

    def forces(lifts):
        return 3000.0 + np.where(lifts > 0, 40e3, 20e3) * lifts

    found = rolled(forces, np.zeros(4), np.array([1.4, 1.4]), np.array([0.0, 0.03]))
    heave = found.lift[1].reshape(2, 2).mean(axis=1)
    # 40 (h + a) = 20 (a - h) with a = 21 mm.
    assert heave == pytest.approx(-0.021 / 3, abs=1e-7)


def test_what_cannot_be_reached_holds_no_numbers():
    def forces(lifts):
        return np.where(np.abs(lifts) < 0.03, 3000.0 + 20e3 * lifts, np.nan)

    found = rolled(forces, np.zeros(4), np.array([1.4, 1.4]), np.array([0.0, 0.03, 0.09]))
    assert found.reached[:2].all()
    assert not found.reached[2].any()
    assert np.isnan(found.moment[2]).all()


@pytest.mark.parametrize("field", ["grip", "stiffness", "lean"])
def test_a_turn_of_which_a_number_is_not_known_is_no_turn(field):
    """Whatever the solver says of nan: it is not within any tolerance."""
    known = turn_inputs(CARS["tarn_fell"]()).car
    lost = replace(known, tyres=replace(known.tyres, **{field: np.full(4, np.nan)}))
    assert turn(lost, 30.0, 3.0).verdict == "no grip"
    assert sliding(lost, 30.0, -0.3, np.array([9.0, -0.2, 0.3 * lost.mass * GRAVITY])).verdict == "no grip"
