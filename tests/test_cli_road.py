"""`cornerwright road`: page, JSON, charts, measured roads and refusals, on both examples."""

from __future__ import annotations

import json

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.ride_inputs import ride_inputs
from cornerwright.assembly.rig import Rig
from cornerwright.drawing.road_charts import answer, road_charts
from cornerwright.mechanics.ride_rest import rest
from cornerwright.model.errors import Refusal
from cornerwright.model.profile import load_profile
from shared import PROJECT, fits_schema

EXAMPLES = {name: PROJECT / "examples" / name / "car.yaml" for name in ("skerry_nine", "tarn_fell")}


@pytest.fixture(scope="module")
def results():
    return {
        (name, on): cw.road(cw.load_car(file), on, seconds=16.0) for name, file in EXAMPLES.items() for on in ("B", "E")
    }


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_car_stands_on_the_road_as_it_stands_in_the_shop(name):
    """Small angles and lengths at equal lift make a difference, but not much of one."""
    car = cw.load_car(EXAMPLES[name])
    still, stance = rest(ride_inputs(car).car), Rig(car).vary().stand()
    assert still.verdict == "stands"
    assert still.lift == pytest.approx(stance.q[0, 3:], abs=2e-4)
    assert still.load == pytest.approx(stance.load[0], rel=5e-3)


def test_a_perch_turned_raises_the_car_on_the_road_too():
    car = cw.load_car(EXAMPLES["tarn_fell"])
    higher = car.at_settings({"front_left.perch": 0.030, "front_right.perch": 0.030})
    lift, stance = rest(ride_inputs(higher).car).lift, Rig(higher).vary().stand()
    assert lift == pytest.approx(stance.q[0, 3:], abs=3e-4)
    assert lift[0] < rest(ride_inputs(car).car).lift[0] - 2e-3


@pytest.mark.parametrize("name", EXAMPLES)
def test_rough_roads_take_more_of_everything(results, name):
    good, bad = results[name, "B"], results[name, "E"]
    assert good.verdict == "keeps its travel"
    assert bad.verdict == "runs out of travel"
    assert "does not run out" in answer(good)
    assert "bottoms" in answer(bad)
    rows = bad.roads
    for key in ("weighted_m_per_s2", "worst_load_variation_percent", "air_percent", "stop_per_minute"):
        values = [getattr(row, key) for row in rows]
        assert values == sorted(values)
    assert good.energy_off_percent < 1.0
    assert any(one.level == "warning" and one.about == "bump" for one in bad.findings)
    for corner in bad.corners.values():
        assert sum(part.time_percent for part in corner.stroke) == pytest.approx(100.0, abs=0.1)
        assert corner.least_mm < corner.stands_at_mm < corner.most_mm


@pytest.mark.parametrize("name", EXAMPLES)
def test_on_a_good_road_frequencies_alone_agree(results, name):
    good = results[name, "B"]
    assert good.straightened.weighted_m_per_s2 == pytest.approx(good.weighted_m_per_s2, rel=0.15)
    for corner, value in good.straightened.load_variation_percent.items():
        assert value == pytest.approx(good.corners[corner].load_variation_percent, rel=0.15)


def test_a_higher_fall_leaves_less(results):
    for result in results.values():
        for tried in (result.drops, result.kerbs):
            least = [min(one.least_mm.values()) for one in tried]
            assert least == sorted(least, reverse=True)
        assert result.drops[-1].bottoms


def test_the_same_number_makes_the_same_answer(results):
    car = cw.load_car(EXAMPLES["tarn_fell"])
    assert cw.road(car, "B", seconds=16.0) == results["tarn_fell", "B"]
    other = cw.road(car, "B", seconds=16.0, random=2)
    assert other.weighted_m_per_s2 != results["tarn_fell", "B"].weighted_m_per_s2


def test_charts_hold_no_overlapping_words(results):
    for result in results.values():
        drawing = road_charts(result)
        boxes = drawing.texts
        for k, one in enumerate(boxes):
            assert one.left >= 0
            assert one.right <= drawing.width
            assert not any(one.overlaps(other) for other in boxes[k + 1 :])


@pytest.mark.parametrize("name", EXAMPLES)
def test_page_json_and_picture(cornerwright, tmp_path, name):
    told = cornerwright("road", EXAMPLES[name], "--seconds", "8", "--svg", tmp_path / "road.svg")
    assert (told.status, told.err) == (0, "")
    text = " ".join(told.out.split())
    for words in ("run out of travel", "Each corner", "Single events", "kerb under the left", "guessed", "Cautions"):
        assert words in text
    assert max(len(line) for line in told.out.splitlines()) <= 80
    assert (tmp_path / "road.svg").read_text().startswith("<svg")
    asked = cornerwright("road", EXAMPLES[name], "--seconds", "8", "--json")
    fits_schema(cornerwright, "road", json.loads(asked.out))


