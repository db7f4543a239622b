"""A corner moved by hand: at rest it is the car that stands, elsewhere it is the travel."""

from __future__ import annotations

import pytest

import cornerwright as cw
from cornerwright.assembly.posing import Poser
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.what_if import Trial
from cornerwright.drawing.wheel_pose import wheel_pose
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from shared import PROJECT

EXAMPLES = ("tarn_fell", "skerry_nine")


def car_of(name):
    return cw.load_car(PROJECT / "examples" / name / "car.yaml")


@pytest.fixture(scope="module", params=EXAMPLES)
def stood(request):
    car = car_of(request.param)
    variant = Rig(car).vary()
    return car, variant, variant.stand()


@pytest.mark.parametrize("which", range(4))
def test_at_rest_it_is_the_car_that_stands(stood, which):
    car, variant, stance = stood
    poser = Poser(variant, stance, which)
    pose = poser.at(poser.sweep.rest_mm)
    own = cw.stand(car).corners[CORNERS[which]]
    assert pose.inside
    for key in ("camber_deg", "toe_deg", "damper_mm", "spring_mm", "spring_load_n", "lift_mm"):
        assert getattr(pose, key) == pytest.approx(getattr(own, key), abs=1e-5), key
    if own.caster_deg is not None:
        assert pose.caster_deg == pytest.approx(own.caster_deg, abs=2e-3)
    assert pose.droop_left_mm == pytest.approx(own.droop_left_mm, abs=1e-4)
    assert pose.bump_left_mm == pytest.approx(own.bump_left_mm, abs=1e-4)


@pytest.mark.parametrize("which", range(4))
def test_elsewhere_it_is_the_travel(stood, which):
    car, variant, stance = stood
    poser = Poser(variant, stance, which)
    rest = poser.at(poser.sweep.rest_mm)
    lifts = [poser.sweep.rest_mm - 25.0, poser.sweep.rest_mm, poser.sweep.rest_mm + 20.0]
    rows = cw.travel(car, CORNERS[which], [one / 1e3 for one in lifts]).rows
    for lift, row in zip(lifts, rows, strict=True):
        pose = poser.at(lift)
        assert pose.damper_mm == pytest.approx(row.damper_mm, abs=1e-6)
        assert pose.spring_mm == pytest.approx(row.spring_mm, abs=1e-6)
        # The body is rolled a little: only differences are the same.
        assert pose.camber_deg - rest.camber_deg == pytest.approx(row.camber_deg - rows[1].camber_deg, abs=2e-3)


def test_lock_turns_the_wheel_and_moves_its_rods():
    variant = Rig(car_of("skerry_nine")).vary()
    stance = variant.stand()
    poser = Poser(variant, stance, 0)
    rest, left, right = (poser.at(poser.sweep.rest_mm, rack) for rack in (0.0, 30.0, -30.0))
    # Steered to the left, the left wheel toes out.
    assert left.toe_deg < rest.toe_deg - 5
    assert right.toe_deg > rest.toe_deg + 5
    assert left.points["tie_outer"] != rest.points["tie_outer"]
    far = poser.at(poser.sweep.rest_mm, 1e4)
    assert far.rack_mm == poser.sweep.rack_mm or not far.inside


@pytest.mark.parametrize("which", range(4))
def test_ends_of_travel(stood, which):
    _, variant, stance = stood
    poser = Poser(variant, stance, which)
    low, high = poser.at(-1e4), poser.at(1e4)
    assert low.inside
    assert high.inside
    assert low.lift_mm == pytest.approx(poser.sweep.lowest_mm)
    assert high.lift_mm == pytest.approx(poser.sweep.highest_mm)
    assert (low.droop_left_mm == pytest.approx(0, abs=1e-6)) == (poser.sweep.lowest_is == "end")
    assert (high.bump_left_mm == pytest.approx(0, abs=1e-6)) == (poser.sweep.highest_is == "end")
    assert low.spring_mm > high.spring_mm
    assert low.spring_load_n < high.spring_load_n
    assert high.stop == "touched"
    assert low.stop == "clear"


def test_texts_of_the_picture_stay_apart_and_on_the_page(stood):
    _, variant, stance = stood
    for which in range(4):
        poser = Poser(variant, stance, which)
        rest = poser.at(poser.sweep.rest_mm)
        for lift in (-1e4, rest.lift_mm, 1e4):
            drawing = wheel_pose(poser.at(lift), rest)
            for k, one in enumerate(drawing.texts):
                assert one.left >= 0
                assert one.right <= drawing.width
                assert one.top >= 0
                assert one.bottom <= drawing.height
                assert not any(one.overlaps(other) for other in drawing.texts[k + 1 :]), one.words


def test_what_if_is_the_car_at_those_settings(stood):
    car, variant, _ = stood
    name = "rear_left.perch"
    setting = car.adjusters()[name].setting + 0.003
    answer = Trial(variant.rig).of({name: setting})
    assert answer.verdict == "stands"
    moved = cw.stand(car.at_settings({name: setting}))
    before = cw.stand(car)
    for corner in CORNERS:
        told = {one.reading: one for one in answer.readings if one.corner == corner}
        for key in ("height_mm", "load_kg", "camber_deg", "toe_deg"):
            assert told[key].after == pytest.approx(getattr(moved.corners[corner], key), abs=1e-4)
            assert told[key].before == pytest.approx(getattr(before.corners[corner], key), abs=1e-4)
    loads = [one.after - one.before for one in answer.readings if one.reading == "load_kg"]
    assert max(loads) > 1
    assert sum(loads) == pytest.approx(0, abs=1e-3)


def test_what_if_knows_what_is_wanted():
    targets = cw.load_targets(PROJECT / "examples" / "tarn_fell" / "targets.yaml")
    answer = Trial(Rig(car_of("tarn_fell")), targets=targets).of({})
    told = {(one.corner, one.reading): one for one in answer.readings}
    height = told["front_left", "height_mm"]
    assert (height.low, height.high) == pytest.approx((603.0, 607.0))
    assert height.inside is False
    assert all(one.after == pytest.approx(one.before, abs=1e-6) for one in answer.readings)


@pytest.mark.parametrize("settings", [{"front_left.wing": 0.01}, {"rear_left.perch": 9.0}])
def test_what_if_refuses_what_no_hand_can_do(settings):
    with pytest.raises(Refusal):
        Trial(Rig(car_of("tarn_fell"))).of(settings)
