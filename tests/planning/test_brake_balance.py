"""The balance of whole cars: order of locking, loads, pedal, hand; and that advice, followed, does what it says."""

from __future__ import annotations

import re

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.brake_inputs import frictions, loading_of, parts_of, system_of
from cornerwright.mechanics.brake_system import circuits_failed
from cornerwright.model.errors import Refusal
from cornerwright.model.units import STANDARD_GRAVITY
from cornerwright.planning.brake_balance import front_share, locking, pedal_answer
from cornerwright.planning.brake_change import wanted_changes
from shared import PROJECT
from workshop import DROP, car_with, example_car

SKERRY = PROJECT / "examples" / "skerry_nine" / "car.yaml"


def skerry_with(**brakes):
    tree = cw.load_car(SKERRY).to_document()
    for path, value in brakes.items():
        at = tree["brakes"]
        *way, last = path.split("__")
        for step in way:
            at = at[step]
        at[last] = value
    return type(example_car()).model_validate(tree)


def found(car, about):
    return [one for one in cw.brakes(car).findings if one.about == about]


def test_both_examples_lock_the_front_first_inside_the_regulations_range():
    for car in (example_car(), cw.load_car(SKERRY)):
        told = cw.brakes(car)
        assert all(one.order_kept and one.rate_kept for one in told.balances)
        assert {one.locks_first for one in told.balances} == {"front"}
        assert [one for one in told.findings if one.level == "limit"] == []


def test_loads_are_moments_about_the_axles():
    """The full car by hand: masses added where they sit."""
    car = example_car()
    mass, loads = car.mass, car.brakes.loads
    more = [one for one in loads.values() if one.aboard == "not now"]
    total = mass.total + sum(one.mass for one in more)
    rear = (1 - mass.front) * mass.total + sum(one.mass * one.behind_front / car.wheelbase for one in more)
    height = (mass.total * mass.cg_height + sum(one.mass * one.height for one in more)) / total
    full = loading_of(car, "full")
    assert full.weight == pytest.approx(total * STANDARD_GRAVITY)
    assert 1 - full.front == pytest.approx(rear / total)
    assert full.cg_height == pytest.approx(height)
    light = loading_of(car, "light")
    assert light.weight == pytest.approx((mass.total - loads["fuel"].mass) * STANDARD_GRAVITY)
    assert loading_of(car).weight == pytest.approx(mass.total * STANDARD_GRAVITY)


def test_loads_that_lift_an_axle_are_refused():
    heavy = {"mass": 900, "behind_front": 9000, "height": 600, "aboard": "not now"}
    with pytest.raises(Refusal, match="in the air"):
        cw.brakes(car_with({"brakes.loads": {"trailer nose": heavy}}))


def test_more_front_share_moves_the_crossover_up():
    crossings = []
    for front in (52, 55, 58):
        told = cw.brakes(skerry_with(balance_bar__front=front))
        driven = next(one for one in told.balances if one.load == "driven")
        crossings += [cross.rate_g for cross in driven.crossovers]
    assert crossings == sorted(crossings)
    assert len(crossings) == 3


def test_a_bar_set_too_far_back_is_a_limit_and_its_advice_heals_it():
    car = skerry_with(balance_bar__front=48)
    (one,) = [one for one in found(car, "brake balance") if one.level == "limit"]
    assert "rear wheels lock first" in one.says
    told = cw.brakes(car)
    assert told.verdict == "breaks a hard limit"
    assert told.wanted is not None
    to = re.search(r"towards the front \(([\d.]+) % front\)", one.do)
    assert to, one.do
    healed = cw.brakes(skerry_with(balance_bar__front=float(to[1])))
    assert all(balance.order_kept for balance in healed.balances)
    assert healed.verdict != "breaks a hard limit"


def test_anti_lock_makes_a_warning_of_it():
    (one,) = [
        one
        for one in found(skerry_with(balance_bar__front=48, anti_lock=True), "brake balance")
        if "rear wheels lock first" in one.says
    ]
    assert one.level == "warning"


@pytest.mark.parametrize("share", [0.58, 0.62, 0.68, 0.72])
def test_bar_turns_reach_the_wanted_share(share):
    """Each change told, made in the document, gives what was told."""
    parts = parts_of(cw.load_car(SKERRY))
    wanted = wanted_changes(parts, "driven", share)
    assert wanted.changes
    loading = loading_of(parts.car)
    assert wanted.now_percent == pytest.approx(100 * front_share(system_of(parts), loading, 0.6))
    alone = [one for one in wanted.changes if one.parts == 0]
    for one in alone:
        to = re.search(r"\(([\d.]+) % front\)", one.what)
        assert to
        made = parts_of(skerry_with(balance_bar__front=float(to[1])))
        assert 100 * front_share(system_of(made), loading, 0.6) == pytest.approx(one.front_percent, abs=0.1)
        turns = re.search(r"balance bar (?:(\d+) )?(?:(\d+)/(\d+) )?turns?", one.what)
        count = int(turns[1] or 0) + (int(turns[2]) / int(turns[3]) if turns[2] else 0.0)
        moved = abs(float(to[1]) - 55.0)
        assert count * 1.2 == pytest.approx(moved, abs=0.06)
    reached = [abs(one.off_percent) for one in wanted.changes]
    assert min(reached) < 0.5


