"""The tables of a book as the newest migration leaves them, and the digest that chains its entries."""

from __future__ import annotations

import hashlib

import sqlalchemy as sa

STEPS = ("0001", "0002")
"""Migrations, oldest first; the last one is what this program writes."""

metadata = sa.MetaData()

book = sa.Table(
    "book",
    metadata,
    sa.Column("id", sa.String(32), primary_key=True),
    sa.Column("made", sa.String(27), nullable=False),
)

entry = sa.Table(
    "entry",
    metadata,
    sa.Column("number", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("id", sa.String(32), nullable=False, unique=True),
    sa.Column("moment", sa.String(27), nullable=False),
    sa.Column("kind", sa.String(20), nullable=False),
    sa.Column("place", sa.String(20)),
    sa.Column("corrects", sa.BigInteger),
    sa.Column("digest", sa.String(64), nullable=False),
    sa.Column("line", sa.Text, nullable=False),
)

photo = sa.Table(
    "photo",
    metadata,
    sa.Column("digest", sa.String(64), primary_key=True),
    sa.Column("content", sa.LargeBinary, nullable=False),
)

snapshot = sa.Table(
    "snapshot",
    metadata,
    sa.Column("moment", sa.String(27), primary_key=True),
    sa.Column("number", sa.BigInteger, primary_key=True, autoincrement=False),
    sa.Column("step", sa.BigInteger, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
)

figures = sa.Table(
    "figures",
    metadata,
    sa.Column("key", sa.String(64), primary_key=True),
    sa.Column("content", sa.Text, nullable=False),
)

FIRST = "0" * 64
"""What the first entry follows."""


def chained(before: str, number: int, line: str) -> str:
    """Digest of an entry: SHA-256 of the digest before it, its number and its line."""
    return hashlib.sha256(f"{before}\n{number}\n{line}".encode()).hexdigest()
