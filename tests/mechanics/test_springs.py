"""Springs in series with coil bind, dampers with stops, rates at the wheel."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from cornerwright.mechanics.forcelaw import ForceLaw
from cornerwright.mechanics.springs import (
    STANDARD_GRAVITY,
    active_coils,
    coil_rate,
    damper_law,
    least_gap,
    pack_state,
    parallel_rate,
    ride_frequency,
    series_rate,
    solid_length,
    spring_pack,
    static_deflection,
    wheel_rate,
)

BIND = 5e6
# Invented: a main spring with a helper that binds at 720 N.
RATES, FREE, BLOCK = [40e3, 12e3], [0.200, 0.080], [0.090, 0.020]


@st.composite
def packs(draw):
    """Rates, free and block lengths of one to four springs."""
    count = draw(st.integers(1, 4))
    each = st.tuples(st.floats(2e3, 2e5), st.floats(0.01, 0.2), st.floats(0.0, 0.2))
    springs = [draw(each) for _ in range(count)]
    rates = np.array([rate for rate, _, _ in springs])
    block = np.array([block for _, _, block in springs])
    return rates, block + [travel for _, travel, _ in springs], block


def length_under(force, rates, free, block):
    """Each spring's length under one force, by its own definition."""
    return np.maximum(free - force / rates, block)


@given(packs(), st.floats(0.0, 1.0), st.floats(0.0, 0.03))
def test_every_distance_is_the_sum_of_the_springs(pack, share, spacers):
    rates, free, block = pack
    full, loose = block.sum() + spacers, free.sum() + spacers
    distance = full + share * (loose - full)
    force = spring_pack(rates, free, block, spacers).at(distance)[1]
    rebuilt = length_under(force, rates, free, block).sum() + spacers
    assert rebuilt == pytest.approx(distance, abs=1e-9)


@given(packs(), st.floats(0.01, 0.99))
def test_force_by_an_independent_solver(pack, share):
    rates, free, block = pack
    distance = block.sum() + share * (free - block).sum()
    most = (rates * (free - block)).max()
    root = brentq(
        lambda force: length_under(force, rates, free, block).sum() - distance,
        0.0,
        most,
        xtol=1e-9 * most,
        rtol=1e-13,
    )
    assert spring_pack(rates, free, block).at(distance)[1] == pytest.approx(root, rel=1e-6, abs=1e-6 * most)


@given(packs(), st.randoms(use_true_random=False), st.floats(0.0, 1.2))
def test_order_in_the_stack_and_missing_places_do_not_matter(pack, random, share):
    places = list(range(len(pack[0])))
    random.shuffle(places)
    gap = random.randrange(len(places) + 1)
    shuffled = [np.insert(part[places], gap, np.nan) for part in pack]
    distance = pack[2].sum() + share * (pack[1] - pack[2]).sum()
    # Energy and force; the rate may differ at a knot, by rounding.
    np.testing.assert_allclose(
        spring_pack(*shuffled).at(distance)[:2],
        spring_pack(*pack).at(distance)[:2],
        rtol=1e-7,
        atol=1e-5,
    )


@given(packs())
def test_force_only_grows_as_the_pack_is_squeezed(pack):
    law = spring_pack(*pack)
    x = np.linspace(pack[2].sum() - 0.01, pack[1].sum() + 0.01, 301)
    assert (np.diff(law.at(x)[1]) <= 1e-6).all()
    assert (law.at(x)[2] >= 0.0).all()


@given(st.floats(5e3, 2e5), st.integers(1, 5), st.floats(0.02, 0.98))
def test_identical_springs_in_series_share_the_rate(rate, count, share):
    free, block = np.full(count, 0.15), np.full(count, 0.07)
    law = spring_pack(np.full(count, rate), free, block)
    _, force, pack_rate = law.at(count * (0.07 + share * 0.08))
    assert pack_rate == pytest.approx(rate / count, rel=1e-6)
    assert force == pytest.approx(rate * (1.0 - share) * 0.08, rel=1e-6)


def test_helper_binds_and_leaves_the_main_alone():
    law = spring_pack(RATES, FREE, BLOCK, spacers=0.005)
    # Loose, both working, helper bound (720 N at 18 + 60 mm of squeeze), all bound.
    distance = 0.285 - np.array([-0.010, 0.039, 0.078, 0.098, 0.170, 0.171])
    _, force, rate = law.at(distance)
    assert force == pytest.approx([0.0, 360.0, 720.0, 1520.0, 4400.0, 4400.0 + 1e-3 * BIND])
    series = 40e3 * 12e3 / 52e3
    assert rate[[0, 1, 3, 5]] == pytest.approx([0.0, series, 40e3, BIND])


