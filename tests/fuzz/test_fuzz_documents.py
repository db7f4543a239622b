"""Damaged cars, readings, targets and entries are read or refused: no traceback, no hang, no change on the disk."""

from __future__ import annotations

import copy
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from bounds import bounded, clear, examples, on_disk
from damaging import DRESSED, PLAINLY, RAW, damaged, text_damaged, yaml_of
from hypothesis import given
from hypothesis import strategies as st

from cars import KINDS, tree_of_kind
from cornerwright.model.base import Document
from cornerwright.model.car import Car
from cornerwright.model.carfile import load_car, load_readings, load_targets
from cornerwright.model.entry import Entries, canonical
from cornerwright.model.errors import Refusal
from cornerwright.model.files import read_document, read_tree, validated
from cornerwright.model.mirror import left_of, with_right_corners
from cornerwright.model.parts import CORNERS
from cornerwright.model.tree import Node, Tree
from shared import PROJECT

EXAMPLES = ("tarn_fell", "skerry_nine")


def _text(name: str, file: str) -> str:
    return (PROJECT / "examples" / name / f"{file}.yaml").read_text(encoding="utf-8")


@cache
def _plain(name: str, file: str) -> Any:
    plain = read_tree(PROJECT / "examples" / name / f"{file}.yaml").plain
    if file == "car":
        plain["shelf"] = {
            "springs": [
                {"name": "hill", "fits": "front", "rate": "45 N/mm", "free_length": 175, "block_length": 60,
                "replaces": "main"},
                {"name": "softer", "fits": "rear", "rate": 70, "free_length": 205, "block_length": 82, "minutes": 50},
            ]
        }  # fmt: skip
    return plain


@cache
def _taken() -> Any:
    """A round as the hands take it, all kinds of it."""
    plain = copy.deepcopy(_plain("skerry_nine", "readings"))
    first = plain["passes"][0]
    for corner in CORNERS:
        first.pop(corner, None)
    first["taken"] = {
        "front_left": {
            "toe_strings": {"front_gap": 63, "rear_gap": 62, "diameter": 416},
            "camber_plumb": {"top_gap": 40, "bottom_gap": 31, "diameter": 380},
            "caster_sweep": {"left": {"steer": 20, "camber": 0.4}, "right": {"steer": "20 deg", "camber": -2.3}},
            "scale": {"shows": [210, "463 lb", 211], "zero": 0.5},
        },
        "front_right": {"toe_over": {"length": 1.5, "diameter": "416 mm"}, "scale": {"shows": [209]}},
        "rear_left": {"camber_over": {"length": "-3 mm", "diameter": 400}, "scale": {"shows": [190]}},
        "rear_right": {
            "height_to": {"what": "sill", "at": [-1500, -600, 200], "height": 180},
            "scale": {"shows": [188, 189]},
        },
        "missing": [{"mass": 75, "at": [-1100, 350, 560]}],
        "raised": {
            "axle": "rear",
            "steps": [{"lift": 300, "load": "430 kg"}, {"lift": "500 mm", "load": 438}],
            "level": 410,
            "total": 800,
            "front_radius": 285,
            "rear_radius": 285,
        },
        "strings": {"left": {"front": 760, "rear": 762}, "right": {"front": 761, "rear": 760}},
        "floor": {"front_left": 0, "front_right": 1, "rear_left": -2, "rear_right": 0.5},
    }
    return plain


@cache
def _entries() -> Any:
    """The example's book as a file of entries: every kind but few of each."""
    lines = (PROJECT / "examples" / "tarn_fell" / "book" / "entries.jsonl").read_text(encoding="utf-8").splitlines()
    kept: dict[str, list[Any]] = {}
    for line in lines:
        entry = json.loads(line)["entry"]
        if entry["body"]["kind"] != "car":
            kept.setdefault(entry["body"]["kind"], []).append(entry)
    return {"format": "cornerwright entries 1", "entries": [one for kind in kept.values() for one in kind[:3]]}


def _entry_of_a_car() -> Any:
    body = {"kind": "car", "car": tree_of_kind("strut")}
    return {"format": "cornerwright entries 1", "entries": [{"body": body}]}


LOADERS = {
    "car": load_car,
    "readings": load_readings,
    "targets": load_targets,
    "entries": lambda path: read_document(path, Entries),
}


def read_or_refused(kind: str, path: Path, content: bytes) -> Document | None:
    """The property itself; the document where there is one."""
    path.write_bytes(content)
    before = on_disk(path.parent)
    with bounded(kind):
        try:
            document = LOADERS[kind](path)
        except Refusal as refusal:
            clear(refusal, str(path))
            document = None
    assert on_disk(path.parent) == before
    if document is not None:
        _means_the_same_again(document)
    return document


def _means_the_same_again(document: Document) -> None:
    # What is taken in can be written down, by the book's rules too, and means the same again.
    said = document.to_document()
    again = type(document).model_validate(json.loads(canonical(said)))
    assert canonical(again.to_document()) == canonical(said)


