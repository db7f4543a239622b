"""A whole book out and in again: the same book, on either kind of storage, or nothing at all."""

from __future__ import annotations

import importlib.util
import json
import zipfile
from hashlib import sha256
from pathlib import Path

import pytest

from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.tables import FIRST, chained
from cornerwright.book.transfer import export_book, import_book, line_of
from cornerwright.book.verify import verify
from cornerwright.model.entry import Entry, canonical
from cornerwright.model.errors import Refusal
from diary import PNG, moved, opening, say
from shared import PROJECT


@pytest.fixture
def pack(tmp_path):
    """An export with a photo, a correction and a late entry."""
    with make_book(tmp_path / "first.book", opening()) as book:
        slip = book.append(moved("rear_left.perch", 20, 30))
        book.append(say("finding", 5, what="rust", place="rear", says="sill, größer als gedacht"), [PNG])
        book.append(say("correction", 40, corrects=slip.id, says="slip"))
        export_book(book, tmp_path / "book.zip")
        return tmp_path / "book.zip", verify(book).digest, book.record().to_text(), book.id


def test_what_comes_in_is_what_went_out(pack, place, tmp_path):
    file, digest, told, name = pack
    moved_in = import_book(file, place)
    assert (moved_in.entries, moved_in.photos, moved_in.digest) == (5, 1, digest)
    with Book.open(place) as book:
        found = verify(book)
        assert (found.troubles, found.digest, found.photos) == ([], digest, 1)
        assert book.record().to_text() == told
        assert book.id == name
        export_book(book, tmp_path / "again.zip")
        book.append(say("note", says="goes on"))
        assert verify(book).troubles == []
    with zipfile.ZipFile(file) as one, zipfile.ZipFile(tmp_path / "again.zip") as other:
        assert sorted(one.namelist()) == sorted(other.namelist())
        for member in one.namelist():
            assert one.read(member) == other.read(member)


def test_a_place_that_is_taken_is_refused(pack, place):
    import_book(pack[0], place)
    with pytest.raises(Refusal, match="there already"):
        import_book(pack[0], place)
    with Book.open(place) as book:
        assert book.count() == 5


