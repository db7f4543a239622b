"""What the readings taught, what they cannot see, what to read next; and learning from several passes."""

import numpy as np
import pytest

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import CORNER_READINGS, Reading, Readings
from cornerwright.model.units import KINDS, to_document
from cornerwright.planning.learn import learn
from cornerwright.planning.lessons import teach
from cornerwright.planning.observe import gauge_scatter, pick, zeros
from workshop import example_car, example_reading

UNITS = {"load": "weight", "camber": "angle", "toe": "angle", "caster": "angle"}
KEYS = tuple(
    (corner, name)
    for corner in CORNERS
    for name in CORNER_READINGS
    if name != "caster" or corner.startswith("front")
    if name != "spring_length"
)


def read(rig, unknowns, at=None, **more):
    """A pass of readings of the hidden car without scatter, as a document has it."""
    variant = rig.vary(at, unknowns, loose=Loose(bushes=True))
    seen = pick(outputs(variant, variant.stand(), gradients=False), KEYS)[0]
    seen = seen + zeros(rig, KEYS, np.atleast_2d(unknowns))[0]
    tree = {"state": {"bushes": "loose"}, **more}
    for (corner, name), value in zip(KEYS, seen, strict=True):
        tree.setdefault(corner, {})[name] = to_document(float(value), KINDS[UNITS.get(name, "length")])
    return Reading.model_validate(tree)


def file_of(*passes):
    return Readings(format="cornerwright readings 1", passes=tuple(passes))


def block(rig, label):
    return next(one for one in rig.unknowns.blocks if one.label == label)


# Several passes.


def test_what_turning_did_between_two_passes_is_learned():
    rig = Rig(example_car())
    name = "rear_left.inner_cam"
    effect = block(rig, f"{name} effect")
    hidden = np.zeros(rig.unknowns.size)
    hidden[effect.where] = 2.5  # this cam acts a tenth stronger than its file says
    k = [slot.name for slot in rig.slots].index(name)
    turned = rig.settings.copy()
    turned[k] += 10 * rig.slots[k].adjuster.step_travel
    after = Rig(example_car().at_settings({name: turned[k]}))
    first = read(rig, hidden, settings={name: to_document(rig.settings[k], KINDS["length"])})
    both = learn(after, file_of(first, read(rig, hidden, turned)))
    alone = learn(after, file_of(read(rig, hidden, turned)))
    where = effect.where.start
    assert both.verdict == "fitted"
    assert both.mean[where] == pytest.approx(2.5, abs=2.5 * both.sd()[where])
    assert both.sd()[where] < 0.75
    assert alone.sd()[where] > 0.9  # camber as built could be it as well
    assert both.sd()[where] < 0.8 * alone.sd()[where]


def test_an_earlier_pass_without_settings_is_named_and_not_used():
    rig, nothing = Rig(example_car()), np.zeros(Rig(example_car()).unknowns.size)
    last = read(rig, nothing)
    told = teach(example_car(), file_of(read(rig, nothing + 0.7), last))
    assert told.passes_without_settings == (1,)
    assert told.passes_used == 1
    np.testing.assert_array_equal(learn(rig, file_of(read(rig, nothing + 0.7), last)).mean, learn(rig, last).mean)


@pytest.mark.parametrize(
    ("settings", "field", "found"),
    [
        ({"rear_left.inner_cram": 0}, "settings.rear_left.inner_cram of the last pass", "an unknown adjuster"),
        ({"rear_left.perch": 900}, "settings.rear_left.perch of the last pass", "900"),
        ({"rear_left.perch": "3 bananas"}, "settings.rear_left.perch of the last pass", "bananas"),
    ],
)
def test_settings_that_the_car_does_not_have_are_refused(settings, field, found):
    with pytest.raises(Refusal) as refused:
        teach(example_car(), file_of(example_reading().model_copy(update={"settings": settings})))
    problem = refused.value.problems[0]
    assert problem.field == field
    assert found in problem.found


