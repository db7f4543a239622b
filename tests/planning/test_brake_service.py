"""Wear and the service cards: limits, life, what each car's cards hold, cautions on every one."""

from __future__ import annotations

import pytest

import cornerwright as cw
from cornerwright.assembly.brake_inputs import parts_of
from cornerwright.planning.brake_wear import wear_findings, wear_rows
from cornerwright.planning.service import bleed_order
from shared import PROJECT
from workshop import DROP, car_with, example_car

SKERRY = PROJECT / "examples" / "skerry_nine" / "car.yaml"
MEASURED = "brakes.measured.front_left"


def wear(edits):
    return list(wear_findings(wear_rows(parts_of(car_with(edits)))))


def card(car, key):
    return next(one for one in cw.brakes(car).cards if one.key == key)


def words(one):
    return " ".join(step.says for step in one.steps)


# ------------------------------------------------------------------ wear


@pytest.mark.parametrize(
    ("edits", "level", "about", "says"),
    [
        ({f"{MEASURED}.rotor": 17.9}, "limit", "rotor", "less than the 18.00 mm its maker allows"),
        ({f"{MEASURED}.rotor": 18.1}, "note", "rotor", "5 % of its wear is left"),
        ({f"{MEASURED}.pad": 1.9}, "limit", "pads", "less than the 2.0 mm allowed"),
        ({f"{MEASURED}.runout": 0.09}, "warning", "rotor", "0.090 mm, 0.080 mm is allowed"),
        ({f"{MEASURED}.variation": 0.02}, "warning", "rotor", "varies by 0.020 mm"),
        ({f"{MEASURED}.pad": 6.0}, "warning", "pads", "wear faster than on the other side, by 1.8 mm"),
        ({"brakes.measured.rear_left": DROP}, "note", "wear", "not measured"),
    ],
)
def test_limits_and_life(edits, level, about, says):
    assert wear({}) == []
    found = [one for one in wear(edits) if one.level == level and one.about == about]
    assert any(says in one.says for one in found), found


def test_pads_at_their_end_and_their_kilometres():
    (one,) = [
        one
        for one in wear({f"{MEASURED}.pad": 3.0, "brakes.measured.front_right.pad": 3.0})
        if one.place == "front_left"
    ]
    # 8 mm gone in 6500 km; 1 mm is left.
    assert "about 812 km" in one.says


def test_life_goes_on_as_it_went():
    row = wear_rows(parts_of(example_car()))[0]
    assert row.pad_life_km == pytest.approx((8.1 - 2.0) / (11 - 8.1) * 6500)
    assert row.pad_life_percent == pytest.approx(100 * (8.1 - 2) / 9)
    assert row.rotor_life_percent == pytest.approx(100 * 1.4 / 2)
    assert wear_rows(parts_of(car_with({f"{MEASURED}.pad_driven": DROP})))[0].pad_life_km is None


def test_check_tells_of_worn_brakes():
    assert any("17.90 mm thick" in one.says for one in cw.check(car_with({f"{MEASURED}.rotor": 17.9})).findings)


# ------------------------------------------------------------------ cards


@pytest.mark.parametrize("car", [example_car(), cw.load_car(SKERRY)], ids=["tarn_fell", "skerry_nine"])
def test_every_card_has_the_makers_manual_first_and_licensed_practice(car):
    cards = cw.brakes(car).cards
    assert [one.key for one in cards] == ["pins", "wear", "hoses", "bleeding", "parking", "road", "bedding"]
    for one in cards:
        assert "manual" in one.cautions[0]
        assert "licensed workshop" in one.cautions[-1]
        assert len(one.steps) >= 4
        assert all(len(row) == len(one.table_head) for row in one.table)
    for key in ("road", "bedding"):
        assert any("Local law" in caution for caution in card(car, key).cautions)


def test_pins_are_for_sliding_calipers_only():
    assert "Slide pins (all four)" in words(card(example_car(), "pins"))
    assert "stiffly" in words(card(example_car(), "pins"))
    fixed = words(card(cw.load_car(SKERRY), "pins"))
    assert "Slide pins" not in fixed
    assert "Fixed calipers (all four)" in fixed


@pytest.mark.parametrize(
    ("edits", "order"),
    [
        ({}, ("rear_right", "rear_left", "front_right", "front_left")),
        ({"brakes.driver_side": "right"}, ("rear_left", "rear_right", "front_left", "front_right")),
        ({"brakes.split": "diagonal"}, ("rear_right", "front_left", "rear_left", "front_right")),
    ],
)
def test_bleeding_begins_with_the_longest_line(edits, order):
    car = car_with(edits)
    assert bleed_order(parts_of(car)) == order
    told = words(card(car, "bleeding"))
    places = [told.index(f"{k + 1}. {name.replace('_', ' ')}") for k, name in enumerate(order)]
    assert places == sorted(places)
    assert "DOT 4" in told


def test_two_cylinders_are_bled_together_and_the_hand_circuit_last():
    told = words(card(cw.load_car(SKERRY), "bleeding"))
    assert "rear right together with front right" in told
    assert told.index("Hand circuit last") > told.index("2. rear left together with front left")
    assert "Balance bar" not in words(card(example_car(), "bleeding"))


def test_the_hose_card_holds_the_computed_slack():
    told = cw.brakes(cw.load_car(SKERRY))
    one = next(card for card in told.cards if card.key == "hoses")
    assert [row[4] for row in one.table] == [f"{row.slack_mm:.0f}" for row in told.hoses]
    assert "height" in words(one)
    none = card(car_with({"front.*.brake.hose": DROP, "rear.*.brake.hose": DROP}), "hoses")
    assert none.table == ()
    assert "no hoses" in words(none)


def test_the_parking_card_knows_drum_from_caliper_and_is_left_out_without_one():
    drum = {"kind": "drum_in_hat", "radius": 70, "lever": 5}
    assert "star wheel" in words(card(car_with({"rear.*.brake.parking": drum}), "parking"))
    assert "star wheel" not in words(card(example_car(), "parking"))
    without = car_with({"rear.*.brake.parking": DROP, "brakes.parking": DROP})
    assert "parking" not in [one.key for one in cw.brakes(without).cards]


def test_the_bedding_card_holds_stops_with_predicted_temperatures():
    one = card(example_car(), "bedding")
    told = words(one)
    assert "Predicted at the end: front" in told
    assert "front 180 to 300 °C (as their maker asks)" in told
    assert len(one.table) == 2
    rough = card(car_with({"front.*.brake.pad.bed": DROP}), "bedding")
    assert "front 200 to 300 °C (our rough figure)" in words(rough)