def node_of(plain: Any) -> Node:
    """The value as the reader of YAML would have made it, all on one line."""
    if isinstance(plain, dict):
        return Node({name: (1, node_of(inner)) for name, inner in plain.items()}, 1)
    return Node([node_of(inner) for inner in plain] if isinstance(plain, list) else plain, 1)


def taken_in_or_refused(plain: Any) -> Car | None:
    """The same for a car whose text has been read: ten times as many in the same time."""
    tree = Tree("car.yaml", node_of(plain))
    with bounded("car, past its text"):
        try:
            document = validated(tree, Car, with_right_corners, left_of)
        except Refusal as refusal:
            clear(refusal, "car.yaml")
            return None
    _means_the_same_again(document)
    return document


@pytest.fixture
def path(tmp_path):
    return tmp_path / "file.yaml"


CARS = {f"example {name}": lambda name=name: _plain(name, "car") for name in EXAMPLES} | {
    f"kind {kind}": lambda kind=kind: tree_of_kind(kind) for kind in KINDS
}
PARTS = (
    ("front", "left", "joints"), ("front", "left", "fastening"), ("rear", "joints"), ("front", "left", "room"),
    ("front", "left", "wheel"), ("front", "left", "tyre"), ("front", "left", "brake"), ("brakes",), ("shelf",),
    ("parts",),
    ("front", "left", "linkage"), ("rear", "left", "linkage"), ("rear", "linkage"), ("front", "left", "adjusters"),
    ("front", "left", "spring"), ("rear", "left", "damper"), ("mass",), ("doubt",), ("front", "bar"), ("front",
    "left", "rocker"),
)  # fmt: skip


@examples(16.0)
@given(content=st.sampled_from(sorted(CARS)).flatmap(lambda name: damaged(CARS[name], *PARTS)))
def test_a_damaged_car_past_its_text(content):
    taken_in_or_refused(content)


@examples(8.0)
@given(content=st.sampled_from(sorted(CARS)).flatmap(lambda name: damaged(CARS[name], *PARTS, harsh=False)))
def test_a_car_with_other_numbers(content):
    taken_in_or_refused(content)


@examples(4.0, small=12)
@given(content=st.sampled_from(sorted(CARS)).flatmap(lambda name: damaged(CARS[name], *PARTS)), dressed=DRESSED)
def test_a_damaged_car(path, content, dressed):
    read_or_refused("car", path, yaml_of(content, dressed).encode("utf-8", "surrogatepass"))


@examples(3.0, small=12)
@given(content=st.sampled_from(EXAMPLES).flatmap(lambda name: text_damaged(lambda: _text(name, "car"))))
def test_the_text_of_a_car(path, content):
    read_or_refused("car", path, content)


READINGS = {name: lambda name=name: _plain(name, "readings") for name in EXAMPLES} | {"taken": _taken}


@examples(10.0)
@given(content=st.sampled_from(sorted(READINGS)).flatmap(lambda name: damaged(READINGS[name])), dressed=DRESSED)
def test_damaged_readings(path, content, dressed):
    read_or_refused("readings", path, yaml_of(content, dressed).encode("utf-8", "surrogatepass"))


@examples(11.0)
@given(
    content=st.sampled_from(EXAMPLES).flatmap(lambda name: damaged(lambda: _plain(name, "targets"))), dressed=DRESSED
)
def test_damaged_targets(path, content, dressed):
    read_or_refused("targets", path, yaml_of(content, dressed).encode("utf-8", "surrogatepass"))


@examples(7.0)
@given(
    file=st.sampled_from(("readings", "targets")),
    content=st.sampled_from(EXAMPLES).flatmap(lambda name: text_damaged(lambda: _text(name, "targets"))),
)
def test_the_text_of_readings_and_targets(path, file, content):
    read_or_refused(file, path, content)


@examples(5.0)
@given(
    content=damaged(_entries, ("entries",)) | damaged(_entry_of_a_car, ("entries", 0, "body")),
    dressed=DRESSED | st.just(PLAINLY),
)
def test_damaged_entries(path, content, dressed):
    read_or_refused("entries", path, yaml_of(content, dressed).encode("utf-8", "surrogatepass"))


@examples(3.0)
@given(kind=st.sampled_from(sorted(LOADERS)), content=RAW)
def test_anything_at_all(path, kind, content):
    assert read_or_refused(kind, path, content) is None


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_undamaged_ones_are_read(path, name):
    for kind in ("car", "readings", "targets"):
        assert read_or_refused(kind, path, _text(name, kind).encode()) is not None
        assert read_or_refused(kind, path, yaml_of(_plain(name, kind)).encode()) is not None
    assert read_or_refused("readings", path, yaml_of(_taken()).encode()) is not None
    for kind in KINDS:
        assert read_or_refused("car", path, yaml_of(tree_of_kind(kind)).encode()) is not None
    assert read_or_refused("entries", path, yaml_of(_entries()).encode()) is not None
    assert read_or_refused("entries", path, yaml_of(_entry_of_a_car()).encode()) is not None