def test_the_last_pass_says_how_the_car_is_set():
    reading = example_reading()
    moved = reading.model_copy(update={"settings": {"rear_left.perch": "20 mm"}})
    car = example_car()
    as_file = learn(Rig(car.at_settings({"rear_left.perch": 0.020})), reading)
    from cornerwright.planning.passes import as_it_stands

    np.testing.assert_allclose(learn(Rig(as_it_stands(car, moved)), moved).mean, as_file.mean, atol=1e-9)


# What was learned, what was not, what to read next.


def test_a_light_car_is_told_of_with_its_doubt():
    rig = Rig(example_car())
    hidden = np.zeros(rig.unknowns.size)
    hidden[block(rig, "total mass").where] = -2.0
    told = teach(example_car(), file_of(read(rig, hidden)))
    lesson = next(one for one in told.learned if one.what == "total mass")
    assert lesson.unit == "%"
    assert lesson.change == pytest.approx(100 * (np.exp(-2 * 0.02) - 1), abs=3 * lesson.sigma)
    assert lesson.sigma < lesson.sigma_before == pytest.approx(2.0)


def test_what_no_reading_speaks_of_is_named_until_one_does():
    told = teach(example_car(), file_of(example_reading()))
    assert "height of the centre of gravity" in told.unseen
    assert "total mass" not in told.unseen
    raised = teach(example_car(), file_of(example_reading().model_copy(update={"cg_height": 0.48})))
    assert "height of the centre of gravity" not in raised.unseen


def test_reading_again_takes_off_what_was_promised():
    """The share of the doubt that the first suggestion takes off, against a fit with that reading truly added."""
    car = example_car()
    rig = Rig(car)
    reading = example_reading()
    told = teach(car, file_of(reading)).read_next
    assert [one.takes_off_percent for one in told] == sorted((one.takes_off_percent for one in told), reverse=True)
    best = told[0]
    assert best.takes_off_percent > 0
    belief = learn(rig, reading)
    aims = tuple((c, n) for c in CORNERS for n in ("height", "load", "camber", "toe", "caster"))
    variant = rig.vary(
        unknowns=belief.mean + np.concatenate([np.zeros((1, belief.mean.size)), 1e-3 * np.eye(belief.mean.size)]),
        loose=Loose(bushes=True),
    )
    at = outputs(variant, variant.stand(), gradients=False)
    values = pick(at, aims)
    there = np.isfinite(values).all(axis=0)
    slope = ((values[1:] - values[:1]).T / 1e-3)[there]
    tolerance = {"height": 0.002, "load": 50.0, "camber": np.radians(0.1), "toe": np.radians(0.05)}
    tolerance["caster"] = np.radians(0.25)
    scale = np.array([tolerance[name] for (_, name), fine in zip(aims, there, strict=True) if fine])
    key = ((best.corner, best.reading),)
    seen = (pick(at, key)[1:] - pick(at, key)[:1]).T / 1e-3 + zeros(rig, key, np.eye(belief.mean.size)).T
    scatter = gauge_scatter(reading.gauges, key, 1.0)

    def doubt(rows, scatters):
        information = np.eye(belief.mean.size) + rows.T @ (rows / scatters[:, None] ** 2)
        spread = slope @ np.linalg.solve(information, slope.T)
        return float((np.diag(spread) / scale**2).sum())

    before = doubt(belief.jacobian, belief.scatter)
    after = doubt(np.vstack([belief.jacobian, seen]), np.concatenate([belief.scatter, scatter]))
    assert 100 * (before - after) / before == pytest.approx(best.takes_off_percent, rel=0.05)


def test_a_slip_is_asked_about_not_absorbed():
    reading = example_reading()
    left = reading.front_left.model_copy(update={"height": reading.front_left.height * 25.4 / 24.0})
    told = teach(example_car(), file_of(reading.model_copy(update={"front_left": left})))
    assert any(one.place == "front_left" and "height" in one.says for one in told.findings)
