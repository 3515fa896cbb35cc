"""The first book: parts, tasks, hardware, log, deviations, inspection, history."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def _id() -> sa.Column[Any]:
    return sa.Column("id", sa.Integer, primary_key=True, autoincrement=False)


def _text(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def _texts(*names: str) -> list[sa.Column[Any]]:
    return [_text(name) for name in names]


def _number(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Float, nullable=False, server_default="0")


def _count(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Integer, nullable=False, server_default="0")


def _when(name: str, *, must: bool = False) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=not must)


def _ref(table: str, name: str = "", *, must: bool = False) -> sa.Column[Any]:
    return sa.Column(
        name or f"{table}_id", sa.Integer, sa.ForeignKey(f"{table}.id"), nullable=not must
    )


def _must(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.Text, nullable=False)


def _index(table: str, *columns: str) -> None:
    for column in columns:
        op.create_index(f"ix_{table}_{column}", table, [column])


def upgrade() -> None:
    """Make it."""
    op.create_table(
        "counter",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("last", sa.Integer, nullable=False),
    )
    op.create_table("setting", _id(), sa.Column("name", sa.Text, unique=True), _text("value"))
    op.create_table(
        "part",
        _id(),
        sa.Column("name", sa.Text, nullable=False, unique=True),
        *_texts("title", "drawing", "major", "position", "glue"),
        _number("cure_hours"),
        _text("treat"),
        _count("rivets"),
        *_texts("closes", "file"),
    )
    op.create_table(
        "task",
        _id(),
        _text("key"),
        *map(_must, ("title", "kind", "state")),
        _ref("part"),
        *_texts("major", "place", "position", "setup"),
        _number("hours"),
        _when("begun_at"),
        _when("done_at"),
        sa.Column("by_hand", sa.Boolean, nullable=False),
        _text("note"),
    )
    _index("task", "part_id")
    op.create_table(
        "stage",
        _id(),
        _text("key"),
        _must("title"),
        *_texts("major", "closes"),
        _when("seen_at"),
        *_texts("seen_by", "found"),
    )
    op.create_table(
        "hardware",
        _id(),
        sa.Column("number", sa.Text, nullable=False, unique=True),
        *_texts("title", "unit"),
        sa.Column("grip", sa.Float),
        *map(_number, ("spare_percent", "spare_least", "pack")),
        _text("note"),
    )
    op.create_table(
        "need",
        _id(),
        _ref("task", must=True),
        _must("kind"),
        _ref("task", "needed_task_id"),
        _ref("part", "needed_part_id"),
        _ref("hardware"),
        _ref("stage"),
        _number("quantity"),
        _number("cure_hours"),
        _text("key"),
    )
    _index("need", "task_id", "needed_task_id", "needed_part_id", "hardware_id", "stage_id")
    op.create_table(
        "hardware_need",
        _id(),
        _ref("hardware", must=True),
        _number("quantity"),
        _ref("part"),
        _ref("task"),
        _text("key"),
    )
    _index("hardware_need", "hardware_id", "part_id", "task_id")
    op.create_table(
        "hardware_move",
        _id(),
        _ref("hardware", must=True),
        _must("kind"),
        _number("quantity"),
        _when("at", must=True),
        _when("due"),
        _text("reference"),
        _ref("task"),
    )
    _index("hardware_move", "hardware_id", "task_id")
    _log_tables()
    _judgement_tables()
    op.create_table(
        "change",
        _id(),
        _when("at", must=True),
        *_texts("who", "what"),
        _ref("change", "takes_back"),
    )
    _index("change", "takes_back")
    op.create_table(
        "change_row",
        _id(),
        _ref("change", must=True),
        _must("table"),
        sa.Column("row_id", sa.Integer, nullable=False),
        sa.Column("before", sa.Text),
        sa.Column("after", sa.Text),
    )
    _index("change_row", "change_id")
    op.create_index("ix_change_row_of", "change_row", ["table", "row_id"])


def _log_tables() -> None:
    op.create_table(
        "entry",
        _id(),
        _when("at", must=True),
        _count("minutes"),
        *_texts("text", "place", "who", "helpers"),
        _ref("task"),
        _ref("part"),
        _text("major"),
    )
    _index("entry", "task_id", "part_id")
    op.create_index("ix_entry_at", "entry", ["at", "id"])
    op.create_table(
        "photo",
        _id(),
        _ref("entry", must=True),
        _must("sha256"),
        *_texts("file", "name"),
        *map(_count, ("size", "width", "height")),
        _text("caption"),
    )
    _index("photo", "entry_id", "sha256")
    op.create_table(
        "measurement",
        _id(),
        _ref("entry", must=True),
        _ref("part", must=True),
        *_texts("size", "value", "plus_minus", "reason", "old"),
        _must("state"),
        _when("put_in_at"),
    )
    _index("measurement", "entry_id", "part_id")


def _judgement_tables() -> None:
    op.create_table(
        "deviation",
        _id(),
        *_texts("what", "why", "drawing", "checked"),
        _when("opened_at", must=True),
        _text("opened_by"),
        _when("closed_at"),
        *_texts("closed_by", "closing"),
    )
    op.create_table("deviation_part", _id(), _ref("deviation", must=True), _ref("part", must=True))
    _index("deviation_part", "deviation_id", "part_id")
    op.create_table(
        "word",
        _id(),
        _ref("deviation", must=True),
        _text("whom"),
        _when("asked_at", must=True),
        _text("answer"),
        _when("answered_at"),
    )
    _index("word", "deviation_id")
    op.create_table(
        "yearly",
        _id(),
        *_texts("title", "cover"),
        _count("months"),
        _number("minutes"),
        _text("note"),
    )
    op.create_table(
        "yearly_fastener",
        _id(),
        _ref("yearly", must=True),
        _text("kind"),
        _count("count"),
        *map(_number, ("off_seconds", "on_seconds")),
    )
    _index("yearly_fastener", "yearly_id")
    op.create_table(
        "yearly_done",
        _id(),
        _ref("yearly", must=True),
        _when("at", must=True),
        _number("minutes"),
        *_texts("who", "found"),
    )
    _index("yearly_done", "yearly_id")
