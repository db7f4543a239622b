"""`cornerwright choose`: page, JSON, picture, the car written and planned on, refusals."""

from __future__ import annotations

import json

import pytest

import cornerwright as cw
from shared import PROJECT, fits_schema

SHELF = PROJECT / "examples" / "tarn_fell" / "shelf.yaml"
QUICK = """
ride:
  front_frequency: {aim: 2.0 Hz, within: 0.06 Hz}
  rear_frequency: {aim: 129 cpm, within: 3 cpm}
  roll: {at_most: 2.4 deg}
  most_price: 400
"""


@pytest.fixture
def wished(job):
    text = job.targets.read_text(encoding="utf-8")
    job.targets.write_text(text[: text.index("ride:")] + QUICK, encoding="utf-8")
    return job


def test_page_json_picture_and_car(cornerwright, wished, tmp_path):
    written, drawn = tmp_path / "changed.yaml", tmp_path / "choice.svg"
    asked = ("choose", wished.car, "--targets", wished.targets, "--shelf", SHELF, "--most", 3)
    told = cornerwright(*asked, "--take", "a", "--write", written, "--svg", drawn)
    assert (told.status, told.err) == (0, "")
    flat = " ".join(told.out.split())
    for words in (
        "choice of parts",
        "sets of parts weighed",
        "gives up",
        "To turn with the parts of A in",
        "! Compressed",
    ):
        assert words in flat
    assert max(len(line) for line in told.out.splitlines()) <= 80
    assert drawn.read_text().startswith("<svg")
    found = cornerwright(*asked, "--json").answer
    fits_schema(cornerwright, "choose", found)
    first = found["choices"][0]
    assert first["figures"]["rear_frequency_hz"]["low"] == pytest.approx(2.1)
    # The car written holds the parts, comments kept, and plan goes on from it.
    changed = cw.load_car(written)
    names = {part["name"] for part in first["parts"]}
    there = {coil.name for one in changed.corners.values() for coil in one.spring.stack}
    assert names & there or not any(part["part"] == "springs" for part in first["parts"])
    assert "# Invented car" in written.read_text()
    again = cornerwright("plan", written, "--targets", wished.targets, "--json")
    assert again.status == 0
    # Of plans as good as each other the rounding of the written car may lead to another.
    assert again.answer["verdict"] == first["plan"]["verdict"]
    assert again.answer["chance"] == pytest.approx(first["plan"]["chance"], abs=0.05)
    assert abs(len(again.answer["moves"]) - len(first["plan"]["moves"])) <= 3


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--most", "40"), "--most"),
        (("--write", "x.yaml"), "--take"),
        (("--driven", "middle"), "--driven"),
    ],
)
def test_wishes_that_are_refused(cornerwright, wished, more, words):
    told = cornerwright("choose", wished.car, "--targets", wished.targets, *more)
    assert (told.status, words in told.err) == (2, True)


def test_refusals_name_the_file_they_are_about(cornerwright, wished):
    text = wished.targets.read_text(encoding="utf-8")
    wished.targets.write_text(text[: text.index("ride:")], encoding="utf-8")
    told = cornerwright("choose", wished.car, "--targets", wished.targets, "--shelf", SHELF, "--json")
    assert told.status == 2
    (problem,) = json.loads(told.out)["error"]["problems"]
    assert problem["file"].endswith("targets.yaml")
    assert problem["field"] == "ride"
