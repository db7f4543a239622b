"""Threads, bolt classes and friction as the trade writes them: "M12x1.5", "1/2-20 UNF", 10.9, B."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, Literal, NamedTuple

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler, WithJsonSchema
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from cornerwright.model.units import LENGTH, describe, from_document, to_document, unfit

METRIC: dict[str, tuple[float, ...]] = {
    "3": (0.5,), "3.5": (0.6,), "4": (0.7, 0.5), "4.5": (0.75,), "5": (0.8, 0.5), "6": (1, 0.75), "7": (1, 0.75),
    "8": (1.25, 1, 0.75), "9": (1.25, 1), "10": (1.5, 1.25, 1, 0.75), "11": (1.5, 1), "12": (1.75, 1.5, 1.25, 1),
    "14": (2, 1.5, 1.25, 1), "15": (1.5, 1), "16": (2, 1.5, 1), "17": (1.5, 1), "18": (2.5, 2, 1.5, 1),
    "20": (2.5, 2, 1.5, 1), "22": (2.5, 2, 1.5, 1), "24": (3, 2, 1.5, 1), "25": (2, 1.5, 1), "27": (3, 2, 1.5, 1),
    "30": (3.5, 3, 2, 1.5, 1), "33": (3.5, 3, 2, 1.5), "36": (4, 3, 2, 1.5), "39": (4, 3, 2, 1.5),
}  # fmt: skip
"""Pitches [mm] by diameter [mm], the coarse one first where there is one (ISO 261, from memory)."""

NO_COARSE = frozenset({"9", "11", "15", "17", "25"})
"""Diameters that are written with their pitch: seldom used or without a coarse pitch."""

INCH: dict[str, tuple[str, int, int | None]] = {
    "#6": ("0.138", 32, 40), "#8": ("0.164", 32, 36), "#10": ("0.190", 24, 32), "#12": ("0.216", 24, 28),
    "1/4": ("1/4", 20, 28), "5/16": ("5/16", 18, 24), "3/8": ("3/8", 16, 24), "7/16": ("7/16", 14, 20),
    "1/2": ("1/2", 13, 20), "9/16": ("9/16", 12, 18), "5/8": ("5/8", 11, 18), "3/4": ("3/4", 10, 16),
    "7/8": ("7/8", 9, 14), "1": ("1", 8, 12),
}  # fmt: skip
"""Diameter [in], threads per inch coarse (UNC) and fine (UNF), by size (ASME B1.1, from memory)."""

LARGEST: dict[str, float] = {
    "4.6": 0.039, "4.8": 0.039, "5.6": 0.039, "5.8": 0.039, "6.8": 0.039, "8.8": 0.039, "9.8": 0.016,
    "10.9": 0.039, "12.9": 0.039, "A2-50": 0.039, "A2-70": 0.024, "A4-80": 0.024, "grade 5": 0.0254, "grade 8": 0.0381,
}  # fmt: skip
"""Largest diameter [m] for which a class of bolt says how strong it is."""

FRICTION_CLASSES: dict[str, tuple[float, float]] = {
    "A": (0.04, 0.10),
    "B": (0.08, 0.16),
    "C": (0.14, 0.24),
    "D": (0.20, 0.35),
    "E": (0.30, 0.45),
}
"""Friction in thread and under the head by class. A: waxed or lubricated with solid lubricant; B: plain or zinc,
oiled as delivered; C: dry, hot galvanised; D, E: dry on stainless or aluminium. VDI 2230 table A5, from memory (E is
open above; 0.45 is ours)."""

THREAD_WORDS = "a thread such as M12x1.5, M12 (coarse pitch) or 1/2-20 UNF, with LH at the end for a left-hand one"

_METRIC = re.compile(r"M\s*(?P<size>\d+(?:\.\d+)?)(?:\s*[X×*]\s*(?P<pitch>\d+(?:\.\d+)?))?")
_INCH = re.compile(
    r"(?P<size>#\s*\d+|\d+/\d+|\d+|0?\.\d+)\s*(?:\"|IN)?\s*(?:-\s*(?P<count>\d+))?\s*(?P<series>UNF|UNC|UN)?"
)


class Thread(NamedTuple):
    """A thread; in a file a text. Lengths [m]."""

    text: str
    """As the trade writes it."""
    form: Literal["M", "UN"]
    diameter: float
    pitch: float
    left_hand: bool = False

    @classmethod
    def read(cls, value: object) -> Thread:
        """Thread from a document's value; raises PydanticCustomError with what was expected."""
        if isinstance(value, Thread):
            return value
        if not isinstance(value, str) or len(value) > 40:
            raise unfit(describe(value), THREAD_WORDS)
        plain = value.strip().upper().replace(",", ".")
        left = plain.endswith("LH")
        plain = plain.removesuffix("LH").rstrip(" -")
        if metric := _METRIC.fullmatch(plain):
            return _metric(value, metric, left)
        if (inch := _INCH.fullmatch(plain)) and (inch["count"] or inch["series"]):
            return _inch(value, inch, left)
        raise unfit(describe(value), THREAD_WORDS)

    def write(self) -> str:
        """As the trade writes it."""
        return self.text

    @classmethod
    def __get_pydantic_core_schema__(cls, source: type[Any], handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read by read(), written by write()."""
        return core_schema.no_info_plain_validator_function(
            cls.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                cls.write, return_schema=core_schema.str_schema()
            ),
        )

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """A text."""
        return {"type": "string", "maxLength": 40, "description": THREAD_WORDS}


def _metric(value: str, match: re.Match[str], left: bool) -> Thread:
    size = f"{float(match['size']):g}"
    if size not in METRIC:
        raise unfit(describe(value), f"a diameter of ISO 261: M{', M'.join(METRIC)}")
    made = METRIC[size]
    listed = f"M{size} is made with a pitch of {_either([f'{one:g}' for one in made])} mm"
    if match["pitch"] is None:
        if size in NO_COARSE:
            raise unfit(describe(value), f"the pitch too, as in M{size}x{made[0]:g}; {listed}")
        pitch = float(made[0])
    else:
        pitch = float(match["pitch"])
    if pitch not in made:
        raise unfit(describe(value), f"a thread that is made: {listed}")
    coarse = pitch == made[0] and size not in NO_COARSE
    text = f"M{size}" if coarse else f"M{size}x{pitch:g}"
    return Thread(_handed(text, left), "M", from_document(float(size), LENGTH), from_document(pitch, LENGTH), left)


def _inch(value: str, match: re.Match[str], left: bool) -> Thread:
    size = match["size"].replace(" ", "")
    if size not in INCH:
        # "0.5-20 UNF" is the half inch; numbered sizes have a # before them.
        named = {Fraction(inches): name for name, (inches, _, _) in INCH.items()}
        if re.fullmatch(r"\d+/0+", size):
            raise unfit(describe(value), THREAD_WORDS)
        size = named.get(Fraction(size.removeprefix("#")), "") if not size.startswith("#") else ""
    if size not in INCH:
        raise unfit(describe(value), f"an inch size of ASME B1.1: {', '.join(INCH)}")
    inches, coarse, fine = INCH[size]
    series = {"UNC": coarse, "UNF": fine}
    count = int(match["count"]) if match["count"] else series.get(match["series"] or "")
    listed = f"{size} is made as {size}-{coarse} UNC" + (f" or {size}-{fine} UNF" if fine else "")
    if count is None or count not in (coarse, fine) or (match["series"] in series and series[match["series"]] != count):
        raise unfit(describe(value), f"a thread that is made: {listed}")
    name = "UNC" if count == coarse else "UNF"
    millimetres = Fraction(inches) * Fraction(254, 10)
    diameter, pitch = (from_document(float(one), LENGTH) for one in (millimetres, Fraction(254, 10) / count))
    return Thread(_handed(f"{size}-{count} {name}", left), "UN", diameter, pitch, left)


def _handed(text: str, left: bool) -> str:
    return f"{text} LH" if left else text


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"


def _read_class(value: object) -> object:
    """A bolt's class as text: a file may hold 8.8 as a number."""
    text = f"{value}" if isinstance(value, int | float | str) and not isinstance(value, bool) else ""
    plain = " ".join(text.strip().split())
    known = {name.casefold(): name for name in LARGEST}
    found = known.get(plain.casefold()) or known.get(plain.casefold().replace("gr ", "grade "))
    if found is None:
        raise unfit(describe(value), f"a bolt's class: {_either(list(LARGEST))}")
    return found


def check_class(marking: str | None, thread: Thread) -> None:
    """Raise ValueError where a class says nothing of bolts as thick as this thread."""
    if marking is not None and thread.diameter > LARGEST[marking] + 1e-9:
        most = to_document(LARGEST[marking], LENGTH)
        raise ValueError(f"class {marking} says nothing of {thread.text}: it goes up to {most:g} mm")


PropertyClass = Annotated[
    str,
    BeforeValidator(_read_class),
    WithJsonSchema({"anyOf": [{"enum": list(LARGEST)}, {"type": "number"}], "description": "the bolt's class"}),
]
"""What stands on the bolt's head: 8.8, 10.9, 12.9, A2-70, grade 8."""


FRICTION_WORDS = "a friction from 0.03 to 0.6 such as 0.12, a range [0.10, 0.16], or a class: A, B, C, D or E"


def _read_friction(value: object) -> object:
    """Least and greatest friction."""
    if isinstance(value, str) and value.strip().upper() in FRICTION_CLASSES:
        return FRICTION_CLASSES[value.strip().upper()]
    if isinstance(value, Mapping | str | bool) or value is None:
        raise unfit(describe(value), FRICTION_WORDS)
    both: list[Any] = list(value) if isinstance(value, list | tuple) else [value, value]
    if len(both) != 2 or not all(isinstance(one, int | float) and not isinstance(one, bool) for one in both):
        raise unfit(describe(value), FRICTION_WORDS)
    low, high = float(both[0]), float(both[1])
    if not (math.isfinite(low) and math.isfinite(high) and 0.03 <= low <= high <= 0.6):
        raise unfit(f"the friction {low:g} to {high:g}", FRICTION_WORDS)
    return (low, high)


_FRICTION_NUMBER = {"type": "number", "minimum": 0.03, "maximum": 0.6}

Friction = Annotated[
    tuple[float, float],
    BeforeValidator(_read_friction),
    WithJsonSchema(
        {
            "anyOf": [
                _FRICTION_NUMBER,
                {"type": "array", "items": _FRICTION_NUMBER, "minItems": 2, "maxItems": 2},
                {"enum": list(FRICTION_CLASSES)},
            ],
            "description": FRICTION_WORDS,
        }
    ),
]
"""Least and greatest friction in the thread and under the head."""
