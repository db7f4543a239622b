"""What a minute on the road costs: a car of seven degrees of freedom, 1 kHz, one core; ratios in one run.

Run with `pytest benchmarks/bench_road.py`; `python benchmarks/bench_road.py` prints the ratios, in CPU time, so that
other work on the machine does not enter. The car is invented.
"""

import sys
import time
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

sys.path[:0] = [str(Path(__file__).parents[1] / "tests"), str(Path(__file__).parents[1] / "tests" / "outside")]

from test_ride_scipy import equations  # noqa: E402

from cornerwright.mechanics import ride, ride_compiled, ride_steps, road  # noqa: E402
from cornerwright.mechanics.ride_rest import rest  # noqa: E402
from ridecars import ride_car, straight_road  # noqa: E402

STEP, SPEED, SECONDS = 1e-3, 20.0, 60.0


def minute(seconds=SECONDS):
    rows = round(seconds / STEP)
    tracks = road.tracks(1300.0, 0.05, 1.36, 64e-6, np.random.default_rng(1), shortest=0.8)
    return straight_road(tracks, SPEED, STEP, 2.39, rows)[None]


def given(car, heights):
    return car, heights, np.gradient(heights, STEP, axis=1), STEP, rest(car).q[None], np.zeros((1, 7))


def by_scipy(car, heights):
    time_of = np.arange(heights.shape[1]) * STEP
    begin = np.concatenate([rest(car).q, np.zeros(7)])
    rate = equations(car, time_of, heights[0])
    return solve_ivp(rate, (0.0, time_of[-1]), begin, t_eval=time_of, rtol=1e-4, atol=1e-6, max_step=0.01)


def test_a_minute_and_all_that_is_told_of_it(benchmark):
    car, heights = ride_car(), minute()
    ride.drive(car, heights[:, :10], STEP)
    assert benchmark(ride.drive, car, heights, STEP).verdict.tolist() == ["done"]


def test_a_minute_of_compiled_steps(benchmark):
    inputs = given(ride_car(), minute())
    ride_compiled.march(*inputs)
    benchmark(ride_compiled.march, *inputs)


@pytest.mark.parametrize("seconds", [2.0])
def test_two_seconds_of_plain_steps(benchmark, seconds):
    benchmark(ride_steps.march, *given(ride_car(), minute(seconds)))


@pytest.mark.parametrize("seconds", [2.0])
def test_two_seconds_by_scipy(benchmark, seconds):
    assert benchmark.pedantic(by_scipy, (ride_car(), minute(seconds)), rounds=1).success


def cpu(work, *given, rounds=1):
    took = []
    for _ in range(rounds):
        began = time.process_time()
        work(*given)
        took.append(time.process_time() - began)
    return min(took)


if __name__ == "__main__":
    car, heights, short = ride_car(), minute(), minute(4.0)
    ride.drive(car, short, STEP)
    whole = cpu(ride.drive, car, heights, STEP, rounds=5)
    steps = cpu(ride_compiled.march, *given(car, heights), rounds=5)
    plain = cpu(ride_steps.march, *given(car, short)) * SECONDS / 4.0
    scipy = cpu(by_scipy, car, short) * SECONDS / 4.0
    print(f"60 s at 1 kHz, all told       {whole:8.3f} s CPU")
    print(f"  of which the steps          {steps:8.3f} s CPU")
    print(f"plain steps, by 4 s of them   {plain:8.3f} s CPU: {plain / steps:.0f} times the compiled ones")
    print(f"solve_ivp, by 4 s of it       {scipy:8.3f} s CPU: {scipy / steps:.0f} times the compiled steps")
