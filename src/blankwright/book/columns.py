"""Kinds of columns of the job book, and their values as plain text and numbers."""

from __future__ import annotations

from datetime import UTC, datetime
from enum import Enum
from typing import Any

from sqlalchemy import Column, Dialect, Float, ForeignKey, Integer, Table, Text, TypeDecorator


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


def id_column() -> Column[Any]:
    """The number of a row."""
    return Column("id", Integer, primary_key=True, autoincrement=False)


def text_column(name: str) -> Column[Any]:
    """Words, empty until said."""
    return Column(name, Text, nullable=False, server_default="")


def number_column(name: str) -> Column[Any]:
    """A number, 0 until said."""
    return Column(name, Float, nullable=False, server_default="0")


def count_column(name: str) -> Column[Any]:
    """A whole number, 0 until said."""
    return Column(name, Integer, nullable=False, server_default="0")


def ref_column(table: str, name: str = "", *, must: bool = False) -> Column[Any]:
    """The number of a row of another table; nothing where there need not be one."""
    return Column(
        name or f"{table}_id", Integer, ForeignKey(f"{table}.id"), nullable=not must, index=True
    )


def when_column(name: str, *, must: bool = False) -> Column[Any]:
    """A moment; nothing for not yet, unless there must be one."""
    return Column(name, When, nullable=not must)


def choice_column(name: str, kind: type[Enum]) -> Column[Any]:
    """One of the words of an enum."""
    return Column(name, Choice(kind), nullable=False)


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
