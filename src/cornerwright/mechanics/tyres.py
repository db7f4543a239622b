"""Sizes and duties of tyres: design dimensions by the marking, loads by index, speeds by symbol.

Sources: ISO 4000-1 (load index, speed symbol, as public tables print them); from memory: ISO 4000-1 (dimensions), UN
R30 6.1 and annex 5 (section width, overall diameter, their tolerances), UN R54 (light trucks), the ETRTO design guide
(theoretical rim). Which rims a tyre may go on is tabled by its maker; the ratios here are drawn from such tables and
are a guide only.

Proof: tests/outside/test_iso_4000_1.py, tests/outside/test_etrto_sizes.py
"""

from __future__ import annotations

import math

INCH = 0.0254
"""[m], exact."""

_FIRST_INDEX = 50
_LOADS = (
    190, 195, 200, 206, 212, 218, 224, 230, 236, 243,
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325,
    335, 345, 355, 365, 375, 387, 400, 412, 425, 437,
    450, 462, 475, 487, 500, 515, 530, 545, 560, 580,
    600, 615, 630, 650, 670, 690, 710, 730, 750, 775,
    800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030,
    1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360,
    1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850,
    1900,
)  # fmt: skip
LOAD_INDEX = {_FIRST_INDEX + k: float(load) for k, load in enumerate(_LOADS)}
"""Load [kg] of one tyre by load index. Source: ISO 4000-1, from 50 to 130 as public tables print it."""

KMH = 1 / 3.6
"""[m/s] in one km/h."""

SPEED_SYMBOL = {
    symbol: speed * KMH
    for symbol, speed in {
        "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160,
        "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
    }.items()
}  # fmt: skip
"""Greatest speed [m/s] by speed symbol. Source: ISO 4000-1, as public tables print it."""

DERATED_FROM = {"V": (210 * KMH, 0.91), "W": (240 * KMH, 0.85), "Y": (270 * KMH, 0.85)}
"""Speed [m/s] up to which the whole load holds, and the share that is left at the symbol's own speed."""

WIDTH_PER_RIM = 0.4
"""K: section width gained per rim width. Source: UN R30 6.1.1.1, radial tyres."""

DIAMETER_LEAST, DIAMETER_MOST = 0.97, 1.04
"""Factors on the section height for the least and greatest overall diameter. Source: UN R30 6.1.5."""

WIDTH_MOST = 1.04
"""Greatest section width over the design width. Source: UN R30 6.1.4.2."""

MARKED_OVER_DESIGN = 0.5 * INCH
"""A tyre marked by its diameter is designed half an inch smaller. Source: the sizes of UN R54 annex 5."""


def load_of_index(index: int) -> float:
    """Load [kg] that one tyre of this load index carries. KeyError outside 50 to 130. Source: ISO 4000-1."""
    return LOAD_INDEX[index]


def speed_of_symbol(symbol: str) -> float:
    """Greatest speed [m/s] of this speed symbol. KeyError for another. Source: ISO 4000-1."""
    return SPEED_SYMBOL[symbol]


def load_share(symbol: str, speed: float) -> float:
    """Share of the load index's load that holds at this speed [m/s]; 0 beyond the symbol's own.

    Linear between the speeds given. Raises KeyError for a symbol that there is not.
    Source: UN R30 2.29 (V, W, Y), from memory.
    """
    most = SPEED_SYMBOL[symbol]
    if speed > most * (1 + 1e-12):
        return 0.0
    if symbol not in DERATED_FROM:
        return 1.0
    start, left = DERATED_FROM[symbol]
    return 1.0 - (1.0 - left) * max(0.0, speed - start) / (most - start)


def rim_diameter(code: float) -> float:
    """Nominal diameter [m] of a rim by its code in inches, to the mm. Source: UN R30 6.1.2."""
    return _to_mm(code * INCH)


