"""Cars drawn as documents are the cars that `doubt` draws as numbers, and a number's scatter over them is its doubt."""

from __future__ import annotations

import numpy as np
import pytest

import cornerwright as cw
from cornerwright.assembly.rig import Rig
from cornerwright.mechanics.stance import GRAVITY
from cornerwright.model.parts import CORNERS
from cornerwright.planning import drawn
from cornerwright.planning.doubt_subjects import FIGURES, Case, reader
from cornerwright.planning.doubt_unknowns import SUBJECTS, things_of
from cornerwright.planning.drawn import drawn_car, drawn_cars
from cornerwright.planning.why import asking
from shared import PROJECT

CARS = {name: PROJECT / "examples" / name / "car.yaml" for name in ("tarn_fell", "skerry_nine")}


@pytest.fixture(scope="module", params=CARS)
def one(request):
    """A car, what is in doubt about it, and one draw of it."""
    rig = Rig(cw.load_car(CARS[request.param]))
    things = things_of(rig, SUBJECTS)
    return rig, things, things.draw(3, 0, "first", 1)[0]


def figures(rig, things, z, subject):
    read = reader(rig.car, rig, things, subject, Case())
    return {one.key: one.told(value) for one, value in zip(FIGURES[subject], read(z[None])[0], strict=True)}


def test_a_drawn_car_stands_as_its_numbers_do(one):
    rig, things, z = one
    told = cw.stand(drawn_car(rig, things, z))
    said = figures(rig, things, z, "stand")
    for corner in CORNERS:
        own = told.corners[corner]
        # The rows of a jack table that were moved are fitted again, and smoothed a little by that.
        assert own.height_mm == pytest.approx(said[f"{corner}.height"], abs=0.6)
        assert own.camber_deg == pytest.approx(said[f"{corner}.camber"], abs=0.04)
        assert own.toe_deg == pytest.approx(said[f"{corner}.toe"], abs=0.04)
        assert own.load_n == pytest.approx(said[f"{corner}.load"] * GRAVITY, rel=0.01)


def test_a_drawn_car_brakes_and_corners_as_its_numbers_do(one):
    rig, things, z = one
    car = drawn_car(rig, things, z)
    braked, said = cw.brakes(car), figures(rig, things, z, "brakes")
    row = next(one for one in braked.rows if one.rate_g == pytest.approx(0.8))
    assert said["car.front_brake_share"] == pytest.approx(row.front_percent, rel=1e-4)
    assert said["car.pedal_force"] == pytest.approx(braked.pedal.foot_n, rel=1e-3)
    turned, said = cw.corner(car), figures(rig, things, z, "corner")
    assert said["car.cornering_limit"] == pytest.approx(turned.limit.lateral_g, rel=5e-3)
    assert said["car.understeer"] == pytest.approx(turned.understeer_deg_per_g, abs=0.02)


def test_dampers_and_radii_are_drawn_too(one):
    rig, things, z = one
    z = np.zeros_like(z)
    z[things.column("front_left damper force")] = 1.0
    z[things.column("radius of gyration in roll")] = -2.0
    given = rig.car.model_copy(update={"mass": rig.car.mass.model_copy(update={"roll_radius": 0.5})})
    car = drawn_car(Rig(given), things, z)
    firmer = np.exp(given.doubt.damper_force)
    for corner in CORNERS:
        own, was = car.corners[corner].damper.curve, given.corners[corner].damper.curve
        if was is not None:
            factor = firmer if corner == "front_left" else 1.0
            assert own[0].bump == pytest.approx(factor * was[0].bump, rel=1e-4)
            assert own[-1].rebound == pytest.approx(factor * was[-1].rebound, rel=1e-4)
    assert car.mass.roll_radius == pytest.approx(0.5 * np.exp(-2.0 * given.doubt.gyration))
    assert car.mass.pitch_radius is None


def test_the_same_number_draws_the_same_cars():
    car = cw.load_car(CARS["tarn_fell"])
    first, again, other = (list(drawn_cars(car, 2, random)) for random in (1, 1, 2))
    assert first == again
    assert first[0] != first[1]
    assert first[0] != other[0]


# ------------------------------------------------------------------ how sure a number is


def test_the_scatter_over_drawn_cars_is_the_doubt():
    """The balance of the brakes hangs on the pads' friction: its scatter by hand is that over many cars."""
    car = cw.load_car(CARS["tarn_fell"])
    told = cw.why(car, "brakes.rows[6].front_percent", cars=24)
    share = told.value / 100.0
    rubs = car.doubt.pad_friction
    by_hand = 100.0 * share * (1.0 - share) * np.hypot(rubs, rubs)
    # 24 cars know a standard deviation to 15 %.
    assert told.doubt.sigma == pytest.approx(by_hand, rel=0.5)
    assert told.doubt.comes_from == "scatter of 24 of 24 cars that the file could mean, itself known to 15 %"
    assert (told.doubt.low, told.doubt.high) == (None, None)
    plain = cw.why(car, "brakes.rows[6].front_percent")
    assert plain.value == told.value
    assert plain.doubt.sigma is None


def test_what_is_sure_already_stays_so_and_too_few_cars_are_told(monkeypatch):
    car = cw.load_car(CARS["tarn_fell"])
    fitted = [cw.why(car, "fit.clearances.sigma_mm", "front_left", cars=cars).value for cars in (0, 8)]
    assert fitted[0] == fitted[1]
    near = cw.why(car, "fit.clearances.clearance_mm", "front_left", cars=8)
    assert near.doubt == cw.why(car, "fit.clearances.clearance_mm", "front_left").doubt
    monkeypatch.setattr(asking, "drawn_cars", lambda *_: iter([None] * 7 + [car]))
    told = cw.why(car, "brakes.pedal.foot_n", cars=8)
    assert told.doubt.sigma is None
    assert told.doubt.comes_from == "only 1 of 8 cars that the file could mean have this number"


@pytest.mark.parametrize("cars", [1, 7, 1001, -1])
def test_a_number_of_cars_that_tells_nothing_is_refused(cars):
    with pytest.raises(cw.Refusal, match="8 to 1000"):
        cw.why(cw.load_car(CARS["tarn_fell"]), "brakes.pedal.foot_n", cars=cars)


def test_cars_that_cannot_be_are_left_out(monkeypatch):
    def never(*_):
        raise ValueError("no such car")

    monkeypatch.setattr(drawn, "drawn_car", never)
    assert list(drawn_cars(cw.load_car(CARS["tarn_fell"]), 3)) == [None] * 3


def test_the_road_says_what_is_not_varied():
    told = cw.why(cw.load_car(CARS["tarn_fell"]), "road.weighted_m_per_s2", cars=8)
    assert told.doubt.sigma > 0
    assert "not varied: tyre damping" in told.doubt.comes_from


def test_the_command_asks_with_cars(cornerwright):
    asked = cornerwright("why", CARS["tarn_fell"], "brakes.locking.foot_n")
    assert "With --cars 24" in " ".join(asked.out.split())
    told = cornerwright("why", CARS["tarn_fell"], "brakes.locking.foot_n", "--cars", 8, "--json")
    assert told.answer["doubt"]["sigma"] > 0
    assert cornerwright("why", CARS["tarn_fell"], "brakes.locking.foot_n", "--cars", 3).status == 2
