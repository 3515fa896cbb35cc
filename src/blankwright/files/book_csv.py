"""The job book as comma-separated tables, one file a table, and back.

UTF-8 with the mark that spreadsheets look for. Nothing and an empty text are both an empty cell;
which one is meant follows from the column.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, FileProblem, Problem
from blankwright.book.fields import Field, fields_of_table, table_names
from blankwright.book.tables import COUNTER
from blankwright.files.whole import write_whole

Rows = Sequence[Mapping[str, Any]]


def write_tables(folder: Path, tables: Mapping[str, Rows]) -> tuple[Path, ...]:
    """Write tables, one file each. Raises FileProblem."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unreadable(folder, error) from error
    written = []
    for name in table_names():
        path = folder / f"{name}.csv"
        write_whole(path, table_csv(name, tables.get(name, ())).encode("utf-8-sig"))
        written.append(path)
    return tuple(written)


def table_csv(name: str, rows: Rows) -> str:
    """Return the rows of a table as text, all columns in the order of the book."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    columns = tuple(fields_of_table(name))
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row[column]) for column in columns])
    return stream.getvalue()


def read_tables(path: Path) -> dict[str, list[dict[str, Any]]]:
    """Read one table's file, or all tables in a folder. Files are named for their tables.

    Raises:
        FileProblem: when it can't be read
        BadInput: with every cell that doesn't fit its column
    """
    files = sorted(path.glob("*.csv")) if path.is_dir() else [path]
    if not files:
        raise FileProblem(
            Problem(code="BOOK-095", where=str(path), got="there are no .csv files in this folder")
        )
    problems: list[Problem] = []
    out: dict[str, list[dict[str, Any]]] = {}
    for file in files:
        try:
            text = file.read_bytes().decode("utf-8-sig")
        except (OSError, UnicodeDecodeError) as error:
            raise _unreadable(file, error) from error
        out[file.stem] = _table(file, text, problems)
    if problems:
        raise BadInput(*problems)
    return out


def _table(file: Path, text: str, problems: list[Problem]) -> list[dict[str, Any]]:
    if file.stem not in table_names():
        known = ", ".join(name for name in table_names() if name != COUNTER.name)
        problems.append(_wrong(file.name, "no table of the book has that name", known))
        return []
    fields = fields_of_table(file.stem)
    reader = csv.reader(io.StringIO(text, newline=""))
    head = next(reader, [])
    unknown = [column for column in head if column not in fields]
    if unknown or not head:
        got = f"columns {', '.join(unknown)} are not known" if head else "it has no first line"
        problems.append(_wrong(f"{file.name}, line 1", got, ", ".join(fields)))
        return []
    rows = []
    for cells in reader:
        where = f"{file.name}, line {reader.line_num}"
        if not any(cells):
            continue
        if len(cells) != len(head):
            problems.append(_wrong(where, f"{len(cells)} cells", f"{len(head)} cells"))
            continue
        row = {}
        for name, cell in zip(head, cells, strict=True):
            try:
                row[name] = _value(fields[name], cell)
            except ValueError:
                problems.append(_wrong(f"{where}, {name}", cell, f"a {fields[name].kind}"))
        rows.append({n: v for n, v in row.items() if v is not _LEFT_OUT})
    return rows


_LEFT_OUT = object()


def _value(field: Field, cell: str) -> object:
    if field.kind == "true or false":
        if cell.lower() in ("true", "yes", "1"):
            return True
        if cell.lower() in ("false", "no", "0", ""):
            return False
        raise ValueError(cell)
    if field.kind != "text":
        if not cell:
            return None if field.may_be_nothing else _LEFT_OUT
        return int(cell) if field.kind == "whole number" else float(cell)
    if not cell and field.may_be_nothing and field.name != "name":
        return None
    return cell


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return repr(value) if isinstance(value, float) else str(value)


def _wrong(where: str, got: str, allowed: str) -> Problem:
    return Problem(code="BOOK-096", where=where, got=got, allowed=allowed)


def _unreadable(path: Path, error: Exception) -> FileProblem:
    said = getattr(error, "strerror", None) or "it isn't UTF-8 text"
    return FileProblem(Problem(code="BOOK-097", where=str(path), got=f"it can't be used ({said})"))
