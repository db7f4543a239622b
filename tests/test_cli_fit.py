"""`cornerwright fit`: page, JSON, pictures and refusals."""

from __future__ import annotations

import json
import struct
import xml.etree.ElementTree as ET

import pytest

from cars import car_of_kind
from shared import PROJECT, fits_schema
from workshop import car_with

EXAMPLES = {name: PROJECT / "examples" / name / "car.yaml" for name in ("skerry_nine", "tarn_fell")}
TARN = EXAMPLES["tarn_fell"]


def written(tmp_path, edits):
    car = tmp_path / "car.yaml"
    car.write_text(json.dumps(car_with(edits).to_document()), encoding="utf-8")
    return car


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_page_is_of_eighty_columns_and_defers_to_the_makers(cornerwright, name):
    told = cornerwright("fit", EXAMPLES[name])
    assert told.status == 0, told.err
    assert max(map(len, told.out.splitlines())) <= 80
    page = " ".join(told.out.split())
    for words in (
        "Everything that is known fits",
        "Clearance, front left",
        "never the maker's figure",
        "Road law",
        "lock to lock",
    ):
        assert words in page


@pytest.mark.parametrize("name", EXAMPLES)
def test_json_fits_its_schema(cornerwright, name):
    asked = cornerwright(
        "fit", EXAMPLES[name], "--corner", "front-left", "--lip-distance", "12", "--engagement", "14", "--json"
    )
    assert asked.status == 0
    fits_schema(cornerwright, "fit", asked.answer)
    (corner,) = asked.answer["corners"].values()
    assert len(corner["map"]["lifts_mm"]) == 41
    assert len(corner["map"]["across"]) == 21
    assert corner["inverse"]["best"]["stud_mm"] > 20
    assert 0.0 in corner["map"]["lifts_mm"]


def test_what_does_not_fit_ends_with_one_and_its_words(cornerwright, tmp_path):
    told = cornerwright("fit", written(tmp_path, {"rear.left.wheel.rim.pitch_circle": 100}))
    assert told.status == 1
    page = " ".join(told.out.split())
    assert "It does not fit." in page
    assert "rear left; wheel: wrong pitch circle: the wheel has 4 x 100 mm, the hub 4 x 102 mm" in page


def test_a_bad_marking_is_named_by_line_and_field(cornerwright, tmp_path):
    car = tmp_path / "car.yaml"
    car.write_text(TARN.read_text(encoding="utf-8").replace("185/60R14 82H", "185/60/14"), encoding="utf-8")
    told = cornerwright("fit", car)
    assert told.status == 2
    assert "front.left.tyre.marking" in told.err
    assert "no letter for its build" in told.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--corner", "middle"), "front_left"),
        (("--gap", "5"), "--lip-distance with it"),
        (("--lip-distance", "far"), "--lip-distance"),
        (("--lip-distance", "5", "--shelf", "-3"), "--shelf"),
        (("--lip-distance", "5", "--camber", "-1"), "two cambers"),
        (("--lip-distance", "5", "--camber", "-1:-3"), "the more negative one first"),
        (("--svg", "no/such/folder.svg"), "--svg"),
    ],
)
def test_wrong_options_are_refused(cornerwright, options, words):
    told = cornerwright("fit", TARN, *options)
    assert told.status == 2
    assert words in " ".join(told.err.split())


def test_pictures_are_written(cornerwright, tmp_path):
    svg, png = tmp_path / "fit.svg", tmp_path / "fit.png"
    told = cornerwright("fit", TARN, "--corner", "rear_right", "--svg", svg, "--png", png)
    assert told.status == 0, told.err
    assert ET.fromstring(svg.read_text(encoding="utf-8")).tag.endswith("svg")
    assert "rear right in its arch" in svg.read_text(encoding="utf-8")
    assert png.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", png.read_bytes()[16:24])
    assert width > 1000
    assert height > 1000


def test_a_car_that_says_nothing_is_told_so(cornerwright, tmp_path):
    car = tmp_path / "car.yaml"
    tree = car_of_kind("strut").to_document()
    for end in ("front", "rear"):
        for side in ("left", "right"):
            tree[end][side].pop("room", None)
            tree[end][side]["tyre"].pop("marking", None)
            for name in ("rim", "hub", "spacer", "instead_of"):
                tree[end][side]["wheel"].pop(name, None)
    car.write_text(json.dumps(tree), encoding="utf-8")
    told = cornerwright("fit", car)
    assert told.status == 0
    assert "Not enough is known" in told.out
    drawn = cornerwright("fit", car, "--svg", tmp_path / "x.svg")
    assert drawn.status == 2
    assert not (tmp_path / "x.svg").exists()
