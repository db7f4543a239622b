"""Strength of bolts and nuts by their marking, and of what they are screwed into. Stresses [Pa]."""

from __future__ import annotations

from typing import NamedTuple

MPA = 1e6
KSI = 6.894757293168361e6  # [Pa], 1000 lbf/in2 exact


class Strength(NamedTuple):
    """Least values that a marking promises [Pa]."""

    proof: float
    """Stress under proof load."""
    yields: float
    """0.2 % proof stress, or lower yield point."""
    tensile: float
    source: str


ISO = "ISO 898-1, tables 3 to 7 (as suppliers' and schools' tables print them)"
STAINLESS = "ISO 3506-1 (from memory); its 0.2 % limit taken as proof stress"
INCH = "SAE J429 (from memory), up to 1 in (grade 5) and 1 1/2 in (grade 8)"

BOLTS: dict[str, tuple[tuple[float, Strength], ...]] = {
    "4.6": ((0.039, Strength(225 * MPA, 240 * MPA, 400 * MPA, ISO)),),
    "4.8": ((0.039, Strength(310 * MPA, 340 * MPA, 420 * MPA, ISO)),),
    "5.6": ((0.039, Strength(280 * MPA, 300 * MPA, 500 * MPA, ISO)),),
    "5.8": ((0.039, Strength(380 * MPA, 420 * MPA, 520 * MPA, ISO)),),
    "6.8": ((0.039, Strength(440 * MPA, 480 * MPA, 600 * MPA, ISO)),),
    "8.8": (
        (0.016, Strength(580 * MPA, 640 * MPA, 800 * MPA, ISO)),
        (0.039, Strength(600 * MPA, 660 * MPA, 830 * MPA, ISO)),
    ),
    "9.8": ((0.016, Strength(650 * MPA, 720 * MPA, 900 * MPA, ISO)),),
    "10.9": ((0.039, Strength(830 * MPA, 940 * MPA, 1040 * MPA, ISO)),),
    "12.9": ((0.039, Strength(970 * MPA, 1100 * MPA, 1220 * MPA, ISO)),),
    "A2-50": ((0.039, Strength(210 * MPA, 210 * MPA, 500 * MPA, STAINLESS)),),
    "A2-70": ((0.024, Strength(450 * MPA, 450 * MPA, 700 * MPA, STAINLESS)),),
    "A4-80": ((0.024, Strength(600 * MPA, 600 * MPA, 800 * MPA, STAINLESS)),),
    "grade 5": ((0.0254, Strength(85 * KSI, 92 * KSI, 120 * KSI, INCH)),),
    "grade 8": ((0.0381, Strength(120 * KSI, 130 * KSI, 150 * KSI, INCH)),),
}
"""By marking: up to which diameter [m], and the least values there."""


class Body(NamedTuple):
    """What a thread is cut into."""

    tensile: float
    """Least tensile strength [Pa]."""
    modulus: float
    """Young's modulus [Pa]."""
    bearing: float
    """Greatest pressure under a head or nut [Pa]."""
    diameters: float
    """Engagement in diameters that the trade asks for at the least (common practice, no source)."""
    words: str


BODIES: dict[str, Body] = {
    "mild_steel": Body(400 * MPA, 205e9, 490 * MPA, 1.0, "mild steel"),
    "steel": Body(600 * MPA, 205e9, 630 * MPA, 1.0, "steel"),
    "tempered_steel": Body(900 * MPA, 205e9, 770 * MPA, 1.0, "tempered steel"),
    "stainless": Body(500 * MPA, 195e9, 460 * MPA, 1.0, "stainless steel"),
    "cast_iron": Body(250 * MPA, 110e9, 850 * MPA, 1.5, "grey cast iron"),
    "nodular_iron": Body(400 * MPA, 169e9, 600 * MPA, 1.25, "nodular cast iron"),
    "cast_aluminium": Body(230 * MPA, 72e9, 220 * MPA, 2.0, "cast aluminium"),
    "aluminium": Body(310 * MPA, 70e9, 360 * MPA, 2.0, "aluminium"),
    "magnesium": Body(200 * MPA, 45e9, 180 * MPA, 2.5, "cast magnesium"),
}
"""Low values of common grades (steel: rolled or forged, as hubs are; aluminium: wrought, heat treated), from memory
of VDI 2230 table A9 and of the materials' standards: where the part's own strength is known, it is to be given."""

NUT_STRENGTH: dict[int, tuple[str, float]] = {
    8: ("8.8", 800 * MPA),
    10: ("10.9", 1000 * MPA),
    12: ("12.9", 1200 * MPA),
}
"""Nuts by their class: the strongest bolt they are meant for, and the strength of their thread taken [Pa]
(the class times 100 MPa: the stress of the bolt that a full nut holds; ISO 898-2, as a supplier's table prints it)."""


def bolt_strength(marking: str, diameter: float) -> Strength:
    """Least values of a bolt of this marking and diameter [m]. Raises ValueError where there are none."""
    for top, strength in BOLTS.get(marking, ()):
        if diameter <= top + 1e-9:
            return strength
    raise ValueError(f"no bolts of class {marking} with a diameter of {diameter * 1e3:g} mm")
