"""The tables of the job book, newest version. The migrations make them; these lines read them.

A test holds the two against each other. Row numbers come from the table ``counter``, so that
they are the same on SQLite and PostgreSQL and none is ever used twice.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import Boolean, Column, Float, ForeignKey, Index, Integer, MetaData, Table, Text
from sqlalchemy import false as sa_false

from blankwright.book import records as r
from blankwright.book.columns import (
    choice_column,
    count_column,
    id_column,
    number_column,
    ref_column,
    text_column,
    when_column,
)

METADATA: Final = MetaData()

COUNTER: Final = Table(
    "counter",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("last", Integer, nullable=False),
)

_TABLES: Final[dict[type[r.Record], Table]] = {
    r.Setting: Table(
        "setting", METADATA, id_column(), Column("name", Text, unique=True), text_column("value")
    ),
    r.Part: Table(
        "part",
        METADATA,
        id_column(),
        Column("name", Text, nullable=False, unique=True),
        *map(text_column, ("title", "drawing", "major", "position", "glue")),
        number_column("cure_hours"),
        text_column("treat"),
        count_column("rivets"),
        *map(text_column, ("closes", "file")),
        Column("bought", Boolean, nullable=False, server_default=sa_false()),
    ),
    r.Task: Table(
        "task",
        METADATA,
        id_column(),
        text_column("key"),
        Column("title", Text, nullable=False),
        choice_column("kind", r.TaskKind),
        choice_column("state", r.TaskState),
        ref_column("part"),
        *map(text_column, ("major", "place", "position", "setup")),
        *map(number_column, ("hours", "first_hours")),
        when_column("begun_at"),
        when_column("done_at"),
        Column("by_hand", Boolean, nullable=False),
        text_column("note"),
    ),
    r.Stage: Table(
        "stage",
        METADATA,
        id_column(),
        text_column("key"),
        Column("title", Text, nullable=False),
        *map(text_column, ("major", "closes")),
        when_column("seen_at"),
        *map(text_column, ("seen_by", "found")),
    ),
    r.Hardware: Table(
        "hardware",
        METADATA,
        id_column(),
        Column("number", Text, nullable=False, unique=True),
        *map(text_column, ("title", "unit")),
        Column("grip", Float),
        *map(number_column, ("spare_percent", "spare_least", "pack")),
        text_column("note"),
    ),
    r.Need: Table(
        "need",
        METADATA,
        id_column(),
        ref_column("task", must=True),
        choice_column("kind", r.NeedKind),
        ref_column("task", "needed_task_id"),
        ref_column("part", "needed_part_id"),
        ref_column("hardware"),
        ref_column("stage"),
        number_column("quantity"),
        number_column("cure_hours"),
        text_column("key"),
    ),
    r.HardwareNeed: Table(
        "hardware_need",
        METADATA,
        id_column(),
        ref_column("hardware", must=True),
        number_column("quantity"),
        ref_column("part"),
        ref_column("task"),
        text_column("key"),
    ),
    r.HardwareMove: Table(
        "hardware_move",
        METADATA,
        id_column(),
        ref_column("hardware", must=True),
        choice_column("kind", r.MoveKind),
        number_column("quantity"),
        when_column("at", must=True),
        when_column("due"),
        text_column("reference"),
        ref_column("task"),
    ),
    r.Entry: Table(
        "entry",
        METADATA,
        id_column(),
        when_column("at", must=True),
        count_column("minutes"),
        *map(text_column, ("text", "place", "who", "helpers")),
        ref_column("task"),
        ref_column("part"),
        text_column("major"),
        Index("ix_entry_at", "at", "id"),
    ),
    r.Photo: Table(
        "photo",
        METADATA,
        id_column(),
        ref_column("entry", must=True),
        Column("sha256", Text, nullable=False, index=True),
        *map(text_column, ("file", "name")),
        *map(count_column, ("size", "width", "height")),
        *map(text_column, ("caption", "taken_at")),
    ),
    r.Measurement: Table(
        "measurement",
        METADATA,
        id_column(),
        ref_column("entry", must=True),
        ref_column("part"),
        *map(text_column, ("place", "size", "value", "plus_minus", "reason", "old")),
        choice_column("state", r.SizeState),
        when_column("put_in_at"),
    ),
    r.Deviation: Table(
        "deviation",
        METADATA,
        id_column(),
        *map(text_column, ("what", "why", "drawing", "checked")),
        when_column("opened_at", must=True),
        text_column("opened_by"),
        when_column("closed_at"),
        *map(text_column, ("closed_by", "closing")),
    ),
    r.DeviationPart: Table(
        "deviation_part",
        METADATA,
        id_column(),
        ref_column("deviation", must=True),
        ref_column("part", must=True),
    ),
    r.Word: Table(
        "word",
        METADATA,
        id_column(),
        ref_column("deviation", must=True),
        text_column("whom"),
        when_column("asked_at", must=True),
        text_column("answer"),
        when_column("answered_at"),
    ),
    r.Yearly: Table(
        "yearly",
        METADATA,
        id_column(),
        *map(text_column, ("title", "cover")),
        count_column("months"),
        number_column("minutes"),
        text_column("note"),
        when_column("ended_at"),
    ),
    r.YearlyFastener: Table(
        "yearly_fastener",
        METADATA,
        id_column(),
        ref_column("yearly", must=True),
        text_column("kind"),
        count_column("count"),
        *map(number_column, ("off_seconds", "on_seconds")),
    ),
    r.YearlyDone: Table(
        "yearly_done",
        METADATA,
        id_column(),
        ref_column("yearly", must=True),
        when_column("at", must=True),
        number_column("minutes"),
        *map(text_column, ("who", "found")),
    ),
    r.Lot: Table(
        "lot",
        METADATA,
        id_column(),
        *map(text_column, ("material", "number", "bought_from", "paper")),
        when_column("at", must=True),
        text_column("note"),
    ),
    r.LotUse: Table(
        "lot_use",
        METADATA,
        id_column(),
        ref_column("lot", must=True),
        ref_column("part", must=True),
        text_column("note"),
    ),
    r.Coupon: Table(
        "coupon",
        METADATA,
        id_column(),
        when_column("at", must=True),
        *map(text_column, ("alloy", "thickness", "radius", "tool")),
        *map(number_column, ("k", "spread")),
        count_column("strips"),
        ref_column("lot"),
        text_column("key"),
    ),
    r.ChangeNote: Table(
        "change",
        METADATA,
        id_column(),
        when_column("at", must=True),
        *map(text_column, ("who", "what")),
        Column("takes_back", Integer, ForeignKey("change.id"), index=True),
    ),
    r.ChangeRow: Table(
        "change_row",
        METADATA,
        id_column(),
        ref_column("change", must=True),
        Column("table", Text, nullable=False),
        Column("row_id", Integer, nullable=False),
        Column("before", Text),
        Column("after", Text),
        Index("ix_change_row_of", "table", "row_id"),
    ),
}

HISTORY: Final = ("change", "change_row")
"""Tables that hold the history itself, and so have none."""

TABLES: Final[dict[str, Table]] = {table.name: table for table in _TABLES.values()}
"""Every table by name, those that others refer to first."""

KINDS: Final[dict[str, type[r.Record]]] = {table.name: kind for kind, table in _TABLES.items()}
"""The record of each table."""


def table_of(kind: type[r.Record]) -> Table:
    """Return the table that keeps a kind of record."""
    return _TABLES[kind]
