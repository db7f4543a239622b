"""Counts, histograms and load variation of a run."""

import numpy as np
import pytest

from cornerwright.mechanics.ride_measures import events, load_variation, stroke_shares


def test_events_count_beginnings():
    state = np.array([[1, 1, 0, 0, 1, 0, 1, 1], [0, 0, 0, 0, 0, 0, 0, 0], [0, 1, 1, 1, 1, 1, 1, 1]], dtype=bool)
    assert events(state).tolist() == [3, 0, 1]


def test_short_pauses_are_one_event():
    state = np.array([1, 0, 1, 0, 0, 0, 0, 1], dtype=bool)
    assert events(state, apart=2) == 2
    assert events(state, apart=1) == 3
    assert events(state, apart=5) == 1


def test_stroke_shares_sum_to_one_and_put_the_ends_in_the_ends():
    shares = stroke_shares([0.29, 0.301, 0.352, 0.399, 0.41, np.nan], 0.3, 0.4, bins=10)
    assert shares.sum() == pytest.approx(1.0)
    assert shares[0] == pytest.approx(0.4)
    assert shares[5] == pytest.approx(0.2)
    assert shares[-1] == pytest.approx(0.4)


def test_load_variation_of_a_sine():
    load = 3000 + 600 * np.sin(np.linspace(0, 20 * np.pi, 20001))
    assert load_variation(load[:, None]) == pytest.approx(0.2 / np.sqrt(2), rel=1e-3)
    # A wheel that never touches the ground has none.
    both = load_variation(np.stack([load, np.zeros_like(load)], axis=1))
    assert both[0] == pytest.approx(0.2 / np.sqrt(2), rel=1e-3)
    assert np.isnan(both[1])
