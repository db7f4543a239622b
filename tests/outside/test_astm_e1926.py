"""Published: ASTM E1926 (and Sayers, Transportation Research Record 1501, 1995): the reference car of the IRI.

The standard was not opened. Its car goes back to Sayers, Gillespie and Queiroz (World Bank Technical Paper 45, 1986),
whose coefficients for a step of 50, 100, 200 and 250 mm were read where public programs print them: those for 250 mm in
four that agree (a fifth has one digit wrong), those for 100 mm in two, the others in one. They were computed in single
precision. The car's constants were read in the program of Sroubek, Sorel and Zak (2021). One road is integrated a
second time by SciPy.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from cornerwright.mechanics import road
from evidence import Outside

E1926 = Outside("road and ride", "ASTM E1926, the reference car of the IRI", "standard", memory=True)
SAYERS = Outside("road and ride", "Sayers, Transportation Research Record 1501 (1995)", "textbook", memory=True)
WORLD_BANK = Outside(
    "road and ride",
    "Sayers, Gillespie and Queiroz (1986), World Bank Technical Paper 45, coefficients as public programs print them",
    "textbook",
)
SROUBEK = Outside(
    "road and ride",
    "Sroubek, Sorel and Zak, Int. J. Pavement Res. Technol. (2021), constants in their program",
    "textbook",
)
SCIPY = Outside("road and ride", "SciPy solve_ivp on the reference car's equations", "reference library")
SECOND = Outside("road and ride", "worked here from the definition of the IRI", "second road")

# Step [m]: transition of the state from row to row, (4, 4), and what the profile's slope adds, (4,).
COEFFICIENTS = {
    0.05: (
        [
            [0.9998452, 2.235208e-3, 1.062545e-4, 1.476399e-5],
            [-0.1352583, 0.9870245, 7.098568e-2, 1.292695e-2],
            [1.030173e-3, 9.842664e-5, 0.9882941, 2.143501e-3],
            [0.8983268, 8.617964e-2, -10.2297, 0.9031446],
        ],
        [4.858894e-5, 6.427258e-2, 1.067582e-2, 9.331372],
    ),
    0.1: (
        [
            [0.9994014, 4.442351e-3, 2.188854e-4, 5.72179e-5],
            [-0.2570548, 0.975036, 7.966216e-3, 2.458427e-2],
            [3.960378e-3, 3.814527e-4, 0.9548048, 4.055587e-3],
            [1.687312, 0.1638951, -19.34264, 0.7948701],
        ],
        [3.793992e-4, 0.2490886, 4.123478e-2, 17.65532],
    ),
    0.2: (
        [
            [0.9977588, 8.780606e-3, -6.436089e-4, 2.127641e-4],
            [-0.4660258, 0.9535856, -0.4602074, 4.352945e-2],
            [1.448438e-2, 1.418428e-3, 0.8332105, 7.105564e-3],
            [2.908761, 0.2901964, -33.84164, 0.5574984],
        ],
        [2.885245e-3, 0.9262331, 0.1523053, 30.93289],
    ),
    0.25: (
        [
            [0.9966071, 1.091514e-2, -2.083274e-3, 3.190145e-4],
            [-0.5563044, 0.9438768, -0.8324718, 5.064701e-2],
            [2.153176e-2, 2.126763e-3, 0.7508714, 8.221888e-3],
            [3.335013, 0.3376467, -39.12762, 0.4347564],
        ],
        [5.476107e-3, 1.388776, 0.2275968, 35.79262],
    ),
}


def test_constants_of_the_reference_car():
    ours = [road.GOLDEN_TYRE, road.GOLDEN_SPRING, road.GOLDEN_DAMPER, road.GOLDEN_UNSPRUNG, 3.6 * road.GOLDEN_SPEED]
    SROUBEK.agrees("constants of the reference car and its speed", [653.0, 63.3, 6.0, 0.15, 80.0], ours)


@pytest.mark.parametrize("step", COEFFICIENTS)
def test_coefficients_from_row_to_row(step):
    """Published with seven digits; what the slope adds is a difference of nearly equal numbers, hence 4e-7."""
    stay, push = COEFFICIENTS[step]
    ours = expm(road.golden_matrix() * step / road.GOLDEN_SPEED)
    added = np.linalg.solve(road.golden_matrix(), (ours - np.eye(4)) @ road.GOLDEN_INPUT)
    WORLD_BANK.agrees("coefficients of the reference car from row to row", stay, ours, rel=2e-6)
    WORLD_BANK.agrees("coefficients of the profile's slope", push, added, rel=5e-6, abs=4e-7)


@pytest.mark.parametrize("made", ["class C", "one triangle"])
def test_index_by_the_published_recursion(made):
    """Slopes in place of heights, a row every 250 mm, started with the mean slope of 11 m; no program of ours in it."""
    step = 0.25
    profile = road.tracks(200.0, step, 1.4, 256e-6, np.random.default_rng(6), shortest=1.9)[0]
    if made == "one triangle":
        profile = np.interp(step * np.arange(200), [0.0, 20.0, 21.0, 22.0, 50.0], [0.0, 0.0, 0.02, 0.0, 0.0])
    stay, push = (np.array(one) for one in COEFFICIENTS[step])
    ahead = round(11.0 / step)
    start = (profile[ahead] - profile[0]) / (ahead * step)
    state, total = np.array([start, 0.0, start, 0.0]), 0.0
    for slope in np.diff(profile) / step:
        state = stay @ state + push * slope
        total += abs(state[0] - state[2])
    index = total / (profile.size - 1)
    WORLD_BANK.agrees(
        "roughness index by the published recursion", 1e3 * index, 1e3 * road.roughness(profile, step), "m/km", rel=2e-6
    )


def test_frequencies_without_damper():
    k, t, u = road.GOLDEN_SPRING, road.GOLDEN_TYRE, road.GOLDEN_UNSPRUNG
    squares = np.linalg.eigvals(np.array([[k, -k], [-k / u, (k + t) / u]]))
    E1926.agrees(
        "natural frequencies of the reference car without its damper",
        [1.208, 11.005],
        np.sort(np.sqrt(squares.real)) / (2 * np.pi),
        "Hz",
        abs=5e-4,
    )


def test_index_against_an_independent_integration():
    step = 0.05
    profile = road.tracks(120.0, step, 1.4, 256e-6, np.random.default_rng(2))[0]
    smooth = np.convolve(profile, np.full(5, 0.2), mode="valid")
    time = np.arange(smooth.size) * step / road.GOLDEN_SPEED
    start = (smooth[220] - smooth[0]) / time[220]

    def rate(t, state):
        zs, vs, zu, vu = state
        zr = np.interp(t, time, smooth)
        pull = road.GOLDEN_SPRING * (zu - zs) + road.GOLDEN_DAMPER * (vu - vs)
        return [vs, pull, vu, (road.GOLDEN_TYRE * (zr - zu) - pull) / road.GOLDEN_UNSPRUNG]

    begin = [smooth[0], start, smooth[0], start]
    found = solve_ivp(rate, (0, time[-1]), begin, t_eval=time, rtol=1e-8, atol=1e-10, max_step=step / 22)
    index = np.abs(found.y[1] - found.y[3])[1:].mean() / road.GOLDEN_SPEED
    SCIPY.agrees("roughness index of one profile", index, road.roughness(profile, step), rel=1e-5)


@pytest.mark.parametrize("wave", [0.02, 0.065, 0.15, 0.42])
def test_a_sine_is_magnified_by_the_transfer_function(wave):
    step, size = 0.05, 0.002
    distance = np.arange(0.0, 4000.0, step)
    index = road.roughness(size * np.sin(2 * np.pi * wave * distance), step)
    averaged = np.sinc(wave * road.GOLDEN_BASE)
    mean_slope = size * 2 * np.pi * wave * 2 / np.pi * averaged
    SECOND.agrees(
        "how the index magnifies a sine road: run in time against the transfer function",
        float(road.golden_response(wave)),
        index / mean_slope,
        rel=0.01,
    )


def test_response_has_its_two_humps_at_body_and_wheel_hop():
    # Sayers (1995), in words: most sensitive to waves of about 15 m and 2.4 m; slopes of long waves do not count.
    wave = np.geomspace(0.005, 1.5, 4000)
    gain = road.golden_response(wave)
    tops = np.flatnonzero((gain[1:-1] > gain[:-2]) & (gain[1:-1] > gain[2:])) + 1
    SAYERS.agrees("wave lengths to which the index is most sensitive", [15.4, 2.2], 1.0 / wave[tops], "m", rel=0.12)
    SAYERS.agrees("gain of the index at its two humps", [1.5, 1.6], gain[tops], abs=0.2)
    SAYERS.holds("gain of the index for the slope of long waves", gain[0], at_most=0.05)


def test_roughness_scales_with_the_road_and_forgets_a_hill():
    profile = road.tracks(200.0, 0.1, 1.4, 64e-6, np.random.default_rng(4))[0]
    base = road.roughness(profile, 0.1)
    SECOND.agrees(
        "index of a road three times as high over three times its index", 3 * base, road.roughness(3 * profile, 0.1)
    )
    SECOND.agrees(
        "index of a road on a steady slope",
        base,
        road.roughness(profile + 0.02 * np.arange(profile.size) * 0.1, 0.1),
        rel=1e-9,
    )


@pytest.mark.parametrize(("rows", "step", "words"), [(200, 0.3, "250 mm"), (50, 0.1, "11 m")])
def test_profiles_that_are_too_coarse_or_short(rows, step, words):
    E1926.refuses("profiles too coarse or too short", lambda: road.roughness(np.zeros(rows), step), words)
