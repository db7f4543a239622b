"""What goes wrong with disks and files: a clear word, and nothing changed."""

from __future__ import annotations

import contextlib
import os
import resource
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.photos import digest_of
from cornerwright.book.store import Location, Store, migrate
from cornerwright.book.tables import STEPS
from cornerwright.book.transfer import export_book, import_book
from cornerwright.book.verify import MOST_TROUBLES, verify
from cornerwright.book.writer import Writer
from cornerwright.model.errors import Refusal
from diary import PNG, moved, opening, say

NOBODY = 65534


@contextlib.contextmanager
def small_disk(room: int) -> Iterator[None]:
    """No file can grow beyond so many bytes: writing there fails as on a disk that is full."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextlib.contextmanager
def without_rights() -> Iterator[None]:
    """As a user who may read what all may read; root may write anywhere, so root steps down."""
    if os.geteuid() != 0:
        yield
        return
    os.setegid(NOBODY)
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)
        os.setegid(0)


@pytest.fixture
def shown_folder() -> Iterator[Path]:
    """A folder that everyone may enter, which pytest's own are not."""
    folder = Path(tempfile.mkdtemp(prefix="cornerwright-test-"))
    folder.chmod(0o755)
    yield folder
    for path in [folder, *folder.rglob("*")]:
        path.chmod(path.stat().st_mode | stat.S_IWUSR)
    shutil.rmtree(folder)


def fill(book: Book) -> None:
    """Write until something refuses."""
    for _ in range(2000):
        book.append(say("note", says="x" * 3900))


def test_a_full_disk_refuses_the_entry_and_keeps_the_rest(folder_book):
    file = folder_book.store.location.file
    room = file.stat().st_size + file.with_name("book.sqlite-wal").stat().st_size + 100_000
    with small_disk(room), pytest.raises(Refusal, match="full") as told:
        fill(folder_book)
    assert told.value.problems[0].file == folder_book.where
    found = verify(folder_book)
    assert found.troubles == []
    before = found.entries
    folder_book.append(say("note", says="room again"))
    assert verify(folder_book).entries == before + 1


def test_a_database_at_its_largest_refuses_too(folder_book):
    store = folder_book.store
    pages = sqlite3.connect(store.location.file).execute("PRAGMA page_count").fetchone()[0]

    @sa.event.listens_for(store._engine, "connect")
    def _limit(connection, record):
        connection.execute(f"PRAGMA max_page_count = {pages + 5}")

    store._engine.dispose()
    with pytest.raises(Refusal, match="full disk: nothing was written"):
        fill(folder_book)
    assert verify(folder_book).troubles == []


def test_a_photo_that_finds_no_room_leaves_no_entry_and_no_piece(folder_book):
    before = verify(folder_book).digest
    with small_disk(10_000), pytest.raises(Refusal, match="nothing was written"):
        folder_book.append(say("finding", what="rust", place="rear", says="sill"), [PNG + b"x" * 50_000])
    assert verify(folder_book).digest == before
    assert [path for path in folder_book.photos.folder.rglob("*") if path.is_file()] == []


def test_no_room_for_a_new_book_leaves_nothing(tmp_path):
    with small_disk(20_000), pytest.raises(Refusal):
        make_book(tmp_path / "new.book", opening())
    assert list(tmp_path.iterdir()) == []


def test_no_room_for_an_export_leaves_nothing(folder_book, tmp_path):
    before = sorted(tmp_path.iterdir())
    with small_disk(1000), pytest.raises(OSError):  # noqa: PT011  (the commands say it in words)
        export_book(folder_book, tmp_path / "out.zip")
    assert sorted(tmp_path.iterdir()) == before


