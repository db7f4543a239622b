"""Angles set by the gauge at their stages, margins of doubt, friction: what they do to the plan's own certainty."""

from functools import cache

import numpy as np
import pytest

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading
from cornerwright.model.target import Band
from cornerwright.planning.learn import learn
from cornerwright.planning.margins import SURE, kept_off
from cornerwright.planning.observe import observations, pick, settling
from cornerwright.planning.plan import plan
from cornerwright.planning.trim import Trim, trimmed
from cornerwright.planning.wants import Limit, Want
from workshop import example_car, example_reading, example_targets

NAMES = {"camber_deg": "camber", "toe_deg": "toe", "caster_deg": "caster"}


@cache
def result(read_between=True):
    return plan(example_car(), example_reading(), example_targets(), read_between=read_between)


def entries():
    return [(stage, one) for stage in result().stages for one in stage.by_gauge]


# What the stages ask for.


def test_every_wanted_angle_is_set_by_the_gauge_once_toe_last():
    asked = [(one.corner, one.reading) for _, one in entries()]
    wanted = {
        (corner, key)
        for corner, name in example_targets().bands()
        if name in NAMES.values()
        for key, value in NAMES.items()
        if value == name
    }
    assert len(asked) == len(set(asked))
    assert set(asked) == wanted
    stages = [stage.name for stage, _ in entries()]
    assert stages == sorted(stages, key=["camber", "toe"].index)
    assert all((stage.name == "toe") == (one.reading == "toe_deg") for stage, one in entries())


def test_the_gauge_shows_what_the_stage_predicts():
    for stage, one in entries():
        assert one.shows == pytest.approx(stage.predicted[one.corner][one.reading], abs=1e-9)


def test_a_unit_more_changes_the_reading_by_what_is_said():
    """Against the full model: the adjuster turned by one unit at the plan's own settings."""
    rig = Rig(example_car())
    settings = rig.settings.copy()
    places = {slot.name: k for k, slot in enumerate(rig.slots)}
    for move in result().moves:
        k = places[f"{move.corner}.{move.adjuster}"]
        settings[k] += move.steps * rig.slots[k].adjuster.step_travel
    mean = learn(rig, example_reading()).mean
    loose = Loose((True, False), bushes=True)

    def shown(at):
        variant = rig.vary(at, mean, loose=loose)
        return outputs(variant, variant.stand(), gradients=False)

    base = shown(settings)
    for _, one in entries():
        k = places[f"{one.corner}.{one.adjuster}"]
        turned = settings.copy()
        turned[k] += rig.slots[k].adjuster.unit_travel
        name, corner = NAMES[one.reading], CORNERS.index(one.corner)
        moved = np.degrees(shown(turned).corner[name][0, corner] - base.corner[name][0, corner])
        assert one.per_unit == pytest.approx(moved, rel=0.05, abs=2e-3)


def test_reading_on_the_way_is_surer_and_said_so():
    told, straight = result(), result(read_between=False)
    assert straight.chance_unread is None
    assert not any(stage.by_gauge for stage in straight.stages)
    # Toe may lose a little where its steps are coarse and camber is turned before it; all at once must gain.
    assert told.chance >= told.chance_unread
    camber = [one.predicted[c]["camber_deg"].sigma for one in (told, straight) for c in CORNERS]
    assert sum(camber[:4]) < sum(camber[4:])


# The arithmetic of it.


def test_trimming_leaves_gauge_and_step_and_nothing_of_what_was_unknown():
    """A toe far off in every drawn car ends within the gauge's scatter and half a step of its aim."""
    rig = Rig(example_car())
    k = [slot.name for slot in rig.slots].index("rear_left.outer_cam")
    variant = rig.vary()
    at = outputs(variant, variant.stand())
    keys = tuple((corner, name) for corner in CORNERS for name in ("camber", "toe"))
    aim = pick(at, keys)[0]
    gain = float(at.corner_gradient["toe"][0, 2, k])
    rng = np.random.default_rng(3)
    draws = aim + np.radians(0.5) * rng.standard_normal((4000, len(keys)))
    scatter = np.full(len(keys), np.radians(0.01))
    column = keys.index(("rear_left", "toe"))
    after, leave = trimmed(rig, (Trim(("rear_left", "toe"), "toe", k, gain),), draws, keys, at, aim, scatter)
    assert leave[0] == pytest.approx(0.5 * abs(gain) * rig.slots[k].adjuster.step_travel, rel=1e-3)
    step = abs(gain) * rig.slots[k].adjuster.step_travel
    off = after[:, column] - aim[column]
    # Uniform over a step, the gauge's scatter, and a tenth of the turn for the effect that the table has in doubt.
    expected = np.hypot(step / np.sqrt(12), np.radians(0.01))
    expected = np.hypot(expected, example_car().doubt.effect * np.radians(0.5))
    assert off.std() == pytest.approx(expected, rel=0.06)
    # The other readings go along by their own slopes, no more.
    travel = (after[:, column] - draws[:, column]) / gain
    along = at.corner_gradient["camber"][0, 2, k]
    other = keys.index(("rear_left", "camber"))
    np.testing.assert_allclose(after[:, other] - draws[:, other], travel * along, atol=1e-12)


