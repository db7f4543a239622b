"""The pages say what the program does: every command, option and field, no more and no less."""

from __future__ import annotations

import re
import typing
from collections.abc import Iterator
from pathlib import Path

import pytest
import typer
from pydantic import BaseModel

import cornerwright as cw
from cornerwright.cli.app import app
from cornerwright.model.base import Point
from cornerwright.model.car import Car
from cornerwright.model.entry import Entries
from cornerwright.model.files import read_document
from cornerwright.model.reading import Readings
from cornerwright.model.shelf import ShelfFile
from cornerwright.model.target import Targets
from cornerwright.model.units import LENGTH, Kind, Quantity, parse
from shared import PROJECT

DOCS = PROJECT / "docs"
PAGES = [PROJECT / "README.md", PROJECT / "CHANGELOG.md", *sorted(DOCS.glob("*.md"))]
COMMANDS = dict(
    (f"{name} {inner}", one) if inner else (name, one)
    for name, command in typer.main.get_command(app).commands.items()  # type: ignore[attr-defined]
    for inner, one in getattr(command, "commands", {"": command}).items()
)
"""Every command by its words: `plan`, `book now`."""


def sections(page: Path, level: str) -> dict[str, str]:
    """Text under each heading of this level, by heading."""
    parts = re.split(rf"^{level} (.+)$", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    return dict(
        zip(parts[1::2], (re.split(r"^##? ", part, flags=re.MULTILINE)[0] for part in parts[2::2]), strict=True)
    )


def options(command: str) -> set[str]:
    """Long options of a command, without --help."""
    return {name for one in COMMANDS[command].params for name in one.opts if name.startswith("--")} - {"--help"}


# ------------------------------------------------------------------- commands


def test_every_command_has_its_section():
    told = {head.removeprefix("cornerwright ") for head in sections(DOCS / "commands.md", "##")}
    assert told == set(COMMANDS)


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_option_is_told_and_no_other(command):
    text = sections(DOCS / "commands.md", "##")[f"cornerwright {command}"]
    usage = re.search(rf"^`cornerwright {command}[^`]*`$", text, re.MULTILINE)
    assert usage, "no usage line"
    assert set(re.findall(r"--[a-z-]+", usage[0])) == options(command)
    told = set(re.findall(r"--[a-z-]+", "\n".join(re.findall(r"^- .*", text, re.MULTILINE))))
    assert told >= options(command) - {"--json"}
    for one in COMMANDS[command].params:
        assert one.help or one.name == "help", f"{command} {one.name} has no help"


def shell_lines() -> Iterator[tuple[str, str]]:
    """Each line of each sh block of the pages."""
    for page in PAGES:
        for block in re.findall(r"^```sh\n(.*?)^```", page.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE):
            for line in block.replace("\\\n", " ").splitlines():
                if line.strip() and not line.startswith("#"):
                    yield page.name, line


@pytest.mark.parametrize(("page", "line"), list(shell_lines()))
def test_commands_on_the_pages_exist(page, line):
    words = line.split("#")[0].split()
    if words[0] == "make":
        assert re.search(rf"^{words[1]}:", (PROJECT / "Makefile").read_text(), re.MULTILINE)
    elif words[0] == "cornerwright":
        command = " ".join(words[1:3]) if words[1] not in COMMANDS and len(words) > 2 else words[1]
        assert {word for word in words if word.startswith("--")} <= options(command)
    else:
        assert words[0] in {"pip", "pipx", "python3", "cd"}, f"{page}: {line}"


# ------------------------------------------------------------------- fields


def inside(annotation: object) -> Iterator[object]:
    """An annotation and everything it is made of."""
    yield annotation
    for one in typing.get_args(annotation):
        yield from inside(one)


def reachable(model: type[BaseModel], seen: dict[str, type[BaseModel]]) -> dict[str, type[BaseModel]]:
    """Every document that a file of this kind may hold, by name."""
    if model.__name__ not in seen:
        seen[model.__name__] = model
        for field in model.model_fields.values():
            for one in inside(field.annotation):
                if isinstance(one, type) and issubclass(one, BaseModel):
                    reachable(one, seen)
    return seen


MODELS: dict[str, type[BaseModel]] = {}
for _root in (Car, Readings, Targets, ShelfFile, Entries):
    reachable(_root, MODELS)


def kind_of(model: type[BaseModel], name: str) -> Kind | None:
    """Kind of quantity that a field holds; for an aim, that of its aim."""
    field = model.model_fields[name]
    for one in [*field.metadata, *inside(field.annotation)]:
        if isinstance(one, Quantity):
            return one.kind
        if one is Point:
            return LENGTH
        if isinstance(one, type) and issubclass(one, BaseModel) and "within" in one.model_fields:
            return kind_of(one, "aim")
    return None


def rows(text: str) -> dict[str, tuple[str, str, str]]:
    """Rows of the table in this text: unit, what happens if left out, meaning, by field."""
    found = {}
    for line in re.findall(r"^\|(.*)\|$", text, re.MULTILINE):
        cells = [cell.strip() for cell in line.split("|")]
        if cells[0] not in ("field", "---"):
            assert len(cells) == 4, line
            found[cells[0]] = (cells[1], cells[2], cells[3])
    return found


FIELD_TABLES = sections(DOCS / "files.md", "###")


def test_every_document_has_its_table():
    told = [name for head in FIELD_TABLES for name in head.split(", ")]
    assert sorted(told) == sorted(MODELS)


@pytest.mark.parametrize("head", list(FIELD_TABLES))
def test_every_field_is_told_with_its_unit_and_default(head):
    table = rows(FIELD_TABLES[head])
    models = [MODELS[name] for name in head.split(", ")]
    for model in models:
        assert list(table) == list(model.model_fields)
    for name, (unit, left_out, _) in table.items():
        kinds = [kind_of(model, name) for model in models]
        assert unit == ", ".join(dict.fromkeys(kind.unit for kind in kinds if kind is not None)), name
        field = models[0].model_fields[name]
        if (head, name) == ("Axle", "right"):
            assert left_out == "mirror of the left"
        elif field.is_required():
            assert left_out == "needed", name
        elif isinstance(field.default, bool):
            assert left_out == str(field.default).lower(), name
        elif isinstance(field.default, float | int):
            default = float(left_out) if kinds[0] is None else parse(float(left_out), kinds[0])
            assert default == pytest.approx(field.default, rel=0.01), name
        elif isinstance(field.default, str):
            assert left_out == field.default, name
        else:
            assert left_out not in ("", "needed"), name


def test_choices_are_told():
    for name, model in MODELS.items():
        for field_name, field in model.model_fields.items():
            for one in inside(field.annotation):
                if typing.get_origin(one) is typing.Literal:
                    section = next(text for head, text in FIELD_TABLES.items() if name in head.split(", "))
                    row = " ".join(rows(section)[field_name])
                    for choice in typing.get_args(one):
                        assert str(choice) in row, f"{name}.{field_name}: {choice}"


# ------------------------------------------------------------------- examples and links


def example_files() -> list[Path]:
    return sorted((PROJECT / "examples").rglob("*.yaml"))


def test_there_are_examples():
    assert {path.stem for path in example_files()} >= {"car", "readings", "targets"}


@pytest.mark.parametrize("path", example_files(), ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_examples_load_and_say_that_they_are_invented(path):
    text = path.read_text(encoding="utf-8")
    load = {"car": cw.load_car, "readings": cw.load_readings, "targets": cw.load_targets, "shelf": cw.load_shelf}
    kind = re.search(r"^format: cornerwright (\w+) 1$", text, re.MULTILINE)
    assert kind
    assert load[kind[1]](path).invented
    assert "invented" in text.splitlines()[0].lower()


def yaml_blocks() -> Iterator[tuple[str, str]]:
    for page in PAGES:
        for block in re.findall(r"^```yaml\n(.*?)^```", page.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE):
            yield page.name, block


@pytest.mark.parametrize(("page", "block"), list(yaml_blocks()))
def test_files_shown_on_the_pages_load(page, block, tmp_path):
    load = {
        "car": cw.load_car,
        "readings": cw.load_readings,
        "targets": cw.load_targets,
        "shelf": cw.load_shelf,
        "entries": lambda file: read_document(file, Entries),
    }
    kind = re.search(r"^format: cornerwright (\w+) 1$", block, re.MULTILINE)
    assert kind, f"{page}: a yaml block that is no whole file"
    file = tmp_path / "shown.yaml"
    file.write_text(block, encoding="utf-8")
    load[kind[1]](file)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_between_the_pages_hold(page):
    for link in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        assert (page.parent / link).exists() or (page.parent / f"{link}.md").exists(), link


def without_numbers(line: str) -> str:
    """A line of output with its figures and spacing taken out: numbers may move with a solver's version."""
    return re.sub(r"\s+", " ", re.sub(r"[\d./−±]+", "#", line)).strip()


def test_the_readme_shows_what_the_demo_says(cornerwright, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    page = (PROJECT / "README.md").read_text(encoding="utf-8")
    shown = re.search(r"^```text\n(.*?)^```", page, re.DOTALL | re.MULTILINE)
    assert shown
    said = [without_numbers(line) for line in cornerwright("demo", "--out", "out/demo").out.splitlines()]
    lines = [line for line in shown[1].splitlines() if line.strip() not in ("", "...")]
    # Which adjuster takes how much may differ too; those rows, and where they break, are left out.
    lines = [line for line in lines if "[ ]" not in line and not line.startswith(" " * 30)]
    assert len(lines) > 20
    assert [line for line in lines if without_numbers(line) not in said] == []


def test_the_changelog_knows_this_version():
    assert re.search(rf"^## {re.escape(cw.__version__)}\b", (PROJECT / "CHANGELOG.md").read_text(), re.MULTILINE)


def test_the_pages_defer_to_the_makers():
    for page in ("README.md", "docs/measuring.md"):
        text = " ".join((PROJECT / page).read_text(encoding="utf-8").split()).lower()
        for word in ("stands", "compressed spring", "torque", "maker", "brake", "road law", "spacers"):
            assert word in text, f"{page}: {word}"
