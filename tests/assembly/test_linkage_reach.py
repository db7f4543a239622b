"""How far a linkage goes is found once for all cars that have it, and anew for another linkage."""

from __future__ import annotations

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly import linkage_reach
from cornerwright.assembly.linkage_reach import Fixed, limits_of
from cornerwright.assembly.point_linkage import PointCorner
from cornerwright.assembly.slots import slots_of
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.mechanics.linkage import limits
from shared import PROJECT

CAR = cw.load_car(PROJECT / "examples" / "skerry_nine" / "car.yaml")


def front_left(car=CAR):
    return PointCorner(car, (0,), slots_of(car), UnknownList())


def edited(change):
    tree = CAR.to_document()
    change(tree["front"]["left"])
    return type(CAR).model_validate(tree)


@pytest.fixture
def asked(monkeypatch):
    """What is looked for, not looked up."""
    linkage_reach._limits_of.cache_clear()
    found = []

    def looked_for(*args):
        found.append(args)
        return limits(*args)

    monkeypatch.setattr(linkage_reach, "limits", looked_for)
    yield found
    linkage_reach._limits_of.cache_clear()


def test_another_car_with_the_linkage_asks_no_more(asked):
    first = front_left()
    assert first.limits.lowest == limits(first.mechanism).lowest
    heavier = front_left(edited(lambda corner: corner.update(unsprung_mass=corner["unsprung_mass"] + 5)))
    assert heavier.limits is first.limits
    assert len(asked) == 1


def test_a_point_a_tenth_of_a_millimetre_off_is_another_linkage(asked):
    def off(corner):
        corner["linkage"]["points"]["lower_ball"][2] += 0.1

    first, other = front_left(), front_left(edited(off))
    assert other.limits.highest != first.limits.highest
    assert other.limits.highest == limits(other.mechanism).highest
    assert Fixed(first.mechanism) != Fixed(other.mechanism)
    assert len(asked) == 2


def test_rack_adjusters_and_way_of_the_other_wheel_are_told_apart(asked):
    mechanism = front_left().mechanism
    none = np.zeros((1, mechanism.adjuster_count))
    turned = none + 0.004
    for steer, travel in ((0.0, none), (0.02, none), (0.0, turned)):
        found = limits_of(mechanism, np.array([steer]), travel, np.ones(1))
        wanted = limits(mechanism, [steer], travel, np.ones(1))
        np.testing.assert_array_equal([found.lowest, found.highest], [wanted.lowest, wanted.highest])
    assert len(asked) == 3
    limits_of(mechanism, np.array([0.02]), none, np.ones(1))
    assert len(asked) == 3


def test_the_poses_start_where_the_span_of_damper_and_linkage_does():
    longer = edited(lambda corner: corner["damper"].update(open=corner["damper"]["open"] + 20))
    first, other = front_left().grid(1), front_left(longer).grid(1)
    assert other.lifts.min() < first.lifts.min()
    assert front_left().grid(1) is first
    assert front_left().grid(1000).lifts.size < first.lifts.size
