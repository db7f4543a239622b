"""Where a book is kept: a folder with an SQLite file, or a schema of a PostgreSQL database; its transactions."""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

import sqlalchemy as sa
from sqlalchemy.engine import URL, make_url

from cornerwright.book.tables import STEPS
from cornerwright.book.trouble import GONE, READ_ONLY, told
from cornerwright.model.errors import Refusal

FILE = "book.sqlite"
PHOTOS = "photos"
PATIENCE = 30.0
"""How long a writer waits for others [s]."""

POSTGRESQL = re.compile(r"postgres(ql)?(\+psycopg)?://")
SCHEMA = re.compile(r"[a-z][a-z0-9_]{0,60}")
DEFAULT_SCHEMA = "book"


@dataclass(frozen=True)
class Location:
    """Where a book is: a folder, or a URL and the schema in that database."""

    folder: Path | None = None
    url: URL | None = None
    schema: str = DEFAULT_SCHEMA

    @classmethod
    def of(cls, text: str | os.PathLike[str]) -> Location:
        """From what the user wrote: a path, or `postgresql://user@host/database#book`. Raises Refusal."""
        where = os.fspath(text)
        if not POSTGRESQL.match(where):
            if "://" in where:
                raise Refusal.of(f"'{where.split('://')[0]}://'", "a folder, or a URL that begins with postgresql://")
            return cls(folder=Path(where))
        plain, _, name = where.partition("#")
        schema = name or DEFAULT_SCHEMA
        if not SCHEMA.fullmatch(schema) or schema.startswith("pg_") or schema == "information_schema":
            raise Refusal.of(f"'#{name}'", "after # the name of the book: small letters, digits and underlines")
        try:
            url = make_url(plain)
        except (sa.exc.ArgumentError, ValueError):
            raise Refusal.of("a URL that cannot be read", "one as in postgresql://user@host/database#book") from None
        return cls(url=url.set(drivername="postgresql+psycopg"), schema=schema)

    @property
    def shown(self) -> str:
        """For messages: never with a password."""
        if self.url is None:
            return str(self.folder)
        plain = self.url.set(drivername="postgresql").render_as_string(hide_password=True)
        return f"{plain}#{self.schema}"

    @property
    def file(self) -> Path:
        """The SQLite file."""
        assert self.folder is not None
        return self.folder / FILE