def bead_seat_diameter(code: float) -> float:
    """Diameter [m] of the bead seat, of 5 degree taper. Valid: codes 10 to 30. Source: ISO 4000-2, from memory."""
    return code * INCH + (0.0048 if code >= 17 else -0.0008)


FLANGE_J = 0.0173
"""Height [m] of a J flange over the bead seat. Source: ISO 4000-2, from memory."""


def theoretical_rim(width: float, aspect: float | None) -> float:
    """Rim width A1 [m] on which a tyre has its nominal section width [m]; aspect: height over width, or None.

    Source: ETRTO design guide, from memory: 0.70 of the width from 50 % aspect ratio on, 0.85 from 45 % to 30 %,
    0.92 below. Of tyres marked by their diameter 0.80: the measuring rims of UN R54 annex 5.
    """
    return _theoretical_share(aspect) * width


def _theoretical_share(aspect: float | None) -> float:
    if aspect is None:
        return 0.80
    if aspect > 0.475:
        return 0.70
    return 0.85 if aspect > 0.275 else 0.92


def section_width(width: float, aspect: float | None, rim_width: float) -> float:
    """Design section width [m] of a tyre of this nominal width [m] on a rim of this width [m].

    S = S1 + K (A - A1). Source: UN R30 6.1.1.1; not rounded to the mm as the tables are.
    """
    return width + WIDTH_PER_RIM * (rim_width - theoretical_rim(width, aspect))


def section_height(width: float, aspect: float) -> float:
    """Design section height [m], to the mm, half a mm up. Source: UN R30 6.1.2."""
    return _to_mm(width * aspect)


def overall_diameter(width: float, aspect: float | None, rim_code: float, marked: float | None = None) -> float:
    """Design overall diameter [m]: D = d + 2 H; of a tyre marked by its diameter [m], that less half an inch.

    Source: UN R30 6.1.2; UN R54 annex 5. ValueError where neither aspect nor diameter is known.
    """
    if aspect is not None:
        return rim_diameter(rim_code) + 2 * section_height(width, aspect)
    if marked is None:
        raise ValueError("a tyre's size needs its aspect ratio or its overall diameter")
    return marked - MARKED_OVER_DESIGN


def diameter_range(diameter: float, rim_code: float) -> tuple[float, float]:
    """Least and greatest overall diameter [m] of a new tyre of this design diameter [m].

    Dmin = d + 2H 0.97, Dmax = d + 2H 1.04. Source: UN R30 6.1.5, radial tyres for normal use.
    """
    rim = rim_diameter(rim_code)
    height = diameter - rim
    return rim + DIAMETER_LEAST * height, rim + DIAMETER_MOST * height


def rim_range(width: float, aspect: float | None) -> tuple[float, float]:
    """Least and greatest rim width [m] that tyres of this nominal width [m] are usually allowed on.

    A guide drawn from tabled sizes, to the nearest half inch; the tyre maker's table counts.
    """
    percent = 75.0 if aspect is None else 100 * aspect
    low, high = next((low, high) for least, low, high in _RIM_RATIOS if percent >= least)
    half = INCH / 2
    return round(low * width / half) * half, round(high * width / half) * half


_RIM_RATIOS = (
    (62.5, 0.70, 0.90),
    (52.5, 0.68, 0.92),
    (47.5, 0.68, 0.92),
    (42.5, 0.80, 0.96),
    (37.5, 0.83, 0.98),
    (0.0, 0.86, 1.01),
)
"""Least aspect ratio [%], then least and greatest rim width over nominal width."""


def loaded_radius(free_radius: float, rate: float, load: float) -> float:
    """Radius [m] under this load [N] of a tyre of this free radius [m] and rate [N/m], standing."""
    return free_radius - load / rate


def _to_mm(length: float) -> float:
    """A length [m] to the nearest mm, half a mm up; what binary fractions add to half a mm is not counted."""
    return math.floor(length * 1000 + 0.5 + 1e-9) / 1000