def test_a_gauge_that_knows_less_than_is_known_is_not_followed():
    """A toe known to a fifth of the gauge's scatter is left alone: turning by the gauge would make it worse."""
    rig = Rig(example_car())
    k = [slot.name for slot in rig.slots].index("rear_left.outer_cam")
    variant = rig.vary()
    at = outputs(variant, variant.stand())
    keys = (("rear_left", "toe"),)
    aim = pick(at, keys)[0]
    trim = Trim(keys[0], "toe", k, float(at.corner_gradient["toe"][0, 2, k]))
    draws = aim + np.radians(0.01) * np.random.default_rng(3).standard_normal((2000, 1))
    after, leave = trimmed(rig, (trim,), draws, keys, at, aim, np.array([np.radians(0.05)]))
    assert leave[0] > np.radians(0.3)
    np.testing.assert_array_equal(after, draws)


def test_limits_are_kept_off_by_their_doubt_but_a_near_one_is_left_alone():
    far, near = (
        Limit(("rear_left", "bind_margin"), 0.0, 1.0, 0.002, ""),
        Limit(("rear_left", "spring_held"), 0.0, 1.0, 0.002, ""),
    )
    (one, spread), (other, _) = kept_off((far, near), np.array([0.030, 0.001]), np.array([0.001, 0.0015]), ())
    assert one.band.low == 0.0
    assert spread == 0.001
    assert 0.001 - other.band.low == pytest.approx(SURE * 0.0015)
    aimed = Want(("rear_left", "spring_held"), Band(0, 0.002, 0.001, 0.001, hard=False), 0.002, 1.0, usual=False)
    assert [want.key[1] for want, _ in kept_off((far, near), np.ones(2), np.ones(2), (aimed,))] == ["bind_margin"]


# Friction.


def test_friction_shows_in_heights_and_loads_at_once():
    rig = Rig(example_car())
    keys = tuple((corner, name) for corner in CORNERS for name in ("height", "load"))
    moved = settling(rig, rig.settings, np.zeros((1, rig.unknowns.size)), Loose(bushes=True), keys, 1e-3)
    loads = moved[[keys.index((corner, "load")) for corner in CORNERS]]
    assert np.abs(loads.sum(axis=0)).max() < 1e-6  # friction weighs nothing
    # One corner held up takes load with its diagonal, off the other one.
    np.testing.assert_array_equal(np.sign(loads[:, 0]), [1, -1, -1, 1])
    heights = moved[[keys.index((corner, "height")) for corner in CORNERS]]
    assert np.argmax(np.abs(heights[:, 0])) == 0
    assert 0.1e-3 < heights[0, 0] < 1.2e-3
    assert not settling(rig, rig.settings, np.zeros((1, rig.unknowns.size)), Loose(), keys, 0.0).any()


def test_told_of_friction_the_fit_believes_loads_less():
    reading = example_reading()
    rough = reading.model_copy(update={"gauges": reading.gauges.model_copy(update={"friction": 2e-3})})
    rig = Rig(example_car())
    sure, unsure = learn(rig, reading), learn(rig, rough)
    left = next(block.where.start for block in rig.unknowns.blocks if "left share" in block.label)
    assert unsure.verdict == "fitted"
    assert unsure.sd()[left] >= sure.sd()[left]
    rates = [block.where.start for block in rig.unknowns.blocks if block.label.endswith("spring free length")]
    assert (unsure.sd()[rates] > sure.sd()[rates] + 1e-3).all()


def test_how_far_the_spring_is_held_can_be_read():
    tree = {"front_left": {}, "rear_left": {"spring_held": "-1.5 mm"}, "rear_right": {"spring_held": 0.5}}
    read = observations(Reading.model_validate(tree))
    assert read.keys == (("rear_left", "spring_held"), ("rear_right", "spring_held"))
    np.testing.assert_allclose(read.value, [-1.5e-3, 0.5e-3])
    with_held = example_reading().model_copy(
        update={"rear_left": example_reading().rear_left.model_copy(update={"spring_held": 0.004})}
    )
    rig = Rig(example_car())
    place = next(b.where.start for b in rig.unknowns.blocks if b.label == "rear_left spring free length")
    assert learn(rig, with_held).sd()[place] < 0.7 * learn(rig, example_reading()).sd()[place]
