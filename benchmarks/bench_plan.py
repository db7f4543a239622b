"""What a plan, a learning step and a check of the example car cost."""

from __future__ import annotations

from pathlib import Path

import pytest

import cornerwright as cw
from cornerwright.assembly.outputs import outputs
from cornerwright.assembly.rig import Rig
from cornerwright.planning.learn import learn

EXAMPLE = Path(__file__).parents[1] / "examples" / "tarn_fell"


@pytest.fixture(scope="module")
def car():
    return cw.load_car(EXAMPLE / "car.yaml")


@pytest.fixture(scope="module")
def readings():
    return cw.load_readings(EXAMPLE / "readings.yaml")


@pytest.fixture(scope="module")
def targets():
    return cw.load_targets(EXAMPLE / "targets.yaml")


def test_full_plan(benchmark, car, readings, targets):
    """Goal: within 1 s on two cores."""
    result = benchmark.pedantic(cw.plan, (car, readings, targets), rounds=5, warmup_rounds=1)
    assert result.verdict == "reaches all targets"


def test_learning_step(benchmark, car, readings):
    rig = Rig(car)
    belief = benchmark(learn, rig, readings.latest)
    assert belief.verdict == "fitted"


def test_whole_car_stance_of_the_example(benchmark, car):
    """Goal: within 5 ms."""
    variant = Rig(car).vary()
    stance = benchmark(variant.stand)
    assert stance.stands.all()


def test_stance_with_every_reading_and_derivative(benchmark, car):
    variant = Rig(car).vary()
    stance = variant.stand()
    result = benchmark(outputs, variant, stance)
    assert result.count == 1


def test_check(benchmark, car):
    result = benchmark(cw.check, car)
    assert result.stand.verdict == "stands"
