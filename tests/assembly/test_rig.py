"""From the document to arrays: settings and unknowns do what they are said to do.

Everything is compared with the second road (tests/second_road.py), which reads the document by itself.
"""

import numpy as np
import pytest

import second_road
from cornerwright.assembly.axles import axle_builder
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.assembly.slots import slots_of
from cornerwright.assembly.unknowns import UnknownList
from cornerwright.model.parts import CORNERS
from workshop import at_settings, car_with, example_car, random_car

READINGS = (
    *("height", "load", "camber", "toe", "caster", "half_track"),
    *("damper_length", "spring_length", "stroke_share"),
)


def assert_same(variant, road):
    stance = variant.stand()
    at = outputs(variant, stance, gradients=False)
    wanted = road.readings()
    for name in READINGS:
        np.testing.assert_allclose(at.corner[name][0], wanted[name], rtol=1e-7, atol=1e-8, err_msg=name)
    for name in ("cross_weight", "front_share", "left_share"):
        assert at.car[name][0] == pytest.approx(wanted[name], abs=1e-8)
    np.testing.assert_allclose(stance.q[0, 3:], wanted["lift"], atol=1e-8)
    ends = [road.ends(i) for i in range(4)]
    for name, end in (("droop", at.window.droop), ("bump", at.window.bump), ("bind", at.window.bind)):
        np.testing.assert_allclose(end.lift[0], [one[name] for one in ends], atol=1e-8, err_msg=name)
    np.testing.assert_allclose(at.window.held[0], [one["held"] for one in ends], atol=1e-8)
    lift = wanted["lift"]
    bump = np.minimum([one["bump"] for one in ends], [one["bind"] for one in ends])
    np.testing.assert_allclose(at.corner["bump_left"][0], bump - lift, atol=1e-7)
    np.testing.assert_allclose(at.corner["droop_left"][0], lift - [one["droop"] for one in ends], atol=1e-7)


@pytest.mark.parametrize("seed", range(4))
def test_random_cars_stand_as_on_the_second_road(seed):
    car = random_car(seed)
    assert_same(Rig(car).vary(), second_road.of_document(car))


@pytest.mark.parametrize("bars", [(True, True), (False, True), (False, False)])
@pytest.mark.parametrize("bushes", [True, False])
def test_what_is_loose_holds_nothing(bars, bushes):
    car = car_with({"front.bar.neutral": 6, "rear.bar.neutral": -3, "rear.*.bushes.clamped_at": -20})
    loose = Loose((not bars[0], not bars[1]), bushes=not bushes)
    assert_same(Rig(car).vary(loose=loose), second_road.of_document(car, bars=bars, bushes=bushes))


def test_a_bar_that_is_not_connected_does_nothing():
    car = car_with({"front.bar.connected": False, "front.bar.neutral": 30})
    without = car_with({"front.bar": None})
    one, other = Rig(car).vary(), Rig(without).vary()
    np.testing.assert_allclose(one.stand().q, other.stand().q, atol=1e-10)


@pytest.mark.parametrize("name", [slot.name for slot in slots_of(example_car())])
def test_every_move_acts_as_the_document_after_it(name):
    """vary(settings) and a document that was written after the move are the same car."""
    rig = Rig(example_car())
    k = [slot.name for slot in rig.slots].index(name)
    low, high = rig.slots[k].adjuster.range
    settings = rig.settings.copy()
    settings[k] += 0.4 * (high - settings[k]) if high - settings[k] > settings[k] - low else 0.4 * (low - settings[k])
    after = at_settings(example_car(), {name: float(settings[k])})
    assert after != example_car()
    assert_same(rig.vary(settings), second_road.of_document(after))


def test_every_unknown_of_weights_springs_and_points_acts_as_documented():
    car = car_with({"front.bar.neutral": 4})
    rig = Rig(car)
    seen = 0
    for block in rig.unknowns.blocks:
        factors = second_road.meaning(car, block.label, 1.7)
        if not factors:
            assert any(
                word in block.label for word in ("jack table", "effect", "as built", "compliance", "gauge zero")
            ), block.label
            continue
        seen += 1
        z = np.zeros(rig.unknowns.size)
        z[block.where] = 1.7
        variant = rig.vary(unknowns=z)
        road = second_road.of_document(car, **factors)
        at = outputs(variant, variant.stand(), gradients=False)
        wanted = road.readings()
        for name in READINGS:
            np.testing.assert_allclose(
                at.corner[name][0], wanted[name], rtol=1e-7, atol=1e-8, err_msg=f"{block.label}: {name}"
            )
    assert seen == 4 * 4 + 2 + 4


