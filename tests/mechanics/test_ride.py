"""Ride in time: rest, free motion, energy, wheels in the air, what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from cornerwright.mechanics import road
from cornerwright.mechanics.ride import drive, longest_step
from cornerwright.mechanics.ride_rest import hanging, rest
from ridecars import ride_car, straight_road


def rough(mean, rows, step, speed=20.0, number=1):
    tracks = road.tracks(400.0, 0.05, 1.36, mean, np.random.default_rng(number))
    return straight_road(tracks, speed, step, 2.39, rows)[None]


def test_rest_carries_the_weight():
    car = ride_car()
    still = rest(car)
    assert still.verdict == "stands"
    assert still.load.sum() == pytest.approx(9.80665 * (780 + 118), rel=1e-9)
    front = (780 * 1.27 / 2.39 + 62) / (780 + 118)
    assert still.load[:2].sum() / still.load.sum() == pytest.approx(front, rel=1e-9)


def test_a_car_at_rest_stays():
    run = drive(ride_car(), np.zeros((1, 2000, 4)), 1e-3)
    assert np.abs(run.lift - run.lift[:, :1]).max() < 1e-9
    assert run.verdict.tolist() == ["done"]


def test_free_heave_swings_at_its_frequency_and_keeps_its_energy():
    car = ride_car(
        linear=True,
        damper_force=np.zeros((4, 3)),
        tyre_damping=np.zeros(4),
        bar_rate=np.zeros(2),
    )
    still = rest(car)
    squares, shapes = np.linalg.eigh(still.stiffness / np.sqrt(np.outer(car.mass, car.mass)))
    for mode in range(7):
        shape = shapes[:, mode] / np.sqrt(car.mass)
        shape *= 0.004 / np.abs(shape).max()
        run = drive(car, np.zeros((1, 4000, 4)), 5e-4, start=still.q + shape)
        wanted = still.q + shape * np.cos(np.sqrt(squares[mode]) * run.time)[:, None]
        # The leapfrog swings a little too fast: by (omega step)^2 / 24 of each turn.
        assert np.abs(run.q[0] - wanted).max() < 0.02 * 0.004
        assert run.imbalance[0] < 1e-3


@pytest.mark.parametrize("mean", [16e-6, 256e-6, 4096e-6])
def test_books_close_on_every_road(mean):
    run = drive(ride_car(), rough(mean, 6000, 1e-3), 1e-3)
    assert run.verdict.tolist() == ["done"]
    assert run.work_in[0] - run.heat[0] - run.gained[0] == pytest.approx(0.0, abs=0.01 * run.heat[0] + 1.0)
    assert run.heat[0] > 0.0


def test_error_falls_with_the_step_squared():
    base = rough(64e-6, 1601, 1e-3)
    smooth = np.stack([np.convolve(np.pad(one, 40, mode="edge"), np.hanning(81) / 40.0, "valid") for one in base[0].T])
    fine_time = np.arange(0, 1.6 + 1e-9, 1.25e-4)
    from scipy.interpolate import CubicSpline

    line = CubicSpline(np.arange(1601) * 1e-3, smooth, axis=1)
    car = ride_car(linear=True)
    runs = {}
    for take in (8, 4, 1):
        heights = line(fine_time[::take]).T[None]
        runs[take] = drive(car, heights, 1.25e-4 * take).q[0]
    coarse = np.abs(runs[8] - runs[1][::8]).max()
    middle = np.abs(runs[4] - runs[1][::4]).max()
    assert 3.4 < coarse / middle < 5.2


def test_wheels_leave_the_ground_and_tyres_never_pull():
    run = drive(ride_car(), rough(16384e-6, 5000, 1e-3), 1e-3)
    assert (run.load >= 0.0).all()
    assert (run.load == 0.0).any()
    assert run.verdict.tolist() == ["done"]


def test_hanging_car_has_no_force_left():
    car = ride_car()
    place = hanging(car)
    force, _, _ = car.static(car.reach @ place)
    assert np.abs(force).max() < 2.0
    assert (place[3:] + car.tyre_gap).min() == pytest.approx(0.0, abs=1e-12)


def test_landing_goes_deeper_from_higher_and_comes_to_rest():
    car = ride_car()
    heights = np.array([0.05, 0.3])
    fall = np.zeros((2, 7))
    fall[:, [0, 3, 4, 5, 6]] = -np.sqrt(2 * 9.80665 * heights)[:, None]
    run = drive(car, np.zeros((2, 6000, 4)), 5e-4, start=hanging(car), start_speed=fall)
    assert run.verdict.tolist() == ["done", "done"]
    deepest = run.lift.max(axis=1)
    assert (deepest[1] > deepest[0]).all()
    # Friction may hold the wheel by its force over the rate.
    assert run.lift[:, -1] == pytest.approx(np.tile(rest(car).lift, (2, 1)), abs=60 / 19e3)


def test_runs_of_a_batch_do_not_know_of_each_other():
    car = ride_car()
    both = np.concatenate([rough(256e-6, 800, 1e-3, number=1), rough(4096e-6, 800, 1e-3, number=2)])
    together = drive(car, both, 1e-3)
    for k in (0, 1):
        assert drive(car, both[k : k + 1], 1e-3).q[0] == pytest.approx(together.q[k], abs=1e-12)


def test_a_run_thrown_away_is_told_and_leaves_the_others():
    car = ride_car()
    flat = np.zeros((2, 3000, 4))
    speed = np.zeros((2, 7))
    speed[1, 0] = 900.0
    still = rest(car).q
    run = drive(car, flat, 1e-3, start=still, start_speed=speed)
    assert run.verdict.tolist() == ["done", "lost"]
    assert np.isnan(run.q[1]).all()
    assert np.abs(run.q[0] - still).max() < 1e-9


def test_what_is_refused():
    car = ride_car()
    with pytest.raises(ValueError, match="step"):
        drive(car, np.zeros((1, 10, 4)), 2 * longest_step(car))
    with pytest.raises(ValueError, match="finite"):
        drive(car, np.full((1, 10, 4), np.nan), 1e-3)
    with pytest.raises(ValueError, match="only resist"):
        replace(car, damper_force=car.damper_force - 300.0)
    with pytest.raises(ValueError, match="must not fall"):
        replace(car, force=car.force[:, ::-1].copy())


def test_friction_and_wheels_in_the_air_are_in_the_books():
    """Friction and tyres by themselves are more than the books may be off by: what was left out would be seen."""
    car = ride_car(friction=np.full(4, 150.0))
    run = drive(car, rough(4096e-6, 6000, 1e-3), 1e-3)
    assert run.verdict.tolist() == ["done"]
    assert (run.load == 0.0).mean() > 0.02
    passed = run.heat[0] + abs(run.gained[0])
    speed = run.damper_speed[0]
    rubbed = (car.friction * np.tanh(speed / 0.005) * speed).sum() * 1e-3
    assert rubbed > 0.03 * passed
    still = ride_car(friction=np.zeros(4)).damping(speed)
    in_dampers = (still * speed).sum() * 1e-3
    rising = np.gradient(rough(4096e-6, 6000, 1e-3), 1e-3, axis=1)[0]
    down = rising - run.speed[0, :, 3:]
    squeeze = rough(4096e-6, 6000, 1e-3)[0] - run.q[0, :, 3:] - car.tyre_gap
    in_tyres = ((run.load[0] - car.tyre_rate * np.maximum(squeeze, 0.0)) * down).sum() * 1e-3
    assert rubbed + in_dampers + in_tyres == pytest.approx(run.heat[0], rel=2e-3)
    assert run.work_in[0] == pytest.approx(run.heat[0] + run.gained[0], abs=0.01 * passed)


def test_books_that_do_not_close_are_told(monkeypatch):
    heights = rough(4096e-6, 2000, 1e-3)
    off = drive(ride_car(), heights, 1e-3).imbalance[0]
    assert 0.0 < off < 0.01
    monkeypatch.setattr("cornerwright.mechanics.ride.BALANCE", off / 2)
    assert drive(ride_car(), heights, 1e-3).verdict.tolist() == ["unbalanced"]
