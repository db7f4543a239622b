"""A whole book as one zip: entries as JSON lines, photos, and digests of all of it."""

from __future__ import annotations

import json
import lzma
import math
import os
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import IO, Annotated, Any, Literal, Protocol

import sqlalchemy as sa
from pydantic import Field, ValidationError

from cornerwright.book.book import Book
from cornerwright.book.history import amounts_to_a_car
from cornerwright.book.making import make
from cornerwright.book.photos import MOST_BYTES, Photos, digest_of, kind_of, settle
from cornerwright.book.store import Location
from cornerwright.book.tables import FIRST, chained, entry
from cornerwright.book.trouble import line_read
from cornerwright.book.writer import Writer
from cornerwright.model.base import Document
from cornerwright.model.entry import DIGEST, Entry, EntryId, PhotoDigest, canonical
from cornerwright.model.errors import Refusal

MANIFEST, ENTRIES, PHOTOS = "manifest.json", "entries.jsonl", "photos"
FORMAT = "cornerwright book 1"
MOST_UNPACKED = 4 * 1024**3
"""Bytes that an export may hold: more than a car's photos, far less than a small zip can be made to unpack to."""
MOST_TEXT = 512 * 1024**2
"""Bytes of its entries, or of its manifest: far more than a car's life."""


class Manifest(Document):
    """What a zip of a book says about itself."""

    format: Literal["cornerwright book 1"]
    book: EntryId
    car: str
    invented: bool = False
    entries: Annotated[int, Field(ge=1)]
    sha256: PhotoDigest
    """Of entries.jsonl."""
    head: PhotoDigest
    """Digest of the last entry, chained over all before it."""
    photos: dict[str, str]
    """Digest of each photo, and the name of its file."""


@dataclass(frozen=True)
class Moved:
    """What went out or came in."""

    entries: int
    photos: int
    digest: str


# ------------------------------------------------------------------ out


def export_book(book: Book, file: Path) -> Moved:
    """Write the whole book as one zip, whole or not at all. Raises Refusal, OSError."""
    target = Path(os.path.realpath(file))
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:100]}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            moved = _pack(book, stream)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, 0o644)
        os.replace(name, target)
        settle(target.parent)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return moved


def _pack(book: Book, stream: IO[bytes]) -> Moved:
    book_id = book.id
    record = book.record()
    total, count, head, named = sha256(), 0, FIRST, set()
    with (
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as pack,
        book.store.reading() as connection,
    ):
        with pack.open(ENTRIES, "w", force_zip64=True) as lines:
            wanted = sa.select(entry).order_by(entry.c.number).execution_options(yield_per=2000)
            for row in connection.execute(wanted):
                said = (line_of(row.number, row.digest, row.line) + "\n").encode()
                total.update(said)
                lines.write(said)
                count, head = row.number, row.digest
                named.update(line_read(row.line).get("photos", ()))
        photos = {}
        for digest in sorted(named):
            content = book.photos.get(digest, connection)
            if content is None or digest_of(content) != digest:
                found = f"photo {digest[:12]}...: {'missing' if content is None else 'wrong bytes'}"
                raise Refusal.of(found, "a book that verifies; nothing was written", file=book.where)
            photos[digest] = f"{PHOTOS}/{digest}.{kind_of(content)}"
            pack.writestr(zipfile.ZipInfo(photos[digest]), content)
        manifest = Manifest(
            format=FORMAT,
            book=book_id,
            car=record.name,
            invented=record.invented,
            entries=count,
            sha256=total.hexdigest(),
            head=head,
            photos=photos,
        )
        pack.writestr(MANIFEST, json.dumps(manifest.to_document(), indent=2) + "\n")
    return Moved(count, len(photos), head)


def line_of(number: int, digest: str, line: str) -> str:
    """One line of entries.jsonl."""
    return f'{{"number":{number},"digest":"{digest}","entry":{line}}}'


# ------------------------------------------------------------------ in


class _Source(Protocol):
    """A zip, or a folder with the same files."""

    def size(self, name: str) -> int: ...
    def read(self, name: str) -> bytes: ...
    def names(self) -> set[str]: ...


class _Zip:
    def __init__(self, pack: zipfile.ZipFile, shown: str) -> None:
        self._pack = pack
        self._shown = shown

    def size(self, name: str) -> int:
        return self._pack.getinfo(name).file_size

    def read(self, name: str) -> bytes:
        with _of_a_zip(self._shown):
            return self._pack.read(name)

    def names(self) -> set[str]:
        return {one.filename for one in self._pack.infolist() if not one.is_dir()}


class _Folder:
    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def size(self, name: str) -> int:
        return (self._folder / name).stat().st_size

    def read(self, name: str) -> bytes:
        return (self._folder / name).read_bytes()

    def names(self) -> set[str]:
        return {one.relative_to(self._folder).as_posix() for one in self._folder.rglob("*") if one.is_file()}


@contextmanager
def _opened(file: Path) -> Iterator[_Source]:
    shown = str(file)
    if file.is_dir():
        yield _Folder(file)
        return
    with open(file, "rb") as stream, ExitStack() as held:
        with _of_a_zip(shown):
            pack = held.enter_context(zipfile.ZipFile(stream))
            if sum(one.file_size for one in pack.infolist()) > MOST_UNPACKED:
                found = f"a zip that unpacks to more than {MOST_UNPACKED // 1024**3} GB: nothing was changed"
                raise Refusal.of(found, "an export as `book export` wrote it", file=shown)
            broken = pack.testzip()
            if broken is not None:
                raise Refusal.of(f"{broken} is damaged: nothing was changed", "a whole export", file=shown)
        yield _Zip(pack, shown)