def test_angles_as_built_and_effects_act_as_documented():
    rig = Rig(example_car())
    base = outputs(rig.vary(), rig.vary().stand(), gradients=False)
    blocks = {block.label: block.where.start for block in rig.unknowns.blocks}
    doubt = example_car().doubt
    for angle in ("camber", "toe", "caster"):
        z = np.zeros(rig.unknowns.size)
        z[blocks[f"front_right {angle} as built"]] = 1.5
        variant = rig.vary(unknowns=z)
        at = outputs(variant, variant.stand(), gradients=False)
        moved = at.corner[angle][0] - base.corner[angle][0]
        assert moved[1] == pytest.approx(1.5 * getattr(doubt, angle), rel=1e-3)
        assert np.abs(np.delete(moved[:2], 1)).max() < 1e-9
    # An effect's unknown does nothing until the adjuster is turned, then it scales what the turn did.
    name = "rear_left.inner_cam"
    z = np.zeros(rig.unknowns.size)
    z[blocks[f"{name} effect"]] = 2.0
    k = [slot.name for slot in rig.slots].index(name)
    still = rig.vary(unknowns=z)
    np.testing.assert_allclose(outputs(still, still.stand(), gradients=False).corner["camber"], base.corner["camber"])
    settings = rig.settings.copy()
    settings[k] += 3 * rig.slots[k].adjuster.unit_travel
    sure, doubted = rig.vary(settings), rig.vary(settings, z)
    camber = [outputs(one, one.stand(), gradients=False).corner["camber"][0, 2] for one in (sure, doubted)]
    turned = camber[0] - base.corner["camber"][0, 2]
    assert np.degrees(turned) == pytest.approx(3 * 0.17, rel=0.02)
    assert camber[1] - camber[0] == pytest.approx(2.0 * doubt.effect * turned, rel=0.02)


def test_drawn_jack_tables_scatter_as_their_fit_says():
    unknowns = UnknownList()
    car = car_with({f"doubt.{angle}": 1e-9 for angle in ("camber", "toe", "caster")})
    axle = axle_builder(car, 0, slots_of(car), unknowns)
    settings = np.array([[slot.adjuster.setting for slot in slots_of(car)]])
    motion = axle.vary(settings, unknowns.draw(4000, seed=3))
    for lift in (-0.05, 0.0, 0.03):
        lifts = np.full((4000, 2), lift)
        jets, spread = motion.at(lifts), motion.spread(lifts)
        for column in ("damper", "spring", "camber", "toe", *(("caster",) if lift == 0 else ())):
            np.testing.assert_allclose(jets[column].value.std(axis=0), spread[column][0], rtol=0.06, err_msg=column)
    assert np.corrcoef(jets["damper"].value.T)[0, 1] == pytest.approx(0, abs=0.06)


def test_a_column_goes_on_straight_beyond_its_own_rows():
    """Caster was read in the middle of the table only: no cubic is let loose outside."""
    car = example_car()
    motion = axle_builder(car, 0, slots_of(car), UnknownList()).vary(Rig(car).settings[None], np.zeros((1, 200)))
    lifts = np.array([[x, x] for x in (0.02, 0.03, 0.04, 0.05)])
    caster = motion.at(lifts)["caster"].value[:, 0]
    assert np.ptp(np.diff(caster)) == pytest.approx(0, abs=1e-15)
    assert np.diff(caster)[0] != 0


def test_a_spring_around_the_damper_follows_the_damper():
    lifts = np.array([[x, -x] for x in np.linspace(-0.08, 0.08, 9)])
    car = car_with({"front.left.linkage.rows.5.damper": 300})
    rig = Rig(car)
    kin = rig.vary(unknowns=rig.unknowns.draw(9, 1)).inputs.kinematics(np.hstack([lifts, lifts]))
    gap = kin.damper.value[:, :2] - kin.spring.value[:, :2]
    np.testing.assert_allclose(gap, gap[0] * np.ones_like(gap), atol=1e-15)
    np.testing.assert_allclose(kin.damper.first[:, :2], kin.spring.first[:, :2])


