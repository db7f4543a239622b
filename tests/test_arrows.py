"""Which module may import which: the layers, and that the mechanics know numbers only."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[1]
SOURCE = PROJECT / "src" / "cornerwright"
MECHANICS = sorted((SOURCE / "mechanics").rglob("*.py"))

NUMBERS = {"numba", "numpy", "scipy"}
PLAIN = {
    "__future__", "abc", "cmath", "collections", "dataclasses", "enum", "functools", "itertools", "math",
    "operator", "typing",
}  # fmt: skip
ASKED_OF_PINT = {"unit_names.py"}


def imports(path: Path) -> Iterator[str]:
    """Full names of the modules that a file imports, anywhere in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module or ""


def test_the_layers_hold():
    done = subprocess.run(
        [Path(sys.executable).parent / "lint-imports", "--no-cache"],
        cwd=PROJECT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_the_mechanics_are_there():
    assert len(MECHANICS) >= 5


@pytest.mark.parametrize("path", MECHANICS, ids=lambda path: path.stem)
def test_mechanics_import_numbers_only(path):
    for name in imports(path):
        root = name.partition(".")[0]
        ours = name == "cornerwright.mechanics" or name.startswith("cornerwright.mechanics.")
        assert ours or root in NUMBERS | PLAIN, f"{path.name} imports {name}"


@pytest.mark.parametrize("path", MECHANICS, ids=lambda path: path.stem)
def test_mechanics_neither_print_nor_read(path):
    called = {
        node.func.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & {"print", "open", "input", "exec", "eval"}


def test_units_are_converted_in_one_place():
    asking = re.compile(r"""import pint|from pint|import_module\(["']pint""")
    found = {path.name for path in SOURCE.rglob("*.py") if asking.search(path.read_text(encoding="utf-8"))}
    assert found == ASKED_OF_PINT


@pytest.mark.parametrize("path", sorted(SOURCE.rglob("*.py")), ids=lambda path: path.stem)
def test_only_the_press_sets_pages_and_only_the_commands_talk(path):
    layer = path.relative_to(SOURCE).parts[0]
    roots = {name.partition(".")[0] for name in imports(path)}
    if layer != "paper":
        assert "typst" not in roots
    if layer != "cli":
        assert not roots & {"typer", "rich", "click"}
