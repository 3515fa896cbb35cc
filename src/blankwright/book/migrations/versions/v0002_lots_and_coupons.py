"""Version 2: material lots, coupons, when a photo was taken, a task's hours at the first rate."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def upgrade() -> None:
    """Add them."""
    op.add_column("photo", _text("taken_at"))
    op.add_column("task", sa.Column("first_hours", sa.Float, nullable=False, server_default="0"))
    # Version 1 knew the first rate only, so what it expected was by that.
    op.execute("UPDATE task SET first_hours = hours WHERE key <> ''")
    op.create_table(
        "lot",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        _text("material"),
        _text("number"),
        _text("bought_from"),
        _text("paper"),
        sa.Column("at", sa.Text, nullable=False),
        _text("note"),
    )
    op.create_table(
        "lot_use",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("lot_id", sa.Integer, sa.ForeignKey("lot.id"), nullable=False),
        sa.Column("part_id", sa.Integer, sa.ForeignKey("part.id"), nullable=False),
        _text("note"),
    )
    op.create_table(
        "coupon",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("at", sa.Text, nullable=False),
        _text("alloy"),
        _text("thickness"),
        _text("radius"),
        _text("tool"),
        sa.Column("k", sa.Float, nullable=False, server_default="0"),
        sa.Column("spread", sa.Float, nullable=False, server_default="0"),
        sa.Column("strips", sa.Integer, nullable=False, server_default="0"),
        sa.Column("lot_id", sa.Integer, sa.ForeignKey("lot.id"), nullable=True),
        _text("key"),
    )
    for table, column in (("lot_use", "lot_id"), ("lot_use", "part_id"), ("coupon", "lot_id")):
        op.create_index(f"ix_{table}_{column}", table, [column])
