"""Units: the only place where a number changes its unit.

A document writes a bare number in the document unit of its kind (mm, N/mm, kg, deg, N·m, %) or a
text with any unit of the trade ("16 1/4 in", "450 lbf/in", "12°30'"). Attributes are SI floats.

Text is read exactly, as a fraction; what is rounded is the number in the document unit, once, so
that every value read from a file can be written back without change. Unit factors come from
pint, imported only when a unit other than the document unit has to be read.
"""

from __future__ import annotations

import math
import numbers
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from cornerwright.model.errors import Refusal
from cornerwright.model.unit_names import Unit, UnknownUnitError, factor_between, read_unit

STANDARD_GRAVITY = 9.80665  # [m/s2], exact by definition (3rd CGPM, 1901)
LONGEST_TEXT = 100  # a quantity needs no more; longer texts are not worth the arithmetic


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: SI value = document value * up / down.

    up and down are kept apart so that a division such as mm / 1000 is rounded once.
    """

    name: str
    si: str
    unit: str
    suffix: str
    up: float
    down: float
    dimensions: tuple[str, ...]
    article: str
    example: str
    hints: tuple[tuple[str, str], ...] = ()
    most: float = 1e9
    """Document units: more, either way, is a slip in a car's file, and would not fit in the sums."""
    least: float = 1e-9
    """Document units: of what must be above zero, less is a slip."""

    def words(self, limits: str = "") -> str:
        """What a file should hold, in plain words."""
        return f"{self.article}{limits} such as {self.example}"

    def hint(self, dimension: str) -> str | None:
        """What to write instead of a unit of this dimension, where people commonly slip."""
        return dict(self.hints).get(dimension)


LENGTH = Kind(
    "length", "m", "mm", "_mm", 1.0, 1000.0, ("L",),
    "a length", "412 or '16 1/4 in'", most=1e6,
)  # fmt: skip
ANGLE = Kind(
    "angle", "rad", "deg", "_deg", math.pi, 180.0, ("A",),
    "an angle", "-1.5 or 1°30'",
    (("L", "an angle such as -1.5 or 1°30', not a length: toe in mm depends on where it was "
      "measured"),),
)  # fmt: skip
MASS = Kind(
    "mass", "kg", "kg", "_kg", 1.0, 1.0, ("M",),
    "a mass", "14.2 or '31 lb'",
    (("F", "a mass: write kg or lb, not a unit of force"),),
)  # fmt: skip
FORCE = Kind(
    "force", "N", "N", "_n", 1.0, 1.0, ("F",),
    "a force", "250 or '56 lbf'",
    (("M", "a force: write N, lbf or kgf, not a unit of mass"),),
)  # fmt: skip
WEIGHT = Kind(
    "weight", "N", "kg", "_kg", STANDARD_GRAVITY, 1.0, ("M", "F"),
    "a weight as a scale shows it", "312.5 or '689 lb'",
)  # fmt: skip
RATE = Kind(
    "rate", "N/m", "N/mm", "_n_per_mm", 1000.0, 1.0, ("F/L",),
    "a spring rate", "60 or '450 lbf/in'",
    (("M/L", "a spring rate: write lbf/in for pounds per inch, kgf/mm for kilograms per mm"),),
)  # fmt: skip
TORQUE = Kind(
    "torque", "N.m", "N·m", "_nm", 1.0, 1.0, ("F L",),
    "a torque", "85 or '63 lbf·ft'",
    (("L M", "a torque: write lbf·ft for pound-feet, kgf·m for kilogram-metres"),),
)  # fmt: skip
TWIST_RATE = Kind(
    "twist_rate", "N.m/rad", "N·m/deg", "_nm_per_deg", 180.0, math.pi, ("F L/A",),
    "a twist stiffness", "12 or '700 N·m/rad'",
)  # fmt: skip
SHARE = Kind(
    "share", "1", "%", "_percent", 1.0, 100.0, ("%",),
    "a share in percent", "55 or '55 %'",
)  # fmt: skip
ANGLE_PER_LENGTH = Kind(
    "angle_per_length", "rad/m", "deg/mm", "_deg_per_mm", math.pi * 1000.0, 180.0, ("A/L",),
    "an angle per length", "0.02 or '0.5 deg/in'",
)  # fmt: skip
STRESS = Kind(
    "stress", "Pa", "MPa", "_mpa", 1e6, 1.0, ("P",),
    "a strength", "310 or '45 ksi'",
)  # fmt: skip
PRESSURE = Kind(
    "pressure", "Pa", "bar", "_bar", 1e5, 1.0, ("P",),
    "a pressure", "70 or '1000 psi'",
)  # fmt: skip
TEMPERATURE = Kind(
    "temperature", "degC", "degC", "_degc", 1.0, 1.0, ("T",),
    "a temperature", "230 or '446 °F'",
)  # fmt: skip
VOLUME = Kind(
    "volume", "m3", "cm3", "_cm3", 1.0, 1e6, ("V",),
    "a volume", "250 or '0.25 l'",
)  # fmt: skip
SWELL = Kind(
    "swell", "m3/Pa", "cm3/bar", "_cm3_per_bar", 1.0, 1e11, ("V/P",),
    "a swelling", "0.01 or '10 mm3/bar'",
)  # fmt: skip
SPEED = Kind(
    "speed", "m/s", "km/h", "_km_per_h", 10.0, 36.0, ("L/S",),
    "a speed", "100 or '60 mph'",
)  # fmt: skip
ROD_SPEED = Kind(
    "rod_speed", "m/s", "mm/s", "_mm_per_s", 1.0, 1000.0, ("L/S",),
    "a speed of a damper's rod", "100 or '0.1 m/s'",
)  # fmt: skip
TIME = Kind(
    "time", "s", "s", "_s", 1.0, 1.0, ("S",),
    "a time", "45 or '2 min'",
)  # fmt: skip
DISTANCE = Kind(
    "distance", "m", "km", "_km", 1000.0, 1.0, ("L",),
    "a distance driven", "8000 or '5000 miles'",
)  # fmt: skip
FREQUENCY = Kind(
    "frequency", "Hz", "Hz", "_hz", 1.0, 1.0, ("1/S",),
    "a frequency", "1.8 or '108 cpm'",
)  # fmt: skip