def test_a_book_that_may_not_be_written_can_be_read(shown_folder):
    where = shown_folder / "car.book"
    make_book(where, opening()).close()
    for path in (where, *where.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    content = (where / "book.sqlite").read_bytes()
    with without_rights():
        with Book.open(where) as book:
            assert book.record().name.startswith("Tarn Fell")
            book.remember({"a": 1})  # kept for speed only: no room for it, no harm
            with pytest.raises(Refusal, match="may not be written: nothing was changed"):
                book.append(moved("rear_left.perch", 20))
            assert verify(book).troubles == []
        with pytest.raises(Refusal, match="nothing was made"):
            make_book(shown_folder / "other.book", opening())
    assert (where / "book.sqlite").read_bytes() == content


def test_a_book_of_a_newer_version_is_left_alone(place):
    make_book(place, opening()).close()
    store = Store(Location.of(place))
    with store.writing() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '0099'"))
    with pytest.raises(Refusal, match="newer version") as told:
        Book.open(place)
    assert "nothing was changed" in str(told.value)
    with store.reading() as connection:
        assert connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar() == "0099"
    store.close()


def test_an_older_book_is_brought_up_to_date_with_its_entries(place):
    make_book(place, opening()).close()
    store = Store(Location.of(place))
    with store.writing() as connection:  # as the first step left it
        connection.execute(sa.text("DROP TABLE snapshot"))
        connection.execute(sa.text("DROP TABLE figures"))
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '0001'"))
    store.close()
    with Book.open(place) as book:
        assert book.record().settings["rear_left.perch"] == 28
        book.append(moved("rear_left.perch", 20))
        assert verify(book).troubles == []


def test_every_step_leads_to_the_next(tmp_path):
    (tmp_path / "photos").mkdir()
    store = Store(Location(folder=tmp_path))
    store.make_file()
    for step in STEPS:
        with store.writing(new=True) as connection:
            migrate(connection, step)
        with store.reading() as connection:
            assert connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar() == step
    with store.writing() as connection:
        Writer(connection, None, "here").write(opening())
    store.close()


@pytest.mark.parametrize("content", [b"", b"no database at all" * 100, b"SQLite format 3\0" + b"\xff" * 5000])
def test_a_file_that_is_no_book_is_refused(tmp_path, content):
    (tmp_path / "book.sqlite").write_bytes(content)
    with pytest.raises(Refusal) as told:
        Book.open(tmp_path)
    assert told.value.problems[0].file == str(tmp_path)
    assert (tmp_path / "book.sqlite").read_bytes() == content


@pytest.mark.parametrize(
    ("where", "says"),
    [
        ("nowhere.book", "no such folder"),
        ("mysql://here/there", "postgresql://"),
        ("postgresql://nobody@/none?host=/nowhere#a", "no connection"),
        ("postgresql://u:secret@/none?host=/nowhere#a", "no connection"),
        ("postgresql://u@/none#A b", "after #"),
    ],
)
def test_a_place_without_a_book_is_named(tmp_path, monkeypatch, where, says):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(Refusal, match=says) as told:
        Book.open(where)
    assert "secret" not in str(told.value)


def tampered(book: Book, copy: Path, *statements: str, without: int | None = None) -> list[str]:
    """What verify says of a copy changed behind the program's back; without: a guard that is not put back."""
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(Path(book.where), copy)
    connection = sqlite3.connect(copy / "book.sqlite")
    guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name").fetchall()
    for name, _ in guards:
        connection.execute(f"DROP TRIGGER {name}")
    for one in statements:
        connection.execute(one)
    for k, (_, sql) in enumerate(guards):
        if k != without:
            connection.execute(sql)
    connection.commit()
    connection.close()
    with Book.open(copy) as again:
        return verify(again).troubles


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE entry SET line = replace(line, '20.0', '21.0') WHERE number = 4", "#4: is not what was written"),
        ("UPDATE entry SET digest = replace(digest, substr(digest, 1, 1), 'x') WHERE number = 4", "#4: is not what"),
        ("DELETE FROM entry WHERE number = 3", "#3: missing; #4 follows"),
        ("UPDATE entry SET line = 'x' WHERE number = 4", "#4: cannot be read as an entry"),
        ("UPDATE entry SET id = 'f' WHERE number = 4", "#4: its columns do not fit its line"),
        ("UPDATE entry SET kind = 'note' WHERE number = 4", "#4: its columns do not fit its line"),
        ("UPDATE entry SET place = 'front' WHERE number = 4", "#4: its columns do not fit its line"),
        ("UPDATE entry SET moment = '2026-02-01T00:00:00.000000Z' WHERE number = 4", "#4: its columns do not fit"),
        ("UPDATE entry SET corrects = 1 WHERE number = 4", "#4: its columns do not fit its line"),
        ("UPDATE entry SET corrects = NULL WHERE number = 5", "#5: its columns do not fit its line"),
    ],
)
def test_verify_finds_what_was_tampered_with(folder_book, tmp_path, statement, says):
    folder_book.append(say("finding", what="rust", place="rear", says="sill"), [PNG])
    slip = folder_book.append(moved("rear_left.perch", 20))
    folder_book.append(say("correction", corrects=slip.id, says="slip"))
    assert tampered(folder_book, tmp_path / "copy.book") == []
    found = tampered(folder_book, tmp_path / "copy.book", statement)
    assert any(one.startswith(says) for one in found), found


