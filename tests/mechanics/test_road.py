"""Roads: two tracks of one surface, kerbs, what is refused."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.signal import csd, welch

from cornerwright.mechanics import road


@pytest.mark.parametrize("waviness", [1.6, 2.0, 3.0])
@pytest.mark.parametrize("wave", [0.02, 0.1, 0.4])
def test_coherence_is_the_sum_over_waves_across_the_road(waviness, wave):
    k, apart = 2 * np.pi * wave, 1.4

    def surface(across):
        return (k**2 + across**2) ** (-(waviness + 1) / 2)

    both = quad(surface, 0, np.inf, weight="cos", wvar=apart)[0]
    one = quad(surface, 0, np.inf)[0]
    assert road.coherence(wave, apart, waviness) == pytest.approx(both / one, rel=1e-5)


def test_coherence_is_whole_for_long_waves_and_none_for_short():
    assert road.coherence(0.0, 1.5) == 1.0
    assert road.coherence(1e-5, 1.5) == pytest.approx(1.0, abs=1e-6)
    assert road.coherence(2.8, 1.5) < 1e-8


def test_tracks_have_the_coherence_asked_for():
    apart, step, rows = 1.4, 0.1, 1024
    left, right = road.tracks(400 * rows * step, step, apart, 64e-6, np.random.default_rng(11))
    wave, cross = csd(left, right, 1 / step, nperseg=rows, noverlap=0)
    one, two = (welch(track, 1 / step, nperseg=rows, noverlap=0)[1] for track in (left, right))
    size = np.sqrt(one * two)
    lines = (wave > 0.04) & (wave < 0.6)
    # One line scatters by (1 - coherence^2) / sqrt(2 pieces): 0.035 at the most.
    assert (cross.real / size)[lines] == pytest.approx(road.coherence(wave[lines], apart), abs=0.15)
    assert np.abs((cross.real / size)[lines] - road.coherence(wave[lines], apart)).mean() < 0.04
    assert np.abs((cross.imag / size)[lines]).mean() < 0.06


def test_the_same_number_makes_the_same_road():
    one, two = (road.tracks(200.0, 0.05, 1.4, 64e-6, np.random.default_rng(5)) for _ in range(2))
    assert np.array_equal(one, two)


@pytest.mark.parametrize(
    ("change", "words"),
    [({"step": 0.3}, "step of"), ({"length": 50.0}, "at least as long"), ({"at_reference": 0.0}, "above zero")],
)
def test_roads_that_cannot_be_made(change, words):
    asked = {"length": 200.0, "step": 0.05, "apart": 1.4, "at_reference": 64e-6, **change}
    with pytest.raises(ValueError, match=words):
        road.tracks(rng=np.random.default_rng(1), **asked)


def test_kerb_rises_from_nothing_to_its_height():
    ramp = road.kerb_ramp(0.3, 0.05)
    assert ramp == pytest.approx(np.sqrt(0.3**2 - 0.25**2))
    heights = road.kerb(np.array([0.0, 1.0, 1.0 + ramp / 2, 1.0 + ramp, 9.0]), 1.0, 0.05, ramp)
    assert heights == pytest.approx([0, 0, 0.025, 0.05, 0.05])
    with pytest.raises(ValueError, match="lower than its radius"):
        road.kerb_ramp(0.3, 0.3)
