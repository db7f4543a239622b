"""Shelves, plans, runs, databases and what was entered: kept, damaged meanwhile, and read again."""

from __future__ import annotations

import json
import shutil
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from bounds import bounded, clear, examples, on_disk
from damaging import DRESSED, PLAINLY, RAW, bytes_damaged, damaged, text_damaged, yaml_of
from hypothesis import given
from hypothesis import strategies as st
from pyarrow import parquet

import cornerwright as cw
from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.store import FILE
from cornerwright.book.verify import verify
from cornerwright.cli.app_apart import _still_open
from cornerwright.cli.book_adding import Given, add
from cornerwright.cli.book_open import jobs_of
from cornerwright.model.carfile import load_car, load_readings, load_shelf, load_targets
from cornerwright.model.errors import Refusal
from cornerwright.model.files import read_tree
from cornerwright.planning.starting.asked import Given as Answers
from cornerwright.planning.starting.papers import papers
from cornerwright.running.parts import MANIFEST, Parts
from cornerwright.running.run import Where, run
from cornerwright.running.work import Table, same_tables
from cornerwright.web.desk import Desk
from cornerwright.web.rounds import keep
from diary import PNG, moved, opening, say
from shared import PROJECT
from starting_answers import answers

TARN_FELL = PROJECT / "examples" / "tarn_fell"

# ------------------------------------------------------------------ a shelf


@cache
def _shelf() -> Any:
    return {
        "format": "cornerwright shelf 1",
        "name": "two hills",
        "invented": True,
        "springs": [
            {"name": "hill", "fits": "front", "rate": "45 N/mm", "free_length": 175, "block_length": 60,
             "replaces": "main"},
            {"name": "softer", "fits": "rear", "rate": 70, "free_length": 205, "block_length": 82, "minutes": 50},
        ],
        "bars": [{"name": "thin", "fits": "front", "rate": 8, "price": 60}],
        "dampers": [
            {"name": "short", "fits": "rear", "price": 140,
             "damper": read_tree(TARN_FELL / "car.yaml").plain["rear"]["left"]["damper"]}
        ],
        "currency": "EUR",
    }  # fmt: skip


@examples(2.0)
@given(
    content=st.builds(
        yaml_of, damaged(_shelf, ("springs",), ("dampers", 0), ("bars",)), st.just(PLAINLY) | DRESSED
    ).map(lambda text: text.encode("utf-8", "surrogatepass"))
    | text_damaged(lambda: yaml_of(_shelf()))
    | RAW
)
def test_a_damaged_shelf(tmp_path, content):
    path = tmp_path / "shelf.yaml"
    path.write_bytes(content)
    with bounded("shelf"):
        try:
            load_shelf(path).shelf()
        except Refusal as refusal:
            clear(refusal, str(path))
    assert on_disk(tmp_path) == {"shelf.yaml": content}


# ------------------------------------------------------------------ a plan that was printed


@cache
def _plan() -> str:
    found = cw.plan(
        load_car(TARN_FELL / "car.yaml"), load_readings(TARN_FELL / "readings.yaml"),
        load_targets(TARN_FELL / "targets.yaml"),
    )  # fmt: skip
    return found.model_dump_json(by_alias=True)


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("kept")
    with make_book(folder / "car.book", opening()) as book:
        book.append(moved("rear_left.perch", 20, 30))
        book.append(say("finding", 35, what="rust", place="rear", says="sill"), [PNG])
    return folder / "car.book"


def _from_plan(path: Path, ticked: str | None) -> Given:
    empty: dict[str, Any] = dict.fromkeys(
        ("kind", "who", "when", "note", "readings", "car", "targets", "file")
    )  # fmt: skip
    return Given(**{**empty, "fields": (), "photos": (), "settles": (), "ready": (), "plan": path, "moves": ticked})


def _json(plain: Any) -> bytes:
    return json.dumps(plain).encode("utf-8", "surrogatepass")


