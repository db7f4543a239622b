"""Published: ASTM E1926 (and Sayers, Transportation Research Record 1501, 1995): the reference car of the IRI.

Constants from memory of the standard; the road against which they are used is integrated a second time by SciPy.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from cornerwright.mechanics import road
from evidence import Outside

E1926 = Outside("road and ride", "ASTM E1926, the reference car of the IRI", "standard", memory=True)
SAYERS = Outside("road and ride", "Sayers, Transportation Research Record 1501 (1995)", "textbook", memory=True)
SCIPY = Outside("road and ride", "SciPy solve_ivp on the reference car's equations", "reference library")
SECOND = Outside("road and ride", "worked here from the definition of the IRI", "second road")


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
