"""The history: every change can be looked at and taken back."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select

from blankwright.base.errors import BadInput, NotPossible, Problem
from blankwright.book import records as r
from blankwright.book.change import Change, Reader
from blankwright.book.columns import lively, plain
from blankwright.book.store import Book
from blankwright.book.tables import KINDS, TABLES, table_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """A change as the history shows it.

    Args:
        note: when, who, what
        rows: what it touched, in order
        taken_back_by: number of the change that took it back and still holds, or nothing
    """

    note: r.ChangeNote
    rows: tuple[r.ChangeRow, ...]
    taken_back_by: int | None


def history(
    reader: Reader, *, last: int = 50, table: str = "", row_id: int | None = None
) -> tuple[Past, ...]:
    """Return the newest changes first, of the whole book or of one row of one table."""
    notes = table_of(r.ChangeNote)
    touched = table_of(r.ChangeRow)
    query = select(notes).order_by(notes.c.id.desc()).limit(last)
    if table:
        which = select(touched.c.change_id).where(touched.c.table == table)
        if row_id is not None:
            which = which.where(touched.c.row_id == row_id)
        query = query.where(notes.c.id.in_(which))
    return _filled(reader, reader.rows(r.ChangeNote, query))


def one_change(reader: Reader, number: int) -> Past:
    """Return one change. Raises BadInput when there is none of that number."""
    found = reader.by(r.ChangeNote, id=number)
    if not found:
        raise BadInput(
            Problem(
                code="BOOK-020",
                where=f"change {number}",
                got="the history has none of that number",
                fix="Look at `blankwright book history`",
            )
        )
    return _filled(reader, found)[0]


def take_back(book: Book, number: int, *, who: str, at: datetime) -> int:
    """Take a change back, as a change of its own; taking that one back does it again.

    Returns:
        the number of the new change

    Raises:
        BadInput: when there is no such change
        NotPossible: when it is taken back already, or what it touched was changed since
    """
    with book.read() as reader:
        what = one_change(reader, number).note.what
    with book.change(f"take back change {number}: {what}", who=who, at=at) as change:
        past = one_change(change, number)
        if past.taken_back_by is not None:
            raise NotPossible(
                Problem(
                    code="BOOK-021",
                    where=f"change {number}",
                    got=f"it is taken back already, by change {past.taken_back_by}",
                    fix=f"To have it again, take back change {past.taken_back_by}",
                )
            )
        change.takes_back = number
        problems = [
            problem for row in reversed(past.rows) if (problem := _undo(change, row, number))
        ]
        if problems:
            raise NotPossible(*problems)
    with book.read() as reader:
        return max(note.id for note in reader.by(r.ChangeNote, takes_back=number))


def _filled(reader: Reader, notes: tuple[r.ChangeNote, ...]) -> tuple[Past, ...]:
    if not notes:
        return ()
    touched = table_of(r.ChangeRow)
    rows: dict[int, list[r.ChangeRow]] = {note.id: [] for note in notes}
    for row in reader.all(r.ChangeRow, touched.c.change_id.in_(list(rows))):
        rows[row.change_id].append(row)
    back = _standing(reader)
    return tuple(
        Past(note=note, rows=tuple(rows[note.id]), taken_back_by=back.get(note.id))
        for note in notes
    )


def _standing(reader: Reader) -> dict[int, int]:
    """Which change is taken back by which, counting only take-backs that still hold."""
    notes = table_of(r.ChangeNote)
    backs = reader.all(r.ChangeNote, notes.c.takes_back.is_not(None))
    held: dict[int, int] = {}
    # A take-back comes after what it takes back: from the newest down, each one's fate is known.
    for back in reversed(backs):
        if back.takes_back is not None and back.id not in held:
            held[back.takes_back] = back.id
    return held


def _undo(change: Change, row: r.ChangeRow, number: int) -> Problem | None:
    table = TABLES[row.table]
    kind = KINDS[row.table]
    before = None if row.before is None else json.loads(row.before)
    after = None if row.after is None else json.loads(row.after)
    now = change.maybe(kind, row.row_id)
    if after is None and before is not None:
        if now is not None:
            return _moved_on(change, row, number)
        change.insert_whole(table, [_whole(kind, lively(table, before))])
        return None
    if now is None or after is None:
        return _moved_on(change, row, number)
    current = plain(table, {name: getattr(now, name) for name in after})
    if current != after:
        return _moved_on(change, row, number)
    if before is None:
        change.remove(kind, row.row_id)
    else:
        change.put(kind, row.row_id, **lively(table, before))
    return None


def _whole(kind: type[r.Record], values: dict[str, Any]) -> dict[str, Any]:
    """Fill in the columns that a newer version has added since."""
    record = kind(**values)
    return {name: getattr(record, name) for name in record.__dataclass_fields__}


def _moved_on(change: Change, row: r.ChangeRow, number: int) -> Problem:
    touched = table_of(r.ChangeRow)
    later = change.all(
        r.ChangeRow,
        touched.c.table == row.table,
        touched.c.row_id == row.row_id,
        touched.c.change_id > number,
    )
    numbers = ", ".join(str(one) for one in sorted({one.change_id for one in later}))
    return Problem(
        code="BOOK-022",
        where=f"change {number}: {row.table} {row.row_id}",
        got=f"it was changed since, by change {numbers}",
        fix="Take that back first",
    )
