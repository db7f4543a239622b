"""The car written after learning: it shows what the fitted unknowns showed, at any setting, with less doubt."""

import dataclasses

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.planning.learn import learn
from cornerwright.planning.lessons import teach_car
from cornerwright.planning.taught import GROUPS, taught_car
from shared import PROJECT

EXAMPLES = ("tarn_fell", "skerry_nine")
FINE = {"height": 2e-5, "load": 0.5, "camber": 2e-5, "toe": 2e-5, "caster": 2e-5, "damper_length": 2e-5}
"""How near what is shown must be [SI]: numbers are written to six digits."""

LOOSER = {"tarn_fell": 10.0, "skerry_nine": 1.0}
"""A jack table is fitted anew through its moved rows, and its prior pulls a little again."""


def example(name):
    folder = PROJECT / "examples" / name
    return cw.load_car(folder / "car.yaml"), cw.load_readings(folder / "readings.yaml")


def shown(rig, unknowns=None, settings=None):
    variant = rig.vary(settings, unknowns, loose=Loose(bushes=True))
    stance = variant.stand()
    assert stance.stands.all()
    return outputs(variant, stance, gradients=False)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("turned", [False, True], ids=["as set", "turned"])
def test_the_taught_car_shows_what_the_unknowns_showed(name, turned):
    car, readings = example(name)
    rig = Rig(car)
    belief = learn(rig, readings)
    taught = Rig(taught_car(rig, belief))
    settings = rig.settings.copy()
    if turned:
        rng = np.random.default_rng(4)
        settings = settings + np.array([3 * rng.integers(-2, 3) * slot.adjuster.step_travel for slot in rig.slots])
    before, after = shown(rig, belief.mean, settings), shown(taught, settings=settings)
    for reading, near in FINE.items():
        np.testing.assert_allclose(
            after.corner[reading][0], before.corner[reading][0], atol=LOOSER[name] * near, err_msg=reading
        )


def test_strong_lessons_are_written_too():
    """Every unknown far off, one sort after another: nothing learned is dropped on the way to the file."""
    for name in EXAMPLES:
        car, _ = example(name)
        rig = Rig(car)
        for sort, belongs in GROUPS.items():
            z = np.zeros(rig.unknowns.size)
            for block in rig.unknowns.blocks:
                if belongs(block.label):
                    z[block.where] = np.random.default_rng(block.where.start).choice([-1.5, 1.5], z[block.where].size)
            belief = dataclasses.replace(learn(rig, None), mean=z)
            settings = rig.settings + np.array([2 * slot.adjuster.step_travel for slot in rig.slots])
            before, after = shown(rig, z, settings), shown(Rig(taught_car(rig, belief)), settings=settings)
            for reading, near in FINE.items():
                np.testing.assert_allclose(
                    after.corner[reading][0],
                    before.corner[reading][0],
                    atol=5 * near,
                    err_msg=f"{name}: {sort}, {reading}",
                )


@pytest.mark.parametrize("name", EXAMPLES)
def test_doubt_shrinks_where_something_was_learned_and_never_to_nothing(name):
    car, readings = example(name)
    taught = teach_car(car, readings)
    for entry in GROUPS:
        before, after = getattr(car.doubt, entry), getattr(taught.doubt, entry)
        assert 0 < after <= before * (1 + 1e-5), entry
    assert taught.doubt.total_mass < 0.5 * car.doubt.total_mass
    assert taught.doubt.toe < 0.5 * car.doubt.toe
    assert taught.doubt.cg_height > 0.9 * car.doubt.cg_height  # nothing that was read speaks of it
