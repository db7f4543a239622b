"""Runs of whole cars: what heats more, what is told, laps, bedding."""

from __future__ import annotations

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.brake_inputs import bodies_of, parts_of, skins_of
from cornerwright.model.lap import Lap, LapRow
from cornerwright.model.parts import CORNERS
from cornerwright.planning.brake_heat import Stops, bedding, lap_run, stops_run
from shared import PROJECT
from workshop import DROP, car_with, example_car

SKERRY = PROJECT / "examples" / "skerry_nine" / "car.yaml"


def run_of(car, stops=None, **more):
    return stops_run(parts_of(car), Stops() if stops is None else stops, **more)


def found(car, about, **more):
    return [one for one in cw.brakes(car, **more).findings if one.about == about]


def test_each_stop_is_hotter_until_it_settles():
    tops = [stop.rotor_degc["front_left"] for stop in run_of(example_car(), Stops(40)).stops]
    assert tops == sorted(tops)
    assert tops[-1] - tops[-2] < 0.05 * (tops[1] - tops[0])


def test_the_face_is_hotter_than_the_rotor_and_the_fluid_cooler():
    told = run_of(example_car())
    for name in CORNERS:
        assert told.surface_peak_degc[name] > told.rotor_peak_degc[name] > told.fluid_peak_degc[name] > 20


@pytest.mark.parametrize(
    ("change", "hotter"),
    [
        ({"front.*.brake.rotor.mass": 3.0}, True),
        ({"front.*.brake.rotor.mass": 7.0}, False),
        ({"front.*.brake.rotor.vented": False}, True),
        ({"front.*.brake.rotor.cooling_area": 0.4}, False),
        ({"brakes.measured.front_left.rotor": 17.0, "brakes.measured.front_right.rotor": 17.0}, True),
        ({"brakes.drag_area": 0.8}, False),
    ],
)
def test_what_makes_rotors_hotter(change, hotter):
    before, after = run_of(example_car()), run_of(car_with(change))
    assert (after.rotor_peak_degc["front_left"] > before.rotor_peak_degc["front_left"]) is hotter


def test_a_worn_rotor_has_lost_what_the_pads_took():
    new = car_with({"brakes.measured": DROP})
    worn = car_with({"brakes.measured.front_left.rotor": 18.0})
    skin = skins_of(parts_of(new))[0]
    lost = (0.020 - 0.018) * skin.area * skin.density * skin.heat
    change = bodies_of(parts_of(new), 20.0).rotor_capacity - bodies_of(parts_of(worn), 20.0).rotor_capacity
    assert change[0] == pytest.approx(lost)


def test_one_stop_warms_as_its_energy_says():
    car = car_with({"brakes.rotating": 0})
    told = run_of(car, Stops(1, 30.0, 0.0, 1.0))
    bodies = bodies_of(parts_of(car), 20.0)
    whole = sum(
        (told.stops[0].rotor_degc[name] - 20.0) * c for name, c in zip(CORNERS, bodies.rotor_capacity, strict=True)
    )
    assert whole == pytest.approx(0.5 * 884 * 900, rel=0.03)


def test_hot_pads_shift_the_balance_and_the_foot():
    """Front pads that fade hand the work to the rear, and the foot presses harder."""
    fading = [{"temperature": 20, "friction": 0.4}, {"temperature": 250, "friction": 0.12}]
    edits = {"front.*.brake.pad.curve": fading, "front.*.brake.pad.most_temperature": 900}
    told = run_of(car_with(edits), Stops(25, 40.0, 5.0, 0.7, 20.0))
    assert told.stops[-1].foot_n > 1.3 * told.stops[0].foot_n
    steady = run_of(car_with({"front.*.brake.pad.curve": []}), Stops(25, 40.0, 5.0, 0.7, 20.0))
    assert told.rotor_peak_degc["rear_left"] > steady.rotor_peak_degc["rear_left"] + 20


def test_limits_that_are_passed_are_told():
    hard = Stops(25, 45.0, 10.0, 0.8, 22.0)
    calm = cw.brakes(example_car())
    assert {one.about for one in calm.findings if one.level != "note"} == set()
    assert found(car_with({"front.*.brake.pad.most_temperature": 150}), "pads")[0].level == "warning"
    assert found(car_with({"front.*.brake.rotor.most_temperature": 150}), "rotor")[0].level == "warning"
    boiling = {"brakes.fluid": {"grade": "DOT 3", "wet_boiling": 85}}
    assert found(car_with(boiling), "brake fluid")[0].level == "limit"
    assert "20 °C" not in found(car_with(boiling), "brake fluid")[0].says
    assert (
        cw.brakes(example_car(), run=hard).heat.rotor_peak_degc["front_left"] > calm.heat.rotor_peak_degc["front_left"]
    )


