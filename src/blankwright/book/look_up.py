"""Larger look-ups, and the database's own check of itself."""

from __future__ import annotations

from typing import Any

from sqlalchemy import func, or_, select, text

from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.book.tables import table_of


def log_entries(
    reader: Reader,
    *,
    start: int,
    count: int,
    part_id: int | None = None,
    task_id: int | None = None,
    text: str = "",
) -> tuple[int, tuple[r.Entry, ...]]:
    """Return how many log entries there are, and some of them, newest first.

    Args:
        reader: the book
        start: how many newer entries to pass over
        count: how many to return
        part_id: only of this part
        task_id: only of this task
        text: only those that have it in text, place or helpers; upper and lower case alike
    """
    table = table_of(r.Entry)
    where: list[Any] = []
    if part_id is not None:
        where.append(table.c.part_id == part_id)
    if task_id is not None:
        where.append(table.c.task_id == task_id)
    if text:
        said = text.lower().replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")
        where.append(
            or_(
                *(
                    func.lower(column).like(f"%{said}%", escape="\\")
                    for column in (table.c.text, table.c.place, table.c.helpers)
                )
            )
        )
    total = reader.connection.execute(
        select(func.count()).select_from(table).where(*where)
    ).scalar_one()
    query = select(table).where(*where).order_by(table.c.at.desc(), table.c.id.desc())
    return int(total), reader.rows(r.Entry, query.offset(start).limit(count))


def troubles(reader: Reader) -> tuple[str, ...]:
    """Return what SQLite finds wrong with its own file; a server looks after itself."""
    if reader.connection.dialect.name != "sqlite":
        return ()
    found = []
    for pragma in ("integrity_check", "foreign_key_check"):
        for row in reader.connection.execute(text(f"PRAGMA {pragma}")):
            if row[0] != "ok":
                found.append(f"{pragma}: {' '.join(map(str, row))}")
    return tuple(found)
