"""The book's commands: the job from the first entry to the hand-over, their JSON, refusals, papers."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys

import pytest

import cornerwright as cw
from cornerwright.model.entry import KINDS
from diary import PNG
from shared import PROJECT, fits_schema

EXAMPLE = PROJECT / "examples" / "tarn_fell"


@pytest.fixture(scope="module")
def imported(tmp_path_factory):
    """The example's book, imported once."""
    from cornerwright.book.transfer import import_book

    where = tmp_path_factory.mktemp("example") / "tarn_fell.book"
    import_book(EXAMPLE / "book", where)
    return where


@pytest.fixture
def example(imported, tmp_path):
    """A copy of the example's book."""
    shutil.copytree(imported, tmp_path / "tarn_fell.book")
    return tmp_path / "tarn_fell.book"


@pytest.fixture
def mine(cornerwright, job, tmp_path):
    """A new book of the example car."""
    where = tmp_path / "my.book"
    told = cornerwright("book", "new", where, "--car", job.car, "--targets", job.targets, "--currency", "EUR", "--who",
                        "R.", "--when", "2026-02-01", "--json")  # fmt: skip
    assert (told.status, told.err) == (0, "")
    assert told.answer["entries"] == 2
    fits_schema(cornerwright, "book_made", told.answer)
    return where


# ---------------------------------------------------------------------- the example


def test_the_examples_book_lists_what_the_last_change_disturbed(cornerwright, example):
    told = cornerwright("book", "jobs", example, "--json")
    assert told.status == 1  # not to be driven
    fits_schema(cornerwright, "book_jobs", told.answer)
    jobs = {job["name"]: job for job in told.answer["jobs"]}
    for name in ("damper@rear", "toe@rear", "camber@rear", "bushes@rear", "hoses@rear", "lamps@car"):
        job = jobs[name]
        assert "perch moved" in job["reason"]
        assert job["rule"]
        assert any(abs(one["shift"]) > one["tolerance"] for one in job["figures"] if one["tolerance"]), name
    assert "hoses@rear" in told.answer["stops_driving"]
    assert [visit["stands"] for visit in told.answer["visits"]] == ["raised", "on_wheels"]
    costs = told.answer["costs"]
    assert (costs["currency"], costs["spent"], costs["hours"]) == ("EUR", 1608.2, 33.5)
    assert costs["open_hours"] > 4.5
    page = cornerwright("book", "jobs", example)
    words = " ".join(page.out.split())
    assert "NOT TO BE DRIVEN before these are done" in words
    assert "So far 1608.20 EUR and 33.5 h; the open jobs need about" in words
    assert words.index("Brake hose slack") < words.index("Headlamp aim")


def test_before_the_last_change_nothing_stopped_the_car(cornerwright, example):
    assert cornerwright("book", "at", example, "#102", "--json").status == 0
    with cw.open_book(example) as book:
        from cornerwright.cli.book_open import jobs_of

        record = book.record(book.order_of(102))
        assert jobs_of(book, record).stops_driving == ()


def test_every_kind_of_entry_is_in_the_example_and_in_the_log(cornerwright, example):
    told = cornerwright("book", "log", example, "--last", 200, "--json")
    fits_schema(cornerwright, "book_log", told.answer)
    # What a gauge says of a part as it wears has a test of its own.
    assert {one["kind"] for one in told.answer["lines"]} == set(KINDS) - {"measured"}
    assert told.answer["entries"] == len(told.answer["lines"]) == 105
    corrected = [one for one in told.answer["lines"] if one["corrected_by"]]
    assert len(corrected) == 1
    assert "(corrected by #" in cornerwright("book", "log", example, "--kind", "joint", "--last", 100).out


