"""Damaged exports, entries and stored lines are taken in whole or refused, and nothing is changed then."""

from __future__ import annotations

import copy
import io
import json
import shutil
import zipfile
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from bounds import bounded, clear, examples, on_disk
from damaging import RAW, bytes_damaged, damaged, text_damaged, yaml_of
from hypothesis import given
from hypothesis import strategies as st

from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.tables import FIRST, chained
from cornerwright.book.transfer import ENTRIES, MANIFEST, export_book, import_book, line_of
from cornerwright.book.verify import verify
from cornerwright.cli.book_adding import Given, add
from cornerwright.cli.book_open import jobs_of
from cornerwright.model.entry import canonical
from cornerwright.model.errors import Refusal
from cornerwright.web.ledger import Ledger
from diary import PNG, moved, opening, say

READING = {"front_left": {"height": 612.0, "camber": -1.5}, "rear_right": {"toe": 0.2}}


def _entries() -> list[Any]:
    return [
        say("reading", 5, reading=READING),
        moved("rear_left.perch", 20, 30),
        say(
            "fitted",
            31,
            part="stiffer spring",
            place="rear_left",
            price=80,
            sets={"rear.left.spring.stack[0].rate": 92},
        ),
        say("joint", 33, joint="front_left.strut_clamp", place="front_left", torque=45, stood="hanging"),
        say("finding", 35, what="rust", place="rear", says="sill, größer als gedacht"),
        say("put_off", 36, job="paint the sill", until="when it is warm", hours=2.5),
        say("removed", 40, part="stiffer spring", place="rear_left", kept="shelf 2"),
        say("done", 41, job="bled", settles=("toe@rear",), price=12.5),
        say("drive", 60, distance=85),
        say("note", 61, says="\N{GREEK SMALL LETTER MU} and more"),
    ]


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    """A book with one of each, and its export."""
    folder = tmp_path_factory.mktemp("made")
    with make_book(folder / "car.book", opening()) as book:
        for k, one in enumerate(_entries()):
            book.append(one, [PNG] if k == 4 else [])
        slip = book.append(moved("front_left.perch", 30, 70))
        book.append(say("correction", 71, corrects=slip.id, says="slip", instead={"kind": "note", "says": "nothing"}))
        export_book(book, folder / "export.zip")
    return folder


@pytest.fixture(scope="module")
def members(made) -> dict[str, bytes]:
    with zipfile.ZipFile(made / "export.zip") as pack:
        return {name: pack.read(name) for name in pack.namelist()}


def taken_in_or_refused(file: Path, folder: Path) -> None:
    """Import it: a book that is whole and tells everything, or a refusal and nothing there."""
    where = folder / "in.book"
    for left in folder.iterdir():  # by an example that failed
        shutil.rmtree(left) if left.is_dir() else left.unlink()
    before = on_disk(file.parent)
    with bounded("export"):
        try:
            import_book(file, where)
        except Refusal as refusal:
            clear(refusal)
        else:
            with Book.open(where) as book:
                assert verify(book).troubles == []
                jobs_of(book, book.record())
                book.log()
                export_book(book, folder / "again.zip")
            (folder / "again.zip").unlink()
            shutil.rmtree(where)
    assert on_disk(file.parent) == before
    assert not list(folder.iterdir())


@pytest.fixture
def place(tmp_path):
    """Where an export lies, and where a book may be made."""
    (tmp_path / "from").mkdir()
    (tmp_path / "to").mkdir()
    return tmp_path / "from" / "export.zip", tmp_path / "to"


def packed(members: dict[str, bytes], compression: int = zipfile.ZIP_DEFLATED) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", compression) as pack:
        for name, content in members.items():
            pack.writestr(name, content)
    return held.getvalue()


@examples(3.0)
@given(data=st.data())
def test_an_export_with_damaged_bytes(made, place, data):
    place[0].write_bytes(data.draw(bytes_damaged((made / "export.zip").read_bytes) | RAW))
    taken_in_or_refused(*place)


NAMES = st.sampled_from(
    (MANIFEST, ENTRIES, "photos/", "photos/../manifest.json", "../out", "/etc/out", "photos/../../out", "C:\\out",
    "photos/x\0y",
     "photos/" + "a" * 64 + ".png", "PHOTOS/x.png", "photos/é", "entries.jsonl/", "photos/con")
)  # fmt: skip


