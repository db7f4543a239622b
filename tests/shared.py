"""What several test modules call by name: where the project lies, and answers held against their schema."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema

PROJECT = Path(__file__).parents[1]


def fits_schema(cornerwright: Callable[..., Any], name: str, answer: Any) -> None:
    """Check an answer, or a file as plain data, against the schema that the program prints."""
    schema = cornerwright("schema", name).answer
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(answer, schema)
