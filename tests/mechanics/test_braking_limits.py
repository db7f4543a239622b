"""Braking: the limit on used adhesion outside its range, and the ideal share."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cornerwright.mechanics.brake_system import circuits_failed
from cornerwright.mechanics.braking import Loading, most_adhesion


def test_the_limit_says_nothing_outside_k_from_0_2_to_0_8():
    """Both ends: below 0.2 and above 0.8 the regulation has no line, and a number there would be made up."""
    z = np.array([0.05, 0.0999, 0.1, 0.3, 0.52, 0.5201, 0.9])
    assert np.isfinite(most_adhesion(z)).tolist() == [False, False, True, True, True, False, False]
    assert float(most_adhesion(0.3)) == pytest.approx(0.2 + 0.2 / 0.7)


def test_the_ideal_share_is_that_of_the_loads_at_that_deceleration():
    car = Loading(weight=11_000.0, front=0.55, cg_height=0.5, wheelbase=2.5)
    for z in (0.0, 0.4, 0.9):
        loads = car.axle_loads(z)
        assert float(car.ideal_share(z)) == pytest.approx(loads[0] / loads.sum())
        assert car.ideal(np.array(z)) == pytest.approx(z * loads)


def test_one_axle_alone_brakes_with_what_it_carries_then():
    car = Loading(weight=11_000.0, front=0.55, cg_height=0.5, wheelbase=2.5)
    for axle in (0, 1):
        z = car.alone(axle, 0.8)
        assert z * car.weight == pytest.approx(0.8 * car.axle_loads(z)[axle])
    assert car.alone(0, 6.0) == math.inf


def test_each_circuit_of_a_diagonal_split_holds_one_wheel_of_each_axle():
    """Wheels that differ, so that no wheel can stand in for another."""

    class Four:
        def wheel_forces(self, foot: float) -> np.ndarray:
            return foot * np.array([7.0, 5.0, 3.0, 1.0])

    assert circuits_failed(Four(), 10.0, True) == pytest.approx([80.0, 80.0])  # 5 + 3, 7 + 1
    assert circuits_failed(Four(), 10.0, False) == pytest.approx([40.0, 120.0])
