"""Reading and changing the book. Every row touched goes into the history, in one transaction."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import (
    ColumnElement,
    Connection,
    Select,
    Table,
    delete,
    insert,
    select,
    text,
    update,
)
from sqlalchemy.exc import IntegrityError

from blankwright.base.errors import BadInput, NotPossible, OurBug, Problem
from blankwright.book import records as r
from blankwright.book.columns import lively, plain
from blankwright.book.tables import table_of

T = TypeVar("T", bound=r.Record)

_COUNT = text(
    "INSERT INTO counter (name, last) VALUES (:name, :many)"
    " ON CONFLICT (name) DO UPDATE SET last = counter.last + :many RETURNING last"
)


class Reader:
    """Looks into the book as it stood when the reading began."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def rows(self, kind: type[T], query: Select[Any]) -> tuple[T, ...]:
        """Return the rows of a query over the whole table of a kind of record."""
        return tuple(kind(**row) for row in self.connection.execute(query).mappings().all())

    def all(
        self, kind: type[T], *where: ColumnElement[bool], order: Sequence[str] = ("id",)
    ) -> tuple[T, ...]:
        """Return the records for which all conditions hold, in the order of the named columns."""
        table = table_of(kind)
        query = select(table).where(*where).order_by(*(table.c[name] for name in order))
        return self.rows(kind, query)

    def by(self, kind: type[T], /, **equals: Any) -> tuple[T, ...]:
        """Return the records whose columns equal the given values, by number."""
        table = table_of(kind)
        return self.all(kind, *(table.c[name] == value for name, value in equals.items()))

    def maybe(self, kind: type[T], row_id: int) -> T | None:
        """Return a record by number, or nothing."""
        found = self.by(kind, id=row_id)
        return found[0] if found else None

    def get(self, kind: type[T], row_id: int) -> T:
        """Return a record by number.

        Raises:
            BadInput: when the book has none of that number
        """
        found = self.maybe(kind, row_id)
        if found is None:
            raise BadInput(
                Problem(
                    code="BOOK-010",
                    where=f"{table_of(kind).name} {row_id}",
                    got="the book has none of that number",
                    fix="List them to see the numbers",
                )
            )
        return found


