"""Charts of the brakes: lettering apart, every curve drawn, the regulation's limits where they belong."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from drawing_samples import check_lettering, words_of

import cornerwright as cw
from cornerwright.drawing.brake_charts import ADHESION, LIMIT, ORDER, brake_charts
from cornerwright.mechanics import braking
from cornerwright.planning.brake_heat import Stops
from shared import PROJECT
from workshop import DROP, car_with, example_car

SKERRY = cw.load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml")
CASES = {
    "tarn_fell": (example_car(), {}),
    "skerry_nine": (SKERRY, {}),
    "wet and full": (SKERRY, {"load": "full", "wet": True}),
    "one stop": (example_car(), {"run": Stops(1)}),
    "very hot": (example_car(), {"run": Stops(30, 50.0, 5.0, 0.9, 15.0), "ambient": 45.0}),
    "rear first": (car_with({"brakes.valve": DROP, "rear.*.brake.caliper.pistons": [45]}), {}),
    "weak": (car_with({"brakes.servo": DROP, "brakes.master.bore": 60}), {}),
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize(("width", "panel"), [(180.0, 58.0), (140.0, 40.0), (260.0, 90.0)])
def test_no_two_texts_overlap_and_none_leaves_the_page(case, width, panel):
    car, more = CASES[case]
    check_lettering(brake_charts(cw.brakes(car, **more), width, panel))


def test_every_chart_is_named_and_has_its_legend():
    words = words_of(brake_charts(cw.brakes(example_car())))
    for part in (
        "brake forces, kN", "ideal: both axles use the same grip", "grip used", "UN R13-H Annex 5", "temperature, °C",
        "front rotors", "fluid, rear", "fluid boils 199", "10 stops from 100 to 0 km/h",
    ):  # fmt: skip
        assert part in words


def test_the_ranges_drawn_are_the_mechanics():
    assert (ADHESION, ORDER) == (braking.ADHESION, braking.ORDER)


def test_limits_beyond_the_chart_are_told_in_words():
    words = words_of(brake_charts(cw.brakes(SKERRY)))
    assert "beyond this chart" in words
    assert "front pads' limit 600" in words


def test_limits_are_marked_lines():
    root = ET.fromstring(brake_charts(cw.brakes(example_car())).svg())
    dash = " ".join(f"{one:g}" for one in LIMIT.dash)
    marked = [one for one in root.iter() if one.get("stroke-dasharray") == dash]
    # The adhesion limit with its legend, and three limits of temperature.
    assert len(marked) == 5


def test_pages_too_small_are_refused():
    for size in ((139.0, 58.0), (180.0, 39.0)):
        with pytest.raises(ValueError, match="at least"):
            brake_charts(cw.brakes(example_car()), *size)
