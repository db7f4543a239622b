"""Published: ISO 8608, classes of road by their displacement spectrum (values from memory of the standard)."""

import numpy as np
import pytest
from scipy.signal import welch
from scipy.stats import chi2

from cornerwright.mechanics import road
from evidence import Outside

ISO_8608 = Outside("road and ride", "ISO 8608, classes of road", "standard", memory=True)
CHI = Outside("road and ride", "SciPy's chi-square distribution", "reference library")


@pytest.mark.parametrize(("name", "limit"), [("A", 32e-6), ("B", 128e-6), ("D", 2048e-6), ("E", 8192e-6)])
def test_upper_limit_of_each_class(name, limit):
    beside = [road.class_of(limit * 0.999), road.class_of(limit * 1.001)]
    ISO_8608.same("class of a road just below and above a printed limit", [name, chr(ord(name) + 1)], beside)


@pytest.mark.parametrize(("name", "printed"), [("A", 1), ("B", 4), ("D", 64), ("E", 256)])
def test_angular_form_at_one_radian_per_metre(name, printed):
    # Gd(Omega) = Gd(n) / 2 pi at Omega = 2 pi n; the standard rounds it to powers of four, half a per cent away.
    wave = 1.0 / (2.0 * np.pi)
    angular = road.spectrum(wave, road.CLASS_MEAN[name]) / (2.0 * np.pi)
    ISO_8608.agrees("unevenness of the classes at 1 rad/m", printed, angular * 1e6, "1e-6 m3", rel=6e-3)


@pytest.mark.parametrize(("name", "millimetres"), [("A", 3.806), ("B", 7.613)])
def test_height_of_a_class_over_the_band(name, millimetres):
    made = [
        road.tracks(8000.0, 0.1, 1.5, road.CLASS_MEAN[name], np.random.default_rng(number))[0].var()
        for number in range(40)
    ]
    # The longest waves carry the height and are few: hence forty roads, and 4 %.
    ISO_8608.agrees("rms height of a class over the band", millimetres, np.sqrt(np.mean(made)) * 1e3, "mm", rel=0.04)


@pytest.mark.parametrize("track", [0, 1])
@pytest.mark.parametrize("waviness", [2.0, 2.4])
def test_the_spectrum_comes_back(track, waviness):
    """Mean of independent pieces: twice their number times the ratio to the true spectrum is chi-square."""
    step, rows, mean = 0.05, 4096, 256e-6
    heights = road.tracks(64 * rows * step, step, 1.4, mean, np.random.default_rng(7 + track), waviness)[track]
    wave, found = welch(heights, 1.0 / step, window="hann", nperseg=rows, noverlap=0, detrend="constant")
    true = np.full(wave.shape, np.inf)
    true[1:] = road.spectrum(wave[1:], mean, waviness)
    # Every third line, so that the window's leakage does not tie neighbours together.
    lines = np.flatnonzero((wave > 0.06) & (wave < 2.6))[::3]
    ratio = found[lines] / true[lines]
    freedom = 2 * 64 * lines.size
    low, high = chi2.ppf([1e-3, 1 - 1e-3], freedom) / freedom
    CHI.holds("spectrum of a made road over that asked for, mean", ratio.mean(), at_least=low, at_most=high)
    # And each line by itself: as many outside the 95 % bounds as there should be, not more.
    low, high = chi2.ppf([0.025, 0.975], 128) / 128
    outside = np.mean((ratio < low) | (ratio > high))
    CHI.holds("share of the spectrum's lines outside their 95 % bounds", outside, at_least=0.02, at_most=0.09)


def test_a_wrong_class_is_told_apart():
    heights = road.tracks(13107.2, 0.05, 1.4, 256e-6, np.random.default_rng(3))[0]
    wave, found = welch(heights, 20.0, window="hann", nperseg=4096, noverlap=0)
    lines = (wave > 0.06) & (wave < 2.6)
    ratio = np.mean(found[lines] / road.spectrum(wave[lines], 256e-6 * 1.1))
    freedom = 2 * 64 * lines.sum() / 3
    CHI.holds("a spectrum 10 % off is told apart", ratio, at_most=chi2.ppf(1e-3, freedom) / freedom)
