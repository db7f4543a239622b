"""Road profiles: spectra by class, two tracks that belong to one surface, and how rough a measured profile is.

Wave numbers n are in cycles per metre, spectra one-sided in them.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import expm
from scipy.special import gamma, kv

Array = NDArray[np.float64]
RoadClass = Literal["A", "B", "C", "D", "E", "F", "G", "H"]

REFERENCE_WAVE = 0.1
"""n0 [1/m] at which the classes are given: ISO 8608."""
WAVINESS = 2.0
"""w [1] of the classes: ISO 8608."""
CLASS_MEAN: dict[RoadClass, float] = {
    "A": 16e-6,
    "B": 64e-6,
    "C": 256e-6,
    "D": 1024e-6,
    "E": 4096e-6,
    "F": 16384e-6,
    "G": 65536e-6,
    "H": 262144e-6,
}
"""Geometric mean of Gd(n0) [m3] of each class: ISO 8608 (from memory). Limits lie a factor of two to each side."""
LONGEST, SHORTEST = 0.011, 2.83
"""Wave numbers [1/m] between which ISO 8608 fits a road (from memory)."""

# The reference quarter car, per sprung mass: ASTM E1926; constants as World Bank Technical Paper 46 (1986) prints
# them.
GOLDEN_TYRE = 653.0
"""Tyre rate over sprung mass [1/s2]."""
GOLDEN_SPRING = 63.3
"""Suspension rate over sprung mass [1/s2]."""
GOLDEN_DAMPER = 6.0
"""Damper over sprung mass [1/s]."""
GOLDEN_UNSPRUNG = 0.15
"""Unsprung over sprung mass [1]."""
GOLDEN_SPEED = 80.0 / 3.6
"""[m/s]"""
GOLDEN_BASE = 0.25
"""Length [m] over which the tyre averages the profile."""
GOLDEN_START = 11.0
"""Length [m] whose mean slope starts the quarter car: half a second at its speed."""


def class_of(spectrum: float) -> RoadClass:
    """Class of a road whose Gd at 0.1 cycles/m is this [m3]. Source: ISO 8608, limits twice the mean (memory)."""
    for name, mean in CLASS_MEAN.items():
        if spectrum < 2.0 * mean:
            return name
    return "H"


def spectrum(wave: ArrayLike, at_reference: ArrayLike, waviness: ArrayLike = WAVINESS) -> Array:
    """Displacement spectrum Gd(n) [m3], Gd(n0) (n/n0)^-w; wave n [1/m], at_reference Gd(n0) [m3], broadcast.

    Source: ISO 8608. Proof: tests/outside/test_iso_8608.py.
    """
    n = np.asarray(wave, dtype=float)
    return np.asarray(np.asarray(at_reference) * (n / REFERENCE_WAVE) ** -np.asarray(waviness, dtype=float))


def coherence(wave: ArrayLike, apart: ArrayLike, waviness: float = WAVINESS) -> Array:
    """Cross spectrum of two tracks over the spectrum of either [1]; wave n [1/m], apart [m], broadcast.

    A surface alike in every direction has a spectrum in the plane that falls with the wave number's size as
    k^-(w+1). Summed over the waves across the road, each with its phase between the tracks, that leaves
    2 (k t/2)^v K_v(k t) / Gamma(v), with k = 2 pi n, t the distance and v = w/2; for w = 2 it is k t K_1(k t).
    Source: isotropy after Kamash and Robson, Journal of Sound and Vibration 57 (1978) 89-100 (from memory); the
    integral is ours. Proof: tests/mechanics/test_road.py, by quadrature.
    """
    v = waviness / 2.0
    kt = 2.0 * np.pi * np.asarray(wave, dtype=float) * np.asarray(apart, dtype=float)
    small = kt < 1e-8
    safe = np.where(small, 1.0, kt)
    value = 2.0 * (safe / 2.0) ** v * kv(v, safe) / gamma(v)
    return np.asarray(np.where(small, 1.0, np.clip(value, 0.0, 1.0)))


def tracks(
    length: float,
    step: float,
    apart: float,
    at_reference: float,
    rng: np.random.Generator,
    waviness: float = WAVINESS,
    longest: float = LONGEST,
    shortest: float = SHORTEST,
) -> Array:
    """Heights (2, m) [m] of the left and the right track of an invented road, `step` [m] from row to row.

    length, apart [m]: of the road, between the tracks; at_reference [m3]: Gd at 0.1 cycles/m; longest and shortest
    [1/m]: wave numbers outside which the road is smooth. A Gaussian surface with the spectrum above: independent
    normal amplitudes, the right track sharing the left's as far as `coherence` says. Its end joins its start.
    Raises ValueError unless all lengths are positive, the step shows the shortest wave (two rows in each) and the
    length the longest.
    """
    if not (length > 0.0 and step > 0.0 and apart > 0.0 and at_reference > 0.0):
        raise ValueError("a road needs a length, a step, a distance between its tracks and a roughness above zero")
    if not 0.0 < longest < shortest:
        raise ValueError("the longest wave must have the smaller wave number, above zero")
    if step * shortest > 0.5:
        raise ValueError(f"waves of {1.0 / shortest:g} m need a step of {0.5 / shortest:g} m or less")
    if length * longest < 1.0:
        raise ValueError(f"waves of {1.0 / longest:g} m need a road at least as long")
    rows = round(length / step)
    wave = np.fft.rfftfreq(rows, step)
    inside = (wave >= longest) & (wave <= shortest)
    power = np.zeros_like(wave)
    power[inside] = spectrum(wave[inside], at_reference, waviness)
    # Mean square of one wave is G dn; a complex amplitude a gives 2 |a|^2 / rows^2 of it.
    size = np.sqrt(power / (rows * step) / 2.0) * rows
    own = (rng.standard_normal((2, wave.size)) + 1j * rng.standard_normal((2, wave.size))) / np.sqrt(2.0)
    shared = coherence(wave, apart, waviness)
    right = shared * own[0] + np.sqrt(1.0 - shared**2) * own[1]
    return np.fft.irfft(size * np.stack([own[0], right]), rows)


def kerb(distance: ArrayLike, start: float, height: float, ramp: float) -> Array:
    """Height [m] under a wheel that climbs a kerb at `start` [m]: a half cosine over `ramp` [m], then `height`.

    The ramp stands for the tyre's roundness: the wheel centre begins to rise before it is over the edge.
    """
    share = np.clip((np.asarray(distance, dtype=float) - start) / ramp, 0.0, 1.0)
    return np.asarray(height / 2.0 * (1.0 - np.cos(np.pi * share)))


def kerb_ramp(radius: float, height: float) -> float:
    """Distance [m] over which a rigid wheel of this radius [m] climbs a step of this height [m].

    sqrt(r^2 - (r-h)^2), from the touch until it stands over the edge. Valid for 0 < height < radius; raises
    ValueError otherwise. Source: geometry.
    """
    if not 0.0 < height < radius:
        raise ValueError("a wheel climbs a step lower than its radius")
    return float(np.sqrt(radius**2 - (radius - height) ** 2))


# How rough a profile is ---------------------------------------------------------------------------


def golden_matrix() -> Array:
    """State matrix (4, 4) of the reference quarter car: sprung height and speed, unsprung height and speed.

    Source: ASTM E1926; World Bank Technical Paper 46 (1986), whose coefficients it is held against.
    """
    k, c, t, u = GOLDEN_SPRING, GOLDEN_DAMPER, GOLDEN_TYRE, GOLDEN_UNSPRUNG
    return np.array(
        [[0, 1, 0, 0], [-k, -c, k, c], [0, 0, 0, 1], [k / u, c / u, -(t + k) / u, -c / u]],
        dtype=float,
    )


GOLDEN_INPUT = np.array([0.0, 0.0, 0.0, GOLDEN_TYRE / GOLDEN_UNSPRUNG])
"""What the profile's height adds to the state's rate."""


def golden_response(wave: ArrayLike) -> Array:
    """Suspension speed over road slope and car speed [1], at wave numbers (m,) [1/m]: its size.

    By this much the reference car magnifies a sine's slope into IRI. Source: the equations above.
    """
    omega = 2.0 * np.pi * GOLDEN_SPEED * np.asarray(wave, dtype=float)
    state = np.linalg.solve(
        1j * omega[..., None, None] * np.eye(4) - golden_matrix(),
        np.broadcast_to(GOLDEN_INPUT, (*omega.shape, 4))[..., None],
    )[..., 0]
    return np.asarray(np.abs((state[..., 1] - state[..., 3]) / (1j * omega)))


def roughness(profile: ArrayLike, step: float) -> float:
    """International Roughness Index [m/m] of a profile (m,) [m] read every `step` [m]; 1e-3 is 1 m/km.

    The tyre averages over 250 mm; between rows the profile is straight, so that each row's step of the reference
    car is exact. Raises ValueError for a step that is not positive or longer than 250 mm (ASTM E1926, class 1, from
    memory), or less than 11 m of road.
    Source: ASTM E1926; World Bank Technical Paper 46 (1986).
    Proof: tests/outside/test_astm_e1926.py.
    """
    height = np.asarray(profile, dtype=float)
    if not 0.0 < step <= GOLDEN_BASE + 1e-12:
        raise ValueError("the roughness index needs a row every 250 mm or closer")
    if (height.size - 1) * step < GOLDEN_START:
        raise ValueError("the roughness index needs more than 11 m of road")
    width = max(1, round(GOLDEN_BASE / step))
    if width > 1:
        height = np.convolve(height, np.full(width, 1.0 / width), mode="valid")
    dt = step / GOLDEN_SPEED
    # The profile's height and slope ride along as two more states, which makes the ramp exact.
    whole = np.zeros((6, 6))
    whole[:4, :4] = golden_matrix()
    whole[:4, 4] = GOLDEN_INPUT
    whole[4, 5] = 1.0
    move = expm(whole * dt)
    stay, by_height, by_slope = move[:4, :4], move[:4, 4], move[:4, 5]
    slope = np.diff(height) / dt
    ahead = min(round(GOLDEN_START / step), height.size - 1)
    start = (height[ahead] - height[0]) / (ahead * dt)
    state = np.array([height[0], start, height[0], start])
    push = height[:-1, None] * by_height + slope[:, None] * by_slope
    total = 0.0
    for one in push:
        state = stay @ state + one
        total += abs(state[1] - state[3])
    return float(total * dt / (slope.size * step))
