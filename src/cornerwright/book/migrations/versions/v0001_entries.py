"""Entries that cannot be changed, the book's own name, and photos where there is no folder for them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

SQLITE_GUARDS = (
    """CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry
    BEGIN SELECT RAISE(ABORT, 'append-only: add a correction'); END""",
    """CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry
    BEGIN SELECT RAISE(ABORT, 'append-only: add a correction'); END""",
    # INSERT OR REPLACE deletes without firing the trigger above.
    """CREATE TRIGGER entry_no_replace BEFORE INSERT ON entry
    WHEN EXISTS (SELECT 1 FROM entry WHERE number = NEW.number OR id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'append-only: add a correction'); END""",
)
POSTGRESQL_GUARDS = (
    """CREATE FUNCTION entry_append_only() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'append-only: add a correction'; END $$""",
    """CREATE TRIGGER entry_no_change BEFORE UPDATE OR DELETE ON entry
    FOR EACH ROW EXECUTE FUNCTION entry_append_only()""",
    """CREATE TRIGGER entry_no_truncate BEFORE TRUNCATE ON entry
    FOR EACH STATEMENT EXECUTE FUNCTION entry_append_only()""",
)


def upgrade() -> None:
    """Make the tables and what guards them."""
    op.create_table(
        "book",
        sa.Column("id", sa.String(32), primary_key=True),
        sa.Column("made", sa.String(27), nullable=False),
    )
    op.create_table(
        "entry",
        sa.Column("number", sa.BigInteger, primary_key=True, autoincrement=False),
        sa.Column("id", sa.String(32), nullable=False, unique=True),
        sa.Column("moment", sa.String(27), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("place", sa.String(20)),
        sa.Column("corrects", sa.BigInteger),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("line", sa.Text, nullable=False),
    )
    op.create_index("entry_in_time", "entry", ["moment", "number"])
    op.create_index("entry_by_kind", "entry", ["kind", "number"])
    op.create_index("entry_by_place", "entry", ["place", "number"])
    op.create_index("entry_corrected", "entry", ["corrects"])
    if op.get_bind().dialect.name == "postgresql":
        op.create_table(
            "photo",
            sa.Column("digest", sa.String(64), primary_key=True),
            sa.Column("content", sa.LargeBinary, nullable=False),
        )
        guards = POSTGRESQL_GUARDS
    else:
        guards = SQLITE_GUARDS
    for guard in guards:
        op.execute(guard)
