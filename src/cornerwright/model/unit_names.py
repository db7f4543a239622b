"""Names of units as the trade writes them, and the factor between two units.

Only names on the list are read. A general unit parser would take "412 Mm" for megametres and
"60 nm" for nanometres without a word; here they are refused. The factors are pint's, exact.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from importlib import import_module
from typing import Any

# dimension -> {pint's name: spellings}. Force is a dimension of its own, so that a spring rate
# in lb/in, which is pounds of mass per inch, is seen for the slip of the pen it is.
_SPELLINGS: dict[str, dict[str, str]] = {
    "L": {
        "micrometer": "um µm μm",
        "millimeter": "mm millimetre millimetres millimeter millimeters",
        "centimeter": "cm centimetre centimetres centimeter centimeters",
        "decimeter": "dm",
        "meter": "m metre metres meter meters",
        "thou": "thou mil",
        "inch": "in inch inches",
        "foot": "ft foot feet",
        "yard": "yd yard yards",
        "kilometer": "km kilometre kilometres kilometer kilometers",
        "mile": "mi mile miles",
    },
    "M": {
        "gram": "g gram grams",
        "kilogram": "kg kgs kilogram kilograms kilo kilos",
        "metric_ton": "t tonne tonnes",
        "ounce": "oz ounce ounces",
        "pound": "lb lbs lbm pound pounds",
        "stone": "st stone",
    },
    "F": {
        "newton": "N newton newtons",
        "dekanewton": "daN",
        "kilonewton": "kN kilonewton kilonewtons",
        "kilogram_force": "kgf kp",
        "force_ounce": "ozf",
        "force_pound": "lbf lbsf",
    },
    "A": {
        "degree": "deg degs degree degrees °",
        "arcminute": "arcmin arcmins arcminute arcminutes",
        "arcsecond": "arcsec arcsecs arcsecond arcseconds",
        "radian": "rad radian radians",
        "milliradian": "mrad",
        "turn": "turn turns rev revs",
    },
    "P": {
        "pascal": "Pa",
        "kilopascal": "kPa",
        "megapascal": "MPa N/mm² N/mm2",
        "bar": "bar",
        "psi": "psi",
        "ksi": "ksi",
    },
    "%": {"percent": "% percent", "dimensionless": "1"},
    "V": {
        "millimeter ** 3": "mm3 mm³",
        "centimeter ** 3": "cm3 cm³ cc ml",
        "liter": "l litre litres liter liters",
        "inch ** 3": "in3 in³",
    },
    "S": {"second": "s sec second seconds", "minute": "min minute minutes", "hour": "h hr hour hours"},
    "1/S": {"hertz": "Hz hertz", "1 / minute": "cpm"},
    "L/S": {"mile_per_hour": "mph"},
    "T": {"degree_Celsius": "degC °C celsius", "degree_Fahrenheit": "degF °F fahrenheit"},
}
_NAMES = {
    spelling: (name, dimension)
    for dimension, units in _SPELLINGS.items()
    for name, spellings in units.items()
    for spelling in spellings.split()
}
_RUN_TOGETHER = {"Nm": "N m", "kNm": "kN m", "kgfm": "kgf m"}


class UnknownUnitError(ValueError):
    """A unit that is not on the list."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name

    def suggestion(self, dimensions: tuple[str, ...]) -> str:
        """Return a tail for a message about one of these dimensions: '; did you mean mm?' or ''."""
        wanted = set("".join(dimensions))
        known = [name for name, (_, dimension) in _NAMES.items() if dimension in wanted]
        folded = [name for name in known if name.casefold() == self.name.casefold()]
        near = folded or difflib.get_close_matches(self.name, known, n=1, cutoff=0.6)
        return f"; did you mean {near[0]}?" if near else ""


@dataclass(frozen=True)
class Unit:
    """Units multiplied above and below the line, each as (pint's name, dimension), sorted."""

    above: tuple[tuple[str, str], ...]
    below: tuple[tuple[str, str], ...] = ()

    def dimension(self) -> str:
        """As in 'L', 'F/L' or 'F L'."""
        above = " ".join(sorted(dimension for _, dimension in self.above))
        below = " ".join(sorted(dimension for _, dimension in self.below))
        return f"{above}/{below}" if below else above


@lru_cache(maxsize=256)
def read_unit(text: str) -> Unit:
    """Unit written as in mm, N/mm, N·m, ft-lbf, 'lbf per in'; raises UnknownUnitError."""
    parts = re.sub(r"\s+per\s+", "/", text.strip()).split("/")
    if len(parts) > 2:
        raise UnknownUnitError(text)
    sides = [_read_side(part, text) for part in parts]
    return Unit(*sides)


def _read_side(part: str, text: str) -> tuple[tuple[str, str], ...]:
    names = re.split(r"[\s*.·⋅×-]+", part.strip())
    names = [single for name in names for single in _RUN_TOGETHER.get(name, name).split()]
    if not names:
        raise UnknownUnitError(text)
    for name in names:
        if name not in _NAMES:
            raise UnknownUnitError(name)
    return tuple(sorted(_NAMES[name] for name in names))


@lru_cache(maxsize=1)
def _registry() -> Any:
    # pint takes longer to import than all the rest, and most files use document units alone.
    return import_module("pint").UnitRegistry(non_int_type=Fraction)


@lru_cache(maxsize=256)
def factor_between(unit: Unit, other: Unit) -> Fraction:
    """How many of the other unit make one of this unit; the two are of the same dimension."""
    if unit == other:
        return Fraction(1)
    return Fraction(_registry().convert(Fraction(1), _pint_name(unit), _pint_name(other)))


def _pint_name(unit: Unit) -> str:
    above = " * ".join(name for name, _ in unit.above)
    return above + "".join(f" / {name}" for name, _ in unit.below)