def test_the_car_now_then_and_what_changed(cornerwright, example, tmp_path):
    told = cornerwright("book", "now", example, "--car", tmp_path / "now.yaml", "--json")
    fits_schema(cornerwright, "book_now", told.answer)
    assert {one["adjuster"]: one["setting_mm"] for one in told.answer["settings"]}["rear_left.perch"] == 26.5
    car = cw.load_car(tmp_path / "now.yaml")
    assert car.rear.left.adjusters["perch"].setting == pytest.approx(0.0265)
    assert cornerwright("check", tmp_path / "now.yaml").status in (0, 1)
    then = cornerwright("book", "at", example, "2026-04-20", "--json").answer
    assert {one["adjuster"]: one["setting_mm"] for one in then["settings"]}["rear_left.perch"] == 14.5
    diff = cornerwright("book", "diff", example, "2026-04-26", "--json").answer
    fits_schema(cornerwright, "book_diff", diff)
    assert [one["what"] for one in diff["changes"]] == ["setting rear_left.perch", "setting rear_right.perch"]
    for command in (("now",), ("at", "2026-04-20"), ("diff", "2026-02-10", "2026-04-26"), ("joints",)):
        page = cornerwright("book", command[0], example, *command[1:])
        assert page.status == 0
        assert "Tarn Fell" in page.out
    joints = cornerwright("book", "joints", example, "--json").answer
    fits_schema(cornerwright, "book_joints", joints)
    assert {one["joint"]: one["torque_nm"] for one in joints["joints"]}["front left strut foot clamp"] == 45


def test_out_and_in_again(cornerwright, example, tmp_path):
    out = cornerwright("book", "export", example, tmp_path / "out.zip", "--json").answer
    again = cornerwright("book", "import", tmp_path / "out.zip", tmp_path / "again.book", "--json").answer
    fits_schema(cornerwright, "book_made", again)
    assert (again["entries"], again["photos"], again["digest"]) == (105, 3, out["digest"])
    checked = cornerwright("book", "verify", tmp_path / "again.book", "--json")
    fits_schema(cornerwright, "book_verify", checked.answer)
    assert (checked.status, checked.answer["verdict"], checked.answer["digest"]) == (0, "whole", out["digest"])
    (photo, *_) = (tmp_path / "again.book" / "photos").glob("??/*")
    photo.write_bytes(PNG)
    damaged = cornerwright("book", "verify", tmp_path / "again.book")
    assert damaged.status == 1
    assert "DAMAGED" in damaged.out


# ---------------------------------------------------------------------- adding


def test_a_build_from_its_first_entry(cornerwright, mine, job, tmp_path):
    (tmp_path / "plan.json").write_text(cornerwright(*job.plan, "--json").out)
    moves = json.loads((tmp_path / "plan.json").read_text())["moves"]
    told = cornerwright("book", "add", mine, "--plan", tmp_path / "plan.json", "--moves", "1,rear_left.perch", "--who",
                        "M.", "--json")  # fmt: skip
    fits_schema(cornerwright, "book_added", told.answer)
    assert told.answer["written"] == [3, 4]
    assert {"hoses@rear", "lock_nuts@rear"} <= {one["name"] for one in told.answer["stale"]}
    now = cornerwright("book", "now", mine, "--json").answer
    settings = {one["adjuster"]: one["setting_mm"] for one in now["settings"]}
    assert settings[f"{moves[0]['corner']}.{moves[0]['adjuster']}"] == pytest.approx(moves[0]["to_mm"])
    left = next(one for one in moves if (one["corner"], one["adjuster"]) == ("rear_left", "perch"))
    assert settings["rear_left.perch"] == pytest.approx(left["to_mm"])
    assert settings["rear_right.perch"] == 28
    cornerwright("book", "add", mine, "--readings", job.readings)
    now = cornerwright("book", "now", mine, "--json").answer
    assert {(one["corner"], one["reading"]): one["last"] for one in now["read"]}["rear_left", "height_mm"] == 636
    photo = tmp_path / "sill.png"
    photo.write_bytes(PNG)
    told = cornerwright("book", "add", mine, "finding", "what=rust", "place=rear_left", "says=sill behind the jack",
                        "stops_driving=true", "--photo", photo, "--json").answer  # fmt: skip
    (name,) = (one["name"] for one in told["stale"])
    told = cornerwright("book", "add", mine, "done", "job=welded", "hours=4", "--settles", name, "--json").answer
    assert told["settled"] == [name]
    told = cornerwright("book", "add", mine, "fitted", "part=spring", "place=rear_left", "price=58.5",
                        "sets.rear.both.spring.stack[0].rate=92", "--json")  # fmt: skip
    assert told.status == 0
    assert cornerwright("book", "now", mine, "--json").answer["costs"]["spent"] == 58.5
    number = told.answer["written"][0]
    told = cornerwright("book", "correct", mine, number, "price=5.85", "--says", "a decimal too far", "--json")
    assert told.status == 0
    assert cornerwright("book", "now", mine, "--json").answer["costs"]["spent"] == 5.85
    told = cornerwright("book", "correct", mine, number, "--strike", "--says", "on the other car", "--json")
    assert cornerwright("book", "now", mine, "--json").answer["costs"]["spent"] == 0
    assert cornerwright("book", "verify", mine).status == 0


