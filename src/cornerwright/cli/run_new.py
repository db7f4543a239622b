"""The starter files: a car, its readings, its targets, each value with how to measure it."""

from __future__ import annotations

import shlex
from pathlib import Path

from cornerwright.cli.options import one_of
from cornerwright.cli.page import Page
from cornerwright.cli.saving import check_outputs, write_whole
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.results import Result
from cornerwright.model.starter import template

PLACES = ("around", "apart")


class NewResult(Result):
    """The starter files that were written."""

    car: str
    readings: str
    targets: str


def starter_car(front_spring: str = "around", rear_spring: str = "apart") -> str:
    """Text of a starter car file, springs `around` the damper or `apart`. Raises Refusal."""
    front = one_of(front_spring, PLACES, "--front-spring")
    rear = one_of(rear_spring, PLACES, "--rear-spring")
    return "".join(template(name) for name in ("head", f"front_{front}", f"rear_{rear}"))


def run(file: Path, front_spring: str, rear_spring: str, force: bool) -> NewResult:
    """Write the three files; without `force` none if one is there already. Raises Refusal."""
    car = starter_car(front_spring, rear_spring)
    suffix = file.suffix or ".yaml"
    readings = file.with_name(f"{file.stem}-readings{suffix}")
    targets = file.with_name(f"{file.stem}-targets{suffix}")
    texts = {file: car, readings: template("readings"), targets: template("targets")}
    check_outputs({str(path): path for path in texts}, {})
    if not force and (there := [path for path in texts if path.exists()]):
        raise Refusal(
            Problem(str(path), None, "", "a file that is there already", "a new name, or --force") for path in there
        )
    for path, text in texts.items():
        write_whole(path, text.encode())
    return NewResult(car=str(file), readings=str(readings), targets=str(targets))


def show(page: Page, result: NewResult) -> None:
    """Where the files are and what to do next."""
    page.title("Starter files written", "new")
    page.columns(
        [
            ["car", result.car],
            ["readings", result.readings],
            ["targets", result.targets],
        ],
        align="<<",
    )
    page.head("Next")
    page.para("Replace the invented numbers by what you measure; the comments say how.", first="1. ")
    page.para("See what is wrong with it:", first="2. ")
    page.command(_line("check", result.car), indent=3)
    page.para("Work out what to turn:", first="3. ")
    page.command(
        _line("plan", result.car, "--readings", result.readings, "--targets", result.targets),
        indent=3,
    )


def _line(*words: str) -> str:
    """A command line as a shell takes it."""
    return shlex.join(("cornerwright", *words))
