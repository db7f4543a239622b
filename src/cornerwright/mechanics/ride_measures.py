"""What a run on the road says: comfort, grip, how often stops are touched, where in its stroke each damper was."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# Wk of ISO 2631-1:1997, table A.1, as public programs print it: two Butterworth limits, a transition and a step.
HIGH_PASS, LOW_PASS = 0.4, 100.0  # [Hz]
TRANSITION, TRANSITION_Q = 12.5, 0.63
STEP_LOW, STEP_LOW_Q, STEP_HIGH, STEP_HIGH_Q = 2.37, 0.91, 3.35, 0.91

WEIGHTED_FEEL: tuple[tuple[float, str], ...] = (
    (0.315, "not uncomfortable"),
    (0.5, "a little uncomfortable"),
    (0.8, "fairly uncomfortable"),
    (1.25, "uncomfortable"),
    (2.0, "very uncomfortable"),
)
"""Weighted acceleration [m/s2] below which it is so, in public transport: ISO 2631-1:1997, C.2.3 (from memory),
whose bands overlap; here each begins at its lower limit."""
WORST_FEEL = "extremely uncomfortable"


def vertical_weighting(frequency: ArrayLike) -> Array:
    """Size [1] of the weighting Wk for vertical acceleration at the seat, at frequencies [Hz].

    Source: ISO 2631-1:1997, annex A, frequencies and quality factors as public programs print them.
    Proof: tests/outside/test_iso_2631_1.py.
    """
    s = 2j * np.pi * np.asarray(frequency, dtype=float)

    def quad(f: float, q: float) -> NDArray[np.complex128]:
        w = 2.0 * np.pi * f
        return np.asarray(s**2 + s * w / q + w**2)

    def omega(f: float) -> float:
        return 2.0 * float(np.pi) * f

    butter = np.sqrt(0.5)
    limits = s**2 / quad(HIGH_PASS, butter) * omega(LOW_PASS) ** 2 / quad(LOW_PASS, butter)
    slope = (s + omega(TRANSITION)) * omega(TRANSITION) / quad(TRANSITION, TRANSITION_Q)
    step = quad(STEP_LOW, STEP_LOW_Q) / quad(STEP_HIGH, STEP_HIGH_Q)
    return np.asarray(np.abs(limits * slope * step))


def weighted_rms(acceleration: ArrayLike, step: float) -> Array:
    """Weighted rms (...) [m/s2] of vertical accelerations (..., m) [m/s2], a row every `step` [s].

    The weighting is laid on the transform of the record less its mean, faded in and out over a tenth at each end
    and made up for the loss, so that the ends do not meet in a step.
    """
    record = np.asarray(acceleration, dtype=float)
    rows = record.shape[-1]
    edge = max(1, rows // 10)
    fade = np.ones(rows)
    fade[:edge] = 0.5 - 0.5 * np.cos(np.pi * (np.arange(edge) + 0.5) / edge)
    fade[rows - edge :] = fade[:edge][::-1]
    lines = np.fft.rfft((record - record.mean(axis=-1, keepdims=True)) * fade, axis=-1)
    seen = np.fft.irfft(lines * vertical_weighting(np.fft.rfftfreq(rows, step)), rows, axis=-1)
    return np.asarray(np.sqrt((seen**2).mean(axis=-1) / (fade**2).mean()))


def weighted_from_spectrum(frequency: Array, spectrum: Array) -> float:
    """Weighted rms [m/s2] of an acceleration with this one-sided spectrum (f,) [m2/s4/Hz]."""
    return float(np.sqrt(np.trapezoid(spectrum * vertical_weighting(frequency) ** 2, frequency)))


def feel(weighted: float) -> str:
    """In words, how so much weighted acceleration [m/s2] is likely to be taken: ISO 2631-1:1997, C.2.3 (memory)."""
    return next((words for limit, words in WEIGHTED_FEEL if weighted < limit), WORST_FEEL)


def events(inside: NDArray[np.bool_], apart: int = 1) -> NDArray[np.intp]:
    """How many times (...) a condition over rows (..., m) comes true; a pause shorter than `apart` rows is none."""
    state = np.asarray(inside, dtype=bool)
    row = np.arange(state.shape[-1])
    last = np.maximum.accumulate(np.where(state, row, -1), axis=-1)
    before = np.concatenate([np.full((*state.shape[:-1], 1), -1), last[..., :-1]], axis=-1)
    begins = state & ((before < 0) | (row - before > apart))
    return np.asarray(begins.sum(axis=-1), dtype=np.intp)


def stroke_shares(length: ArrayLike, closed: float, open_: float, bins: int = 20) -> Array:
    """Share of the time (bins,) [1] that a damper's length (m,) [m] was in each part of its stroke, closed first.

    Lengths beyond the metal ends, by their give, count in the end parts. Rows of nan do not count.
    """
    place = (np.asarray(length, dtype=float).ravel() - closed) / (open_ - closed)
    place = place[np.isfinite(place)]
    part = np.clip((place * bins).astype(int), 0, bins - 1)
    return np.asarray(np.bincount(part, minlength=bins) / max(1, place.size))


def load_variation(load: ArrayLike) -> Array:
    """Standard deviation of tyre loads (m, 4) [N] over their mean, (4,) [1]: the dynamic load coefficient.

    nan: of a tyre that never carries.
    """
    loads = np.asarray(load, dtype=float).reshape(-1, np.shape(load)[-1])
    mean = loads.mean(axis=0)
    return np.asarray(np.divide(loads.std(axis=0), mean, out=np.full(mean.shape, np.nan), where=mean > 0.0))