def test_state_of_a_pack():
    distance = 0.285 - np.array([-0.010, 0.039, 0.098, 0.171])
    state = pack_state(RATES, FREE, BLOCK, distance, spacers=0.005)
    assert state.force == pytest.approx([0.0, 360.0, 1520.0, 4400.0 + 1e-3 * BIND])
    np.testing.assert_array_equal(state.bound, [[False, False], [False, False], [False, True], [True, True]])
    assert state.lengths == pytest.approx(np.array([[0.2, 0.08], [0.191, 0.05], [0.162, 0.02], [0.09, 0.02]]))
    assert state.loose == pytest.approx([0.010, 0.0, 0.0, 0.0])
    assert state.to_bind == pytest.approx([0.180, 0.131, 0.072, -0.001])


@given(packs(), st.floats(0.0, 1.0))
def test_lengths_of_a_held_pack_add_up(pack, share):
    distance = pack[2].sum() + share * (pack[1] - pack[2]).sum()
    state = pack_state(*pack, distance)
    assert state.lengths.sum() == pytest.approx(distance, abs=1e-9)
    assert ((state.lengths == pack[2]) >= state.bound).all()


def test_a_spring_exactly_at_its_block_length_is_bound():
    state = pack_state([30e3], [0.3], [0.1], 0.1)
    assert state.bound.all()
    assert state.to_bind == 0.0


def test_a_missing_spring_has_no_length_and_is_not_bound():
    state = pack_state([40e3, np.nan], [0.2, np.nan], [0.09, np.nan], 0.05)
    np.testing.assert_array_equal(state.bound, [True, False])
    np.testing.assert_array_equal(state.lengths, [0.09, np.nan])


def test_ten_thousand_cars_in_one_call():
    rng = np.random.default_rng(8)
    rates = np.array(RATES) * (1.0 + 0.05 * rng.standard_normal((10_000, 4, 2)))
    law = spring_pack(rates, FREE, BLOCK)
    distance = rng.uniform(0.1, 0.3, (10_000, 4))
    force = law.at(distance)[1]
    assert force.shape == (10_000, 4)
    for car in (0, 77, 9_999):
        alone = [spring_pack(rates[car, c], FREE, BLOCK).at(distance[car, c])[1] for c in range(4)]
        assert force[car] == pytest.approx(alone)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"rates": [40e3, 0.0]}, "rate of a spring"),
        ({"rates": [40e3, np.inf]}, "rate of a spring"),
        ({"rates": [40e3, np.nan]}, "missing spring"),
        ({"free": [0.2, 0.02]}, "block length"),
        ({"block": [0.09, -0.01]}, "block length"),
        ({"spacers": -0.001}, "spacers"),
        ({"bind_rate": 0.0}, "bound spring pack"),
        ({"rates": [np.nan], "free": [np.nan], "block": [np.nan]}, "at least one spring"),
    ],
)
def test_pack_refusals(change, why):
    pack = {"rates": RATES, "free": FREE, "block": BLOCK} | change
    with pytest.raises(ValueError, match=why):
        spring_pack(**pack)


# Dampers: open 500, closed 320, 120 N of gas, a 60 mm stop that touches at 380 mm (invented).
STOP = {"stop_squeeze": [0.0, 0.02, 0.04], "stop_force": [0.0, 400.0, 1600.0]}


@pytest.mark.parametrize(
    ("length", "force", "rate"),
    [
        (0.450, 120.0, 0.0),
        (0.370, 120.0 + 200.0, 20e3),
        (0.350, 120.0 + 1000.0, 60e3),
        (0.330, 120.0 + 2200.0, 60e3),  # beyond the last row its slope goes on
        (0.319, 120.0 + 2860.0 + 5e3, 60e3 + BIND),  # metal to metal
        (0.502, 120.0 - 10e3, BIND),  # topped out
    ],
)
def test_damper_along_its_stroke(length, force, rate):
    law = damper_law(0.500, 0.320, 120.0, 0.060, **STOP)
    assert law.at(length)[1:] == pytest.approx((force, rate))


def test_damper_without_a_stop_has_gas_and_ends_only():
    law = damper_law(0.500, 0.320, 120.0)
    assert law.at(np.array([0.33, 0.41, 0.49]))[1] == pytest.approx(120.0)
    assert law.at(np.array([0.31, 0.51]))[2] == pytest.approx(BIND)


def test_stop_curves_of_different_length_in_one_batch():
    padded = damper_law(
        [0.5, 0.5],
        [0.32, 0.32],
        [120.0, 80.0],
        [0.06, 0.04],
        [[0.0, 0.02, 0.04], [0.0, 0.01, np.nan]],
        [[0.0, 400.0, 1600.0], [0.0, 300.0, np.nan]],
    )
    one = damper_law(0.5, 0.32, 120.0, 0.06, **STOP)
    other = damper_law(0.5, 0.32, 80.0, 0.04, [0.0, 0.01], [0.0, 300.0])
    x = np.linspace(0.31, 0.51, 41)
    for corner, law in enumerate((one, other)):
        got = padded.at(np.stack([x, x], axis=-1))[1][:, corner]
        assert got == pytest.approx(law.at(x)[1], rel=1e-9, abs=1e-6)