KINDS = {
    kind.name: kind
    for kind in (
        LENGTH, ANGLE, MASS, FORCE, WEIGHT, RATE, TORQUE, TWIST_RATE, SHARE, ANGLE_PER_LENGTH, STRESS,
        PRESSURE, TEMPERATURE, VOLUME, SWELL, SPEED, ROD_SPEED, TIME, DISTANCE, FREQUENCY,
    )
}  # fmt: skip


def from_document(value: float, kind: Kind | str) -> float:
    """SI value of a number in the document unit of its kind, given itself or by name."""
    kind = KINDS[kind] if isinstance(kind, str) else kind
    return value * kind.up / kind.down


def to_document(value: float, kind: Kind | str) -> float:
    """Number in the document unit that from_document turns back into this SI value.

    The shortest such number is taken, so that 0.412 m is written 412.0 and not 412.00000000000006.
    Where no number gives the value back to the last bit (possible only for values that were
    computed, never for values read), the nearest is returned.
    """
    kind = KINDS[kind] if isinstance(kind, str) else kind
    nearest = value * kind.down / kind.up
    if not math.isfinite(nearest):
        return nearest
    for digits in (12, 13, 14, 15, 16):
        short = float(f"{nearest:.{digits}g}")
        if from_document(short, kind) == value:
            return short
    beside = (nearest, math.nextafter(nearest, math.inf), math.nextafter(nearest, -math.inf))
    return next((near for near in beside if from_document(near, kind) == value), nearest)