@examples(0.5, small=10)
@given(
    content=damaged(lambda: json.loads(_plan()), ("moves",), ("moves", 0)).map(_json)
    | text_damaged(_plan)
    | RAW
    | st.just(b"[" * 100_000),
    ticked=st.none() | st.sampled_from(("1", "1,2", "0", "x", "", "front_left.perch")),
)
def test_the_moves_of_a_damaged_plan(made, tmp_path, content, ticked):
    where, path = tmp_path / "own.book", tmp_path / "plan.json"
    shutil.rmtree(where, ignore_errors=True)
    shutil.copytree(made, where)
    path.write_bytes(content)
    with bounded("plan"):
        try:
            added = len(add(str(where), _from_plan(path, ticked)).written)
        except Refusal as refusal:
            clear(refusal)
            added = 0
    with Book.open(where) as book:
        assert book.count() == 4 + added
        assert verify(book).troubles == []


# ------------------------------------------------------------------ runs that are gone on with


class Squares:
    """Four blocks of numbers that anyone can check."""

    blocks = 4
    facts = {"kind": "squares", "rows": 3, "seed": 1}  # noqa: RUF012  (as the protocol has it)

    def run(self, block: int) -> Table:
        """Squares of three numbers."""
        k = np.arange(3 * block, 3 * block + 3)
        return {"number": k, "square": (k * k).astype(float)}


def _manifest(folder: Path) -> str:
    Parts(folder, Squares())
    return (folder / MANIFEST).read_text(encoding="utf-8")


def _other_part() -> st.SearchStrategy[bytes]:
    """Whole files of the right kind with other rows or columns in them."""

    def write(names: list[str], rows: int, texts: bool) -> bytes:
        column = ["x"] * rows if texts else list(range(rows))
        sink = pa.BufferOutputStream()
        parquet.write_table(pa.table(dict.fromkeys(names, column)), sink)
        return sink.getvalue().to_pybytes()

    names = st.lists(st.sampled_from(("number", "square", "other", "")), unique=True, max_size=3)
    return st.builds(write, names, st.integers(0, 5), st.booleans())


@examples(1.0, small=10)
@given(data=st.data())
def test_a_damaged_run_is_done_again_or_refused(tmp_path, data):
    folder = tmp_path / "run"
    shutil.rmtree(folder, ignore_errors=True)
    whole = run(Squares(), Where(processes=1, folder=folder))
    part = folder / "part-00001.parquet"
    if data.draw(st.booleans()):
        path, content = part, data.draw(bytes_damaged(part.read_bytes) | _other_part() | RAW)
    else:
        path = folder / MANIFEST
        text = path.read_text(encoding="utf-8")
        content = data.draw(text_damaged(lambda: text) | damaged(lambda: json.loads(text)).map(_json) | RAW)
    path.write_bytes(content)
    before = on_disk(folder)
    with bounded("run"):
        try:
            found = run(Squares(), Where(processes=1, folder=folder))
        except Refusal as refusal:
            clear(refusal)
            assert on_disk(folder) == before
            return
    assert len(found) == len(whole)
    assert all(same_tables(one, other) for one, other in zip(found, whole, strict=True))


# ------------------------------------------------------------------ the database of a book


@examples(1.0, small=15)
@given(data=st.data())
def test_a_damaged_database(made, tmp_path, data):
    where = tmp_path / "own.book"
    shutil.rmtree(where, ignore_errors=True)
    shutil.copytree(made, where)
    for beside in where.glob(f"{FILE}-*"):
        beside.unlink()
    (where / FILE).write_bytes(data.draw(bytes_damaged((made / FILE).read_bytes) | RAW))
    with bounded("database"):
        for ask in (verify, lambda book: jobs_of(book, book.record()), lambda book: book.log(),
                    lambda book: book.append(say("note", says="x"))):  # fmt: skip
            try:
                with Book.open(where) as book:
                    ask(book)
            except Refusal as refusal:
                clear(refusal)


# ------------------------------------------------------------------ what was entered in the app

