"""Threads that tear out: shear areas, the engagement as strong as the bolt, which of the two threads goes first.

Lengths [m], areas [m2], stresses [Pa], forces [N]. Proofs: tests/outside/test_fed_std_h28_2b.py,
test_vdi_2230.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from cornerwright.mechanics.threads import Limits

TAN30 = math.tan(math.pi / 6.0)

SHEAR_OF_TENSILE = 0.6
"""Shear strength over tensile strength taken for every material, steel's own. VDI 2230 allows more for aluminium
(0.7) and cast iron (0.9 and above); both from memory. Less is on the safe side."""


@dataclass(frozen=True)
class Stripping:
    """How strong a screwed length is."""

    outer_area: float
    """Shear area of the bolt's thread [m2]."""
    inner_area: float
    """Shear area of the nut's or hole's thread [m2]."""
    outer_load: float
    """Load [N] at which the bolt's thread tears off."""
    inner_load: float
    """Load [N] at which the nut's or hole's thread tears out."""

    @property
    def load(self) -> float:
        """Load at which the weaker of the two threads goes [N]."""
        return min(self.outer_load, self.inner_load)

    @property
    def inner_first(self) -> bool:
        """Whether the nut's or hole's thread goes before the bolt's."""
        return self.inner_load < self.outer_load


def shear_areas(limits: Limits, pitch: float) -> tuple[float, float]:
    """Shear areas [m2 per m of engagement] of the bolt's and of the hole's thread, at their worst limits of size.

    Bolt: pi/P D1max [P/2 + tan30 (d2min - D1max)]; hole: pi/P dmin [P/2 + tan30 (dmin - D2max)].
    Source: FED-STD-H28/2B (from memory).
    """
    bore, outside = limits.hole_minor_max, limits.major_min
    outer = math.pi / pitch * bore * (pitch / 2 + TAN30 * (limits.pitch_min - bore))
    inner = math.pi / pitch * outside * (pitch / 2 + TAN30 * (outside - limits.hole_pitch_max))
    return outer, inner


def stripping(
    limits: Limits, pitch: float, engagement: float, outer_strength: float, inner_strength: float
) -> Stripping:
    """Loads that tear the threads out of a length of full engagement [m]; strengths: tensile [Pa].

    Source: FED-STD-H28/2B, shear strength 0.6 of tensile strength.
    """
    outer, inner = (area * max(0.0, engagement) for area in shear_areas(limits, pitch))
    return Stripping(
        outer,
        inner,
        SHEAR_OF_TENSILE * outer_strength * outer,
        SHEAR_OF_TENSILE * inner_strength * inner,
    )


def equal_engagement(area: float, limits: Limits, pitch: float, outer_strength: float, inner_strength: float) -> float:
    """Length of full thread [m] at which the bolt breaks in its stress area [m2] before either thread strips.

    Le = 2 At / (bolt's shear area per length), times J = (As outer Rm outer)/(As inner Rm inner) where J > 1.
    Source: FED-STD-H28/2B (from memory). Its factor of 2 takes the shear strength for half of the tensile one.
    """
    outer, inner = shear_areas(limits, pitch)
    weaker = outer * outer_strength / (inner * inner_strength)
    return 2.0 * area / outer * max(1.0, weaker)


def needed_engagement(
    area: float, limits: Limits, pitch: float, outer_strength: float, inner_strength: float, wall: float | None = None
) -> float:
    """Length of full thread [m] that holds the bolt's breaking load in the hole's or in the bolt's thread.

    wall: width across flats of a nut [m] over which it may swell (from 1.4 d); None: a hole in a large body.
    With C1 for the swelling and C3 for the bending of the threads by their strength ratio.
    Source: VDI 2230 (2003/2015), section 5.5.5, solved for the length; from memory.
    """
    outer, inner = shear_areas(limits, pitch)
    ratio = inner * inner_strength / (outer * outer_strength)
    swelling = 1.0 if wall is None else nut_swelling(wall / limits.major_max)
    # The weaker thread carries: the hole's where the ratio is below 1.
    if ratio <= 1.0:
        held = swelling * inner_bending(ratio) * SHEAR_OF_TENSILE * inner_strength * inner
    else:
        held = swelling * outer_bending(ratio) * SHEAR_OF_TENSILE * outer_strength * outer
    return outer_strength * area / held


def nut_swelling(flats: float) -> float:
    """Factor C1 [1] for a nut whose width across flats is this multiple of the thread's diameter.

    Source: VDI 2230, 3.8 s/d - (s/d)^2 - 2.61 for 1.4 <= s/d < 1.9, from memory.
    """
    wide = min(max(flats, 1.4), 1.9)
    return 3.8 * wide - wide**2 - 2.61


def inner_bending(ratio: float) -> float:
    """Factor C3 [1] of the hole's thread by the ratio of the threads' strengths, inner over outer.

    Source: VDI 2230, 0.728 + 1.769 R - 2.896 R^2 + 1.296 R^3 for 0.4 < R < 1, 0.897 beyond; from memory.
    """
    if ratio >= 1.0:
        return 0.897
    low = max(ratio, 0.4)
    return 0.728 + 1.769 * low - 2.896 * low**2 + 1.296 * low**3


def outer_bending(ratio: float) -> float:
    """Factor C2 [1] of the bolt's thread by the ratio of the threads' strengths, inner over outer.

    Source: VDI 2230, 5.594 - 13.682 R + 14.107 R^2 - 6.057 R^3 + 0.9353 R^4 for 1 < R < 2.2, 0.897 below;
    from memory.
    """
    if ratio <= 1.0:
        return 0.897
    high = min(ratio, 2.2)
    return 5.594 - 13.682 * high + 14.107 * high**2 - 6.057 * high**3 + 0.9353 * high**4