def test_valve_clicks_reach_the_wanted_share():
    parts = parts_of(example_car())
    for share in (0.70, 0.72, 0.75):
        wanted = wanted_changes(parts, "driven", share, 0.8)
        clicks = [one for one in wanted.changes if one.parts == 0]
        assert clicks
        for one in clicks:
            to = re.search(r"knee at ([\d.]+) bar", one.what)
            made = parts_of(car_with({"brakes.valve.knee": float(to[1])}))
            reached = 100 * front_share(system_of(made), loading_of(made.car), 0.8)
            assert reached == pytest.approx(one.front_percent, abs=0.01)


def test_parts_of_the_shelf_do_what_is_told():
    wanted = wanted_changes(parts_of(example_car()), "driven", 0.69)
    one = next(one for one in wanted.changes if one.what == "rear pads 'rear hill'")
    changed = car_with(
        {
            "rear.*.brake.pad.friction": 0.42,
            "rear.*.brake.pad.least_friction": DROP,
            "rear.*.brake.pad.most_friction": DROP,
        }
    )
    made = parts_of(changed)
    assert 100 * front_share(system_of(made), loading_of(made.car), 0.6) == pytest.approx(one.front_percent, abs=1e-6)
    assert one.parts == 1
    pistons = next(one for one in wanted.changes if one.what == "rear calipers with pistons of 36 mm")
    made = parts_of(car_with({"rear.*.brake.caliper.pistons": [36]}))
    assert 100 * front_share(system_of(made), loading_of(made.car), 0.6) == pytest.approx(
        pistons.front_percent, abs=1e-6
    )


def test_settings_come_before_parts_where_both_reach_it():
    wanted = wanted_changes(parts_of(cw.load_car(SKERRY)), "driven", 0.66)
    assert wanted.changes[0].parts == 0
    assert [one.parts for one in wanted.changes] == sorted(one.parts for one in wanted.changes)


def test_a_part_that_does_not_fit_the_rotor_is_not_offered():
    pad = {"name": "huge", "friction": 0.5, "new": 10, "least": 2, "height": 160, "length": 76}
    wanted = wanted_changes(
        parts_of(car_with({"brakes.shelf": {"pads": [{"axle": "rear", "pad": pad}]}})), "driven", 0.7
    )
    assert not any("huge" in one.what for one in wanted.changes)


def test_nothing_to_set_and_an_empty_shelf_says_so(cornerwright, tmp_path):
    car = car_with({"brakes.valve": DROP, "brakes.shelf": DROP})
    assert wanted_changes(parts_of(car), "driven", 0.6).changes == ()


def test_wet_pads_need_more_foot_and_keep_the_balance_where_both_lose_alike():
    light = cw.load_car(SKERRY)
    dry, wet = cw.brakes(light), cw.brakes(light, wet=True)
    assert wet.pedal.foot_n == pytest.approx(dry.pedal.foot_n / 0.85, rel=1e-6)
    assert [row.front_percent for row in wet.rows] == pytest.approx([row.front_percent for row in dry.rows])
    dry = cw.brakes(example_car())
    uneven = cw.brakes(car_with({"front.*.brake.pad.wet": 40}), wet=True)
    assert uneven.rows[5].front_percent < dry.rows[5].front_percent - 5


def test_friction_follows_its_curve_and_its_range():
    parts = parts_of(example_car())
    hot = frictions(parts, [425.0] * 4)
    assert hot[0] == pytest.approx((0.38 + 0.30) / 2)
    assert frictions(parts, [1000.0] * 4)[0] == pytest.approx(0.30)
    assert frictions(parts, spread=("least", "most"))[[0, 2]] == pytest.approx([0.35, 0.39])


def test_locking_is_where_the_grip_is_used():
    parts = parts_of(cw.load_car(SKERRY))
    loading, system = loading_of(parts.car), system_of(parts)
    for one in locking(system, loading):
        used = loading.adhesion_used(system.axle_forces(one.foot_n))
        assert used.max() == pytest.approx(one.grip, rel=2e-3)
        assert ("front", "rear")[int(np.argmax(used))] == one.axle
        assert loading.rate(system.axle_forces(one.foot_n)) == pytest.approx(one.rate_g, rel=2e-3)


# ------------------------------------------------------------------ pedal


