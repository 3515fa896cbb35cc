"""The whole book as plain tables, and back: for backups, and for moving between databases."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from sqlalchemy import MetaData, func, insert, select

from blankwright.base.errors import BadInput, NotPossible, Problem
from blankwright.book.change import Change, Reader, fields_of
from blankwright.book.columns import lively, plain
from blankwright.book.migrate import NEWEST, run, version_of
from blankwright.book.store import Book
from blankwright.book.tables import COUNTER, HISTORY, KINDS, METADATA, TABLES

Plain = dict[str, list[dict[str, Any]]]
"""Tables by name, each a list of rows of text, numbers, true, false and nothing."""

_BY_NAME: Final = {"setting": "name", "part": "name", "hardware": "number"}
"""Tables in which two rows may not share this column: an import takes them for the same."""


def dump(reader: Reader) -> Plain:
    """Return everything in the book, history included, in a fixed order."""
    out: Plain = {}
    for table in METADATA.sorted_tables:
        if table.name == COUNTER.name:
            rows = reader.connection.execute(select(table).order_by(table.c.name)).mappings()
            out[table.name] = [dict(row) for row in rows]
        else:
            found = reader.all(KINDS[table.name])
            out[table.name] = [plain(table, fields_of(record)) for record in found]
    return out


def is_empty(reader: Reader) -> bool:
    """Whether nothing was ever written into the book."""
    counted = reader.connection.execute(select(func.count()).select_from(COUNTER)).scalar_one()
    return int(counted) == 0


def load(book: Book, version: str, tables: Mapping[str, Sequence[Mapping[str, Any]]]) -> None:
    """Fill an empty place with a whole book, as it was in the given version, and bring it up.

    Args:
        book: where to; see `store.connect`
        version: the version of the book that the tables come from
        tables: all of its tables

    Raises:
        NotPossible: when there is a book already
        BadInput: when the tables are not those of a book
    """
    from sqlalchemy import text
    from sqlalchemy.exc import SQLAlchemyError

    with book.raw() as connection:
        if book.schema:
            connection.execute(text(f"CREATE SCHEMA IF NOT EXISTS {book.schema}"))
        if version_of(connection) is not None:
            if not is_empty(Reader(connection)):
                raise NotPossible(
                    Problem(
                        code="BOOK-090",
                        where=book.name,
                        got="there is a job book already",
                        fix="Restore into another folder, or move the old book away first",
                    )
                )
            if version_of(connection) != version:
                # Nothing is in it: it becomes one of that version, and is brought up again below.
                METADATA.drop_all(connection)
                connection.execute(text("DROP TABLE alembic_version"))
        if version_of(connection) is None:
            run(connection, version)
        then = MetaData()
        then.reflect(connection, schema=None)
        try:
            for table in then.sorted_tables:
                rows = tables.get(table.name, ())
                if table.name != "alembic_version" and rows:
                    connection.execute(insert(table), [dict(row) for row in rows])
        except SQLAlchemyError as error:
            raise BadInput(
                Problem(
                    code="BOOK-092",
                    where=f"table {table.name}",
                    got=f"its rows don't fit ({str(error).splitlines()[0]})",
                    fix="Take another backup; nothing was written",
                )
            ) from error
        if version != NEWEST:
            run(connection, NEWEST)


def merge(
    change: Change, tables: Mapping[str, Sequence[Mapping[str, Any]]]
) -> dict[str, tuple[int, int]]:
    """Add the rows of other tables to a book that has rows of its own.

    Rows get new numbers, and references follow. A row that the book has already, the same in
    every column, is not added again; nor is a part, setting or hardware item of a known name,
    which keeps what this book says of it. The history of the other book is not taken over.

    Args:
        change: the change that the rows become part of
        tables: rows by table; columns left out take what holds until stated

    Returns:
        of each table how many rows were added, and how many were there already

    Raises:
        BadInput: with every row that doesn't fit
    """
    new_numbers: dict[str, dict[int, int]] = {}
    counts: dict[str, tuple[int, int]] = {}
    problems = [
        Problem(code="BOOK-093", where=f"table {name}", got="the book has no such table")
        for name in tables
        if name not in TABLES and name != COUNTER.name
    ]
    for table in METADATA.sorted_tables:
        name = table.name
        if name not in tables or name in HISTORY or name == COUNTER.name:
            continue
        kind = KINDS[name]
        have = {_key(name, plain(table, fields_of(row))): row.id for row in change.all(kind)}
        numbers = new_numbers.setdefault(name, {})
        added = there = 0
        for place, given in enumerate(tables[name], start=1):
            where = f"table {name}, row {place}"
            try:
                row = _fitted(name, given, new_numbers)
                full = plain(table, fields_of(kind(id=0, **lively(table, row))))
            except (ValueError, KeyError, TypeError) as error:
                problems.append(
                    Problem(code="BOOK-094", where=where, got=f"it doesn't fit ({error})")
                )
                continue
            key = _key(name, full)
            if key in have:
                there += 1
            else:
                have[key] = change.add(kind, **lively(table, row))
                added += 1
            if "id" in given and given["id"] is not None:
                numbers[int(given["id"])] = have[key]
        counts[name] = (added, there)
    if problems:
        raise BadInput(*problems)
    return counts


def _fitted(
    name: str, given: Mapping[str, Any], new_numbers: Mapping[str, Mapping[int, int]]
) -> dict[str, Any]:
    """The row without its number, its references in this book's numbers."""
    table = TABLES[name]
    row: dict[str, Any] = {}
    for column, value in given.items():
        if column == "id":
            continue
        if column not in table.c:
            raise KeyError(f"no column {column}")
        references = list(table.c[column].foreign_keys)
        if references and value is not None:
            target = references[0].column.table.name
            numbers = new_numbers.get(target, {})
            if int(value) not in numbers:
                raise KeyError(f"{column} {value} is not among the imported rows of {target}")
            value = numbers[int(value)]
        row[column] = value
    return row


def _key(name: str, row: Mapping[str, Any]) -> tuple[Any, ...]:
    if name in _BY_NAME:
        return (row[_BY_NAME[name]],)
    return tuple(value for column, value in sorted(row.items()) if column != "id")
