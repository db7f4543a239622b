"""How far the wheels steer with nothing touched."""

import pytest

from cornerwright.assembly.lock import SteeringLock


@pytest.mark.parametrize(
    ("rubs_left", "rubs_right", "free"),
    [(None, None, (0.6, 0.5)), (0.4, None, (0.4, 0.5)), (0.0, 0.3, (0.0, 0.3)), (0.4, 0.0, (0.4, 0.0))],
)
def test_a_tyre_that_touches_straight_ahead_leaves_no_free_lock(rubs_left, rubs_right, free):
    """Zero is where it touches, not "touches nowhere"."""
    assert SteeringLock(0.6, 0.5, rubs_left, rubs_right, known=True, by="rack").free == free
