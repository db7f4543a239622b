"""The size marking on a tyre's wall: what it says of width, diameter, load and speed.

Read are the metric markings of passenger tyres (205/55R16 91V, 225/45ZR17 94W XL, HL245/40R19 101Y), those of
light trucks (LT245/75R16 120/116S, 195/70R15C 104/102R) and those by overall diameter (31x10.50R15LT 109Q).

Source of the forms: ISO 4000-1, UN R30 and UN R54, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from cornerwright.model.units import LENGTH, describe, from_document, parse, unfit

MARKING_WORDS = (
    "a tyre's size marking such as '205/55R16 91V', 'LT245/75R16 120/116S' or '31x10.50R15LT 109Q'; "
    "load index and speed symbol may be left out"
)
SPEED_SYMBOLS = ("F", "G", "J", "K", "L", "M", "N", "P", "Q", "R", "S", "T", "U", "H", "V", "W", "Y")
"""In the order of their speeds."""
LOAD_INDEX_RANGE = (50, 130)
LONGEST = 60

TyreUse = Literal["passenger", "light truck", "temporary"]

_SERVICE = r"(?:\s+\(?\s*(?P<load>\d{2,3})(?:\s*/\s*(?P<dual>\d{2,3}))?\s*(?P<speed>[A-Z])\s*\)?)?"
_FLAGS = r"(?P<flags>(?:\s+(?:XL|EXTRA LOAD|REINFORCED|REINF|RF|HL|TL|M\+S|LT))*)"
_METRIC = re.compile(
    r"(?P<prefix>LT|HL|P|T)?\s*(?P<width>\d{3})\s*/\s*(?P<aspect>\d{2})\s*"
    r"(?P<build>ZRF|ZR|RF|R|D|B|-)\s*(?P<rim>\d{2}(?:\.5)?)\s*(?P<suffix>C|LT)?" + _SERVICE + _FLAGS
)
_BY_DIAMETER = re.compile(
    r"(?P<diameter>\d{2}(?:\.\d{1,2})?)\s*[X×]\s*(?P<width>\d{1,2}(?:\.\d{1,2})?)\s*"
    r"(?P<build>R|D|B|-)\s*(?P<rim>\d{2}(?:\.5)?)\s*(?P<suffix>LT)?" + _SERVICE + _FLAGS
)
_ALMOST = (
    (re.compile(r"\d{3}\s*(?:Z?R|-)\s*\d{2}.*"), "no aspect ratio", "write it out, as in 165/80R13"),
    (re.compile(r"\d{3}\s*/\s*\d{2}\s*/\s*\d{2}.*"), "no letter for its build", "R for radial, as in 205/55R16"),
    (re.compile(r"\d\.\d\d?\s*-?\s*R?\s*\d{2}.*"), "a width in inches alone", "the metric size nearest to it"),
    (re.compile(r"\d{3}\s*/\s*\d{2}.*"), "no rim diameter after its width and aspect ratio", "as in 205/55R16"),
)


@dataclass(frozen=True)
class TyreMarking:
    """What a size marking says. Widths and diameters [m]; rim_code is the rim's diameter in inches."""

    text: str
    use: TyreUse
    width: float
    """Nominal section width [m]."""
    aspect: float | None
    """Nominal aspect ratio, height over width; None where the overall diameter is marked instead."""
    diameter: float | None
    """Marked overall diameter [m]; None on metric markings."""
    rim_code: float
    radial: bool
    load_index: int | None = None
    dual_load_index: int | None = None
    speed_symbol: str | None = None
    above_240: bool = False
    """Marked ZR: made for more than 240 km/h."""
    extra_load: bool = False

    @classmethod
    def read(cls, value: object) -> TyreMarking:
        """Marking from a document's value; one read before is kept. Raises PydanticCustomError with plain words."""
        if isinstance(value, TyreMarking):
            return value
        if not isinstance(value, str) or not value.strip() or len(value) > LONGEST:
            raise unfit(describe(value), MARKING_WORDS)
        text = " ".join(value.upper().replace("×", "X").split())
        if match := _METRIC.fullmatch(text):
            return _metric(match, value)
        if match := _BY_DIAMETER.fullmatch(text):
            return _by_diameter(match, value)
        for pattern, found, wanted in _ALMOST:
            if pattern.fullmatch(text):
                raise unfit(f"{describe(value)} with {found}", f"{MARKING_WORDS}: {wanted}")
        raise unfit(describe(value), MARKING_WORDS)

    def __str__(self) -> str:
        return self.text

    @classmethod
    def __get_pydantic_core_schema__(cls, source: type[Any], handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read by read(), written as its text."""
        return core_schema.no_info_plain_validator_function(
            cls.read,
            serialization=core_schema.plain_serializer_function_ser_schema(str, return_schema=core_schema.str_schema()),
        )

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """A text."""
        return {"type": "string", "maxLength": LONGEST, "description": MARKING_WORDS}


def _metric(match: re.Match[str], value: str) -> TyreMarking:
    width, aspect = int(match["width"]), int(match["aspect"])
    if width % 5 or not 105 <= width <= 455:
        raise unfit(f"{describe(value)}, of width {width}", f"{MARKING_WORDS}: the width in mm ends in 5 or 0")
    if not 20 <= aspect <= 95:
        raise unfit(f"{describe(value)}, of aspect ratio {aspect}", f"{MARKING_WORDS}: an aspect ratio from 20 to 95")
    prefix, suffix = match["prefix"], match["suffix"]
    use: TyreUse = "light truck" if prefix == "LT" or suffix else "temporary" if prefix == "T" else "passenger"
    return TyreMarking(
        text=" ".join(value.split()),
        use=use,
        width=from_document(width, LENGTH),
        aspect=aspect / 100,
        diameter=None,
        radial="R" in match["build"],
        above_240=match["build"].startswith("Z"),
        extra_load=prefix == "HL" or any(one in match["flags"] for one in ("XL", "EXTRA", "REINF", "RF", "HL")),
        rim_code=_rim_code(match, value),
        **_service(match, value),
    )


def _by_diameter(match: re.Match[str], value: str) -> TyreMarking:
    diameter, width = (parse(f"{match[name]} in", LENGTH) for name in ("diameter", "width"))
    code = _rim_code(match, value)
    if diameter <= parse(f"{code:g} in", LENGTH) + 0.05:
        raise unfit(f"{describe(value)}, hardly larger than its rim", MARKING_WORDS)
    return TyreMarking(
        text=" ".join(value.split()),
        use="light truck",
        width=width,
        aspect=None,
        diameter=diameter,
        radial=match["build"] == "R",
        extra_load=False,
        rim_code=code,
        **_service(match, value),
    )


def _rim_code(match: re.Match[str], value: str) -> float:
    code = float(match["rim"])
    if not 10 <= code <= 30:
        raise unfit(f"{describe(value)}, for a rim of {code:g} inches", f"{MARKING_WORDS}: a rim of 10 to 30 inches")
    return code


def _service(match: re.Match[str], value: str) -> dict[str, Any]:
    """Load index, that of twin wheels, and speed symbol."""
    low, high = LOAD_INDEX_RANGE
    found: dict[str, Any] = {}
    for name, key in (("load", "load_index"), ("dual", "dual_load_index")):
        if match[name] is None:
            continue
        index = int(match[name])
        if not low <= index <= high:
            wanted = f"{MARKING_WORDS}: a load index from {low} to {high}"
            raise unfit(f"{describe(value)}, of load index {index}", wanted)
        found[key] = index
    symbol = match["speed"]
    if symbol is not None:
        if symbol not in SPEED_SYMBOLS:
            known = ", ".join(SPEED_SYMBOLS)
            raise unfit(f"{describe(value)}, of speed symbol {symbol}", f"{MARKING_WORDS}: a speed symbol of {known}")
        found["speed_symbol"] = symbol
    return found
