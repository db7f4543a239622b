"""Doubt of each command's figures: they are the command's own, move the right way, and do not hang on who runs them."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.rig import Rig
from cornerwright.planning.doubt_subjects import BRAKES, CORNER, FIGURES, ROAD, Case, reader
from cornerwright.planning.doubt_unknowns import SUBJECTS, how, things_of
from cornerwright.planning.doubt_work import FIRST, MIXED, OTHER, DoubtWork, sample_of
from cornerwright.running.here import cores
from cornerwright.running.run import Told, Where, run
from cornerwright.running.work import same_tables
from shared import PROJECT

CARS = {name: PROJECT / "examples" / name / "car.yaml" for name in ("tarn_fell", "skerry_nine")}
RUNS = ("road", "brakes")


@pytest.fixture(scope="module")
def car():
    return cw.load_car(CARS["tarn_fell"])


def read_of(car, subject, case=None):
    rig = Rig(car)
    things = things_of(rig, (subject,))
    return things, reader(car, rig, things, subject, case or Case())


def figures_at(car, subject, **sigmas):
    """Figures by name of the car with these things this many standard deviations off."""
    things, read = read_of(car, subject)
    z = np.zeros((2, things.size))
    for name, value in sigmas.items():
        label = name.replace("_", " ").replace("front left", "front_left").replace("front right", "front_right")
        z[1, things.column(label)] = value
    found = read(z)
    return [{one.key: one.told(value) for one, value in zip(FIGURES[subject], row, strict=True)} for row in found]


@pytest.mark.parametrize("name", CARS)
def test_in_the_middle_stands_what_the_commands_say(name):
    car = cw.load_car(CARS[name])
    turned, said = cw.corner(car), figures_at(car, "corner")[0]
    assert said["car.understeer"] == pytest.approx(turned.understeer_deg_per_g, abs=2e-3)
    assert said["car.cornering_limit"] == pytest.approx(turned.limit.lateral_g, abs=1e-3)
    assert said["car.front_load_transfer"] == pytest.approx(turned.front_transfer_percent, abs=0.05)
    assert said["car.roll"] == pytest.approx(turned.roll_deg_per_g, rel=0.01)
    used = turned.limit.front_used_percent - turned.limit.rear_used_percent
    assert said["car.front_grip_used_less_rear"] == pytest.approx(used, abs=0.3)
    braked, said = cw.brakes(car), figures_at(car, "brakes")[0]
    row = next(one for one in braked.rows if one.rate_g == pytest.approx(0.8))
    assert said["car.front_brake_share"] == pytest.approx(row.front_percent, rel=1e-6)
    assert said["car.rear_grip_over_front"] == pytest.approx(100 * row.rear_grip / row.front_grip, rel=1e-4)
    assert said["car.pedal_force"] == pytest.approx(braked.pedal.foot_n, rel=1e-9)
    driven, said = cw.road(car, seconds=16.0), figures_at(car, "road")[0]
    assert said["car.comfort"] == pytest.approx(driven.weighted_m_per_s2, rel=0.1)
    for corner, one in driven.corners.items():
        assert said[f"{corner}.load_variation"] == pytest.approx(one.load_variation_percent, rel=0.1)


def test_things_move_the_figures_the_way_they_should(car):
    usual, gripping = figures_at(car, "corner", rear_tyre_grip=2.0)
    assert gripping["car.front_grip_used_less_rear"] > usual["car.front_grip_used_less_rear"] + 2.0
    assert gripping["car.cornering_limit"] > usual["car.cornering_limit"]
    usual, stiff = figures_at(car, "corner", front_tyre_cornering_stiffness=-2.0)
    assert stiff["car.understeer"] > usual["car.understeer"] + 0.3
    usual, high = figures_at(car, "corner", height_of_the_centre_of_gravity=2.0)
    assert high["car.roll"] > usual["car.roll"] * 1.05
    usual, biting = figures_at(car, "brakes", rear_pad_friction=2.0)
    assert biting["car.rear_grip_over_front"] > usual["car.rear_grip_over_front"] * 1.1
    assert biting["car.pedal_force"] < usual["car.pedal_force"]
    usual, heavy = figures_at(car, "brakes", total_mass=2.0)
    assert heavy["car.pedal_force"] > usual["car.pedal_force"]
    usual, hard = figures_at(car, "road", front_left_damper_force=3.0, front_right_damper_force=3.0)
    assert hard["front_left.stroke_used"] < usual["front_left.stroke_used"]


def test_a_car_that_cannot_be_computed_has_no_figures(car):
    things, read = read_of(car, "road")
    z = np.zeros((2, things.size))
    z[1, things.column("total mass")] = -100.0
    found = read(z)
    assert np.isfinite(found[0]).all()
    assert np.isnan(found[1]).all()


IDLE = {
    # Adjusters that stand where the linkage was measured, a spring around its damper, no caster among the readings.
    ("tarn_fell", "stand"): {
        *(f"{end} {what}" for end in ("front", "rear") for what in ("jack table, caster", "caster as built")),
        *(f"front {what} effect" for what in ("camber plate", "caster plate", "tie rod")),
        *("rear inner cam effect", "rear outer cam effect", "front jack table, spring"),
    },
    # Drive shafts hold nothing.
    ("skerry_nine", "stand"): {"rear point shaft inner", "rear point shaft outer"},
}


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("subject", SUBJECTS)
def test_what_is_in_no_group_does_not_matter(name, subject):
    """All unknowns outside the groups moved together leave every figure as it is, those inside do not."""
    car = cw.load_car(CARS[name])
    things, read = read_of(car, subject, Case(seconds=4.0))
    inside = np.concatenate(list(things.groups.values()))
    assert np.unique(inside).size == inside.size
    z = np.zeros((2, things.size))
    z[1] = 0.8
    z[1, inside] = 0.0
    one, other = read(z)
    assert other == pytest.approx(one, rel=1e-9, abs=1e-9, nan_ok=True)
    alone = np.zeros((len(things.groups) + 1, things.size))
    for k, columns in enumerate(things.groups.values()):
        alone[k + 1, columns] = 1.0
    found = read(alone)
    still = {
        group
        for k, group in enumerate(things.groups)
        if np.allclose(found[k + 1], found[0], rtol=1e-12, atol=0, equal_nan=True)
    }
    assert still == IDLE.get((name, subject), set())


def test_it_is_said_of_every_group_how_it_is_measured_better(car):
    for subject in SUBJECTS:
        assert [one for one in things_of(Rig(car), (subject,)).groups if how(one) is None] == []


# Common random numbers -----------------------------------------------------------------------------


def test_two_cars_share_the_numbers_of_what_they_both_have(car):
    one, other = (things_of(Rig(cw.load_car(path)), ("stand",)) for path in CARS.values())
    a, b = one.draw(5, 3, "first", 16), other.draw(5, 3, "first", 16)
    for label in ("front_left spring rate", "total mass", "rear tyre grip"):
        assert (a[:, one.column(label)] == b[:, other.column(label)]).all()
    assert (one.draw(5, 4, "first", 16) != a).all()
    assert (one.draw(5, 3, "second", 16) != a).all()
    assert (one.draw(5, 3, "first", 4)[:, :1] != 0.0).all()
    whole = np.corrcoef(one.draw(5, 3, "first", 4000)[:, ::7], rowvar=False)
    assert np.abs(whole - np.eye(whole.shape[0])).max() < 0.08


def test_common_numbers_tell_small_differences(car):
    """Two turns of a perch: pairs scatter a hundredth of what cars drawn apart would."""
    higher = car.at_settings({"front_left.perch": car.adjusters()["front_left.perch"].setting + 0.0005})
    work = DoubtWork(car, ("stand",), 64, 1, other=higher)
    tables = run(work, Where(processes=1))
    height = (work.figures[0],)
    assert height[0].key == "front_left.height"
    mine, theirs = sample_of(tables, height, FIRST)[:, 0], sample_of(tables, height, OTHER)[:, 0]
    assert (theirs - mine).std() < 0.01 * np.hypot(mine.std(), theirs.std())
    assert (theirs - mine).mean() == pytest.approx(0.45e-3, rel=0.3)
    found = cw.doubt(car, 64, against=higher)
    said = next(one for one in found.compared if (one.place, one.reading) == ("front_left", "height"))
    assert said.says == "more"
    assert said.difference_low < said.difference < said.difference_high
    assert said.low < said.difference_low


def test_the_same_car_differs_by_nothing(car):
    found = cw.doubt(car, 32, against=car, of=("brakes", "stand"))
    for one in found.compared:
        assert (one.difference, one.low, one.high, one.says) == (0.0, 0.0, 0.0, "not sure")


def test_mixed_samples_are_mixed(car):
    work = DoubtWork(car, ("brakes",), 16, 3)
    things = work.prepared(car).things
    tables = run(work, Where(processes=1))
    first = sample_of(tables, work.figures, FIRST)
    k = list(things.groups).index("rear pad friction")
    mixed = sample_of(tables, work.figures, MIXED + k)
    z, other = things.draw(3, 0, "first", 16), things.draw(3, 0, "second", 16)
    z[:, things.column("rear pad friction")] = other[:, things.column("rear pad friction")]
    assert (work.prepared(car).read(z) == mixed).all()
    assert (mixed != first).any(axis=1).all()


# Who runs it ---------------------------------------------------------------------------------------


def same(one, other):
    return len(one) == len(other) and all(same_tables(a, b) for a, b in zip(one, other, strict=True))


def works(car):
    skerry = cw.load_car(CARS["skerry_nine"])
    return {
        "stand": DoubtWork(skerry, ("stand",), 65, 4, other=car),
        "runs": DoubtWork(car, RUNS, 8, 4, Case(seconds=4.0)),
    }


@pytest.fixture(scope="module")
def alone(car):
    return {name: run(work, Where(processes=1)) for name, work in works(car).items()}


@pytest.mark.parametrize("name", ["stand", "runs"])
def test_two_processes_give_the_same_bits(car, alone, name):
    told = Told()
    assert same(run(works(car)[name], Where(processes=2), told=told), alone[name])
    assert len(told.cpu) == works(car)[name].blocks > 1


@pytest.mark.parametrize("name", ["stand", "runs"])
def test_a_cluster_of_two_gives_the_same_bits(car, alone, name, monkeypatch):
    from distributed import LocalCluster

    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(sys.path))
    with LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=":0", memory_limit=0, silence_logs=50
    ) as made:
        assert same(run(works(car)[name], Where(cluster=made.scheduler_address)), alone[name])


def test_a_worker_killed_in_mid_run_changes_nothing(car, alone, tmp_path):
    """The worker is found as this process's child that runs the worker's module."""
    killed = []

    def strike():
        for _ in range(600):
            # Not before a first block is there: then both are at work.
            if list(tmp_path.glob("part-*")):
                killed.append(_a_worker())
                os.kill(killed[0], signal.SIGKILL)
                return
            time.sleep(0.02)

    thread = threading.Thread(target=strike)
    thread.start()
    found = run(works(car)["stand"], Where(processes=2, folder=tmp_path))
    thread.join()
    assert killed
    assert same(found, alone["stand"])


def _a_worker():
    for path in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((path / "stat").read_text().rpartition(")")[2].split()[1])
            words = (path / "cmdline").read_text().split("\0")
        except (OSError, ValueError):
            continue
        if parent == os.getpid() and "cornerwright.running.worker" in words:
            return int(path.name)
    raise AssertionError("no worker")


def test_columns_have_their_names(car):
    for subject in SUBJECTS:
        keys = [one.key for one in FIGURES[subject]]
        assert len(set(keys)) == len(keys)
    assert len(CORNER) + len(BRAKES) + len(ROAD) == 33
    assert cores() >= 1