def describe(value: object) -> str:
    """Say what stands in a file, briefly and in words for someone who is not a programmer."""
    if isinstance(value, str):
        return _describe_text(value)
    if isinstance(value, bool):
        return f"{'true' if value else 'false'} (yes or no)"
    if isinstance(value, numbers.Real):
        return _describe_number(value)
    if isinstance(value, dict):
        return "a group of names and values" if value else "an empty group"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    return "nothing" if value is None else f"a value of type {type(value).__name__}"


def _describe_number(value: numbers.Real) -> str:
    try:
        return f"{float(value):.12g}"
    except OverflowError:
        return "a number far too large"


def _describe_text(text: str) -> str:
    if not text.strip():
        return "an empty text"
    shown = text if len(text) <= 40 else f"{text[:37]}..."
    shown = "".join(sign if sign.isprintable() else "?" for sign in shown)
    if re.fullmatch(r"\d{4}-\d\d?-\d\d?([Tt ].*)?", text):
        return f"the date {shown}"
    return f"the text '{shown}'"


def parse(value: object, kind: Kind | str) -> float:
    """SI value of a number in the document unit, or of a text with any unit of the kind.

    Raises Refusal, with what was expected, for anything else: another kind of unit, a boolean,
    a date, a number that is not finite.
    """
    kind = KINDS[kind] if isinstance(kind, str) else kind
    if isinstance(value, bool) or not isinstance(value, str | numbers.Real):
        raise Refusal.of(describe(value), kind.words())
    try:
        document_value = _read_text(value, kind) if isinstance(value, str) else float(value)
    except OverflowError:
        raise Refusal.of(describe(value), f"{kind.words()}, a finite number") from None
    si = from_document(document_value, kind)
    if not math.isfinite(si):
        raise Refusal.of(describe(value), f"{kind.words()}, a finite number")
    return si


# -------------------------------------------------------------------------- reading text