def rewritten(source: Path, target: Path, change) -> Path:
    """The zip with one member changed (None: left out)."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for member in old.namelist():
            content = change(member, old.read(member))
            if content is not None:
                new.writestr(member, content)
    return target


def _wrong_photo(name, content):
    return content[:-1] + b"!" if name.startswith("photos/") else content


def _no_photo(name, content):
    return None if name.startswith("photos/") else content


def _other_entry(name, content):
    return content.replace(b"20.0", b"21.0") if name == "entries.jsonl" else content


def _cut_entries(name, content):
    return content[: content.rindex(b"\n", 0, -1) + 1] if name == "entries.jsonl" else content


def _newer(name, content):
    return content.replace(b"cornerwright book 1", b"cornerwright book 7") if name == "manifest.json" else content


def _elsewhere(name, content):
    if name != "manifest.json":
        return content
    plain = json.loads(content)
    plain["photos"] = {key: f"../{key}" for key in plain["photos"]}
    return json.dumps(plain)


def _no_manifest(name, content):
    return None if name == "manifest.json" else content


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_wrong_photo, "other bytes"),
        (_no_photo, "no photo"),
        (_other_entry, "not what was exported"),
        (_cut_entries, "not what was exported"),
        (_newer, "newer version"),
        (_elsewhere, "no photo"),
        (_no_manifest, "no manifest.json"),
    ],
)
def test_an_export_that_was_changed_is_refused_whole(pack, place, tmp_path, change, says):
    bad = rewritten(pack[0], tmp_path / "bad.zip", change)
    with pytest.raises(Refusal, match=says) as told:
        import_book(bad, place)
    assert told.value.problems[0].file == str(bad)
    import_book(pack[0], place)  # the place is as free as before


def test_entries_forged_with_fitting_digests_of_the_file_break_the_chain(pack, place, tmp_path):
    def forge(name, content):
        if name == "entries.jsonl":
            return content.replace(b'"setting_to":20.0', b'"setting_to":21.0')
        plain = json.loads(content) if name == "manifest.json" else None
        if plain is None:
            return content
        with zipfile.ZipFile(pack[0]) as old:
            lines = old.read("entries.jsonl").replace(b'"setting_to":20.0', b'"setting_to":21.0')
        return json.dumps(plain | {"sha256": sha256(lines).hexdigest()})

    with pytest.raises(Refusal, match="does not follow"):
        import_book(rewritten(pack[0], tmp_path / "forged.zip", forge), place)


def test_entries_forged_with_every_digest_that_amount_to_no_car(pack, place, tmp_path):
    """Whoever writes all digests anew can write anything: what no book would have taken does not come in either."""
    with zipfile.ZipFile(pack[0]) as old:
        entries = [json.loads(line)["entry"] for line in old.read("entries.jsonl").decode().splitlines()]
    entries.pop()  # the correction: the move counts
    next(one["body"] for one in entries if one["body"]["kind"] == "move")["setting_to"] = 999.0
    lines, digest = "", FIRST
    for number, one in enumerate(entries, 1):
        digest = chained(digest, number, canonical(one))
        lines += line_of(number, digest, canonical(one)) + "\n"

    def forge(name, content):
        if name == "entries.jsonl":
            return lines
        if name == "manifest.json":
            fits = {"sha256": sha256(lines.encode()).hexdigest(), "head": digest, "entries": len(entries)}
            return json.dumps(json.loads(content) | fits)
        return content

    bad = rewritten(pack[0], tmp_path / "forged.zip", forge)
    with pytest.raises(Refusal, match=r"does not amount to a car.*inside the range"):
        import_book(bad, place)
    import_book(pack[0], place)  # the place is as free as before


@pytest.mark.parametrize("share", [0.0, 0.3, 0.5, 0.9, 0.99])
def test_half_a_zip_is_refused(pack, tmp_path, share):
    whole = pack[0].read_bytes()
    half = tmp_path / "half.zip"
    half.write_bytes(whole[: int(len(whole) * share)])
    before = sorted(tmp_path.iterdir())
    with pytest.raises(Refusal, match="nothing was changed"):
        import_book(half, tmp_path / "new.book")
    assert sorted(tmp_path.iterdir()) == before


def test_a_book_with_a_wrong_photo_is_not_exported(tmp_path):
    with make_book(tmp_path / "a.book", opening()) as book:
        book.append(say("finding", what="rust", place="rear", says="sill"), [PNG])
        (photo,) = (tmp_path / "a.book" / "photos").glob("??/*")
        photo.write_bytes(b"other")
        before = sorted(tmp_path.iterdir())
        with pytest.raises(Refusal, match="wrong bytes"):
            export_book(book, tmp_path / "out.zip")
        assert sorted(tmp_path.iterdir()) == before


# ---------------------------------------------------------------------- the example


def test_the_examples_book_is_what_its_script_writes():
    """Entry by entry: a field that a later version adds is in neither."""
    source = PROJECT / "examples" / "tarn_fell" / "make_book.py"
    spec = importlib.util.spec_from_file_location("make_book", source)
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    book, kept = script.diary(), source.parent / "book"
    lines = (kept / "entries.jsonl").read_text(encoding="utf-8").splitlines()
    assert len(lines) == len(book.entries)
    for line, one in zip(lines, book.entries, strict=True):
        there, written = json.loads(line)["entry"], json.loads(one.line())
        assert Entry.model_validate(there).line() == Entry.model_validate(written).line()
    for digest, content in book.photos.items():
        assert (kept / "photos" / f"{digest}.png").read_bytes() == content
    assert json.loads((kept / "manifest.json").read_text())["invented"]