class Change(Reader):
    """A change of the book in the making. Leaves the book as it was if anything goes wrong."""

    def __init__(self, connection: Connection, *, what: str, who: str, at: datetime) -> None:
        super().__init__(connection)
        self.what = what
        self.who = who
        self.at = at
        self.takes_back: int | None = None
        self._touched: list[dict[str, Any]] = []

    def add(self, kind: type[r.Record], /, **values: Any) -> int:
        """Add one row and return its number. Raises BadInput for what can't be kept."""
        return self.add_many(kind, [values])[0]

    def add_many(self, kind: type[r.Record], many: Sequence[Mapping[str, Any]]) -> tuple[int, ...]:
        """Add rows and return their numbers, in order. Raises BadInput for what can't be kept."""
        if not many:
            return ()
        table = table_of(kind)
        last = self._take_numbers(table.name, len(many))
        ids = tuple(range(last - len(many) + 1, last + 1))
        full = [
            fields_of(kind(id=row_id, **values)) for row_id, values in zip(ids, many, strict=True)
        ]
        self.insert_whole(table, full)
        return ids

    def put(self, kind: type[r.Record], row_id: int, /, **values: Any) -> bool:
        """Change columns of a row; return whether anything is different now.

        Raises:
            BadInput: when there is no such row, or it can't be kept
        """
        table = table_of(kind)
        old = plain(table, fields_of(self.get(kind, row_id)))
        new = plain(table, dict(values))
        _check_text(table, [new])
        differs = {name: value for name, value in new.items() if old[name] != value}
        if not differs:
            return False
        lively_values = lively(table, differs)
        with _kept(table, f"{table.name} {row_id}"):
            self.connection.execute(update(table).where(table.c.id == row_id).values(lively_values))
        self._note(table, row_id, {name: old[name] for name in differs}, differs)
        return True

    def remove(self, kind: type[r.Record], row_id: int) -> None:
        """Take a row out. Raises BadInput when it isn't there or others refer to it."""
        table = table_of(kind)
        old = plain(table, fields_of(self.get(kind, row_id)))
        with _kept(table, f"{table.name} {row_id}"):
            self.connection.execute(delete(table).where(table.c.id == row_id))
        self._note(table, row_id, old, None)

    def insert_whole(self, table: Table, rows: Sequence[dict[str, Any]]) -> None:
        """Add rows that have their numbers already."""
        flat = [plain(table, row) for row in rows]
        _check_text(table, flat)
        with _kept(table, table.name):
            self.connection.execute(insert(table), list(rows))
        for row in flat:
            self._note(table, int(row["id"]), None, row)

    def finish(self) -> int | None:
        """Write the history of this change; return its number, or nothing if nothing changed."""
        if not self._touched:
            return None
        number = self._take_numbers("change", 1)
        note = r.ChangeNote(
            id=number, at=self.at, who=self.who, what=self.what, takes_back=self.takes_back
        )
        self.connection.execute(insert(table_of(r.ChangeNote)), [fields_of(note)])
        last = self._take_numbers("change_row", len(self._touched))
        first = last - len(self._touched) + 1
        rows = [
            {"id": first + place, "change_id": number, **touched}
            for place, touched in enumerate(self._touched)
        ]
        self.connection.execute(insert(table_of(r.ChangeRow)), rows)
        return number

    def _take_numbers(self, name: str, many: int) -> int:
        return int(self.connection.execute(_COUNT, {"name": name, "many": many}).scalar_one())

    def _note(
        self,
        table: Table,
        row_id: int,
        before: Mapping[str, Any] | None,
        after: Mapping[str, Any] | None,
    ) -> None:
        self._touched.append(
            {
                "table": table.name,
                "row_id": row_id,
                "before": None if before is None else json_text(before),
                "after": None if after is None else json_text(after),
            }
        )


def json_text(values: Mapping[str, Any]) -> str:
    """Return plain values as JSON, always the same for the same values."""
    return json.dumps(values, sort_keys=True, ensure_ascii=False, allow_nan=False)


def fields_of(record: r.Record) -> dict[str, Any]:
    """Return a record's fields by name."""
    return {name: getattr(record, name) for name in record.__dataclass_fields__}


def _check_text(table: Table, rows: Iterable[Mapping[str, Any]]) -> None:
    """Refuse what one of the databases can't keep, so that both keep the same."""
    problems = []
    for row in rows:
        for name, value in row.items():
            trouble = ""
            if isinstance(value, str):
                if "\x00" in value:
                    trouble = "the text holds a zero byte"
                elif any("\ud800" <= sign <= "\udfff" for sign in value):
                    trouble = "the text holds half a character"
            elif isinstance(value, float) and not math.isfinite(value):
                trouble = "the number is not finite"
            elif isinstance(value, int) and not -(2**31) <= value < 2**31:
                trouble = "the number is too large"
            if trouble:
                problems.append(
                    Problem(
                        code="BOOK-011",
                        where=f"{table.name}: {name}",
                        got=trouble,
                        fix="Type it again",
                    )
                )
    if problems:
        raise BadInput(*problems)


class _kept:  # noqa: N801  a context, used like a function
    """Says in the builder's words what the database refuses."""

    def __init__(self, table: Table, where: str) -> None:
        self.table = table
        self.where = where

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: object, trace: object) -> None:
        if not isinstance(error, IntegrityError):
            return
        said = str(error.orig).lower()
        if "unique" in said:
            raise BadInput(
                Problem(
                    code="BOOK-012",
                    where=self.where,
                    got="there is one of that name already",
                    fix="Change that one, or take another name",
                )
            ) from error
        if "foreign key" in said:
            raise NotPossible(
                Problem(
                    code="BOOK-013",
                    where=self.where,
                    got="other lines of the book refer to it, or it refers to one that isn't there",
                    fix="Take those back or change them first",
                )
            ) from error
        raise OurBug(Problem(code="BOOK-099", where=self.where, got=said)) from error
