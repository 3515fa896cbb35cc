"""The columns of the book's tables, as those see them who know no database."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Boolean, Float, Integer

from blankwright.book.tables import METADATA


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
