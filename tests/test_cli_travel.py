"""`cornerwright travel`: tables, JSON, pictures and refusals, on both examples and on every kind."""

from __future__ import annotations

import json
import struct

import pytest

from cars import KINDS, car_of_kind, corner_of_kind
from cornerwright.cli.show_travel import member_words
from shared import PROJECT, fits_schema

EXAMPLES = {name: PROJECT / "examples" / name / "car.yaml" for name in ("skerry_nine", "tarn_fell")}
SKERRY = EXAMPLES["skerry_nine"]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("more", [(), ("--opposite",), ("--other", "12 mm")], ids=["together", "opposite", "held"])
def test_every_kind_has_a_table_of_eighty_columns(cornerwright, tmp_path, kind, more):
    car = tmp_path / "car.yaml"
    car.write_text(json.dumps(car_of_kind(kind).to_document()), encoding="utf-8")
    told = cornerwright("travel", car, "--corner", corner_of_kind(kind), *more)
    assert told.status == 0, told.err
    assert max(map(len, told.out.splitlines())) <= 80
    page = " ".join(told.out.split())
    for words in ("The wheel", "Spring and damper", "What the body feels", "roll c. mm", "ended by the"):
        assert words in page or (words == "ended by the" and more)
    assert ("rocker" in page) == kind.endswith("push_rod")
    assert ("other way" in page) == ("--opposite" in more)
    assert ("stays at 12 mm" in page) == ("--other" in more)


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize("corner", ["front_left", "rear_right"])
def test_json_fits_its_schema(cornerwright, name, corner):
    asked = cornerwright("travel", EXAMPLES[name], "--corner", corner, "--lift", "-400:40:40", "--json")
    assert asked.status == 0
    fits_schema(cornerwright, "travel", asked.answer)
    assert [row["lift_mm"] for row in asked.answer["rows"]] == list(range(-400, 41, 40))
    first = asked.answer["rows"][0]
    assert not first["inside"]
    assert first["camber_deg"] is None
    assert (first["ends"] is None) == (name == "tarn_fell")


def test_a_row_for_every_lift_at_every_place_of_the_rack(cornerwright):
    asked = cornerwright(
        "travel", SKERRY, "--corner", "front_left", "--lift", "-80:80:20", "--steer", "-60:60:20", "--json"
    ).answer
    rows = [(row["steer_mm"], row["lift_mm"]) for row in asked["rows"]]
    assert rows == [(s, lift) for s in range(-60, 61, 20) for lift in range(-80, 81, 20)]
    assert [one["steer_mm"] for one in asked["limits"]] == list(range(-60, 61, 20))
    assert all(row["inside"] for row in asked["rows"])


def test_without_lifts_it_covers_the_stroke_of_the_damper(cornerwright):
    asked = cornerwright("travel", SKERRY, "--corner", "rear_left", "--json").answer
    lifts = [row["lift_mm"] for row in asked["rows"]]
    assert lifts[0] == pytest.approx(asked["damper_out_mm"], abs=1e-6)
    assert lifts[-1] == pytest.approx(asked["full_bump_mm"], abs=1e-6)
    assert asked["lowest_mm"] < lifts[0]


def test_the_table_says_what_ends_the_travel_and_marks_what_the_damper_does_not_reach(cornerwright):
    told = cornerwright("travel", SKERRY, "--corner", "front_left", "--lift", "-220:40:20").out
    assert "upper arm's front leg" in told
    assert "beyond" in told
    assert "−120*" in told
    assert "−80*" not in told
    assert "*: beyond the end of the damper's stroke" in told


def test_a_rack_that_does_not_go_there_is_told(cornerwright):
    told = cornerwright("travel", SKERRY, "--corner", "front_left", "--lift", "0", "--steer", "0,70")
    assert told.status == 0
    assert "beyond the rack's travel" in " ".join(told.out.split())
    assert "rack at +70 mm\n" not in told.out


