"""`cornerwright doubt`: page, JSON, what it says of what matters, refusals."""

from __future__ import annotations

import json

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.model.errors import Refusal
from shared import PROJECT, fits_schema

CAR = PROJECT / "examples" / "tarn_fell" / "car.yaml"


@pytest.fixture(scope="module")
def result():
    return cw.doubt(cw.load_car(CAR), rows=400)


def only(**doubt):
    """The example with nothing in doubt but what is named."""
    car = cw.load_car(CAR)
    none = dict.fromkeys(("spring_rate", "free_length", "tyre_rate", "bar_rate", "effect", "total_mass"), 0.0)
    none |= dict.fromkeys(("weight_share", "cg_height", "height_point", "camber_compliance", "toe_compliance"), 0.0)
    return car.model_copy(update={"doubt": car.doubt.model_copy(update={**none, **doubt})})


def of(result, place, reading):
    return next(one for one in result.readings if (one.place, one.reading) == (place, reading))


def test_readings_scatter_about_what_stand_says(result):
    stands = cw.stand(cw.load_car(CAR))
    for one in (of(result, "front_left", "height"), of(result, "rear_right", "height")):
        said = stands.corners[one.place].height_mm
        assert one.mean == pytest.approx(said, abs=4 * one.sigma / np.sqrt(400))
        assert one.low < one.mean < one.high
        assert one.high - one.low == pytest.approx(3.29 * one.sigma, rel=0.15)


def test_shares_of_each_reading_fill_the_whole(result):
    """Springs and linkages are near enough straight here: total indices come to little over 100 %."""
    for one in result.readings:
        if one.reading in ("height", "load"):
            assert 60 < sum(cause.total_percent for cause in one.causes) < 135
    assert result.measure[0].share_percent >= result.measure[-1].share_percent


def test_what_alone_is_in_doubt_is_the_cause():
    found = cw.doubt(only(total_mass=0.02), rows=64)
    for place in ("front_left", "rear_right"):
        cause = of(found, place, "load").causes[0]
        assert cause.what == "total mass"
        assert cause.total_percent > 75.0  # the jack table's own readings have the rest
        one = of(found, place, "load")
        assert one.sigma / one.mean == pytest.approx(0.02, rel=0.3)


def test_height_points_do_not_touch_the_load():
    found = cw.doubt(only(height_point=0.003, total_mass=0.001), rows=64)
    assert of(found, "front_left", "height").causes[0].what == "front height point"
    loads = {cause.what: cause.total_percent for cause in of(found, "front_left", "load").causes}
    assert loads.get("front height point", 0.0) == pytest.approx(0.0, abs=0.01)


def test_the_same_number_gives_the_same_answer():
    car = cw.load_car(CAR)
    assert cw.doubt(car, rows=32, random=7) == cw.doubt(car, rows=32, random=7)
    assert cw.doubt(car, rows=32, random=7) != cw.doubt(car, rows=32, random=8)


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_page_and_json(cornerwright, name):
    file = PROJECT / "examples" / name / "car.yaml"
    told = cornerwright("doubt", file, "--cars", "32")
    assert (told.status, told.err) == (0, "")
    for words in (
        "Measure this better first",
        "What matters",
        "How to measure",
        "Sobol' indices",
        "the maker's figure",
    ):
        assert words in " ".join(told.out.split())
    assert max(len(line) for line in told.out.splitlines()) <= 80
    fits_schema(cornerwright, "doubt", json.loads(cornerwright("doubt", file, "--cars", "32", "--json").out))


def test_too_few_cars(cornerwright):
    told = cornerwright("doubt", CAR, "--cars", "3")
    assert told.status == 2
    assert "16 to 20000" in told.err
    with pytest.raises(Refusal, match="16"):
        cw.doubt(cw.load_car(CAR), rows=1)


def test_other_commands_figures(cornerwright, tmp_path):
    told = cornerwright("doubt", CAR, "--of", "stand,brakes", "--cars", "16", "--processes", "1")
    assert (told.status, told.err) == (0, "")
    for words in ("height, front", "rear grip over front", "pedal force", "front brake share"):
        assert words in " ".join(told.out.split())
    assert max(len(line) for line in told.out.splitlines()) <= 80


def test_settings_compared(cornerwright):
    sets = ("--set", "front_left.perch=27", "--set", "front_right.perch=27")
    told = cornerwright("doubt", CAR, "--cars", "32", *sets)
    assert (told.status, told.err) == (0, "")
    assert "with front_left.perch=27, front_right.perch=27 less Tarn Fell" in " ".join(told.out.split())
    assert max(len(line) for line in told.out.splitlines()) <= 80
    answer = json.loads(cornerwright("doubt", CAR, "--cars", "32", *sets, "--json").out)
    fits_schema(cornerwright, "doubt", answer)
    moved = {(one["place"], one["reading"]): one for one in answer["compared"]}
    assert moved["front_left", "height"]["says"] == "more"
    assert moved["front_left", "spring_held"]["difference"] == pytest.approx(3.0, abs=0.01)
    assert moved["rear_left", "toe"]["says"] == "not sure"


def test_kept_and_gone_on_with(cornerwright, tmp_path):
    folder = tmp_path / "runs"
    first = cornerwright("doubt", CAR, "--cars", "64", "--out", folder, "--json")
    assert first.status == 0
    parts = sorted(folder.glob("part-*.parquet"))
    assert len(parts) == 2
    parts[1].unlink()
    assert cornerwright("doubt", CAR, "--cars", "64", "--out", folder, "--json").out == first.out
    other = cornerwright("doubt", CAR, "--cars", "64", "--out", folder, "--random", "2")
    assert other.status == 2
    assert "random is 1, here 2" in other.err
    edited = tmp_path / "car.yaml"
    edited.write_text(CAR.read_text(encoding="utf-8").replace("wheelbase: 2395", "wheelbase: 2396"), encoding="utf-8")
    changed = cornerwright("doubt", edited, "--cars", "64", "--out", folder)
    assert changed.status == 2
    assert "car_digest" in changed.err


@pytest.mark.parametrize(
    ("more", "words"),
    [(("--of", "handling"), "stand, corner, road or brakes"), (("--set", "front_left.perch"), "front_left.perch=24"),
     (("--set", "front_left.purch=3"), "did you mean front_left.perch"), (("--set", "front_left.perch=900"), "range"),
     (("--processes", "0"), "--processes"), (("--processes", "2", "--cluster", "tcp://x:1"), "one of the two"),
     (("--class", "J"), "--class"), (("--radius", "1"), "--radius"), (("--seconds", "1"), "--seconds"),
     (("--random", "-1"), "--random")],
)  # fmt: skip
def test_wishes_that_are_refused(cornerwright, more, words):
    told = cornerwright("doubt", CAR, *more)
    assert told.status == 2
    assert words in told.err


def test_a_car_without_what_is_asked():
    car = cw.load_car(CAR)
    damper = car.rear.left.damper.model_copy(update={"curve": None})
    rear = car.rear.model_copy(update={"left": car.rear.left.model_copy(update={"damper": damper})})
    with pytest.raises(Refusal, match="what `road` asks"):
        cw.doubt(car.model_copy(update={"rear": rear}), 16, of=("road",))
