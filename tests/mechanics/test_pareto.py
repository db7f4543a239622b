"""The set that nothing beats: against all pairs, on random and on awkward costs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from cornerwright.mechanics.pareto import non_dominated


def by_all_pairs(costs):
    n = len(costs)
    return np.array(
        [
            not any((costs[j] <= costs[i]).all() and (costs[j] < costs[i]).any() for j in range(n) if j != i)
            for i in range(n)
        ],
        dtype=bool,
    )


tables = st.tuples(st.integers(1, 40), st.integers(1, 6)).flatmap(
    lambda shape: arrays.arrays(float, shape, elements=st.sampled_from([0.0, 0.5, 1.0, 2.0, 7.0, 1e6]))
)


@given(tables)
def test_as_all_pairs_have_it(costs):
    assert non_dominated(costs).tolist() == by_all_pairs(costs).tolist()


@given(tables, st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(costs, random):
    order = list(range(len(costs)))
    random.shuffle(order)
    assert non_dominated(costs[order]).tolist() == non_dominated(costs)[order].tolist()


@given(tables)
def test_every_row_left_out_is_beaten_by_one_that_stays(costs):
    keep = non_dominated(costs)
    assert keep.any()
    for row in costs[~keep]:
        better = (costs[keep] <= row).all(axis=1) & (costs[keep] < row).any(axis=1)
        assert better.any()


def test_many_rows_of_real_numbers():
    rng = np.random.default_rng(4)
    costs = rng.normal(size=(600, 3))
    assert (non_dominated(costs) == by_all_pairs(costs)).all()
    assert non_dominated(np.repeat(costs[:5], 3, axis=0)).reshape(5, 3).all(axis=1).sum() in range(1, 6)


def test_edges():
    assert non_dominated(np.zeros((0, 3))).size == 0
    assert non_dominated(np.zeros((4, 2))).all()
    assert non_dominated(np.zeros((3, 0))).all()
    with pytest.raises(ValueError, match="not known"):
        non_dominated(np.array([[1.0, np.nan]]))
