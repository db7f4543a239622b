"""What is read is answered: a verdict or a refusal from every command, never a fault of the program."""

from __future__ import annotations

import json
import math
from functools import cache
from typing import Any

import pytest
from bounds import bounded, examples
from damaging import damaged, yaml_of
from hypothesis import given
from hypothesis import strategies as st

from cars import KINDS, tree_of_kind
from cornerwright.cli import run
from cornerwright.model.carfile import load_car
from cornerwright.model.errors import Refusal
from cornerwright.model.files import read_tree
from cornerwright.model.parts import CORNERS
from shared import PROJECT

EXAMPLES = ("tarn_fell", "skerry_nine")
LONGEST = 120.0
"""[s] of processor time for one command."""

PARTS = {
    "check": (("front", "left"), ("rear", "left"), ("mass",)),
    "stand": (("front", "left", "spring"), ("rear", "left", "damper"), ("front", "left", "tyre"), ("front", "bar"),
    ("mass",)),
    "travel": (("front", "left", "linkage"), ("rear", "left", "linkage"), ("rear", "linkage"), ("front", "left",
    "adjusters")),
    "fit": (("front", "left", "room"), ("front", "left", "wheel"), ("rear", "left", "room"), ("front", "left",
    "tyre"), ("parts",)),
    "joint": (("front", "left", "joints"), ("front", "left", "fastening"), ("rear", "joints"), ("rear", "left",
    "fastening")),
    "brakes": (("brakes",), ("front", "left", "brake"), ("rear", "left", "brake"), ("mass",)),
    "corner": (("front", "left", "tyre"), ("front", "left", "spring"), ("mass",), ("front", "bar")),
    "road": (("front", "left", "damper"), ("rear", "left", "damper"), ("front", "left", "tyre"), ("rear", "left",
    "spring")),
}  # fmt: skip
"""What each command looks at: damaged as often as all the rest."""


@cache
def _plain(name: str, file: str) -> Any:
    return read_tree(PROJECT / "examples" / name / f"{file}.yaml").plain


BASES = {name: lambda name=name: _plain(name, "car") for name in EXAMPLES} | {
    kind: lambda kind=kind: tree_of_kind(kind) for kind in KINDS
}


def _finite(answer: Any) -> bool:
    if isinstance(answer, dict):
        return all(map(_finite, answer.values()))
    if isinstance(answer, list):
        return all(map(_finite, answer))
    return not isinstance(answer, float) or math.isfinite(answer)


def answered(capsys: Any, *arguments: object) -> int:
    """Run one command line: done, a limit broken, or a refusal that names what is wrong."""
    command = str(arguments[0])
    with bounded(command, LONGEST):
        status = run([str(one) for one in arguments])
    told = capsys.readouterr()
    assert status in (0, 1, 2), told.out[-800:] + told.err[-800:]
    if "--json" in arguments:
        answer = json.loads(told.out)
        assert _finite(answer)
        if status == 2:
            assert all(one["expected"] for one in answer["error"]["problems"]), answer
    else:
        assert status != 2 or told.err.strip()
        assert "Traceback" not in told.err
    return status


def cars(command: str, bases: tuple[str, ...] = tuple(BASES)) -> st.SearchStrategy[Any]:
    """Cars whose numbers are other ones, and some of which lack something."""
    parts = PARTS[command]
    return st.sampled_from(bases).flatmap(lambda name: damaged(BASES[name], *parts, *parts, harsh=False, most=3))


@pytest.fixture(autouse=True)
def shown_faults(monkeypatch):
    monkeypatch.setenv("CORNERWRIGHT_TRACEBACK", "1")


def _accepted(path, plain) -> bool:
    path.write_bytes(yaml_of(plain).encode())
    try:
        load_car(path)
    except Refusal:
        return False
    return True


SHARES = {
    "check": 0.08, "stand": 0.2, "travel": 0.15, "fit": 0.08,
    "joint": 0.15, "brakes": 0.08, "corner": 0.04, "road": 0.02,
}  # fmt: skip


@pytest.mark.parametrize("command", SHARES)
def test_a_car_that_is_read_is_answered(tmp_path, capsys, command):
    file = tmp_path / "car.yaml"
    more = ["--seconds", "4"] if command == "road" else []

    @examples(SHARES[command], small=2)
    @given(car=cars(command), corner=st.sampled_from(CORNERS), as_json=st.booleans())
    def each(car, corner, as_json):
        if _accepted(file, car):
            where = ["--corner", corner] if command == "travel" else []
            answered(capsys, command, file, *where, *more, *(["--json"] if as_json else []))

    each()


@examples(0.03, small=2)
@given(data=st.data(), name=st.sampled_from(EXAMPLES))
def test_readings_and_targets_that_are_read_are_planned_for(tmp_path, capsys, data, name):
    files = {file: tmp_path / f"{file}.yaml" for file in ("car", "readings", "targets")}
    which = data.draw(st.sampled_from(("car", "readings", "targets", "targets", "readings")))
    for file, path in files.items():
        base = lambda file=file: _plain(name, file)  # noqa: E731
        plain = data.draw(damaged(base, harsh=False, most=3)) if file == which else base()
        path.write_bytes(yaml_of(plain).encode())
    answered(capsys, "plan", files["car"], "--readings", files["readings"], "--targets", files["targets"],
             *(["--json"] if data.draw(st.booleans()) else []))  # fmt: skip
