"""The fit of the unknowns to readings: against closed forms, another optimiser, and simulated cars.

The simulated cars are drawn from the program's own prior, so what is checked is that what it says of its own
doubt is true: a 90 % interval must hold 90 % of the readings.
"""

from functools import cache

import numpy as np
import pytest
from scipy import optimize, stats

from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Loose, Rig, loose_in
from cornerwright.model.parts import CORNERS
from cornerwright.model.reading import Reading
from cornerwright.planning.learn import learn
from cornerwright.planning.observe import gauge_scatter, observations, pick, pick_gradient, zeros
from cornerwright.planning.slips import SURPRISE, surprises, swapped_sides
from workshop import car_with, example_car, example_reading

GAUGES = {"height": 0.001, "load": 8.0, "camber": 0.0009, "toe": 0.0005, "caster": 0.0026, "damper_length": 0.001}


def values(rig, unknowns, keys, loose=None, settings=None):
    """What the gauges show, their zeros off as the unknowns say."""
    variant = rig.vary(settings, unknowns, loose=Loose() if loose is None else loose)
    shown = pick(outputs(variant, variant.stand(), gradients=False), keys)
    return shown if unknowns is None else shown + zeros(rig, keys, np.atleast_2d(unknowns))


def slopes(rig, z, keys, loose=None, step=1e-4):
    p = z.size
    near = values(rig, z + step * np.concatenate([np.eye(p), -np.eye(p)]), keys, loose)
    return (near[:p] - near[p:]).T / (2 * step)


# Against another optimiser and closed forms.


def test_the_mean_is_where_another_optimiser_ends():
    rig, reading = Rig(example_car()), example_reading()
    belief = learn(rig, reading)
    assert belief.verdict == "fitted"
    read = observations(reading)
    loose = loose_in(reading.state)

    def off(z):
        return np.concatenate([z, (values(rig, z, read.keys, loose)[0] - read.value) / read.scatter])

    def slope(z):
        return np.vstack([np.eye(z.size), slopes(rig, z, read.keys, loose) / read.scatter[:, None]])

    found = optimize.least_squares(off, np.zeros(rig.unknowns.size), slope, xtol=1e-12, ftol=1e-12, gtol=1e-10)
    np.testing.assert_allclose(belief.mean, found.x, atol=1e-4)
    assert 0.5 * off(belief.mean) @ off(belief.mean) <= found.cost + 1e-6


def test_the_covariance_is_that_of_the_information_form():
    """The program uses I - J'(JJ' + R)^-1 J; the other form is (I + J'R^-1 J)^-1."""
    rig = Rig(example_car())
    belief = learn(rig, example_reading())
    slope = slopes(rig, belief.mean, belief.keys)
    inverse = np.linalg.inv(np.eye(belief.mean.size) + slope.T / belief.scatter**2 @ slope)
    np.testing.assert_allclose(belief.sd(), np.sqrt(np.diag(inverse)), atol=1e-4)
    drawn = belief.draw(20000, seed=1)
    np.testing.assert_allclose(drawn.mean(axis=0), belief.mean, atol=0.035)
    at_gauges = slope @ np.cov(drawn.T) @ slope.T
    np.testing.assert_allclose(
        np.sqrt(np.diag(at_gauges)), np.sqrt(np.diag(slope @ inverse @ slope.T)), rtol=0.05
    )  # what the readings leave open
    weight = np.ones(belief.mean.size) / np.sqrt(belief.mean.size)
    assert (drawn @ weight).std() == pytest.approx(np.sqrt(weight @ inverse @ weight), rel=0.03)


def test_a_gentle_reading_is_answered_by_the_linear_formula():
    """Readings a twentieth of a standard deviation off: nothing bends, the closed form must come out."""
    rig = Rig(example_car())
    nothing = np.zeros(rig.unknowns.size)
    keys = tuple((corner, name) for corner in CORNERS for name in ("height", "camber", "toe"))
    slope = slopes(rig, nothing, keys)
    scatter = gauge_scatter(Reading().gauges, keys, 1.0)
    spread = np.sqrt(np.diag(slope @ slope.T) + scatter**2)
    off = 0.05 * spread * np.random.default_rng(2).standard_normal(len(keys))
    y = values(rig, nothing, keys)[0] + off
    belief = learn(rig, reading_of(keys, y))
    wanted = slope.T @ np.linalg.solve(slope @ slope.T + np.diag(scatter**2), off)
    np.testing.assert_allclose(belief.mean, wanted, atol=2e-4)


