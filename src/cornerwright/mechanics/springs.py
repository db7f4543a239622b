"""Springs and dampers along their own axis: coil formulae, packs in series, stops, wheel rates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cornerwright.mechanics.forcelaw import ForceLaw

Array = NDArray[np.float64]

STANDARD_GRAVITY = 9.80665  # [m/s2], 3rd CGPM (1901)

Coiling = Literal["cold", "hot"]
Ends = Literal["ground", "unground"]

# Turns that do not work, i.e. total minus active. EN 13906-1 (from memory).
DEAD_COILS: dict[Coiling, float] = {"cold": 2.0, "hot": 1.5}
# Largest solid length = (total coils + this) * wire. EN 13906-1 (from memory).
SOLID_COILS: dict[tuple[Coiling, Ends], float] = {
    ("cold", "ground"): 0.0,
    ("cold", "unground"): 1.5,
    ("hot", "ground"): -0.3,
    ("hot", "unground"): 1.1,
}


# One coil spring ---------------------------------------------------------------------------------


def coil_rate(shear_modulus: ArrayLike, wire: ArrayLike, coil: ArrayLike, active: ArrayLike) -> Array:
    """Rate [N/m] of a cylindrical coil spring, G d^4 / (8 D^3 n); arguments broadcast.

    shear_modulus G [Pa], wire d [m], coil D: mean coil diameter [m], active n: working turns [1].
    Valid: round wire of one thickness, constant pitch and diameter.
    Source: EN 13906-1. Proof: tests/outside/test_en_13906_1.py, test_shigley_springs.py.
    """
    G, d, D, n = (np.asarray(part, dtype=float) for part in (shear_modulus, wire, coil, active))
    return np.asarray(G * d**4 / (8.0 * D**3 * n))


def active_coils(total: ArrayLike, coiling: Coiling) -> Array:
    """Working turns [1] of a spring with so many turns [1] in all, ends closed.

    Source: EN 13906-1 (from memory): two dead turns cold coiled, one and a half hot coiled.
    """
    return np.asarray(total, dtype=float) - DEAD_COILS[coiling]


def shear_stress(force: ArrayLike, coil: ArrayLike, wire: ArrayLike) -> Array:
    """Shear stress [Pa] in the wire without any factor, 8 F D / (pi d^3); arguments broadcast.

    force F [N], coil D: mean coil diameter [m], wire d [m]. Times a factor below for the stress at
    the inside of the coil.
    Source: EN 13906-1. Proof: tests/outside/test_en_13906_1.py.
    """
    F, D, d = (np.asarray(part, dtype=float) for part in (force, coil, wire))
    return np.asarray(8.0 * F * D / (np.pi * d**3))


def wahl_factor(index: ArrayLike) -> Array:
    """Wahl's factor [1] for curvature and direct shear, (4C-1)/(4C-4) + 0.615/C; index C = D/d [1].

    Source: Wahl, Mechanical Springs (1944); Shigley, Mechanical Engineering Design, section 10-1.
    """
    C = np.asarray(index, dtype=float)
    return np.asarray((4.0 * C - 1.0) / (4.0 * C - 4.0) + 0.615 / C)


def bergstraesser_factor(index: ArrayLike) -> Array:
    """Bergstraesser's factor [1], (4C+2)/(4C-3) = (C+0.5)/(C-0.75); index C = D/d [1].

    It is the stress correction factor k of EN 13906-1.
    Source: EN 13906-1; Shigley, Mechanical Engineering Design, section 10-1.
    """
    C = np.asarray(index, dtype=float)
    return np.asarray((C + 0.5) / (C - 0.75))


def direct_shear_factor(index: ArrayLike) -> Array:
    """Factor [1] for direct shear alone, 1 + 1/(2C), for static load; index C = D/d [1].

    Source: Shigley, Mechanical Engineering Design, section 10-1.
    """
    return np.asarray(1.0 + 0.5 / np.asarray(index, dtype=float))


def solid_length(total: ArrayLike, wire: ArrayLike, coiling: Coiling = "cold", ends: Ends = "ground") -> Array:
    """Largest length [m] at which all turns touch; total: turns in all [1], wire [m].

    An upper limit, with the wire at the top of its tolerance: the spring may go solid a little
    later.
    Source: EN 13906-1 (from memory): cold coiled n_t d ground, (n_t + 1.5) d not ground; hot
    coiled (n_t - 0.3) d ground, (n_t + 1.1) d not ground. Proof: tests/outside/test_en_13906_1.py.
    """
    turns = np.asarray(total, dtype=float) + SOLID_COILS[coiling, ends]
    return np.asarray(turns * np.asarray(wire, dtype=float))


def least_gap(wire: ArrayLike, coil: ArrayLike, active: ArrayLike, coiling: Coiling = "cold") -> Array:
    """Sum of the gaps [m] between turns that must stay open at the shortest length in use.

    wire d [m], coil D [m], active n [1]. Static use; the same standard takes 1.5 times (cold) or
    twice (hot) as much for a spring that works.
    Source: EN 13906-1 (from memory): n (0.0015 D^2/d + 0.1 d) cold, 0.02 n (D + d) hot coiled.
    """
    d, D, n = (np.asarray(part, dtype=float) for part in (wire, coil, active))
    each = 0.0015 * D**2 / d + 0.1 * d if coiling == "cold" else 0.02 * (D + d)
    return np.asarray(n * each)


# Several springs, and the wheel ------------------------------------------------------------------


def series_rate(rates: ArrayLike) -> Array:
    """Rate [N/m] of springs stacked end on end, rates (..., s) [N/m]: compliances add."""
    return np.asarray(1.0 / np.sum(1.0 / np.asarray(rates, dtype=float), axis=-1))


def parallel_rate(rates: ArrayLike) -> Array:
    """Rate [N/m] of springs side by side, rates (..., s) [N/m]: rates add."""
    return np.asarray(np.sum(np.asarray(rates, dtype=float), axis=-1))


def wheel_rate(spring_rate: ArrayLike, motion_ratio: ArrayLike, force: ArrayLike = 0.0, d2: ArrayLike = 0.0) -> Array:
    """Rate at the wheel [N/m], k s'^2 - F s''; arguments broadcast.

    spring_rate k [N/m], motion_ratio s' = d(spring length)/d(lift) [1], force F the spring pushes
    with [N], d2 s'' = d2(spring length)/d(lift)2 [1/m].

    With U(s) the stored energy, F = -dU/ds and k = d2U/ds2, the wheel feels dU/dl = -F s' at lift
    l, and its rate is d2U/dl2 = k s'^2 - F s'': the second term is the changing lever of a force
    that is there already. s'' < 0 (the ratio grows in bump) stiffens.
    Source: chain rule as above; Milliken and Milliken, Race Car Vehicle Dynamics, section 16.1
    (from memory). Proof: tests/mechanics/test_springs.py, by finite differences of the energy.
    """
    k, ratio, F, curve = (np.asarray(part, dtype=float) for part in (spring_rate, motion_ratio, force, d2))
    return np.asarray(k * ratio**2 - F * curve)


def ride_frequency(rate: ArrayLike, mass: ArrayLike) -> Array:
    """Undamped frequency [Hz] of a sprung mass [kg] on a rate [N/m], sqrt(k/m) / (2 pi).

    rate is what the mass stands on: wheel and tyre in series for a corner.
    Source: Gillespie, Fundamentals of Vehicle Dynamics, chapter 5.
    """
    return np.asarray(np.sqrt(np.asarray(rate, dtype=float) / mass) / (2.0 * np.pi))


def static_deflection(frequency: ArrayLike) -> Array:
    """Deflection [m] under its own weight of a linear spring of this ride frequency [Hz].

    g / (2 pi f)^2, since k x = m g and k/m = (2 pi f)^2.
    Source: Gillespie, Fundamentals of Vehicle Dynamics, chapter 5.
    """
    return np.asarray(STANDARD_GRAVITY / (2.0 * np.pi * np.asarray(frequency, dtype=float)) ** 2)


# Packs -------------------------------------------------------------------------------------------


def spring_pack(
    rates: ArrayLike,
    free: ArrayLike,
    block: ArrayLike,
    spacers: ArrayLike = 0.0,
    bind_rate: ArrayLike = 5e6,
) -> ForceLaw:
    """Force law of springs in series, by the distance between the outer seats [m].

    rates [N/m], free and block lengths [m]: (..., s), s springs in any order; a place without a
    spring is nan in all three, so that stacks of one, two and three fit one array. spacers (...)
    [m]: rigid parts between the springs, summed. bind_rate (...) [N/m]: once every spring is
    bound.

    All springs carry one force F; spring i is max(free_i - F/k_i, block_i) long, and the pack the
    sum. Sorted by the force at which each binds, the kinks of that sum are the knots. Longer than
    free, the pack is loose and pushes nothing.

    Raises ValueError unless rates are positive, 0 <= block < free, spacers >= 0, bind_rate > 0 and
    every pack has a spring.
    """
    k, longest, shortest, there = _checked(rates, free, block)
    spacers, bind_rate = np.asarray(spacers, dtype=float), np.asarray(bind_rate, dtype=float)
    if not ((spacers >= 0.0) & np.isfinite(spacers)).all():
        raise ValueError("spacers of a spring pack must be zero or longer")
    if not ((bind_rate > 0.0) & np.isfinite(bind_rate)).all():
        raise ValueError("the rate of a bound spring pack must be positive")

    travel = longest - shortest
    soft = 1.0 / k
    bind = np.where(there, k, 0.0) * travel
    order = np.argsort(bind, axis=-1)
    bind, travel, soft = (np.take_along_axis(part, order, axis=-1) for part in (bind, travel, soft))

    # At the force that binds spring j of the order, springs up to j have used their travel and the
    # rest are squeezed by force times compliance.
    still_soft = np.cumsum(soft[..., ::-1], axis=-1)[..., ::-1] - soft
    still_soft[..., -1] = 0.0
    squeezed = np.cumsum(travel, axis=-1) + bind * np.maximum(still_soft, 0.0)
    loose_at = longest.sum(axis=-1) + spacers
    shape = np.broadcast_shapes(loose_at.shape, bind_rate.shape)
    knots = np.empty((*shape, k.shape[-1] + 1))
    force = np.zeros_like(knots)
    knots[..., 0] = shortest.sum(axis=-1) + spacers
    knots[..., 1:-1] = loose_at[..., None] - squeezed[..., -2::-1]
    knots[..., -1] = loose_at
    force[..., :-1] = bind[..., ::-1]
    return ForceLaw(
        np.maximum.accumulate(knots, axis=-1),
        force,
        np.broadcast_to(-bind_rate, shape),
        np.zeros(shape),
    )


@dataclass(frozen=True, eq=False)
class PackState:
    """What a spring pack does at given distances between its seats, shape (...).

    force [N]; rate [N/m]; lengths (..., s) [m] of each spring and bound (..., s), whether it is
    coil-bound (nan and False where no spring is); loose [m]: how far the seats are beyond the
    free pack; to_bind [m]: how far they may still come together before every spring is bound,
    negative beyond.
    """

    force: Array
    rate: Array
    lengths: Array
    bound: NDArray[np.bool_]
    loose: Array
    to_bind: Array


def pack_state(
    rates: ArrayLike,
    free: ArrayLike,
    block: ArrayLike,
    distance: ArrayLike,
    *,
    spacers: ArrayLike = 0.0,
    bind_rate: ArrayLike = 5e6,
) -> PackState:
    """Look into a spring pack at a distance (...) [m] between its outer seats; see `spring_pack`.

    The rate of a loose pack is zero. Raises ValueError as `spring_pack` does.
    """
    k, longest, shortest, there = _checked(rates, free, block)
    law = spring_pack(rates, free, block, spacers, bind_rate)
    distance = np.asarray(distance, dtype=float)
    _, force, rate = law.at(distance)
    squeezed = force[..., None] / k
    travel = longest - shortest
    # A hair of rounding must not unbind a spring that stands exactly at its block length.
    bound = there & (squeezed >= travel * (1.0 - 1e-12))
    lengths = np.where(there, np.where(bound, shortest, longest - squeezed), np.nan)
    return PackState(
        force=force,
        rate=rate,
        lengths=lengths,
        bound=bound,
        loose=np.maximum(distance - law.knots[..., -1], 0.0),
        to_bind=distance - law.knots[..., 0],
    )


def _checked(rates: ArrayLike, free: ArrayLike, block: ArrayLike) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Rates, free and block lengths of one shape (..., s), and where a spring is.

    A missing spring becomes an infinite rate and no length.
    """
    k, longest, shortest = np.broadcast_arrays(*(np.asarray(part, dtype=float) for part in (rates, free, block)))
    if k.ndim == 0 or k.shape[-1] == 0:
        raise ValueError("a spring pack is given as (..., springs)")
    gone = np.isnan(k)
    if (gone != np.isnan(longest)).any() or (gone != np.isnan(shortest)).any():
        raise ValueError("a missing spring is nan in rate, free and block length alike")
    if gone.all(axis=-1).any():
        raise ValueError("a spring pack needs at least one spring")
    there = ~gone
    if not ((k > 0.0) & np.isfinite(k))[there].all():
        raise ValueError("the rate of a spring must be positive")
    if not ((shortest >= 0.0) & (longest > shortest) & np.isfinite(longest))[there].all():
        raise ValueError("a spring's free length must exceed its block length")
    k = np.where(there, k, np.inf)
    return k, np.where(there, longest, 0.0), np.where(there, shortest, 0.0), there


