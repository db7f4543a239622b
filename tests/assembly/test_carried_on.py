"""Tables over lift go on straight past what the linkage reaches."""

import numpy as np
import pytest

from cornerwright.assembly.carried_on import carried_on
from cornerwright.model.errors import Refusal


def test_what_is_not_reached_lies_on_straight_lines():
    nan = np.nan
    table = np.array([[nan, 1.0], [nan, 2.0], [3.0, nan], [5.0, 6.0], [nan, nan]])
    assert carried_on(table).tolist() == [[-1.0, 1.0], [1.0, 2.0], [3.0, 4.0], [5.0, 6.0], [7.0, 8.0]]


@pytest.mark.parametrize("known", [0, 1])
def test_a_linkage_that_meets_at_no_two_lifts_is_refused(known):
    """Weighing parts of such an axle ended in a traceback."""
    table = np.full((5, 1), np.nan)
    table[:known] = 0.3
    with pytest.raises(Refusal, match="cannot be reached"):
        carried_on(table)
