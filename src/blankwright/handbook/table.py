"""Cited tables: one TOML file a printed table, values kept as printed."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from blankwright.base.errors import BadInput, OurBug, Problem
from blankwright.handbook.inner import to_inner

KINDS = ("printed", "derived", "digitised", "measured-in-shop", "rule-of-thumb")
"""What a row is: copied from print, worked out, read off a drawing, measured in a shop, or a rule
of the trade."""

STATUSES = ("READ", "MEMORY high", "MEMORY medium", "MEMORY low", "DERIVED", "PRACTICE")
"""How sure a row is: seen on the page, remembered (how surely), worked out here, or a common
practice of the trade without a source."""

_HALVES = {"½": ".5", "¼": ".25", "¾": ".75"}


@dataclass(frozen=True, slots=True)
class Span:
    """A printed range, such as ``1½–3``, in the column's unit."""

    low: Decimal
    high: Decimal

    def __str__(self) -> str:
        return f"{self.low} to {self.high}"


Cell = Decimal | Span | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Args:
        name: its key in the rows
        unit: as printed: ``in``, ``mm``, ``t`` for multiples of thickness, ``-``, ``text`` …
        means: what it holds
        runs: ``rising``, ``falling``, ``not falling``, ``not rising`` down the rows, or nothing
        total: sum of the column as typed, to find a slipped digit, or nothing
    """

    name: str
    unit: str
    means: str
    runs: str = ""
    total: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A row of a table, values as printed.

    Args:
        values: by column name; a column that the print leaves empty is missing
        cite: book, table and place in it, in words
        kind: one of `KINDS`
        status: one of `STATUSES`
        note: what to know about this row
        seen: bare address of the page where it was seen, or nothing
    """

    values: Mapping[str, Cell]
    cite: str
    kind: str
    status: str
    note: str = ""
    seen: str = ""

    @property
    def source(self) -> str:
        """The citation with how sure it is, as trails and findings print it."""
        if self.status == "READ":
            return self.cite
        if self.status.startswith("MEMORY"):
            sure = self.status.removeprefix("MEMORY ")
            return f"{self.cite}; from memory, {sure} confidence"
        return f"{self.cite}; worked out" if self.status == "DERIVED" else self.cite


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A printed table.

    Args:
        name: name of its file, without the ending
        title: what it is
        publisher, edition, year, page, table: where it was printed; empty when not printed
        valid: range it may be used in
        interpolation: ``none`` or ``linear``
        licence: what may be done with its contents
        typed_by, checked_by: who typed it and who compared it, or by what means
        notes: what to know before using it
        key: names of the columns that tell rows apart
        columns: by name, in order
        rows: in the order of the print
    """

    name: str
    title: str
    publisher: str
    edition: str
    year: str
    page: str
    table: str
    valid: str
    interpolation: str
    licence: str
    typed_by: str
    checked_by: str
    notes: tuple[str, ...]
    key: tuple[str, ...]
    columns: Mapping[str, Column]
    rows: tuple[Row, ...]

    @property
    def source(self) -> str:
        """Publisher, edition and table in one line."""
        return ", ".join(text for text in (self.publisher, self.edition, self.table) if text)

    def inner(self, row: Row, column: str) -> float:
        """Return a number of a row in the inner unit: mm, rad, N, MPa, kg/mm³ or bare.

        Raises:
            KeyError: when the print leaves the cell empty
        """
        value = row.values[column]
        if not isinstance(value, Decimal):
            raise TypeError(f"{self.name}: {column} {value} isn't one number")
        return to_inner(value, self.columns[column].unit)

    def text(self, row: Row, column: str) -> str:
        """Return a cell as printed; empty when it is."""
        return str(row.values.get(column, ""))


def parse_cell(value: object, unit: str) -> Cell:
    """Read a cell as typed: a number, a fraction, a range, or words.

    Raises:
        ValueError: when a number is wanted and none is there
    """
    if unit == "text":
        return str(value)
    if isinstance(value, Decimal):
        return value
    if isinstance(value, int):
        return Decimal(value)
    text = str(value)
    for sign, digits in _HALVES.items():
        text = text.replace(sign, digits)
    low, dash, high = text.partition("–")
    if dash:
        return Span(_number(low), _number(high))
    return _number(text)


def _number(text: str) -> Decimal:
    whole = Fraction(text.strip()) if "/" in text else None
    if whole is not None:
        return Decimal(whole.numerator) / Decimal(whole.denominator)
    return Decimal(text.strip())


def parse_table(name: str, text: str) -> Table:
    """Read a table from its TOML text.

    Raises:
        OurBug: when the text isn't a table
    """
    raw: dict[str, Any] = tomllib.loads(text, parse_float=Decimal)
    try:
        columns = {
            key: Column(
                name=key,
                unit=spec["unit"],
                means=spec["means"],
                runs=spec.get("runs", ""),
                total=None if "total" not in spec else Decimal(spec["total"]),
            )
            for key, spec in raw["columns"].items()
        }
        sources: dict[str, str] = raw["sources"]
        seen: dict[str, str] = raw.get("seen", {})
        rows = tuple(_parse_row(row, columns, sources, seen) for row in raw["rows"])
        head = {
            key: str(raw[key])
            for key in (
                "title",
                "publisher",
                "edition",
                "year",
                "page",
                "table",
                "valid",
                "interpolation",
                "licence",
                "typed_by",
                "checked_by",
            )
        }
        return Table(
            name=name,
            notes=tuple(raw["notes"]),
            key=tuple(raw["key"]),
            columns=columns,
            rows=rows,
            **head,
        )
    except (KeyError, ValueError, ArithmeticError) as error:
        raise OurBug(
            Problem(
                code="HANDBOOK-001",
                where=f"handbook table {name}",
                got=f"the table can't be read ({error!r})",
                fix="This is a fault of the program; please report it",
            )
        ) from error


def _parse_row(
    row: dict[str, Any],
    columns: dict[str, Column],
    sources: dict[str, str],
    seen: dict[str, str],
) -> Row:
    source, _, place = str(row["cite"]).partition(": ")
    cite = f"{sources[source]}, {place}" if place else sources[source]
    extra = row.keys() - columns.keys() - {"cite", "kind", "status", "note"}
    if extra:
        raise ValueError(f"columns not in the head: {sorted(extra)}")
    return Row(
        values={
            key: parse_cell(row[key], column.unit) for key, column in columns.items() if key in row
        },
        cite=cite,
        kind=row["kind"],
        status=row["status"],
        note=row.get("note", ""),
        seen=seen.get(source, ""),
    )


@cache
def table(name: str) -> Table:
    """Return a table by the name of its file.

    Raises:
        BadInput: when there is none of that name
    """
    path = files("blankwright.handbook") / "tables" / f"{name}.toml"
    if name not in table_names():
        raise BadInput(
            Problem(
                code="HANDBOOK-002",
                where=f"table {name!r}",
                got="there is no handbook table of that name",
                allowed=", ".join(table_names()),
            )
        )
    return parse_table(name, path.read_text(encoding="utf-8"))


@cache
def table_names() -> tuple[str, ...]:
    """Return the names of all tables, sorted."""
    folder = files("blankwright.handbook") / "tables"
    return tuple(
        sorted(
            item.name.removesuffix(".toml")
            for item in folder.iterdir()
            if item.name.endswith(".toml")
        )
    )


def tables() -> tuple[Table, ...]:
    """Return every table, by name."""
    return tuple(table(name) for name in table_names())
