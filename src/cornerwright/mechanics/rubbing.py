"""The chance that a tyre rubs, from how well sizes and places are known.

Each clearance goes evenly with the errors, which are independent and normal; errors that several clearances share
(tyre, wheel place) tie them to each other. Source: linear propagation of normal errors, any textbook.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from cornerwright.mechanics.envelope import Contact
from cornerwright.mechanics.tyre_profile import Profile

Array = NDArray[np.float64]

DRAWS = 1 << 14
SEED = 20


def sensitivity(profile: Profile, seat_radius: float, contact: Contact, centre: Array, axis: Array) -> Array:
    """Change of a clearance per unit of each error that wheels share: (7,).

    Tyre's section width [m/m], its free radius [m/m], wheel centre x, y, z [m/m], camber and toe [m/rad] of a wheel
    with this outboard axis (3,) and centre (3,) [m]. The tyre grows from its bead seat.
    """
    normal = contact.normal
    off = contact.place - centre
    along = float(normal @ axis)
    across = float(np.sqrt(max(0.0, 1.0 - along**2)))
    if float(normal @ (off - (off @ axis) * axis)) < 0:
        across = -across
    height = max(profile.radius - seat_radius, 1e-6)
    share = np.clip((contact.radial - seat_radius) / height, 0.0, 1.0)
    wide = 0.5 * np.clip(abs(contact.axial) / (profile.section / 2), 0.0, 1.0)
    # Camber leans the top outboard: a turn about the way forward; toe turns the front inboard: about the upright.
    side = 1.0 if axis[1] > 0 else -1.0
    lean = np.cross(np.array([-side, 0.0, 0.0]), off)
    turn = np.cross(np.array([0.0, 0.0, -side]), off)
    return np.array([-abs(along) * wide, -across * share, *(-normal), -normal @ lean, -normal @ turn])


def chance_of_rubbing(clearance: Array, shared: Array, own: Array) -> float:
    """Probability that any of k clearances (k,) [m] is below zero.

    shared (k, q) [m]: change per standard deviation of each shared error; own (k,) [m]: standard deviation of what
    each has by itself. One clearance: exact. Several: seeded draws of the shared errors, the rest exact, held
    between the greatest single chance and the sum of all.
    """
    if clearance.size == 0:
        return 0.0
    total = np.sqrt(np.sum(shared**2, axis=1) + own**2)
    single = _below(clearance, total)
    if clearance.size == 1 or single.sum() - single.max() < 1e-6:
        return float(single.max())
    drawn = np.random.default_rng(SEED).standard_normal((DRAWS // 2, shared.shape[1]))
    drawn = np.concatenate([drawn, -drawn])
    clear = np.ones(DRAWS)
    for k in np.flatnonzero(single > 1e-9):
        clear *= 1.0 - _below(clearance[k] + drawn @ shared[k], np.full(DRAWS, own[k]))
    return float(np.clip(1.0 - clear.mean(), single.max(), min(1.0, single.sum())))


def _below(value: Array, sd: Array) -> Array:
    """Chance that each is below zero."""
    return np.where(sd > 0, ndtr(-value / np.where(sd > 0, sd, 1.0)), (value < 0).astype(float))
