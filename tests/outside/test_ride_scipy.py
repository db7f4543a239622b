"""Second road: SciPy's lsim and solve_ivp for the car on its seven coordinates, Lyapunov's equation for the scatter."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import solve_continuous_lyapunov
from scipy.signal import StateSpace, lsim

from cornerwright.mechanics import road
from cornerwright.mechanics.ride import drive
from cornerwright.mechanics.ride_car import CREEP
from cornerwright.mechanics.ride_linear import Surface, scatter, straighten
from cornerwright.mechanics.ride_rest import rest
from evidence import Outside
from ridecars import ride_car, straight_road

LSIM = Outside("road and ride", "SciPy lsim, car on seven coordinates", "reference library")
SOLVE_IVP = Outside("road and ride", "SciPy solve_ivp, car on seven coordinates", "reference library")
LYAPUNOV = Outside("road and ride", "SciPy's Lyapunov equation", "reference library")
IN_TIME = Outside("road and ride", "the run in time, for the statistical linearisation", "second road")

G = 9.80665


def smooth_road(mean, rows, step, speed=20.0, number=3):
    """Waves of a metre and longer, so that a step of a millisecond shows them well."""
    tracks = road.tracks(400.0, 0.05, 1.36, mean, np.random.default_rng(number), shortest=0.8)
    return straight_road(tracks, speed, step, 2.39, rows)


def test_straight_car_against_lsim():
    car = ride_car(linear=True)
    step = 5e-4
    heights = smooth_road(16e-6, 6000, step)
    heights = heights - heights[0].mean() - (heights[0] - heights[0].mean())
    run = drive(car, heights[None], step)
    A, B = straighten(car, 0.1).state()
    time = np.arange(6000) * step
    start = np.zeros(14)
    start[7:] = -B[:7] @ heights[0]
    out = lsim(StateSpace(A, B, np.eye(14), np.zeros((14, 4))), heights, time, X0=start)[1]
    mine = run.q[0] - rest(car).q
    assert np.abs(mine).max() > 2e-3
    LSIM.agrees("coordinates of a straight car over a road", out[:, :7], mine, "m, rad", abs=2e-5)


def equations(car, time, heights):
    """The car again, written out corner by corner for solve_ivp."""
    grid = car.first_lift + np.arange(car.force.shape[1]) * car.lift_step
    ratio = np.gradient(car.damper, car.lift_step, axis=1)

    def rate(t, state):
        z, pitch, roll, *wheel = state[:7]
        vz, vpitch, vroll, *vwheel = state[7:]
        row = min(int(t / (time[1] - time[0])), time.size - 2)
        rise = (heights[row + 1] - heights[row]) / (time[1] - time[0])
        ground = heights[row] + rise * (t - time[row])
        lift = [wheel[i] - (z - car.x[i] * pitch + car.y[i] * roll) for i in range(4)]
        close = [vwheel[i] - (vz - car.x[i] * vpitch + car.y[i] * vroll) for i in range(4)]
        up, moment_y, moment_x, accel = -car.body_mass * G, 0.0, 0.0, []
        for i in range(4):
            turn = np.interp(lift[i], grid, ratio[i])
            speed = -turn * close[i]
            damper = np.interp(speed, car.damper_speed[i], car.damper_force[i])
            damper += car.friction[i] * np.tanh(speed / CREEP)
            bar = car.bar_rate[i // 2] * (lift[i] - lift[i ^ 1])
            force = np.interp(lift[i], grid, car.force[i]) - turn * damper + bar
            squeeze = ground[i] - wheel[i] - car.tyre_gap[i]
            tyre = max(0.0, car.tyre_rate[i] * squeeze + car.tyre_damping[i] * (rise[i] - vwheel[i]))
            tyre = tyre if squeeze > 0 else 0.0
            up += force
            moment_y -= car.x[i] * force
            moment_x += car.y[i] * force
            accel.append((tyre - force) / car.unsprung[i] - G)
        return [*state[7:], up / car.body_mass, moment_y / car.pitch_inertia, moment_x / car.roll_inertia, *accel]

    return rate


@pytest.mark.parametrize("mean", [64e-6, 4096e-6])
def test_whole_car_against_solve_ivp(mean):
    """Stops touched and wheels lifted on the rougher road; damper speeds stay within the curve's table."""
    car = ride_car(
        damper_speed=np.tile([-9.0, -0.1, 0.0, 0.08, 9.0], (4, 1)),
        damper_force=np.tile([-17000.0, -550.0, 0.0, 250.0, 6500.0], (4, 1)),
    )
    step, rows = 5e-4, 3000
    heights = smooth_road(mean, rows, step)
    run = drive(car, heights[None], step)
    time = np.arange(rows) * step
    begin = np.concatenate([run.q[0, 0], np.zeros(7)])
    found = solve_ivp(
        equations(car, time, heights),
        (0, time[-1]),
        begin,
        t_eval=time,
        rtol=1e-7,
        atol=1e-9,
        max_step=2e-3,
        method="LSODA",
    )
    size = np.abs(run.lift[0] - run.lift[0, 0]).max()
    if mean > 1e-3:
        assert (run.load[0] == 0).any()
        assert run.lift[0].max() > 0.045
    SOLVE_IVP.agrees(
        "coordinates of a whole car over a road, stops and lifted wheels",
        found.y[:7].T,
        run.q[0],
        "m, rad",
        abs=0.01 * size,
    )


