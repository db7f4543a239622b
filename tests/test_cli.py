"""The commands: answers, their JSON against its schema, exit statuses, refusals, what is written."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import cornerwright as cw
from cornerwright.cli.options import read_lifts
from shared import PROJECT, fits_schema

HEAVY = {"numpy", "scipy", "pydantic", "pint", "ruamel", "typst", "sqlalchemy", "alembic", "segno"}


def loose_spring(job):
    """Make the rear springs so short that they hang loose long before full droop: a hard limit."""
    job.edit(job.car, "free_length: 197 mm", "free_length: 188 mm")


# ------------------------------------------------------------------- start-up


@pytest.mark.parametrize("code", ["import cornerwright", "from cornerwright.cli import run; run(['--help'])"])
def test_starting_imports_nothing_heavy(code):
    seen = f"{code}\nimport sys; print(*sorted(set(sys.modules) & {HEAVY!r}), file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", seen], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == ""


def test_help_lists_every_command_by_the_job(cornerwright):
    told = cornerwright("--help")
    assert told.status == 0
    names = ("new", "demo", "check", "travel", "stand", "joint", "fit", "brakes", "learn", "plan", "book", "schema")
    order = [told.out.index(f"\n  {name} ") for name in names]
    assert order == sorted(order)
    assert cornerwright().out == told.out


def test_version(cornerwright):
    assert cornerwright("--version").out == f"cornerwright {cw.__version__}\n"


# ------------------------------------------------------------------- answers


@pytest.mark.parametrize("name", ["check", "stand"])
def test_looking_at_the_example(cornerwright, job, name):
    told = cornerwright(name, job.car)
    assert (told.status, told.err) == (0, "")
    for words in ("Tarn Fell", "front left", "cross weight", "never the maker's figure"):
        assert words in " ".join(told.out.split())
    asked = cornerwright(name, job.car, "--json")
    assert asked.status == 0
    fits_schema(cornerwright, name, asked.answer)
    expected = getattr(cw, name)(cw.load_car(job.car))
    assert asked.answer == json.loads(expected.model_dump_json(by_alias=True))


def test_travel_at_the_lifts_asked_for(cornerwright, job):
    asked = cornerwright("travel", job.car, "--corner", "rear_left", "--lift", "-40:40:20", "--json")
    assert asked.status == 0
    fits_schema(cornerwright, "travel", asked.answer)
    assert [row["lift_mm"] for row in asked.answer["rows"]] == [-40, -20, 0, 20, 40]
    for row in asked.answer["rows"]:
        assert {"camber_deg", "toe_deg", "caster_deg", "wheel_x_mm", "wheel_y_mm", "damper_mm", "spring_mm"} <= set(row)


def test_travel_without_lifts_covers_what_was_measured(cornerwright, job):
    asked = cornerwright("travel", job.car, "--corner", "Rear-Left", "--json").answer
    lifts = [row["lift_mm"] for row in asked["rows"]]
    assert (lifts[0], lifts[-1]) == (asked["lowest_mm"], asked["highest_mm"])
    assert lifts == sorted(lifts)
    assert all(row["inside"] for row in asked["rows"])


def test_travel_beyond_the_table_holds_no_numbers(cornerwright, job):
    told = cornerwright("travel", job.car, "--corner", "rear_left", "--lift", "0,300")
    assert told.status == 0
    line = next(line for line in told.out.splitlines() if line.split()[:1] == ["300"])
    assert line.split() == ["300", "beyond"]


def test_plan_tells_what_to_turn(cornerwright, job):
    told = cornerwright(*job.plan)
    assert (told.status, told.err) == (0, "")
    text = " ".join(told.out.split())
    for words in ("What to turn, in this order", "[ ] front left", "What the gauges will show", "Cautions"):
        assert words in text
    for caution in ("stands", "Compressed springs", "torque", "Spacers", "Road law", "brake"):
        assert caution in text


def test_plan_as_json(cornerwright, job):
    asked = cornerwright(*job.plan, "--json")
    assert asked.status == 0
    plan = asked.answer
    fits_schema(cornerwright, "plan", plan)
    for move in plan["moves"]:
        assert {"corner", "adjuster", "steps", "unit", "from", "to"} <= set(move)
        assert move["steps"] != 0
    for readings in plan["predicted"].values():
        for key, one in readings.items():
            assert re.search(r"_(mm|deg|kg|n|percent)$", key)
            assert one["sigma"] >= 0


def test_a_ride_height_changed_by_15_mm_gives_turns_for_everything(cornerwright, job):
    job.edit(job.targets, "aim: 605 mm", "aim: 620 mm")
    job.edit(job.targets, "aim: 616 mm", "aim: 631 mm")
    plan = cornerwright(*job.plan, "--json").answer
    assert {"perch", "body"} <= {move["kind"] for move in plan["moves"]}
    stages = {move["stage"] for move in plan["moves"]}
    assert {"heights", "camber", "toe"} <= stages
    for corner, aim in (("front_left", 620), ("front_right", 620), ("rear_left", 631), ("rear_right", 631)):
        assert plan["predicted"][corner]["height_mm"]["value"] == pytest.approx(aim, abs=2)
        assert plan["predicted"][corner]["height_mm"]["high"] == pytest.approx(aim + 2)


def test_plan_without_readings_takes_the_car_as_its_file_has_it(cornerwright, job):
    asked = cornerwright("plan", job.car, "--targets", job.targets, "--json")
    assert asked.status == 0
    read = [one["was_read"] for values in asked.answer["predicted"].values() for one in values.values()]
    assert read
    assert not any(read)


@pytest.mark.parametrize("width", [60, 80, 100])
def test_lines_fit_the_window(cornerwright, job, monkeypatch, width):
    for line in (job.plan, ("check", job.car), ("stand", job.car), ("travel", job.car, "--corner", "front_left")):
        monkeypatch.setenv("COLUMNS", str(width))
        lines = cornerwright(*line).out.splitlines()
        assert lines
        allowed = max(width, 80)  # tables need 80; text is wrapped to any window
        assert max(map(len, lines)) <= allowed
        assert not any(line != line.rstrip() or "\x1b" in line for line in lines)


def test_moves_on_screen_are_those_of_the_json(cornerwright, job):
    moves = cornerwright(*job.plan, "--json").answer["moves"]
    assert cornerwright(*job.plan).out.count("[ ]") == len(moves) > 0


# ------------------------------------------------------------------- broken limits


def test_a_broken_limit_is_status_1_and_said_first(cornerwright, job):
    loose_spring(job)
    told = cornerwright("check", job.car)
    assert told.status == 1
    assert "LIMIT" in told.out
    assert told.out.index("LIMIT") < told.out.index("At rest")
    assert cornerwright("check", job.car, "--json").answer["verdict"] == "breaks a hard limit"


def test_a_plan_that_cannot_keep_a_limit_is_status_1(cornerwright, job):
    job.edit(job.targets, "camber: {aim: -1.9 deg, within: 0.1 deg}", "camber: {at_most: -9 deg, hard: true}")
    told = cornerwright(*job.plan)
    assert told.status == 1
    assert "No moves keep every hard limit" in told.out


def test_a_plan_that_falls_short_says_what_it_needs(cornerwright, job):
    job.edit(job.targets, "camber: {aim: -1.9 deg, within: 0.1 deg}", "camber: {aim: -4.5 deg, within: 0.1 deg}")
    told = cornerwright(*job.plan)
    assert told.status == 0
    assert "What falls short" in told.out
    assert "needs: " in told.out


# ------------------------------------------------------------------- refusals


def test_a_bad_value_is_named_by_file_line_and_field(cornerwright, job):
    job.edit(job.car, "wheelbase: 2395 mm", "wheelbase: -2395 mm")
    line = job.car.read_text().splitlines().index("wheelbase: -2395 mm") + 1
    told = cornerwright("check", job.car)
    assert (told.status, told.out) == (2, "")
    assert told.err.startswith(f"{job.car}:{line}: wheelbase: found ")
    assert "expected a length" in told.err


def test_problems_of_all_files_are_told_at_once(cornerwright, job):
    job.edit(job.car, "wheelbase: 2395 mm", "wheelbase: 12 kg")
    job.edit(job.targets, "aim: 605 mm", "aim: .nan")
    job.edit(job.readings, "format: cornerwright readings 1", "format: something else")
    told = cornerwright(*job.plan)
    assert told.status == 2
    for file in (job.car, job.targets, job.readings):
        assert f"{file}:" in told.err


def test_errors_have_one_shape_under_json(cornerwright, job):
    job.edit(job.car, "wheelbase: 2395 mm", "wheelbas: 2395 mm")
    told = cornerwright("check", job.car, "--json")
    assert (told.status, told.err) == (2, "")
    fits_schema(cornerwright, "error", told.answer)
    for problem in told.answer["error"]["problems"]:
        assert list(problem) == ["file", "line", "field", "found", "expected"]
    assert {problem["field"] for problem in told.answer["error"]["problems"]} >= {"wheelbase"}


BAD_LINES = {
    "unknown command": (["chek"], "did you mean check?"),
    "unknown option": (["check", "CAR", "--jsn"], "did you mean --json?"),
    "unknown corner": (["travel", "CAR", "--corner", "rear_let"], "did you mean rear_left?"),
    "no corner": (["travel", "CAR"], "--corner: found nothing"),
    "no car": (["stand"], "CAR: found nothing"),
    "lift is no number": (["travel", "CAR", "--corner", "rear_left", "--lift", "abc"], "--lift: found 'abc'"),
    "lift of the wrong kind": (["travel", "CAR", "--corner", "rear_left", "--lift", "3 kg"], "--lift: found"),
    "lift in two parts": (["travel", "CAR", "--corner", "rear_left", "--lift", "-80:80"], "from:to:step"),
    "lift of no step": (["travel", "CAR", "--corner", "rear_left", "--lift", "-80:80:0"], "does not lead"),
    "lift backwards": (["travel", "CAR", "--corner", "rear_left", "--lift", "80:-80:20"], "does not lead"),
    "lift not finite": (["travel", "CAR", "--corner", "rear_left", "--lift", "nan"], "--lift: found"),
    "lifts beyond number": (["travel", "CAR", "--corner", "rear_left", "--lift", "0:1e9:0.001"], "2001"),
    "unknown schema": (["schema", "cars"], "did you mean car?"),
    "no such file": (["check", "nowhere.yaml"], "nowhere.yaml: "),
    "a folder": (["check", "."], ": found "),
    "no targets": (["plan", "CAR"], "--targets: found nothing"),
    "too many arguments": (["stand", "CAR", "CAR"], "unexpected"),
    "unknown place of a spring": (["new", "x.yaml", "--rear-spring", "aprt"], "did you mean apart?"),
}


@pytest.mark.parametrize("case", BAD_LINES)
def test_a_bad_command_line_is_status_2_and_says_why(cornerwright, job, monkeypatch, case):
    monkeypatch.chdir(job.car.parent)
    line, words = BAD_LINES[case]
    line = ["car.yaml" if one == "CAR" else one for one in line]
    told = cornerwright(*line)
    assert (told.status, told.out) == (2, "")
    assert words in told.err
    assert " expected " in told.err
    assert "Traceback" not in told.err
    asked = cornerwright(*line, "--json")
    assert (asked.status, asked.err) == (2, "")
    assert set(asked.answer) == {"error"}
    assert asked.answer["error"]["problems"][0]["expected"]


def test_lifts_end_where_they_should():
    assert read_lifts("-80:80:20")[-1] == pytest.approx(0.08, abs=0)
    assert len(read_lifts("0:1:0.1")) == 11
    assert read_lifts("5:-5:-5") == pytest.approx([0.005, 0, -0.005])
    assert read_lifts("1 in, 10") == pytest.approx([0.0254, 0.01])


# ------------------------------------------------------------------- ends


def test_ctrl_c_is_130_without_words(cornerwright, job, monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(cw, "stand", interrupted)
    told = cornerwright("stand", job.car)
    assert (told.status, told.out, told.err) == (130, "", "")


def test_sigint_ends_the_program_quietly(job):
    if sys.platform == "win32":
        pytest.skip("no SIGINT to another process")
    waits = "import cornerwright as c, time; c.stand = lambda car: (print('on', flush=True), time.sleep(60))"
    # A test run in the background of a shell inherits an ignored SIGINT; a person at a terminal does not.
    heeds = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    code = f"{heeds}; {waits}; import sys; from cornerwright.cli import run; sys.exit(run(['stand', {str(job.car)!r}]))"
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"on\n"
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
        assert (process.returncode, err) == (130, b"")


@pytest.mark.parametrize("as_json", [False, True])
def test_a_fault_of_the_program_is_no_traceback(cornerwright, job, monkeypatch, as_json):
    monkeypatch.setattr(cw, "stand", lambda car: 1 / 0)
    told = cornerwright("stand", job.car, *(["--json"] if as_json else []))
    assert told.status == 70
    assert "ZeroDivisionError" in (told.out if as_json else told.err)
    assert "Traceback" not in told.out + told.err
    if as_json:
        fits_schema(cornerwright, "error", told.answer)


def test_a_reader_that_goes_away_is_no_trouble(job):
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        [sys.executable, "-m", "cornerwright", "stand", job.car, "--json"],
        stdout=writer,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(writer)
    assert (done.returncode, done.stderr) == (141, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk_is_no_traceback(job):
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "cornerwright", "stand", job.car],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 2
    assert "no space left" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_terminal_without_the_signs_gets_others(job):
    done = subprocess.run(
        [sys.executable, "-m", "cornerwright", *map(str, job.plan)],
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        capture_output=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    done.stdout.decode("ascii")


# ------------------------------------------------------------------- progress


def test_progress_is_for_terminals_only(monkeypatch, capsys):
    from cornerwright.cli import waiting

    monkeypatch.setattr(waiting, "PATIENCE", 0.0)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    monkeypatch.setenv("FORCE_COLOR", "1")
    with waiting.waiting(as_json=False) as line:
        line(0.5, "choosing the moves")
        time.sleep(0.2)
        line(1.0, "done")
    shown = capsys.readouterr()
    assert "choosing the moves" in shown.err
    assert shown.out == ""
    with waiting.waiting(as_json=True) as line:
        line(0.5, "choosing the moves")
    assert capsys.readouterr().err == ""


def test_installed_command_runs():
    command = Path(sys.executable).parent / "cornerwright"
    done = subprocess.run([command, "--version"], capture_output=True, text=True, check=True, cwd=PROJECT)
    assert done.stdout.startswith("cornerwright ")