@pytest.mark.parametrize(
    "line", ["x", "[]", '{"body":{"kind":"move","adjuster":"rear_left.perch","setting_to":"x"}}', '{"body":1}']
)
def test_an_entry_that_a_damaged_disk_changed_is_told(folder_book, tmp_path, line):
    folder_book.append(moved("rear_left.perch", 20))
    copy = tmp_path / "copy.book"
    assert tampered(folder_book, copy, f"UPDATE entry SET line = '{line}' WHERE number = 3")
    with Book.open(copy) as book, pytest.raises(Refusal, match="book verify") as told:
        book.record()
    assert told.value.problems[0].file == book.where


@pytest.mark.parametrize("without", range(3))
def test_verify_misses_each_guard(folder_book, tmp_path, without):
    found = tampered(folder_book, tmp_path / "copy.book", without=without)
    assert found == ["the guards that keep entries from being changed are gone"]


def test_verify_tells_as_many_troubles_as_anyone_reads(folder_book, tmp_path):
    folder_book.append_all([say("note", says=f"{k}") for k in range(MOST_TROUBLES + 20)])
    found = tampered(folder_book, tmp_path / "copy.book", "UPDATE entry SET id = 'x' || number")
    assert len(found) == MOST_TROUBLES
    assert found[-1].startswith(f"#{MOST_TROUBLES}:")


def test_verify_looks_at_the_last_of_several_snapshots(folder_book, monkeypatch):
    """That is the one everything is worked out from."""
    monkeypatch.setattr("cornerwright.book.history.SNAPSHOT_EVERY", 2)
    monkeypatch.setattr("cornerwright.book.book.SNAPSHOT_EVERY", 2)
    for k in range(6):
        folder_book.append(moved("rear_left.perch", 20 + k, k))
    with folder_book.store.writing() as connection:
        numbers = connection.execute(sa.text("SELECT number FROM snapshot ORDER BY number")).scalars().all()
        assert len(numbers) >= 3
        spoil = "UPDATE snapshot SET state = replace(state, :was, :now) WHERE number = :number"
        change = {"was": 'rear_left.perch":2', "now": 'rear_left.perch":3', "number": numbers[-1]}
        connection.execute(sa.text(spoil), change)
    assert verify(folder_book).troubles == [
        "what is kept at hand is not what the entries amount to; `book import` of an export mends it"
    ]


def test_a_photo_whose_place_cannot_be_read_is_refused(folder_book):
    digest = digest_of(PNG)
    (folder_book.photos.folder / digest[:2] / digest).mkdir(parents=True)
    with pytest.raises(Refusal, match="nothing was written"):
        folder_book.append(say("note", 1, says="dial"), [PNG])
    assert folder_book.count() == 2


def test_verify_finds_a_photo_with_wrong_bytes_and_one_that_is_gone(folder_book):
    folder_book.append(say("finding", what="rust", place="rear", says="sill"), [PNG])
    (photo,) = folder_book.photos.folder.glob("??/*")
    photo.write_bytes(PNG + b"!")
    assert any("its bytes are not" in one for one in verify(folder_book).troubles)
    photo.unlink()
    assert any("missing" in one for one in verify(folder_book).troubles)


def test_verify_finds_a_snapshot_that_does_not_fit(folder_book, monkeypatch):
    monkeypatch.setattr("cornerwright.book.history.SNAPSHOT_EVERY", 2)
    monkeypatch.setattr("cornerwright.book.book.SNAPSHOT_EVERY", 2)
    folder_book.append(moved("rear_left.perch", 20))
    folder_book.append(moved("rear_left.perch", 21))
    assert verify(folder_book).troubles == []
    change = {"was": 'rear_left.perch":21.0', "now": 'rear_left.perch":22.0'}
    with folder_book.store.writing() as connection:
        connection.execute(sa.text("UPDATE snapshot SET state = replace(state, :was, :now)"), change)
    assert any("kept at hand" in one for one in verify(folder_book).troubles)


def test_importing_without_room_leaves_nothing(folder_book, tmp_path):
    export_book(folder_book, tmp_path / "out.zip")
    before = sorted(tmp_path.iterdir())
    with small_disk(15_000), pytest.raises(Refusal):
        import_book(tmp_path / "out.zip", tmp_path / "in.book")
    assert sorted(tmp_path.iterdir()) == before
