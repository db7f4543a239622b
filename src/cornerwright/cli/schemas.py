"""The JSON Schema of every file that is read and of every answer that is given."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict

from cornerwright.cli.run_demo import DemoResult
from cornerwright.cli.run_new import NewResult
from cornerwright.model.car import Car
from cornerwright.model.entry import Entries
from cornerwright.model.reading import Readings
from cornerwright.model.results import CheckResult, StandResult, TravelResult
from cornerwright.model.results_book import (
    AddResult,
    BookJointsResult,
    BookResult,
    CarNow,
    DiffResult,
    HandOverResult,
    JobsResult,
    LogResult,
    VerifyResult,
)
from cornerwright.model.results_brakes import BrakesResult
from cornerwright.model.results_choose import ChooseResult
from cornerwright.model.results_corner import CornerResult
from cornerwright.model.results_doubt import DoubtResult
from cornerwright.model.results_fit import FitResult
from cornerwright.model.results_joint import JointsResult
from cornerwright.model.results_plan import LearnResult, PlanResult
from cornerwright.model.results_road import RoadResult
from cornerwright.model.results_sweep import SweepResult
from cornerwright.model.results_why import WhyResult
from cornerwright.model.shelf import ShelfFile
from cornerwright.model.target import Targets

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class ProblemShape(BaseModel):
    """One thing that is wrong, where it stands and what was expected there."""

    model_config = ConfigDict(extra="forbid")

    file: str | None
    line: int | None
    field: str
    found: str
    expected: str


class ErrorShape(BaseModel):
    """Everything that is wrong with the input."""

    model_config = ConfigDict(extra="forbid")

    problems: list[ProblemShape]


class ErrorResult(BaseModel):
    """What --json prints instead of an answer when the input cannot be used."""

    model_config = ConfigDict(extra="forbid")

    error: ErrorShape


FILES: dict[str, type[BaseModel]] = {
    "car": Car,
    "readings": Readings,
    "targets": Targets,
    "shelf": ShelfFile,
    "entries": Entries,
}
ANSWERS: dict[str, type[BaseModel]] = {
    "check": CheckResult,
    "travel": TravelResult,
    "stand": StandResult,
    "joint": JointsResult,
    "fit": FitResult,
    "plan": PlanResult,
    "brakes": BrakesResult,
    "road": RoadResult,
    "corner": CornerResult,
    "choose": ChooseResult,
    "doubt": DoubtResult,
    "sweep": SweepResult,
    "why": WhyResult,
    "learn": LearnResult,
    "new": NewResult,
    "demo": DemoResult,
    "book_made": BookResult,
    "book_added": AddResult,
    "book_log": LogResult,
    "book_now": CarNow,
    "book_diff": DiffResult,
    "book_jobs": JobsResult,
    "book_joints": BookJointsResult,
    "book_report": HandOverResult,
    "book_verify": VerifyResult,
    "error": ErrorResult,
}
NAMES = (*FILES, *ANSWERS)


def schema_of(name: str) -> dict[str, Any]:
    """JSON Schema of a file as it is written, or of an answer as it is printed."""
    if name in ANSWERS:
        return {"$schema": DIALECT, **ANSWERS[name].model_json_schema(mode="serialization")}
    schema = FILES[name].model_json_schema()
    if name == "car":
        _let_right_be_partial(schema)
    return {"$schema": DIALECT, **schema}


def _let_right_be_partial(schema: dict[str, Any]) -> None:
    """Say that a car file gives of a right corner only what differs from the left, or nothing."""
    kinds = schema["$defs"]
    axle = kinds["Axle"]
    axle["required"] = [name for name in axle["required"] if name != "right"]
    axle["properties"]["right"] = {
        "anyOf": [_partial(axle["properties"]["right"], kinds), {"type": "null"}],
        "description": "Mirror of the left; give only what differs, member by member.",
    }


def _partial(schema: dict[str, Any], kinds: dict[str, Any]) -> dict[str, Any]:
    """The same schema with every member of every group optional; lists stand whole."""
    loose = {key: value for key, value in schema.items() if key != "required"}
    reference = loose.get("$ref")
    if reference is not None:
        name = str(reference).rpartition("/")[2]
        if name == "Point":
            return schema
        loose["$ref"] = f"#/$defs/{name}Differences"
        if f"{name}Differences" not in kinds:
            kinds[f"{name}Differences"] = {}
            kinds[f"{name}Differences"] = _partial(kinds[name], kinds)
    if "properties" in loose:
        loose["properties"] = {name: _partial(one, kinds) for name, one in loose["properties"].items()}
    if isinstance(loose.get("additionalProperties"), dict):
        loose["additionalProperties"] = _partial(loose["additionalProperties"], kinds)
    for key in ("anyOf", "oneOf", "allOf"):
        if key in loose and "properties" not in loose:
            loose[key] = [_partial(one, kinds) for one in loose[key]]
    return loose
