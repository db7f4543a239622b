"""Which thread tears out, and how much of it holds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.mechanics.strength import BODIES, BOLTS
from cornerwright.mechanics.stripping import (
    equal_engagement,
    needed_engagement,
    shear_areas,
    stripping,
)
from cornerwright.mechanics.threads import limits, stress_area
from cornerwright.model.thread import INCH, LARGEST, METRIC, Thread

EVERY = [f"M{size}x{pitch:g}" for size, made in METRIC.items() for pitch in made] + [
    f"{size}-{count}" for size, (_, coarse, fine) in INCH.items() for count in (coarse, fine) if count
]

STRENGTH = st.floats(150e6, 1300e6)


def of(text):
    thread = Thread.read(text)
    return thread, limits(thread.diameter, thread.pitch, thread.form)


@pytest.mark.parametrize("text", EVERY)
def test_every_thread_that_is_made_has_limits_in_order(text):
    thread, found = of(text)
    assert found.major_min < found.major_max <= thread.diameter
    assert found.pitch_min < found.pitch_max <= found.hole_pitch_min < found.hole_pitch_max
    assert found.hole_minor_min < found.hole_minor_max < found.major_min
    assert min(shear_areas(found, thread.pitch)) > 0


@given(st.sampled_from(["M6", "M10x1.25", "M12x1.5", "1/2-20 UNF"]), STRENGTH, STRENGTH, st.floats(0.002, 0.04))
def test_the_load_grows_with_thread_and_is_that_of_the_weaker(text, outer, inner, length):
    thread, found = of(text)
    one = stripping(found, thread.pitch, length, outer, inner)
    assert one.load == min(one.outer_load, one.inner_load)
    assert stripping(found, thread.pitch, 2 * length, outer, inner).load == pytest.approx(2 * one.load)
    assert stripping(found, thread.pitch, length, outer, inner * 1.1).load >= one.load
    assert stripping(found, thread.pitch, 0.0, outer, inner).load == 0.0


@given(st.sampled_from(["M6", "M10x1.25", "M12x1.5", "1/2-20 UNF"]), STRENGTH, STRENGTH, st.floats(1.01, 2.0))
def test_a_weaker_hole_asks_for_no_less_thread(text, outer, inner, weaker):
    thread, found = of(text)
    area = float(stress_area(thread.diameter, thread.pitch, thread.form))
    for needed in (equal_engagement, needed_engagement):
        strong = needed(area, found, thread.pitch, outer, inner)
        weak = needed(area, found, thread.pitch, outer, inner / weaker)
        assert weak >= strong * (1 - 0.06 * (needed is needed_engagement))


def test_a_nut_that_swells_needs_more_thread():
    thread, found = of("M12x1.5")
    wide, slim = (
        needed_engagement(88e-6, found, thread.pitch, 1040e6, 1000e6, wall) for wall in (None, 1.5 * thread.diameter)
    )
    assert slim == pytest.approx(wide / 0.84, rel=0.01)


def test_the_names_in_files_are_those_that_are_known():
    """Documents and mechanics may not import each other: the same names stand in both."""
    from typing import get_args

    from cornerwright.mechanics.bolting import ALPHA
    from cornerwright.model.fastening import BodyName, Method

    assert set(get_args(BodyName)) == set(BODIES)
    assert set(get_args(Method)) == set(ALPHA)
    assert {name: rows[-1][0] for name, rows in BOLTS.items()} == LARGEST
