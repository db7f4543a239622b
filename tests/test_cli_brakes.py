"""`cornerwright brakes`: page, JSON, charts, cards, laps and refusals, on both examples; `check` with brakes."""

from __future__ import annotations

import json
import struct

import pytest

import cornerwright as cw
from cornerwright.planning.brake_heat import Stops
from shared import PROJECT, fits_schema

EXAMPLES = {name: PROJECT / "examples" / name / "car.yaml" for name in ("skerry_nine", "tarn_fell")}


@pytest.fixture
def lap(tmp_path):
    file = tmp_path / "hill.csv"
    file.write_text("time_s,speed_km_per_h\n0,120\n3,60\n20,130\n24,50\n40,120\n", encoding="utf-8")
    return file


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_page_holds_what_a_builder_asks(cornerwright, name):
    told = cornerwright("brakes", EXAMPLES[name])
    assert (told.status, told.err) == (0, "")
    text = " ".join(told.out.split())
    for words in (
        "Which axle locks first", "UN R13-H Annex 5", "Pedal and hand", "parking brake: 400 N", "Heat", "fluid boils",
        "Wear", "Brake hoses", "Bedding in", "Local law", "licensed workshop", "never the maker's figure",
        "as remembered",
    ):  # fmt: skip
        assert words in text
    assert max(len(line) for line in told.out.splitlines()) <= 80


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("more", [(), ("--load", "full", "--wet", "--wanted", "64", "--stops", "3")])
def test_json_fits_its_schema_and_is_the_librarys_answer(cornerwright, name, more):
    asked = cornerwright("brakes", EXAMPLES[name], *more, "--json")
    assert asked.status == 0
    fits_schema(cornerwright, "brakes", asked.answer)
    if not more:
        expected = cw.brakes(cw.load_car(EXAMPLES[name]))
        assert asked.answer == json.loads(expected.model_dump_json(by_alias=True))


def test_options_reach_the_answer(cornerwright):
    asked = cornerwright(
        "brakes", EXAMPLES["tarn_fell"], "--load", "light", "--wet", "--stops", "4", "--from", "80", "--to", "20 km/h",
        "--rate", "0.5", "--every", "1 min", "--air", "35", "--wanted", "70 %", "--at", "0.8", "--json",
    ).answer  # fmt: skip
    assert (asked["load"], asked["wet"]) == ("light", True)
    assert asked["heat"]["what"].startswith("4 stops from 80 to 20 km/h at 0.5 g, one every 60 s")
    assert asked["heat"]["ambient_degc"] == 35
    assert asked["wanted"]["front_percent"] == pytest.approx(70)
    assert asked["wanted"]["rate_g"] == 0.8


def test_wanted_changes_are_on_the_page(cornerwright):
    text = " ".join(cornerwright("brakes", EXAMPLES["skerry_nine"], "--wanted", "66").out.split())
    assert "Wanted: 66.0 % of the force in front at 0.6 g (asked for)" in text
    assert "balance bar 2 turns towards the front" in text


def test_a_lap_takes_the_place_of_stops(cornerwright, lap):
    asked = cornerwright("brakes", EXAMPLES["tarn_fell"], "--lap", lap, "--laps", "3", "--json").answer
    assert asked["heat"]["what"].startswith("3 laps of hill")
    assert len(asked["heat"]["stops"]) == 6


def test_more_rows_than_anyone_waits_for_are_refused(cornerwright, tmp_path):
    file = tmp_path / "long.csv"
    rows = "\n".join(f"{k},{100 + k % 7}" for k in range(2000))
    file.write_text(f"time_s,speed_km_per_h\n{rows}\n", encoding="utf-8")
    told = cornerwright("brakes", EXAMPLES["tarn_fell"], "--lap", file, "--laps", "60")
    assert told.status == 2
    assert "--laps: found 120000 rows in all" in told.err


@pytest.mark.parametrize("name", EXAMPLES)
def test_charts_and_cards_are_written(cornerwright, tmp_path, name):
    svg, png, card = tmp_path / "b.svg", tmp_path / "b.png", tmp_path / "b.pdf"
    told = cornerwright("brakes", EXAMPLES[name], "--svg", svg, "--png", png, "--card", card)
    assert told.status == 0, told.err
    assert "grip used" in svg.read_text(encoding="utf-8")
    content = png.read_bytes()
    assert content.startswith(b"\x89PNG\r\n\x1a\n")
    assert struct.unpack(">II", content[16:24])[0] == pytest.approx(180 / 25.4 * 200, abs=2)
    assert card.read_bytes().startswith(b"%PDF")