def reading_of(keys, y, **members):
    """A reading document that holds these values [SI]."""
    tree = {}
    for (corner, name), value in zip(keys, y, strict=True):
        unit = {"load": 1 / 9.80665}.get(name, 180 / np.pi if name in ("camber", "toe", "caster") else 1e3)
        tree.setdefault(corner, {})[name] = float(value * unit)
    return Reading.model_validate({**tree, **members})


# Against simulated cars.

KEYS = tuple((corner, name) for corner in CORNERS for name in GAUGES if name != "caster" or corner.startswith("front"))
CARS = 48


@cache
def garage():
    """(rig, [(hidden unknowns, belief)]) of simulated cars, each read once with gauge scatter."""
    rig = Rig(example_car())
    rng = np.random.default_rng(2024)
    scatter = np.array([GAUGES[name] for _, name in KEYS])
    gauges = {
        name: sd / 9.80665 if name == "load" else np.degrees(sd) if name in ("camber", "toe", "caster") else 1e3 * sd
        for name, sd in GAUGES.items()
    }
    hidden = rng.standard_normal((CARS, rig.unknowns.size))
    read = values(rig, hidden, KEYS) + scatter * rng.standard_normal((CARS, len(KEYS)))
    found = []
    for z, y in zip(hidden, read, strict=True):
        belief = learn(rig, reading_of(KEYS, y, gauges=gauges))
        assert belief.verdict == "fitted"
        found.append((z, belief))
    return rig, found


def test_ninety_percent_intervals_hold_ninety_percent_of_readings_after_moves():
    rig, found = garage()
    rng = np.random.default_rng(7)
    low = np.array([slot.adjuster.range[0] for slot in rig.slots])
    high = np.array([slot.adjuster.range[1] for slot in rig.slots])
    scatter = np.array([GAUGES[name] for _, name in KEYS])
    inside = []
    for z, belief in found:
        settings = rig.settings + rng.uniform(-0.25, 0.25, low.size) * (high - low)
        settings = np.clip(settings, low, high)
        truth = values(rig, z, KEYS, settings=settings)[0] + scatter * rng.standard_normal(len(KEYS))
        drawn = values(rig, belief.draw(80, seed=3), KEYS, settings=settings)
        middle, spread = values(rig, belief.mean, KEYS, settings=settings)[0], drawn.std(axis=0)
        half = stats.norm.ppf(0.95) * np.hypot(spread, scatter)
        inside.append(np.abs(truth - middle) <= half)
    share = np.mean(inside, axis=0)
    assert 0.86 <= np.mean(inside) <= 0.94
    # And for each kind of reading by itself, a little wider for the fewer readings.
    for name in GAUGES:
        own = [share[k] for k, (_, one) in enumerate(KEYS) if one == name]
        assert 0.8 <= np.mean(own) <= 0.98, name


def test_the_unknowns_lie_where_the_belief_says():
    """Sum of squared distances in the believed standard deviations of what the readings see."""
    _, found = garage()
    pulls = []
    for z, belief in found:
        j = belief.jacobian
        seen = j @ (z - belief.mean)
        spread = j @ j.T - j @ j.T @ np.linalg.solve(j @ j.T + np.diag(belief.scatter**2), j @ j.T)
        pulls.append(seen / np.sqrt(np.diag(spread)))
    assert np.std(pulls) == pytest.approx(1.0, abs=0.08)
    assert np.mean(pulls) == pytest.approx(0.0, abs=0.1)


def test_readings_without_slips_are_seldom_asked_about():
    _, found = garage()
    accused = [(np.abs(belief.surprise) > SURPRISE).any() or belief.swapped is not None for _, belief in found]
    assert np.mean(accused) <= 0.05


def test_readings_make_the_believed_car_like_the_true_one():
    """Heights after learning are nearer the hidden car's than the file was."""
    rig, found = garage()
    keys = tuple((corner, "height") for corner in CORNERS)
    file = values(rig, np.zeros(rig.unknowns.size), keys)[0]
    truth = np.array([values(rig, z, keys)[0] for z, _ in found])
    fit = np.array([values(rig, belief.mean, keys)[0] for _, belief in found])
    assert np.sqrt(np.mean((fit - truth) ** 2)) < 0.0012
    assert np.sqrt(np.mean((file - truth) ** 2)) > 0.003