def test_a_longer_body_under_a_spring_around_it_is_a_perch_and_another_window():
    """Body longer by x: the same as the perch x nearer the spring, and a damper that is x longer at both ends."""
    x, car = 0.0045, example_car()
    mm = 1e3 * x
    by_body = at_settings(car, {"front_left.body": car.front.left.adjusters["body"].setting + x})
    by_parts = car_with(
        {
            "front.left.adjusters.perch.setting": 24 + mm,
            "front.left.damper.open": 410 + mm,
            "front.left.damper.closed": 278 + mm,
        }
    )
    a, b = (Rig(one).vary() for one in (by_body, by_parts))
    at, other = (outputs(one, one.stand(), gradients=False) for one in (a, b))
    for name, value in at.corner.items():
        np.testing.assert_allclose(value, other.corner[name], atol=1e-9, err_msg=name)
    # And on a separate spring it moves the window only: the stance stays where it is.
    apart = at_settings(car, {"rear_left.body": car.rear.left.adjusters["body"].setting + x})
    still, moved = Rig(car).vary(), Rig(apart).vary()
    np.testing.assert_allclose(still.stand().q, moved.stand().q, atol=1e-9)
    at = outputs(moved, moved.stand(), gradients=False)
    before = outputs(still, still.stand(), gradients=False)
    gone = at.corner["stroke_share"][0, 2] - before.corner["stroke_share"][0, 2]
    assert gone == pytest.approx(-x / 0.132, rel=1e-6)
    assert at.corner["droop_left"][0, 2] > before.corner["droop_left"][0, 2] + 0.8 * x
    assert at.corner["spring_held"][0, 2] < before.corner["spring_held"][0, 2] - 0.5 * x


def test_a_perch_lifts_the_body_and_squeezes_no_spring_apart_from_that():
    car = example_car()
    raised = at_settings(car, {f"{c}.perch": car.corners[c].adjusters["perch"].setting + 0.01 for c in CORNERS})
    one, other = Rig(car).vary(), Rig(raised).vary()
    a, b = one.stand(), other.stand()
    assert (b.q[0, 3:] < a.q[0, 3:] - 0.009).all()
    np.testing.assert_allclose(a.load, b.load, rtol=0.01)


def test_a_longer_link_lets_the_left_wheel_droop():
    car = example_car()
    longer = at_settings(car, {"front.bar_link": 0.018})
    a, b = Rig(car).vary().stand(), Rig(longer).vary().stand()
    change = b.q[0, 3:5] - a.q[0, 3:5]
    assert change[0] - change[1] < -1e-4
    # Turned until it is level again, the bar does nothing: its neutral is the lift difference.
    free = Rig(car).vary(loose=Loose((True, False))).stand()
    bar = car.front.bar
    difference = free.q[0, 3] - free.q[0, 4]
    settled = at_settings(car, {"front.bar_link": bar.link.measured_at + (bar.neutral - difference) / bar.link_ratio})
    np.testing.assert_allclose(Rig(settled).vary().stand().q, free.q, atol=1e-9)


def test_batches_and_single_cars_agree():
    rig = Rig(example_car())
    z = rig.unknowns.draw(6, seed=2)
    together = rig.vary(unknowns=z)
    at = outputs(together, together.stand())
    for k in range(6):
        alone = rig.vary(unknowns=z[k])
        one = outputs(alone, alone.stand())
        for name, value in at.corner.items():
            np.testing.assert_allclose(value[k], one.corner[name][0], rtol=1e-9, atol=1e-9)
            np.testing.assert_allclose(at.corner_gradient[name][k], one.corner_gradient[name][0], rtol=1e-6, atol=1e-6)


def test_slots_come_in_one_order_with_their_places():
    slots = slots_of(example_car())
    assert [slot.name for slot in slots] == list(example_car().adjusters())
    last = slots[-1]
    assert (last.name, last.place, last.short, last.corner, last.side, last.axle) == (
        "front.bar_link",
        "front",
        "bar_link",
        None,
        None,
        0,
    )
    cam = next(slot for slot in slots if slot.name == "rear_right.inner_cam")
    assert (cam.corner, cam.side, cam.axle, cam.place, cam.short) == (3, 1, 1, "rear_right", "inner_cam")


def test_unknowns_are_named_once_and_drawn_by_seed():
    unknowns = Rig(example_car()).unknowns
    labels = [block.label for block in unknowns.blocks]
    assert len(set(labels)) == len(labels)
    assert sum(block.where.stop - block.where.start for block in unknowns.blocks) == unknowns.size
    np.testing.assert_array_equal(unknowns.draw(3, 1), unknowns.draw(3, 1))
    assert (unknowns.nominal() == 0).all()