@contextmanager
def _of_a_zip(shown: str) -> Iterator[None]:
    """Whatever a damaged, encrypted or strange zip makes its reader raise, as a Refusal."""
    try:
        yield
    except (zipfile.BadZipFile, EOFError, zlib.error, lzma.LZMAError, struct.error, OSError, RuntimeError, ValueError,
            LookupError) as error:  # fmt: skip
        found = f"a file that is no zip, or a part of one ({error}): nothing was changed"
        raise Refusal.of(found, "a whole export, as `book export` wrote it", file=shown) from None


def import_book(file: Path, where: str | os.PathLike[str]) -> Moved:
    """A new book from an export, every digest compared first. Raises Refusal, OSError; nothing is changed then."""
    with _opened(file) as source:
        manifest = _manifest(source, str(file))
        lines = source.read(ENTRIES)
        entries = _entries(lines, manifest, str(file))
        location = Location.of(where)

        def fill(connection: sa.Connection, photos: Photos) -> None:
            for digest, name in manifest.photos.items():
                content = source.read(name)
                if digest_of(content) != digest:
                    raise _wrong(f"{name} has other bytes than its digest says", str(file))
                photos.keep(content, connection)
            writer = Writer(connection, photos, location.shown)
            for line, whole in entries:
                writer.put(line, whole)
            try:
                amounts_to_a_car(connection)
            except Refusal as refusal:
                raise _wrong(f"{ENTRIES} does not amount to a car ({refusal.problems[0]})", str(file)) from None

        make(location, manifest.book, fill)
    return Moved(manifest.entries, len(manifest.photos), manifest.head)


def _as_written(plain: Any, said: Any) -> bool:
    """Whether every value is in the form that entries are kept in; one of an older version may say less."""
    if isinstance(plain, dict) and isinstance(said, dict):
        return all(_as_written(value, said.get(name)) for name, value in plain.items())
    if isinstance(plain, list) and isinstance(said, list):
        return len(plain) == len(said) and all(map(_as_written, plain, said))
    if isinstance(plain, float) and isinstance(said, float | int):
        return math.isclose(plain, said, rel_tol=1e-9)  # a computed value may return with its last bit changed
    return type(plain) is type(said) and bool(plain == said)


def _wrong(found: str, file: str) -> Refusal:
    return Refusal.of(f"{found}: nothing was changed", "an export as `book export` wrote it", file=file)


def _manifest(source: _Source, file: str) -> Manifest:
    names = source.names()
    for name in (MANIFEST, ENTRIES):
        if name not in names:
            raise _wrong(f"no {name}", file)
        if source.size(name) > MOST_TEXT:
            raise _wrong(f"{name} of more than {MOST_TEXT // 1024**2} MB", file)
    try:
        plain = json.loads(source.read(MANIFEST))
    except (ValueError, RecursionError):
        raise _wrong(f"{MANIFEST} cannot be read", file) from None
    said = plain.get("format") if isinstance(plain, dict) else None
    if isinstance(said, str) and said.startswith("cornerwright book ") and said != FORMAT:
        raise Refusal.of(f"an export of a newer version ({said})", "this program brought up to date first", file=file)
    try:
        manifest = Manifest.model_validate(plain)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise _wrong(f"{MANIFEST}, {'.'.join(map(str, first['loc']))}: {first['msg']}", file) from None
    for digest, name in manifest.photos.items():
        if not DIGEST.fullmatch(digest) or name not in names or Path(name).parent.as_posix() != PHOTOS:
            raise _wrong(f"no photo {name}", file)
        if source.size(name) > MOST_BYTES:
            raise _wrong(f"{name} of more than {MOST_BYTES // 1024**2} MB", file)
    return manifest


def _entries(content: bytes, manifest: Manifest, file: str) -> list[tuple[str, Entry]]:
    """Every entry with its line. Raises Refusal."""
    if sha256(content).hexdigest() != manifest.sha256:
        raise _wrong(f"{ENTRIES} is not what was exported", file)
    found: list[tuple[str, Entry]] = []
    ids: set[str] = set()
    digest = FIRST
    try:
        lines = content.decode().removesuffix("\n").split("\n")
    except UnicodeDecodeError:
        raise _wrong(f"{ENTRIES} is not UTF-8", file) from None
    for number, said in enumerate(lines, 1):
        try:
            plain: Any = json.loads(said)
            line = canonical(plain["entry"])
            whole = Entry.model_validate(plain["entry"])
        except (ValidationError, ValueError, KeyError, TypeError, RecursionError):
            raise _wrong(f"{ENTRIES} line {number} is no entry", file) from None
        digest = chained(digest, number, line)
        if plain.get("number") != number or plain.get("digest") != digest:
            raise _wrong(f"{ENTRIES} line {number} does not follow from the lines before it", file)
        # Without a name or a time of its own it would be given another one each time it is read.
        own = {"id", "when"} <= plain["entry"].keys() and _as_written(plain["entry"], whole.to_document())
        if not own or (number == 1 and whole.body.kind != "car"):
            raise _wrong(f"{ENTRIES} line {number} is not as the book writes it", file)
        missing = [one for one in whole.photos if one not in manifest.photos]
        corrects = getattr(whole.body, "corrects", None)
        if missing or whole.id in ids or (corrects is not None and corrects not in ids):
            raise _wrong(f"{ENTRIES} line {number} names what is not there, or is there twice", file)
        ids.add(whole.id)
        found.append((line, whole))
    if digest != manifest.head or len(found) != manifest.entries:
        raise _wrong("fewer or other entries than the manifest says", file)
    return found
