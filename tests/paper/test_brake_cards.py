"""The service cards on paper: a page each, the same bytes each time, nothing lost that does not fit."""

from __future__ import annotations

import pytest
from card_samples import pages

import cornerwright as cw
from cornerwright.paper.brake_cards import service_pages
from cornerwright.paper.press import DoesNotFitError
from shared import PROJECT
from workshop import DROP, car_with, example_car

SKERRY = cw.load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml")


@pytest.mark.parametrize(
    ("car", "count"),
    [
        (example_car(), 7),
        (SKERRY, 7),
        (car_with({"rear.*.brake.parking": DROP, "brakes.parking": DROP}), 6),
        (
            car_with(
                {"name": "A name as long as any builder would ever give to a car, and then a little longer still" * 2}
            ),
            7,
        ),
    ],
    ids=["tarn_fell", "skerry_nine", "no parking brake", "long name"],
)
def test_one_page_a_card(car, count):
    told = cw.brakes(car)
    assert len(told.cards) == count
    assert pages(service_pages(told)) == count


def test_the_same_answer_gives_the_same_bytes():
    told = cw.brakes(SKERRY)
    assert service_pages(told) == service_pages(told)


def test_a_card_that_does_not_fit_is_refused():
    told = cw.brakes(example_car())
    long = told.cards[0].model_copy(update={"steps": told.cards[0].steps * 12})
    with pytest.raises(DoesNotFitError):
        service_pages(told.model_copy(update={"cards": (long,)}))


def test_text_of_the_file_is_no_markup():
    told = cw.brakes(car_with({"name": "#panic(1) *x* $y$ <z>", "front.*.brake.pad.name": "#[a] `b`"}))
    assert pages(service_pages(told)) == 7
