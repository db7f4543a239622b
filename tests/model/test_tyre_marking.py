"""Size markings of tyres: what is read, and what is said of what is not."""

import pytest
from pydantic import BaseModel
from pydantic_core import PydanticCustomError

from cornerwright.model.tyre_marking import SPEED_SYMBOLS, TyreMarking


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("205/55R16 91V", {"width": 0.205, "aspect": 0.55, "rim_code": 16, "load_index": 91, "speed_symbol": "V"}),
        ("205/55 R 16", {"load_index": None, "speed_symbol": None, "radial": True, "use": "passenger"}),
        ("225/45ZR17 94W XL", {"above_240": True, "extra_load": True, "speed_symbol": "W"}),
        ("225/45 zr17 (94y)", {"above_240": True, "speed_symbol": "Y", "load_index": 94}),
        ("HL245/40R19 101Y", {"extra_load": True, "width": 0.245}),
        ("P215/65R15 95S", {"use": "passenger", "aspect": 0.65}),
        ("LT245/75R16 120/116S", {"use": "light truck", "load_index": 120, "dual_load_index": 116}),
        ("195/70R15C 104/102R", {"use": "light truck", "dual_load_index": 102}),
        ("T125/70D15 95M", {"use": "temporary", "radial": False}),
        ("31x10.50R15LT 109Q", {"use": "light truck", "aspect": None, "diameter": 31 * 0.0254, "width": 10.5 * 0.0254}),
        ("33 X 12.50 R 15", {"diameter": 33 * 0.0254, "load_index": None}),
    ],
)
def test_markings_of_the_trade(text, wanted):
    found = TyreMarking.read(text)
    for name, value in wanted.items():
        assert getattr(found, name) == (pytest.approx(value) if isinstance(value, float) else value)
    assert TyreMarking.read(str(found)) == found


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("165R13", "no aspect ratio"),
        ("205/55/16", "no letter for its build"),
        ("6.00-16", "a width in inches alone"),
        ("205/55", "no rim diameter"),
        ("207/55R16", "ends in 5 or 0"),
        ("205/10R16", "an aspect ratio from 20 to 95"),
        ("205/55R16 912V", "a load index from 50 to 130"),
        ("205/55R16 20V", "a load index from 50 to 130"),
        ("205/55R16 91A", "a speed symbol of F"),
        ("205/55R99", "10 to 30 inches"),
        ("14x10.50R15", "hardly larger than its rim"),
        ("michel", "a tyre's size marking"),
        ("", "an empty text"),
        (205, "found 205"),
        (None, "found nothing"),
        ("2" * 80, "a tyre's size marking"),
    ],
)
def test_what_is_not_a_marking_is_refused_in_plain_words(text, words):
    with pytest.raises(PydanticCustomError, match=words):
        TyreMarking.read(text)


def test_in_a_document_it_is_a_text():
    class Holder(BaseModel):
        size: TyreMarking

    one = Holder.model_validate({"size": "205/55R16 91V"})
    assert one.model_dump(mode="json") == {"size": "205/55R16 91V"}
    assert Holder.model_validate(one.model_dump()) == one
    assert Holder.model_json_schema()["properties"]["size"]["type"] == "string"
    assert len(set(SPEED_SYMBOLS)) == len(SPEED_SYMBOLS)
