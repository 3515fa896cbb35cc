"""The tables of the job book, newest version. The migrations make them; these lines read them.

A test holds the two against each other. Row numbers come from the table ``counter``, so that
they are the same on SQLite and PostgreSQL and none is ever used twice.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from typing import Any, Final, Literal

from sqlalchemy import (
    Boolean,
    Column,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    TypeDecorator,
)

from blankwright.book import records as r

METADATA: Final = MetaData()


class When(TypeDecorator[datetime]):
    """A moment, kept as text in UTC, so that it sorts as it reads."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """To text."""
        return None if value is None else when_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """From text."""
        return None if value is None else datetime.fromisoformat(value)


class Choice(TypeDecorator[Enum]):
    """One of the values of an enum, kept as its text."""

    impl = Text
    cache_ok = True

    def __init__(self, kind: type[Enum]) -> None:
        super().__init__()
        self.kind = kind

    def process_bind_param(self, value: Enum | None, dialect: Dialect) -> str | None:
        """To text."""
        return None if value is None else str(value.value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Enum | None:
        """From text."""
        return None if value is None else self.kind(value)


def when_text(value: datetime) -> str:
    """Return a moment as it is kept: UTC, to the microsecond. Raises ValueError without a zone."""
    if value.tzinfo is None:
        raise ValueError("a time without a zone")
    return value.astimezone(UTC).isoformat(timespec="microseconds")


def _id() -> Column[Any]:
    return Column("id", Integer, primary_key=True, autoincrement=False)


def _text(name: str) -> Column[Any]:
    return Column(name, Text, nullable=False, server_default="")


def _number(name: str) -> Column[Any]:
    return Column(name, Float, nullable=False, server_default="0")


def _count(name: str) -> Column[Any]:
    return Column(name, Integer, nullable=False, server_default="0")


def _ref(table: str, name: str = "", *, must: bool = False) -> Column[Any]:
    return Column(
        name or f"{table}_id", Integer, ForeignKey(f"{table}.id"), nullable=not must, index=True
    )


def _when(name: str, *, must: bool = False) -> Column[Any]:
    return Column(name, When, nullable=not must)


def _choice(name: str, kind: type[Enum]) -> Column[Any]:
    return Column(name, Choice(kind), nullable=False)


COUNTER: Final = Table(
    "counter",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("last", Integer, nullable=False),
)

_TABLES: Final[dict[type[r.Record], Table]] = {
    r.Setting: Table("setting", METADATA, _id(), Column("name", Text, unique=True), _text("value")),
    r.Part: Table(
        "part",
        METADATA,
        _id(),
        Column("name", Text, nullable=False, unique=True),
        *map(_text, ("title", "drawing", "major", "position", "glue")),
        _number("cure_hours"),
        _text("treat"),
        _count("rivets"),
        *map(_text, ("closes", "file")),
    ),
    r.Task: Table(
        "task",
        METADATA,
        _id(),
        _text("key"),
        Column("title", Text, nullable=False),
        _choice("kind", r.TaskKind),
        _choice("state", r.TaskState),
        _ref("part"),
        *map(_text, ("major", "place", "position", "setup")),
        *map(_number, ("hours", "first_hours")),
        _when("begun_at"),
        _when("done_at"),
        Column("by_hand", Boolean, nullable=False),
        _text("note"),
    ),
    r.Stage: Table(
        "stage",
        METADATA,
        _id(),
        _text("key"),
        Column("title", Text, nullable=False),
        *map(_text, ("major", "closes")),
        _when("seen_at"),
        *map(_text, ("seen_by", "found")),
    ),
    r.Hardware: Table(
        "hardware",
        METADATA,
        _id(),
        Column("number", Text, nullable=False, unique=True),
        *map(_text, ("title", "unit")),
        Column("grip", Float),
        *map(_number, ("spare_percent", "spare_least", "pack")),
        _text("note"),
    ),
    r.Need: Table(
        "need",
        METADATA,
        _id(),
        _ref("task", must=True),
        _choice("kind", r.NeedKind),
        _ref("task", "needed_task_id"),
        _ref("part", "needed_part_id"),
        _ref("hardware"),
        _ref("stage"),
        _number("quantity"),
        _number("cure_hours"),
        _text("key"),
    ),
    r.HardwareNeed: Table(
        "hardware_need",
        METADATA,
        _id(),
        _ref("hardware", must=True),
        _number("quantity"),
        _ref("part"),
        _ref("task"),
        _text("key"),
    ),
    r.HardwareMove: Table(
        "hardware_move",
        METADATA,
        _id(),
        _ref("hardware", must=True),
        _choice("kind", r.MoveKind),
        _number("quantity"),
        _when("at", must=True),
        _when("due"),
        _text("reference"),
        _ref("task"),
    ),
    r.Entry: Table(
        "entry",
        METADATA,
        _id(),
        _when("at", must=True),
        _count("minutes"),
        *map(_text, ("text", "place", "who", "helpers")),
        _ref("task"),
        _ref("part"),
        _text("major"),
        Index("ix_entry_at", "at", "id"),
    ),
    r.Photo: Table(
        "photo",
        METADATA,
        _id(),
        _ref("entry", must=True),
        Column("sha256", Text, nullable=False, index=True),
        *map(_text, ("file", "name")),
        *map(_count, ("size", "width", "height")),
        *map(_text, ("caption", "taken_at")),
    ),
    r.Measurement: Table(
        "measurement",
        METADATA,
        _id(),
        _ref("entry", must=True),
        _ref("part", must=True),
        *map(_text, ("size", "value", "plus_minus", "reason", "old")),
        _choice("state", r.SizeState),
        _when("put_in_at"),
    ),
    r.Deviation: Table(
        "deviation",
        METADATA,
        _id(),
        *map(_text, ("what", "why", "drawing", "checked")),
        _when("opened_at", must=True),
        _text("opened_by"),
        _when("closed_at"),
        *map(_text, ("closed_by", "closing")),
    ),
    r.DeviationPart: Table(
        "deviation_part", METADATA, _id(), _ref("deviation", must=True), _ref("part", must=True)
    ),
    r.Word: Table(
        "word",
        METADATA,
        _id(),
        _ref("deviation", must=True),
        _text("whom"),
        _when("asked_at", must=True),
        _text("answer"),
        _when("answered_at"),
    ),
    r.Yearly: Table(
        "yearly",
        METADATA,
        _id(),
        *map(_text, ("title", "cover")),
        _count("months"),
        _number("minutes"),
        _text("note"),
    ),
    r.YearlyFastener: Table(
        "yearly_fastener",
        METADATA,
        _id(),
        _ref("yearly", must=True),
        _text("kind"),
        _count("count"),
        *map(_number, ("off_seconds", "on_seconds")),
    ),
    r.YearlyDone: Table(
        "yearly_done",
        METADATA,
        _id(),
        _ref("yearly", must=True),
        _when("at", must=True),
        _number("minutes"),
        *map(_text, ("who", "found")),
    ),
    r.Lot: Table(
        "lot",
        METADATA,
        _id(),
        *map(_text, ("material", "number", "bought_from", "paper")),
        _when("at", must=True),
        _text("note"),
    ),
    r.LotUse: Table(
        "lot_use", METADATA, _id(), _ref("lot", must=True), _ref("part", must=True), _text("note")
    ),
    r.Coupon: Table(
        "coupon",
        METADATA,
        _id(),
        _when("at", must=True),
        *map(_text, ("alloy", "thickness", "radius", "tool")),
        *map(_number, ("k", "spread")),
        _count("strips"),
        _ref("lot"),
        _text("key"),
    ),
    r.ChangeNote: Table(
        "change",
        METADATA,
        _id(),
        _when("at", must=True),
        *map(_text, ("who", "what")),
        Column("takes_back", Integer, ForeignKey("change.id"), index=True),
    ),
    r.ChangeRow: Table(
        "change_row",
        METADATA,
        _id(),
        _ref("change", must=True),
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


def plain(table: Table, values: dict[str, Any]) -> dict[str, Any]:
    """Turn values into what JSON and the history keep: text, numbers, true, false, nothing."""
    out: dict[str, Any] = {}
    for name, value in values.items():
        if isinstance(value, datetime):
            out[name] = when_text(value)
        elif isinstance(value, Enum):
            out[name] = value.value
        elif value is not None and isinstance(table.c[name].type, Float):
            out[name] = float(value)
        else:
            out[name] = value
    return out


def lively(table: Table, values: dict[str, Any]) -> dict[str, Any]:
    """Turn plain values back. Raises ValueError, KeyError for what doesn't fit the table."""
    out: dict[str, Any] = {}
    for name, value in values.items():
        kind = table.c[name].type
        if value is None:
            out[name] = None
        elif isinstance(kind, When):
            out[name] = datetime.fromisoformat(value)
            when_text(out[name])
        elif isinstance(kind, Choice):
            out[name] = kind.kind(value)
        else:
            out[name] = value
    return out


@dataclass(frozen=True, slots=True)
class Field:
    """A column, as those see it who know no database.

    Args:
        name: its name
        kind: what it holds
        may_be_nothing: whether it can hold nothing
    """

    name: str
    kind: Literal["text", "whole number", "number", "true or false"]
    may_be_nothing: bool


def fields_of_table(name: str) -> dict[str, Field]:
    """Return the columns of a table by name, in order. Raises KeyError."""
    out = {}
    for column in METADATA.tables[name].c:
        kind: Literal["text", "whole number", "number", "true or false"] = "text"
        if isinstance(column.type, Boolean):
            kind = "true or false"
        elif isinstance(column.type, Integer):
            kind = "whole number"
        elif isinstance(column.type, Float):
            kind = "number"
        out[column.name] = Field(column.name, kind, bool(column.nullable))
    return out


def table_names() -> tuple[str, ...]:
    """Return the names of all tables, those that others refer to first."""
    return tuple(table.name for table in METADATA.sorted_tables)
