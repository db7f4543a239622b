"""Many settings of one car: each as the command itself has it, the same bits by whoever does it."""

from __future__ import annotations

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.model.errors import Refusal
from cornerwright.planning.sweep import Over, SweepWork, adjusters_named
from cornerwright.running.run import Where
from cornerwright.running.work import same_tables
from shared import PROJECT

FRONT = ("front_left.perch", "front_right.perch")


def example(name: str):
    return cw.load_car(PROJECT / "examples" / name / "car.yaml")


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_each_point_is_the_car_at_that_setting(name):
    car = example(name)
    adjuster = car.adjusters()[FRONT[0]]
    low, high = adjuster.range
    at = adjuster.setting
    travels = (at, min(at + 0.004, high), max(at - 0.006, low))
    found = cw.sweep(car, [Over("front.perch", FRONT, travels)])
    assert found.points == 3
    assert found.lost == 0
    names = {(one.place, one.reading): k + 1 for k, one in enumerate(found.figures)}
    for travel, row in zip(travels, found.rows, strict=True):
        alone = cw.stand(car.at_settings(dict.fromkeys(FRONT, travel)))
        assert row[0] == pytest.approx(travel * 1e3)
        for place in ("front_left", "rear_right"):
            corner = alone.corners[place]
            assert row[names[place, "height"]] == pytest.approx(corner.height_mm, abs=2e-3)
            assert row[names[place, "camber"]] == pytest.approx(corner.camber_deg, abs=2e-4)
            assert row[names[place, "load"]] == pytest.approx(corner.load_kg, abs=2e-3)


def test_settings_are_tried_each_with_each_and_ends_are_named():
    car = example("tarn_fell")
    over = [
        Over("front.perch", FRONT, (0.018, 0.024)),
        Over("rear_left.perch", ("rear_left.perch",), (0.02, 0.028, 0.03)),
    ]
    found = cw.sweep(car, over)
    assert [row[:2] for row in found.rows] == [(a, b) for a in (18.0, 24.0) for b in (20.0, 28.0, 30.0)]
    for k, one in enumerate(found.figures):
        values = [row[2 + k] for row in found.rows]
        assert one.least == min(values)
        assert one.greatest == max(values)
        assert found.rows[values.index(one.least)][:2] == one.least_at_mm
    # Raising all the collars raises the car.
    height = next(one for one in found.figures if (one.place, one.reading) == ("front_left", "height"))
    assert height.greatest_at_mm[0] == 24.0


def test_one_process_and_two_and_a_resumed_run_have_the_same_bits(tmp_path):
    car = example("tarn_fell")
    work = SweepWork(car, ("stand", "brakes"), (Over("front.perch", FRONT, tuple(np.linspace(0.01, 0.03, 150))),))
    assert work.blocks == 3
    blocks = [work.run(k) for k in range(work.blocks)]
    assert sum(len(one["point"]) for one in blocks) == 150
    assert all(same_tables(work.run(k), one) for k, one in enumerate(blocks))
    alone = cw.sweep(car, work.over, of=work.of, where=Where(processes=1, folder=tmp_path / "kept"))
    assert cw.sweep(car, work.over, of=work.of, where=Where(processes=2)) == alone
    assert cw.sweep(car, work.over, of=work.of, where=Where(processes=1, folder=tmp_path / "kept")) == alone
    with pytest.raises(Refusal):
        cw.sweep(car, work.over, of=("stand",), where=Where(processes=1, folder=tmp_path / "kept"))


def test_corner_figures_are_those_of_corner():
    car = example("tarn_fell")
    link = car.adjusters()["front.bar_link"]
    found = cw.sweep(car, [Over("front.bar_link", ("front.bar_link",), (link.setting,))], of=("corner",),
                     where=Where(processes=1))  # fmt: skip
    alone = cw.corner(car)
    values = {one.reading: one.least for one in found.figures}
    assert values["cornering_limit"] == pytest.approx(alone.limit.lateral_g, abs=2e-3)
    assert values["understeer"] == pytest.approx(alone.understeer_deg_per_g, rel=1e-3)


def test_what_cannot_be_swept_is_refused():
    car = example("tarn_fell")
    one = Over("front.perch", FRONT, (0.02,))
    assert adjusters_named(car, "front.perch") == FRONT
    for over, words in (
        ([], "nothing to turn"),
        ([one, one], "twice"),
        ([Over("front.perch", FRONT, ())], "nothing to turn"),
        ([Over("front.perch", FRONT, tuple(np.linspace(0.0, 0.06, 50_001)))], "50000"),
    ):
        with pytest.raises(Refusal, match=words):
            cw.sweep(car, over)
    with pytest.raises(Refusal, match="--of"):
        cw.sweep(car, [one], of=("nothing",))
    with pytest.raises(Refusal, match="--over"):
        adjusters_named(car, "front.nothing")
