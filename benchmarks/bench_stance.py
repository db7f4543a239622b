"""What a stance costs: one car, one car nearby, a thousand cars, and the derivatives.

Run with `pytest benchmarks/bench_stance.py`. The car is invented.
"""

import numpy as np
import pytest

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.jets import Kinematics, diagonal_jet
from cornerwright.mechanics.stance import Partials, StanceInputs, sensitivity, stand

SIDE = np.array([1.0, -1.0, 1.0, -1.0])


def linkages(lifts):
    one = np.ones_like(lifts)

    def jet(start, slope=0.0, bend=0.0):
        return diagonal_jet(start + slope * lifts + bend * lifts**2 / 2, slope + bend * lifts, bend * one)

    flat = jet(0.0)
    return Kinematics(
        spring=jet(0.25, -0.7, 0.4),
        damper=jet(0.40, -0.7, 0.3),
        x=jet(np.array([0.0, 0.0, -2.5, -2.5]), 0.04, 0.2),
        y=jet(0.75 * SIDE, 0.05 * SIDE, -SIDE),
        camber=flat,
        toe=flat,
        caster=flat,
    )


def cars(n):
    rng = np.random.default_rng(1)
    ends = np.full((1, 4), -5e6)
    return StanceInputs(
        kinematics=linkages,
        spring_law=ForceLaw(np.tile([0.16, 0.30], (1, 4, 1)), np.tile([8400.0, 0.0], (1, 4, 1)), ends, 0 * ends),
        damper_law=ForceLaw(
            np.tile([0.33, 0.35, 0.47], (1, 4, 1)),
            np.tile([2150.0, 150.0, 150.0], (1, 4, 1)),
            ends,
            ends,
        ),
        seat_offset=rng.uniform(-0.02, 0.02, (n, 4)),
        body_offset=np.zeros((1, 4)),
        bar_rate=np.array([[12e3, 6e3]]),
        bar_offset=np.zeros((1, 2)),
        bush_rate=np.full((1, 4), 2e3),
        bush_lift=np.zeros((1, 4)),
        body_mass=rng.uniform(900.0, 1100.0, n),
        body_cg=np.array([[-1.2, 0.02, 0.5]]),
        unsprung_mass=np.full((1, 4), 38.0),
        centre_height=np.full((1, 4), 0.30),
        tyre_radius=np.full((1, 4), 0.315),
        tyre_rate=np.full((1, 4), 200e3),
    )


@pytest.mark.parametrize("n", [1, 1000])
def test_stand(benchmark, n):
    inputs = cars(n)
    stance = benchmark(stand, inputs)
    assert stance.stands.all()


def test_stand_from_a_stance_nearby(benchmark):
    inputs = cars(1)
    start = stand(inputs).q + 1e-4
    assert benchmark(stand, inputs, start).stands.all()


def test_sensitivity(benchmark):
    inputs = cars(1)
    stance = stand(inputs)
    partials = Partials(seat_offset=np.eye(4)[None], body_offset=np.eye(4)[None])
    assert benchmark(sensitivity, inputs, stance, partials).shape == (1, 7, 4)
