"""Pages that the program itself writes when the site is built: schemas, and every number with its equation."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from mkdocs.structure.files import File, Files

from cornerwright.cli.schemas import ANSWERS, FILES, schema_of
from cornerwright.planning.why.explained import unit_of
from cornerwright.planning.why.registry import TABLES

COMMANDS = {
    "stand": "The car at rest (`stand`, `plan`)",
    "joint": "Joints (`joint`)",
    "fit": "Wheel, tyre and room (`fit`)",
    "brakes": "Brakes (`brakes`)",
    "travel": "A wheel through its travel (`travel`)",
    "road": "On the road (`road`)",
    "corner": "In a turn (`corner`)",
    "plan": "The plan (`plan`)",
    "learn": "What readings taught (`learn`)",
    "doubt": "How sure it is before anything is read (`doubt`)",
}


def on_config(config: Any) -> Any:
    """A page on measuring by the camera or otherwise joins the menu when it is there."""
    if (Path(config["docs_dir"]) / "measure.md").exists():
        place = next(k for k, one in enumerate(config["nav"]) if "Measuring" in one)
        config["nav"].insert(place, {"Measure your car": "measure.md"})
    return config


def on_files(files: Files, config: Any) -> Files:
    """Add the written pages and the schemas themselves."""
    for name, text in {"schemas.md": schemas(), "numbers.md": numbers()}.items():
        files.append(File.generated(config, name, content=text))
    for name in (*FILES, *ANSWERS):
        text = json.dumps(schema_of(name), indent=2, ensure_ascii=False) + "\n"
        files.append(File.generated(config, f"schemas/{name}.json", content=text))
    return files


def cell(text: str) -> str:
    """Words that may stand in a table."""
    return text.replace("|", "\\|").replace("\n", " ").strip()


def kind_of(field: dict[str, Any]) -> str:
    """What a field of a schema holds, in a few words."""
    if "$ref" in field:
        return str(field["$ref"]).rpartition("/")[2]
    if "anyOf" in field:
        return " or ".join(dict.fromkeys(kind_of(one) for one in field["anyOf"]))
    if "enum" in field or "const" in field:
        return " or ".join(f"`{one}`" for one in field.get("enum", [field.get("const")]))
    inner = field.get("items") or field.get("additionalProperties")
    if isinstance(inner, dict) and inner:
        return f"{'list of' if field.get('type') == 'array' else 'by name:'} {kind_of(inner)}"
    return str(field.get("type", "anything")).replace("array", "list")


def fields(schema: dict[str, Any]) -> list[str]:
    """A table of a schema's own fields."""
    lines = ["| field | holds | unit |", "| --- | --- | --- |"]
    for name, field in schema.get("properties", {}).items():
        lines.append(f"| `{name}` | {cell(kind_of(field))} | {unit_of(name)} |")
    return lines


def schemas() -> str:
    """The page of schemas: files by link, answers with their fields."""
    parts = [
        "# Schemas", "",
        "The JSON Schema of every file and of every answer, as `cornerwright schema NAME` prints it. Fields of the",
        "files, with their meaning: [files](files.md). Signs: [conventions](conventions.md). Numbers of answers and",
        "their equations: [every number](numbers.md).", "",
        "## Files", "",
    ]  # fmt: skip
    parts += [f"- [{name}](schemas/{name}.json)" for name in FILES]
    parts += ["", "## Answers", ""]
    for name in ANSWERS:
        schema = schema_of(name)
        parts += [f"### {name}", "", f"[The schema](schemas/{name}.json). {schema.get('description', '')}", ""]
        parts += [*fields(schema), ""]
    return "\n".join(parts) + "\n"


def numbers() -> str:
    """The page of every number that `cornerwright why` explains."""
    parts = [
        "# Every number",
        "",
        "What `cornerwright why CAR KEY` says of each number, without a car: what it is, its equation, its source.",
        "With a car it adds the inputs as they are there, and how sure the number is. Longer: [method](method.md).",
        "",
    ]
    for answer, table in TABLES.items():
        parts += [f"## {COMMANDS[answer]}", "", "| key | what | unit | equation | source |"]
        parts += ["| --- | --- | --- | --- | --- |"]
        for key, one in table.items():
            row = (f"`{key}`", one.what, unit_of(key), one.equation, one.source)
            parts.append("| " + " | ".join(cell(text) for text in row) + " |")
        parts.append("")
    return "\n".join(parts) + "\n"