def test_fade_beyond_any_foot_is_told():
    fading = [{"temperature": 20, "friction": 0.4}, {"temperature": 200, "friction": 0.04}]
    edits = {"front.*.brake.pad.curve": fading, "rear.*.brake.pad.curve": fading, "brakes.servo.gain": 1.2}
    (one,) = found(car_with(edits), "fade", run=Stops(20, 40.0, 5.0, 0.6, 20.0))
    assert one.level == "warning"


@pytest.mark.parametrize(("months", "words"), [(None, "age is not known"), (30, "months old"), (5, None)])
def test_old_fluid_is_told(months, words):
    fluid = {"grade": "DOT 4"} | ({} if months is None else {"months": months})
    says = [one.says for one in found(car_with({"brakes.fluid": fluid}), "brake fluid")]
    assert (says == []) if words is None else any(words in one for one in says)


def test_fluid_goes_on_warming_while_the_car_stands():
    told = run_of(cw.load_car(SKERRY))
    last = told.stops[-1].fluid_degc["front_left"]
    assert told.fluid_peak_degc["front_left"] > last + 5


def test_air_is_where_it_begins():
    told = run_of(example_car(), ambient=-5.0)
    assert told.samples[0].rotor_degc["front_left"] == -5.0
    assert len(told.samples) <= 240
    assert told.samples[-1].time_s == pytest.approx(10 * 45 + 600)


# ------------------------------------------------------------------ laps


def lap(*rows):
    return Lap("invented", tuple(LapRow(t, v) for t, v in rows))


def test_a_lap_finds_its_stops_and_joins_what_is_one():
    told = lap_run(parts_of(example_car()), lap((0, 40), (1, 32), (2, 24), (10, 40), (12, 20), (20, 40)), 2)
    assert [(round(s.from_km_per_h), round(s.to_km_per_h)) for s in told.stops] == [(144, 86), (144, 72)] * 2
    assert told.stops[2].begins_s == pytest.approx(20.0)


def test_more_laps_are_hotter():
    one = lap((0, 40), (2, 20), (15, 40))
    parts = parts_of(example_car())
    tops = [lap_run(parts, one, n).rotor_peak_degc["front_left"] for n in (1, 3, 9)]
    assert tops == sorted(tops)


def test_coasting_is_left_to_the_drag_that_is_known():
    gentle = lap((0, 40), (10, 38), (30, 40))
    car = car_with({"brakes.drag_area": 0.7})
    assert lap_run(parts_of(car), gentle).energy_kj == 0.0


# ------------------------------------------------------------------ bedding


@pytest.mark.parametrize("car", [example_car(), cw.load_car(SKERRY)], ids=["tarn_fell", "skerry_nine"])
def test_bedding_brings_both_axles_into_their_range_and_not_beyond(car):
    told = bedding(parts_of(car))
    assert len(told.stages) == 2
    for k in (0, 1):
        top = told.peaks[-1][2 * k : 2 * k + 2].max()
        low, high = told.wanted[k]
        assert low <= top <= high
    assert (told.peaks[0] < told.peaks[1]).all()


def test_bedding_that_cannot_reach_says_so():
    car = car_with({"rear.*.brake.pad.bed": [700, 800], "rear.*.brake.pad.most_temperature": 900})
    (one,) = found(car, "bedding")
    assert (one.place, one.level) == ("rear", "note")


def test_bedding_ends_before_the_greatest_temperature():
    car = car_with({"front.*.brake.pad.bed": [90, 120], "rear.*.brake.pad.bed": [60, 110]})
    told = bedding(parts_of(car))
    assert told.peaks[-1][:2].max() <= 120
    assert np.all(told.peaks[-1][2:] <= 110)


def test_bedding_predictions_are_those_of_the_same_stops_run_by_themselves():
    parts = parts_of(example_car())
    told = bedding(parts)
    first = stops_run(parts, told.stages[0])
    assert told.peaks[0] == pytest.approx([first.rotor_peak_degc[name] for name in CORNERS], abs=0.1)