_DECIMAL = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3}(?![0-9]))?"
_NUMBER = rf"(?:(?P<whole>[0-9]+)(?:\s+|\s*-\s*))?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)|(?P<decimal>{_DECIMAL})"
_QUANTITY = re.compile(rf"(?P<sign>[-+])?\s*(?:{_NUMBER})\s*(?P<unit>[^0-9].*)?", re.DOTALL)
_DEGREES = re.compile(
    rf"(?P<sign>[-+])?\s*(?P<degrees>[0-9]+)\s*(?:°|deg)\s*(?P<minutes>{_DECIMAL})\s*'"
    rf"(?:\s*(?P<seconds>{_DECIMAL})\s*(?:\"|''))?"
)
_FEET = re.compile(
    r"(?P<sign>[-+])?\s*(?P<feet>[0-9]+)\s*(?:'|ft|feet)\s*(?P<inches>[0-9].*?)\s*(?:\"|''|in|inch|inches)"
)
_FAHRENHEIT = ("°F", "degF", "fahrenheit")
_SIGNS = str.maketrans(
    {
        "−": "-", "–": "-", "′": "'", "’": "'", "″": '"', "”": '"', "º": "°", "\u2044": "/",
        "\u00a0": " ", "\u2009": " ", "\u202f": " ",
        "¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    }
)  # fmt: skip


def _read_text(text: str, kind: Kind) -> float:
    """Number in the document unit; the text is read exactly and rounded once, here."""
    if len(text) > LONGEST_TEXT:
        raise Refusal.of(describe(text), kind.words())
    return float(_exact(text.translate(_SIGNS).strip(), text, kind))


def _exact(plain: str, text: str, kind: Kind) -> Fraction:
    compound = _compound(plain, kind)
    if compound is not None:
        return compound
    if re.search(r"[0-9],[0-9]", plain):
        raise Refusal.of(describe(text), f"{kind.words()}: write a decimal point, not a comma")
    match = _QUANTITY.fullmatch(plain)
    number = None if match is None else _number(match)
    if match is None or number is None:
        raise Refusal.of(describe(text), kind.words())
    spelled = (match["unit"] or "").strip()
    if not spelled:
        if match["top"]:
            # A fraction is an inch size far more often than a count of mm: never guess.
            raise Refusal.of(describe(text), f"{kind.words()}: a fraction needs its unit")
        return number
    if kind is TEMPERATURE and spelled in _FAHRENHEIT:
        return (number - 32) * Fraction(5, 9)  # the one scale that does not start where the other does
    return number * _factor(spelled, text, kind)


def _number(match: re.Match[str]) -> Fraction | None:
    if match["decimal"]:
        size = Fraction(match["decimal"])
    else:
        bottom = int(match["bottom"])
        if bottom == 0:
            return None
        size = int(match["whole"] or 0) + Fraction(int(match["top"]), bottom)
    return -size if match["sign"] == "-" else size


def _compound(plain: str, kind: Kind) -> Fraction | None:
    """Degrees with minutes and seconds, or feet with inches: the two-part forms of the trade."""
    if kind is ANGLE and (match := _DEGREES.fullmatch(plain)):
        size = int(match["degrees"]) + Fraction(match["minutes"]) / 60 + Fraction(match["seconds"] or 0) / 3600
    elif kind is LENGTH and (match := _FEET.fullmatch(plain)):
        inches = _QUANTITY.fullmatch(match["inches"])
        part = None if inches is None or inches["unit"] else _number(inches)
        if part is None:
            return None
        in_inches = 12 * int(match["feet"]) + part
        size = in_inches * factor_between(read_unit("in"), read_unit("mm"))
    else:
        return None
    return -size if match["sign"] == "-" else size


def _factor(spelled: str, text: str, kind: Kind) -> Fraction:
    """Document units in one of the spelled unit."""
    try:
        unit = read_unit(_marks_as_names(spelled, kind))
    except UnknownUnitError as unknown:
        raise Refusal.of(describe(text), f"{kind.words()}{unknown.suggestion(kind.dimensions)}") from None
    dimension = unit.dimension()
    if dimension not in kind.dimensions:
        raise Refusal.of(describe(text), kind.hint(dimension) or kind.words())
    return factor_between(unit, _document_unit(kind, dimension))


def _document_unit(kind: Kind, dimension: str) -> Unit:
    # A scale that shows newtons or pounds-force is read as the kilograms it would show.
    if kind is WEIGHT and dimension == "F":
        return read_unit("kgf")
    return read_unit(kind.unit)


def _marks_as_names(spelled: str, kind: Kind) -> str:
    """Marks ' and " are feet and inches on a length, minutes and seconds on an angle."""
    marks = {"'": "arcmin", '"': "arcsec", "''": "arcsec"}
    if kind is not ANGLE:
        marks = {"'": "ft", '"': "in", "''": "in"}
    return marks.get(spelled, spelled)


# -------------------------------------------------------------------------- pydantic types


@dataclass(frozen=True)
class Quantity:
    """Annotation that makes a float field read document units or text, and hold SI.

    The limits are in the document unit.
    """

    kind: Kind
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None

    def words(self) -> str:
        """What a file should hold here."""
        limits = ""
        if self.above is not None and self.at_most is not None:
            limits = f" above {self.above:g} and up to {self.at_most:g}"
        elif self.above is not None:
            limits = f" above {self.above:g}"
        elif self.at_least is not None and self.at_most is not None:
            limits = f" from {self.at_least:g} to {self.at_most:g}"
        elif self.at_least is not None:
            limits = f" of at least {self.at_least:g}"
        elif self.at_most is not None:
            limits = f" of at most {self.at_most:g}"
        return self.kind.words(limits)

    def read(self, value: object) -> float:
        """SI value; raises PydanticCustomError with found and expected in its context."""
        try:
            si = parse(value, self.kind)
        except Refusal as refusal:
            problem = refusal.problems[0]
            expected = problem.expected.replace(self.kind.words(), self.words())
            raise unfit(problem.found, expected) from None
        shown = to_document(si, self.kind)
        if (
            (self.above is not None and shown <= self.above)
            or (self.at_least is not None and shown < self.at_least)
            or (self.at_most is not None and shown > self.at_most)
        ):
            raise unfit(describe(value), self.words())
        if abs(shown) > self.kind.most:
            raise unfit(describe(value), f"{self.words()}, at most {self.kind.most:g} {self.kind.unit}")
        if self.above == 0.0 and shown < self.kind.least:
            raise unfit(describe(value), f"{self.words()}, at least {self.kind.least:g} {self.kind.unit}")
        return si

    def write(self, value: float) -> float:
        """Number in the document unit."""
        return to_document(value, self.kind)

    def __get_pydantic_core_schema__(self, source: type[Any], handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read by read(), written by write()."""
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                self.write, return_schema=core_schema.float_schema()
            ),
        )

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Either a number in the document unit, or a text with its unit."""
        number: JsonSchemaValue = {"type": "number"}
        limits = (
            ("exclusiveMinimum", self.above),
            ("minimum", self.at_least),
            ("maximum", self.at_most),
        )
        number.update({name: limit for name, limit in limits if limit is not None})
        return {
            "anyOf": [number, {"type": "string", "maxLength": LONGEST_TEXT}],
            "description": f"{self.words()}; a bare number is in {self.kind.unit}",
        }


def unfit(found: str, expected: str, at: tuple[str | int, ...] = ()) -> PydanticCustomError:
    """Error for a validator to raise: what was found and what was expected, in plain words.

    at: where it stands below the value being validated, for validators of a whole document.
    """
    return PydanticCustomError(
        "unfit",
        "found {found}, expected {expected}",
        {"found": found, "expected": expected, "at": list(at)},
    )


Length = Annotated[float, Quantity(LENGTH)]
NonNegativeLength = Annotated[float, Quantity(LENGTH, at_least=0.0)]
PositiveLength = Annotated[float, Quantity(LENGTH, above=0.0)]
Angle = Annotated[float, Quantity(ANGLE)]
PositiveAngle = Annotated[float, Quantity(ANGLE, above=0.0)]
NonNegativeAngle = Annotated[float, Quantity(ANGLE, at_least=0.0)]
Mass = Annotated[float, Quantity(MASS, at_least=0.0)]
PositiveMass = Annotated[float, Quantity(MASS, above=0.0)]
Force = Annotated[float, Quantity(FORCE)]
Weight = Annotated[float, Quantity(WEIGHT)]
PositiveWeight = Annotated[float, Quantity(WEIGHT, above=0.0)]
Rate = Annotated[float, Quantity(RATE, at_least=0.0)]
PositiveRate = Annotated[float, Quantity(RATE, above=0.0)]
PositiveStress = Annotated[float, Quantity(STRESS, above=0.0)]
TwistRate = Annotated[float, Quantity(TWIST_RATE, above=0.0)]
Share = Annotated[float, Quantity(SHARE, at_least=0.0, at_most=100.0)]
PositiveShare = Annotated[float, Quantity(SHARE, above=0.0, at_most=100.0)]
PositiveTorque = Annotated[float, Quantity(TORQUE, above=0.0)]
PositiveDistance = Annotated[float, Quantity(DISTANCE, above=0.0)]
Pressure = Annotated[float, Quantity(PRESSURE, at_least=0.0)]
PositivePressure = Annotated[float, Quantity(PRESSURE, above=0.0)]
Temperature = Annotated[float, Quantity(TEMPERATURE, above=-60.0, at_most=2000.0)]
PositiveVolume = Annotated[float, Quantity(VOLUME, above=0.0)]
Swell = Annotated[float, Quantity(SWELL, at_least=0.0)]
PositiveSpeed = Annotated[float, Quantity(SPEED, above=0.0)]
PositiveRodSpeed = Annotated[float, Quantity(ROD_SPEED, above=0.0)]
Distance = Annotated[float, Quantity(DISTANCE, at_least=0.0)]
PositiveFrequency = Annotated[float, Quantity(FREQUENCY, above=0.0, at_most=100.0)]
SignedShare = Annotated[float, Quantity(SHARE, at_least=-100.0, at_most=100.0)]
PositiveForce = Annotated[float, Quantity(FORCE, above=0.0)]
