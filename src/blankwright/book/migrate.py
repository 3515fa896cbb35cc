"""Bringing a book to the newest version."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, inspect, text

from blankwright.base.errors import FileProblem, Problem
from blankwright.book.store import Book

VERSIONS: Final = ("0001", "0002", "0003")
"""Versions of the book that this program knows, oldest first."""

NEWEST: Final = VERSIONS[-1]
"""Version of the book that this program writes."""


def version_of(connection: Connection) -> str | None:
    """Return the version of the book behind a connection, or nothing for an empty place."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def bring_up(book: Book, *, make: bool, to: str = NEWEST) -> None:
    """Bring a book to a version; a copy of an older SQLite book is put beside it first.

    Args:
        book: the book
        make: whether an empty place becomes a new book
        to: the version to reach

    Raises:
        FileProblem: when it is no book, or of a version that this program doesn't know
    """
    with book.read() as reader:
        version = version_of(reader.connection)
        strange = version is None and inspect(reader.connection).has_table("task")
    if version == to:
        return
    if strange or (version is None and not make):
        raise FileProblem(
            Problem(code="BOOK-006", where=book.name, got="this is not a job book of Blankwright")
        )
    if version is not None and version not in VERSIONS:
        raise FileProblem(
            Problem(
                code="BOOK-007",
                where=book.name,
                got=f"the book is of version {version}, newer than this program knows",
                allowed=f"up to version {NEWEST}",
                fix="Use the newer program; nothing was changed",
            )
        )
    if version is not None and book.file is not None:
        _copy_beside(book, book.file, version)
    with book.raw() as connection:
        # Another process may have brought it up while this one waited for the lock.
        if book.schema:
            connection.execute(text(f"CREATE SCHEMA IF NOT EXISTS {book.schema}"))
        if version_of(connection) != to:
            run(connection, to)


def run(connection: Connection, to: str) -> None:
    """Run the migrations up to a version inside the given transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option(
        "script_location", str(Path(__file__).parent / "migrations").replace("%", "%%")
    )
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def _copy_beside(book: Book, file: Path, version: str) -> None:
    """Keep the old book as it was, in case the builder goes back to the older program."""
    beside = file.with_name(f"{file.stem}.version-{version}{file.suffix}")
    if beside.exists():
        return
    with book.raw():  # holds the write lock, so the copy is of one moment
        shutil.copy2(file, beside)