def test_travel_by_hand():
    """Volumes of gaps, swelling and fluid over the cylinder's area, times the ratio."""
    car = example_car()
    parts = parts_of(car)
    system = system_of(parts)
    foot = 200.0
    pressures = system.pressures(foot)
    volume = 0.0
    for k, one in enumerate(parts.corners):
        area = sum(np.pi / 4 * d**2 for d in one.caliper.pistons)
        volume += 2 * area * one.caliper.running_gap + (one.caliper.swell + one.hose.swell) * pressures[k // 2]
    volume += sum(car.brakes.fluid.volume / 2 * p / 1.5e9 for p in pressures)
    by_hand = volume / (np.pi / 4 * car.brakes.master.bore**2) * car.brakes.pedal.ratio + car.brakes.pedal.free_play
    assert system.travel(foot) == pytest.approx(by_hand, rel=1e-9)


def test_knock_back_lengthens_the_pedal_and_too_much_is_told():
    told = cw.brakes(example_car()).pedal
    assert told.travel_knocked_back_mm > told.travel_mm + 10
    long = found(car_with({"brakes.master.bore": 17}), "pedal")
    assert any("knocked back" in one.says for one in long)
    assert any("stroke" in one.says for one in found(car_with({"brakes.master.stroke": 18}), "master cylinder"))


def test_a_pedal_too_hard_is_a_limit_and_a_servo_helps():
    (one,) = [
        one
        for one in found(car_with({"brakes.servo": DROP, "brakes.master.bore": 25.4}), "pedal")
        if one.level == "limit"
    ]
    assert "500 N" in one.says
    assert found(example_car(), "pedal") == []


def test_a_pedal_too_light_is_a_note():
    (one,) = [one for one in found(car_with({"brakes.servo.gain": 8}), "pedal") if "only" in one.says]
    assert one.level == "note"


def test_failed_circuits_hold_one_axle_or_a_diagonal():
    parts = parts_of(example_car())
    system = system_of(parts)
    wheels = system.wheel_forces(300.0)
    assert circuits_failed(system, 300.0, False) == pytest.approx([wheels[2:].sum(), wheels[:2].sum()])
    assert circuits_failed(system, 300.0, True) == pytest.approx([wheels.sum() / 2] * 2)
    told = pedal_answer(parts, system, loading_of(parts.car))
    assert max(told.failed_rates_g) < 0.8
    weak = found(car_with({"brakes.valve.knee": 15, "brakes.valve.slope": 10}), "failed circuit")
    assert any("first circuit" in one.says for one in weak)


# ------------------------------------------------------------------ hand


def test_a_parking_brake_that_holds_too_little_is_told():
    assert found(example_car(), "parking brake") == []
    (one,) = found(car_with({"rear.*.brake.parking.gain": 2}), "parking brake")
    assert one.level == "warning"
    assert "20 %" in one.says


def test_a_drum_in_the_rotor_by_hand():
    drum = {"kind": "drum_in_hat", "radius": 70, "lever": 5, "factor": 2.2}
    car = car_with({"rear.*.brake.parking": drum})
    told = cw.brakes(car).parking
    cable = 400 * 7.5 * 0.75 / 2
    radius = car.rear.left.wheel.height
    assert told.force_n == pytest.approx(2 * cable * 5 * 2.2 * 0.070 / radius)
    assert told.holds_percent == pytest.approx(100 * np.tan(np.arcsin(told.force_n / (884 * STANDARD_GRAVITY))))
    assert told.grip_facing_down > told.grip_facing_up


def test_a_hand_circuit_by_hand_and_that_it_is_no_parking_brake():
    car = cw.load_car(SKERRY)
    told = cw.brakes(car).hand
    pressure = 400 * 6 / (np.pi / 4 * 0.0178**2)
    assert told.pressure_bar == pytest.approx(pressure / 1e5)
    one = car.rear.left.brake
    pad = pressure * np.pi / 4 * 0.030**2
    assert told.force_n == pytest.approx(2 * 2 * 0.44 * pad * one.radius / car.rear.left.wheel.height)
    tree = car.to_document()
    del tree["brakes"]["parking"]
    for side in ("left", "right"):
        del tree["rear"][side]["brake"]["parking"]
    (told,) = found(type(car).model_validate(tree), "parking brake")
    assert "no parking brake" in told.says


def test_brakes_that_do_next_to_nothing_are_answered_and_none_at_all_refused():
    weak = cw.brakes(car_with({"brakes.servo": DROP, "brakes.master.bore": 900}))
    assert weak.balances[0].least_margin is None
    assert weak.verdict == "breaks a hard limit"
    stuck = {f"{end}.*.brake.caliper.threshold": 90000 for end in ("front", "rear")}
    with pytest.raises(Refusal, match="no foot makes slow"):
        cw.brakes(car_with(stuck))


def test_questions_that_make_no_sense_are_refused():
    for more in ({"load": "empty"}, {"front_share": 1.2}, {"front_share": 0.0}):
        with pytest.raises(Refusal):
            cw.brakes(example_car(), **more)
