"""Published: ISO 2631-1:1997, table 3, weighting Wk at third-octave frequencies; ISO 8041, its parameters.

Neither standard was opened. The twenty factors were read in two public programs that agree with each other and with
what was remembered; the parameters in the manual of a vibration meter, which prints the table of ISO 8041. The words
of annex C are from memory.
"""

import numpy as np
import pytest

from cornerwright.mechanics import ride_measures
from cornerwright.mechanics.ride_measures import feel, vertical_weighting, weighted_from_spectrum, weighted_rms
from evidence import Outside

ISO_2631 = Outside("road and ride", "ISO 2631-1:1997, table 3, weighting Wk, as public programs print it", "standard")
ISO_8041 = Outside(
    "road and ride", "ISO 8041, parameters of Wk, as the manual of a vibration meter prints them", "standard"
)
ANNEX_C = Outside("road and ride", "ISO 2631-1:1997, annex C", "standard", memory=True)
SECOND = Outside("road and ride", "weighting of ISO 2631-1 in time against its own factor", "second road")

TABLE = [
    (1.0, 0.482), (1.25, 0.484), (1.6, 0.494), (2.0, 0.531), (2.5, 0.631), (3.15, 0.804), (4.0, 0.967), (5.0, 1.039),
    (6.3, 1.054), (8.0, 1.036), (10.0, 0.988), (12.5, 0.902), (16.0, 0.768), (20.0, 0.636), (25.0, 0.513),
    (31.5, 0.405), (40.0, 0.314), (50.0, 0.246), (63.0, 0.186), (80.0, 0.132),
]  # fmt: skip


@pytest.mark.parametrize(("frequency", "printed"), TABLE)
def test_weighting(frequency, printed):
    ISO_2631.agrees("weighting Wk at third-octave frequencies", printed, vertical_weighting(frequency), abs=8e-4)


def test_parameters_of_the_weighting():
    """f1, f2; f3 = f4, Q4; f5, Q5, f6, Q6."""
    m = ride_measures
    ours = [m.HIGH_PASS, m.LOW_PASS, m.TRANSITION, m.TRANSITION_Q, m.STEP_LOW, m.STEP_LOW_Q, m.STEP_HIGH, m.STEP_HIGH_Q]
    printed = [0.4, 100.0, 12.5, 0.63, 2.37, 0.91, 3.35, 0.91]
    ISO_8041.agrees("frequencies [Hz] and quality factors of Wk", printed, ours)


@pytest.mark.parametrize("frequency", [1.0, 5.0, 16.0])
def test_a_sine_is_weighted_by_its_factor(frequency):
    time = np.arange(0, 40, 1e-3)
    found = weighted_rms(2.0 * np.sin(2 * np.pi * frequency * time), 1e-3)
    SECOND.agrees("weighted rms of a sine", np.sqrt(2) * vertical_weighting(frequency), found, "m/s2", rel=0.01)


def test_record_and_spectrum_agree_on_white_noise():
    rng = np.random.default_rng(8)
    record = rng.normal(size=(20, 20000))
    frequency = np.linspace(0.01, 500, 200_000)
    wanted = weighted_from_spectrum(frequency, np.full(frequency.size, 1 / 500))
    SECOND.agrees(
        "weighted rms of white noise, record against spectrum",
        wanted,
        np.sqrt((weighted_rms(record, 1e-3) ** 2).mean()),
        "m/s2",
        rel=0.02,
    )


@pytest.mark.parametrize(
    ("weighted", "words"), [(0.2, "not uncomfortable"), (0.9, "uncomfortable"), (2.4, "extremely uncomfortable")]
)
def test_words(weighted, words):
    ANNEX_C.same("words for a weighted rms, annex C", words, feel(weighted))
