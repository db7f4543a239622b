"""The picture to choose parts from: letters that never overlap, on wide pages and on a phone's."""

import pytest
from drawing_samples import check_lettering

from cornerwright.drawing.choice_charts import answer, choice_charts
from cornerwright.model.results_choose import ChooseResult


def _choice(letter, price, hertz, outside):
    figure = {"value": hertz, "low": 1.9, "high": 2.1, "outside": outside}
    plan = {"verdict": "reaches all targets", "chance": 0.5, "minutes": 60.0, "moves": []}
    return {
        "letter": letter, "parts": [], "price": price, "minutes": 60.0, "meets_all": not outside,
        "gives_up": "x " * 40,
        "figures": {"front_frequency_hz": figure, "limit_push_percent": {**figure, "value": None, "low": -7}},
        "plan": plan, "price_outside": 0.0,
    }  # fmt: skip


@pytest.mark.parametrize("count", [1, 2, 12, 26])
@pytest.mark.parametrize("width", [90.0, 180.0])
def test_letters_on_the_picture_never_overlap(count, width):
    """Many choices on one spot, and on two."""
    choices = [_choice(chr(65 + k), 100.0 * (k % 2), 1.8 + 0.3 * (k % 2), 0.0 if k % 2 else 3.0) for k in range(count)]
    told = ChooseResult.model_validate(
        {
            "car": "Invented car of a very long name " * 3, "verdict": "gives something up", "currency": "EUR",
            "choices": choices, "tried": 99, "within_limits": 90, "road": "class C", "speed_km_per_h": 60.0,
            "in_the_way": [{"wish": "front_frequency_hz", "nearest": 1.8, "says": "nothing " * 20}],
        }
    )  # fmt: skip
    check_lettering(choice_charts(told, width))


def test_nothing_to_choose_is_drawn_and_said():
    told = ChooseResult(
        car="x", verdict="nothing fits", currency="EUR", choices=(), tried=4, within_limits=0, road="", speed_km_per_h=1
    )
    assert "NOTHING FITS" in answer(told)
    check_lettering(choice_charts(told))
    with pytest.raises(ValueError, match="90 mm"):
        choice_charts(told, 80.0)
