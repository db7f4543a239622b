"""The PostgreSQL server that tests may use, if there is one."""

from __future__ import annotations

import os

import sqlalchemy as sa

from cornerwright.book.store import Location

SERVER = os.environ.get("CORNERWRIGHT_TEST_POSTGRESQL", "")
"""URL of a PostgreSQL server whose schemas the tests may make and drop; .ci/run starts one."""


def drop(where: str) -> None:
    """Take a test's schema away."""
    location = Location.of(where)
    assert location.url is not None
    engine = sa.create_engine(location.url)
    with engine.begin() as connection:
        connection.execute(sa.schema.DropSchema(location.schema, cascade=True, if_exists=True))
    engine.dispose()