@given(st.floats(0.0, 500.0), st.floats(0.0, 0.1), st.floats(1e4, 1e7))
def test_damper_never_pushes_less_when_shorter(gas, height, end):
    law = damper_law(0.5, 0.32, gas, height, **STOP, end_rate=end)
    force = law.at(np.linspace(0.3, 0.52, 401))[1]
    assert (np.diff(force) <= 1e-6).all()


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"closed": 0.5}, "open length"),
        ({"gas_force": -1.0}, "gas force"),
        ({"stop_length": -0.01}, "stop length"),
        ({"end_rate": 0.0}, "ends"),
        ({"stop_squeeze": [0.01, 0.02, 0.04]}, "start at"),
        ({"stop_squeeze": [0.0, 0.04, 0.02]}, "ascend"),
        ({"stop_force": [0.0, 400.0, 300.0]}, "descend"),
        ({"stop_force": [0.0, np.nan, 300.0]}, "a force for each"),
        (
            {"stop_squeeze": [0.0, np.nan, 0.04], "stop_force": [0.0, np.nan, 300.0]},
            "gaps between",
        ),
    ],
)
def test_damper_refusals(change, why):
    damper = {"open": 0.5, "closed": 0.32, "gas_force": 120.0, "stop_length": 0.06} | STOP | change
    with pytest.raises(ValueError, match=why):
        damper_law(**damper)


# At the wheel -------------------------------------------------------------------------------------


@given(st.floats(-0.05, 0.05), st.floats(-1.2, -0.4), st.floats(-3.0, 3.0))
def test_wheel_rate_is_the_second_derivative_of_the_energy(lift, ratio, curve):
    law: ForceLaw = spring_pack([30e3], [0.400], [0.050])

    def length(at):
        return 0.250 + ratio * at + 0.5 * curve * at**2

    h = 1e-4
    energy = law.at(length(np.array([lift - h, lift, lift + h])))[0]
    by_energy = (energy[0] - 2.0 * energy[1] + energy[2]) / h**2
    _, force, rate = law.at(length(lift))
    by_formula = wheel_rate(rate, ratio + curve * lift, force, curve)
    assert by_formula == pytest.approx(by_energy, rel=1e-3, abs=2.0)


def test_series_and_parallel():
    assert series_rate([20e3, 40e3]) == pytest.approx(40e3 / 3.0)
    assert parallel_rate([20e3, 40e3]) == pytest.approx(60e3)
    assert parallel_rate([[20e3, 40e3], [1, 2]]) == pytest.approx([60e3, 3])  # two wheels, each with its own
    assert series_rate(np.full((5, 3), 30e3)) == pytest.approx(np.full(5, 10e3))


@given(st.floats(5e3, 1e5), st.floats(100.0, 600.0))
def test_static_deflection_is_weight_over_rate(rate, mass):
    assert static_deflection(ride_frequency(rate, mass)) == pytest.approx(mass * STANDARD_GRAVITY / rate)


def test_coil_formulae_take_arrays():
    rates = coil_rate(79.5e9, np.array([0.011, 0.012]), 0.070, np.array([[6.0], [7.0]]))
    assert rates.shape == (2, 2)
    assert rates[0, 0] * 6.0 == pytest.approx(rates[1, 0] * 7.0)
    assert active_coils([8.0, 9.0], "hot") == pytest.approx([6.5, 7.5])
    assert least_gap(0.012, 0.120, 6.0, "hot") == pytest.approx(6.0 * 0.02 * 0.132)


def test_a_spring_is_taken_to_be_coiled_cold_with_ground_ends():
    """What nobody says of a road spring: n_t turns of wire, and no coil more."""
    assert float(solid_length(8.0, 0.012)) == pytest.approx(0.096)
    assert float(solid_length(8.0, 0.012)) == float(solid_length(8.0, 0.012, "cold", "ground"))


def test_a_pack_looks_into_itself_with_the_rate_it_is_given_when_bound():
    soft = pack_state([20e3], [0.2], [0.1], 0.099, bind_rate=1e5)
    hard = pack_state([20e3], [0.2], [0.1], 0.099, bind_rate=1e7)
    assert float(soft.force) == pytest.approx(2000.0 + 1e5 * 1e-3)
    assert float(hard.force) == pytest.approx(2000.0 + 1e7 * 1e-3)


def test_a_wheel_rate_without_a_force_hangs_on_rate_and_ratio_alone():
    """Near a spring that carries nothing, and of a linkage that is straight."""
    assert float(wheel_rate(40e3, 0.5)) == pytest.approx(10e3)
    assert float(wheel_rate(40e3, 0.5, d2=3.0)) == pytest.approx(10e3)  # a curve moves no force
    assert float(wheel_rate(40e3, 0.5, 2000.0)) == pytest.approx(10e3)  # a force on a straight line neither