# What the readings do not see.


def test_what_is_not_seen_stays_as_it_was():
    rig = Rig(example_car())
    keys = tuple((corner, "height") for corner in CORNERS)
    belief = learn(rig, reading_of(keys, values(rig, np.zeros(rig.unknowns.size), keys)[0] + 0.004))
    sd, blocks = belief.sd(), rig.unknowns.blocks
    for block in blocks:
        if any(word in block.label for word in ("effect", "camber", "toe", "caster")):
            np.testing.assert_allclose(sd[block.where], 1.0, atol=1e-3, err_msg=block.label)
            np.testing.assert_allclose(belief.mean[block.where], 0.0, atol=1e-3, err_msg=block.label)
    points = [block for block in blocks if block.label.endswith("height point")]
    assert all(sd[block.where] < 0.95 for block in points)
    assert (sd <= 1.0 + 1e-12).all()


def test_a_better_gauge_leaves_less_doubt():
    rig, reading = Rig(example_car()), example_reading()
    coarse = reading.model_copy(update={"gauges": reading.gauges.model_copy(update={"camber": 0.02})})
    fine, rough = learn(rig, reading).sd(), learn(rig, coarse).sd()
    assert (rough >= fine - 0.01).all()
    block = next(one for one in rig.unknowns.blocks if one.label == "front_left camber as built")
    assert rough[block.where] > 2 * fine[block.where]


def test_the_state_of_the_car_is_heeded():
    """A bar that was unhooked, or bushes that were slack, when the readings were taken hold nothing."""
    car = car_with({"front.bar.neutral": 25, "rear.*.bushes.clamped_at": -30})
    rig = Rig(car)
    keys = tuple((corner, name) for corner in CORNERS for name in ("height", "load"))
    for state, loose in (({"bars": "loose"}, Loose((True, True))), ({"bushes": "loose"}, Loose(bushes=True))):
        y = values(rig, np.zeros(rig.unknowns.size), keys, loose)[0]
        right = learn(rig, reading_of(keys, y, state=state))
        wrong = learn(rig, reading_of(keys, y))
        assert np.abs(right.mean).max() < 1e-6
        assert np.abs(wrong.mean).max() > 0.05


# Slips.


def test_surprise_is_what_the_conditional_normal_says():
    rng = np.random.default_rng(4)
    root = rng.normal(size=(5, 5))
    covariance = root @ root.T + 0.1 * np.eye(5)
    gap = rng.multivariate_normal(np.zeros(5), covariance)
    off = surprises(gap, covariance)
    for k in range(5):
        rest = np.delete(np.arange(5), k)
        weights = np.linalg.solve(covariance[np.ix_(rest, rest)], covariance[rest, k])
        sd = np.sqrt(covariance[k, k] - weights @ covariance[rest, k])
        assert off[k] == pytest.approx((gap[k] - weights @ gap[rest]) / sd)


def test_one_slip_does_not_accuse_its_neighbours():
    covariance = np.full((6, 6), 0.95) + 0.05 * np.eye(6)
    gap = np.zeros(6)
    gap[2] = 8.0
    off = np.abs(surprises(gap, covariance)) > SURPRISE
    assert off.tolist() == [False, False, True, False, False, False]
    gap[4] = -7.0
    off = np.abs(surprises(gap, covariance)) > SURPRISE
    assert off.tolist() == [False, False, True, False, True, False]


def test_swapped_sides_are_seen_where_the_car_is_lopsided():
    """A driver's weight on the left, the scales written down the wrong way round."""
    car = car_with({"mass.left": 54.5, "mass.total": 780})
    rig = Rig(car)
    names = ("height", "load", "camber", "damper_length")
    keys = tuple((corner, name) for corner in CORNERS for name in names)
    true = dict(zip(keys, values(rig, np.zeros(rig.unknowns.size), keys)[0], strict=True))
    as_read = learn(rig, reading_of(keys, true.values()))
    assert as_read.swapped is None
    across = dict(zip(CORNERS, ("front_right", "front_left", "rear_right", "rear_left"), strict=True))
    mixed = [true[across[corner], name] if name == "load" else true[corner, name] for corner, name in keys]
    slipped = learn(rig, reading_of(keys, mixed))
    told = slipped.swapped is not None and slipped.swapped[1] == "load"
    accused = {keys[k][1] for k in np.flatnonzero(np.abs(slipped.surprise) > SURPRISE)}
    assert told or accused == {"load"}