def profile_file(tmp_path, step=0.1, rows=1500, change=None):
    heights = np.random.default_rng(4).normal(size=(2, rows)).cumsum(axis=1)
    heights -= np.linspace(0, 1, rows) * heights[:, -1:]
    lines = [f"{k * step:.4f},{heights[0, k]:.3f},{heights[1, k]:.3f}" for k in range(rows)]
    if change is not None:
        lines[700] = change
    file = tmp_path / "lane_to_the_ford.csv"
    file.write_text("# levelled\ndistance_m,left_mm,right_mm\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_a_measured_road(cornerwright, tmp_path):
    file = profile_file(tmp_path)
    read = load_profile(file)
    assert read.step == pytest.approx(0.1)
    assert read.heights[:, 0].mean() == pytest.approx(0.0, abs=1e-9)
    told = cornerwright("road", EXAMPLES["tarn_fell"], "--profile", file, "--speed", "50", "--json")
    result = json.loads(told.out)
    assert result["road"] == "lane to the ford"
    assert result["random"] is None
    assert result["seconds"] == pytest.approx((149.9 - 2.395) / (50 / 3.6) - 3.0, abs=0.01)
    assert result["corners"]["front_left"]["lift_rms_mm"] > 0.5


@pytest.mark.parametrize(
    ("change", "words"),
    [("70.0,1,x", "line 703"), ("70.03,1,1", "even steps"), ("70.0,1", "nothing"), ("70.0,1,90000", "a number in mm")],
)
def test_profiles_that_cannot_be_read(cornerwright, tmp_path, change, words):
    told = cornerwright("road", EXAMPLES["tarn_fell"], "--profile", profile_file(tmp_path, change=change))
    assert told.status == 2
    assert words in told.err or words.replace("line ", ":") in told.err


def test_short_and_coarse_profiles(cornerwright, tmp_path):
    told = cornerwright("road", EXAMPLES["tarn_fell"], "--profile", profile_file(tmp_path, rows=200))
    assert (told.status, "at least 6" in told.err) == (2, True)
    told = cornerwright("road", EXAMPLES["tarn_fell"], "--profile", profile_file(tmp_path, step=0.5))
    assert (told.status, "0.25 m or closer" in told.err) == (2, True)


@pytest.mark.parametrize(
    ("more", "words"),
    [(("--class", "J"), "--class"), (("--speed", "900"), "5 to 300"), (("--seconds", "1"), "--seconds"),
     (("--random", "-1"), "--random"), (("--speed", "fast"), "--speed")],
)  # fmt: skip
def test_wishes_that_are_refused(cornerwright, more, words):
    told = cornerwright("road", EXAMPLES["tarn_fell"], *more)
    assert told.status == 2
    assert words in told.err


@pytest.mark.parametrize(
    ("asked", "field"),
    [({"speed": 0.0}, "speed"), ({"speed": -3.0}, "speed"), ({"speed": float("nan")}, "speed"),
     ({"kerb_speed": 0.0}, "kerb_speed"), ({"seconds": 0.0}, "seconds"), ({"seconds": 0.05}, "seconds"),
     ({"on": "J"}, "on")],
)  # fmt: skip
def test_a_road_that_cannot_be_driven_is_refused(asked, field):
    """A car that drives backwards or for no time has no answer, least of all that it keeps its travel."""
    with pytest.raises(Refusal, match=rf"^{field}:"):
        cw.road(cw.load_car(EXAMPLES["tarn_fell"]), **asked)


def test_a_damper_without_a_curve_is_refused():
    car = cw.load_car(EXAMPLES["tarn_fell"])
    damper = car.rear.left.damper.model_copy(update={"curve": None})
    rear = car.rear.model_copy(update={"left": car.rear.left.model_copy(update={"damper": damper})})
    with pytest.raises(Refusal, match="curve"):
        cw.road(car.model_copy(update={"rear": rear}))


def test_damper_curves_must_rise(tmp_path):
    text = EXAMPLES["tarn_fell"].read_text(encoding="utf-8")
    file = tmp_path / "car.yaml"
    file.write_text(text.replace("{speed: 130, bump: 330", "{speed: 40, bump: 330"), encoding="utf-8")
    with pytest.raises(Refusal, match="rise in speed"):
        cw.load_car(file)
