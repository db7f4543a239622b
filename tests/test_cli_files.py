"""What the commands write: papers, drawings, schemas, starter files, the demo's folder."""

from __future__ import annotations

import json
import os
import re
import stat
from pathlib import Path
from xml.etree import ElementTree as ET

import jsonschema
import pytest

import cornerwright as cw
from cornerwright.cli import saving
from cornerwright.cli.run_new import starter_car
from shared import fits_schema

# ------------------------------------------------------------------- what is written


def test_plan_writes_its_papers(cornerwright, job, tmp_path):
    card, sheet, above = tmp_path / "card.pdf", tmp_path / "sheet.pdf", tmp_path / "above.svg"
    told = cornerwright(*job.plan, "--pdf", card, "--sheet", sheet, "--svg", above, "--corner", "front_right")
    assert (told.status, told.err) == (0, "")
    for file in (card, sheet):
        assert file.read_bytes().startswith(b"%PDF-")
    assert ET.parse(above).getroot().tag.endswith("svg")
    assert not [name for name in os.listdir(tmp_path) if name.startswith(".")]


def test_travel_draws_the_corner(cornerwright, job, tmp_path):
    drawing = tmp_path / "corner.svg"
    assert cornerwright("travel", job.car, "--corner", "rear_left", "--svg", drawing).status == 0
    text = drawing.read_text()
    ET.fromstring(text)
    assert "rear left" in text


@pytest.mark.parametrize("where", ["missing/card.pdf", ".", "car.yaml", "targets.yaml"])
def test_a_path_that_must_not_be_written_is_refused_before_the_work(cornerwright, job, monkeypatch, where):
    monkeypatch.chdir(job.car.parent)
    monkeypatch.setattr(cw, "plan", lambda *_, **__: pytest.fail("worked in vain"))
    before = job.car.read_bytes(), job.targets.read_bytes()
    told = cornerwright(*job.plan, "--pdf", where)
    assert told.status == 2
    assert "--pdf: found " in told.err
    assert (job.car.read_bytes(), job.targets.read_bytes()) == before


def test_two_papers_do_not_go_into_one_file(cornerwright, job, tmp_path):
    told = cornerwright(*job.plan, "--pdf", tmp_path / "a.pdf", "--sheet", tmp_path / "a.pdf")
    assert told.status == 2
    assert "already --pdf" in told.err


def test_a_file_is_written_whole_or_not_at_all(tmp_path, monkeypatch):
    file = tmp_path / "a.txt"
    saving.write_whole(file, b"old")
    file.chmod(0o640)
    saving.write_whole(file, b"new")
    assert file.read_bytes() == b"new"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(OSError, match="No space"):
        saving.write_whole(file, b"newer")
    assert file.read_bytes() == b"new"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_link_is_followed_and_a_device_stays_a_device(tmp_path):
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to(real)
    saving.write_whole(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    saving.write_whole(Path(os.devnull), b"gone")
    assert not Path(os.devnull).is_file()


# ------------------------------------------------------------------- schema


@pytest.mark.parametrize(
    "name", ["car", "readings", "targets", "check", "travel", "stand", "plan", "new", "demo", "error"]
)
def test_schemas_are_schemas(cornerwright, name):
    told = cornerwright("schema", name)
    assert told.status == 0
    jsonschema.Draft202012Validator.check_schema(told.answer)
    assert cornerwright("schema", name, "--json").out == told.out


def test_schema_of_the_car_is_the_default(cornerwright):
    assert cornerwright("schema").out == cornerwright("schema", "car").out


def test_the_example_files_fit_their_schemas(cornerwright, job):
    from ruamel.yaml import YAML

    for name, file in (("car", job.car), ("readings", job.readings), ("targets", job.targets)):
        plain = YAML(typ="safe").load(file.read_text())
        fits_schema(cornerwright, name, json.loads(json.dumps(plain, default=str)))
        strange = {**plain, "weelbase": 3}
        with pytest.raises(jsonschema.ValidationError):
            fits_schema(cornerwright, name, json.loads(json.dumps(strange, default=str)))


# ------------------------------------------------------------------- new


@pytest.mark.parametrize("front", ["around", "apart"])
@pytest.mark.parametrize("rear", ["around", "apart"])
def test_starter_files_make_a_whole_job(cornerwright, tmp_path, front, rear):
    car = tmp_path / "mine.yaml"
    told = cornerwright("new", car, "--front-spring", front, "--rear-spring", rear)
    assert (told.status, told.err) == (0, "")
    assert cornerwright("check", car).status == 0
    readings, targets = tmp_path / "mine-readings.yaml", tmp_path / "mine-targets.yaml"
    planned = cornerwright("plan", car, "--readings", readings, "--targets", targets, "--json")
    assert planned.status == 0
    assert planned.answer["moves"]
    loaded = cw.load_car(car)
    assert loaded.invented
    assert loaded.front.left.spring.around_damper == (front == "around")
    assert loaded.rear.left.spring.around_damper == (rear == "around")


MEASURED = (
    *("wheelbase", "total", "front", "left", "cg_height", "track", "unsprung_mass", "centre_height"),
    *("free_radius", "rows", "rate", "free_length", "block_length", "open", "closed", "gas_force", "length"),
    *("curve", "at", "pitch", "step", "setting", "measured_at", "range", "effect"),
)


@pytest.mark.parametrize("place", ["around", "apart"])
def test_starter_files_say_how_to_measure(place):
    text = starter_car(place, place)
    for field in MEASURED:
        first = next(line for line in text.splitlines() if re.match(rf"\s*{field}:", line) and line.split(":")[1])
        assert "  # " in first, first
    assert "EVERY NUMBER HERE IS INVENTED" in text
    assert "never under a jack alone" in text
    assert max(map(len, text.splitlines())) <= 120


def test_new_never_overwrites_unless_told_to(cornerwright, tmp_path):
    car = tmp_path / "mine.yaml"
    (tmp_path / "mine-targets.yaml").write_text("my own work")
    told = cornerwright("new", car)
    assert told.status == 2
    assert "mine-targets.yaml" in told.err
    assert os.listdir(tmp_path) == ["mine-targets.yaml"]
    forced = cornerwright("new", car, "--force", "--json")
    assert forced.status == 0
    fits_schema(cornerwright, "new", forced.answer)
    for file in forced.answer.values():
        assert Path(file).read_text().startswith("# ")


# ------------------------------------------------------------------- demo


def test_demo_does_the_whole_job(cornerwright, tmp_path):
    out = tmp_path / "deep" / "demo"
    asked = cornerwright("demo", "--out", out, "--json")
    assert (asked.status, asked.err) == (0, "")
    fits_schema(cornerwright, "demo", asked.answer)
    for one in asked.answer["written"]:
        assert Path(one["file"]).stat().st_size > 0
    assert json.loads((out / "plan.json").read_text()) == asked.answer["plan"]
    assert {"work-card.pdf", "moves.svg", "car.yaml"} <= set(os.listdir(out))
    own = out / "targets.yaml"
    own.write_text("# changed\n" + own.read_text())
    told = cornerwright("demo", "--out", out)
    assert told.status == 0
    assert own.read_text().startswith("# changed")
    assert "left as it was" in told.out
    assert "What to turn, in this order" in told.out


def test_demo_into_a_file_is_refused(cornerwright, job):
    told = cornerwright("demo", "--out", job.car)
    assert told.status == 2
    assert "--out: found " in told.err
