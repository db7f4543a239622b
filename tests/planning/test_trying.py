"""Adjusters tried on paper and judged."""

from __future__ import annotations

import pytest

import cornerwright as cw
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.what_if import Trial
from cornerwright.planning.fitment import fit
from cornerwright.planning.trying import SIZE, Trying, moved_most
from shared import PROJECT


@pytest.fixture(scope="module")
def trying():
    folder = PROJECT / "examples" / "tarn_fell"
    targets = cw.load_targets(folder / "targets.yaml")
    return Trying(Trial(Rig(cw.load_car(folder / "car.yaml")), targets=targets), targets)


def setting(trying, name, more):
    return {name: trying.trial.rig.car.adjusters()[name].setting + more}


def test_nothing_turned_breaks_nothing_new(trying):
    told = trying.of({})
    assert all(one.already for one in told.breaks)
    assert told.clearances == ()
    assert moved_most(told, "front_left", 4) == ()


def test_a_limit_that_breaks_is_named_with_by_how_much(trying):
    told = trying.of(setting(trying, "rear_left.perch", -0.026))
    broken = [one for one in told.breaks if not one.already]
    assert [one.corner for one in broken] == ["rear_left"]
    assert "loose at full droop" in broken[0].says
    held = next(one for one in told.readings if (one.corner, one.reading) == ("rear_left", "spring_held_mm"))
    assert held.after < 0
    assert float(broken[0].by.removesuffix(" mm")) == pytest.approx(-held.after, rel=1e-2)


def test_a_limit_that_is_broken_already_is_called_so(trying):
    car = trying.trial.rig.car
    loose = car.at_settings(setting(trying, "rear_left.perch", -0.026))
    told = Trying(Trial(Rig(loose)), None).of({})
    assert [(one.corner, one.already) for one in told.breaks] == [("rear_left", True)]


def test_the_clearance_is_that_of_fit_at_those_settings(trying):
    settings = setting(trying, "front_left.body", -0.012)
    told = trying.of(settings).clearances[0]
    car = trying.trial.rig.car
    for at, mm in ((car, told.before_mm), (car.at_settings(settings), told.after_mm)):
        rows = fit(at, "front_left", size=SIZE).corners["front_left"].clearances
        assert mm == pytest.approx(min(one.clearance_mm for one in rows), abs=1e-6)
    assert told.after_mm < told.gap_mm < told.before_mm
    assert told.obstacle == "arch_lip"


def test_what_moves_most_comes_first(trying):
    told = trying.of(setting(trying, "front_left.tie_rod", 0.0005))
    assert moved_most(told, "front_left", 4)[0] == "toe_deg"
    assert moved_most(told, "rear_right", 4) == ()
    perch = trying.of(setting(trying, "front_left.perch", 0.006))
    assert "height_mm" in moved_most(perch, "front_left", 4)
    assert len(moved_most(perch, "front_left", 2)) == 2
    assert moved_most(perch, "car", 3)[0] == "cross_weight_percent"