# Dampers -----------------------------------------------------------------------------------------


def damper_law(
    open: ArrayLike,
    closed: ArrayLike,
    gas_force: ArrayLike = 0.0,
    stop_length: ArrayLike = 0.0,
    stop_squeeze: ArrayLike = (0.0,),
    stop_force: ArrayLike = (0.0,),
    end_rate: ArrayLike = 5e6,
) -> ForceLaw:
    """Static force law of a damper, by its length between the eyes [m].

    open, closed (...) [m]: lengths at which it is at its metal ends; gas_force (...) [N]: pushing
    the rod out, taken as constant along the stroke; stop_length (...) [m]: of the bump stop, which
    touches at closed + stop_length; stop_squeeze [m] and stop_force [N] (..., j): its curve,
    ascending from 0, 0 (rows of nan at the end pad it); beyond the last row its last slope goes
    on. The default is no bump stop. end_rate (...) [N/m]: of the metal ends.

    Raises ValueError unless closed < open, end_rate > 0, gas_force and stop_length >= 0, and the
    stop's curve starts at 0, 0 and neither column descends.
    """
    eye_open, eye_closed, gas, height, end = np.broadcast_arrays(
        *(np.asarray(part, dtype=float) for part in (open, closed, gas_force, stop_length, end_rate))
    )
    if not (eye_open > eye_closed).all():
        raise ValueError("a damper's open length must exceed its closed length")
    if not ((gas >= 0.0) & (height >= 0.0)).all():
        raise ValueError("gas force and bump stop length must be zero or more")
    if not (end > 0.0).all():
        raise ValueError("the rate of a damper's ends must be positive")
    ends = ForceLaw(np.stack([eye_closed, eye_open], axis=-1), np.stack([gas, gas], axis=-1), -end, -end)
    squeeze, force, last = _stop_curve(stop_squeeze, stop_force)
    touch = (eye_closed + height)[..., None]
    stop = ForceLaw(touch - squeeze[..., ::-1], force[..., ::-1], -last, np.zeros(last.shape))
    return ends + stop