def test_scatter_against_lyapunov():
    """Waviness 2 without limits is white speed: the road is integrated white noise, held by a slow drain."""
    car = ride_car(linear=True)
    speed, mean = 20.0, 64e-6
    surface = Surface(mean, speed, 1e-6, 1e-6, longest=1e-5, shortest=60.0)
    found = scatter(car, surface, 20000)
    assert found.verdict == "settled"
    # Tracks and axles so close are one height z under all wheels: z' = -a z + w, a small.
    drain = 2 * np.pi * 1e-7 * speed
    A, B = found.straight.state()
    whole = np.zeros((15, 15))
    whole[:14, :14], whole[:14, 14], whole[14, 14] = A, B.sum(axis=1), -drain
    # Gd(n) = G0 n0^2 / n^2 is a two-sided speed spectrum of 4 pi^2 G0 n0^2 v / 2.
    noise = np.zeros((15, 15))
    noise[14, 14] = 4 * np.pi**2 * mean * 0.01 * speed / 2
    spread = solve_continuous_lyapunov(whole, -noise)
    lift = np.concatenate([car.reach, np.zeros((4, 8))], axis=1)
    LYAPUNOV.agrees("scatter of the lifts", np.sqrt(np.diag(lift @ spread @ lift.T)), found.lift_rms, "m", rel=2e-3)
    squeeze = np.zeros((4, 15))
    squeeze[:, 3:7], squeeze[:, 14] = -np.eye(4), 1.0
    tyre = ride_car(linear=True, tyre_damping=np.zeros(4))
    undamped = scatter(tyre, surface, 20000)
    A, B = undamped.straight.state()
    whole[:14, :14], whole[:14, 14] = A, B.sum(axis=1)
    spread = solve_continuous_lyapunov(whole, -noise)
    loads = car.tyre_rate * np.sqrt(np.diag(squeeze @ spread @ squeeze.T))
    LYAPUNOV.agrees("scatter of the wheel loads without dampers' friction", loads, undamped.load_rms, "N", rel=5e-3)


@pytest.mark.parametrize("linear", [True, False])
def test_scatter_against_the_run_in_time(linear):
    """On a good road, where stops are not touched; statistical linearisation is an estimate, hence 12 %."""
    car = ride_car(linear=linear)
    step, speed, mean, rows = 1e-3, 20.0, 32e-6, 30000
    runs = []
    for number in range(6):
        tracks = road.tracks(900.0, 0.05, 1.36, mean, np.random.default_rng(number))
        runs.append(straight_road(tracks, speed, step, 2.39, rows))
    run = drive(car, np.stack(runs), step)
    late = slice(3000, None)
    guess = scatter(car, Surface(mean, speed, 1.36, 2.39))
    share = 0.06 if linear else 0.12
    IN_TIME.agrees("scatter of the lifts", run.lift[:, late].std(axis=(0, 1)), guess.lift_rms, "m", rel=share)
    IN_TIME.agrees("scatter of the wheel loads", run.load[:, late].std(axis=(0, 1)), guess.load_rms, "N", rel=share)
    IN_TIME.agrees(
        "scatter of the damper speeds", run.damper_speed[:, late].std(axis=(0, 1)), guess.damper_rms, "m/s", rel=share
    )
    IN_TIME.agrees(
        "scatter of the body's acceleration", run.acceleration[:, late, 0].std(), guess.body_rms, "m/s2", rel=share
    )
