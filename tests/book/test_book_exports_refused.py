"""Exports that someone, or a bad disk, has changed: refused in plain words, and no book is made."""

from __future__ import annotations

import json
import stat
import zipfile
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from cornerwright.book import transfer
from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.tables import FIRST, chained
from cornerwright.book.transfer import ENTRIES, MANIFEST, export_book, import_book, line_of
from cornerwright.book.verify import verify
from cornerwright.model.entry import canonical
from cornerwright.model.errors import Refusal
from diary import PNG, moved, opening, say


@pytest.fixture(scope="module")
def members(tmp_path_factory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("made")
    with make_book(folder / "car.book", opening()) as book:
        book.append(moved("rear_left.perch", 20, 30))
        export_book(book, folder / "export.zip")
    with zipfile.ZipFile(folder / "export.zip") as pack:
        return {name: pack.read(name) for name in pack.namelist()}


def packed(folder: Path, members: dict[str, bytes]) -> Path:
    with zipfile.ZipFile(folder / "export.zip", "w") as pack:
        for name, content in members.items():
            pack.writestr(name, content)
    return folder / "export.zip"


def refused(file: Path, words: str) -> None:
    with pytest.raises(Refusal, match=words):
        import_book(file, file.parent / "in.book")
    assert [one.name for one in file.parent.iterdir()] == [file.name]


def with_entries(members: dict[str, bytes], entries: list[Any]) -> dict[str, bytes]:
    """The members with these entries, every digest made to fit."""
    digest, lines = FIRST, ""
    for number, one in enumerate(entries, 1):
        digest = chained(digest, number, canonical(one))
        lines += line_of(number, digest, canonical(one)) + "\n"
    manifest = json.loads(members[MANIFEST])
    manifest |= {"sha256": sha256(lines.encode()).hexdigest(), "head": digest, "entries": len(entries)}
    return {**members, ENTRIES: lines.encode(), MANIFEST: json.dumps(manifest).encode()}


def told(members: dict[str, bytes]) -> list[Any]:
    return [json.loads(line)["entry"] for line in members[ENTRIES].decode().splitlines()]


def test_the_helper_makes_an_export_that_is_taken_in(members, tmp_path):
    assert import_book(packed(tmp_path, with_entries(members, told(members))), tmp_path / "in.book").entries == 3


@pytest.mark.parametrize("flag", [0x01, 0x40])
def test_an_encrypted_zip_is_refused(members, tmp_path, flag):
    file = packed(tmp_path, members)
    content = bytearray(file.read_bytes())
    start = 0
    while (start := content.find(b"PK\x01\x02", start)) >= 0:
        content[start + 8] |= flag
        start += 4
    file.write_bytes(content)
    refused(file, "no zip")


def test_a_zip_whose_directory_lies_before_its_beginning_is_refused(members, tmp_path):
    file = packed(tmp_path, members)
    content = bytearray(file.read_bytes())
    end = content.rfind(b"PK\x05\x06")
    del content[200 : 200 + (end - 200) // 2]
    file.write_bytes(content)
    refused(file, "zip|damaged")


def test_a_missing_file_is_told_as_missing(tmp_path):
    with pytest.raises(FileNotFoundError):
        import_book(tmp_path / "none.zip", tmp_path / "in.book")


def test_entries_that_are_no_utf_8_are_refused(members, tmp_path):
    content = b"\xff\xfe" + members[ENTRIES]
    manifest = json.loads(members[MANIFEST]) | {"sha256": sha256(content).hexdigest()}
    changed = {**members, ENTRIES: content, MANIFEST: json.dumps(manifest).encode()}
    refused(packed(tmp_path, changed), "not UTF-8")


def test_a_manifest_nested_without_end_is_refused(members, tmp_path):
    refused(packed(tmp_path, {**members, MANIFEST: b"[" * 100_000}), "cannot be read")


def test_an_entry_nested_without_end_is_refused(members, tmp_path):
    content = members[ENTRIES] + b"[" * 100_000
    manifest = json.loads(members[MANIFEST]) | {"sha256": sha256(content).hexdigest()}
    changed = {**members, ENTRIES: content, MANIFEST: json.dumps(manifest).encode()}
    refused(packed(tmp_path, changed), "is no entry")


def test_an_entry_that_the_book_would_have_written_otherwise_is_refused(members, tmp_path):
    entries = told(members)
    entries[2]["body"]["setting_to"] = "20 mm"  # a file may say so; what is kept is a number
    refused(packed(tmp_path, with_entries(members, entries)), "line 3 is not as the book writes it")


@pytest.mark.parametrize("name", ["id", "when"])
def test_an_entry_without_a_name_or_a_time_of_its_own_is_refused(members, tmp_path, name):
    entries = told(members)
    del entries[2][name]
    refused(packed(tmp_path, with_entries(members, entries)), "line 3 is not as the book writes it")


def test_a_book_that_does_not_begin_with_its_car_is_refused(members, tmp_path):
    refused(packed(tmp_path, with_entries(members, told(members)[1:])), "line 1 is not as the book writes it")


def test_a_part_that_sets_what_the_car_does_not_have_is_refused(members, tmp_path):
    entries = told(members)
    body = {"kind": "fitted", "part": "x", "place": "rear", "used": False, "sets": {"rear.left.nothing[3].here": 1}}
    entries[2]["body"] = body
    refused(packed(tmp_path, with_entries(members, entries)), "does not amount to a car")


def test_an_entry_of_an_older_version_may_say_less(members, tmp_path):
    entries = told(members)
    del entries[0]["body"]["car"]["invented"]
    del entries[2]["photos"]
    assert import_book(packed(tmp_path, with_entries(members, entries)), tmp_path / "in.book").entries == 3
    with Book.open(tmp_path / "in.book") as book:
        assert export_book(book, tmp_path / "again.zip").entries == 3
        assert verify(book).troubles == []


def test_a_small_zip_that_unpacks_to_more_than_a_book_is_refused(members, tmp_path, monkeypatch):
    file = packed(tmp_path, members)
    monkeypatch.setattr(transfer, "MOST_UNPACKED", 1000)
    refused(file, "unpacks to more")
    monkeypatch.setattr(transfer, "MOST_UNPACKED", 10**9)
    monkeypatch.setattr(transfer, "MOST_TEXT", 1000)
    refused(file, "entries.jsonl of more than")


def test_a_correction_of_what_is_not_there_is_refused(members, tmp_path):
    entries = told(members)
    entries[2]["body"] = {"kind": "correction", "corrects": "0" * 32, "says": "slip"}
    refused(packed(tmp_path, with_entries(members, entries)), "line 3 names what is not there")


def test_every_refusal_names_the_export(members, tmp_path):
    """Whoever has a folder of them must know which one."""
    for changed in ({MANIFEST: b'{"format": "cornerwright book 1"}'}, {ENTRIES: b"{}\n"}):
        file = packed(tmp_path, {**members, **changed})
        with pytest.raises(Refusal) as caught:
            import_book(file, tmp_path / "in.book")
        assert caught.value.problems[0].file == str(file)


def test_an_export_may_be_read_by_others_and_written_by_none_but_its_owner(tmp_path):
    with make_book(tmp_path / "car.book", opening()) as book:
        export_book(book, tmp_path / "export.zip")
    assert stat.S_IMODE((tmp_path / "export.zip").stat().st_mode) == 0o644


def test_a_book_whose_photo_is_gone_is_not_exported_and_says_which(tmp_path):
    with make_book(tmp_path / "car.book", opening()) as book:
        book.append(say("note", 5, says="x"), [PNG])
        photo = next((tmp_path / "car.book" / "photos").glob("??/*"))
        photo.unlink()
        with pytest.raises(Refusal, match=rf"photo {photo.name[:12]}\.\.\.: missing"):
            export_book(book, tmp_path / "export.zip")
        photo.write_bytes(PNG + b"x")
        with pytest.raises(Refusal, match="wrong bytes"):
            export_book(book, tmp_path / "export.zip")
    assert [one.name for one in tmp_path.iterdir()] == ["car.book"]