def _stop_curve(squeeze: ArrayLike, force: ArrayLike) -> tuple[Array, Array, Array]:
    """Bump stop curve with its padding filled, and its last slope [N/m]."""
    s, f = np.broadcast_arrays(np.asarray(squeeze, dtype=float), np.asarray(force, dtype=float))
    if s.ndim == 0 or s.shape[-1] == 0 or (np.isnan(s) != np.isnan(f)).any():
        raise ValueError("a bump stop's curve needs a force for each squeeze")
    if (s[..., 0] != 0.0).any() or (f[..., 0] != 0.0).any():
        raise ValueError("a bump stop's curve must start at no squeeze, no force")
    gap = np.isnan(s)
    if (gap[..., :-1] & ~gap[..., 1:]).any():
        raise ValueError("a bump stop's curve must not have gaps between rows")
    run, rise = np.diff(s), np.diff(f)
    # A padded row gives nan, which is neither.
    if ((run <= 0.0) | (rise < 0.0)).any():
        raise ValueError("a bump stop's squeeze must ascend and its force must not descend")
    last = np.zeros(s.shape[:-1])
    for j in range(run.shape[-1]):
        last = np.where(gap[..., j + 1], last, rise[..., j] / run[..., j])
    return np.fmax.accumulate(s, axis=-1), np.fmax.accumulate(f, axis=-1), last