def picture_size(png: bytes) -> tuple[int, int]:
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", png[16:24])
    return width, height


@pytest.mark.parametrize("name", EXAMPLES)
def test_pictures_are_written_in_the_format_of_their_names(cornerwright, tmp_path, name):
    files = {key: tmp_path / f"{key}.{end}" for key, end in (("svg", "svg"), ("png", "png"))}
    files |= {"views": tmp_path / "views.png", "rest": tmp_path / "rest.svg"}
    options = [part for key, path in files.items() for part in (f"--{key}", path)]
    told = cornerwright("travel", EXAMPLES[name], "--corner", "rear_left", "--lift", "-40:40:20", *options)
    assert told.status == 0, told.err
    assert files["svg"].read_text(encoding="utf-8").startswith("<svg")
    assert "camber, deg" in files["svg"].read_text(encoding="utf-8")
    assert "from behind" in files["rest"].read_text(encoding="utf-8")
    width, height = picture_size(files["png"].read_bytes())
    assert width == pytest.approx(180 / 25.4 * 200, abs=2)
    assert height > 900
    assert picture_size(files["views"].read_bytes())[0] == width


def test_a_picture_is_the_same_each_time(cornerwright, tmp_path):
    one, other = tmp_path / "one.png", tmp_path / "other.png"
    for path in (one, other):
        cornerwright("travel", SKERRY, "--corner", "rear_left", "--lift", "0,10", "--png", path)
    assert one.read_bytes() == other.read_bytes()


BAD = {
    "steering where nothing steers": (["--corner", "rear_left", "--steer", "0"], "rack"),
    "steering that is no length": (["--corner", "front_left", "--steer", "abc"], "--steer: found 'abc'"),
    "other that is no length": (["--corner", "front_left", "--other", "3 kg"], "--other: found"),
    "other and opposite": (["--corner", "front_left", "--other", "3", "--opposite"], "one of the two"),
    "too many rows": (["--corner", "front_left", "--lift", "-50:50:1", "--steer", "-50:50:1"], "2001"),
    "views of no known format": (["--corner", "front_left", "--views", "corner.pdf"], ".svg or .png"),
    "rest of no known format": (["--corner", "front_left", "--rest", "corner"], ".svg or .png"),
    "one file twice": (["--corner", "front_left", "--svg", "a.svg", "--views", "a.svg"], "already --svg"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_input_is_refused_with_status_2(cornerwright, tmp_path, monkeypatch, case):
    monkeypatch.chdir(tmp_path)
    arguments, words = BAD[case]
    told = cornerwright("travel", SKERRY, *arguments)
    assert told.status == 2
    assert words in told.err
    assert told.out == ""
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("more", [("--steer", "0"), ("--other", "0"), ("--opposite",)])
def test_a_jack_table_is_asked_for_lifts_alone(cornerwright, more):
    told = cornerwright("travel", EXAMPLES["tarn_fell"], "--corner", "front_left", *more)
    assert told.status == 2
    assert "jack table" in told.err


@pytest.mark.parametrize(
    ("kind", "member", "words"),
    [
        ("double_wishbone", "lower_rear", "the lower arm's rear leg"),
        ("strut", "tie", "the tie rod"),
        ("five_link", "lower_rear", "the rod 'lower rear'"),
        ("rods", "push_rod", "the push rod"),
        ("twist_beam", "left_pivot", "the left pivot"),
    ],
)
def test_members_are_named_as_one_speaks(kind, member, words):
    assert member_words(kind, member) == words


def test_a_chart_has_points_between_the_rows_asked_for():
    from cornerwright.cli.options import finer

    fine = finer([0.03, -0.05, 0.0])
    assert {-0.05, 0.0, 0.03} <= set(fine)
    assert fine == sorted(fine)
    assert len(fine) >= 33
    assert finer([0.02]) == [0.02]
