"""Version 3: sizes of places are measured too; recurring items can end; parts are bought."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Add them."""
    op.add_column("yearly", sa.Column("ended_at", sa.Text, nullable=True))
    op.add_column(
        "part", sa.Column("bought", sa.Boolean, nullable=False, server_default=sa.false())
    )
    # SQLite can't take a column's duty away: the table is written anew, its rows with it.
    with op.batch_alter_table("measurement") as table:
        table.alter_column("part_id", existing_type=sa.Integer, nullable=True)
        table.add_column(sa.Column("place", sa.Text, nullable=False, server_default=""))