def test_swapping_is_judged_over_axles_and_the_whole_car():
    class Read:
        keys = tuple((corner, name) for corner in CORNERS for name in ("load", "toe"))
        value = np.array([3.0, 0, -3.0, 0, 0.0, 0, 0.0, 0])

    expected = np.array([-3.0, 0, 3.0, 0, 0, 0, 0, 0])
    assert swapped_sides(Read, expected, np.eye(8)) == ("front", "load")
    assert swapped_sides(Read, 0.1 * expected, 2 * np.eye(8)) is None
    Read.value = -np.array([-3.0, 1, 3.0, -1, 2, 0, -2, 0])
    assert swapped_sides(Read, -Read.value, np.eye(8)) == ("car", None)


# Where there is nothing to learn, or no car to learn of.


def test_nothing_read_is_no_news():
    rig = Rig(example_car())
    for reading in (None, Reading()):
        belief = learn(rig, reading)
        assert belief.verdict == "nothing read"
        assert (belief.mean == 0).all()
        assert (belief.sd() == 1).all()
        drawn = belief.draw(3000, 1)
        assert drawn.std() == pytest.approx(1, abs=0.01)


def test_a_reading_the_model_has_no_value_for_is_left_out():
    """The rear jack table knows no caster; a caster read there tells nothing, and stops nothing."""
    rig = Rig(example_car())
    belief = learn(rig, Reading.model_validate({"rear_left": {"caster": 3}}))
    assert belief.verdict == "nothing read"
    both = learn(rig, Reading.model_validate({"rear_left": {"caster": 3}, "front_left": {"height": 612}}))
    assert both.verdict == "fitted"
    assert both.keys == (("front_left", "height"),)


def test_a_car_that_does_not_stand_is_said_so():
    rig = Rig(car_with({"mass.cg_height": 30000}))
    assert learn(rig, example_reading()).verdict == "does not stand"


def test_readings_beyond_belief_do_not_converge():
    rig = Rig(example_car())
    belief = learn(rig, Reading.model_validate({"front_left": {"height": 24.15}}))
    assert belief.verdict in ("not converged", "does not stand")
    assert abs(belief.surprise[0]) > SURPRISE


# Readings as numbers.


def test_readings_become_numbers_in_order_with_their_gauges():
    read = observations(example_reading())
    assert read.keys[:3] == (("front_left", "height"), ("front_left", "load"), ("front_left", "camber"))
    assert len(read.keys) == 4 * 5 + 2
    assert read.value[1] == pytest.approx(example_reading().front_left.load)
    assert read.scatter[1] == pytest.approx(0.6 * 9.80665)


def test_the_scales_scatter_shows_in_the_cross_weight():
    """By simulation: four scales, each with its scatter."""
    rng = np.random.default_rng(1)
    load = np.array([2400.0, 2350, 2050, 2000])
    read = load + 20 * rng.standard_normal((200000, 4))
    share = (read[:, 1] + read[:, 2]) / read.sum(axis=1)
    gauges = Reading().gauges.model_copy(update={"load": 20.0})
    found = gauge_scatter(gauges, ((None, "cross_weight"), ("front_left", "spring_held")), load.sum())
    assert found[0] == pytest.approx(share.std(), rel=0.02)
    assert found[1] == 0


def test_picking_keeps_the_order_of_the_keys():
    rig = Rig(example_car())
    variant = rig.vary()
    at = outputs(variant, variant.stand())
    keys = ((None, "cross_weight"), ("rear_right", "toe"), ("front_left", "load"))
    assert pick(at, keys)[0].tolist() == [at.car["cross_weight"][0], at.corner["toe"][0, 3], at.corner["load"][0, 0]]
    slope = pick_gradient(at, keys)[0]
    np.testing.assert_array_equal(slope[1], at.corner_gradient["toe"][0, 3])
    np.testing.assert_array_equal(slope[0], at.car_gradient["cross_weight"][0])
    assert pick(at, ()).shape == (1, 0)