@pytest.mark.parametrize(
    ("words", "setting"),
    [("setting_to=20", 20), ("setting_to=7 turn", 21), ("by=-2.5 turns", 20.5), ("by=1/4 in", 34.35), ("by=-3", 25)],
)
def test_a_move_is_written_as_the_hand_counts_it(cornerwright, mine, words, setting):
    assert cornerwright("book", "add", mine, "move", "adjuster=rear_left.perch", words).status == 0
    now = cornerwright("book", "now", mine, "--json").answer
    assert {one["adjuster"]: one["setting_mm"] for one in now["settings"]}["rear_left.perch"] == pytest.approx(setting)


def test_readings_as_the_hands_took_them_go_in_with_what_follows_from_them(cornerwright, mine, tmp_path):
    file = tmp_path / "raw.yaml"
    file.write_text(
        "format: cornerwright readings 1\npasses:\n  - when: 2026-04-11\n    taken:\n"
        "      front_right: {toe_over: {length: 1/16 in, diameter: 16 3/8 in}}\n"
    )
    assert cornerwright("book", "add", mine, "--readings", file).status == 0
    (read,) = cornerwright("book", "now", mine, "--json").answer["read"]
    assert (read["corner"], read["reading"]) == ("front_right", "toe_deg")
    assert abs(read["last"]) == pytest.approx(0.2187, abs=1e-3)  # asin(1/16 : 16 3/8)
    entry = cornerwright("book", "log", mine, "--last", 1, "--json").answer["lines"][0]["entry"]
    assert entry["body"]["as_taken"]["front_right"]["toe_over"]["length"] == 1.5875


def test_what_happened_before_the_book_began_is_refused(cornerwright, mine, job):
    told = cornerwright("book", "add", mine, "note", "says=x", "--when", "2025-12-24")
    assert told.status == 2
    assert "a moment since the book began" in told.err


