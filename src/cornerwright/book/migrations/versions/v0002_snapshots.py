"""What has been worked out from the entries and is kept so that it is at hand; it may be thrown away at any time."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables of what is kept at hand."""
    op.create_table(
        "snapshot",
        sa.Column("moment", sa.String(27), primary_key=True),
        sa.Column("number", sa.BigInteger, primary_key=True, autoincrement=False),
        sa.Column("step", sa.BigInteger, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
    )
    op.create_table(
        "figures",
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("content", sa.Text, nullable=False),
    )
