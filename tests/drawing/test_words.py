"""Answers in words: figures that a workshop reads, and names as they were given."""

from __future__ import annotations

import pytest

from cornerwright.drawing.doubt_words import measure_first
from cornerwright.drawing.why_words import number_words
from cornerwright.model.results_doubt import ToMeasure


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (9999.4, "9999"),
        (9999.6, "10000"),
        (-9999.6, "\N{MINUS SIGN}10000"),
        (12345.6, "12346"),
        (0.01234, "0.01234"),
        (-4.8e-10, "0"),
    ],
)
def test_a_number_is_told_without_a_power_of_ten(value, words):
    assert number_words(value) == words


def test_capitals_within_a_name_are_kept():
    names = ("toe", "rate of the bar K2")
    measure = [ToMeasure(what=name, share_percent=30, scatter_percent=5, most_on="height", how=None) for name in names]
    assert " Rate of the bar K2 may be as much" in measure_first(measure)