@examples(2.0)
@given(
    names=st.dictionaries(NAMES, NAMES | st.none(), max_size=3),
    compression=st.sampled_from((zipfile.ZIP_STORED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA)),
    flag=st.sampled_from((0, 0, 0, 1, 0x40, 0x800)),
    folder=st.booleans(),
)
def test_an_export_with_other_names_in_it(members, place, names, compression, flag, folder):
    changed = dict(members)
    photo = next(name for name in members if name.startswith("photos/"))
    for name, other in names.items():
        changed[name] = changed.pop(other, b"x") if other else members[photo]
    file, where = place
    if folder:
        file = file.with_suffix("")
        for name, content in changed.items():
            target = Path(f"{file}/{name}".replace("\0", "?"))
            if target.resolve().is_relative_to(file) and not name.endswith("/") and not target.is_dir():
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content)
        file.mkdir(exist_ok=True)
        taken_in_or_refused(file, where)
        shutil.rmtree(file)
        return
    content = bytearray(packed(changed, compression))
    start = 0
    while flag and (start := content.find(b"PK\x01\x02", start)) >= 0:
        content[start + 8] |= flag & 0xFF  # encrypted, and other marks that a zip may bear
        start += 4
    file.write_bytes(content)
    taken_in_or_refused(file, where)


def _chained(entries: list[Any]) -> bytes:
    """Entries with digests that fit, as someone who means it would write them."""
    digest, lines = FIRST, []
    for number, one in enumerate(entries, 1):
        try:
            line = canonical(one)
        except ValueError:
            line = json.dumps(one)
        digest = chained(digest, number, line)
        lines.append(line_of(number, digest, line) + "\n")
    return "".join(lines).encode("utf-8", "surrogatepass")


def _told(members: dict[str, bytes]) -> list[Any]:
    return [json.loads(line)["entry"] for line in members[ENTRIES].decode().splitlines()]


@examples(2.0)
@given(data=st.data())
def test_an_export_with_damaged_entries_whose_digests_fit(members, place, data):
    entries = _told(members)
    rest = [(k,) for k in range(2, len(entries))]
    entries = data.draw(damaged(lambda: entries, (2,), (3, "body"), *rest, most=3))
    content = _chained(entries)
    last = json.loads(content.decode("utf-8", "replace").splitlines()[-1]) if content else {"digest": FIRST}
    manifest = json.loads(members[MANIFEST]) | {
        "sha256": sha256(content).hexdigest(),
        "head": last["digest"],
        "entries": len(entries),
    }
    if data.draw(st.booleans()):
        manifest = data.draw(damaged(lambda: manifest, most=2))
    place[0].write_bytes(packed({**members, ENTRIES: content, MANIFEST: json.dumps(manifest).encode()}))
    taken_in_or_refused(*place)


@examples(2.0)
@given(data=st.data())
def test_an_export_with_a_damaged_member(members, place, data):
    name = data.draw(st.sampled_from((MANIFEST, ENTRIES)))
    content = data.draw(
        text_damaged(members[name].decode) | RAW | st.integers(1, 5).map(lambda many: b"[" * 50_000 * many)
    )
    changed = {**members, name: content}
    if name == ENTRIES and data.draw(st.booleans()):
        manifest = json.loads(members[MANIFEST]) | {"sha256": sha256(content).hexdigest()}
        changed[MANIFEST] = json.dumps(manifest).encode()
    place[0].write_bytes(packed(changed))
    taken_in_or_refused(*place)


# ------------------------------------------------------------------ entries into a book


@pytest.fixture
def book_of_own(made, tmp_path):
    shutil.copytree(made / "car.book", tmp_path / "own.book")
    return tmp_path / "own.book"


def _given(**more: Any) -> Given:
    empty: dict[str, Any] = dict.fromkeys(
        ("kind", "who", "when", "note", "plan", "moves", "readings", "car", "targets", "file")
    )
    return Given(**{**empty, "fields": (), "photos": (), "settles": (), "ready": (), **more})


def _file_of_entries() -> Any:
    plain = [json.loads(one.line()) for one in _entries()]
    for one in plain:
        del one["id"]
    return {"format": "cornerwright entries 1", "entries": plain}


def written_or_refused(what: str, where: Path, given: Given) -> None:
    with Book.open(where) as book:
        count, digest = book.count(), verify(book).digest
    with bounded(what):
        try:
            told = add(str(where), given)
            added = len(told.written)
        except Refusal as refusal:
            clear(refusal)
            added = 0
        with Book.open(where) as book:
            assert book.count() == count + added
            found = verify(book)
            assert found.troubles == []
            assert added or found.digest == digest
            jobs_of(book, book.record())


@examples(0.5, small=10)
@given(content=damaged(_file_of_entries, ("entries", 2), ("entries", 0, "body"), ("entries", 3)))
def test_a_file_of_damaged_entries(book_of_own, tmp_path, content):
    file = tmp_path / "entries.yaml"
    file.write_bytes(yaml_of(content).encode("utf-8", "surrogatepass"))
    written_or_refused("book add --file", book_of_own, _given(file=file))


