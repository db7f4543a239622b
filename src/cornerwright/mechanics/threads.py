"""Thread geometry: ISO metric (ISO 724, ISO 965-1, ISO 898-1) and unified inch (ASME B1.1) threads.

Both have the same 60 degree profile; they differ in how deep the core is cut and in their tolerances. All
lengths [m]. Formulae and tables as makers' and public tables print those of the standards named, in part
from memory (docs/evidence.md says which); proofs: tests/outside/test_iso_724.py,
test_iso_965.py, test_asme_b1_1.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Form = Literal["M", "UN"]
"""M: ISO metric; UN: unified inch (UNC, UNF and their kin)."""

ROOT3 = math.sqrt(3.0)
INCH = 0.0254

CORE_DEPTH: dict[Form, float] = {"M": 17.0 / 24.0 * ROOT3, "UN": 0.75 * ROOT3}
"""Core diameter below the outer one, over the pitch: 1.226869 (ISO 724, 17/12 H), 1.299038 (ASME B1.1, 3/2 H)."""


def pitch_diameter(diameter: ArrayLike, pitch: ArrayLike) -> Array:
    """Basic pitch diameter d2 = d - 3/4 H [m], H = pitch sqrt(3)/2; arguments [m] broadcast. Source: ISO 724."""
    return np.asarray(diameter, dtype=float) - 0.375 * ROOT3 * np.asarray(pitch, dtype=float)


def minor_diameter(diameter: ArrayLike, pitch: ArrayLike) -> Array:
    """Basic minor diameter d1 = d - 5/4 H [m] of the inner thread; arguments [m] broadcast. Source: ISO 724."""
    return np.asarray(diameter, dtype=float) - 0.625 * ROOT3 * np.asarray(pitch, dtype=float)


def core_diameter(diameter: ArrayLike, pitch: ArrayLike, form: Form = "M") -> Array:
    """Diameter d3 at the root of the bolt's thread [m]; arguments [m] broadcast.

    Source: ISO 898-1 (d1 - H/6), ASME B1.1.
    """
    return np.asarray(diameter, dtype=float) - CORE_DEPTH[form] * np.asarray(pitch, dtype=float)


def stress_diameter(diameter: ArrayLike, pitch: ArrayLike, form: Form = "M") -> Array:
    """Diameter [m] of the round bar as strong as the thread, (d2 + d3)/2. Source: ISO 898-1, ASME B1.1."""
    return np.asarray(0.5 * (pitch_diameter(diameter, pitch) + core_diameter(diameter, pitch, form)))


def stress_area(diameter: ArrayLike, pitch: ArrayLike, form: Form = "M") -> Array:
    """Tensile stress area [m2], pi/4 ((d2 + d3)/2)^2; arguments [m] broadcast. Source: ISO 898-1, ASME B1.1."""
    return np.asarray(0.25 * np.pi * stress_diameter(diameter, pitch, form) ** 2)


# ------------------------------------------------------------------- limits


@dataclass(frozen=True)
class Limits:
    """Limits of size of an outer and an inner thread [m]."""

    major_max: float
    """Of the bolt, outside."""
    major_min: float
    pitch_max: float
    """Of the bolt, on the flanks."""
    pitch_min: float
    hole_minor_min: float
    """Of the nut or hole, inside."""
    hole_minor_max: float
    hole_pitch_min: float
    """Of the nut or hole, on the flanks."""
    hole_pitch_max: float


PREFERRED = (
    38, 40, 42, 45, 48, 50, 53, 56, 60, 63, 67, 71, 75, 80, 85, 90, 95, 100, 106, 112, 118, 125, 132, 140, 150, 160,
    170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600,
    630, 670, 710, 750, 800, 850, 900, 950, 1000, 1060, 1120, 1180,
)  # fmt: skip
"""Rounded series of tolerances [um] (ISO 3, R'40): one grade is four places. From the finest there is, grade 3 of M3,
to the coarsest, grade 9 of a pitch of 4 mm: no grade is counted past either end."""

MAJOR_6 = {
    0.5: 106, 0.6: 125, 0.7: 140, 0.75: 140, 0.8: 150, 1.0: 180, 1.25: 212, 1.5: 236, 1.75: 265, 2.0: 280,
    2.5: 335, 3.0: 375, 3.5: 425, 4.0: 475,
}  # fmt: skip
"""Tolerance [um] of a bolt's outer diameter, grade 6, by pitch [mm] (ISO 965-1)."""

MINOR_6 = {
    0.5: 140, 0.6: 160, 0.7: 180, 0.75: 190, 0.8: 200, 1.0: 236, 1.25: 265, 1.5: 300, 1.75: 335, 2.0: 375,
    2.5: 450, 3.0: 500, 3.5: 560, 4.0: 600,
}  # fmt: skip
"""Tolerance [um] of a hole's minor diameter, grade 6, by pitch [mm] (ISO 965-1)."""

PITCH_6: tuple[tuple[float, dict[float, tuple[int, int]]], ...] = (
    (5.6, {0.5: (75, 100), 0.6: (85, 112), 0.7: (90, 118), 0.75: (90, 118), 0.8: (95, 125)}),
    (11.2, {0.75: (100, 132), 1.0: (112, 150), 1.25: (118, 160), 1.5: (132, 180)}),
    (
        22.4,
        {1.0: (118, 160), 1.25: (132, 180), 1.5: (140, 190), 1.75: (150, 200), 2.0: (160, 212), 2.5: (170, 224)},
    ),
    (
        45.0,
        {1.0: (125, 170), 1.5: (150, 200), 2.0: (170, 224), 3.0: (200, 265), 3.5: (212, 280), 4.0: (224, 300)},
    ),
)
"""Tolerances [um] of the pitch diameter of bolt and hole, grade 6, by pitch [mm] up to a diameter [mm] (ISO 965-1)."""

DEVIATION: dict[str, dict[float, int]] = {
    "e": {
        0.5: 50, 0.6: 53, 0.7: 56, 0.75: 56, 0.8: 60, 1.0: 60, 1.25: 63, 1.5: 67, 1.75: 71, 2.0: 71, 2.5: 80,
        3.0: 85, 3.5: 90, 4.0: 95,
    },
    "f": {
        0.5: 36, 0.6: 36, 0.7: 38, 0.75: 38, 0.8: 38, 1.0: 40, 1.25: 42, 1.5: 45, 1.75: 48, 2.0: 52, 2.5: 58,
        3.0: 63, 3.5: 70, 4.0: 75,
    },
    "g": {
        0.5: 20, 0.6: 21, 0.7: 22, 0.75: 22, 0.8: 24, 1.0: 26, 1.25: 28, 1.5: 32, 1.75: 34, 2.0: 38, 2.5: 42,
        3.0: 48, 3.5: 53, 4.0: 60,
    },
}  # fmt: skip
"""Gap [um] between the basic profile and a thread in this position, by pitch [mm] (ISO 965-1); G is as g; h, H: 0."""

Fit = tuple[str, str]
"""Tolerance classes of bolt and hole: ("6g", "6H")."""

USUAL: dict[Form, Fit] = {"M": ("6g", "6H"), "UN": ("2A", "2B")}

LOOSENESS = {"3": 0.0, "2": 0.3}
"""Allowance of an outer thread of class 2A, over its tolerance; class 3A has none (ASME B1.1)."""

INCH_GRADE = {"2A": 1.0, "3A": 0.75, "2B": 1.3, "3B": 0.975}
"""Tolerance of the pitch diameter over that of class 2A (ASME B1.1)."""


def limits(diameter: float, pitch: float, form: Form = "M", fit: Fit | None = None) -> Limits:
    """Limits of size of bolt and hole [m]; fit: their tolerance classes, without it 6g and 6H, or 2A and 2B.

    diameter, pitch [m]. Valid: ISO metric threads of M3 to M45 with a standard pitch up to 4 mm, grades 3 to 9, bolts
    in e, f, g, h, holes in G, H; inch threads from 1/4 in (smaller ones: nearly), classes 2A, 3A, 2B, 3B.
    Raises ValueError for others. Source: ISO 965-1, ASME B1.1.
    """
    bolt, hole = USUAL[form] if fit is None else fit
    return _inch_limits(diameter, pitch, bolt, hole) if form == "UN" else _metric_limits(diameter, pitch, bolt, hole)


def _metric_limits(diameter: float, pitch: float, bolt: str, hole: str) -> Limits:
    step = round(pitch * 1e3, 4)
    size = diameter * 1e3
    row = next((row for top, row in PITCH_6 if size <= top + 1e-9), {})
    if step not in row or size < 2.8:
        raise ValueError(f"no tolerances are known for a thread of {size:g} mm by {step:g} mm")
    of_bolt, of_hole = row[step]
    gap_bolt, gap_hole = _gap(bolt[1:], step, "efgh"), _gap(hole[1:].lower(), step, "gh")
    major, middle, minor = (
        float(part) for part in (diameter, pitch_diameter(diameter, pitch), minor_diameter(diameter, pitch))
    )
    return Limits(
        major_max=major - gap_bolt,
        major_min=major - gap_bolt - _graded(MAJOR_6[step], bolt[:1]),
        pitch_max=middle - gap_bolt,
        pitch_min=middle - gap_bolt - _graded(of_bolt, bolt[:1]),
        hole_minor_min=minor + gap_hole,
        hole_minor_max=minor + gap_hole + _graded(MINOR_6[step], hole[:1]),
        hole_pitch_min=middle + gap_hole,
        hole_pitch_max=middle + gap_hole + _graded(of_hole, hole[:1]),
    )


def _gap(position: str, step: float, known: str) -> float:
    if position not in tuple(known):
        raise ValueError(f"no thread position '{position}'")
    return 0.0 if position == "h" else DEVIATION[position][step] * 1e-6


def _graded(of_six: int, grade: str) -> float:
    """Tolerance [m] of a grade from that of grade 6 [um]."""
    if grade not in tuple("3456789"):
        raise ValueError(f"no tolerance grade '{grade}'")
    return PREFERRED[PREFERRED.index(of_six) + 4 * (int(grade) - 6)] * 1e-6


def _inch_limits(diameter: float, pitch: float, bolt: str, hole: str) -> Limits:
    if bolt not in ("2A", "3A") or hole not in ("2B", "3B"):
        raise ValueError(f"no inch tolerance classes '{bolt}' and '{hole}'")
    size, step = diameter / INCH, pitch / INCH
    # Pitch diameter, class 2A, over a length of engagement of one diameter (ASME B1.1, from memory).
    tolerance = 0.0015 * (size ** (1 / 3) + size**0.5) + 0.015 * step ** (2 / 3)
    allowance = LOOSENESS[bolt[0]] * tolerance
    middle, minor = size - 0.375 * ROOT3 * step, size - 0.625 * ROOT3 * step
    of_minor = 0.25 * step - 0.4 * step**2
    return Limits(
        major_max=INCH * (size - allowance),
        major_min=INCH * (size - allowance - 0.06 * step ** (2 / 3)),
        pitch_max=INCH * (middle - allowance),
        pitch_min=INCH * (middle - allowance - INCH_GRADE[bolt] * tolerance),
        hole_minor_min=INCH * minor,
        hole_minor_max=INCH * (minor + of_minor),
        hole_pitch_min=INCH * middle,
        hole_pitch_max=INCH * (middle + INCH_GRADE[hole] * tolerance),
    )