class Store:
    """A database that holds one book, and how it is read and written."""

    def __init__(self, location: Location) -> None:
        self.location = location
        self.where = location.shown
        self.server = location.url is not None
        self.frozen = False
        """An SQLite book in a place that cannot be written: read only."""
        self._read_options: dict[str, Any] = {"isolation_level": "REPEATABLE READ"} if self.server else {}
        self._engine = self._server_engine() if self.server else self._file_engine()

    # ------------------------------------------------------------------ engines

    def _server_engine(self) -> sa.Engine:
        assert self.location.url is not None
        try:
            return sa.create_engine(
                self.location.url,
                connect_args={"options": f"-csearch_path={self.location.schema}", "connect_timeout": 10},
                pool_size=2,
                pool_pre_ping=False,
            )
        except ModuleNotFoundError:
            raise Refusal.of(
                "no driver for PostgreSQL in this installation",
                "the extra of that name: pip install 'cornerwright[postgresql]'",
                file=self.where,
            ) from None

    def _file_engine(self) -> sa.Engine:
        engine = sa.create_engine(
            "sqlite://", creator=self._opened_file, poolclass=sa.pool.QueuePool, pool_size=2, max_overflow=8
        )

        @sa.event.listens_for(engine, "begin")
        def _begin(connection: sa.Connection) -> None:
            writing = connection.get_execution_options().get("writing", False)
            # IMMEDIATE: a writer that finds another at work waits here, not in the middle of its own work.
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

        return engine

    def _opened_file(self) -> sqlite3.Connection:
        file = self.location.file
        mode = "rw"
        if self.frozen:
            # Without a log beside it the file is whole, and nobody can write to it here.
            mode = "ro" if file.with_name(f"{FILE}-wal").exists() else "ro&immutable=1"
        connection = sqlite3.connect(
            f"file:{quote(str(file))}?mode={mode}",
            uri=True,
            timeout=PATIENCE,
            isolation_level=None,
            check_same_thread=False,
        )
        if not self.frozen:
            # FULL: a commit returns when its log is on the disk, so that what is confirmed outlives the power.
            connection.execute("PRAGMA synchronous = FULL")
        return connection

    # ------------------------------------------------------------------ opening

    def make_file(self) -> None:
        """A new, empty database file; its folder is there."""
        with sqlite3.connect(self.location.file) as connection:
            connection.execute("PRAGMA journal_mode = WAL")
        connection.close()

    def open(self) -> None:
        """See that a book of this program's kind is there; bring an older one up to date. Raises Refusal."""
        if not self.server:
            self._look_at_file()
        with told(self.where):
            version = self._version()
            if version != STEPS[-1]:
                self._bring_up_to_date(version)

    def _look_at_file(self) -> None:
        file = self.location.file
        if not file.is_file():
            found = "no such folder" if not file.parent.exists() else f"a place without {FILE}"
            raise Refusal.of(found, GONE[1], file=self.where)
        self.frozen = not (_writable(file) and _writable(file.parent))

    def _version(self) -> str | None:
        with self._engine.connect() as connection, connection.begin():
            if not sa.inspect(connection).has_table("alembic_version"):
                return None
            return connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar()

    def _bring_up_to_date(self, version: str | None) -> None:
        if version is None:
            raise Refusal.of("a database that holds no book", GONE[1], file=self.where)
        if version not in STEPS:
            newer = version.isdigit() and version > STEPS[-1]
            found = f"a book kept by a newer version (tables of step {version})" if newer else "no book of this program"
            raise Refusal.of(f"{found}: nothing was changed", "this program brought up to date first", file=self.where)
        if self.frozen:
            expected = "it opened once where it may be written, to be brought up to date"
            raise Refusal.of("a book of an older version that may not be written", expected, file=self.where)
        with self.writing() as connection:
            migrate(connection)

    # ------------------------------------------------------------------ transactions

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """One view of the book, whatever others write meanwhile. Raises Refusal."""
        with (
            told(self.where),
            self._engine.connect().execution_options(**self._read_options) as connection,
            connection.begin(),
        ):
            yield connection

    @contextmanager
    def writing(self, *, new: bool = False) -> Iterator[sa.Connection]:
        """One transaction of the only writer: all of it is on the disk afterwards, or nothing. Raises Refusal.

        new: the tables are not there yet.
        """
        if self.frozen:
            raise Refusal.of(*READ_ONLY, file=self.where)
        with (
            told(self.where),
            self._engine.connect().execution_options(writing=True) as connection,
            connection.begin(),
        ):
            if self.server:
                connection.execute(sa.text(f"SET LOCAL lock_timeout = '{int(PATIENCE * 1000)}ms'"))
                if not new:
                    connection.execute(sa.text("LOCK TABLE entry IN SHARE ROW EXCLUSIVE MODE"))
            yield connection

    def make_schema(self, connection: sa.Connection) -> None:
        """The schema of a new book; refused where there is one with that name."""
        there = sa.text("SELECT 1 FROM information_schema.schemata WHERE schema_name = :name")
        if connection.execute(there, {"name": self.location.schema}).first():
            raise Refusal.of("a book or schema that is there already", "another name after #", file=self.where)
        connection.execute(sa.schema.CreateSchema(self.location.schema))

    def close(self) -> None:
        """Let the database go."""
        self._engine.dispose()


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


def migrate(connection: sa.Connection, step: str = "head") -> None:
    """Bring the tables up to a step, inside the caller's transaction."""
    # Imported here: it takes a while, and a book that is up to date does without it.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", "cornerwright.book:migrations")
    config.attributes["connection"] = connection
    command.upgrade(config, step)
