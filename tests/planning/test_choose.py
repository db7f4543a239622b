"""The choice of steps where there is nothing to choose."""

import numpy as np

from cornerwright.planning.choose import Wanted, choose_steps


def test_nothing_to_turn_is_an_answer():
    empty = np.zeros((2, 0))
    wanted = Wanted(
        np.zeros(2), empty, -np.ones(2), np.ones(2), np.ones(2), np.ones(2), np.ones(2),
        np.zeros(0), np.zeros((0, 0)), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0),
    )  # fmt: skip
    assert choose_steps(wanted).steps.shape == (0,)