KINDS = st.sampled_from(
    ("fitted", "removed", "move", "reading", "joint", "finding", "put_off", "done", "drive", "note")
)
FIELDS = st.sampled_from(
    ("part", "place", "says", "what", "job", "distance", "price", "hours", "torque", "joint", "adjuster",
    "setting_to", "by",
     "front_left.height", "front_left.camber", "state", "until", "sets.rear.left.spring.stack[0].rate", "sets.name",
     "sets.front",
     "sets.front.left", "sets.a[0]", "sets.", ".", "a.b.c", "kind", "stood", "angle", "settings.front_left.perch",
     "reading", "")
)  # fmt: skip
WORDS = st.sampled_from(
    ("front_left", "rear", "car", "rust", "tight", "loose", "12", "-3", "1e400", "nan", "9 turn", "1e3 flat",
    "front_left.perch",
     "front_left.body", "45 N·m", "80 lbf·ft", "{}", "[1]", "", "true", "ride_height", "20", "85", "\ud800",
     "x" * 5000, "2 in")
)  # fmt: skip
GOOD = {
    "fitted": ("part=spring", "place=rear"), "removed": ("part=spring", "place=rear"),
    "move": ("adjuster=front_left.perch", "setting_to=20"), "reading": ("front_left.height=612",),
    "joint": ("joint=x", "place=rear", "torque=45"), "finding": ("what=rust", "place=rear", "says=x"),
    "put_off": ("job=paint",), "done": ("job=paint",), "drive": ("distance=12",), "note": ("says=x",),
}  # fmt: skip


@examples(0.5, small=10)
@given(
    kind=KINDS,
    fields=st.lists(st.builds(lambda name, value: f"{name}={value}", FIELDS, WORDS) | st.text(max_size=8), max_size=3),
    good=st.booleans(),
    settles=st.lists(st.sampled_from(("toe@rear", "x", "toe@", "finding_7@rear")), max_size=2),
    when=st.none()
    | st.sampled_from(("yesterday", "2026-04-11", "0001-01-01", "9999-12-31 23:59", "", "2026-02-30", "1")),
)
def test_an_entry_from_the_command_line(book_of_own, kind, fields, good, settles, when):
    fields = (*(GOOD[kind] if good else ()), *fields)
    written_or_refused("book add", book_of_own, _given(kind=kind, fields=fields, settles=tuple(settles), when=when))


# ------------------------------------------------------------------ what the app has stored


def _lines() -> str:
    fields = ("read.front_left.height", "read.rear_right.toe", "pass.who", "read.front_left.height", "plan")
    now = datetime(2026, 4, 11, tzinfo=UTC).isoformat()
    texts = ("24 1/8 in", "−1,5", "R.", None, json.dumps({"moves": []}))
    return "".join(
        json.dumps({"number": k, "at": now, "who": "R.", "field": field, "text": text}) + "\n"
        for k, (field, text) in enumerate(zip(fields, texts, strict=True), 1)
    )


def _lines_damaged() -> st.SearchStrategy[bytes]:
    plain = [json.loads(line) for line in _lines().splitlines()]
    return damaged(lambda: plain).map(
        lambda lines: "".join(json.dumps(one) + "\n" for one in lines).encode("utf-8", "surrogatepass")
    )


@examples(6.0)
@given(content=_lines_damaged() | text_damaged(_lines) | bytes_damaged(lambda: _lines().encode()) | RAW)
def test_the_stored_lines_of_the_app(tmp_path, content):
    path = tmp_path / "car.entered.jsonl"
    path.write_bytes(content)
    with bounded("stored lines"):
        try:
            ledger = Ledger(path)
        except Refusal as refusal:
            clear(refusal, str(path))
            assert path.read_bytes() == content
            return
        try:
            # Only a last line that was cut short may be gone; and what comes after is kept.
            kept = path.read_bytes()
            assert content.startswith(kept)
            assert b"\n" not in content[len(kept) :]
            held = {name: line.text for name, line in ledger.under("")}
            ledger.put("new.field", "1", "R.")
        finally:
            ledger.close()
        again = Ledger(path)
        assert {name: line.text for name, line in again.under("")} == {**held, "new.field": "1"}
        again.close()


def test_the_undamaged_ones_are_taken_in(made, place, book_of_own, tmp_path):
    shutil.copy(made / "export.zip", place[0])
    import_book(place[0], place[1] / "in.book")
    file = tmp_path / "entries.yaml"
    plain = copy.deepcopy(_file_of_entries())
    file.write_bytes(yaml_of(plain).encode())
    assert len(add(str(book_of_own), _given(file=file)).written) == len(plain["entries"])
    path = tmp_path / "lines.jsonl"
    path.write_text(_lines())
    ledger = Ledger(path)
    assert ledger.version == 5
    ledger.close()
