"""Photos by the SHA-256 of their bytes: in a folder beside the SQLite file, or in a table on a server."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Iterator
from pathlib import Path

import sqlalchemy as sa

from cornerwright.book.store import PHOTOS, Store
from cornerwright.book.tables import photo
from cornerwright.model.errors import Refusal

MOST_BYTES = 40 * 1024 * 1024

STARTS = {b"\xff\xd8\xff": "jpg", b"\x89PNG\r\n\x1a\n": "png", b"GIF8": "gif"}


def kind_of(content: bytes) -> str | None:
    """`jpg`, `png`, `gif` or `webp` by the first bytes; None for anything else."""
    for start, kind in STARTS.items():
        if content.startswith(start):
            return kind
    return "webp" if content[:4] == b"RIFF" and content[8:12] == b"WEBP" else None


def digest_of(content: bytes) -> str:
    """SHA-256 as 64 hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def read_photo(path: str | os.PathLike[str]) -> bytes:
    """Bytes of a photo's file. Raises Refusal for what is none."""
    file = os.fspath(path)
    try:
        with open(file, "rb") as stream:
            content = stream.read(MOST_BYTES + 1)
    except OSError as error:
        found = (error.strerror or "a file that cannot be read").lower()
        raise Refusal.of(found, "a photo that can be read", file=file) from None
    if len(content) > MOST_BYTES:
        raise Refusal.of(f"a file of more than {MOST_BYTES // 1024**2} MB", "a photo", file=file)
    if kind_of(content) is None:
        raise Refusal.of("a file that is no JPEG, PNG, GIF or WebP", "a photo saved as one of these", file=file)
    return content


class Photos:
    """The photos of one book."""

    def __init__(self, store: Store) -> None:
        self._store = store
        folder = store.location.folder
        self.folder: Path | None = None if folder is None else folder / PHOTOS

    def keep(self, content: bytes, connection: sa.Connection | None = None) -> str:
        """Put a photo safely away, before any entry names it; its digest. Raises Refusal.

        connection: a transaction to do it in, on a server; a folder needs none.
        """
        digest = digest_of(content)
        if self.folder is None and connection is not None:
            _put_in_table(connection, digest, content)
            return digest
        if self.folder is None:
            with self._store.writing() as own:
                _put_in_table(own, digest, content)
            return digest
        target = self._file(digest)
        try:
            if target.exists() and target.read_bytes() == content:
                return digest
            _write(target, content)
        except OSError as error:
            found = (error.strerror or type(error).__name__).lower()
            raise Refusal.of(f"{found}: nothing was written", "a photo folder with room", file=str(target)) from None
        return digest

    def get(self, digest: str, connection: sa.Connection) -> bytes | None:
        """A photo's bytes as they are now; None where it is missing."""
        if self.folder is None:
            found = connection.execute(sa.select(photo.c.content).where(photo.c.digest == digest)).scalar()
            return None if found is None else bytes(found)
        try:
            return self._file(digest).read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise Refusal.of((error.strerror or "no photo").lower(), "a photo", file=str(self._file(digest))) from None

    def has(self, digest: str, connection: sa.Connection) -> bool:
        """Whether a photo is there."""
        if self.folder is None:
            return connection.execute(sa.select(photo.c.digest).where(photo.c.digest == digest)).first() is not None
        return self._file(digest).is_file()

    def kept(self, connection: sa.Connection) -> Iterator[str]:
        """Digests of all photos that are there, whether an entry names them or not."""
        if self.folder is None:
            yield from connection.execute(sa.select(photo.c.digest).order_by(photo.c.digest)).scalars()
        elif self.folder.is_dir():
            yield from sorted(one.name for one in self.folder.glob("??/*") if not one.name.startswith("."))

    def _file(self, digest: str) -> Path:
        assert self.folder is not None
        return self.folder / digest[:2] / digest


def _put_in_table(connection: sa.Connection, digest: str, content: bytes) -> None:
    """Insert unless it is there."""
    if connection.execute(sa.select(photo.c.digest).where(photo.c.digest == digest)).first() is None:
        connection.execute(sa.insert(photo), {"digest": digest, "content": content})


def _write(target: Path, content: bytes) -> None:
    """Write, settle, rename, settle the folder: at every moment the photo is whole or not there."""
    fresh = not target.parent.exists()
    target.parent.mkdir(parents=True, exist_ok=True)
    if fresh:
        settle(target.parent.parent)
        settle(target.parent.parent.parent)
    beside = target.parent / f".{target.name}.{secrets.token_hex(6)}"
    try:
        with open(beside, "xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(beside, target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    settle(target.parent)


def settle(folder: Path) -> None:
    """Put the names in a folder on the disk, where the system lets a folder be opened."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
