"""What all documents share: frozen, strict, SI inside, document units outside."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from cornerwright.model.units import LENGTH, Quantity, describe, to_document, unfit


class Document(BaseModel):
    """A part of a file.

    Validation is the only door: it reads bare numbers in document units (mm, N/mm, kg, deg, N·m,
    %) and texts with any unit. The attributes, and what model_copy(update=...) is given, are SI.
    Unknown is None, never a stand-in number.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    def to_document(self) -> dict[str, Any]:
        """Plain dicts, lists, texts and numbers in document units, ready for YAML or JSON.

        Validates back to an equal document; a value that was computed, not read, may return with
        its last bit changed. What is unknown by default is left out.
        """
        dumped = self.model_dump(mode="json")
        _leave_out_unknown(self, dumped)
        return dumped

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Pydantic's schema, with the defaults of quantities in document units as in a file."""
        schema = handler(core_schema)
        properties = handler.resolve_ref_schema(schema).get("properties", {})
        for name, field in cls.model_fields.items():
            quantity = next((mark for mark in field.metadata if isinstance(mark, Quantity)), None)
            if quantity is not None and isinstance(field.default, float) and name in properties:
                properties[name]["default"] = quantity.write(field.default)
        return schema


def _leave_out_unknown(value: object, dumped: Any) -> None:
    """Remove from the dumped form, in place, each None that is its field's default."""
    if isinstance(value, BaseModel) and isinstance(dumped, dict):
        for name, field in type(value).model_fields.items():
            inner = getattr(value, name)
            if inner is None and field.default is None:
                dumped.pop(name, None)
            elif name in dumped:
                _leave_out_unknown(inner, dumped[name])
    elif isinstance(value, Mapping) and isinstance(dumped, dict):
        for inner, shown in zip(value.values(), dumped.values(), strict=True):
            _leave_out_unknown(inner, shown)
    elif isinstance(value, list | tuple) and isinstance(dumped, list):
        for inner, shown in zip(value, dumped, strict=True):
            _leave_out_unknown(inner, shown)


POINT_WORDS = "a point [x, y, z] such as [12, 610, 185] or [0, '24 in', 185]"
_COORDINATE = Quantity(LENGTH)


class Point(NamedTuple):
    """A point in body axes [m]: x forward, y left, z up (ISO 8855).

    In a document: a list of three lengths, or a group with x, y and z.
    """

    x: float
    y: float
    z: float

    def mirrored(self) -> Point:
        """Return the same point on the other side of the car."""
        return Point(self.x, 0.0 - self.y, self.z)

    @classmethod
    def read(cls, value: object) -> Point:
        """Point from a document's value; a Point itself is SI already and is kept."""
        if isinstance(value, Point):
            return value
        if isinstance(value, Mapping):
            return cls(*cls._coordinates(value))
        if not isinstance(value, list | tuple) or len(value) != 3:
            raise unfit(describe(value), POINT_WORDS)
        return cls(*(_coordinate(item, place) for place, item in enumerate(value)))

    @classmethod
    def _coordinates(cls, value: Mapping[Any, Any]) -> list[float]:
        for name in value:
            if name not in cls._fields:
                raise unfit(f"the unknown name {describe(name)}", POINT_WORDS, at=(str(name),))
        for name in cls._fields:
            if name not in value:
                raise unfit(f"no {name}", POINT_WORDS)
        return [_coordinate(value[name], name) for name in cls._fields]

    def write(self) -> list[float]:
        """List in document units [mm]."""
        return [to_document(coordinate, LENGTH) for coordinate in self]

    @classmethod
    def __get_pydantic_core_schema__(cls, source: type[Any], handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read by read(), written by write()."""
        return core_schema.no_info_plain_validator_function(
            cls.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                cls.write,
                return_schema=core_schema.list_schema(core_schema.float_schema()),
            ),
        )

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Three lengths in a list, or by name."""
        length = _COORDINATE.__get_pydantic_json_schema__(schema, handler)
        return {
            "anyOf": [
                {"type": "array", "items": length, "minItems": 3, "maxItems": 3},
                {
                    "type": "object",
                    "properties": dict.fromkeys(cls._fields, length),
                    "required": list(cls._fields),
                    "additionalProperties": False,
                },
            ],
            "description": f"{POINT_WORDS}; bare numbers are in mm, body axes",
        }


def _coordinate(value: object, at: str | int) -> float:
    try:
        return _COORDINATE.read(value)
    except PydanticCustomError as error:
        context = error.context or {}
        raise unfit(str(context["found"]), str(context["expected"]), at=(at,)) from None
