"""Every reading's slope by every adjuster, against central differences of the full model; and symmetry."""

import numpy as np
import pytest

from cornerwright.assembly.outputs import CAR_OUTPUTS, CORNER_OUTPUTS, outputs
from cornerwright.assembly.rig import Loose, Rig
from cornerwright.model.car import Car
from workshop import car_tree, car_with, example_car, random_car

NUDGE = 2e-6  # [m] of an adjuster


def stood(variant, *, gradients=True):
    stance = variant.stand()
    assert stance.stands.all()
    return outputs(variant, stance, gradients=gradients)


def differences(rig, unknowns, loose):
    """Slopes by going a little to either side, all adjusters in one batch."""
    m = len(rig.slots)
    a = rig.settings + NUDGE * np.concatenate([np.eye(m), -np.eye(m)])
    at = stood(rig.vary(a, unknowns, loose=loose), gradients=False)
    corner = {name: (v[:m] - v[m:]).T / (2 * NUDGE) for name, v in at.corner.items()}
    car = {name: (v[:m] - v[m:]) / (2 * NUDGE) for name, v in at.car.items()}
    return corner, car


CARS = {
    "example": example_car,
    "random 1": lambda: random_car(1),
    "random 2": lambda: random_car(2),
    "on its bump stops": lambda: car_with({"front.*.damper.bump_stop.length": 80}),
    "low": lambda: car_with({f"{end}.*.adjusters.perch.setting": 2 for end in ("front", "rear")}),
    "binding": lambda: car_with({"rear.*.spring.stack.0.block_length": 135}),
}


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("loose", [Loose(), Loose((True, False), bushes=True)], ids=["tight", "loose"])
def test_slopes_are_those_of_the_full_model(name, loose):
    rig = Rig(CARS[name]())
    unknowns = rig.unknowns.draw(1, seed=len(name))
    at = stood(rig.vary(unknowns=unknowns, loose=loose))
    corner, car = differences(rig, unknowns, loose)
    assert set(corner) == set(CORNER_OUTPUTS) == set(at.corner_gradient)
    assert set(car) == set(CAR_OUTPUTS) == set(at.car_gradient)
    for reading, measured in corner.items():
        if np.isnan(at.corner[reading][0]).all():
            continue
        known = ~np.isnan(at.corner[reading][0])
        exact = at.corner_gradient[reading][0]
        size = np.abs(measured[known]).max()
        assert size > 0, reading
        np.testing.assert_allclose(exact[known], measured[known], rtol=1e-5, atol=1e-5 * size, err_msg=reading)
    for reading, measured in car.items():
        np.testing.assert_allclose(
            at.car_gradient[reading][0], measured, rtol=1e-5, atol=1e-5 * np.abs(measured).max(), err_msg=reading
        )


def test_the_cars_show_what_they_are_for():
    bound = stood(Rig(CARS["binding"]()).vary())
    assert (bound.window.bind.lift[0, 2:] < bound.window.bump.lift[0, 2:]).all()
    stops = Rig(CARS["on its bump stops"]()).vary()
    assert (stops.stand().damper_rate[0, :2] > 0).all()


def mirrored(car):
    """The same car with left and right exchanged, body, driver and all."""
    tree = car.to_document()
    for end in ("front", "rear"):
        axle = tree[end]
        axle["left"], axle["right"] = axle["right"], axle["left"]
        for side in ("left", "right"):
            axle[side]["height_point"]["at"][1] *= -1
        if axle.get("bar"):
            axle["bar"]["neutral"] = -axle["bar"].get("neutral", 0.0)
            if "link" in axle["bar"]:
                link = axle["bar"]["link"]
                link["setting"] = 2 * link["measured_at"] - link["setting"]
    tree["mass"]["left"] = 100 - tree["mass"]["left"]
    return Car.model_validate(tree)


def test_a_mirrored_car_reads_mirrored():
    car = random_car(5)
    assert car.front.left != car.front.right
    one, other = stood(Rig(car).vary()), stood(Rig(mirrored(car)).vary())
    swap = [1, 0, 3, 2]
    for reading, value in one.corner.items():
        np.testing.assert_allclose(other.corner[reading][0, swap], value[0], atol=1e-9, rtol=1e-9, err_msg=reading)
    assert other.car["left_share"][0] == pytest.approx(1 - one.car["left_share"][0], abs=1e-9)
    assert other.car["cross_weight"][0] == pytest.approx(1 - one.car["cross_weight"][0], abs=1e-9)
    assert other.car["front_share"][0] == pytest.approx(one.car["front_share"][0], abs=1e-9)


def test_a_symmetric_car_stands_level_and_its_slopes_are_symmetric():
    tree = car_tree()
    tree["mass"]["left"] = 50
    rig = Rig(Car.model_validate(tree))
    variant = rig.vary()
    stance = variant.stand()
    at = outputs(variant, stance)
    assert stance.q[0, 2] == pytest.approx(0, abs=1e-10)
    assert at.car["cross_weight"][0] == pytest.approx(0.5, abs=1e-9)
    place = {slot.name: k for k, slot in enumerate(rig.slots)}
    for reading, value in at.corner.items():
        np.testing.assert_allclose(value[0, ::2], value[0, 1::2], atol=1e-8, err_msg=reading)
        slope = at.corner_gradient[reading][0]
        size = np.nanmax(np.abs(slope))
        for end in ("front", "rear"):
            for short in rig.car.front.left.adjusters if end == "front" else rig.car.rear.left.adjusters:
                left, right = place[f"{end}_left.{short}"], place[f"{end}_right.{short}"]
                np.testing.assert_allclose(slope[::2, left], slope[1::2, right], atol=1e-7 * size)
                np.testing.assert_allclose(slope[1::2, left], slope[::2, right], atol=1e-7 * size)


def test_what_cannot_be_known_is_nan_and_stays_where_it_is():
    """A rear jack table without caster: nan there, and nowhere else."""
    at = stood(Rig(example_car()).vary())
    assert np.isnan(at.corner["caster"][0, 2:]).all()
    assert np.isnan(at.corner_gradient["caster"][0, 2:]).all()
    for reading, value in at.corner.items():
        assert np.isfinite(value[0, :2]).all(), reading
        if reading != "caster":
            assert np.isfinite(value).all(), reading
            assert np.isfinite(at.corner_gradient[reading]).all(), reading


def test_a_car_that_falls_has_no_numbers():
    rig = Rig(car_with({"mass.cg_height": 30000}))
    variant = rig.vary()
    stance = variant.stand()
    assert stance.verdict[0] != "stands"
    at = outputs(variant, stance)
    assert all(np.isnan(value).all() for value in (*at.corner.values(), *at.car.values()))