BAD = {
    "load": (["--load", "empty"], "--load: found 'empty', expected light, driven or full"),
    "wanted above": (["--wanted", "140"], "--wanted: found 140 %, expected a share between 0 and 100 %"),
    "wanted none": (["--wanted", "0"], "--wanted: found 0 %"),
    "wanted no share": (["--wanted", "x"], "--wanted: found the text 'x'"),
    "stops": (["--stops", "0"], "--stops: found 0"),
    "rate": (["--rate", "9"], "--rate: found 9"),
    "from": (["--from", "abc"], "--from: found the text 'abc'"),
    "to": (["--to", "120"], "--to: found"),
    "every": (["--every", "1"], "what a stop takes"),
    "air": (["--air", "300"], "--air: found 300"),
    "at": (["--at", "3"], "--at: found 3"),
    "laps": (["--laps", "0"], "--laps: found 0"),
    "lap": (["--lap", "none.csv"], "none.csv"),
    "same file": (["--svg", "a.svg", "--card", "a.svg"], "already --svg"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_refused_with_status_2(cornerwright, tmp_path, monkeypatch, case):
    monkeypatch.chdir(tmp_path)
    arguments, words = BAD[case]
    told = cornerwright("brakes", EXAMPLES["tarn_fell"], *arguments)
    assert told.status == 2
    assert words in told.err
    assert told.out == ""
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("pistons: [48 mm]", "pistons: [248 mm]", "front.left.brake.caliper.pistons: found a piston of 248.0 mm"),
        ("grade: DOT 4,", "grade: DOT 7,", "brakes.fluid.grade: found the text 'DOT 7'"),
        ("height: 44 mm", "height: -4 mm", "front.left.brake.pad.height: found"),
    ],
)
def test_a_bad_file_is_named_by_file_line_and_field(cornerwright, job, old, new, words):
    job.edit(job.car, old, new)
    for command in ("brakes", "check"):
        told = cornerwright(command, job.car)
        assert told.status == 2
        assert words in told.err
        assert told.err.startswith(f"{job.car}:")


def test_a_car_without_brakes_is_told_what_is_missing(cornerwright, job):
    text = job.car.read_text(encoding="utf-8")
    lines, inside = [], False
    for line in text.splitlines():
        depth = len(line) - len(line.lstrip())
        if line.rstrip() in ("    brake:", "brakes:"):
            inside = depth
            continue
        if inside is not False and line.strip() and depth <= inside:
            inside = False
        if inside is False:
            lines.append(line)
    job.car.write_text("\n".join(lines), encoding="utf-8")
    told = cornerwright("brakes", job.car)
    assert told.status == 2
    assert "without brakes" in told.err
    assert str(job.car) in told.err
    assert cornerwright("check", job.car).status == 0


def test_a_broken_limit_is_status_1_in_brakes_and_check(cornerwright, job):
    job.edit(job.car, "front_left: {rotor: 19.4 mm", "front_left: {rotor: 17.2 mm")
    for command in ("brakes", "check"):
        told = cornerwright(command, job.car)
        assert told.status == 1
        assert "LIMIT" in told.out
        assert "17.20 mm thick" in " ".join(told.out.split())


@pytest.mark.parametrize("name", EXAMPLES)
def test_check_includes_the_brakes(cornerwright, name):
    asked = cornerwright("check", EXAMPLES[name], "--json").answer
    about = {one["about"] for one in asked["findings"]}
    assert about & {"brake hose", "brake balance"}


@pytest.mark.parametrize(
    ("asked", "field"),
    [({"run": Stops(rate=0.0)}, "run"), ({"run": Stops(count=0)}, "run"), ({"run": Stops(fast=5.0, slow=9.0)}, "run"),
     ({"rate": 0.0, "front_share": 0.6}, "rate"), ({"rate": float("nan")}, "rate")],
)  # fmt: skip
def test_stops_that_cannot_be_made_are_refused(asked, field):
    """The library refuses as the command line does, and never shows a share of no brake force."""
    with pytest.raises(cw.Refusal, match=rf"^{field}:"):
        cw.brakes(cw.load_car(EXAMPLES["tarn_fell"]), **asked)
