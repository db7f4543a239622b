"""Anti-dive and its likes against the balance of a wheel on its swing arm."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cornerwright.mechanics.anti import carried_past_springs, front_brake_share


@pytest.mark.parametrize("share", [0.3, 0.6, 1.0])
@pytest.mark.parametrize(("behind", "above"), [(1.2, 0.2), (2.5, 0.05), (0.8, -0.1)])
def test_it_is_what_the_spring_does_not_feel(share, behind, above):
    """A front wheel braked on an arm whose instant centre lies behind and above its contact.

    Moments about the instant centre: the ground's load and the brake force against the spring alone.
    """
    mass, slowing, wheelbase, height = 900.0, 5.0, 2.4, 0.5
    transfer = mass * slowing * height / wheelbase
    brake = share * mass * slowing
    load_change = transfer  # what the tyre gains over rest
    spring_change = (load_change * behind - brake * above) / behind
    path = math.atan2(above, behind)  # the contact goes forward as it rises
    carried = carried_past_springs(path, share, wheelbase, height)
    assert carried == pytest.approx(1 - spring_change / transfer)


def test_shapes_and_signs():
    paths = np.radians([-5.0, 0.0, 5.0])
    carried = carried_past_springs(paths, 0.6, 2.4, 0.5)
    assert carried.shape == (3,)
    assert carried[0] < 0 == carried[1] < carried[2]


def test_brakes_shared_by_load_use_the_same_grip():
    """Force over load is the deceleration at both axles."""
    front, wheelbase, height, slowing = 0.47, 2.4, 0.5, 0.6
    share = front_brake_share(front, slowing, wheelbase, height)
    load = front + slowing * height / wheelbase
    assert slowing * share / load == pytest.approx(slowing)
    assert slowing * (1 - share) / (1 - load) == pytest.approx(slowing)
    assert front_brake_share(0.9, 1.0, 2.0, 0.6) == 1.0