def test_entries_from_a_file_go_in_together_or_not_at_all(cornerwright, mine, tmp_path):
    file = tmp_path / "evening.yaml"
    body = "format: cornerwright entries 1\nentries:\n  - body: {kind: note, says: rain}\n"
    file.write_text(body + "  - body: {kind: move, adjuster: rear_left.perch, setting_to: 20}\n")
    assert cornerwright("book", "add", mine, "--file", file, "--json").answer["written"] == [3, 4]
    file.write_text(body + "  - body: {kind: joint, joint: bolt, torque: 85 lbf}\n")
    told = cornerwright("book", "add", mine, "--file", file)
    assert told.status == 2
    assert told.err.startswith(f"{file}:4: entries[1]")
    file.write_text(body + "  - body: {kind: move, adjuster: rear_left.perch, setting_to: 2000}\n")
    assert cornerwright("book", "add", mine, "--file", file).status == 2
    assert cornerwright("book", "verify", mine, "--json").answer["entries"] == 4


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["jont", "x=1"], "did you mean joint?"),
        (["joint", "torque=85"], "joint: "),
        (["joint", "joint=a", "torque=85 lbf"], "torque: found the text '85 lbf'"),
        (["joint", "joint=a", "torqe=85"], "torqe"),
        (["joint", "joint=a", "torque"], "FIELD=VALUE"),
        (["joint", "joint=a", "state=loose", "torque=80"], "a joint with a torque is tight"),
        (["finding", "what=rusty", "place=rear", "says=x"], "what: "),
        (["drive", "distance=-3"], "distance: "),
        (["move", "adjuster=rear_left.perhc", "setting_to=20"], "an adjuster of this car"),
        (["move", "adjuster=rear_left.perch", "by=3 notch"], "a count such as '3 turn'"),
        (["reading", "rear_left.height=24 lb"], "rear_left.height: found"),
        (["reading", "rear_left.load=200"], "all four corners"),
        (["note", "says=x", "--settles", "toe@raer"], "--settles"),
        (["note", "says=x", "--when", "yesterday"], "--when: found 'yesterday'"),
        (["note", "says=x", "--when", "2999-01-01"], "when: "),
        (["note", "says=x", "--photo", "README.md"], "README.md: "),
        (["note", "says=x", "--readings", "r.yaml"], "KIND and --readings together"),
        ([], "nothing to add"),
        (["--plan", "README.md"], "what `plan --json` printed"),
    ],
)
def test_what_cannot_be_added_is_named_and_changes_nothing(cornerwright, mine, monkeypatch, arguments, says):
    monkeypatch.chdir(PROJECT)
    told = cornerwright("book", "add", mine, *arguments)
    assert (told.status, told.out) == (2, "")
    assert says in told.err
    as_json = cornerwright("book", "add", mine, *arguments, "--json")
    fits_schema(cornerwright, "error", as_json.answer)
    assert cornerwright("book", "verify", mine, "--json").answer["entries"] == 2


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["now", "nowhere.book"], "no such folder"),
        (["at", "BOOK", "1999-01-01"], "before the book began"),
        (["at", "BOOK", "#99"], "the number of an entry"),
        (["at", "BOOK", "2026-02-31"], "found '2026-02-31'"),
        (["at", "BOOK", "2026-02-01", "--as-written"], "--as-written"),
        (["jobs", "BOOK", "--only", "toe@frnt"], "--only"),
        (["jobs", "BOOK", "--card", "https://elsewhere"], "--card"),
        (["jobs", "BOOK", "--app", "bay2"], "--app"),
        (["log", "BOOK", "--kind", "jont"], "did you mean joint?"),
        (["correct", "BOOK", "99", "price=1", "--says", "x"], "the number of an entry"),
        (["correct", "BOOK", "1", "--says", "x"], "fields that were wrong"),
        (["correct", "BOOK", "1", "--strike"], "--says"),
        (["import", "README.md", "new.book"], "no zip"),
        (["new", "BOOK", "--car", "examples/tarn_fell/car.yaml"], "there already"),
        (["export", "BOOK", "nowhere/x.zip"], "FILE"),
        (["nwo"], "did you mean now?"),
    ],
)
def test_refusals_name_what_is_wrong(cornerwright, mine, monkeypatch, arguments, says):
    monkeypatch.chdir(PROJECT)
    told = cornerwright("book", *(mine if one == "BOOK" else one for one in arguments))
    assert (told.status, told.out) == (2, "")
    assert says in told.err
    assert not (PROJECT / "new.book").exists()


# ---------------------------------------------------------------------- papers


def test_a_card_and_its_code_lead_to_the_same_jobs(cornerwright, example, tmp_path):
    told = cornerwright("book", "jobs", example, "--only", "@rear", "--pdf", tmp_path / "card.pdf", "--app",
                        "http://bay2:8000/", "--json").answer  # fmt: skip
    names = [job["name"] for job in told["jobs"]]
    assert "toe@rear" in names
    assert "lamps@car" not in names
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
    assert told["link"].startswith("http://bay2:8000/book/")
    opened = cornerwright("book", "jobs", example, "--card", told["link"], "--json").answer
    assert [job["name"] for job in opened["jobs"]] == names
    other = cornerwright("book", "jobs", example, "--only", "toe", "--json").answer
    assert [job["name"] for job in other["jobs"]] == ["toe@rear"]


def test_the_hand_over_report_is_written(cornerwright, example, tmp_path):
    told = cornerwright("book", "report", example, "--pdf", tmp_path / "report.pdf", "--json")
    fits_schema(cornerwright, "book_report", told.answer)
    assert told.status == 0
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


def test_a_command_of_the_book_does_not_wait_for_what_it_does_not_need(example, tmp_path):
    """A book that is up to date needs no migrations, one whose figures are known no model."""
    code = (
        "import sys; from cornerwright.cli import run; run(['book', 'jobs', sys.argv[1], '--json']);"
        "print(*sorted(set(sys.modules) & {'alembic', 'numpy', 'scipy', 'typst', 'segno'}), file=sys.stderr)"
    )
    runs = [
        subprocess.run(
            [sys.executable, "-c", code, str(example)],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        )
        for _ in range(2)
    ]
    assert json.loads(runs[0].stdout)["jobs"] == json.loads(runs[1].stdout)["jobs"]
    assert "alembic" not in runs[0].stderr
    assert runs[1].stderr.split() == []
