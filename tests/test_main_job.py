"""The whole job, from the example's files to a car that is right: hidden cars, read, planned, turned, read again."""

import json
from functools import cache

import numpy as np
import pytest

import cornerwright as cw
import second_road
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading
from cornerwright.planning.observe import gauge_scatter, pick
from workshop import FOLDER, at_settings, car_with, example_targets

READ = ("height", "load", "camber", "toe", "caster", "damper_length")
CARS = 3


def edited_targets(folder, change):
    """The example's targets file with every ride height changed by so many mm, as a user would edit it."""
    text = (FOLDER / "targets.yaml").read_text(encoding="utf-8")
    assert "aim: 605 mm" in text
    assert "aim: 616 mm" in text
    text = text.replace("aim: 605 mm", f"aim: {605 + change} mm").replace("aim: 616 mm", f"aim: {616 + change} mm")
    file = folder / "targets.yaml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize("change", [15, -15])
def test_fifteen_millimetres_from_the_files_to_the_turns(tmp_path, change):
    car = cw.load_car(FOLDER / "car.yaml")
    result = cw.plan(car, cw.load_readings(FOLDER / "readings.yaml"), cw.load_targets(edited_targets(tmp_path, change)))
    told = json.loads(result.model_dump_json(by_alias=True))
    kinds = {move["kind"] for move in told["moves"]}
    assert {"perch", "body", "plate", "rod"} <= kinds
    assert all({"corner", "adjuster", "steps", "unit", "from", "to"} <= set(move) for move in told["moves"])
    for end in ("front", "rear"):  # the wheels of an axle are not turned by pairs, but each axle is raised or lowered
        turned = [m for m in told["moves"] if m["corner"].startswith(end) and m["kind"] in ("perch", "body")]
        assert {m["corner"] for m in turned} == {f"{end}_left", f"{end}_right"}
    missed = {(one["corner"], one["reading"]) for one in told["short_of"]}
    for corner, readings in told["predicted"].items():
        for key, reading in readings.items():
            assert reading["sigma"] > 0
            if reading["inside"] is not None:
                assert reading["inside"] == ((corner, key) not in missed)
    assert told["verdict"] == ("falls short" if missed else "reaches all targets")


# A garage of hidden cars: each differs from the file as the file says it may.


@cache
def roomy_car():
    """The example with range enough on every adjuster for any car that its file may stand for."""
    ranges = {
        "front.*.adjusters.camber_plate": [-30, 30],
        "front.*.adjusters.caster_plate": [-60, 60],
        "front.*.adjusters.tie_rod": [5, 60],
        "front.*.adjusters.body": [-40, 80],
        "rear.*.adjusters.perch": [-30, 70],
        "rear.*.adjusters.body": [-40, 80],
        "rear.*.adjusters.inner_cam": [-16, 16],
        "rear.*.adjusters.outer_cam": [-16, 16],
        "front.bar.link": [-20, 40],
    }
    return car_with({f"{path}.range": value for path, value in ranges.items()})


@cache
def hidden_cars():
    """Drawn from the file's doubt, the height points taken better: what they are off in twist no perch can mend."""
    unknowns = Rig(roomy_car()).unknowns
    drawn = unknowns.draw(CARS, seed=77)
    for block in unknowns.blocks:
        if "height point" in block.label:
            drawn[:, block.where] *= 0.3
    return drawn


def keys():
    return tuple((c, name) for c in CORNERS for name in READ if name != "caster" or c.startswith("front"))


def values(car, z, loose):
    rig = Rig(car)
    variant = rig.vary(unknowns=z, loose=loose)
    return pick(outputs(variant, variant.stand(), gradients=False), keys())[0]


def read(car, z, rng, loose=Loose(bushes=True)):  # noqa: B008  (a constant)
    """What the gauges show on the hidden car, with their scatter."""
    gauges = cw.load_readings(FOLDER / "readings.yaml").latest.gauges
    scatter = gauge_scatter(gauges, keys(), 1.0)
    seen = values(car, z, loose) + scatter * rng.standard_normal(len(keys()))
    tree = {"gauges": gauges.model_dump(mode="json"), "state": {"bushes": "loose"}}
    units = {"load": 1 / 9.80665, "camber": 180 / np.pi, "toe": 180 / np.pi, "caster": 180 / np.pi}
    for (corner, name), value in zip(keys(), seen, strict=True):
        tree.setdefault(corner, {})[name] = float(value * units.get(name, 1e3))
    return Reading.model_validate(tree)


def missed_by(car, z):
    """Worst distance of a true reading outside its range, in tolerances."""
    true = dict(zip(keys(), values(car, z, Loose(bushes=True)), strict=True))
    load = np.array([true[corner, "load"] for corner in CORNERS])
    true[None, "cross_weight"] = (load[1] + load[2]) / load.sum()
    off = [
        max(band.low - true[key], true[key] - band.high, 0.0) / band.within
        for key, band in example_targets().bands().items()
    ]
    return max(off)


def turned(car, result):
    adjusters = car.adjusters()
    settings = {}
    for move in result.moves:
        name = f"{move.corner}.{move.adjuster}"
        settings[name] = adjusters[name].setting + move.steps * adjusters[name].step_travel
    return at_settings(car, settings)


def test_hidden_cars_come_right_in_two_passes():
    rng = np.random.default_rng(5)
    passes = []
    for z in hidden_cars():
        car = roomy_car()
        missed = [missed_by(car, z)]
        for _ in range(2):
            result = cw.plan(car, read(car, z, rng), example_targets())
            assert result.verdict in ("reaches all targets", "falls short")
            car = turned(car, result)
            missed.append(missed_by(car, z))
        passes.append(missed)
    passes = np.array(passes)
    assert (passes[:, 0] > 1).all()  # none was right before
    assert np.median(passes[:, 1]) < 0.35 * np.median(passes[:, 0])
    # What is left is the gauges' own scatter: within a third of a tolerance outside at the worst.
    assert (passes[:, 2] <= 0.35).all()
    assert (passes[:, 2] == 0).sum() >= 2


def test_the_file_edges_agree_with_the_second_road():
    """load_car, stand and travel of the example, against the document read by the second road."""
    car = cw.load_car(FOLDER / "car.yaml")
    told = cw.stand(car)
    road = second_road.of_document(car).readings()
    for i, corner in enumerate(CORNERS):
        assert told.corners[corner].height_mm == pytest.approx(1e3 * road["height"][i], abs=1e-4)
        assert told.corners[corner].load_n == pytest.approx(road["load"][i], abs=1e-2)
        row = cw.travel(car, corner, [told.corners[corner].lift_mm / 1e3]).rows[0]
        assert row.damper_mm == pytest.approx(told.corners[corner].damper_mm, abs=1e-6)
        assert row.spring_mm == pytest.approx(told.corners[corner].spring_mm, abs=1e-6)
    assert cw.check(car).stand == told