ANSWERS = st.sampled_from(
    ("", "0", "-1", "1e400", "nan", "12,5", "3 1/2 in", "12 furlong", "yes", "no", "x" * 200, "\ud800", "\0",
     "185/60R14", "1e-9", "99999", "rear", "front", "¼", "٣", "- 5", "#", "{a: b}", "a: b", "'", '"', "*a", "!x")
)  # fmt: skip


@examples(2.0)
@given(
    changed=st.dictionaries(st.integers(0, 10_000), ANSWERS | st.text(max_size=10) | st.floats().map(str), max_size=4),
    dropped=st.sets(st.integers(0, 10_000), max_size=2),
    more=st.dictionaries(
        st.sampled_from(("front.has.body", "rear.row.9.at", "front.spring.count", "x", "mass", "front.row.0.at")),
        ANSWERS,
    ),
)
def test_odd_answers_about_a_new_car(changed, dropped, more):
    told = {**answers(), **more}
    names = sorted(told)
    for place, text in changed.items():
        told[names[place % len(names)]] = text
    for place in dropped:
        told.pop(names[place % len(names)], None)
    with bounded("answers"):
        try:
            papers(Answers(told), date(2026, 4, 11), "R.")
        except Refusal as refusal:
            clear(refusal)


def _entered() -> list[dict[str, Any]]:
    at = "2026-04-11T10:00:00.000+00:00"
    fields = {
        "read.front_left.height": "612", "read.rear_left.camber": "-1.2", "plan": _plan(), "ways": _plan(),
        "tick.0": "made", "tick.2": "made", "pass.who": "R.", "followed": _plan(),
        "round": json.dumps({"key": "a" * 32, "pass": {"front_left": {"height": 612.0}}}),
    }  # fmt: skip
    lines = enumerate(fields.items(), 1)
    return [{"number": k, "at": at, "who": "R.", "field": field, "text": text} for k, (field, text) in lines]


def _texts_damaged() -> st.SearchStrategy[bytes]:
    """Lines that are as they were written, with other texts in them."""

    def write(where: int, text: Any, field: str | None) -> bytes:
        lines = _entered()
        one = lines[where % len(lines)]
        one["text"] = text
        if field is not None:
            one["field"] = field
        return "".join(json.dumps(line) + "\n" for line in lines).encode("utf-8", "surrogatepass")

    texts = damaged(lambda: json.loads(_plan()), ("moves",)).map(json.dumps) | st.text(max_size=20)
    fields = st.none() | st.sampled_from(
        ("tick.x", "tick.-1", "tick.99", "read.front_left.nothing", "read.", "again.x")
    )
    return st.builds(
        write, st.integers(0, 20), texts | st.sampled_from(("{}", "[]", "null", "1", '{"pass": 1}')), fields
    )


@examples(0.5, small=10)
@given(content=_texts_damaged())
def test_what_was_entered_about_a_car(tmp_path, content):
    for name in ("car", "readings", "targets"):
        shutil.copy(TARN_FELL / f"{name}.yaml", tmp_path / f"{name}.yaml")
    kept = tmp_path / "car.entered.jsonl"
    kept.write_bytes(content)
    with bounded("entered"):
        try:
            desk = Desk(tmp_path / "car.yaml")
        except Refusal as refusal:
            clear(refusal)
            return
        try:
            asks = (desk.plan, desk.last_plan, desk.turned, desk.known, desk.settings_mm, lambda: keep(desk, "R."))
            for ask in asks:
                try:
                    ask()
                except Refusal as refusal:
                    clear(refusal)
        finally:
            desk.close()


# ------------------------------------------------------------------ what is kept of an app that is open


@examples(0.2, small=10)
@given(
    content=text_damaged(lambda: '{"address":"http://127.0.0.1:1/","process":1,"ends_after_minutes":30.0}')
    | damaged(lambda: {"address": "http://127.0.0.1:1/", "process": 2**31 - 1, "ends_after_minutes": 30.0}).map(_json)
    | RAW
)
def test_what_is_kept_of_an_app(tmp_path, content):
    path = tmp_path / "app.json"
    path.write_bytes(content)
    with bounded("app"):
        assert _still_open(path) is None
