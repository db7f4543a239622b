"""Piecewise linear force laws: exact energy, sums, padding, batches and refusals."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from cornerwright.mechanics.forcelaw import ForceLaw

lengths = st.floats(0.05, 0.6)
slopes = st.one_of(st.just(0.0), st.floats(-1e6, -1.0))


@st.composite
def laws(draw, falling=False):
    """One law with gaps of 1 mm and more between its knots, some of them repeated."""
    count = draw(st.integers(1, 5))
    gaps = draw(hnp.arrays(float, count - 1, elements=st.floats(0.001, 0.1)))
    knots = draw(lengths) + np.concatenate([[0.0], np.cumsum(gaps)])
    force = draw(hnp.arrays(float, count, elements=st.floats(-5e3, 5e3)))
    if falling:
        force = np.sort(force)[::-1]
    twice = draw(hnp.arrays(int, count, elements=st.integers(1, 3)))
    return ForceLaw(np.repeat(knots, twice), np.repeat(force, twice), draw(slopes), draw(slopes))


def by_interpolation(law, x):
    """Force of one law by another road: straight lines between points far outside the knots."""
    knots, first = np.unique(law.knots, return_index=True)
    far = np.array([knots[0] - 10.0, *knots, knots[-1] + 10.0])
    force = law.force[first]
    ends = force[0] - 10.0 * law.slope_below, force[-1] + 10.0 * law.slope_above
    return np.interp(x, far, np.array([ends[0], *force, ends[1]]))


@given(laws(), lengths)
def test_force_is_the_straight_line_between_knots(law, x):
    assert law.at(x)[1] == pytest.approx(by_interpolation(law, x), rel=1e-9, abs=1e-6)


@given(laws(), lengths, lengths)
def test_energy_is_the_work_done(law, a, b):
    # The trapezoid rule is exact between knots.
    inner = law.knots[(law.knots > min(a, b)) & (law.knots < max(a, b))]
    path = np.array([min(a, b), *inner, max(a, b)])
    work = np.trapezoid(by_interpolation(law, path), path)
    stored = law.at(min(a, b))[0] - law.at(max(a, b))[0]
    assert stored == pytest.approx(work, rel=1e-9, abs=1e-7)


@given(laws(), lengths)
def test_derivatives_by_finite_differences(law, x):
    h = 1e-6
    if np.abs(law.knots - x).min() < 2.0 * h:
        return
    energy, force, rate = law.at(np.array([x - h, x, x + h]))
    assert -(energy[2] - energy[0]) / (2.0 * h) == pytest.approx(force[1], rel=1e-6, abs=1e-2)
    assert -(force[2] - force[0]) / (2.0 * h) == pytest.approx(rate[1], rel=1e-6, abs=1e-2)


@given(laws(), laws(), lengths)
def test_sum_of_laws_adds_force_energy_and_rate(one, other, x):
    both = one + other
    a, b, c = one.at(x), other.at(x), both.at(x)
    far = float(both.knots.max())
    assert c[1] == pytest.approx(a[1] + b[1], rel=1e-9, abs=1e-6)
    zero = one.at(far)[0] + other.at(far)[0]
    assert c[0] == pytest.approx(a[0] + b[0] - zero, rel=1e-9, abs=1e-6)
    if np.abs(both.knots - x).min() > 1e-9:
        assert c[2] == pytest.approx(a[2] + b[2], rel=1e-6, abs=1e-2)


@given(laws(falling=True), lengths, lengths)
def test_a_falling_law_never_rises(law, a, b):
    force = law.at(np.sort([a, b]))[1]
    assert force[0] >= force[1] - 1e-9 * (1.0 + abs(force[0]))


@given(laws(falling=True), st.floats(-6e3, 6e3))
def test_length_at_is_the_inverse(law, wanted):
    found = law.length_at(wanted)
    if np.isnan(found):
        # Only a flat end leaves forces out of reach.
        first, last = law.force[0], law.force[-1]
        assert (law.slope_above == 0.0 and wanted < last) or (law.slope_below == 0.0 and wanted > first)
    else:
        assert law.at(found)[1] == pytest.approx(wanted, rel=1e-6, abs=1e-3)


@given(laws(), lengths)
def test_padding_changes_nothing(law, x):
    padded = ForceLaw(
        np.append(law.knots, [law.knots[-1]] * 3),
        np.append(law.force, [law.force[-1]] * 3),
        law.slope_below,
        law.slope_above,
    )
    np.testing.assert_array_equal(padded.at(x), law.at(x))


def test_knots_apart_by_rounding_are_one_knot():
    # Without merging, the slope across the gap would be noise divided by 1e-16.
    x = 0.3
    knots = np.array([0.2, x, np.nextafter(x, 1.0), 0.4])
    law = ForceLaw(knots, np.array([1000.0, 500.0, 500.0 - 1e-10, 0.0]), -5e6, 0.0)
    for at in (x, np.nextafter(x, 1.0)):
        assert law.at(at)[2] == pytest.approx(5000.0, rel=1e-6)


@settings(max_examples=20)
@given(st.lists(laws(), min_size=4, max_size=4), hnp.arrays(float, (3, 4), elements=lengths))
def test_a_stack_of_laws_is_each_law(four, x):
    stacked = ForceLaw.stack(four)
    assert stacked.knots.shape[:-1] == (4,)
    energy, force, rate = stacked.at(x)
    assert energy.shape == force.shape == rate.shape == (3, 4)
    for corner, law in enumerate(four):
        np.testing.assert_array_equal((energy[:, corner], force[:, corner], rate[:, corner]), law.at(x[:, corner]))


@pytest.mark.parametrize(
    ("lead", "x_shape", "result"),
    [
        ((1, 4), (7, 4), (7, 4)),
        ((7, 4), (7, 4), (7, 4)),
        ((7, 4), (1, 4), (7, 4)),
        ((4,), (7, 4), (7, 4)),
        ((), (5,), (5,)),
        ((), (), ()),
    ],
)
def test_batches_broadcast(lead, x_shape, result):
    rng = np.random.default_rng(4)
    knots = np.sort(rng.uniform(0.1, 0.5, (*lead, 3)), axis=-1)
    force = rng.normal(size=(*lead, 3))
    below, above = rng.normal(size=lead), rng.normal(size=lead)
    x = rng.uniform(0.0, 0.6, x_shape)
    batch = ForceLaw(knots, force, below, above)
    assert all(part.shape == result for part in batch.at(x))
    spread = [np.broadcast_to(part, (*result, 3)).reshape(-1, 3) for part in (knots, force)]
    flat = [np.broadcast_to(part, result).ravel() for part in (below, above, x)]
    got = [np.ravel(part) for part in batch.at(x)]
    for i in range(flat[2].size):
        one = ForceLaw(spread[0][i], spread[1][i], flat[0][i], flat[1][i]).at(flat[2][i])
        assert [part[i] for part in got] == pytest.approx([float(part) for part in one])


def test_nothing_is_nothing_and_adds_nothing():
    none = ForceLaw.nothing((2,))
    x = np.array([0.1, 0.4])
    assert not np.any(none.at(x))
    law = ForceLaw([[0.2, 0.3]], [[100.0, 0.0]], [-5e6], [0.0])
    np.testing.assert_allclose((law + none).at(x)[1], law.at(x)[1])


def test_nan_length_is_not_a_force():
    law = ForceLaw([0.2, 0.3], [100.0, 0.0], -5e6, 0.0)
    energy, force, _ = law.at(np.array([np.nan, 0.25]))
    assert np.isnan(energy[0])
    assert np.isnan(force[0])
    assert force[1] == pytest.approx(50.0)


def test_a_loose_length_gives_exactly_no_force():
    law = ForceLaw([0.2, 0.3], [100.0, 0.0], -5e6, 0.0)
    assert law.at(0.35)[0] == law.at(0.35)[1] == law.at(0.35)[2] == 0.0
    assert law.length_at(0.0) == 0.3


@pytest.mark.parametrize(
    ("law", "why"),
    [
        (([0.3, 0.2], [1.0, 0.0], 0.0, 0.0), "ascend"),
        (([0.3, 0.3], [1.0, 0.0], 0.0, 0.0), "step"),
        (([0.3, np.nan], [1.0, 0.0], 0.0, 0.0), "finite"),
        (([0.3, 0.4], [1.0, 0.0], -np.inf, 0.0), "finite"),
        (([], [], 0.0, 0.0), "at least one knot"),
        (([0.3, 0.4], [1.0, 2.0, 3.0], 0.0, 0.0), "broadcast"),
    ],
)
def test_refusals(law, why):
    with pytest.raises(ValueError, match=why):
        ForceLaw(*law)


def test_a_law_that_rises_is_not_inverted():
    with pytest.raises(ValueError, match="never rises"):
        ForceLaw([0.2, 0.3], [0.0, 100.0], 0.0, 0.0).length_at(50.0)
